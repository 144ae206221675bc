"""A plumb line: a string of a pixel or two, dark or bright."""

from __future__ import annotations

import numpy as np
import pytest

from tests.geometry.painted import Edge, Line, as_jpeg, picture_of
from vision.geometry.edges import EdgePoints
from vision.geometry.strips import take_strip
from vision.geometry.thin_line import observe_thin_line
from vision.settings import EdgeSettings

ROWS, COLUMNS, WIDTH = 500, 110, 2.0
SETTINGS = EdgeSettings()
WALL, PALE = (186, 184, 178), (215, 214, 210)
STRINGS = {"dark": (WALL, WALL, (40, 40, 44)), "bright": (WALL, WALL, (245, 245, 240)), "orange": (WALL, WALL, (230, 120, 30))}


def string(name: str, seed: int) -> Edge:
    rng = np.random.default_rng(seed)
    left, right, colour = STRINGS[name]
    return Edge(left, right, 55 + rng.uniform(-1, 1), rng.normal(0, 0.004), line=Line(1, WIDTH, colour))


def observed(edge: Edge, seed: int, *, off_px: float = 10.0, jpeg: bool = False) -> EdgePoints | None:
    """From two rough points, each off by up to this much."""
    rng = np.random.default_rng([seed, 1])
    pixels = picture_of(edge, rows=ROWS, columns=COLUMNS, seed=seed)
    pixels = as_jpeg(pixels) if jpeg else pixels
    rough = [np.array([float(edge.x(np.array([y]), ROWS)[0]) + rng.uniform(-off_px, off_px), y]) for y in (20.0, ROWS - 20.0)]
    strip = take_strip(pixels, rough[0], rough[1], 40)
    curve = strip.of_polyline(np.array(rough))
    return observe_thin_line(strip, curve, strip.extent(*rough), scale=1.0, search_px=18.0, settings=SETTINGS)


@pytest.mark.parametrize("jpeg", [False, True], ids=["raw", "jpeg"])
@pytest.mark.parametrize("name", STRINGS)
def test_a_string_is_found_to_sub_pixel(name: str, jpeg: bool) -> None:
    """Its middle, over four draws, is true within the stated bias, and so is its slope over the length."""
    for seed in range(4):
        edge = string(name, seed)
        points = observed(edge, seed, jpeg=jpeg)
        assert points is not None
        error = points.points_px[:, 0] - (edge.x(points.points_px[:, 1], ROWS) + WIDTH / 2)
        slope, middle = np.polyfit(points.along, error, 1)
        assert abs(middle) < 2 * points.bias_sd_px
        assert abs(slope) < 2 * points.bias_sd_px


def test_a_step_is_no_string() -> None:
    """An edge between two surfaces is not taken for one."""
    assert observed(Edge(WALL, (120, 118, 112), 55.0, 0.002), 1) is None


def test_a_bare_wall_has_no_string() -> None:
    """Noise alone does not stand out."""
    assert observed(Edge(WALL, WALL, 55.0), 2) is None


def test_along_follows_the_points_given() -> None:
    """From -1 at the first rough point to 1 at the second, by scan lines."""
    points = observed(string("dark", 5), 5)
    assert points is not None
    assert np.all(np.diff(points.along) > 0)
    assert points.along.min() > -1
    assert points.along.max() < 1


@pytest.mark.parametrize("gone", [0.3, 0.6], ids=["a third", "most"])
def test_a_string_that_is_lost_beside_another_line_is_doubted_or_refused(gone: float) -> None:
    """Over a part of the height it goes on 5 px further right: the slope stays within its doubt, or nothing is said."""
    rows = np.arange(ROWS)
    pixels = picture_of(Edge(WALL, WALL, 55.0, 0.0), rows=ROWS, columns=COLUMNS, seed=3)
    for row, at in zip(rows, np.where(rows < gone * ROWS, 60, 55), strict=True):
        pixels[row, at : at + 2] = STRINGS["dark"][2]
    rough = [np.array([55.0, 20.0]), np.array([55.0, ROWS - 20.0])]
    strip = take_strip(pixels, rough[0], rough[1], 40)
    points = observe_thin_line(
        strip, strip.of_polyline(np.array(rough)), strip.extent(*rough), scale=1.0, search_px=18.0, settings=SETTINGS
    )
    if points is not None:
        slope = float(np.polyfit(points.along, points.points_px[:, 0], 1)[0])
        assert abs(slope) < 2 * points.bias_sd_px
