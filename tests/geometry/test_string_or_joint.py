"""A plumb line in front of joints: it is one by itself, a joint is one of a row."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from vision.geometry.string_or_joint import in_a_row, look_beside
from vision.geometry.strips import take_strip
from vision.geometry.thin_line import observe_thin_line
from vision.settings import EdgeSettings

ROWS, COLUMNS, MIDDLE, SEARCH_PX = 900, 1200, 600, 6.0
TILE, JOINT, DARK = (205, 196, 180), (182, 172, 158), (60, 58, 56)
LEAN = 0.01


def wall(places: dict[int, tuple[int, int, int]], *, fan: float = 0.0) -> NDArray[np.uint8]:
    """A wall with lines of three pixels at these distances from the middle, `fan` further apart at the foot for each pixel."""
    rng = np.random.default_rng(4)
    pixels = np.empty((ROWS, COLUMNS, 3))
    pixels[:] = TILE
    for place, colour in places.items():
        for row in range(ROWS):
            at = round(MIDDLE + LEAN * row + place * (1 + fan * row / ROWS))
            pixels[row, at - 1 : at + 2] = colour
    return np.clip(pixels + rng.normal(0, 2.0, pixels.shape), 0, 255).astype(np.uint8)


def counted(pixels: NDArray[np.uint8], place: int = 0, off_px: float = 2.0) -> int:
    """Lines in one row with the one at this distance, marked a little off."""
    line = np.array([(MIDDLE + LEAN * y + place + off_px, y) for y in (60.0, 840.0)])
    strip = take_strip(pixels, line[0], line[1], 40)
    extent = strip.extent(line[0], line[1])
    points = observe_thin_line(strip, strip.of_polyline(line), extent, scale=1.0, search_px=SEARCH_PX, settings=EdgeSettings())
    assert points is not None
    return in_a_row(look_beside(pixels, line, 1.0), points)


@pytest.mark.parametrize("fan", [0.0, 0.05], ids=["parallel", "seen from below"])
def test_a_joint_is_one_of_a_row(fan: float) -> None:
    """Four others stand in step with it, also where they run apart."""
    assert counted(wall(dict.fromkeys((-260, -130, 0, 130, 260), JOINT), fan=fan)) == 4


@pytest.mark.parametrize("colour", [DARK, (250, 248, 240), (214, 150, 90)], ids=["dark", "bright", "orange"])
def test_a_string_of_another_look_is_one_by_itself(colour: tuple[int, int, int]) -> None:
    """Even where it hangs exactly in step with the joints behind it."""
    joints = dict.fromkeys((-260, -130, 130, 260), JOINT)
    assert counted(wall(joints | {0: colour})) == 0


def test_a_string_that_looks_like_a_joint_is_one_by_itself_out_of_step() -> None:
    """A third of a step beside the nearest joint."""
    assert counted(wall(dict.fromkeys((-220, -90, 0, 40, 170, 300), JOINT))) == 0


def test_two_lines_are_no_row() -> None:
    """A string and its shadow, or one joint beside it, say nothing."""
    assert counted(wall({0: DARK, 80: DARK})) == 0


def test_a_bare_wall_has_nothing_in_step_with_a_string() -> None:
    """Grain is no row of lines."""
    assert counted(wall({0: (190, 182, 168)})) == 0


def test_what_lies_across_or_is_short_is_not_looked_at() -> None:
    """A level line, and one of forty pixels."""
    pixels = wall({0: DARK})
    assert look_beside(pixels, np.array([(100.0, 400.0), (900.0, 410.0)]), 1.0) is None
    assert look_beside(pixels, np.array([(600.0, 400.0), (600.0, 430.0)]), 1.0) is None


def test_a_line_near_the_border_is_compared_with_what_the_picture_holds() -> None:
    """The joints on the one side of the last one of the picture make a row too."""
    assert counted(wall(dict.fromkeys((-580, -450, -320, -190), JOINT)), place=-580) == 2
