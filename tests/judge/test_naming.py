"""When a known slip may be named, and what that costs: the look-elsewhere rule by calculation."""

from __future__ import annotations

from statistics import NormalDist

import numpy as np
import pytest

from tests.tolerances import EXACT, SAMPLED
from vision.judge.case import case_of
from vision.judge.catalogue import Candidate, catalogue
from vision.judge.naming import STEP_MM, Reach, Window, distances, reach_of, reach_within, seen_range, windows_on
from vision.settings import JudgeSettings

JUDGE = JudgeSettings()
INCH = 25.4
STEPPED = 2 * STEP_MM / 27.0
"""share; the range is walked in steps, and each window has two ends"""
SLIP = catalogue()[0]


def fixed(*amounts_mm: float, sd_mm: float) -> list[Window]:
    """Windows of fixed amounts, each of either sign."""
    return [Window(sign * a, sign * a, sd_mm) for a in amounts_mm for sign in (-1, 1)]


def test_the_distance_is_that_of_the_nearest_window_in_its_own_sd() -> None:
    """Inside a range it is 0; of two windows the nearer one in sd counts; without windows nothing is near."""
    near = distances([Window(10, 12, 0.5), Window(20, 20, 2.0)], np.array([11.0, 13.0, 18.0, 15.0]))
    assert near == pytest.approx([0.0, 2.0, 1.0, 2.5], abs=EXACT)
    assert np.all(np.isinf(distances([], np.array([3.0]))))


def test_what_is_seen_begins_where_a_slip_shows() -> None:
    """From 3 mm, or from 3.29 sd where that is more, to 30 mm, of either sign; nothing where 30 mm would not show."""
    for sd, low in ((0.5, 3.0), (2.0, 6.58)):
        seen = np.abs(seen_range(sd, JUDGE))
        assert seen.min() == pytest.approx(low, abs=STEP_MM)
        assert seen.max() == pytest.approx(30.0, abs=2 * STEP_MM)
    assert not len(seen_range(9.2, JUDGE))


def test_a_random_amount_is_named_for_an_inch_once_in_ten_at_most() -> None:
    """Drawn evenly over what is seen: the windows take the allowed share of it, whatever the standard deviation."""
    rng = np.random.default_rng(3)
    for sd in (0.5, 1.0, 1.5, 2.0):
        windows = fixed(INCH, INCH / 4, sd_mm=sd) if sd <= 1.0 else fixed(INCH, sd_mm=sd)
        reach = reach_within(windows, seen_range(sd, JUDGE), JUDGE).fixed
        low = max(3.0, JUDGE.w_critical * sd)
        drawn = rng.choice([-1, 1], 40_000) * rng.uniform(low, 30.0, 40_000)
        named = np.mean(distances(windows, drawn) <= reach)
        assert named <= JUDGE.chance_named + SAMPLED(JUDGE.chance_named, 40_000)


@pytest.mark.parametrize(("sd", "kept"), [(0.5, 0.99), (1.0, 0.82), (1.5, 0.60), (2.0, 0.44)])
def test_what_the_rule_costs_a_true_inch(sd: float, kept: float) -> None:
    """The table of DEVELOPERS.md: share of true inches that are named where nothing else competes (printed to 0.01)."""
    reach = reach_within(fixed(INCH, sd_mm=sd), seen_range(sd, JUDGE), JUDGE).fixed
    assert 2 * NormalDist().cdf(reach) - 1 == pytest.approx(kept, abs=0.005 + STEPPED)


def test_a_range_of_amounts_that_takes_up_much_is_never_named() -> None:
    """A quarter of an inch to a whole one matches a third of all random errors; an inch beside it is named as before."""
    span, seen = Window(-INCH, -INCH / 4, 0.5), seen_range(0.5, JUDGE)
    assert reach_within([span], seen, JUDGE).ranges < 0
    assert reach_within([span, *fixed(INCH, sd_mm=0.5)], seen, JUDGE).fixed == JUDGE.slip_reach


def added(*amounts_mm: float) -> Candidate:
    """A candidate that adds this to the readings."""
    return Candidate(SLIP, tuple("abc"[i] for i, amount in enumerate(amounts_mm) if amount), np.array(amounts_mm))


def test_a_slip_elsewhere_that_looks_the_same_competes() -> None:
    """By a single check nobody can tell a from b or c: all three inches stand in one another's way, at the size they show."""
    check = np.array([[0.5, -1.0, 0.5]])
    M = check.T @ check
    on_a = windows_on(0, [added(INCH, 0, 0), added(0, INCH, 0), added(INCH, INCH, 0)], M, JUDGE)
    assert [window.low_mm for window in on_a] == pytest.approx([INCH, -2 * INCH, -INCH], abs=EXACT)
    assert [window.sd_mm for window in on_a] == pytest.approx([2.0] * 3, abs=EXACT)


def test_a_slip_elsewhere_that_a_witness_tells_apart_does_not_compete() -> None:
    """With a photo of each reading an inch on b is no rival of an error on a."""
    assert [w.low_mm for w in windows_on(0, [added(INCH, 0, 0), added(0, INCH, 0)], np.eye(3), JUDGE)] == [INCH]


def test_what_no_random_error_explains_keeps_its_full_window() -> None:
    """A foot is no random error of 3 to 30 mm; ten millimetres on one of three readings may be one."""
    names = ("width_top", "height_left", "height_right")
    rivals = [added(sign * amount, 0, 0) for amount in (8.0, 12.0, 16.0, 20.0, 24.0) for sign in (-1, 1)]
    zero = np.full(3, 1500.0)
    far = case_of(names, np.array([12 * INCH, 0.0, 0.0]), np.eye(3), zero)
    near = case_of(names, np.array([12.0, 0.0, 0.0]), np.eye(3), zero)
    assert reach_of(far, rivals, JUDGE) == Reach(JUDGE.slip_reach, JUDGE.slip_reach)
    assert 0 <= reach_of(near, rivals, JUDGE).fixed < 0.5
