"""Candidate outlines: two upright lines with the curb and the head that fit between them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import product

import numpy as np
from numpy.typing import NDArray

from vision.geometry.trace_lines import CELL, Line, Upright, View, crossing, polished, uprights
from vision.geometry.trace_marks import Between, Level, levels
from vision.geometry.trace_soffit import with_front_edge

Array = NDArray[np.float64]
KEEP = 9
"""upright lines that are tried as walls, and as many of the picture without joints; in 58 of 58 photos that show
both walls they were among them"""
SHORTEST_WALL = 0.15
"""of the picture's height"""
NARROWEST, LOWEST = 0.12, 0.17
"""of the picture's width and height; a smaller opening is too far away to measure. A window of 0.6 m in a wall of 2.6 m: 0.23"""
WALL_WEIGHT = 4.0
"""log odds that a wall with a clear step all along is worth over one with none, with joints and again without"""
MOST_PAIRS = 34
"""pairs of upright lines, the clearest, of which curb and head are looked for"""
LENGTH_WEIGHT = 1.0
"""what a pair as long as the picture is high is worth over a short one, against clear steps of 0 to 1 of each wall, with joints
and without; with more a room's own corners come before a small window or niche"""
LOOKED_AT_AGAIN = 8
"""candidates whose walls are drawn once more between their own corners, and their level lines judged closely"""
RAISED = 3
"""head lines, the likeliest, whose front edge is looked for"""
CLEARANCE = 0.1
"""of the picture's height; head and curb keep so far from the middle of the walls"""


Pair = tuple[tuple[Line, Line], tuple[float, float]]
"""Two walls' edges and the rows between which both are seen"""


@dataclass(frozen=True)
class Quad:
    """A candidate: both walls' edges with their mean scores (with and without joints), curb and head lines by their odds, the
    top row without a head."""

    left: Line
    right: Line
    curb: tuple[Level, ...]
    head: tuple[Level, ...]
    walls: tuple[float, float, float, float]
    top: float

    @property
    def value(self) -> float:
        """Log odds of head and curb, and what the walls are worth: for a first order only."""
        return self.curb[0].odds + (self.head[0].odds if self.head else 0.0) + WALL_WEIGHT * sum(self.walls)

    def corners(self, view: View) -> Array:
        """Bottom-left, bottom-right, top-right, top-left (4, 2) px of the small picture."""
        curb, head = self.curb[0].line, self.head[0].line if self.head else Line(self.top, 0.0)
        pairs = ((self.left, curb), (self.right, curb), (self.right, head), (self.left, head))
        return np.array([crossing(view.square, u, v) for u, v in pairs])

    def choosing(self, curb: int, head: int) -> Quad:
        """The candidate with other ones of its level lines, the first `curb` and `head` left out."""
        return replace(self, curb=self.curb[curb:], head=self.head[head:])


def quads(view: View, *, has_head: bool) -> list[Quad]:
    """The likeliest candidates, each judged closely, best first."""
    pairs = _pairs(view, uprights(view, KEEP, SHORTEST_WALL))
    ranked = sorted(_between(view, pairs, has_head, roughly=True), key=lambda q: -q.value)
    again = [_again(view, q) for q in ranked[:LOOKED_AT_AGAIN]]
    return sorted(_between(view, again, has_head, roughly=False), key=lambda q: -q.value)


def _pairs(view: View, lines: list[Upright]) -> list[Pair]:
    """Pairs of upright lines that may be the two walls with the rows that both are seen in, the clearest first."""
    h, w = view.square.small.shape[:2]
    pairs = []
    for left, right in product(lines, repeat=2):
        top, bottom = max(left.top, right.top), min(left.bottom, right.bottom)
        xl, xr = Between(view, left.line, right.line, (top, bottom), True).walls(np.array((top + bottom) / 2))
        if xr - xl >= NARROWEST * w and bottom - top >= LOWEST * h:
            worth = sum(_scores(view, (left.line, right.line), top, bottom)) + LENGTH_WEIGHT * (bottom - top) / h
            pairs.append((worth, (left.line, right.line), (top, bottom)))
    pairs.sort(key=lambda pair: -pair[0])
    return [(walls, rows) for _, walls, rows in pairs[:MOST_PAIRS]]


def _between(view: View, pairs: Sequence[Pair], has_head: bool, *, roughly: bool) -> list[Quad]:
    """The best curb and head of each pair of walls that has both."""
    h = view.square.small.shape[0]
    below = [Between(view, *walls, (sum(rows) / 2 + CLEARANCE * h, h - 5.0), False) for walls, rows in pairs]
    above = [Between(view, *walls, (4.0, sum(rows) / 2 - CLEARANCE * h), True) for walls, rows in pairs]
    curbs = levels(below, roughly=roughly)
    heads = levels(above, roughly=roughly) if has_head else [list[Level]() for _ in pairs]
    out = []
    for (walls, rows), between, curb, head in zip(pairs, above, curbs, heads, strict=True):
        if not curb or (has_head and not head):
            continue
        if not roughly:
            head = [one for level in head[:RAISED] for one in _fronts(between, level)] + head[RAISED:]
        top = head[0].line.at if head else rows[0]
        out.append(Quad(*walls, tuple(curb), tuple(head), _scores(view, walls, top, curb[0].line.at), top))
    return out


def _fronts(between: Between, level: Level) -> list[Level]:
    """The front edge that a head line may have, before the line itself: which of them is the head is weighed later."""
    front = with_front_edge(between, level)
    return [level] if front is level else [front, level]


def _again(view: View, quad: Quad) -> Pair:
    """The candidate's walls drawn once more between its corners, and the rows between these."""
    bl, br, tr, tl = quad.corners(view)
    left = polished(view.square, quad.left, (float(tl[1]), float(bl[1])), upright=True, reach=3.0)
    right = polished(view.square, quad.right, (float(tr[1]), float(br[1])), upright=True, reach=3.0)
    return (left, right), (max(tl[1], tr[1]), min(bl[1], br[1]))


def _scores(view: View, walls: tuple[Line, Line], top: float, bottom: float) -> tuple[float, float, float, float]:
    """Mean scores of both walls between two rows, then those of the picture without joints."""
    means = []
    for steps in (view.upright, view.plain):
        score = steps.along(np.array(walls))
        a = min(max(round(top / CELL), 0), score.shape[1] - 1)
        b = min(max(round(bottom / CELL), a + 1), score.shape[1])
        means += [float(m) for m in score[:, a:b].mean(axis=1)]
    return means[0], means[1], means[2], means[3]


def outlined(view: View, corners: Array, *, has_head: bool) -> Quad:
    """The outline with these corners (4, 2) px of the small picture, as lines of which nothing else is known."""
    h, w = view.square.small.shape[:2]
    bl, br, tr, tl = corners

    def upright(a: Array, b: Array) -> Line:
        slope = float((b[0] - a[0]) / (b[1] - a[1]))
        return Line(float(a[0]) + slope * (h / 2 - float(a[1])), slope)

    def level(a: Array, b: Array) -> Level:
        slope = float((b[1] - a[1]) / (b[0] - a[0]))
        return Level(Line(float(a[1]) + slope * (w / 2 - float(a[0])), slope), 0.0)

    head = (level(tl, tr),) if has_head else ()
    top = head[0].line.at if head else float(tl[1] + tr[1]) / 2
    return Quad(upright(tl, bl), upright(tr, br), (level(bl, br),), head, (0.0, 0.0, 0.0, 0.0), top)


def apart(a: Array, b: Array) -> float:
    """Largest distance of corresponding corners, px."""
    return float(np.linalg.norm(a - b, axis=1).max())


def with_edge(quad: Quad, name: str, line: Line) -> Quad:
    """The outline with another line as one of its edges."""
    if name == "head":
        return replace(quad, head=(replace(quad.head[0], line=line),))
    if name == "curb":
        return replace(quad, curb=(replace(quad.curb[0], line=line),))
    return replace(quad, left=line) if name == "left" else replace(quad, right=line)


def with_walls(quad: Quad, left: Line, right: Line) -> Quad:
    """The outline with other walls."""
    return replace(quad, left=left, right=right)
