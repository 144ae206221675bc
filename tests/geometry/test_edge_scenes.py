"""Honesty of the stated covariance on a few scenes; the benchmark beside it prints the whole table by hand."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from scipy import stats

from tests.benchmarks.edge_scenes import INDEPENDENT, Table, simulate
from tests.benchmarks.edge_truth import LAYOUTS
from tests.tolerances import EXACT

SCENES = 10
"""of each of five layouts: fifty in all"""
ONCE_IN = 1e-3
"""a right program leaves each limit once in a thousand choices of seed; the seed is fixed"""


@cache
def tables() -> tuple[Table, ...]:
    """Without the scenes that a check refuses as tilt-two-ways: of these nobody gets a size (edge_table.py counts alike)."""
    found = (simulate(layout, SCENES, seed=2, with_checks=True) for layout in LAYOUTS)
    return tuple(Table(t.layout, tuple(o for o in t.outcomes if not o.two_tilts), t.failed) for t in found)


def limits(distribution: stats.rv_continuous) -> tuple[float, float]:
    return float(distribution.ppf(ONCE_IN / 2)), float(distribution.ppf(1 - ONCE_IN / 2))


def test_every_scene_is_adjusted() -> None:
    """None of them is refused."""
    assert [t.failed for t in tables()] == [0] * len(LAYOUTS)


def test_the_whitened_errors_are_as_large_as_they_should_be() -> None:
    """Their squares, over all scenes, sum to a chi-square of as many degrees of freedom as there are numbers."""
    total = sum(float(t.whitened.sum()) for t in tables())
    low, high = limits(stats.chi2(len(INDEPENDENT) * sum(len(t.outcomes) for t in tables())))
    assert low < total < high


@pytest.mark.parametrize("index", range(len(LAYOUTS)), ids=list(LAYOUTS))
def test_the_whitened_errors_of_a_layout_are_as_large_as_they_should_be(index: int) -> None:
    """The same for each layout alone."""
    low, high = limits(stats.chi2(len(INDEPENDENT) * len(tables()[index].outcomes)))
    assert low < float(tables()[index].whitened.sum()) < high


def test_intervals_hold_the_truth_as_often_as_they_say() -> None:
    """Whitened errors lie within 1.96 as often as a binomial of 95 % allows."""
    whitened = np.concatenate([o.whitened_errors() for t in tables() for o in t.outcomes])
    inside = int(np.sum(np.abs(whitened) <= stats.norm.ppf(0.975)))
    low, high = limits(stats.binom(len(whitened), 0.95))
    assert low <= inside <= high


def test_no_quantity_is_stated_with_the_wrong_sign_or_offset() -> None:
    """Errors over their stated sd average to nothing over the fifty scenes, for each quantity alone."""
    names = tables()[0].outcomes[0].stated.names
    scores = np.array([o.error / o.stated.sd for t in tables() for o in t.outcomes])
    limit = float(stats.norm.ppf(1 - ONCE_IN / (2 * len(names)))) / np.sqrt(len(scores))
    assert {n: round(float(m), 2) for n, m in zip(names, scores.mean(axis=0), strict=True) if abs(m) > limit} == {}


def test_every_budget_adds_up() -> None:
    """Squares by source sum to the stated variance."""
    for outcome in (t.outcomes[0] for t in tables()):
        for k, name in enumerate(outcome.stated.names):
            total = sum(sd**2 for sd in outcome.stated.budget(name).values())
            assert total == pytest.approx(outcome.stated.covariance[k, k], rel=EXACT)
