"""Strips along edges told apart by where the camera stood: a trim on the face, or what lies behind it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest

from vision.geometry.camera import Camera, camera_prior
from vision.geometry.locate import Course
from vision.geometry.parallax import Told, told_by_parallax
from vision.geometry.rough_outline import OUTLINE_CORNERS, outline_strips
from vision.geometry.start import view_of_rectangle
from vision.settings import Settings

SETTINGS = Settings()
SIZE_PX = (1512, 2016)
SCALE = 0.5
WIDTH, HEIGHT = 1300.0, 1950.0
CORNERS = np.array([(0, 0, 0), (WIDTH, 0, 0), (WIDTH, HEIGHT, 0), (0, HEIGHT, 0)], dtype=np.float64)
INSIDE = {"left": (1.0, 0.0), "right": (-1.0, 0.0), "head": (0.0, -1.0)}
ASIDE, MIDDLE = (350.0, 1300.0), (WIDTH / 2, 1300.0)
TILE, PROFILE = (150, 150, 145), (160, 130, 70)


@dataclass(frozen=True)
class Line:
    """A line beside an edge: how far inside the edge it is (mm), and how far behind the face."""

    inside_mm: float = 0.0
    depth_mm: float = 0.0

    def beside(self, name: str) -> np.ndarray:
        """From a point of this edge to the line, (3,) mm."""
        x, y = INSIDE[name]
        return np.array([self.inside_mm * x, self.inside_mm * y, -self.depth_mm])


def told(
    at: tuple[float, float],
    lines: dict[str, tuple[Line, Line]],
    colours: dict[str, tuple[int, int, int]],
    shares: dict[str, float] | None = None,
) -> dict[str, Told]:
    """What is told by a camera at (x, y) mm, 2.4 m before the face; of each edge's lines the first is followed, and the
    other has as large a share of its score (1 where none is given)."""
    prior = camera_prior(*SIZE_PX, 26.0, SETTINGS.camera)
    R = np.diag([1.0, -1.0, -1.0])
    camera = Camera(R, -R @ np.array([*at, 2400.0]), prior.f, prior.cx, prior.cy, 0.0, 0.0)
    corners = camera.project(CORNERS)
    pixels = np.full((SIZE_PX[1], SIZE_PX[0], 3), TILE, dtype=np.uint8)
    strips = outline_strips(pixels, corners, 40, has_head=True)
    courses = {}
    for name, pair in lines.items():
        strip, ends = strips[name], CORNERS[list(OUTLINE_CORNERS[name])]
        strip.pixels[:] = colours.get(name, TILE)
        followed, other = (strip.of_polyline(camera.project(ends + line.beside(name))) for line in pair)
        share = (shares or {}).get(name, 1.0)
        courses[name] = (Course(followed, None, (other - followed,), (share,)), strip.extent(*camera.project(ends)))
    return told_by_parallax(courses, strips, view_of_rectangle(corners, prior, has_head=True), SCALE)


EDGE = Line()
OUTER_BORDER = Line(inside_mm=-10.0)


def shifts(answer: dict[str, Told]) -> dict[str, float]:
    """Mean shift (px) of every edge that was told."""
    return {name: float(one.shift.mean()) for name, one in answer.items()}


@pytest.mark.parametrize("followed", [EDGE, OUTER_BORDER])
def test_a_strip_as_wide_on_both_walls_is_a_trim_and_its_inner_border_the_edge(followed: Line) -> None:
    """Whichever border was followed, with the camera aside; under the head as well."""
    pair = (followed, OUTER_BORDER if followed is EDGE else EDGE)
    answer = told(ASIDE, dict.fromkeys(("left", "right", "head"), pair), dict.fromkeys(("left", "right", "head"), PROFILE))
    moved = shifts(answer)
    assert set(moved) == {"left", "right", "head"}
    if followed is EDGE:
        assert moved == {"left": 0.0, "right": 0.0, "head": 0.0}
    else:
        assert 4 < moved["left"] < 8
        assert -8 < moved["right"] < -4
        assert 4 < moved["head"] < 8  # rows grow downward, into the opening
    assert all(one.doubt_px < 1.5 and one.border == "inner" for one in answer.values())


@pytest.mark.parametrize("followed", ["edge", "behind"])
def test_a_strip_seen_as_its_depth_says_is_what_lies_behind_and_its_outer_border_the_edge(followed: str) -> None:
    """A line 80 mm down both side walls is seen three times as far from the nearer wall's edge as from the other's."""
    behind = Line(depth_mm=80.0)
    pair = (EDGE, behind) if followed == "edge" else (behind, EDGE)
    moved = shifts(told(ASIDE, dict.fromkeys(("left", "right", "head"), pair), {}))
    if followed == "edge":
        assert moved == {"left": 0.0, "right": 0.0, "head": 0.0}
    else:
        assert moved["left"] < -4
        assert moved["right"] > 10


def test_from_the_middle_a_line_behind_is_as_far_from_both_edges_and_nothing_is_said() -> None:
    """A trim may be meant as well; nor is anything said of lines that differ in width or hue, or of one wall's alone."""
    trim = (EDGE, OUTER_BORDER)
    assert told(MIDDLE, dict.fromkeys(("left", "right"), (EDGE, Line(depth_mm=45.0))), {}) == {}
    assert told(ASIDE, {"left": trim, "right": (EDGE, Line(inside_mm=-19.0))}, {}) == {}
    assert told(ASIDE, dict.fromkeys(("left", "right"), trim), {"left": PROFILE, "right": (70, 110, 170)}) == {}
    assert told(ASIDE, {"left": trim}, {}) == {}


def test_one_wall_and_the_head_are_enough() -> None:
    """Where nothing is seen along the other wall."""
    answer = told(ASIDE, dict.fromkeys(("left", "head"), (OUTER_BORDER, EDGE)), dict.fromkeys(("left", "head"), PROFILE))
    assert set(answer) == {"left", "head"}


def test_a_head_with_a_strip_of_another_width_is_left_alone() -> None:
    """What the walls have is told of them; the head keeps its rival."""
    both = dict.fromkeys(("left", "right"), (OUTER_BORDER, EDGE))
    answer = told(ASIDE, both | {"head": (EDGE, Line(inside_mm=21.0))}, dict.fromkeys(("left", "right"), PROFILE))
    assert set(answer) == {"left", "right"}


def test_a_faint_line_is_not_taken_for_the_edge_by_a_width_that_happens_to_match() -> None:
    """Beside the right edge runs a line with half its score, a trim's width further in: the lining's side, not a trim."""
    left, right = (OUTER_BORDER, EDGE), (EDGE, Line(inside_mm=10.0))
    hues = dict.fromkeys(("left", "right"), PROFILE)
    clear = told(ASIDE, {"left": left, "right": right}, hues)
    assert set(clear) == {"left", "right"}
    assert told(ASIDE, {"left": left, "right": right}, hues, shares={"right": 0.5}) == {}
