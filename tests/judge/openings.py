"""Openings for ordering, in inches as the trade writes them: readings by tape, a made photo, walls as a level has them."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from vision.gaussian import Gaussian
from vision.judge.compare import compare
from vision.judge.door_keys import taken_by
from vision.judge.door_records import DoorOrder
from vision.judge.doors import choose_door
from vision.judge.evidence import Evidence
from vision.judge.order import decide_order
from vision.judge.ordering import order_door
from vision.judge.verdicts import Comparison, Order
from vision.settings import Settings
from vision.tape.readings import Taped, facts_from_mapping, read_tape

INCH = 25.4
SHORT = {"Wb": "width_bottom", "Wm": "width_middle", "Wt": "width_top", "Hl": "height_left", "Hr": "height_right",
         "D1": "diagonal_rising", "D2": "diagonal_falling"}  # fmt: skip
GOOD_SD_MM = 1.2
"""mm; a photo with four cards round the opening"""
LEVEL_SD = 0.3
"""mm/m; a level of 72 in read to a sixteenth: 1.6 mm / sqrt(12) over 1.83 m, a little rounded up"""


def tape(readings: Mapping[str, str], unit: str = "in") -> Taped:
    return read_tape(facts_from_mapping({"unit": unit, "readings": {SHORT[key]: text for key, text in readings.items()}}))


def photo(
    taped: Taped, truth_in: Mapping[str, float] | None = None, *, sd_mm: float = GOOD_SD_MM, scale_sd: float = 0.0
) -> Gaussian:
    """A photo that sees the readings as they are, but for those of which the truth is another (in)."""
    mean = taped.gaussian.mean.copy()
    for key, inches in (truth_in or {}).items():
        mean[taped.names.index(SHORT[key])] = inches * INCH
    return Gaussian(taped.names, mean, {"edges": np.eye(len(mean)) * sd_mm, "card": scale_sd * mean[:, None]})


def walls(left_in: float, right_in: float, *, over_in: float = 72.0, sd: float = LEVEL_SD, **more: float) -> Gaussian:
    """Leans (+ into the opening) as a level has them; `more` in mm/m or mm, exact to 0.1."""
    left, right = 1000 * left_in / over_in, 1000 * right_in / over_in
    values = {"lean_left": left, "lean_right": right, "taper": -(left + right), **more}
    F = np.zeros((len(values), 2 + len(more)))
    F[0, 0], F[1, 1], F[2, :2] = sd, sd, -sd
    F[3:, 2:] = 0.1 * np.eye(len(more))
    return Gaussian(tuple(values), np.array(list(values.values())), {"level": F})


def judged(taped: Taped, seen: Gaussian | None) -> Comparison:
    return compare(seen, taped.gaussian, taped.texts, Settings().judge)


def base_order(taped: Taped, comparison: Comparison, leans: Gaussian | None, *, has_head: bool = False) -> Order:
    return decide_order(
        comparison, taped.gaussian, leans, has_head=has_head, smallest_width_photo_mm=None, findings=(),
        cannot_measure=None, settings=Settings().order,
    )  # fmt: skip


def ordered(
    kind: str,
    taped: Taped,
    seen: Gaussian | None,
    leans: Gaussian | None,
    *,
    hardware: Mapping[str, object] | None = None,
    has_head: bool = False,
    height_in: float | None = None,
    smallest_in: Mapping[str, float] | None = None,
    largest_in: Mapping[str, float] | None = None,
) -> Order:
    """The order for this kind of door; heights run to the planned top of the glass unless `has_head`."""
    comparison = judged(taped, seen)
    base = base_order(taped, comparison, leans, has_head=has_head)
    height = None if height_in is None else height_in * INCH
    smallest = {SHORT[key]: inches * INCH for key, inches in (smallest_in or {}).items()}
    largest = {SHORT[key]: inches * INCH for key, inches in (largest_in or {}).items()}
    evidence = Evidence(comparison, taped.gaussian, leans, taped.at_mm, has_head, height, base, smallest, largest)
    return order_door(choose_door(kind, hardware), evidence)


def suiting(kind: str, hardware: Mapping[str, object]) -> dict[str, object]:
    """What of this hardware sheet a kind of door takes: every other key would be refused."""
    door = choose_door(kind)
    taken = taken_by(door.form, glass=door.glass is not None, plumb=door.plumb)
    return {key: value for key, value in hardware.items() if key in taken}


def door_of(order: Order) -> DoorOrder:
    assert order.door is not None
    return order.door


def sizes_in(order: Order) -> dict[str, float | None]:
    """Sizes in inches by name; None where withheld."""
    return {size.name: None if size.value_mm is None else size.value_mm / INCH for size in door_of(order).sizes}


def codes(order: Order) -> list[str]:
    return [reason.code for reason in order.reasons]
