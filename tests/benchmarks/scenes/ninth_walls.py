"""Wall face, edge, reveals, curb and what lies behind the opening of a ninth room, as meshes."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np

from sample_images.studio.shapes import Builder
from sample_images.studio.surfaces import Surface

from .ninth_plan import Plan, curb_line, head_line

Profile = list[tuple[list[tuple[float, float]], str]]  # points (outward, z) and the name of the surface


@dataclass(frozen=True)
class Finishes:
    """Surfaces by what they cover."""

    face: Surface
    dado: Surface
    reveal: Surface
    trim: Surface  # bead, trim, lining, casing
    tile_edge: Surface
    grout: Surface
    curb: Surface
    sill: Surface
    back: Surface
    tray: Surface
    floor: Surface
    ceiling: Surface
    walls: Surface
    beyond: Surface


def profile(plan: Plan) -> Profile:
    """From where the flat of the face ends to the back of the wall."""
    e, deep = plan.edge, plan.wall_depth
    arc = [(e.radius * (1 - np.sin(a)), e.proud - e.radius * (1 - np.cos(a))) for a in np.radians(np.linspace(0, 90, 10))]
    arc = arc if e.radius else [(0.0, 0.0)]
    back = (0.0, -deep)
    if e.kind in ("sharp", "eased", "rounded"):
        return [(arc, "face"), ([arc[-1], back], "reveal")]
    if e.kind == "lapped":
        joint = [(0.0, -e.leg), (0.0, -e.leg - e.joint)]
        return [(arc, "face"), ([arc[-1], joint[0]], "tile_edge"), (joint, "grout"), ([joint[1], back], "reveal")]
    if e.kind == "tile edge":
        outer = e.width + e.joint
        groove = [(outer, 0.0), (outer, -0.5), (e.width, -0.5), (e.width, 0.0)]
        return [(groove, "grout"), ([(e.width, 0.0), *arc], "tile_edge"), ([arc[-1], back], "reveal")]
    front = [(e.width, 0.0), (e.width, e.proud), *arc] if e.proud else [(e.width, 0.0), *arc]
    if e.kind in ("bead", "trim"):
        leg = (0.0, -e.leg)
        return [([*front, leg], "trim"), ([leg, back], "reveal")]
    found: Profile = [([*front, back], "trim")]
    if e.board[1]:
        m, w, t = e.board
        soft = 1.5
        outline = [(m, -0.2), (m, t - soft), (m + soft, t), (m + w - soft, t), (m + w, t - soft), (m + w, -0.2)]
        found.append((outline, "trim"))
    return found


def side_points(plan: Plan, side: str, out: float, z: float) -> np.ndarray:
    """World points along one side of the opening, moved outward; the sides meet at mitred corners."""
    if side in ("left", "right"):
        y = _levels(plan, side, out)
        return np.column_stack([_wall_x(plan, side, y, out), y, np.full_like(y, z)])
    line, way = (head_line(plan.opening), 1) if side == "head" else (curb_line(plan.opening), -1)
    ends = [_corner(plan, s, side == "head", out) for s in ("left", "right")]
    x = np.linspace(ends[0][0], ends[1][0], 9)
    return np.column_stack([x, [line(v) + way * out for v in x], np.full_like(x, z)])


def _wall_x(plan: Plan, side: str, y: np.ndarray, out: float) -> np.ndarray:
    return plan.opening.left(y) - out if side == "left" else plan.opening.right(y) + out


def _corner(plan: Plan, side: str, top: bool, out: float) -> tuple[float, float]:
    line = head_line(plan.opening) if top else curb_line(plan.opening)
    y = float(plan.opening.corners[:, 1].max() if top else 0.0)
    x = 0.0
    for _ in range(8):
        x = float(_wall_x(plan, side, np.array(y), out))
        y = line(x) + (out if top else -out)
    return x, y


def _levels(plan: Plan, side: str, out: float) -> np.ndarray:
    low = _corner(plan, side, False, out)[1] if plan.four_sided else plan.floor_y
    high = _corner(plan, side, True, out)[1] if plan.opening.head else plan.ceiling_y
    foot, top = plan.opening.corners[[0, 3] if side == "left" else [1, 2], 1]
    inner = np.linspace(foot, top, 65)
    inner = inner[1:] if plan.four_sided else inner
    inner = inner[:-1] if plan.opening.head else inner
    return np.concatenate([[low], inner, [high]])


def build_wall(build: Builder, plan: Plan, use: Finishes) -> None:
    """Face with its hole, edges and reveals on all sides, back of the wall."""
    _holed(build, plan, plan.edge.face_from, 0.0, (use.face, use.dado))
    sides = ["left", "right", *(["head"] if plan.opening.head else []), *(["sill"] if plan.four_sided else [])]
    for side, (points, name) in itertools.product(sides, profile(plan)):
        surface = getattr(use, name)
        if side == "sill" and plan.kind == "window":
            surface = use.face if name == "face" else use.sill
        run = 0.0
        for (n0, z0), (n1, z1) in itertools.pairwise(points):
            step = float(np.hypot(n1 - n0, z1 - z0))
            ends = (min(-z0, 1e9) if name == "reveal" else run, (-z0 if name == "reveal" else run) + step)
            _ruled(build, plan, (side, name), ((n0, z0), (n1, z1)), ends, surface)
            run += step
    _holed(build, plan, 0.0, -plan.wall_depth, (use.back, use.back))


def _ruled(build: Builder, plan: Plan, what: tuple[str, str], ends: tuple, run: tuple[float, float], surface: Surface) -> None:
    side, name = what
    lines = [side_points(plan, side, n, z) for n, z in ends]
    count = len(lines[0])
    upright = side in ("left", "right")
    uv = []
    for line, s in zip(lines, run, strict=True):
        along = line[:, 1] if upright else line[:, 0]
        if name == "face":
            uv.append(line[:, :2])
        elif upright or name == "trim":
            uv.append(np.column_stack([np.full(count, s), along]))
        else:
            uv.append(np.column_stack([along, np.full(count, s)]))
    build.strip(lines[0], lines[1], uv[0], uv[1], surface)


def _holed(build: Builder, plan: Plan, out: float, z: float, surfaces: tuple[Surface, Surface]) -> None:
    """A plane upright sheet with the opening cut out; below the dado's top the second surface."""
    left, right = -plan.room[0] - 5, plan.opening.width_mm + plan.room[1] + 5
    for side, far in (("left", left), ("right", right)):
        foot, top = plan.opening.corners[[0, 3] if side == "left" else [1, 2], 1]
        y = np.unique(np.concatenate([[plan.floor_y], np.linspace(foot, top, 65), [plan.ceiling_y], [plan.dado_y or foot]]))
        corners = [_corner(plan, side, True, out)[1]] if plan.opening.head else []
        corners += [_corner(plan, side, False, out)[1]] if plan.four_sided else []
        y = np.unique(np.concatenate([y, corners]))
        near = _wall_x(plan, side, y, out)
        for part, surface in _bands(plan, y, surfaces):
            a = np.column_stack([np.full(len(part), far), y[part], np.full(len(part), z)])
            b = np.column_stack([near[part], y[part], np.full(len(part), z)])
            build.strip(a, b, a[:, :2], b[:, :2], surface)
    lids = [(True, plan.ceiling_y)] if plan.opening.head else []
    lids += [(False, plan.floor_y)] if plan.four_sided else []
    for top_side, end in lids:
        line = side_points(plan, "head" if top_side else "sill", out, z)
        far_x = [_wall_x(plan, s, np.array(end), out) for s in ("left", "right")]
        other = np.column_stack([np.linspace(*far_x, len(line)), np.full(len(line), end), np.full(len(line), z)])
        build.strip(line, other, line[:, :2], other[:, :2], surfaces[0])


def _bands(plan: Plan, y: np.ndarray, surfaces: tuple[Surface, Surface]) -> list[tuple[np.ndarray, Surface]]:
    everything = np.arange(len(y))
    if plan.dado_y is None:
        return [(everything, surfaces[0])]
    cut = int(np.searchsorted(y, plan.dado_y))
    return [(everything[: cut + 1], surfaces[1]), (everything[cut:], surfaces[0])]


def build_curb(build: Builder, plan: Plan, use: Finishes) -> None:
    """Curb, tub rim, plinth or threshold between the walls; its front lies in the plane of the wall face."""
    line, r = curb_line(plan.opening), plan.curb_radius
    deep = plan.wall_depth if plan.kind != "tub" else 75.0
    spare = plan.edge.radius if plan.edge.kind in ("sharp", "eased", "rounded", "lapped") else 0.0
    drop = {"tub": 380.0, "shower": -plan.floor_y - 30.0}.get(plan.kind, 0.0)
    arc = [(-r * (1 - np.sin(a)), -r * (1 - np.cos(a))) for a in np.radians(np.linspace(0, 90, 8))]
    outline = [(plan.floor_y, 0.0), *arc, (0.0, -deep + r), *[(dy, -deep - dz) for dy, dz in reversed(arc)]]
    outline = [*outline, (-max(drop, 1.0), -deep)]
    rows, run = [], [0.0]
    for k, (dy, z) in enumerate(outline):
        y = [dy, dy] if k == 0 else [line(0.0) + dy, line(plan.opening.width_mm) + dy]
        x = [float(_wall_x(plan, s, np.array(v), spare)) for s, v in zip(("left", "right"), y, strict=True)]
        rows.append(np.array([[x[0], y[0], z], [x[1], y[1], z]]))
        run.append(run[-1] + (0 if k == 0 else float(np.linalg.norm(rows[-1][0, 1:] - rows[-2][0, 1:]))))
    for k, (a, b) in enumerate(itertools.pairwise(rows)):
        uv = [np.column_stack([row[:, 0], np.full(2, s)]) for row, s in ((a, run[k + 1]), (b, run[k + 2]))]
        build.strip(a, b, uv[0], uv[1], use.curb)
