"""Is the line found the outermost one: a trim, a first course of tile or a soffit has a further line, outside its rear edge.

Outside the opening's edge the wall's face begins, so a line that runs along an edge further out, and ends where the edge ends,
is the edge itself. A joint or a moulding of the face goes on beyond the corners.
"""

from __future__ import annotations

from dataclasses import replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from vision.geometry.trace_clues import profile_of, thin_line
from vision.geometry.trace_frame import Squared
from vision.geometry.trace_lines import Line, View, across, sampled, saturated
from vision.geometry.trace_quads import Quad

Array = NDArray[np.float64]
PARTS, SAMPLES, STEP = 8, 16, 0.5
"""stretches of an edge, places in each, and px of the small picture between places across it"""
BOX = 3
"""steps; the colour on either side of a line is averaged over so much: a trim of 10 mm at 3 m is as wide"""
NEAREST_PX = 1.75
"""px of the small picture (7 px at 12 MP) that the other line is off at least"""
FURTHEST_PX = {"left": 4.0, "right": 4.0, "head": 15.0}
"""px of the small picture (16 and 60 px at 12 MP): a wall's first course or trim, a soffit. Casings on the wall's
face, further from the edge, end at the corners too; and below a curb there is always the floor's line"""
MOST_SKEW_PX = 1.5
"""px; how far the other line may be off parallel from one end of the edge to the other"""
BEYOND_PX = (4.0, 20.0)
"""px past either end, where a line that goes on is told from one that ends"""


CLEAR, ENDS, VALLEY = 0.4, 0.2, 0.12
"""a line is a rival from this share of the edge's own score on, and from so much more than its prolongations and what lies
between (0 to 1). Of 450 looks of samples, scenes and `dev` rooms no head found rightly had one, nor a wall but of one room"""


THIN = 0.45
"""0 to 1; 0.5 where a thin line differs from its sides as much as these from one another. Of the curbs of 59 photos as they are,
mirrored and softened only those of one room reach it, where the line was the joint under the arris"""


class Outer(NamedTuple):
    """The clearest line outside an edge: how clear (0 to 1) it, what lies between, the edge itself and its own prolongation are,
    and how far (px) out it is at the edge's first and second end."""

    score: float
    between: float
    own: float
    beyond: float
    shifts: tuple[float, float]

    @property
    def rival(self) -> bool:
        """Whether it may be the edge itself."""
        ends, apart = self.score - self.beyond > ENDS, self.score - self.between > VALLEY
        return ends and apart and self.score > CLEAR * self.own


def rivals(view: View, quad: Quad) -> dict[str, Quad]:
    """Edges (left, right, head) of which a line further out may be the true one, with the outline that it makes."""
    bl, br, tr, tl = (tuple(float(v) for v in c) for c in quad.corners(view))
    out = {}
    for name, line, ends, outward in (
        ("left", quad.left, (tl[1], bl[1]), -1),
        ("right", quad.right, (tr[1], br[1]), 1),
        ("head", quad.head[0].line if quad.head else None, (tl[0], tr[0]), -1),
    ):
        if line is None:
            continue
        found = outermost(view.square, line, ends, outward, FURTHEST_PX[name], upright=name != "head")
        if found.rival:
            length = view.square.small.shape[1 if name == "head" else 0]
            a, b = (float(across(line, e, length)) + outward * s for e, s in zip(ends, found.shifts, strict=True))
            slope = (b - a) / (ends[1] - ends[0])
            moved = Line(a + slope * (length / 2 - ends[0]), slope)
            out[name] = with_edge(quad, name, moved)
    return out


def joint_for_curb(view: View, quad: Quad) -> bool:
    """Whether the curb's line is rather a joint of its front: a thin line with nearly the same colour on either side."""
    curb, (a, b) = quad.curb[0].line, quad.corners(view)[:2, 0]
    x = (a + 3 + (b - a - 6) * (np.arange(PARTS * SAMPLES) + 0.5) / (PARTS * SAMPLES))[None]
    profile, offsets = profile_of(view, x, across(curb, x, view.square.small.shape[1]), (0, 1))
    return float(thin_line(profile, offsets)[0]) > THIN


def with_edge(quad: Quad, name: str, line: Line) -> Quad:
    """The outline with another line as one of its edges."""
    if name == "head":
        return replace(quad, head=(replace(quad.head[0], line=line),))
    if name == "curb":
        return replace(quad, curb=(replace(quad.curb[0], line=line),))
    return replace(quad, left=line) if name == "left" else replace(quad, right=line)


def outermost(square: Squared, line: Line, ends: tuple[float, float], outward: int, furthest: float, *, upright: bool) -> Outer:
    """The clearest line that runs along an edge, `furthest` px further out at most; `outward` is the direction along x of a wall,
    along y of a level line."""
    offsets = np.arange(-3.0, furthest + 3.0, STEP)
    a, b = ends
    t = np.linspace(a + 0.04 * (b - a), b - 0.04 * (b - a), PARTS * SAMPLES)
    step, at = _steps(square, line, t, offsets * outward, PARTS, upright=upright)
    first = np.arange(NEAREST_PX, furthest + 0.01, STEP)
    u = (t.reshape(PARTS, SAMPLES).mean(axis=1) - a) / (b - a)
    A, B = (x.ravel() for x in np.meshgrid(first, first, indexing="ij"))
    near = np.abs(A - B) <= MOST_SKEW_PX
    A, B = A[near], B[near]

    def clear(part: float) -> Array:
        """Mean score (n,) along lines that part of the way out."""
        index = np.round((part * (A[:, None] * (1 - u) + B[:, None] * u) - at[0]) / STEP).astype(np.int64)
        return np.asarray(step[np.arange(PARTS), index].mean(axis=1))

    score, between = clear(1.0), np.min([clear(part) for part in (0.3, 0.4, 0.5, 0.6, 0.7)], axis=0)
    best = int((score - between).argmax())
    own = float(step[:, np.abs(at) <= 1.0].max(axis=1).mean())
    past = []
    for end, away, shift in ((a, -1, A[best]), (b, 1, B[best])):
        there = end + away * np.linspace(*BEYOND_PX, SAMPLES)
        length = square.small.shape[0 if upright else 1]
        if there.min() < 0 or there.max() > length - 1:
            continue
        tail, _ = _steps(square, line, there, offsets * outward, 1, upright=upright)
        past.append(float(tail[0, np.abs(at - shift) <= 1.0].max()))
    return Outer(float(score[best]), float(between[best]), own, min(past, default=0.0), (float(A[best]), float(B[best])))


def _steps(square: Squared, line: Line, t: Array, offsets: Array, parts: int, *, upright: bool) -> tuple[Array, Array]:
    """Colour steps (parts, m), saturating, across a line at places t along it, and how far out (m,) they are (px)."""
    length = square.small.shape[0 if upright else 1]
    place, along = across(line, t, length)[:, None] + offsets, np.repeat(t[:, None], len(offsets), axis=1)
    colours = sampled(square, place, along) if upright else sampled(square, along, place)
    mean = colours.reshape(parts, -1, len(offsets), 3).mean(axis=1)
    total = np.concatenate([np.zeros((parts, 1, 3)), np.cumsum(mean, axis=1)], axis=1)
    i = np.arange(BOX, len(offsets) - BOX + 1)
    size = saturated((total[:, i + BOX] - 2 * total[:, i] + total[:, i - BOX]) / BOX)
    return size, np.sign(offsets[-1]) * (offsets[i] + offsets[i - 1]) / 2
