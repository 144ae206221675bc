"""Of two patches of a card's shape that contradict each other, the one that looks like a card is taken, and that is said."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from tests.geometry.scenery import LETTER_MM, Patch, Shot, Wall, picture
from vision.check import CheckRequest, check, to_json

WIDTH, HEIGHT = 1400.0, 1950.0
SHEET = Patch((1650.0, 900.0), LETTER_MM)
TOWEL_MM = (1.5 * LETTER_MM[0], 1.5 * LETTER_MM[1])


def folds(at: tuple[float, float], shades: tuple[int, ...] = (250, 225, 246, 220, 248, 224)) -> tuple[Patch, ...]:
    """A white towel half as large again as a sheet, with upright folds."""
    (x, y), (w, h) = at, TOWEL_MM
    part = w / len(shades)
    whole = Patch(at, TOWEL_MM, (246, 246, 243))
    return whole, *(Patch((x - w / 2 + (k + 0.5) * part, y), (part, h), (shade, shade, shade)) for k, shade in enumerate(shades))


def answer(*patches: Patch) -> dict[str, Any]:
    of = picture(Wall(WIDTH, HEIGHT, patches=patches), Shot((1980, 2640)))
    asked = CheckRequest(photos=(("room7.jpg", of.data),), corners=(of.corners_px(4.0),), cards=("letter@0",))  # type: ignore[arg-type]
    return to_json(check(asked))


def test_a_towel_does_not_stop_the_sheet_beside_it() -> None:
    """The sheet carries the sizes, the towel is listed as not used, and the order holds."""
    data = answer(SHEET, *folds((-330.0, 1100.0)))
    assert [c["used"] for c in data["cards"]] == [False, True]
    size = data["sizes"]["width_middle"]
    assert abs(size["value_mm"] - WIDTH) < 3 * size["u_mm"]
    assert "cards-disagree" in {f["code"] for f in data["findings"]}
    assert data["order"]["status"] == "hold"


def test_of_two_plain_patches_nobody_knows_which_is_the_sheet() -> None:
    """Both are even: cards-disagree, and nothing is measured."""
    plain = replace(SHEET, centre=(-330.0, 1100.0), sides_mm=TOWEL_MM)
    assert answer(SHEET, plain)["cannot_measure"]["code"] == "cards-disagree"


@pytest.mark.parametrize("colour", [(60, 60, 64), (120, 110, 100)])
def test_a_dark_frame_is_no_paper_however_even(colour: tuple[int, int, int]) -> None:
    """It is not taken against an untidy light one: refused."""
    dark = replace(SHEET, colour=colour)
    refused = answer(dark, *folds((-330.0, 1100.0)))
    assert refused["cannot_measure"]["code"] == "cards-disagree"
    assert np.isfinite(len(refused["cards"]))
