"""Lines inside a level edge, in the opening's plane or deeper: a cap has two borders, a curb's top has two edges.

Nothing of what lies deeper is seen between the wall's edge and the line that runs into the depth from the edge's corner: the
side wall is there. A line that goes on through there up to the wall lies in the opening's plane itself. (Polished side walls
mirror what ends at them, so only a clear case is decided.)
"""

from __future__ import annotations

from dataclasses import replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from vision.geometry.trace_lines import Line, View, across, polished, sampled, saturated

Array = NDArray[np.float64]
Walls = tuple[Line, Line]
PARTS, SAMPLES, STEP, BOX = 8, 24, 0.5, 3
"""stretches of an edge, places in each, px of the small picture between places across it, and steps averaged on either side"""
ENDS = 0.15
"""of the width at either end of an edge, where a line deeper in need not be seen"""
NEAREST_PX = 2.5
"""px of the small picture (10 px at 12 MP): nearer lines are the same outline"""
MOST_SKEW_PX = 1.5
"""px; how far an inner line may be off parallel along the edge"""
FAINTEST = 0.3
"""of the edge's own clearness; fainter lines are not looked at"""
BESIDE_PX = (0.5, 5.0)
"""px from the wall's edge; what is looked at between it and the line into the depth"""
NARROWEST_PX = 1.0
"""px; where less of a side wall would be seen, an end says nothing"""
ACROSS = np.arange(0.75, 1.6, 0.25)
"""px outside a line at which its colours are taken: little, since the side wall is only seen up to the line into the depth"""
INSIDE = np.arange(0.75, 2.6, 0.25)
"""px inside a line; more, since it may be a pixel off"""
VALLEY = 0.1
"""0 to 1; by how much a line is clearer than what lies half way to the edge, or it is the edge's own blur"""
INTO_PX = np.arange(2.0, 20.0, 0.5)
"""px beyond the line into the depth, where the colour outside an inner line is the curb's top or the cap's front for sure"""
NOISE = 0.01
"""of full range; a smaller difference of colours says nothing"""


class Inner(NamedTuple):
    """A line inside a level edge: how far in (px), its clearness over the edge's, and how surely it lies in the opening's plane
    (0 to 1; None where neither end tells)."""

    line: Line
    inward: float
    share: float
    front: float | None


class Shifted(NamedTuple):
    """Courses inside an edge: how far in (n,) px, how much further at the last end than at the first (n,), how clear (n,) each
    is; and where (px) the stretch that is looked at begins and ends."""

    inward: Array
    skew: Array
    clear: Array
    between: tuple[float, float]

    @property
    def own(self) -> float:
        """How clear (0 to 1) the edge itself is."""
        return float(self.clear[np.abs(self.inward) <= 1.0].max())


def clearness(view: View, walls: Walls, edge: Line, inward: int) -> float:
    """How clearly (0 to 1) the colour changes along an edge between its walls."""
    return _shifted(view, walls, edge, inward, 1.0).own


def inner_lines(view: View, walls: Walls, edge: Line, inward: int, furthest: float) -> list[Inner]:
    """The lines inside an edge up to `furthest` px away, nearest first; `inward` is the direction of the inside along y."""
    of = _shifted(view, walls, edge, inward, furthest)
    (low, high), A = of.between, of.inward
    left = np.where(NEAREST_PX <= A, of.clear, 0.0)
    out: list[Inner] = []
    while (best := int(left.argmax())) >= 0 and left[best] > FAINTEST * of.own:
        score = float(left[best])
        left[np.abs(A - A[best]) < NEAREST_PX] = 0.0
        between = [float(of.clear[np.abs(A - part * A[best]) <= STEP / 2].max()) for part in (0.4, 0.5, 0.6, 0.7)]
        if min(between) > score - VALLEY:
            continue
        slope = inward * float(of.skew[best]) / (high - low)
        middle = (low + high) / 2
        line = Line(edge.at + inward * float(A[best]) + slope * (view.square.small.shape[1] / 2 - middle), edge.slope + slope)
        line = polished(view.square, line, (low, high), upright=False, reach=1.0)
        out.append(Inner(line, float(A[best]), score / of.own, in_front(view, walls, edge, line, inward)))
    return sorted(out, key=lambda one: one.inward)


def _shifted(view: View, walls: Walls, edge: Line, inward: int, furthest: float) -> Shifted:
    """The edge itself and everything beside it up to `furthest` px inside, in steps."""
    a, b = (float(across(wall, edge.at, view.square.small.shape[0])) for wall in walls)
    low, high = a + ENDS * (b - a), b - ENDS * (b - a)
    size, at = _steps(view, edge, np.linspace(low, high, PARTS * SAMPLES), inward, furthest)
    skews = np.arange(-MOST_SKEW_PX, MOST_SKEW_PX + 0.1, STEP)
    A, B = (x.ravel() for x in np.meshgrid(np.arange(-1.0, furthest + 0.1, STEP), skews, indexing="ij"))
    u = (np.arange(PARTS) + 0.5) / PARTS - 0.5
    index = np.clip(np.round((A[:, None] + B[:, None] * u - at[0]) / STEP).astype(np.int64), 0, len(at) - 1)
    return Shifted(A, B, np.asarray(size[np.arange(PARTS), index].mean(axis=1)), (low, high))


def in_front(view: View, walls: Walls, edge: Line, line: Line, inward: int) -> float | None:
    """How surely a line inside an edge lies in the opening's plane, by the end that says so less (0 to 1; None: none tells)."""
    ends = [front_at(view, wall, (edge, line), side, inward) for wall, side in zip(walls, (1, -1), strict=True)]
    return min((e for e in ends if e is not None), default=None)


def turned(view: View) -> View:
    """The view with rows and columns exchanged, for `sampled` only: its walls are level lines, its curb and head upright ones."""
    square = view.square
    small, fine = square.small.transpose(1, 0, 2), np.ascontiguousarray(square.fine.transpose(1, 0, 2))
    depth = np.array(square.depth[::-1])
    return view._replace(square=replace(square, small=small, fine=fine, seen=square.seen.T, depth=depth))


def front_at(view: View, wall: Line, lines: tuple[Line, Line], side: int, inward: int) -> float | None:
    """The same of the end at one wall, of an edge and a line inside it; `side` is the direction of the opening along x."""
    h, w = view.square.small.shape[:2]
    edge, line = lines
    y0 = float(across(edge, across(wall, edge.at, h), w))
    x0 = float(across(wall, y0, h))
    y1 = float(across(line, x0, w))
    x1 = float(across(wall, y1, h))
    away, deep = inward * (y1 - y0), view.square.depth - np.array([x0, y0])
    if away < NEAREST_PX / 2 or inward * deep[1] <= 0:
        return None
    ray = side * away * float(deep[0]) / (inward * float(deep[1]))
    seen = min(ray * (away - ACROSS[-1]) / away - BESIDE_PX[0], BESIDE_PX[1])
    if seen < NARROWEST_PX:
        return None
    beside, beyond = x1 + side * np.arange(BESIDE_PX[0], seen + 0.01, 0.25), x1 + side * (ray + INTO_PX)

    def columns(x: Array, way: Array) -> Array:
        """Mean colours of columns half a px wide, (n, 3)."""
        y = across(line, x, w)[:, None] + inward * way
        of = sampled(view.square, np.repeat(x[:, None], len(way), axis=1), y).mean(axis=1)
        return np.array([part.mean(axis=0) for part in np.array_split(of, max(len(x) // 2, 1))])

    outside = columns(beside, -ACROSS)
    goes_on = float(np.linalg.norm(columns(beside, INSIDE) - outside, axis=1).mean())
    changes = float(np.linalg.norm(columns(beyond, -ACROSS).mean(axis=0) - outside, axis=1).mean())
    return goes_on / (goes_on + changes + NOISE)


def _steps(view: View, edge: Line, x: Array, inward: int, furthest: float) -> tuple[Array, Array]:
    """Colour steps (PARTS, m), saturating, inside an edge at places x along it, and how far in (m,) they are (px)."""
    offsets = np.arange(-4.0, furthest + 4.0, STEP)
    y = across(edge, x, view.square.small.shape[1])[:, None] + inward * offsets
    colours = sampled(view.square, np.repeat(x[:, None], len(offsets), axis=1), y)
    mean = colours.reshape(PARTS, SAMPLES, len(offsets), 3).mean(axis=1)
    total = np.concatenate([np.zeros((PARTS, 1, 3)), np.cumsum(mean, axis=1)], axis=1)
    i = np.arange(BOX, len(offsets) - BOX + 1)
    return saturated((total[:, i + BOX] - 2 * total[:, i] + total[:, i - BOX]) / BOX), (offsets[i] + offsets[i - 1]) / 2
