"""The fit of the outline's weights: it finds what tells the right candidate, and how often none is right."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from tests.benchmarks.outline_fit import Group, fitted, panel, told


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
        off, share = told(group(seed, right=True), weights[None])
        assert off == 2.0
        assert share > 0.5
        assert told(group(seed, right=False), weights[None])[1] < 0.5


def test_what_only_one_authors_rooms_say_is_not_trusted() -> None:
    """A clue that is right in one author's rooms alone has no say in the models that have not seen these."""
    groups = [replace(group(seed, right=True), hand=str(seed % 3)) for seed in range(60)]
    for one in groups:
        one.clues[:, 1] = (one.off < 50.0) if one.hand == "0" else 0.5
    weights = panel(groups, 0.1)
    odd = group(200, right=True)
    odd.clues[:, 1] = odd.off < 50.0

    assert weights.shape == (4, 3)
    assert weights[0, 1] > 1.0
    assert abs(weights[1, 1]) < 0.1  # without author 0
    assert told(odd, weights)[1] <= min(told(odd, one[None])[1] for one in weights) + 1e-9
