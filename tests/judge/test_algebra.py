"""Least squares for the judge, against plain formulas."""

from __future__ import annotations

import numpy as np
import pytest

from tests.tolerances import EXACT, SAMPLED_SD
from vision.judge.algebra import amounts, reduced_precision, spans, whiten


def covariance(n: int, seed: int = 4) -> np.ndarray:
    half = np.random.default_rng(seed).normal(size=(n, n + 2))
    return half @ half.T


def test_whitened_errors_are_independent_and_of_unit_size() -> None:
    """L^-1 C L^-T is the identity."""
    C = covariance(5)
    W = whiten(C, np.eye(5))
    whitened = W @ C @ W.T
    assert whitened == pytest.approx(np.eye(5), abs=EXACT)


def test_reduced_precision_is_the_formula() -> None:
    """M(A) is C^-1 less the part that the columns take up."""
    C, A = covariance(6), np.random.default_rng(1).normal(size=(6, 2))
    P = np.linalg.inv(C)
    expected = P - P @ A @ np.linalg.inv(A.T @ P @ A) @ A.T @ P
    assert reduced_precision(C, A) == pytest.approx(expected, abs=EXACT)


def test_without_columns_it_is_the_precision() -> None:
    """M(nothing) is C^-1."""
    C = covariance(4)
    assert reduced_precision(C, np.zeros((4, 0))) == pytest.approx(np.linalg.inv(C), abs=EXACT)


def test_what_is_explained_has_no_weight_left() -> None:
    """M(A) A is zero, also where a column repeats another."""
    C, A = covariance(5), np.eye(5)[:, [0, 2, 0]]
    assert reduced_precision(C, A) @ A == pytest.approx(np.zeros((5, 3)), abs=EXACT)


def test_freeing_a_reading_equals_leaving_it_out() -> None:
    """The others then have the precision of the smaller set."""
    C = covariance(4)
    M = reduced_precision(C, np.eye(4)[:, [1]])
    rest = [0, 2, 3]
    assert M[np.ix_(rest, rest)] == pytest.approx(np.linalg.inv(C[np.ix_(rest, rest)]), abs=EXACT)


def test_amounts_recover_what_was_put_in() -> None:
    """d = A b gives back b."""
    C, A = covariance(5), np.random.default_rng(2).normal(size=(5, 2))
    b, _ = amounts(C, A, A @ np.array([3.0, -2.0]))
    assert b == pytest.approx([3.0, -2.0], rel=EXACT)


def test_the_sd_of_an_amount_is_its_scatter() -> None:
    """Over many draws of d the amounts scatter as stated."""
    C, A, draws = covariance(4), np.ones((4, 1)), 4000
    L = np.linalg.cholesky(C)
    rng = np.random.default_rng(3)
    found = [amounts(C, A, L @ rng.standard_normal(4)) for _ in range(draws)]
    assert np.std([b[0] for b, _ in found]) == pytest.approx(found[0][1][0], rel=SAMPLED_SD(draws))


def test_one_space_is_told_to_lie_in_another() -> None:
    """All-ones lies in the span of two complementary groups, a single one does not."""
    groups = np.array([[1.0, 0.0], [1.0, 0.0], [0.0, 1.0]])
    assert spans(groups, np.ones((3, 1)))
    assert not spans(groups, np.eye(3)[:, [0]])
