"""JCGM 100:2008 (GUM), example H.2: resistance, reactance and impedance from correlated means of the same five readings.

Voltage, current and phase as in table H.2; printed results in tables H.3 and H.4.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from tests.tolerances import EXACT, PRINTED
from vision.gaussian import Array, Gaussian

READINGS = np.array(
    [
        [5.007, 4.994, 5.005, 4.990, 4.999],
        [19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3],
        [1.0456, 1.0438, 1.0468, 1.0428, 1.0433],
    ]
)
"""V in volts, I in amperes, phi in radians; five simultaneous readings of each"""


def means() -> Gaussian:
    """The means as a record: one source, five variables, one for each set of simultaneous readings."""
    mean = READINGS.mean(axis=1)
    return Gaussian(("V", "I", "phi"), mean, {"repeats": (READINGS - mean[:, None]) / math.sqrt(5 * 4)})


def results() -> Gaussian:
    """R = V/I cos(phi), X = V/I sin(phi), Z = V/I, in ohms."""
    v, i, phi = means().mean
    jacobian = np.array(
        [
            [math.cos(phi) / i, -v * math.cos(phi) / i**2, -v * math.sin(phi) / i],
            [math.sin(phi) / i, -v * math.sin(phi) / i**2, v * math.cos(phi) / i],
            [1 / i, -v / i**2, 0.0],
        ]
    )
    return means().propagate(jacobian, ("R", "X", "Z"), v / i * np.array([math.cos(phi), math.sin(phi), 1.0]))


def correlations(of: Gaussian) -> Array:
    return np.asarray(of.covariance / np.outer(of.sd, of.sd))


@pytest.mark.parametrize(("name", "printed", "scale"), [("V", "0.0032", 1.0), ("I", "0.0095", 1000.0), ("phi", "0.00075", 1.0)])
def test_means_have_the_printed_uncertainties(name: str, printed: str, scale: float) -> None:
    """Experimental standard deviations of the means as in table H.2."""
    assert means().u(name) * scale == pytest.approx(float(printed), abs=PRINTED(printed))


@pytest.mark.parametrize(("row", "column", "printed"), [(0, 1, "-0.36"), (0, 2, "0.86"), (1, 2, "-0.65")])
def test_means_have_the_printed_correlations(row: int, column: int, printed: str) -> None:
    """The common readings correlate the inputs as in table H.2."""
    assert correlations(means())[row, column] == pytest.approx(float(printed), abs=PRINTED(printed))


@pytest.mark.parametrize(
    ("name", "value", "u", "slack"), [("R", "127.732", "0.071", 1), ("X", "219.847", "0.295", 2), ("Z", "254.260", "0.236", 1)]
)
def test_results_are_as_printed(name: str, value: str, u: str, slack: int) -> None:
    """Values and combined standard uncertainties of table H.3; u(X) is 0.2956, which the table cuts instead of rounding."""
    assert results().value(name) == pytest.approx(float(value), abs=PRINTED(value))
    assert results().u(name) == pytest.approx(float(u), abs=slack * PRINTED(u))


@pytest.mark.parametrize(("row", "column", "printed"), [(0, 1, "-0.588"), (0, 2, "-0.485"), (1, 2, "0.993")])
def test_results_are_correlated_as_printed(row: int, column: int, printed: str) -> None:
    """Correlations of R, X and Z; r(X, Z) is 0.9925 and lies on the edge of the printed digit."""
    assert correlations(results())[row, column] == pytest.approx(float(printed), abs=PRINTED(printed))


def test_the_difference_of_a_result_with_itself_is_exactly_nothing() -> None:
    """A record less itself has no uncertainty: no correlation is lost on the way."""
    nothing = results().minus(results())
    assert nothing.mean == pytest.approx(np.zeros(3), abs=EXACT)
    assert nothing.sd == pytest.approx(np.zeros(3), abs=EXACT)
