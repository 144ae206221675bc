"""Outlines that the networks propose: likely corners put together, and likely lines along the edges crossed with one another."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import product

import numpy as np
from numpy.typing import NDArray

from vision.geometry.corner_sight import Corners
from vision.geometry.outline_sight import Drawn
from vision.geometry.rough_outline import OUTLINE_CORNERS
from vision.geometry.trace_frame import Squared
from vision.geometry.trace_sight import Edges

Array = NDArray[np.float64]
PLACES = 3
"""likely places of each corner that are put together"""
MOST = 24
"""outlines that are proposed in either way, the likeliest"""
LINES, APART_PX = 4, 1.2
"""lines of each edge that are crossed, and px of the small picture from which two are two"""
SMALLEST_PX = 20.0
"""px of the small picture; smaller outlines are none"""


def from_corners(of: Drawn, corners: Corners) -> Array:
    """Outlines (n, 4, 2) px of the small picture, the first as it is drawn, the others of places where corners are seen; none
    where what is drawn is no outline, as in a picture without an opening."""
    whole = of.outline()
    seen = [corners.places(k, whole[k], PLACES) or [(whole[k], 1.0)] for k in range(4 if of.has_head else 2)]
    every = sorted(product(*seen), key=lambda places: -float(np.prod([share for _, share in places])))[:MOST]
    out = [whole]
    for places in every:
        at = np.array([place for place, _ in places])
        out.append(at if of.has_head else np.vstack([at, of.tops(at)[::-1]]))
    return np.array([one for one in out if _is_outline(one)]).reshape(-1, 4, 2)


def from_edges(square: Squared, starts: Array, edges: Edges, *, has_head: bool) -> Array:
    """Outlines (n, 4, 2) px of the small picture whose edges are lines that are seen along those of some outlines (m, 4, 2)."""
    photo = np.array([square.to_photo(one) for one in starts])
    names = [name for name in OUTLINE_CORNERS if has_head or name != "head"]
    lines = []
    for name in names:
        found: list[tuple[Array, float]] = []
        for line in edges.lines(name, photo[:, list(OUTLINE_CORNERS[name])]):
            small = square.from_photo(line.points)
            if len(found) < LINES and all(np.abs(small - other).max() > APART_PX for other, _ in found):
                found.append((small, line.support))
        lines.append(found)
    every = sorted(product(*lines), key=lambda each: -sum(support for _, support in each))[:MOST]
    top = float(starts[0, 2:, 1].mean())
    made = [_crossed(dict(zip(names, (line for line, _ in each), strict=True)), top) for each in every]
    return np.array([one for one in made if one is not None]).reshape(-1, 4, 2)


def _crossed(lines: Mapping[str, Array], top: float) -> Array | None:
    """Corners (4, 2) where lines (2, 2) cross, in the row `top` where there is no head; None where that is no outline."""
    curb, head = lines["curb"], lines.get("head", np.array([[0.0, top], [1.0, top]]))
    ends = (("left", curb), ("right", curb), ("right", head), ("left", head))
    try:
        out = np.array([crossing(lines[wall], level) for wall, level in ends])
    except np.linalg.LinAlgError:
        return None
    return out if _is_outline(out) else None


def _is_outline(corners: Array) -> bool:
    """Whether corners (4, 2) lie as those of an opening do, and not too near to one another."""
    bl, br, tr, tl = corners
    return bool(min(br[0] - bl[0], tr[0] - tl[0], bl[1] - tl[1], br[1] - tr[1]) > SMALLEST_PX)


def crossing(a: Array, b: Array) -> Array:
    """Where the lines through two points each (2, 2) cross. Raises numpy.linalg.LinAlgError where they are parallel."""
    d, e = a[1] - a[0], b[1] - b[0]
    return np.asarray(a[0] + d * np.linalg.solve(np.column_stack([d, -e]), b[0] - a[0])[0])
