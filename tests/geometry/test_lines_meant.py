"""Which edges are moved or doubted by the odds of lines beside them, on made-up windows and courses."""

from __future__ import annotations

from types import SimpleNamespace
from typing import cast

import numpy as np

from tests.geometry.test_which_line import AT, LENGTH, course, sight, strip
from vision.geometry.arris_sight import Sight
from vision.geometry.lines_meant import _by_odds
from vision.geometry.locate import Course, Rival
from vision.geometry.look import Look
from vision.geometry.parallax import Told
from vision.geometry.rivals import Beside
from vision.geometry.rough_outline import RoughEdges
from vision.settings import EdgeSettings

EXTENT = (100.0, 900.0)


def meant(one: Course, what: Sight, *, rival: bool = False, told: Told | None = None) -> tuple[RoughEdges, dict[str, Beside]]:
    """What becomes of a left edge of which this course was followed."""
    seen = cast("Look", SimpleNamespace(outline={"left": strip()}, sights={"left": what}, scale=1.0))
    rivals = {"left": Rival(one.others[0], one.shares[0])} if rival else {}
    return _by_odds(seen, {"left": (one, EXTENT)}, rivals, {} if told is None else {"left": told}, EdgeSettings())


def test_a_clear_edge_is_left_alone() -> None:
    """No rival, nothing told, and no other line is likelier."""
    assert meant(course((10.0, 0.6)), sight((0.0, 0.9))) == ({}, {})


def test_an_edge_without_a_rival_is_doubted_where_another_line_is_likelier_and_stays() -> None:
    """It is not moved; what it is doubted by reaches as far as that line."""
    curves, doubts = meant(course((12.5, 0.6)), sight((5.0, 0.95)))

    assert curves == {}
    assert np.all(doubts["left"].shift == 0)
    assert doubts["left"].doubt_px > 5.0


def test_a_line_so_near_that_it_is_the_same_raises_no_doubt() -> None:
    """A column and a half beside it, 4 px."""
    assert meant(course((4.0, 0.9)), sight((1.6, 0.95))) == ({}, {})


def test_an_edge_with_a_rival_is_followed_along_the_likelier_line() -> None:
    """The rival, 10 px inside, looks like the arris: it is followed, and its odds say nothing more of the other one."""
    curves, doubts = meant(course((10.0, 1.0)), sight((4.0, 0.95)), rival=True)

    assert np.allclose(curves["left"][0], AT + 10.0)
    assert curves["left"][1] == EXTENT
    assert -2.0 < doubts["left"].shift.mean() <= 0.0
    assert doubts["left"].apart_px == 0.0


def test_two_lines_that_are_as_likely_are_told_with_their_distance() -> None:
    """For the sentence that asks for better corners."""
    _, doubts = meant(course((10.0, 1.0)), sight((0.0, 0.45), (4.0, 0.45)), rival=True)

    assert 9.0 < doubts["left"].apart_px < 11.0


def test_a_strips_border_is_told_where_parallax_and_the_odds_agree() -> None:
    """The inner border of a trim, which looks like the arris too."""
    told = Told(np.full(LENGTH, 10.0), 1.0, "inner", 10.0)

    _, agreed = meant(course((10.0, 1.0)), sight((4.0, 0.95)), rival=True, told=told)
    _, other = meant(course((10.0, 1.0)), sight((0.0, 0.95)), rival=True, told=told)

    assert agreed["left"].border == "inner"
    assert other["left"].border == ""


def test_far_lines_as_likely_as_each_other_are_left_to_the_marks() -> None:
    """30 px apart a middle would be worth no number: the edge keeps its rival, and its corners stand for it."""
    middle = Course(np.full(LENGTH, AT - 12.5), None, (np.full(LENGTH, 25.0),), (1.0,))

    assert meant(middle, sight((-5.0, 0.45), (5.0, 0.45)), rival=True) == ({}, {})
