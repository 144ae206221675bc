"""Bands of raw pixels round a rough edge."""

from __future__ import annotations

import numpy as np
import pytest

from tests.tolerances import EXACT, PRINTED
from vision.geometry.strips import LINEAR, Array, take_strip

PICTURE = np.random.default_rng(1).integers(0, 256, (120, 90, 3), dtype=np.uint8)
UPRIGHT = (np.array([40.0, 10.0]), np.array([47.0, 100.0]))
LINEAR_ROUNDING = float(np.finfo(np.float32).eps)
"""the table is kept in float32"""
LEVEL = (np.array([5.0, 60.0]), np.array([80.0, 52.0]))


@pytest.mark.parametrize("ends", [UPRIGHT, LEVEL, UPRIGHT[::-1]], ids=["upright", "level", "downward"])
def test_a_strip_holds_the_photos_own_values(ends: tuple[Array, Array]) -> None:
    """No interpolation: every sample is a pixel of the photo, at the place that the strip says."""
    strip = take_strip(PICTURE, *ends, 8)
    for line in (0, strip.lines // 2, strip.lines - 1):
        at = strip.to_photo(np.full(17, line), strip.first[line] + np.arange(17)).astype(int)
        assert np.array_equal(strip.pixels[line], PICTURE[at[:, 1], at[:, 0]])


def test_scan_lines_run_across_the_edge() -> None:
    """An upright edge is scanned in rows, a level one in columns."""
    assert not take_strip(PICTURE, *UPRIGHT, 8).transposed
    assert take_strip(PICTURE, *LEVEL, 8).transposed


@pytest.mark.parametrize("ends", [UPRIGHT, LEVEL], ids=["upright", "level"])
def test_positions_go_there_and_back(ends: tuple[Array, Array]) -> None:
    """The line between the ends, as positions per scan line and back as photo points, lies on the line."""
    strip = take_strip(PICTURE, *ends, 8, 3)
    lines = np.arange(strip.lines)
    points = strip.to_photo(lines, strip.of_polyline(np.array(ends)))
    d = (ends[1] - ends[0]) / np.linalg.norm(ends[1] - ends[0])
    assert (points - ends[0]) @ [-d[1], d[0]] == pytest.approx(np.zeros(len(lines)), abs=EXACT)


def test_the_extent_counts_scan_lines_from_the_strips_first() -> None:
    """Ends in the order given, in the strip's own lines."""
    strip = take_strip(PICTURE, *UPRIGHT, 8, 4)
    assert strip.extent(*UPRIGHT) == (4.0, 94.0)
    assert strip.extent(*UPRIGHT[::-1]) == (94.0, 4.0)


def test_a_bent_polyline_is_followed_and_continued_straight() -> None:
    """Between its points straight, beyond its ends in the direction of the last piece."""
    strip = take_strip(PICTURE, np.array([40.0, 10.0]), np.array([40.0, 100.0]), 8, 5)
    bent = np.array([[40.0, 20.0], [42.0, 60.0], [38.0, 90.0]])
    position = strip.of_polyline(bent)
    for row, x in ((20, 40.0), (40, 41.0), (60, 42.0), (75, 40.0), (10, 39.5), (102, 36.4)):
        assert position[row - strip.start] == pytest.approx(x, abs=EXACT)


def test_the_picture_ends_the_strip() -> None:
    """Lines and samples outside the picture are left out, the width stays."""
    strip = take_strip(PICTURE, np.array([1.0, -20.0]), np.array([3.0, 300.0]), 8)
    assert (strip.start, strip.lines) == (0, 120)
    assert strip.first.min() == 0
    assert strip.pixels.shape == (120, 17, 3)


def test_an_edge_outside_the_picture_gives_no_lines() -> None:
    """Nothing to scan is not an error."""
    assert take_strip(PICTURE, np.array([10.0, 200.0]), np.array([12.0, 300.0]), 8).lines == 0


def test_codes_become_linear_light_as_the_standard_says() -> None:
    """IEC 61966-2-1: straight under 0.04045; half of full code is 21.4 percent of the light (from memory)."""
    assert (float(LINEAR[0]), float(LINEAR[255])) == (0.0, 1.0)
    assert float(LINEAR[10]) == pytest.approx(10 / 255 / 12.92, rel=LINEAR_ROUNDING)
    assert float(LINEAR[127] + LINEAR[128]) / 2 == pytest.approx(0.214, abs=PRINTED("0.214"))
