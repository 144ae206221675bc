"""What lies out of the plane that the photo sees: the door line behind the arrises, and arrises in two planes.

The photo shows the arris of each wall face; the door may stand further back. A side wall that is out of square by one mm per mm
of depth makes the opening wider by the depth; the curb falls on the way. Both are unknowns of the adjustment with a prior, so
what is not seen of them stands in the budget of every size, and what is seen lowers it.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from vision.geometry.adjustment import Solution
from vision.geometry.model import DEEP, FALL, FL, FR, H0, SH, STEP, W0, Layout
from vision.geometry.opening import DoorLine
from vision.geometry.priors import Prior
from vision.geometry.seen import SeenPhoto
from vision.settings import DepthSettings

Array = NDArray[np.float64]
NO_LINE = (0.0, 1.0)
"""depth (mm) and its sd where the sizes are those at the arrises; nothing depends on it there"""


def depth_priors(layout: Layout, door_line_mm: tuple[float, float] | None, settings: DepthSettings) -> list[Prior]:
    """The step between the arrises, the stated door line, and how walls and curb go back from the arrises."""
    at = layout.opening.start
    deep, sd = door_line_mm or NO_LINE
    return [
        Prior((at + STEP,), (1.0,), 0.0, settings.arris_step_sd_mm, "arris planes"),
        Prior((at + DEEP,), (1.0,), deep, sd, "door line"),
        Prior((at + FL,), (1.0,), 0.0, settings.flare_sd, "side walls"),
        Prior((at + FR,), (1.0,), 0.0, settings.flare_sd, "side walls"),
        Prior((at + FALL,), (1.0,), 0.0, settings.curb_fall_sd, "curb fall"),
    ]


def step_share(x_mm: float, width_mm: float, inside: bool) -> float:
    """By how much of the step between the arrises a card at this x stands nearer: it lies on one wall's face or between."""
    return 0.0 if inside else float(np.clip(0.5 - x_mm / width_mm, -0.5, 0.5))


def at_door_line(opening: Array) -> Array:
    """The opening as it is at the door line, in a frame that starts at the foot of the left wall there; (13,) like the given."""
    deep = opening[DEEP]
    if deep == 0:
        return opening
    out = opening.copy()
    out[W0] += deep * (opening[FL] + opening[FR])
    out[H0] += deep * (opening[FALL] - opening[SH] * opening[FL])
    return out


def door_line_of(solution: Solution, photos: Sequence[SeenPhoto], door_line_mm: tuple[float, float] | None) -> DoorLine | None:
    """What is known of the plane that is to be measured; None where none was stated."""
    if door_line_mm is None:
        return None
    covariance, at = solution.inverse(), solution.layout.opening.start
    flares = {
        side: (1000 * float(solution.state.opening[k]), 1000 * float(np.sqrt(covariance[at + k, at + k])))
        for side, k in (("left", FL), ("right", FR))
    }
    there = {line.facts.side for photo in photos for line in photo.lines}
    return DoorLine(*door_line_mm, flares, tuple(side for side in flares if side in there))
