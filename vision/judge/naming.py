"""When a known slip may be named: the amount must be known so well that a random one would seldom have matched.

An error of no meaning on one reading, of either sign, within `random_range_mm` and large enough to be seen, falls by chance
into the windows of known slips: of those that touch this reading, and of those on other readings that look the same from here
(by the tape alone an inch on all lengths looks like 0.4 in on a diagonal). Each known amount has the window +- k sd; k is made
so small that all windows together cover at most `chance_named` of that range (Neyman and Pearson: of all rules with this share
of false names, the one that misses fewest true ones where all known amounts count alike). This is asked of every reading whose
own random error would explain what is seen, and the strictest answer holds. What fits, but not within its window, is possible,
not named. What no random error within the range explains keeps its full window.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from vision.gaussian import Array
from vision.judge.case import Case, contradicts
from vision.judge.catalogue import Candidate
from vision.settings import JudgeSettings

STEP_MM = 0.01
"""mm; the range is walked in such steps, so a share of it is exact to 0.04 %"""
_NONE = 1e-12


@dataclass(frozen=True)
class Window:
    """A known amount, `low_mm` to `high_mm` (equal where it is fixed), and the standard deviation of the amount found, mm."""

    low_mm: float
    high_mm: float
    sd_mm: float

    @property
    def fixed(self) -> bool:
        """Whether the amount is one number."""
        return self.low_mm == self.high_mm


@dataclass(frozen=True)
class Reach:
    """How many sd the amount found may be off a fixed amount, and off a range of amounts; below 0: not even an exact match."""

    fixed: float
    ranges: float


def distances(windows: Sequence[Window], amounts_mm: Array) -> Array:
    """How many sd each of these amounts is off the nearest window (0 inside a range); infinite where there is none."""
    nearest = np.full(len(amounts_mm), np.inf)
    for window in windows:
        outside = np.maximum(0.0, np.maximum(window.low_mm - amounts_mm, amounts_mm - window.high_mm))
        nearest = np.minimum(nearest, outside / window.sd_mm)
    return nearest


def seen_range(sd_mm: float, settings: JudgeSettings) -> Array:
    """Random amounts, mm, of both signs, that are large enough to be seen by a reading of this sd; empty where none is."""
    low, high = settings.random_range_mm
    amounts = np.arange(max(low, settings.w_critical * sd_mm), high, STEP_MM)
    return np.concatenate([-amounts[::-1], amounts])


def reach_within(windows: Sequence[Window], amounts_mm: Array, settings: JudgeSettings) -> Reach:
    """The widest windows that hold no more than the allowed share of these amounts.

    Fixed amounts share it alone; ranges are named only where everything at its full width stays within it.
    """
    most, allowed = settings.slip_reach, settings.chance_named
    if not len(amounts_mm):
        return Reach(most, most)
    fixed = np.sort(distances([window for window in windows if window.fixed], amounts_mm))
    reach = min(most, float(fixed[min(int(allowed * len(fixed)), len(fixed) - 1)]))
    everything = float(np.mean(distances(windows, amounts_mm) <= most))
    return Reach(reach, most if everything <= allowed else -1.0)


def windows_on(i: int, tried: Sequence[Candidate], M: Array, settings: JudgeSettings) -> list[Window]:
    """Known slips as amounts of an error on reading i alone: those whose effect such an error could pass for."""
    own = float(M[i, i])
    out = []
    for candidate in tried:
        a = candidate.added
        seen, cross = float(a @ M @ a), float(M[i] @ a)
        if seen <= 0 or abs(cross) <= _NONE * np.sqrt(seen * own):
            continue
        low, high = candidate.span or (1.0, 1.0)
        unlike = max(0.0, seen - cross**2 / own)
        if candidate.span is not None and unlike > 0:
            most = settings.w_critical / np.sqrt(unlike)
            low, high = max(low, -most), min(high, most)
        elif unlike > settings.w_critical**2:
            continue
        if low > high or max(abs(low), abs(high)) * np.sqrt(seen) < settings.slip_recognised:
            continue
        ends = sorted((low * seen / cross, high * seen / cross))
        out.append(Window(ends[0], ends[1], float(np.sqrt(seen) / abs(cross))))
    return out


def reach_of(case: Case, tried: Sequence[Candidate], settings: JudgeSettings) -> Reach:
    """The reach in this case: the strictest over all readings whose own random error would explain what is seen."""
    M = case.precision()
    fixed = ranges = settings.slip_reach
    for i in range(len(case.names)):
        if M[i, i] <= _NONE:
            continue
        amount, sd = float(M[i] @ case.d / M[i, i]), float(M[i, i] ** -0.5)
        if abs(amount) > settings.random_range_mm[1] + settings.slip_reach * sd:
            continue
        if contradicts(case, settings, case.d - amount * np.eye(len(case.names))[i]):
            continue
        here = reach_within(windows_on(i, tried, M, settings), seen_range(sd, settings), settings)
        fixed, ranges = min(fixed, here.fixed), min(ranges, here.ranges)
    return Reach(fixed, ranges)
