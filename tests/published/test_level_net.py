"""A level net with data snooping: the judge's algebra on a published adjustment.

Source: OSGeoLabBp tutorials, english/data_processing/level_net (Z. Siki, 2012 to 2014), six height differences between
four points, point 4 fixed, weights 1/(0.7 L)^2; the printed residuals, w, redundancies and vPv.
"""

from __future__ import annotations

import numpy as np
import pytest

from tests.tolerances import PRINTED
from vision.judge.algebra import amounts, reduced_precision

NET = (
    (1, 2, -0.749, 1.1), (1, 3, -1.274, 1.8), (1, 4, -2.890, 1.4), (2, 3, -0.530, 1.5), (2, 4, -2.141, 1.9), (3, 4, -1.614, 0.9),
)  # fmt: skip
"""from, to, height difference in m, length in km"""
FIXED = 101.345
SIGMA = np.array([0.7 * length for *_, length in NET])
"""mm"""

A = np.zeros((6, 3))
d = np.zeros(6)
for row, (start, end, difference, _) in enumerate(NET):
    A[row, start - 1] = -1.0
    if end < 4:
        A[row, end - 1] = 1.0
    d[row] = (difference - (FIXED if end == 4 else 0.0)) * 1000.0
C = np.diag(SIGMA**2)
M = reduced_precision(C, A)


@pytest.mark.parametrize(("point", "printed"), [(0, "104.2350"), (1, "103.4868"), (2, "102.9588")])
def test_heights_are_as_printed(point: int, printed: str) -> None:
    """The explained amounts are the heights of the three free points."""
    assert amounts(C, A, d)[0][point] / 1000.0 == pytest.approx(float(printed), abs=PRINTED(printed))


@pytest.mark.parametrize(("row", "printed"), list(enumerate(["0.81", "-2.18", "0.00", "2.01", "-0.81", "0.18"])))
def test_residuals_are_as_printed(row: int, printed: str) -> None:
    """What the heights leave over, adjusted less observed, in mm: -C M d."""
    assert -(C @ M @ d)[row] == pytest.approx(float(printed), abs=PRINTED(printed))


@pytest.mark.parametrize(("row", "printed"), list(enumerate(["1.880", "2.085", "0.004", "2.592", "0.722", "0.590"])))
def test_standardised_residuals_are_as_printed(row: int, printed: str) -> None:
    """|w_i| = |(M d)_i| / sqrt(M_ii)."""
    assert abs((M @ d)[row]) / np.sqrt(M[row, row]) == pytest.approx(float(printed), abs=PRINTED(printed))


@pytest.mark.parametrize(("row", "printed"), list(enumerate(["0.314", "0.686", "0.511", "0.547", "0.707", "0.234"])))
def test_redundancies_are_as_printed(row: int, printed: str) -> None:
    """r_i = (C M)_ii; together they are the three degrees of freedom."""
    assert (C @ M)[row, row] == pytest.approx(float(printed), abs=PRINTED(printed))


def test_the_sum_of_squares_is_as_printed() -> None:
    """T(A) = d' M d is vPv."""
    assert d @ M @ d == pytest.approx(8.217, abs=PRINTED("8.217"))


@pytest.mark.parametrize(("point", "printed"), [(0, "1.13"), (1, "1.19"), (2, "0.91")])
def test_standard_deviations_of_the_heights_are_as_printed(point: int, printed: str) -> None:
    """Scaled with m0 = sqrt(vPv / 3) as the source does, in mm."""
    m0 = np.sqrt(d @ M @ d / 3)
    assert amounts(C, A, d)[1][point] * m0 == pytest.approx(float(printed), abs=PRINTED(printed))
