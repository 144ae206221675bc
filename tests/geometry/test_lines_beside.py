"""Lines beside a located edge, also further off than rough corners may be."""

from __future__ import annotations

import numpy as np
import pytest

from vision.geometry.lines_beside import lines_beside
from vision.geometry.locate import Course, locate_course
from vision.geometry.strips import Strip, take_strip

WALL, TRIM, INSIDE = (165, 170, 172), (222, 224, 226), (70, 60, 52)
TOP, FOOT, EDGE_X = 60.0, 940.0, 100.0
REACH_PX = 32.0


def seen(trim_px: int, *, covered: tuple[int, int] | None = None) -> tuple[Strip, Course]:
    """An upright edge with a trim of this width, hidden behind a towel between two rows, as followed."""
    rng = np.random.default_rng(5)
    pixels = np.full((1000, 200, 3), WALL, dtype=np.float64)
    pixels[:, int(EDGE_X) :] = INSIDE
    pixels[:, int(EDGE_X) - trim_px : int(EDGE_X)] = TRIM
    if covered is not None:
        pixels[slice(*covered), : int(EDGE_X)] = WALL
    codes = np.clip(np.round(pixels + rng.normal(0, 2, pixels.shape)), 0, 255).astype(np.uint8)
    strip = take_strip(codes, np.array([EDGE_X, TOP]), np.array([EDGE_X, FOOT]), 40)
    rough = strip.of_polyline(np.array([[EDGE_X, TOP], [EDGE_X, FOOT]]))
    course = locate_course(strip, rough, (0.0, FOOT - TOP), search_px=10.0, sag_px=3.0, box_px=6, surfaces=True, apart_px=6.0)
    assert course is not None
    return strip, course


def beside(strip: Strip, course: Course) -> list[float]:
    """How far the lines that come to those it has run from the one that was followed, px."""
    wider = lines_beside(course, strip, (0.0, FOOT - TOP), reach_px=REACH_PX, scale=1.0)
    assert len(wider.shares) == len(wider.others)
    assert wider.others[: len(course.others)] == course.others
    return [float(away.mean()) for away in wider.others[len(course.others) :]]


@pytest.mark.parametrize("trim_px", [16, 22, 28])
def test_the_other_border_of_a_trim_is_seen_beyond_the_search(trim_px: int) -> None:
    """The edge is sought 10 px about its rough ends, the trim's outer border lies further off."""
    strip, course = seen(trim_px)
    assert beside(strip, course) == pytest.approx([-trim_px], abs=1.0)


def test_what_is_seen_along_a_part_only_is_no_line() -> None:
    """The trim ends after a quarter of the height."""
    assert beside(*seen(22, covered=(250, 1000))) == []


def test_a_line_that_is_known_is_not_told_twice() -> None:
    """The outer border of the trim is among the courses already."""
    strip, course = seen(22)
    known = Course(course.curve, None, (np.full_like(course.curve, -21.0),), (0.9,))
    assert beside(strip, known) == []


def test_an_edge_alone_has_nothing_beside_it() -> None:
    """Wall on one side and the dark inside on the other, and no line but the edge."""
    assert beside(*seen(0)) == []


def test_an_edge_too_short_to_tell_is_left_as_it_is() -> None:
    """Four scan lines are no edge."""
    strip, course = seen(22)
    assert lines_beside(course, strip, (0.0, 4.0), reach_px=REACH_PX, scale=1.0) is course
