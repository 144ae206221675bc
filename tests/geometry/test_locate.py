"""An edge to about a pixel, from rough ends."""

from __future__ import annotations

import numpy as np
import pytest

from tests.geometry.painted import Edge, Line, as_jpeg, picture_of
from vision.geometry.locate import RIVAL_PX, RIVAL_SHARE, locate_course, locate_edge
from vision.geometry.strips import take_strip

ROWS, COLUMNS, ROUGH_PX, SEARCH_PX = 600, 140, 15.0, 18.0
EDGES = {
    "dark, light": Edge((70, 72, 75), (205, 204, 200), 70.0),
    "white on white": Edge((228, 228, 226), (240, 240, 238), 70.0),
    "equal grey": Edge((200, 120, 120), (105, 160, 150), 70.0),
    "dark line": Edge((205, 204, 200), (150, 150, 150), 70.0, line=Line(1, 2.0, (60, 60, 60))),
    "bent": Edge((70, 72, 75), (205, 204, 200), 70.0, sag=3.0),
}


@pytest.mark.parametrize("name", EDGES)
def test_an_edge_is_found_from_ends_fifteen_pixels_off(name: str) -> None:
    """To a pixel and a half all along, whatever the side on which the ends are off."""
    edge = EDGES[name]
    pixels = as_jpeg(picture_of(edge, rows=ROWS, columns=COLUMNS))
    for seed in range(6):
        off = np.random.default_rng(seed).uniform(-ROUGH_PX, ROUGH_PX, 2)
        ends = [np.array([float(edge.x(np.array([y]), ROWS)[0]) + d, y]) for y, d in zip((5.0, ROWS - 6.0), off, strict=True)]
        strip = take_strip(pixels, ends[0], ends[1], 40)
        rough = strip.of_polyline(np.array(ends))
        found = locate_edge(strip, rough, strip.extent(*ends), search_px=SEARCH_PX, sag_px=6.0, box_px=6)
        assert found is not None
        error = found - edge.x(np.arange(strip.lines) + strip.start, ROWS)
        assert float(np.abs(error).max()) < 1.5 + (edge.line.width_px if edge.line else 0.0), seed


def test_a_bare_wall_has_no_edge() -> None:
    """Noise is not followed."""
    pixels = picture_of(Edge((200, 200, 198), (200, 200, 198), 70.0), rows=ROWS, columns=COLUMNS)
    ends = np.array([70.0, 5.0]), np.array([70.0, ROWS - 6.0])
    strip = take_strip(pixels, *ends, 40)
    rough = strip.of_polyline(np.array(ends))
    assert locate_edge(strip, rough, strip.extent(*ends), search_px=SEARCH_PX, sag_px=6.0, box_px=6) is None


def test_one_long_edge_beats_short_strong_ones() -> None:
    """Joints of tile beside a wall's edge, strong but a tenth as long, do not draw it away."""
    edge = Edge((190, 188, 182), (160, 162, 166), 70.0)
    pixels = picture_of(edge, rows=ROWS, columns=COLUMNS)
    for top in range(20, ROWS, 120):
        pixels[top : top + 14, 78:84] = 40
    ends = np.array([62.0, 5.0]), np.array([80.0, ROWS - 6.0])
    strip = take_strip(pixels, *ends, 40)
    rough = strip.of_polyline(np.array(ends))
    found = locate_edge(strip, rough, strip.extent(*ends), search_px=SEARCH_PX, sag_px=6.0, box_px=6)
    assert found is not None
    assert float(np.abs(found - edge.x(np.arange(strip.lines) + strip.start, ROWS)).max()) < 1.5


def test_too_short_an_edge_is_not_sought() -> None:
    """Fewer than six scan lines say nothing."""
    strip = take_strip(
        picture_of(EDGES["dark, light"], rows=60, columns=COLUMNS), np.array([70.0, 10.0]), np.array([70.0, 14.0]), 40
    )
    assert locate_edge(strip, np.full(strip.lines, 70.0), (0.0, 4.0), search_px=SEARCH_PX, sag_px=0.0, box_px=6) is None


def test_a_second_line_as_clear_is_told_and_a_lone_one_has_none() -> None:
    """A head and the border of its underside: two changes of surface 22 px apart. One change alone has no rival."""
    lone = Edge((150, 120, 125), (95, 105, 100), 62.0)
    for second, told in ((0, False), (22, True)):
        pixels = picture_of(lone, rows=ROWS, columns=COLUMNS)
        if second:
            pixels[:, int(lone.at) + second :] = (60, 140, 150)
        ends = np.array([72.0, 5.0]), np.array([74.0, ROWS - 6.0])
        strip = take_strip(pixels, *ends, 40)
        rough = strip.of_polyline(np.array(ends))
        course = locate_course(
            strip, rough, strip.extent(*ends), search_px=SEARCH_PX, sag_px=3.0, box_px=6, surfaces=True, apart_px=RIVAL_PX
        )
        assert course is not None
        assert (course.rival is not None) == told
        if course.rival is not None:
            assert 0.6 * second < course.rival.apart_px < 1.2 * second
            assert RIVAL_SHARE < course.rival.share <= 1.0
