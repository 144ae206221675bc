"""Candidate outlines: two upright lines with the curb and the head that fit between them, best first."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from vision.geometry.trace_lines import CELL, Line, View, crossing, polished, uprights
from vision.geometry.trace_marks import Between, Level, levels

Array = NDArray[np.float64]
KEEP = 9
"""upright lines that are tried as walls; on scenes drawn for trying, the true ones were among the first eight of 98 in 100"""
SHORTEST_WALL = 0.15
"""of the picture's height"""
NARROWEST, LOWEST = 0.12, 0.25
"""of the picture's width and height; a smaller opening is too far away to measure"""
WALL_WEIGHT = 8.0
"""log odds that a wall with a clear step all along is worth over one with none"""
MOST_PAIRS = 14
"""pairs of upright lines, the clearest, of which curb and head are looked for"""
LOOKED_AT_AGAIN = 4
"""candidates whose walls are drawn once more between their own corners, and all level lines judged"""
CLEARANCE = 0.1
"""of the picture's height; head and curb keep so far from the middle of the walls"""


@dataclass(frozen=True)
class Quad:
    """A candidate: both walls' edges with their mean scores, curb and head lines by their odds, the top row without a head."""

    left: Line
    right: Line
    curb: tuple[Level, ...]
    head: tuple[Level, ...]
    walls: tuple[float, float]
    top: float

    @property
    def value(self) -> float:
        """Log odds of head and curb, and what the walls are worth."""
        return self.curb[0].odds + (self.head[0].odds if self.head else 0.0) + WALL_WEIGHT * sum(self.walls)

    def corners(self, view: View) -> Array:
        """Bottom-left, bottom-right, top-right, top-left (4, 2) px of the small picture."""
        curb, head = self.curb[0].line, self.head[0].line if self.head else Line(self.top, 0.0)
        pairs = ((self.left, curb), (self.right, curb), (self.right, head), (self.left, head))
        return np.array([crossing(view.square, u, v) for u, v in pairs])


def quads(view: View, *, has_head: bool) -> list[Quad]:
    """All candidates, best first."""
    h, w = view.square.small.shape[:2]
    pairs = []
    for left, right in product(uprights(view, KEEP, SHORTEST_WALL), repeat=2):
        top, bottom = max(left.top, right.top), min(left.bottom, right.bottom)
        xl, xr = Between(view, left.line, right.line, (top, bottom), True).walls(np.array((top + bottom) / 2))
        if xr - xl >= NARROWEST * w and bottom - top >= LOWEST * h:
            worth = sum(_scores(view, (left.line, right.line), top, bottom)) + 2 * (bottom - top) / h
            pairs.append((worth, (left.line, right.line), (top, bottom)))
    pairs.sort(key=lambda pair: -pair[0])
    found = [_between(view, walls, rows, has_head, roughly=True) for _, walls, rows in pairs[:MOST_PAIRS]]
    ranked = sorted((q for q in found if q is not None), key=lambda q: -q.value)
    again = [_again(view, q, has_head) for q in ranked[:LOOKED_AT_AGAIN]]
    return sorted([*again, *ranked[LOOKED_AT_AGAIN:]], key=lambda q: -q.value)


def _between(view: View, walls: tuple[Line, Line], rows: tuple[float, float], has_head: bool, *, roughly: bool) -> Quad | None:
    """The best curb and head between two walls that are both seen between these rows."""
    h = view.square.small.shape[0]
    middle = sum(rows) / 2
    curb = levels(Between(view, *walls, (middle + CLEARANCE * h, h - 5.0), False), roughly=roughly)
    if not curb:
        return None
    head = levels(Between(view, *walls, (4.0, middle - CLEARANCE * h), True), roughly=roughly) if has_head else []
    if has_head and not head:
        return None
    top = head[0].line.at if head else rows[0]
    return Quad(*walls, tuple(curb), tuple(head), _scores(view, walls, top, curb[0].line.at), top)


def _again(view: View, quad: Quad, has_head: bool) -> Quad:
    """The candidate with its walls drawn once more between its corners, and head and curb judged by them."""
    bl, br, tr, tl = quad.corners(view)
    left = polished(view.square, quad.left, (float(tl[1]), float(bl[1])), upright=True, reach=3.0)
    right = polished(view.square, quad.right, (float(tr[1]), float(br[1])), upright=True, reach=3.0)
    anew = _between(view, (left, right), (max(tl[1], tr[1]), min(bl[1], br[1])), has_head, roughly=False)
    return anew if anew is not None else quad


def _scores(view: View, walls: tuple[Line, Line], top: float, bottom: float) -> tuple[float, float]:
    """Mean scores of both walls between two rows."""
    score = view.upright.along(np.array(walls))
    a = min(max(round(top / CELL), 0), score.shape[1] - 1)
    b = min(max(round(bottom / CELL), a + 1), score.shape[1])
    mean = score[:, a:b].mean(axis=1)
    return float(mean[0]), float(mean[1])


def apart(a: Array, b: Array) -> float:
    """Largest distance of corresponding corners, px."""
    return float(np.linalg.norm(a - b, axis=1).max())
