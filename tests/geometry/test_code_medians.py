"""Medians of codes are numpy's own."""

from __future__ import annotations

import numpy as np
import pytest

from vision.geometry.code_medians import median_of_codes, spread_of_codes


@pytest.mark.parametrize("shape", [(1, 1, 3), (7, 4, 3), (8, 17, 3), (61, 50, 3)])
@pytest.mark.parametrize("axis", [0, 1])
def test_median_and_spread_of_codes_are_numpy_s_for_odd_and_even_counts(shape: tuple[int, int, int], axis: int) -> None:
    """Odd and even counts, along either axis."""
    codes = np.random.default_rng(7).integers(0, 256, shape).astype(np.uint8)
    median = np.median(codes, axis=axis)
    assert np.array_equal(median_of_codes(codes, axis), median)
    assert spread_of_codes(codes, median, axis) == np.median(np.abs(codes - np.expand_dims(median, axis)))
