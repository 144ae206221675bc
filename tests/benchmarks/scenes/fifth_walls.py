"""The walls of a room with their corners, base and head, as meshes; the wall face is the plane z = 0."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from .fifth_draws import Corner, Plan
from .fifth_finish import Finish
from .fifth_studio import Array

from studio.shapes import Builder  # isort: skip
from studio.surfaces import Surface  # isort: skip

Line = tuple[float, float]


def build_walls(build: Builder, plan: Plan, finish: Finish, recess: tuple[float, float, float, float] | None) -> None:
    """Recess: x, y, width and height of a niche in the back wall, or none."""
    _sides(build, plan, finish)
    _head(build, plan, finish)
    _base(build, plan, finish)
    _inside(build, plan, finish, recess)
    _shell(build, plan, finish)


def _sides(build: Builder, plan: Plan, finish: Finish) -> None:
    opening = plan.opening
    bl, br, tr, tl = opening.corners
    outer = (-plan.beyond_mm[0], opening.width_mm + plan.beyond_mm[1])
    for wall, foot, top, far, way in ((opening.left, bl, tl, outer[0], 1), (opening.right, br, tr, outer[1], -1)):
        y = np.concatenate([[plan.floor_y], np.linspace(foot[1], top[1], 65), [plan.ceiling_y]])
        edge: Array = wall(y)
        face_end = edge - way * plan.corner.strip_mm
        _upright(build, np.full_like(y, far), face_end, y, finish.face)
        if plan.corner.strip_mm:
            ends = np.concatenate([y[:-1], [top[1] + plan.corner.strip_mm]])  # above it the head's face takes over
            strip_edge: Array = wall(ends)
            _upright(build, strip_edge - way * plan.corner.strip_mm, strip_edge, ends, finish.strip)

        def at(inward: float, depth: float, edge: Array = edge, y: Array = y, way: int = way) -> Array:
            return np.column_stack([edge + way * inward, y, np.full_like(y, -depth)])

        start = _turn(build, at, plan.corner, y, finish.turn)
        _ruled(build, at, (start, (start[0], plan.reveal_mm)), y, finish.reveal)


def _turn(build: Builder, at: Callable[[float, float], Array], corner: Corner, along: Array, surface: Surface) -> Line:
    """The pieces of a corner's section from the edge on; where the reveal begins, as (into the opening, depth)."""
    here: Line = (0.0, 0.0)
    for there in corner.turn_mm:
        _ruled(build, at, (here, there), along, surface)
        here = there
    return here


def _ruled(build: Builder, at: Callable[[float, float], Array], ends: tuple[Line, Line], along: Array, surface: Surface) -> None:
    (a, b), (c, d) = ends
    span = float(np.hypot(c - a, d - b))
    first, second = at(a, b), at(c, d)
    build.strip(
        first,
        second,
        np.column_stack([np.full_like(along, b), along]),
        np.column_stack([np.full_like(along, b + span), along]),
        surface,
    )


def _upright(build: Builder, x_a: Array, x_b: Array, y: Array, surface: Surface) -> None:
    a, b = (np.column_stack([x, y, np.zeros_like(y)]) for x in (x_a, x_b))
    build.strip(a, b, a[:, :2], b[:, :2], surface)


def _face(build: Builder, points: list[Array], surface: Surface) -> None:
    """A piece of the wall face given by four corners (x, y)."""
    flat = np.array(points)
    build.quad(np.column_stack([flat, np.zeros(4)]), surface, flat)


def _head(build: Builder, plan: Plan, finish: Finish) -> None:
    opening, strip = plan.opening, plan.corner.strip_mm
    _, _, tr, tl = opening.corners
    up = np.array([0.0, 1.0])
    ceiling_l, ceiling_r = (np.array([float(w(np.array(plan.ceiling_y))), plan.ceiling_y]) for w in (opening.left, opening.right))
    side = np.array([1.0, 0.0]) * strip
    _face(build, [tl - side + strip * up, tr + side + strip * up, ceiling_r + side, ceiling_l - side], finish.face)
    if strip:
        _face(build, [tl - side, tr + side, tr + side + strip * up, tl - side + strip * up], finish.strip)
    ends = np.stack([tl, tr])

    def at(inward: float, depth: float) -> Array:
        return np.column_stack([ends[:, 0] + np.array([-0.0, 0.0]), ends[:, 1] - inward, np.full(2, -depth)])

    start = _turn(build, at, plan.corner, ends[:, 0], finish.turn)
    _ruled(build, at, (start, (start[0], plan.head_depth_mm)), ends[:, 0], finish.reveal)
    if plan.head_depth_mm < plan.depth_mm:
        low_l, low_r = at(start[0], plan.head_depth_mm)
        z = -plan.head_depth_mm
        build.quad(np.array([low_r, low_l, [tl[0], plan.ceiling_y, z], [tr[0], plan.ceiling_y, z]]), finish.reveal)


def _base(build: Builder, plan: Plan, finish: Finish) -> None:
    opening = plan.opening
    bl, br, _, _ = opening.corners
    foot_l, foot_r = (np.array([float(w(np.array(plan.floor_y))), plan.floor_y]) for w in (opening.left, opening.right))
    if plan.cap_mm < plan.base_mm - 5:
        under = np.array([0.0, plan.cap_mm])
        cap_l, cap_r = bl - under, br - under
        cap_l[0], cap_r[0] = float(opening.left(cap_l[1])), float(opening.right(cap_r[1]))
        _face(build, [foot_l, foot_r, cap_r, cap_l], finish.base_front)
        _face(build, [cap_l, cap_r, br, bl], finish.cap)
    else:
        _face(build, [foot_l, foot_r, br, bl], finish.cap)
    ends = np.stack([bl, br])

    def at(inward: float, depth: float) -> Array:
        return np.column_stack([ends[:, 0], ends[:, 1] + inward, np.full(2, -depth)])

    start = _turn(build, at, plan.base, ends[:, 0], finish.cap)
    _ruled(build, at, (start, (start[0], plan.base_depth_mm)), ends[:, 0], finish.cap)
    drop = _inner_floor(plan)
    if plan.base_depth_mm < plan.depth_mm:
        low_l, low_r = at(start[0], plan.base_depth_mm)
        z = -plan.base_depth_mm
        build.quad(np.array([low_r, low_l, [bl[0], drop, z], [br[0], drop, z]]), finish.cap)


def _inner_floor(plan: Plan) -> float:
    """Height of the floor inside."""
    return {
        "tub": -0.75 * plan.base_mm,
        "tray": -0.55 * plan.base_mm,
        "shower": -plan.base_mm + 20.0,
        "doorway": -plan.base_mm,
        "halfwall": -plan.base_mm,
    }.get(plan.place, 0.0)


def _inside(build: Builder, plan: Plan, finish: Finish, recess: tuple[float, float, float, float] | None) -> None:
    x0, x1 = -plan.widen_mm[0] - 40.0, plan.opening.width_mm + plan.widen_mm[1] + 40.0
    y0, y1, far = _inner_floor(plan), plan.ceiling_y, -plan.depth_mm
    near = -min(plan.base_depth_mm, plan.head_depth_mm)
    if plan.place in ("window", "niche"):
        near, y0 = 0.0, plan.floor_y
    elif plan.place in ("doorway", "halfwall"):
        near = -plan.reveal_mm
    build.quad(np.array([[x0, y0, near], [x1, y0, near], [x1, y0, far], [x0, y0, far]]), finish.inner_floor)
    build.quad(np.array([[x0, y1, near], [x1, y1, near], [x1, y1, far], [x0, y1, far]]), finish.ceiling)
    _back(build, (x0, x1, y0, y1, far), recess, finish)
    if plan.reveal_mm < plan.depth_mm:
        z = -plan.reveal_mm
        for x in (x0, x1):
            build.quad(np.array([[x, y0, z], [x, y0, far], [x, y1, far], [x, y1, z]]), finish.back)
    if plan.place == "tub":
        rim = -finish_rim(plan)
        build.box((x0, y0, far), (x1, rim, far + 60.0), finish.cap)


def finish_rim(plan: Plan) -> float:
    """How far under the origin the tub's far rim lies."""
    return -min(0.0, float(plan.opening.corners[1][1])) + 2.0


def _back(
    build: Builder,
    box: tuple[float, float, float, float, float],
    recess: tuple[float, float, float, float] | None,
    finish: Finish,
) -> None:
    x0, x1, y0, y1, z = box
    pieces = [(x0, x1, y0, y1)]
    if recess:
        rx, ry, rw, rh = recess
        a, b, c, d = rx, rx + rw, ry, ry + rh
        pieces = [(x0, a, y0, y1), (b, x1, y0, y1), (a, b, y0, c), (a, b, d, y1)]
        deep = z - 95.0
        build.quad(np.array([[a, c, deep], [b, c, deep], [b, d, deep], [a, d, deep]]), finish.niche)
        for p, q, r, s in (((a, c), (b, c), (b, c), (a, c)), ((a, d), (b, d), (b, d), (a, d)), ((a, c), (a, d), (a, d), (a, c)),
                           ((b, c), (b, d), (b, d), (b, c))):  # fmt: skip
            build.quad(np.array([[*p, z], [*q, z], [*r, deep], [*s, deep]]), finish.cap)
    for left, right, low, high in pieces:
        flat = np.array([[left, low], [right, low], [right, high], [left, high]])
        build.quad(np.column_stack([flat, np.full(4, z)]), finish.back, flat)


def _shell(build: Builder, plan: Plan, finish: Finish) -> None:
    x0, x1, z1 = -plan.beyond_mm[0], plan.opening.width_mm + plan.beyond_mm[1], plan.length_mm
    y0, y1 = plan.floor_y, plan.ceiling_y
    build.quad(np.array([[x0, y0, z1], [x1, y0, z1], [x1, y0, 0], [x0, y0, 0]]), finish.floor)
    build.quad(np.array([[x0, y1, 0], [x1, y1, 0], [x1, y1, z1], [x0, y1, z1]]), finish.ceiling)
    build.quad(np.array([[x0, y0, z1], [x0, y0, 0], [x0, y1, 0], [x0, y1, z1]]), finish.walls)
    build.quad(np.array([[x1, y0, 0], [x1, y0, z1], [x1, y1, z1], [x1, y1, 0]]), finish.walls)
    build.quad(np.array([[x1, y0, z1], [x0, y0, z1], [x0, y1, z1], [x1, y1, z1]]), finish.walls)
