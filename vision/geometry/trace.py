"""The opening's outline proposed from the picture alone: two jambs, a curb and a head, and how sure that is.

Nothing of the readings enters. Where no outline stands out the person is asked to mark the corners.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vision.geometry.camera import CameraPrior
from vision.geometry.trace_frame import Picture, Squared, squared
from vision.geometry.trace_lines import Line, Upright, View, crossing, polished, uprights, view_of
from vision.geometry.trace_marks import Between, Level, levels

Array = NDArray[np.float64]
KEEP = 9
SHORTEST_JAMB = 0.15
NARROWEST, LOWEST = 0.12, 0.25
JAMB_WEIGHT = 8.0
MOST_PAIRS = 12


@dataclass(frozen=True)
class Quad:
    """A candidate in the squared picture."""

    left: Line
    right: Line
    curb: list[Level]
    head: list[Level]
    jambs: tuple[float, float]
    top: float

    @property
    def value(self) -> float:
        return self.curb[0].odds + (self.head[0].odds if self.head else 0.0) + JAMB_WEIGHT * sum(self.jambs)


def quads(view: View, *, has_head: bool) -> list[Quad]:
    h, w = view.square.small.shape[:2]
    lines = uprights(view, KEEP, SHORTEST_JAMB)
    out = []
    for left in lines:
        for right in lines:
            top, bottom = max(left.top, right.top), min(left.bottom, right.bottom)
            middle = (top + bottom) / 2
            xl, xr = Between(view, left.line, right.line, (top, bottom), True).jambs(np.array(middle))
            if xr - xl < NARROWEST * w or bottom - top < LOWEST * h:
                continue
            quad = quad_of(view, left.line, right.line, (top, bottom), has_head)
            if quad is not None:
                out.append(quad)
    return sorted(out, key=lambda q: -q.value)


def quad_of(view: View, left: Line, right: Line, rows: tuple[float, float], has_head: bool) -> Quad | None:
    h = view.square.small.shape[0]
    middle = sum(rows) / 2
    curb = levels(Between(view, left, right, (middle + 0.1 * h, h - 5), False))
    head = levels(Between(view, left, right, (4.0, middle - 0.1 * h), True)) if has_head else []
    if not curb or (has_head and not head):
        return None
    top = head[0].line.at if head else rows[0]
    return Quad(left, right, curb, head, jamb_scores(view, left, right, top, curb[0].line.at), top)


def jamb_scores(view: View, left: Line, right: Line, top: float, bottom: float) -> tuple[float, float]:
    score = view.upright.along(np.array([left, right]))
    a = min(max(round(top / 10), 0), score.shape[1] - 1)
    b = min(max(round(bottom / 10), a + 1), score.shape[1])
    m = score[:, a:b].mean(axis=1)
    return float(m[0]), float(m[1])


def settled(view: View, quad: Quad) -> Array:
    square = view.square
    left, right, curb = quad.left, quad.right, quad.curb[0].line
    head = quad.head[0].line if quad.head else Line(quad.top, 0.0)
    for _ in range(2):
        bl, br, tr, tl = (crossing(square, u, v) for u, v in ((left, curb), (right, curb), (right, head), (left, head)))
        left = polished(square, left, (tl[1], bl[1]), upright=True, reach=3.0)
        right = polished(square, right, (tr[1], br[1]), upright=True, reach=3.0)
        curb = polished(square, curb, (bl[0], br[0]), upright=False, reach=2.0)
        if quad.head:
            head = polished(square, head, (tl[0], tr[0]), upright=False, reach=2.0)
    return np.array([crossing(square, u, v) for u, v in ((left, curb), (right, curb), (right, head), (left, head))])
