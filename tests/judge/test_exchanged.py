"""Two readings written in one another's place."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tests.judge.openings import base_order
from tests.judge.simulation import World, share, speaks, suspects, world
from tests.judge.taped import taped as read
from tests.tolerances import SAMPLED
from vision.gaussian import Gaussian
from vision.judge.compare import Judgement, judge
from vision.judge.verdicts import Order
from vision.tape.readings import READING_NAMES, Taped

DRAWS = 300
WRITTEN = {
    "width_top": "59 11/16", "width_middle": "59 1/4", "width_bottom": "58 7/8", "height_left": "82", "height_right": "82",
    "diagonal_rising": "101 3/16", "diagonal_falling": "101 3/16",
}  # fmt: skip
EXCHANGED = WRITTEN | {"width_top": WRITTEN["width_bottom"], "width_bottom": WRITTEN["width_top"]}


def photo(tilted_mm: float = 5.0, tilt_sd_mm: float = 3.5) -> Gaussian:
    """A photo whose tilt makes the top width too narrow and the bottom one too wide, by what its sd allows now and then."""
    true = read(WRITTEN).gaussian.select(READING_NAMES).mean.copy()
    tilt = np.zeros((7, 1))
    tilt[[0, 2], 0] = -1.0, 1.0
    true += tilted_mm * tilt[:, 0]
    tilt *= tilt_sd_mm
    own = np.diag([2.4] * 3 + [1.8] * 4)
    return Gaussian(READING_NAMES, true, {"tilt": tilt, "edges": own, "card": true[:, None] * 0.003})


def checked(written: dict[str, str]) -> tuple[Judgement, Order, Taped]:
    one = read(written)
    judgement = judge(photo(), one.gaussian, one.texts)
    return judgement, base_order(one, judgement.comparison, None, has_head=True), one


def test_two_readings_that_no_single_test_finds_are_asked_about() -> None:
    """Top and bottom, 21 mm apart, are exchanged, and the photo's tilt hides a part of it: they hold and are asked about."""
    judgement, order, _ = checked(EXCHANGED)
    readings = judgement.comparison.readings
    (reason,) = [one for one in order.reasons if one.code == "suspect-reading"]

    assert suspects(judgement.comparison) == set()
    assert {name for name, one in readings.items() if one.explanations} == {"width_top", "width_bottom"}
    assert {readings[name].verdict for name in ("width_top", "width_bottom")} == {"cannot tell"}
    assert readings["width_top"].explanations[0].amount_mm == pytest.approx(-readings["width_bottom"].explanations[0].amount_mm)
    assert "top width and bottom width differ from the photo by -15.6 mm and +15.6 mm" in reason.text
    assert "Was one of them written in the other's place?" in reason.next


def test_readings_in_their_place_are_not_asked_about() -> None:
    """The same opening, the same photo."""
    judgement, order, _ = checked(WRITTEN)

    assert not speaks(judgement.comparison)
    assert "suspect-reading" not in {one.code for one in order.reasons}


def test_a_pair_that_is_nearly_alike_is_never_asked_about() -> None:
    """Heights a sixteenth apart: nobody could see whether they were exchanged, whatever the photo has."""
    judgement, _, _ = checked(WRITTEN | {"height_left": "82 1/16"})

    assert not speaks(judgement.comparison)


@pytest.mark.parametrize("layout", ["1 A4 measured beside", "4 bank cards"])
@pytest.mark.parametrize("apart_mm", [0.0, 8.0])
def test_clean_checks_of_tapered_openings_seldom_name_anything(layout: str, apart_mm: float) -> None:
    """Pairs of readings that are apart: still at most two checks in a hundred speak without cause."""
    of = world(layout, 7)
    mean = of.photo.mean + np.array([1.0, 0.0, -1.0, 0.5, -0.5, 0.7, -0.7]) * apart_mm
    tapered = World(replace(of.photo, mean=mean), replace(of.taped, mean=mean), of.rng)

    assert share(speaks(check) for check, _ in tapered.draws(DRAWS)) <= 0.02 + SAMPLED(0.02, DRAWS)
