"""What is seen at the corners of candidate outlines: edges that end there, and lines into the depth that begin there.

At a corner of the opening two arrises meet and end, and where soffit or curb and a side wall meet a line begins that runs into
the depth. A trim's outer corner has no such line, and from a rear corner it goes on outward to the front one.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from vision.geometry.trace_evidence import Clues, Edge, once
from vision.geometry.trace_lines import View, sampled, saturated

Array = NDArray[np.float64]
INWARD = ((1, -1), (-1, -1), (-1, 1), (1, 1))
"""from bottom-left, bottom-right, top-right and top-left into the opening, along x and y"""
SEEN_PX = 4.0
"""px of the small picture; a side wall, soffit or curb's top seen narrower shows no line into the depth"""
ASIDE_PX, CLOSE_PX = np.arange(0.75, 2.6, 0.25), np.arange(0.5, 1.3, 0.25)
"""px to either side of such a line, and of its beginning: closer there, since a trim is a few px wide"""
SHIFTS_PX = (-0.75, 0.0, 0.75)
"""px; by which the corner may be off"""
LONG_PX, NEAR_PX, FIRST_PX = np.arange(2.0, 16.0, 0.5), np.arange(1.5, 5.5, 0.25), np.arange(1.0, 4.0, 0.25)
BEHIND_PX = np.arange(2.5, 10.5, 0.5)
"""px from the corner along the line, and back from it"""
UNSEEN = {"all along": 0.4, "at the corner": 0.4, "begins": 0.25, "goes on outward": 0.2}
"""where no corner shows a line: about what all candidates have"""


def corner_clues(edges: Mapping[str, Edge]) -> Clues:
    """How well edges meet and end at the corners."""
    walls, curb, head = (edges["left"], edges["right"]), edges["curb"], edges.get("head")
    low = [_lower(w, curb, k) for k, w in enumerate(walls)]
    whole = np.array([np.prod(one, axis=0) for one in low])
    out = {
        "lower corners": whole.mean(axis=0),
        "lower corners, worse": whole.min(axis=0),
        "lower corners: edges up to them": np.min([part for one in low for part in one[:2]], axis=0),
    }
    if head is None:
        none = np.zeros(len(curb.own))
        return out | dict.fromkeys(UPPER, none)
    ends = [(w.ends[0], head.ends[k]) for k, w in enumerate(walls)]
    up_to = np.array([[_part(e.up_to) for e in corner] for corner in ends])
    past = np.array([[_part(e.just_past) for e in corner] for corner in ends])
    whole = (up_to * (1 - past)).prod(axis=1)
    parts = (whole.mean(axis=0), whole.min(axis=0), up_to.mean(axis=(0, 1)), up_to.min(axis=(0, 1)))
    return out | dict(zip(UPPER, (*parts, past.mean(axis=(0, 1)), past.max(axis=(0, 1))), strict=True))


UPPER = (
    "upper corners",
    "upper corners, worse",
    "upper corners: edges up to them",
    "upper corners: an edge up to them",
    "upper corners: edges past them",
    "upper corners: an edge past them",
)


def depth_clues(view: View, corners: Array, *, has_head: bool) -> Clues:
    """How clearly lines run into the depth from the corners (n, 4, 2), begin there, and go on outward beyond them."""
    seen = np.zeros((4, len(corners)), dtype=np.bool_)
    long, near, begins, behind = (np.zeros(seen.shape) for _ in range(4))
    for k in range(4 if has_head else 2):
        first, back = once(corners[:, k])
        seen[k], long[k], near[k], begins[k], behind[k] = (v[back] for v in _rays(view, corners[first, k], INWARD[k]))
    count = np.maximum(seen.sum(axis=0), 1)
    left, right = corners[:, 0, 0], corners[:, 1, 0]
    aside = np.maximum(np.maximum(left - view.square.depth[0], view.square.depth[0] - right), 0.0) / (right - left)

    def told(value: Array, name: str) -> Array:
        return np.where(seen.any(axis=0), value, UNSEEN[name])

    def of(some: slice) -> Array:
        return np.where(seen[some].any(axis=0), begins[some].max(axis=0), UNSEEN["begins"])

    return {
        "depth: the eye is beside it": np.minimum(aside, 1.0),
        "depth: lines all along": told(long.sum(axis=0) / count, "all along"),
        "depth: line all along, clearest": told(long.max(axis=0), "all along"),
        "depth: lines at the corners": told(near.sum(axis=0) / count, "at the corner"),
        "depth: lines begin": told(begins.sum(axis=0) / count, "begins"),
        "depth: line begins, clearest": told(begins.max(axis=0), "begins"),
        "depth: line begins above": of(slice(2, 4)),
        "depth: line begins below": of(slice(0, 2)),
        "depth: lines go on outward": told(behind.sum(axis=0) / count, "goes on outward"),
        "depth: line goes on outward, clearest": told(behind.max(axis=0), "goes on outward"),
        "depth: line inward only": told((long - behind).max(axis=0), "goes on outward"),
    }


def _part(share: Array) -> Array:
    return np.clip(share, 0.0, 1.0)


def _lower(wall: Edge, curb: Edge, k: int) -> list[Array]:
    """Of a lower corner: wall and curb up to it, and that the curb ends there (the wall may go on as the border of its front)."""
    return [_part(wall.ends[1].up_to), _part(curb.ends[k].up_to), 1 - _part(curb.ends[k].just_past)]


def _rays(view: View, corner: Array, inward: tuple[int, int]) -> tuple[NDArray[np.bool_], Array, Array, Array, Array]:
    """Of corners (n, 2): where a line into the depth would be seen, how clear it is all along and close by, how clearly it begins
    there, and how clear it is behind, each (n,) and 0 where none is seen."""
    deep = view.square.depth - corner
    seen = np.asarray((deep * np.array(inward) > SEEN_PX).all(axis=1), dtype=np.bool_)
    ray = (corner[seen], deep[seen] / np.linalg.norm(deep[seen], axis=1, keepdims=True))
    long, behind = (_clear(view, ray, d, ASIDE_PX) for d in (LONG_PX, -BEHIND_PX))
    near, first, back = (_clear(view, ray, d, CLOSE_PX) for d in (NEAR_PX, FIRST_PX, -FIRST_PX))
    out = np.zeros((4, len(corner)))
    out[:, seen] = long, near, first * (1 - back), behind
    return seen, out[0], out[1], out[2], out[3]


def _clear(view: View, ray: tuple[Array, Array], along: Array, off: Array) -> Array:
    """Change of colour (n,), saturating, across a line from a corner (n, 2) in a direction (n, 2), of the fainter half of it."""
    corner, way = ray
    aside = np.stack([-way[:, 1], way[:, 0]], axis=1)
    best = np.zeros(len(corner))
    for shift in SHIFTS_PX:
        line = corner[:, None] + way[:, None] * along[:, None] + aside[:, None] * shift
        one, other = (line[:, :, None] + s * aside[:, None, None] * off[:, None] for s in (1, -1))
        step = (sampled(view.square, one[..., 0], one[..., 1]) - sampled(view.square, other[..., 0], other[..., 1])).mean(axis=2)
        halves = step.reshape(len(corner), 2, len(along) // 2, 3).mean(axis=2)
        best = np.maximum(best, saturated(halves).min(axis=1))
    return best
