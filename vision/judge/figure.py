"""The opening as a figure for ordering: widths as the tape has them, stood up by the walls' leans.

The taper is the tape's own (bottom width less top width); the leans only say how it is shared between the walls, that is
how far both lean the same way. So at each height at which a width was taken the figure is exactly as wide as the reading, and
beyond those heights, where the walls close in, narrower along the same line.
All lengths mm, x to the right from the foot of the left wall, y up from the curb, leans as ratios, + = top into the opening.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from vision.gaussian import Gaussian
from vision.judge.door_records import Side

STATIONS = ("width_bottom", "width_middle", "width_top")
LEANS = ("lean_left", "lean_right")
BOWS = ("bow_left", "bow_right")
PER_M = 1000.0


@dataclass(frozen=True)
class Wall:
    """The lean of one wall: value and standard deviation, as ratios."""

    value: float
    u: float

    def over(self, height_mm: float) -> float:
        """How far the top stands from plumb over this height, mm, + into the opening."""
        return self.value * height_mm


@dataclass(frozen=True)
class Figure:
    """Both walls at the three heights of the widths (bottom, middle, top)."""

    y_mm: tuple[float, float, float]
    width_mm: tuple[float, float, float]
    left: Wall
    right: Wall
    u_common: float
    """standard deviation of half the difference of the leans: what both walls lean the same way, as a ratio"""
    common_bow_mm: float = 0.0
    """half the difference of the bows where both are known: what both walls bow to the right, mm"""
    u_common_bow_mm: float = 0.0
    """its standard deviation; 0 where the bows are not known (then nothing but the widths speaks of bows)"""

    @property
    def height_mm(self) -> float:
        """From the bottom width to the top width."""
        return self.y_mm[2] - self.y_mm[0]

    @property
    def smallest_mm(self) -> float:
        """The smallest width, as the tape has it."""
        return min(self.width_mm)

    def wall(self, side: Side) -> Wall:
        """One wall as the judge has it."""
        return self.left if side == "left" else self.right

    def leans(self, extra: float = 0.0) -> tuple[float, float]:
        """Left and right lean with the tape's taper; `extra` is added to what both lean to the right."""
        taper = (self.width_mm[2] - self.width_mm[0]) / self.height_mm
        common = (self.left.value - self.right.value) / 2 + extra
        return common - taper / 2, -common - taper / 2

    def left_x(self, extra: float = 0.0) -> tuple[float, float, float]:
        """The left wall at the three heights."""
        lean = self.leans(extra)[0]
        a, b, c = (lean * (y - self.y_mm[0]) for y in self.y_mm)
        return a, b, c

    @property
    def belly_mm(self) -> float:
        """How much narrower the middle is than the line between bottom and top says; negative where it is wider."""
        share = (self.y_mm[1] - self.y_mm[0]) / self.height_mm
        straight = self.width_mm[0] + share * (self.width_mm[2] - self.width_mm[0])
        return straight - self.width_mm[1]

    def plumb_mm(self, extra: float = 0.0, extra_bow: float = 0.0) -> float:
        """Width of the widest plumb strip between the walls, the belly being wherever it hurts most.

        `extra` is added to what both walls lean to the right (a ratio), `extra_bow` to what both bow to the right (mm).
        """
        x = self.left_x(extra)
        strips = []
        for bulge in (0.0, self.belly_mm, self.belly_mm / 2 + self.common_bow_mm + extra_bow):
            left = (x[0], x[1] + bulge, x[2])
            strips.append(min(a + w for a, w in zip(left, self.width_mm, strict=True)) - max(left))
        return min(strips)

    def same_way_mm(self, coverage: float = 0.0) -> float:
        """How much narrower than the smallest width a plumb strip is; with `coverage`, at worst within so many sd.

        What the leans and what the bows may add are independent enough to be taken in quadrature.
        """
        step, bow = coverage * self.u_common, coverage * self.u_common_bow_mm
        straight = self.plumb_mm()
        leaning = straight - min(straight, self.plumb_mm(step), self.plumb_mm(-step))
        bent = straight - min(straight, self.plumb_mm(0.0, bow), self.plumb_mm(0.0, -bow))
        return self.smallest_mm - straight + math.hypot(leaning, bent)

    def beside(self, hinge: Side) -> tuple[float, float, float]:
        """What is open at the three heights from the plumb line that touches the hinge wall to the other wall."""
        lean = self.leans()[0 if hinge == "left" else 1]
        into = [lean * (y - self.y_mm[0]) for y in self.y_mm]
        a, b, c = (w - (max(into) - x) for w, x in zip(self.width_mm, into, strict=True))
        return a, b, c


def figure(readings: Gaussian, walls: Gaussian | None, at_mm: Mapping[str, float], height_mm: float) -> Figure | None:
    """The figure, or None where a width or a lean is not there. Widths without a stated height end at curb and height."""
    if walls is None or not set(LEANS) <= set(walls.names) or not set(STATIONS) <= set(readings.names):
        return None
    low = at_mm.get(STATIONS[0], 0.0)
    high = at_mm.get(STATIONS[2], height_mm)
    middle = at_mm.get(STATIONS[1], (low + high) / 2)
    if not low < middle < high:
        return None
    bottom, middle_width, top = (readings.value(name) for name in STATIONS)
    slope = (top - bottom) / (high - low)
    bottom, top = min(bottom, bottom - slope * low), min(top, top + slope * max(0.0, height_mm - high))
    low, high = 0.0, max(high, height_mm)
    left, right = (Wall(walls.value(name) / PER_M, walls.u(name) / PER_M) for name in LEANS)
    pair = walls.select(LEANS).covariance
    u_common = math.sqrt(max(0.0, pair[0, 0] + pair[1, 1] - 2 * pair[0, 1])) / 2 / PER_M
    common_bow, u_bow = _common_bow(walls)
    return Figure((low, middle, high), (bottom, middle_width, top), left, right, u_common, common_bow, u_bow)


def _common_bow(walls: Gaussian) -> tuple[float, float]:
    """Half the difference of both bows with its standard deviation, mm; zeros where they are not both known."""
    if not set(BOWS) <= set(walls.names):
        return 0.0, 0.0
    pair = walls.select(BOWS).covariance
    u = math.sqrt(max(0.0, pair[0, 0] + pair[1, 1] - 2 * pair[0, 1])) / 2
    return (walls.value(BOWS[0]) - walls.value(BOWS[1])) / 2, u
