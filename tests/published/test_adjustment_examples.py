"""Two more published adjustments, beside the level net with data snooping: the judge's algebra to the printed digits.

B  GNU Gama, sample of a levelling network in one dimension (vrmapper.com/gama/1doutput.html): eight height differences of
   5 mm each between four points, one of them fixed.
C  E. M. Mikhail and F. Ackermann (1976), Observations and Least Squares, table 7-1 and examples 7.4 and 7.11: eight height
   differences between five points, weights 1/(0.1 d); inputs as quoted by a public exercise, results recomputed beside it.
"""

from __future__ import annotations

import numpy as np
import pytest

from tests.tolerances import EXACT, PRINTED
from vision.gaussian import Array
from vision.judge.algebra import amounts, reduced_precision

GAMA_POINTS = ("4", "3", "2")
GAMA = (
    ("1a", "4", -1.225), ("4", "3", -0.848), ("3", "2", 1.342), ("2", "1a", 0.720), ("1a", "2", -0.724), ("2", "3", -1.335),
    ("3", "4", 0.842), ("4", "1a", 1.231),
)  # fmt: skip
LEVELS = "BCDE"
MIKHAIL = (
    ("A", "B", 25.42, 18.1), ("B", "C", 10.34, 9.4), ("C", "A", -35.20, 14.2), ("B", "D", -15.54, 17.6),
    ("D", "E", 21.32, 13.5), ("E", "C", 4.82, 9.9), ("E", "A", -31.02, 13.8), ("C", "D", -26.11, 14.0),
)  # fmt: skip


def net(rows: tuple[tuple[str, str, float], ...], points: str | tuple[str, ...], fixed_m: float) -> tuple[Array, Array]:
    """Columns of the free heights and the differences less what the fixed point contributes, m."""
    A, d = np.zeros((len(rows), len(points))), np.zeros(len(rows))
    for i, (start, end, difference) in enumerate(rows):
        d[i] = difference
        for sign, name in ((-1.0, start), (1.0, end)):
            if name in points:
                A[i, points.index(name)] = sign
            else:
                d[i] -= sign * fixed_m
    return A, d


A_B, D_B = net(GAMA, GAMA_POINTS, 1000.0)
C_B = np.eye(8) * 0.005**2
A_C, D_C = net(tuple(row[:3] for row in MIKHAIL), LEVELS, 800.0)
C_C = np.diag([0.1 * row[3] for row in MIKHAIL])


@pytest.mark.parametrize(("point", "printed"), list(enumerate(["998.77513", "997.93325", "999.27487"])))
def test_gama_heights_are_as_printed(point: int, printed: str) -> None:
    """Heights of the three free points, m (the last lies midway between two last digits: hence the rounding of float64)."""
    assert amounts(C_B, A_B, D_B)[0][point] == pytest.approx(float(printed), abs=PRINTED(printed) + EXACT)


@pytest.mark.parametrize(("point", "printed"), list(enumerate(["3.1", "3.5", "3.1"])))
def test_gama_standard_deviations_are_as_printed(point: int, printed: str) -> None:
    """With the standard deviation stated beforehand, mm."""
    assert 1000 * amounts(C_B, A_B, D_B)[1][point] == pytest.approx(float(printed), abs=PRINTED(printed))


def test_gama_sum_of_squares_and_largest_residual_are_as_printed() -> None:
    """[pvv] 146.625, m0 5.42 of five degrees of freedom, the largest normalised residual 1.68 at the sixth observation."""
    M = reduced_precision(C_B, A_B)
    total = D_B @ M @ D_B * 25.0
    w = np.abs(M @ D_B) / np.sqrt(np.diag(M))
    assert total == pytest.approx(146.625, abs=PRINTED("146.625"))
    assert np.sqrt(total / 5) == pytest.approx(5.42, abs=PRINTED("5.42"))
    assert int(np.argmax(w)) == 5
    assert w[5] == pytest.approx(1.68, abs=PRINTED("1.68"))


def test_gama_redundancies_are_as_printed() -> None:
    """0.625 for each of the eight."""
    assert np.diag(C_B @ reduced_precision(C_B, A_B)) == pytest.approx(np.full(8, 0.625), abs=PRINTED("0.625"))


@pytest.mark.parametrize(("point", "printed"), list(enumerate(["825.2206", "835.5354", "809.5339", "830.8460"])))
def test_mikhail_and_ackermann_heights_are_as_printed(point: int, printed: str) -> None:
    """Heights of B, C, D, E."""
    assert amounts(C_C, A_C, D_C)[0][point] == pytest.approx(float(printed), abs=PRINTED(printed))


@pytest.mark.parametrize(("point", "printed"), list(enumerate(["0.181", "0.161", "0.201", "0.171"])))
def test_mikhail_and_ackermann_standard_deviations_are_as_printed(point: int, printed: str) -> None:
    """Scaled with s0 of four degrees of freedom, whose square is 0.040428."""
    M = reduced_precision(C_C, A_C)
    s0_squared = D_C @ M @ D_C / 4
    assert s0_squared == pytest.approx(0.040428, abs=PRINTED("0.040428"))
    assert amounts(C_C, A_C, D_C)[1][point] * np.sqrt(s0_squared) == pytest.approx(float(printed), abs=PRINTED(printed))


@pytest.mark.parametrize(
    ("row", "printed"), list(enumerate(["0.555", "0.404", "0.546", "0.549", "0.471", "0.454", "0.475", "0.546"]))
)
def test_mikhail_and_ackermann_redundancies_are_as_printed(row: int, printed: str) -> None:
    """r_i = (C M)_ii."""
    assert (C_C @ reduced_precision(C_C, A_C))[row, row] == pytest.approx(float(printed), abs=PRINTED(printed))
