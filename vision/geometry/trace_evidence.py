"""What is seen along the four edges of candidate outlines: lines beside them, where they begin and end, the face round them.

All candidates are asked at once. Every clue is 0 to 1 or nearly so; `trace_choice.py` weighs them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vision.geometry.trace_beside import EDGES, NEAREST_PX, STEP, line_of, steps_across
from vision.geometry.trace_clues import FURTHER
from vision.geometry.trace_lines import Line, View, sampled, saturated
from vision.geometry.trace_marks import CLUES, Ended, clues_of, last_clues
from vision.geometry.trace_quads import Quad

Array = NDArray[np.float64]
Clues = dict[str, Array]
PARTS, SAMPLES = 8, 4
"""stretches of an edge, and places in each"""
REACH_PX, FURTHEST_PX = 15.5, 14.0
"""px of the small picture to either side of an edge that are sampled, and up to which another line is looked for"""
OWN_PX = 1.0
"""px; a line so near is the edge itself"""
FAINT = 0.02
"""0 to 1; a step of this size is as good as none beside which it stands"""
NOISE = 1e-4
"""of full range, squared; the same of changes of colour"""
FACE_PX = (2.5, 8.0)
"""px outside an edge, where the face is seen"""
UP_TO_PX, JUST_PAST_PX, PAST_PX = np.arange(0.75, 3.6, 0.25), np.arange(1.0, 3.1, 0.25), np.arange(2.0, 9.0, 0.5)
"""px from a corner: along the edge up to it, and beyond it"""
ASIDE_PX = np.arange(-2.5, 2.51, STEP)
"""px across an edge's end"""
OF_CURB = (
    "colour changes on the weakest quarter",
    "goes on beyond the walls",
    "walls beyond",
    "strip beside the wall differs, inside",
    "strip beside the wall differs, outside",
    "colour changes up to the wall",
    "stands out among its neighbours",
    "a line into the depth from both ends",
)
OF_HEAD = (
    "strip beside the wall differs, inside",
    "strip beside the wall differs, outside",
    "walls just beyond",
    "colour changes up to the wall",
    "stands out among its neighbours",
    "a thin line of another colour",
    "a line into the depth from the fainter end",
    "walls inside, joints left out",
    "walls beyond, joints left out",
)
"""of CLUES and FURTHER, what says more than the others together do: leaving any of the rest out lost nothing in rooms of a hand
that the weights were not fitted to"""


@dataclass(frozen=True)
class End:
    """Of an edge's end at one corner (n,): how much of the edge's change of colour there is up to it, just past it and further on
    (0 to 1, all of it 1, another one negative), and how clear any line is there (0 to 1, half where as clear as the edge)."""

    up_to: Array
    just_past: Array
    past: Array
    runs: Array

    def at(self, k: NDArray[np.intp]) -> End:
        """The ends of candidates k."""
        return End(self.up_to[k], self.just_past[k], self.past[k], self.runs[k])


@dataclass(frozen=True)
class Edge:
    """One edge of n candidates: its clearness, that of its weakest quarter, how much the change of colour is the same all along,
    the clearest line outside and inside, how much the colour inside differs from the face's (each 0 to 1), the face's colour at
    both ends (n, 3), and its ends."""

    own: Array
    weakest: Array
    alike: Array
    outer: Array
    inner: Array
    differs: Array
    face: tuple[Array, Array]
    ends: tuple[End, End]

    def at(self, k: NDArray[np.intp]) -> Edge:
        """The edges of candidates k."""
        of = (self.own[k], self.weakest[k], self.alike[k], self.outer[k], self.inner[k], self.differs[k])
        return Edge(*of, (self.face[0][k], self.face[1][k]), (self.ends[0].at(k), self.ends[1].at(k)))


def edges_of(view: View, quads: Sequence[Quad], corners: Array) -> dict[str, Edge]:
    """Every edge of candidates with corners (n, 4, 2), the head only where there is one."""
    out = {}
    for name, (i, j, _) in EDGES.items():
        if name != "head" or quads[0].head:
            first, back = once(corners[:, [i, j]].reshape(len(corners), 4))
            out[name] = _edge(view, corners[first], name).at(back)
    return out


def once(rows: Array) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Of rows (n, k) the first of each, and which of these each one is: candidates share their edges and corners."""
    _, first, back = np.unique(np.round(rows, 6), axis=0, return_index=True, return_inverse=True)
    return first, back.ravel()


def line_clues(view: View, quads: Sequence[Quad], *, has_head: bool) -> Clues:
    """What `trace_marks.py` and `trace_clues.py` measure of the lines of curb and head between their walls."""
    left, right, curb = (_lines(quads, name) for name in ("left", "right", "curb"))
    out = _named("curb: ", OF_CURB, Ended(view, curb, left, right, -1))
    if has_head:
        return out | _named("head: ", OF_HEAD, Ended(view, _lines(quads, "head"), left, right, 1))
    return out | {f"head: {name}": np.zeros(len(quads)) for name in OF_HEAD}


def edge_clues(edges: Mapping[str, Edge]) -> Clues:
    """Clues of walls, curb and head, and whether the face is one round both upper corners."""
    walls, curb = (edges["left"], edges["right"]), edges["curb"]
    outer, inner = (np.array([getattr(w, name) for w in walls]) for name in ("outer", "inner"))
    out = {
        "walls: clear, fainter one": np.min([w.own for w in walls], axis=0),
        "face: differs from what is inside": np.mean([w.differs for w in walls], axis=0),
        "face: differs from what is inside, fainter": np.min([w.differs for w in walls], axis=0),
        "walls: line outside, clearer": outer.max(axis=0),
        "walls: line outside": outer.mean(axis=0),
        "walls: line inside, clearer": inner.max(axis=0),
        "walls: line inside": inner.mean(axis=0),
        "walls: run on below": np.mean([w.ends[1].runs for w in walls], axis=0),
        "curb: weakest quarter": curb.weakest,
        "curb: alike all along": curb.alike,
        "curb: line inside": curb.inner,
        "curb: runs on": np.mean([e.runs for e in curb.ends], axis=0),
        "curb: runs on, clearer": np.max([e.runs for e in curb.ends], axis=0),
        "curb: the same past a corner": np.max([e.past for e in curb.ends], axis=0),
        "curb: up to the fainter corner": np.min([e.up_to for e in curb.ends], axis=0),
        "curb: up to both corners": np.mean([e.up_to for e in curb.ends], axis=0),
    }
    none = np.zeros(len(curb.own))
    head = edges.get("head")
    above = [w.ends[0] for w in walls] if head else []
    faces = [saturated(w.face[0] - f) for w, f in zip(walls, head.face, strict=True)] if head else []
    return out | {
        "no head": none + (head is None),
        "walls: run on above": np.mean([e.runs for e in above], axis=0) if head else none,
        "walls: run on above, clearer": np.max([e.runs for e in above], axis=0) if head else none,
        "walls: the same past the head": np.max([e.past for e in above], axis=0) if head else none,
        "head: clear": head.own if head else none,
        "head: line outside": head.outer if head else none,
        "head: line inside": head.inner if head else none,
        "head: the same past a corner": np.max([e.past for e in head.ends], axis=0) if head else none,
        "head: up to the fainter corner": np.min([e.up_to for e in head.ends], axis=0) if head else none,
        "head: up to both corners": np.mean([e.up_to for e in head.ends], axis=0) if head else none,
        "face: differs round the corners": np.mean(faces, axis=0) if head else none,
        "face: differs round a corner": np.max(faces, axis=0) if head else none,
    }


def _lines(quads: Sequence[Quad], name: str) -> Array:
    """Lines (n, 2) of one edge."""
    return np.array([line_of(quad, name) or Line(0.0, 0.0) for quad in quads]).reshape(-1, 2)


def _named(prefix: str, names: Sequence[str], ended: Ended) -> Clues:
    first, back = once(np.hstack([ended.lines, ended.left, ended.right]))
    one = Ended(ended.view, ended.lines[first], ended.left[first], ended.right[first], ended.inward)
    every = dict(zip((*CLUES, *FURTHER), np.column_stack([clues_of(one), last_clues(one)])[back].T, strict=True))
    return {prefix + name: every[name] for name in names}


def _seen(view: View, points: Array, off: Array, *, upright: bool) -> Array:
    """Colours (..., offsets, 3) across an edge at points (..., 2) of it."""
    x, y = points[..., 0, None], points[..., 1, None]
    x, y = (x + off, y + 0 * off) if upright else (x + 0 * off, y + off)
    return sampled(view.square, x, y)


def _edge(view: View, corners: Array, name: str) -> Edge:
    """One edge of every candidate."""
    (i, j, inward), upright = EDGES[name], name in ("left", "right")
    a, b, n = corners[:, i], corners[:, j], len(corners)
    off = np.arange(-REACH_PX, REACH_PX + 0.01, STEP)
    u = 0.03 + 0.94 * (np.arange(PARTS * SAMPLES) + 0.5)[:, None] / (PARTS * SAMPLES)
    points = a[:, None] * (1 - u) + b[:, None] * u
    colours = _seen(view, points, off * inward, upright=upright).reshape(n, PARTS, SAMPLES, len(off), 3).mean(axis=2)
    step, at = steps_across(colours, off)
    size = saturated(step)
    mean = size.mean(axis=1)
    best, row = np.where(np.abs(at) <= OWN_PX, mean, 0.0).argmax(axis=1), np.arange(n)
    own, change = mean[row, best], step[row, :, best]
    whole = change.mean(axis=1)
    top = np.zeros_like(mean)
    top[:, 1:-1] = np.where((mean[:, 1:-1] >= mean[:, :-2]) & (mean[:, 1:-1] >= mean[:, 2:]), mean[:, 1:-1], 0.0)
    outer, inner = (
        np.where((way * at >= NEAREST_PX) & (way * at <= FURTHEST_PX), top, 0.0).max(axis=1, initial=0.0) for way in (-1, 1)
    )
    face, beside = (colours[:, :, (w * off >= FACE_PX[0]) & (w * off <= FACE_PX[1])].mean(axis=2) for w in (-1, 1))
    away = (b - a) / np.linalg.norm(b - a, axis=1, keepdims=True)
    ends = [_end(view, (corner, way * away), (own, whole), inward, upright=upright) for corner, way in ((a, -1), (b, 1))]
    return Edge(
        own,
        np.sort(size[row, :, best], axis=1)[:, : PARTS // 4].mean(axis=1),
        np.linalg.norm(whole, axis=1) / (np.linalg.norm(change, axis=2).mean(axis=1) + 0.005),
        outer / (outer + own + FAINT),
        inner / (inner + own + FAINT),
        saturated(beside - face).mean(axis=1),
        (face[:, : PARTS // 4].mean(axis=1), face[:, -(PARTS // 4) :].mean(axis=1)),
        (ends[0], ends[1]),
    )


def _end(view: View, corner: tuple[Array, Array], edge: tuple[Array, Array], inward: int, *, upright: bool) -> End:
    """One end: the corner and the direction out of the edge, each (n, 2); the edge's clearness and change of colour."""
    (at, away), (own, whole) = corner, edge
    n = len(at)
    square = np.sum(whole * whole, axis=1)[:, None] + NOISE
    share, clear = [], np.zeros(n)
    for along in (-UP_TO_PX, JUST_PAST_PX, PAST_PX):
        points = at[:, None] + away[:, None] * along[:, None]
        step, place = steps_across(_seen(view, points, ASIDE_PX * inward, upright=upright).mean(axis=1), ASIDE_PX)
        step = step[:, np.abs(place) <= OWN_PX]
        share.append(np.clip((np.einsum("nmc,nc->nm", step, whole) / square).max(axis=1), -0.5, 1.5))
        clear = saturated(step).max(axis=1)
    return End(share[0], share[1], share[2], clear / (clear + own + FAINT))
