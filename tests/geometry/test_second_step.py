"""A second step beside an edge is found however faint it is, and sharpening's overshoot is not taken for one."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.special import ndtr

from vision.geometry.second_step import GRID_PX, code_slopes, second_step
from vision.geometry.strips import linear_of

Array = NDArray[np.float64]
V = np.arange(-7.0, 7.01, 0.25)
ROOT = np.ones(len(V))
GOOD = 0.01
"""of the step, as the edges' own limit"""
LIGHT = (0.1, 0.6)
"""linear light of the two sides"""


def seen(z: Array, light: tuple[float, float] = LIGHT) -> tuple[float, bool]:
    return second_step((V, z, ROOT), 1.0, light, good_fit=GOOD, rival=np.inf)


@pytest.mark.parametrize("blur", [0.7, 1.0, 2.0])
@pytest.mark.parametrize("place", [-0.6, 0.0, 0.4])
def test_a_plain_step_has_no_second_one(blur: float, place: float) -> None:
    """Whatever its blur, and a little off where it was looked for."""
    assert seen(np.asarray(ndtr((V - place) / blur))) == (0.0, True)


@pytest.mark.parametrize("amount", [0.3, 0.8])
@pytest.mark.parametrize("light", [LIGHT, LIGHT[::-1], (0.5, 0.6)])
def test_a_sharpened_step_has_no_second_one(amount: float, light: tuple[float, float]) -> None:
    """Sharpened in the file's codes, where the overshoot is alike on both sides, and seen in linear light, where it is not."""
    codes = [1.055 * x ** (1 / 2.4) - 0.055 for x in light]
    soft, softer = ndtr(V), ndtr(V / np.hypot(1.0, 1.3))
    code = codes[0] + (codes[1] - codes[0]) * (soft + amount * (soft - softer))
    z = (linear_of(code) - light[0]) / (light[1] - light[0])
    assert seen(z, light)[0] == 0.0


@pytest.mark.parametrize(("away", "share"), [(3.0, 0.15), (-3.0, 0.15), (5.0, 0.05), (-5.0, 0.05)])
def test_a_faint_second_step_is_found_where_it_is(away: float, share: float) -> None:
    """A twentieth of the step is enough five blurs away; nearer it must be stronger, or it looks like more blur."""
    found, explained = seen((1 - share) * ndtr(V) + share * ndtr(V - away))
    assert not explained
    assert found == pytest.approx(away, abs=2 * GRID_PX)


def test_the_codes_slope_is_that_of_the_standard() -> None:
    """Alike at equal levels; a code is worth more light where it is lighter."""
    assert code_slopes((0.3, 0.3)) == (1.0, 1.0)
    low, high = code_slopes((0.05, 0.8))
    assert low < 0.6 < 1.4 < high
    assert low + high == pytest.approx(2.0)
