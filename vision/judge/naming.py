"""When a known slip may be named: the amount must be known so well that a random one would seldom have matched.

An error of no meaning, of either sign, within `random_range_mm` and large enough to be seen, falls by chance into the windows
of the known amounts that compete for the same readings. The windows a +- k sd are made so narrow that they cover at most
`chance_named` of that range (Neyman and Pearson: of all rules with this share of false names, the one that misses fewest true
ones where all known amounts count alike). What fits, but not within its window, is possible, not named. Amounts beyond the
range have their full window.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from vision.settings import JudgeSettings

_STEPS = 40
"""halvings; the window's width is then known to 1e-12"""


@dataclass(frozen=True)
class Window:
    """A known amount, `low_mm` to `high_mm` (equal where it is fixed), and the standard deviation of the amount found, mm."""

    low_mm: float
    high_mm: float
    sd_mm: float

    def around(self, reach: float) -> tuple[float, float]:
        """mm; the amounts that would be taken for this one."""
        return self.low_mm - reach * self.sd_mm, self.high_mm + reach * self.sd_mm


def chance(windows: Sequence[Window], reach: float, range_mm: tuple[float, float]) -> float:
    """Share of the range, of both signs, that the windows cover."""
    low, high = range_mm
    pieces = []
    for start, end in (window.around(reach) for window in windows):
        for side in ((-high, -low), (low, high)):
            first, last = max(start, side[0]), min(end, side[1])
            if first < last:
                pieces.append((first, last))
    covered, until = 0.0, -high
    for first, last in sorted(pieces):
        covered += max(0.0, last - max(first, until))
        until = max(until, last)
    return covered / (2 * (high - low))


def reach_of(own: Window, rivals: Sequence[Window], settings: JudgeSettings) -> float:
    """How many sd the amount found may be off this one; below 0 where even an exact match would mean nothing.

    `rivals` are the known amounts that compete for the same readings, this one among them.
    """
    most, allowed = settings.slip_reach, settings.chance_named
    low, high = settings.random_range_mm
    span = (min(high, max(low, settings.w_critical * own.sd_mm)), high)
    if span[0] >= high:
        return most
    if chance([own], most, span) == 0.0 or chance(rivals, most, span) <= allowed:
        return most
    if chance(rivals, 0.0, span) >= allowed:
        return -1.0
    within, beyond = 0.0, most
    for _ in range(_STEPS):
        middle = (within + beyond) / 2
        within, beyond = (middle, beyond) if chance(rivals, middle, span) <= allowed else (within, middle)
    return within
