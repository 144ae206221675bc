"""Further candidates: what runs along an edge of an outline may be the edge itself, for one edge alone or for all round.

A trim, a lining or a first course goes round the opening and has two borders; a curb's top, a cap and a soffit have two edges.
Which border is meant is for the clues to say (`trace_choice.py`); here both are put up.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from vision.geometry.trace_lines import Line, View, across, all_polished, sampled, saturated
from vision.geometry.trace_quads import Quad, with_edge, with_walls

Array = NDArray[np.float64]
REACH_PX = {"left": 16.0, "right": 16.0, "head": 20.0, "curb": 16.0}
"""px of the small picture (64 and 80 px at 12 MP) to either side: as wide as a lining or trim of 100 mm at 2 m is seen"""
NEAREST_PX = 1.75
"""px of the small picture (7 px at 12 MP) from which a line is another one"""
EACH_WAY = 2
"""lines to either side of an edge, the clearest"""
FAINTEST, LEAST = 0.25, 0.15
"""of the edge's own clearness, and 0 to 1: fainter lines are not put up"""
SAME_SHARE, SAME_PX = 0.35, 2.0
"""of the distance, and px, by which a strip's width may differ from wall to wall: two walls are seen from one place"""
HEAD_SHARE, HEAD_PX = 0.5, 2.5
"""the same between walls and head, which are not as far from the eye"""
SMALLEST_PX = 20.0
"""px; smaller outlines are none"""
ONE_PX = 0.75
"""px; candidates whose corners are all nearer than this are one"""
PARTS, SAMPLES, STEP, BOX = 8, 8, 0.5, 3
EDGES = {"left": (3, 0, 1), "right": (2, 1, -1), "head": (3, 2, 1), "curb": (0, 1, -1)}
"""first and last corner of an edge, and the direction of the inside along x of a wall, along y of a level line"""


class Beside(NamedTuple):
    """A line beside an edge, and how far inside of it (px, negative: outside)."""

    line: Line
    inward: float


def line_of(quad: Quad, name: str) -> Line | None:
    """One edge's line; None of a head that there is not."""
    if name in ("left", "right"):
        return quad.left if name == "left" else quad.right
    levels = quad.head if name == "head" else quad.curb
    return levels[0].line if levels else None


def with_beside(view: View, quads: Sequence[Quad], most: int) -> list[Quad]:
    """The candidates, and of the first `most` what lies beside their edges, each outline once."""
    out = list(quads)
    for quad in quads[:most]:
        lines = beside(view, quad)
        out += [with_edge(quad, name, one.line) for name, of in lines.items() for one in of]
        round_ = _all_round(quad, lines)
        out += round_ + [with_edge(one, "curb", curb.line) for one in round_ for curb in lines["curb"]]
    return _once(view, out)


def beside(view: View, quad: Quad) -> dict[str, list[Beside]]:
    """Lines beside each edge, the clearest of either way first."""
    corners, found = quad.corners(view), {}
    for name, (i, j, inward) in EDGES.items():
        line, k = line_of(quad, name), 1 if name in ("left", "right") else 0
        ends = float(corners[i, k]), float(corners[j, k])
        if line is not None and ends[1] - ends[0] >= SMALLEST_PX:
            found[name] = (line, ends, _peaks(view, line, ends, inward, REACH_PX[name], upright=k == 1))
    out: dict[str, list[Beside]] = {name: [] for name in EDGES}
    for upright, names in ((True, ("left", "right")), (False, ("head", "curb"))):
        moved = [
            (n, o, Line(found[n][0].at + o, found[n][0].slope), found[n][1]) for n in names if n in found for o in found[n][2]
        ]
        fine = all_polished(view.square, [m[2] for m in moved], [m[3] for m in moved], upright=upright, reach=1.5)
        for (name, off, _, _), line in zip(moved, fine, strict=True):
            out[name].append(Beside(line, off * EDGES[name][2]))
    return out


def _peaks(view: View, line: Line, ends: tuple[float, float], inward: int, reach: float, *, upright: bool) -> list[float]:
    """How far (px along the axis) the clearest lines along an edge are off it."""
    off = np.arange(-reach - 1.5, reach + 1.51, STEP)
    a, b = ends[0] + 0.03 * (ends[1] - ends[0]), ends[1] - 0.03 * (ends[1] - ends[0])
    t = np.linspace(a, b, PARTS * SAMPLES)
    place = across(line, t, view.square.small.shape[0 if upright else 1])[:, None] + off
    along = np.broadcast_to(t[:, None], place.shape)
    colours = sampled(view.square, place, along) if upright else sampled(view.square, along, place)
    step, at = steps_across(colours.reshape(PARTS, SAMPLES, len(off), 3).mean(axis=1), off)
    size = saturated(step).mean(axis=0)
    own = float(size[np.abs(at) <= 1.0].max())
    top = np.zeros(len(size), dtype=np.bool_)
    top[1:-1] = (size[1:-1] >= size[:-2]) & (size[1:-1] > size[2:])
    top &= (np.abs(at) >= NEAREST_PX) & (size > FAINTEST * own) & (size > LEAST)
    out = []
    for way in (inward, -inward):
        these = np.nonzero(top & (at * way > 0))[0]
        out += [float(at[m]) for m in these[np.argsort(-size[these], kind="stable")][:EACH_WAY]]
    return out


def steps_across(colours: Array, off: Array) -> tuple[Array, Array]:
    """Change of colour (..., m, 3) of profiles (..., offsets, 3), and where (m,) it is."""
    total = np.concatenate([np.zeros((*colours.shape[:-2], 1, 3)), np.cumsum(colours, axis=-2)], axis=-2)
    i = np.arange(BOX, len(off) - BOX + 1)
    return (total[..., i + BOX, :] - 2 * total[..., i, :] + total[..., i - BOX, :]) / BOX, (off[i] + off[i - 1]) / 2


def _all_round(quad: Quad, lines: dict[str, list[Beside]]) -> list[Quad]:
    """The outline with both walls, and both walls and the head, on lines as far beside them."""
    out = []
    for left, right in product(lines["left"], lines["right"]):
        if abs(left.inward - right.inward) >= max(SAME_PX, SAME_SHARE * abs(left.inward)):
            continue
        walls = with_walls(quad, left.line, right.line)
        out.append(walls)
        for head in lines["head"]:
            same_way = head.inward * left.inward > 0
            if same_way and abs(head.inward - left.inward) < max(HEAD_PX, HEAD_SHARE * abs(left.inward)):
                out.append(with_edge(walls, "head", head.line))
    return out


def _once(view: View, quads: Sequence[Quad]) -> list[Quad]:
    """The outlines that are large enough, each once, in their order."""
    out: list[Quad] = []
    seen = np.zeros((len(quads), 4, 2))
    for quad in quads:
        corners, n = quad.corners(view), len(out)
        wide, high = corners[1, 0] - corners[0, 0], corners[0, 1] - corners[3, 1]
        if min(wide, high) < SMALLEST_PX or bool(np.any(np.abs(seen[:n] - corners).max(axis=(1, 2)) < ONE_PX)):
            continue
        seen[n] = corners
        out.append(quad)
    return out
