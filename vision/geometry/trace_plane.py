"""Is the outline's curb the upper front arris, its head where the face ends, and does it end at its corners?

A cap, a first course or the floor has its line below the arris; a pattern of the face has lines above the head; of a window the
pane may be taken for the opening. `trace_front.py` says which lines lie in the opening's plane.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vision.geometry.trace_front import Inner, clearness, front_at, inner_lines, turned
from vision.geometry.trace_lines import Line, View, across, sampled
from vision.geometry.trace_marks import into_depth
from vision.geometry.trace_outer import with_edge
from vision.geometry.trace_quads import Quad
from vision.geometry.trace_soffit import wall_step

Array = NDArray[np.float64]
FURTHEST = 0.06
"""of the opening's height: 120 mm in an opening of 2 m, as high as most curbs (common practice, no source)"""
CLEAR = 0.5
"""of the edge's own clearness, from which a line further in may be meant"""
FRONT, SURELY_FRONT = 0.5, 0.8
"""0 to 1, of `trace_front.in_front`: as likely in the plane as deeper in, and four times as clear as what speaks against it.
Between them it is asked for the curb; soffits' rear edges, mirrored in polished walls, lie there in one room of four, so of the
head only where the walls' edges clearly end"""
ALIKE = 0.8
"""share of the clearest inner line's clearness from which another one leaves open which of them it is"""
SAME_DEPTH = 0.9
"""of how clearly lines run into the depth from the edge's corners; from the corners of a mirrored rear edge they do so less"""
FADES, CLEARLY_FADES = 0.9, 2 / 3
"""of what is seen of both walls' edges inside of a line; less of them between the line and the head, and they end at the line:
a tenth less where the line surely lies in the plane, a third where that is half sure"""
RUNS_ON = 0.75
"""0 to 1; how much of an edge's own change of colour there is beyond a corner, all along, where the same edge runs on"""
FAINTEST = 0.15
"""0 to 1; less is a change of a code or so of 255, which is nothing. Of edges found rightly in 140 rooms none had under 0.2"""
LEAST_STEP = 0.05
"""of full range; the pattern of a face is as strong as a fainter edge"""
WITHIN_PX, BEYOND_PX = np.arange(3.0, 15.0, 0.5), np.arange(2.5, 5.6, 0.25)
"""px of the small picture from a corner, along an edge: no further beyond, so that a corner some 20 px off at 12 MP is seen"""
ASIDE_PX = np.arange(0.75, 2.6, 0.25)
"""px to either side of an edge"""


@dataclass(frozen=True)
class Placed:
    """The outline with curb and head where physics tells them, and what stays open: by edge, the outline with the other line."""

    quad: Quad
    open: dict[str, Quad]


def placed(view: View, quad: Quad) -> Placed:
    """The curb on the innermost line of the opening's plane, the head where the walls' edges end, as far as that is clear."""
    quad = _lower_head(view, quad)
    other = {name: with_edge(quad, name, line) for name, line in _inner_walls(view, quad).items()}
    if half_sure := _fading(view, quad, FRONT, CLEARLY_FADES):
        other["head"] = with_edge(quad, "head", half_sure[0].line)
    lines = [one for one in _inside(view, quad, head=False) if one.front is None or one.front >= FRONT]
    if not lines:
        return Placed(quad, other)
    best = max(lines, key=lambda one: one.share)
    moved = with_edge(quad, "curb", best.line)
    alone = all(one is best or one.share < ALIKE * best.share for one in lines)
    sure = best.front is not None and best.front >= SURELY_FRONT and _depth(view, moved) >= SAME_DEPTH * _depth(view, quad)
    return Placed(moved, other) if alone and sure else Placed(quad, {"curb": moved, **other})


def runs_on(view: View, quad: Quad) -> str | None:
    """The wall (left, right) past which the head runs on, or "curb" where that runs on past both; None where all end."""
    names = ("head", "curb") if quad.head else ("curb",)
    ends = {(name, side): _runs_on(view, quad, name, side) for name in names for side in (1, -1)}
    for side, wall in ((1, "left"), (-1, "right")):
        if ends.get(("head", side), False):
            return wall
    return "curb" if ends["curb", 1] and ends["curb", -1] else None


def unseen(view: View, quad: Quad) -> str | None:
    """The edge (head, curb) along which nothing is seen: where a head was put by the ends of joints alone."""
    edges = [("curb", quad.curb[0].line, -1), *([("head", quad.head[0].line, 1)] if quad.head else [])]
    faint = [name for name, line, inward in edges if clearness(view, (quad.left, quad.right), line, inward) < FAINTEST]
    return faint[0] if faint else None


def _inside(view: View, quad: Quad, *, head: bool) -> list[Inner]:
    """Clear lines inside the head or the curb."""
    if head and not quad.head:
        return []
    corners = quad.corners(view)
    furthest = FURTHEST * float(corners[:2, 1].mean() - corners[2:, 1].mean())
    edge = (quad.head if head else quad.curb)[0].line
    found = inner_lines(view, (quad.left, quad.right), edge, 1 if head else -1, furthest)
    return [one for one in found if one.share >= CLEAR]


def _lower_head(view: View, quad: Quad) -> Quad:
    """The head moved to a line further in that surely lies in the plane and above which both walls' edges fade."""
    lines = _fading(view, quad, SURELY_FRONT, FADES)
    return with_edge(quad, "head", lines[0].line) if lines else quad


def _fading(view: View, quad: Quad, front: float, share: float) -> list[Inner]:
    """Lines inside the head, the clearest first, that lie in the plane so surely, and above which so little is left of what is
    seen of both walls' edges inside of them."""
    lines = [one for one in _inside(view, quad, head=True) if one.front is not None and one.front >= front]
    return sorted((one for one in lines if _walls_fade(view, quad, one, share)), key=lambda one: -one.share)


def _inner_walls(view: View, quad: Quad) -> dict[str, Line]:
    """Lines inside the walls that go on down to the curb, where the curb's top hides all that lies deeper: the inner border of a
    frame, a lining or a wide trim."""
    corners, sideways = quad.corners(view), turned(view)
    furthest = FURTHEST * float(corners[:2, 1].mean() - corners[2:, 1].mean())
    top, curb = quad.head[0].line if quad.head else Line(quad.top, 0.0), quad.curb[0].line
    out = {}
    for name, wall, inward in (("left", quad.left, 1), ("right", quad.right, -1)):
        clear = [one for one in inner_lines(sideways, (top, curb), wall, inward, furthest) if one.share >= CLEAR]
        lines = [one.line for one in clear if (front_at(sideways, curb, (wall, one.line), -1, inward) or 0.0) >= FRONT]
        if lines:
            out[name] = lines[0]
    return out


def _walls_fade(view: View, quad: Quad, line: Inner, share: float) -> bool:
    """Whether both walls' edges are fainter between the head and a line than inside of it."""
    at = quad.head[0].line.at
    above = at + np.arange(1.5, max(line.inward - 1.5, 2.1), 0.5)
    below = at + line.inward + np.arange(2.0, 2.0 + max(line.inward, 10.0), 0.5)
    return all(
        wall_step(view, wall, above).mean() < share * wall_step(view, wall, below).mean() for wall in (quad.left, quad.right)
    )


def _depth(view: View, quad: Quad) -> float:
    """How clearly lines run into the depth from the curb's corners."""
    line, h = quad.curb[0].line, view.square.small.shape[0]
    left, right = (across(wall, np.array([line.at]), h) for wall in (quad.left, quad.right))
    return float(into_depth(view, np.array([line]), left, right)[0])


def _runs_on(view: View, quad: Quad, name: str, side: int) -> bool:
    """Whether an edge goes on beyond one corner; `side` is the direction of the opening along x."""
    bl, br, tr, tl = quad.corners(view)[:, 0]
    line, inward = (quad.head[0].line, 1) if name == "head" else (quad.curb[0].line, -1)
    corner = float((tl if name == "head" else bl) if side > 0 else (tr if name == "head" else br))
    w = view.square.small.shape[1]
    beyond = corner - side * BEYOND_PX
    if beyond.min() < 1 or beyond.max() > w - 2:
        return False
    own = _changes(view, line, corner + side * WITHIN_PX, inward).mean(axis=0)
    parts = [part.mean(axis=0) for part in np.array_split(_changes(view, line, beyond, inward), 3)]
    size = float(np.linalg.norm(own))
    return size >= LEAST_STEP and min(float(part @ own) for part in parts) >= RUNS_ON * size**2


def _changes(view: View, line: Line, x: Array, inward: int) -> Array:
    """Change of colour (n, 3) across a level line at places x."""
    y = across(line, x, view.square.small.shape[1])[:, None]
    columns = np.repeat(x[:, None], len(ASIDE_PX), axis=1)
    inside, outside = (sampled(view.square, columns, y + way * inward * ASIDE_PX) for way in (1, -1))
    return np.asarray((inside - outside).mean(axis=1))
