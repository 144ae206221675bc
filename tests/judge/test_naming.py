"""When a known slip may be named, and what that costs: the look-elsewhere rule by calculation."""

from __future__ import annotations

from statistics import NormalDist

import numpy as np
import pytest

from tests.tolerances import EXACT, SAMPLED
from vision.judge.naming import Window, chance, reach_of
from vision.settings import JudgeSettings

JUDGE = JudgeSettings()
INCH = 25.4


def fixed(*amounts_mm: float, sd_mm: float) -> list[Window]:
    """Windows of fixed amounts, each of either sign."""
    return [Window(sign * a, sign * a, sd_mm) for a in amounts_mm for sign in (-1, 1)]


def test_the_share_of_the_range_is_counted_once_and_on_both_sides() -> None:
    """Two windows that overlap cover their union; what lies outside the range does not count."""
    assert chance([Window(10, 10, 1), Window(11, 11, 1)], 1.0, (3.0, 30.0)) == pytest.approx(3 / 54, abs=EXACT)
    assert chance([Window(30, 30, 1)], 1.0, (3.0, 30.0)) == pytest.approx(1 / 54, abs=EXACT)
    assert chance([Window(-19, 51, 0)], 1.0, (3.0, 30.0)) == pytest.approx((16 + 27) / 54, abs=EXACT)
    assert chance([Window(304.8, 304.8, 1)], 2.58, (3.0, 30.0)) == 0.0


def test_a_random_amount_is_named_for_an_inch_once_in_ten_at_most() -> None:
    """Drawn evenly over what is seen: the windows take the allowed share of it, whatever the standard deviation."""
    rng = np.random.default_rng(3)
    for sd in (0.5, 1.0, 1.5, 2.0):
        windows = fixed(INCH, INCH / 4, sd_mm=sd) if sd <= 1.0 else fixed(INCH, sd_mm=sd)
        reach = reach_of(windows[0], windows, JUDGE)
        low = max(3.0, JUDGE.w_critical * sd)
        drawn = rng.choice([-1, 1], 40_000) * rng.uniform(low, 30.0, 40_000)
        named = np.any([np.abs(drawn - window.low_mm) <= reach * sd for window in windows], axis=0)
        assert named.mean() <= JUDGE.chance_named + SAMPLED(JUDGE.chance_named, 40_000)


@pytest.mark.parametrize(("sd", "kept"), [(0.5, 0.99), (1.0, 0.82), (1.5, 0.60), (2.0, 0.44)])
def test_what_the_rule_costs_a_true_inch(sd: float, kept: float) -> None:
    """The table of DEVELOPERS.md: share of true inches that are named where nothing else competes (printed to 0.01)."""
    windows = fixed(INCH, sd_mm=sd)
    reach = reach_of(windows[0], windows, JUDGE)
    assert 2 * NormalDist().cdf(reach) - 1 == pytest.approx(kept, abs=0.005)


def test_an_amount_beyond_random_errors_keeps_its_full_window() -> None:
    """A foot is no random error of 3 to 30 mm, whatever else competes."""
    windows = [*fixed(INCH, sd_mm=2.0), Window(12 * INCH, 12 * INCH, 2.0)]
    assert reach_of(windows[-1], windows, JUDGE) == JUDGE.slip_reach


def test_a_span_that_takes_up_the_range_is_never_named() -> None:
    """A quarter of an inch to a whole one matches a third of all random errors."""
    span = Window(-INCH, -INCH / 4, 0.5)
    assert reach_of(span, [span], JUDGE) < 0
