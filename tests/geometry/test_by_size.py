"""Where rectangles of a card's size are looked for closely, and how their lines are averaged."""

from __future__ import annotations

import numpy as np
import pytest

from vision.geometry.by_size import PIECES, _by_pieces, _reaches_into
from vision.geometry.squared import steps_across

OUTLINE = np.array([[1000.0, 3000.0], [2000.0, 3000.0], [2000.0, 1000.0], [1000.0, 1000.0]])


def place(x: float, y: float = 2000.0) -> np.ndarray:
    """A sheet of 200 x 280 px with its middle here."""
    return np.array([[x - 100, y + 140], [x + 100, y + 140], [x + 100, y - 140], [x - 100, y - 140]])


@pytest.mark.parametrize(
    ("x", "reaches"), [(1500.0, True), (1100.0, True), (1010.0, True), (980.0, False), (700.0, False), (2300.0, False)]
)
def test_a_place_deep_inside_the_outline_is_passed_over_and_one_across_its_edge_is_not(x: float, reaches: bool) -> None:
    """By 45 px: half of the sheet, 50 px to either side of its middle, is its core."""
    assert _reaches_into(OUTLINE, place(x), 45.0) is reaches


def test_averaging_pixels_first_gives_the_same_lines() -> None:
    """Against the steps of all pixels averaged piece by piece, to single precision."""
    band = np.random.default_rng(5).uniform(0, 255, (53, 80, 3)).astype(np.float32)
    steps, n = steps_across(band, 1).astype(np.float64), 53 // PIECES
    total = np.zeros(80)
    for k in range(0, 53 - n + 1, n):
        square = np.sum(steps[k : k + n : 2].mean(axis=0) * steps[k + 1 : k + n : 2].mean(axis=0), axis=1)
        size = np.sqrt(np.abs(square))
        total += np.sign(square) * size * 8 / (size + 8)
    assert np.allclose(_by_pieces(band), np.maximum(total / PIECES, 0), atol=1e-4)
