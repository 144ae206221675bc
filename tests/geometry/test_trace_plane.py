"""Level lines between walls on a painted view, and a cap's lower line beside the curb."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from tests.benchmarks.outline import worst_corner
from tests.geometry.alcove import Alcove, photo_of, true_corners
from vision.geometry.trace import trace
from vision.geometry.trace_clues import FURTHER
from vision.geometry.trace_frame import FINE, Squared
from vision.geometry.trace_lines import Line, View, view_of
from vision.geometry.trace_marks import CLUES, Between, clues_of, last_clues, levels
from vision.geometry.trace_quads import Quad, with_edge
from vision.settings import Settings

Array = NDArray[np.float64]
Colour = tuple[int, int, int]
SIZE = (300, 240)
"""height and width (px) of the small picture"""
LEFT, RIGHT, HEAD, CURB, DEPTH = 60, 180, 60, 240, (120.0, 150.0)
FACE, SIDE, BACK, TOP, FRONT = (170, 170, 165), (90, 95, 110), (60, 62, 70), (220, 215, 205), (120, 90, 70)
SHADE = (175, 172, 164)
"""a cap's front: its top's colour in shade"""
NEAR_PX = 5.0
"""px of a 3 megapixel photo; 10 px at 12 MP"""


def view_with(*patches: tuple[list[tuple[float, float]], Colour], top: int = 12) -> View:
    """An opening in a face with its side walls, back wall and a curb's top `top` px high, and patches over it (px)."""
    fine = np.empty((SIZE[0] * FINE, SIZE[1] * FINE, 3), np.uint8)
    fine[:] = FACE
    rear = [ray((x, CURB), top) for x in (LEFT, RIGHT)]
    painted: list[tuple[list[tuple[float, float]], Colour]] = [
        (box(LEFT, HEAD, RIGHT, CURB), SIDE),
        (box(90, 105, 150, 195), BACK),
        (box(LEFT, CURB, RIGHT, SIZE[0]), FRONT),
        ([(LEFT, CURB), (RIGHT, CURB), rear[1], rear[0]], TOP),
        *patches,
    ]
    for corners, colour in painted:
        cv2.fillPoly(fine, [np.round((np.array(corners) * FINE - 0.5) * 16).astype(np.int32)], colour, cv2.LINE_AA, 4)
    fine = np.asarray(cv2.GaussianBlur(fine, (0, 0), 0.7), np.uint8)
    return view_of(Squared(fine[::FINE, ::FINE].copy(), fine, np.ones(SIZE, np.bool_), np.array(DEPTH), np.eye(3), 300.0))


def box(x0: float, y0: float, x1: float, y1: float) -> list[tuple[float, float]]:
    """A rectangle's corners."""
    return [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]


def ray(corner: tuple[float, float], up: float) -> tuple[float, float]:
    """The point `up` px above a corner on the line into the depth."""
    return corner[0] + up * (DEPTH[0] - corner[0]) / (corner[1] - DEPTH[1]), corner[1] - up


def quad_of(view: View) -> Quad:
    """The true outline with the levels that are seen between its walls."""
    walls = (Line(LEFT - 0.5, 0.0), Line(RIGHT - 0.5, 0.0))
    [curb] = levels([Between(view, *walls, (180.0, 295.0), False)])
    [head] = levels([Between(view, *walls, (4.0, 120.0), True)])
    quad = Quad(*walls, tuple(curb), tuple(head), (0.8,) * 4, HEAD)
    return with_edge(with_edge(quad, "curb", Line(CURB - 0.5, 0.0)), "head", Line(HEAD - 0.5, 0.0))


def test_walls_without_a_level_line_give_no_clues_and_no_error() -> None:
    """In a picture of one colour no pair of walls has a line (before: a reshape of nothing)."""
    plain = np.full((SIZE[0] * FINE, SIZE[1] * FINE, 3), 128, np.uint8)
    view = view_of(Squared(plain[::FINE, ::FINE].copy(), plain, np.ones(SIZE, np.bool_), np.array(DEPTH), np.eye(3), 300.0))
    between = Between(view, Line(LEFT, 0.0), Line(RIGHT, 0.0), (180.0, 295.0), False)

    assert levels([between, between]) == [[], []]
    assert clues_of(between.ending([])).shape == (0, len(CLUES))
    assert last_clues(between.ending([])).shape == (0, len(FURTHER))


@pytest.mark.parametrize("cap_mm", [20.0, 28.0, 40.0])
@pytest.mark.parametrize("side", [(120, 140, 150), (200, 198, 195), (60, 50, 50)], ids=["grey", "light", "dark"])
def test_a_caps_lower_line_is_never_taken_for_the_curb(cap_mm: float, side: Colour) -> None:
    """Found to 10 px or asked for, with the right outline drawn first (before: 13 of 24 such alcoves wrong without a word)."""
    alcove = Alcove(cap_mm=cap_mm, side=side, curb=(60, 70, 90))

    outline = trace(photo_of(alcove), 1, has_head=True, settings=Settings())

    first = outline.candidates[0] if outline.corners_px is None else outline.corners_px
    assert worst_corner(first, true_corners(alcove), has_head=True) < NEAR_PX
