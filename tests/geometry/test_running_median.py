"""The running median by a sorting network."""

from __future__ import annotations

import numpy as np
import pytest

from vision.geometry.running_median import network, running_median


@pytest.mark.parametrize("count", [3, 5, 7, 11])
def test_it_is_the_median_of_the_neighbours(count: int) -> None:
    """Against numpy's, value for value, the ends included; more rows than are taken at once."""
    values = np.random.default_rng(count).integers(0, 9, (19, 30, 3)).astype(np.float32)
    half = count // 2
    wide = np.pad(values, ((0, 0), (half, half), (0, 0)), mode="edge")
    expected = np.median([wide[:, k : k + values.shape[1]] for k in range(count)], axis=0)

    assert np.array_equal(running_median(values, count), expected)


def test_every_order_of_zeros_and_ones_is_sorted_to_its_median() -> None:
    """A network of exchanges that is right for all of them is right for every input (the zero-one principle)."""
    for bits in range(2**11):
        places = [bits >> k & 1 for k in range(11)]
        expected = sorted(places)[5]
        for low, high in network(11):
            places[low], places[high] = min(places[low], places[high]), max(places[low], places[high])
        assert places[5] == expected
