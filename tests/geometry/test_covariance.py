"""The stated covariance against simulated re-solves, a small share of tests/benchmarks/covariance.py; limits at 0.001."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from tests.benchmarks.covariance import Known, compared, known, least_rise, linear, noise, nonlinear, worst_derivative
from tests.tolerances import LINEAR

LAYOUTS = ("1 letter measured beside", "2 id-1 opposite corners", "2 id-1 one side")
LINEAR_DRAWS, WHOLE_DRAWS = 200, 20


@cache
def scene(layout: str) -> Known:
    return known(layout, 1)


@pytest.mark.parametrize("layout", LAYOUTS)
def test_derivatives_are_those_of_differences(layout: str) -> None:
    """Every column of the Jacobian, three standard deviations away from the minimum; first order against central differences."""
    assert worst_derivative(scene(layout), np.random.default_rng(1)) < LINEAR


@pytest.mark.parametrize("layout", LAYOUTS)
def test_any_parameter_nudged_alone_raises_the_cost(layout: str) -> None:
    """Either way, by a twentieth of its natural step."""
    assert least_rise(scene(layout)) > 0


@pytest.mark.parametrize("layout", LAYOUTS)
def test_linear_estimates_scatter_as_stated(layout: str) -> None:
    """Each size's variance, each mean, and all together whitened, by chi-square of the number of draws."""
    drawn = noise(scene(layout), LINEAR_DRAWS, np.random.default_rng(2))
    assert compared(scene(layout), linear(scene(layout), drawn)).holds(len(LAYOUTS))


@pytest.mark.parametrize("layout", LAYOUTS)
def test_whole_adjustments_scatter_as_stated(layout: str) -> None:
    """The same of the adjustment itself, from observations drawn anew about the truth."""
    drawn = noise(scene(layout), WHOLE_DRAWS, np.random.default_rng(3))
    assert compared(scene(layout), nonlinear(scene(layout), drawn)).holds(len(LAYOUTS))


@pytest.mark.parametrize("factor", [0.8, 1.25])
def test_a_covariance_that_is_not_the_stated_one_is_noticed(factor: float) -> None:
    """Errors a quarter larger or a fifth smaller than stated are outside the limits of so many draws."""
    drawn = factor * noise(scene(LAYOUTS[0]), LINEAR_DRAWS, np.random.default_rng(2))
    assert not compared(scene(LAYOUTS[0]), linear(scene(LAYOUTS[0]), drawn)).holds(len(LAYOUTS))
