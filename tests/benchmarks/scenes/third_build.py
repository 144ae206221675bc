"""The third family's rooms as meshes: wall face, edges of the opening, the shell and the lamps."""

from __future__ import annotations

import itertools

import numpy as np
from studio.shapes import Builder
from studio.surfaces import Surface, plain
from third_patterns import Rng
from third_plan import Edge, Plan, alcove, hall, holed, pane, sheet


def build_plan(build: Builder, plan: Plan, rng: Rng) -> None:
    for way in (1, -1):
        jamb(build, plan, way)
    header(build, plan)
    foot(build, plan)
    shell(build, plan)
    if plan.kind == "window":
        pane(build, plan, rng)
    elif plan.kind == "door":
        hall(build, plan)
    else:
        alcove(build, plan)
    for lamp in plan.lamps:
        build.lamp(lamp.centre, lamp.toward, lamp.size, lamp.rgb)


def upright(build: Builder, x_a: np.ndarray, x_b: np.ndarray, y: np.ndarray, z: float, surface: Surface) -> None:
    a, b = (np.column_stack([x, y, np.full_like(y, z)]) for x in (x_a, x_b))
    build.strip(a, b, a[:, :2], b[:, :2], surface)


def inward(build: Builder, ends: tuple[tuple, tuple], y: np.ndarray, u: tuple[float, float], surface: Surface) -> None:
    """Part of a side wall between two upright lines (x over the height, z); u counts millimetres from the plane."""
    a, b = (np.column_stack([x, y, np.full_like(y, z)]) for x, z in ends)
    build.strip(a, b, np.column_stack([np.full_like(y, u[0]), y]), np.column_stack([np.full_like(y, u[1]), y]), surface)


def arc(radius: float) -> list[tuple[float, float]]:
    """(across the edge, depth) from the end of the flat through a quarter round."""
    angles = np.radians(np.linspace(0, 90, 13)) if radius else np.zeros(1)
    return [(float(radius * np.sin(a)), float(radius * (1 - np.cos(a)))) for a in angles]


def jamb(build: Builder, plan: Plan, way: int) -> None:
    opening, edge = plan.opening, plan.edge
    bl, br, tr, tl = opening.corners
    wall, low, top, far = (opening.left, bl, tl, plan.left_x) if way > 0 else (opening.right, br, tr, plan.right_x)
    inside = np.linspace(low[1], top[1], 65)
    y = np.concatenate([[plan.floor_y], inside, [top[1] + edge.band_mm + 0.001], [plan.ceiling_y]])
    x = wall(y)
    upright(build, np.full_like(y, far), x - way * edge.band_mm, y, plan.wall_z, plan.face.surface)
    rim = edge.band or plan.reveal.surface
    if edge.band:
        from_y = 1 if plan.kind == "window" else 0
        part, x_part = y[from_y:-1], x[from_y:-1]
        upright(build, x_part - way * edge.band_mm, x_part, part, 0.0, edge.band)
        upright(build, x[-2:] - way * edge.band_mm, x[-2:], y[-2:], plan.wall_z, plan.face.surface)
        if from_y:
            upright(build, x[:2] - way * edge.band_mm, x[:2], y[:2], 0.0, plan.face.surface)
        if edge.proud_mm:
            outer = x_part - way * edge.band_mm
            inward(build, ((outer, 0.0), (outer, plan.wall_z)), part, (0, edge.proud_mm), edge.band)
    for (a, za), (b, zb) in itertools.pairwise(arc(edge.round_mm)):
        inward(build, ((x + way * a, -za), (x + way * b, -zb)), y, (a, b), rim)
    z0, z1 = -edge.round_mm, min(-edge.round_mm - 1, -jamb_lip(edge))
    inner = x + way * edge.round_mm
    inward(build, ((inner, z0), (inner, z1)), y, (-z0, -z1), rim)
    far_z = plan.back_z if plan.kind in ("shower", "tub") else -plan.depth
    inward(build, ((inner, z1), (inner, far_z)), y, (-z1, -far_z), plan.reveal.surface)


def jamb_lip(edge: Edge) -> float:
    """How far the band's material runs into the reveal."""
    return {"stone": 60.0, "casing": 40.0, "trim": 2.5, "caulk": 3.0}.get(edge.kind, 0.0)


def at(p: np.ndarray, z: float, across: float = 0.0, up: float = 0.0) -> list[float]:
    return [float(p[0]) + across, float(p[1]) + up, z]


def across_strip(
    build: Builder, ends: tuple[np.ndarray, np.ndarray], points: list[tuple[float, float]], down: int, surface: Surface
) -> None:
    """Quads between the left and right end along a profile (across the edge, depth), the profile going down or up."""
    left, right = ends
    for (a, za), (b, zb) in itertools.pairwise(points):
        corners = [
            at(left, -za, up=down * a),
            at(right, -za, up=down * a),
            at(right, -zb, up=down * b),
            at(left, -zb, up=down * b),
        ]
        u, v = (float(left[0]), float(right[0])), (za + a, zb + b)
        build.quad(np.array(corners), surface, np.array([[u[0], v[0]], [u[1], v[0]], [u[1], v[1]], [u[0], v[1]]]))


def header(build: Builder, plan: Plan) -> None:
    opening, edge = plan.opening, plan.edge
    _, _, tr, tl = opening.corners
    band, ceiling = edge.band_mm, np.array(plan.ceiling_y)
    up_l, up_r = (np.array([float(wall(ceiling)), plan.ceiling_y]) for wall in (opening.left, opening.right))
    above = np.array([at(tl, plan.wall_z, up=band), at(tr, plan.wall_z, up=band), at(up_r, plan.wall_z), at(up_l, plan.wall_z)])
    build.quad(above, plan.face.surface, above[:, :2])
    rim = edge.band or plan.reveal.surface
    if edge.band:
        strip = np.array([at(tl, 0), at(tr, 0), at(tr, 0, up=band), at(tl, 0, up=band)])
        build.quad(strip, edge.band, strip[:, 1::-1])
        if edge.proud_mm:
            lid = ((tl, 0.0, -band), (tr, 0.0, band), (tr, plan.wall_z, band), (tl, plan.wall_z, -band))
            build.quad(np.array([at(p, z, out, band) for p, z, out in lid]), edge.band)
    lip = max(jamb_lip(edge), edge.round_mm + 1)
    profile = arc(edge.round_mm)
    across_strip(build, (tl, tr), [*profile, (edge.round_mm, lip)], -1, rim)
    across_strip(build, (tl, tr), [(edge.round_mm, lip), (edge.round_mm, plan.depth)], -1, plan.reveal.surface)
    if plan.kind in ("shower", "tub"):
        inner = [
            at(tl, -plan.depth, up=-edge.round_mm),
            at(tr, -plan.depth, up=-edge.round_mm),
            at(up_r, -plan.depth),
            at(up_l, -plan.depth),
        ]
        build.quad(np.array(inner), plan.reveal.surface)


def foot(build: Builder, plan: Plan) -> None:
    bl, br, _, _ = plan.opening.corners
    base, low = plan.foot, plan.floor_y
    left, right = (np.array([float(wall(np.array(low))), low]) for wall in (plan.opening.left, plan.opening.right))
    cap = base.cap_mm
    front = np.array([at(left, 0), at(right, 0), at(br, 0, up=-cap), at(bl, 0, up=-cap)])
    build.quad(front, base.front, front[:, :2])
    if cap:
        build.quad(np.array([at(bl, 0, up=-cap), at(br, 0, up=-cap), at(br, 0), at(bl, 0)]), base.top)
    across_strip(build, (bl, br), [*arc(base.round_mm), (base.round_mm, base.depth_mm)], 1, base.top)


def shell(build: Builder, plan: Plan) -> None:
    x0, x1, y0, y1, z1 = plan.left_x, plan.right_x, plan.floor_y, plan.ceiling_y, plan.length
    sheet(build, (x0, x1), y0, (z1, plan.wall_z), plan.floor.surface)
    sheet(build, (x0, x1), y1, (plan.wall_z, z1), plain((0.8, 0.8, 0.79)))
    for x in (x0, x1):
        p = np.array([[x, y0, z1], [x, y0, plan.wall_z], [x, y1, plan.wall_z], [x, y1, z1]])
        build.quad(p, plan.walls.surface, p[:, 2:0:-1])
    holed(build, (x0, x1, y0, y1), None, z1, plan.walls.surface, plan.walls.surface)
