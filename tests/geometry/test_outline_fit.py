"""The fit of the outline's weights: it finds what tells the right candidate, and how often none is right."""

from __future__ import annotations

import numpy as np

from tests.benchmarks.outline_fit import Group, fitted, told


def group(seed: int, *, right: bool) -> Group:
    """Ten candidates; of two clues the first is high where a candidate is right, the second says nothing."""
    rng = np.random.default_rng(seed)
    clues = np.column_stack([rng.normal(0.2, 0.1, 10), rng.uniform(0, 1, 10)])
    off = np.full(10, 50.0)
    if right:
        clues[3, 0], off[3] = rng.normal(0.8, 0.1), 2.0
    corners = np.arange(10.0)[:, None, None] * 100 + np.zeros((10, 4, 2))
    return Group("one", str(seed), "as it is", clues, off, corners)


def test_the_right_candidate_is_told_and_none_where_none_is_right() -> None:
    """In photos that were not fitted to: sure of the right one, unsure of all where there is none."""
    weights = fitted([group(seed, right=seed % 5 > 0) for seed in range(60)], 0.1)

    assert weights[0] > 5 * abs(weights[1])
    for seed in range(100, 110):
        off, share = told(group(seed, right=True), weights)
        assert off == 2.0
        assert share > 0.5
        assert told(group(seed, right=False), weights)[1] < 0.5
