"""Corners in the order in which they are asked for, and in others."""

from __future__ import annotations

from itertools import permutations

import numpy as np
import pytest

from tests.geometry.scenery import Patch, Wall, four_cards, picture
from vision.check import CardCorners, CheckRequest, check
from vision.errors import CannotMeasure
from vision.geometry.corner_order import goes_round, require_order, require_round

SEEN = np.array([(1131.0, 2283.0), (2797.0, 2159.0), (2971.0, 252.0), (922.0, 190.0)])
"""of a photo taken from the side: bottom-left, bottom-right, top-right, top-left"""
ORDERS = [list(order) for order in permutations(range(4)) if order != (0, 1, 2, 3)]


@pytest.mark.parametrize("order", ORDERS, ids=str)
def test_any_other_order_is_refused_with_the_right_one(order: list[int]) -> None:
    """needs-corners for all 23 of them, crossed, mirrored or begun elsewhere, and the order that may be meant."""
    with pytest.raises(CannotMeasure) as refused:
        require_order("room3.jpg", SEEN[order])
    assert refused.value.code == "needs-corners"
    assert "1131,2283 2797,2159 2971,252 922,190" in refused.value.remedy
    assert ("cross" in refused.value.found) != goes_round(SEEN[order])


def test_corners_in_order_pass_and_one_between_the_others_does_not() -> None:
    """An arrow's head is no opening; no order of its corners is offered."""
    require_order("room3.jpg", SEEN)
    inside = SEEN.copy()
    inside[2] = (1600.0, 1300.0)
    with pytest.raises(CannotMeasure, match="lies between the others") as refused:
        require_order("room3.jpg", inside)
    assert "perhaps" not in refused.value.remedy


def test_a_card_may_hang_in_any_direction_but_its_sides_do_not_cross() -> None:
    """All four turns pass, the other twenty orders do not."""
    turns = [np.roll(SEEN, k, axis=0) for k in range(4)]
    for turned in turns:
        require_round("room3.jpg", "letter", turned)
    for order in ORDERS:
        if not any(np.array_equal(SEEN[order], turned) for turned in turns):
            with pytest.raises(CannotMeasure, match="corners of the letter card whose sides cross"):
                require_round("room3.jpg", "letter", SEEN[order])


@pytest.mark.parametrize("what", ["opening", "card"])
def test_a_check_with_crossed_corners_says_that_they_cross(what: str) -> None:
    """Not that something stands before the edges; for the opening and for a marked card."""
    of = picture(Wall(patches=(*four_cards(), Patch((-260, 1000), (300.0, 400.0)))))
    a, b, c, d = of.corners_px()
    corners = ((a, c, b, d) if what == "opening" else (a, b, c, d),)
    p, q, r, s = of.patch_px(4)
    marked = (CardCorners(1, "300x400mm", (p, r, q, s)),) if what == "card" else ()  # type: ignore[arg-type]
    problem = check(CheckRequest((("room3.jpg", of.data),), corners=corners, card_corners=marked)).cannot_measure  # type: ignore[arg-type]
    assert problem is not None
    assert (problem.code, "sides cross" in problem.found, "stands before" in problem.remedy) == ("needs-corners", True, False)
