"""Wall face, corners, reveals, curb, space behind and room of a sixth room, as meshes."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from tests.benchmarks.scenes.sixth_patterns import KINDS, PAINTS
from tests.benchmarks.scenes.sixth_plan import Plan
from tests.benchmarks.scenes.sixth_studio import Surface
from tests.benchmarks.scenes.sixth_stuff import RGB, Array, Site, finished, glossy, linear, metal, plain

TRIMS: tuple[Callable[[], Surface], ...] = (
    lambda: metal((0.62, 0.62, 0.63), 0.25),
    lambda: metal((0.75, 0.60, 0.34), 0.2),
    lambda: glossy(linear((0.13, 0.13, 0.14)), 0.25),
    lambda: glossy(linear((0.92, 0.92, 0.9)), 0.2),
    lambda: metal((0.85, 0.85, 0.86), 0.06),
)
STEPS = 12


@dataclass(frozen=True)
class Looks:
    """Surfaces of one room."""

    face: Surface
    inside: Surface
    back: Surface
    floor: Surface
    tray: Surface
    curb: Surface
    edge: Surface  # trim, grout, raw body of a cut tile, silicone
    side: Surface  # walls of the room
    ceiling: Surface


def looks(plan: Plan) -> Looks:
    rng = plan.rng(1)
    shift = (float(rng.uniform(0, 600)), float(rng.uniform(0, 600)))
    pattern = KINDS[plan.dealt["face"]](rng)
    face = finished(pattern, shift)
    same = plan.dealt["inside"] == plan.dealt["face"]
    inside = finished(pattern, (shift[1], shift[1])) if same else finished(KINDS[plan.dealt["inside"]](rng), shift)
    back = inside if rng.random() < 0.7 else finished(KINDS[str(rng.choice(["pebbles", "slab", "metro", "terrazzo"]))](rng))
    floor = finished(KINDS[str(rng.choice(["slab", "wood", "terrazzo", "slab"]))](rng), shift)
    paint = linear(PAINTS[int(rng.integers(len(PAINTS)))])
    stone = glossy(linear(((0.9, 0.89, 0.86), (0.25, 0.25, 0.27), (0.66, 0.62, 0.56))[int(rng.integers(3))]), 0.12)
    white = glossy(linear((0.95, 0.95, 0.94)), 0.05)
    curb = white if plan.dealt["kind"] == "tub" else (stone, inside)[int(rng.random() < 0.3)]
    return Looks(face, inside, back, floor, white, curb, _edge(plan, rng), plain(paint), plain(linear((0.94, 0.94, 0.93))))


def _edge(plan: Plan, rng: np.random.Generator) -> Surface:
    kind = plan.dealt["arris"]
    if kind in ("square", "quarter"):
        return TRIMS[int(rng.integers(len(TRIMS)))]()
    colours: dict[str, tuple[RGB, ...]] = {
        "cut": ((0.86, 0.78, 0.68), (0.78, 0.50, 0.38), (0.6, 0.6, 0.59)),
        "mitred": ((0.8, 0.79, 0.77), (0.4, 0.39, 0.38)),
        "caulk": ((0.95, 0.95, 0.94), (0.7, 0.7, 0.7)),
    }
    some = colours.get(kind, ((0.9, 0.9, 0.89),))
    return glossy(linear(some[int(rng.integers(len(some)))]), 0.3)


def profile(plan: Plan, looks: Looks) -> list[tuple[float, float, Surface]]:
    """From where the flat of the face ends inward: (s into the opening, z, surface up to there)."""
    kind, r = plan.dealt["arris"], plan.arris_mm
    if kind == "cut":
        return [(0.0, -8.0, looks.edge)]
    if kind == "square":
        return [(0.0, -10.0, looks.edge)]
    if kind == "mitred":
        return [(0.9, -0.9, looks.edge)]
    if kind == "caulk":
        return [(0.0, -5.0, looks.inside), (2.4, -8.0, looks.edge), (2.4, -12.0, looks.edge)]
    skin = {"quarter": looks.edge, "bead": looks.face, "bullnose": looks.face, "eased": looks.face}[kind]
    turn = np.radians(np.linspace(0, 90, STEPS + 1)[1:])
    return [(float(r * np.sin(a)), float(-r * (1 - np.cos(a))), skin) for a in turn]


def build_walls(site: Site, plan: Plan, made: Looks) -> None:
    opening, floor, top = plan.opening, -plan.curb_mm, plan.ceiling_mm
    trim = plan.arris_mm if plan.dealt["arris"] == "square" else 0.0
    _faces(site, plan, made, trim)
    steps = profile(plan, made)
    deep = -(plan.nib_mm or plan.depth_mm)
    bl, br, tr, tl = opening.corners
    for wall, foot, head, way in ((opening.left, bl, tl, 1.0), (opening.right, br, tr, -1.0)):
        y = np.concatenate([[floor], np.linspace(foot[1], head[1], 65), [top]])
        _sweep(site, np.column_stack([wall(y), y]), np.array([way, 0.0]), [*steps, (steps[-1][0], deep, made.inside)])
    _sweep(site, np.stack([tl, tr]), np.array([0.0, -1.0]), [*steps, (steps[-1][0], -max(plan.nib_mm, 110.0), made.inside)])
    _curb(site, plan, made)
    _behind(site, plan, made, steps[-1][0])
    _room(site, plan, made)


def _faces(site: Site, plan: Plan, made: Looks, trim: float) -> None:
    opening, floor, top = plan.opening, -plan.curb_mm, plan.ceiling_mm
    bl, br, tr, tl = opening.corners
    far = (-plan.beyond_mm[0], opening.width_mm + plan.beyond_mm[1])
    for wall, foot, head, out, way in ((opening.left, bl, tl, far[0], -1.0), (opening.right, br, tr, far[1], 1.0)):
        corner = [head[1] + trim, head[1] + trim + 1e-3] if trim else []
        y = np.concatenate([[floor], np.linspace(foot[1], head[1], 65), corner, [top]])
        width = np.where(y <= head[1] + trim, trim, 0.0)
        edge, flat = np.column_stack([wall(y), y]), np.column_stack([wall(y) + way * width, y])
        _upright(site, np.column_stack([np.full_like(y, out), y]), flat, made.face)
        if trim:
            _upright(site, flat[:-2], edge[:-2], made.edge)
    up = np.array([[float(opening.left(np.array(top))), top], [float(opening.right(np.array(top))), top]])
    low_l, low_r = (np.array([float(w(p[1] + trim)), p[1] + trim]) for w, p in ((opening.left, tl), (opening.right, tr)))
    _upright(site, np.stack([low_l, low_r]), up, made.face)
    if trim:
        _upright(site, np.stack([tl, tr]), np.stack([low_l, low_r]), made.edge)


def _upright(site: Site, first: Array, second: Array, surface: Surface) -> None:
    a, b = (np.column_stack([p, np.zeros(len(p))]) for p in (first, second))
    site.strip(a, b, first, second, surface)


def _sweep(site: Site, line: Array, inward: Array, steps: list[tuple[float, float, Surface]]) -> None:
    """A profile along one edge of the opening; u counts along the profile, v along the edge."""
    along = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(line, axis=0), axis=1))]) + line[0, 1]
    run = 0.0
    for (s0, z0, _), (s1, z1, surface) in itertools.pairwise([(0.0, 0.0, steps[0][2]), *steps]):
        a, b = (np.column_stack([line + s * inward, np.full(len(line), z)]) for s, z in ((s0, z0), (s1, z1)))
        length = float(np.hypot(s1 - s0, z1 - z0))
        site.strip(a, b, np.column_stack([np.full(len(line), -run), along]),
                   np.column_stack([np.full(len(line), -run - length), along]), surface)  # fmt: skip
        run += length


def _curb(site: Site, plan: Plan, made: Looks) -> None:
    """Front in the plane of the face, top with an eased edge; a cap of stone over the face's own tile, or one piece."""
    rng, opening = plan.rng(2), plan.opening
    bl, br, _, _ = opening.corners
    kind = plan.dealt["kind"]
    r = {"tub": float(rng.uniform(4, 9))}.get(kind, float(rng.choice([0.0, 1.0, 2.5])))
    depth, cap = float(rng.uniform(70, 120)), float(rng.uniform(18, 30))
    turn = np.radians(np.linspace(0, 90, 9)[1:])
    steps = [(float(r * np.sin(a)), float(-r * (1 - np.cos(a))), made.curb) for a in turn] if r else []
    steps += [(r - 0.6, -depth, made.curb), (-min(60.0, plan.curb_mm * 0.7), -depth, made.curb)]
    _sweep(site, np.stack([bl, br]), np.array([0.0, 1.0]), steps)
    low = np.array([[float(opening.left(np.array(-plan.curb_mm))), -plan.curb_mm],
                    [float(opening.right(np.array(-plan.curb_mm))), -plan.curb_mm]])  # fmt: skip
    line = np.stack([bl, br])
    under = line - [0.0, cap]
    if kind != "tub" and plan.curb_mm > 50:
        _upright(site, under, line, made.curb)
        _upright(site, low, under, made.face)
    else:
        _upright(site, low, line, made.curb)


def _behind(site: Site, plan: Plan, made: Looks, spare: float) -> None:
    x0, x1 = -60.0, plan.opening.width_mm + 60.0
    rng = plan.rng(3)
    near = -70.0
    if plan.nib_mm:
        x0, x1 = x0 - float(rng.uniform(60, 500)), x1 + float(rng.uniform(60, 500))
    floor, top, far = -min(60.0, plan.curb_mm * 0.7), plan.ceiling_mm, -plan.depth_mm
    low = -plan.curb_mm + 90.0 if plan.dealt["kind"] == "tub" else floor
    site.quad(np.array([[x0, low, far], [x1, low, far], [x1, top, far], [x0, top, far]]), made.back)
    site.quad(np.array([[x0, low, near], [x1, low, near], [x1, low, far], [x0, low, far]]), made.tray)
    site.quad(np.array([[x0, top, near], [x1, top, near], [x1, top, far], [x0, top, far]]), made.ceiling)
    if plan.nib_mm:
        for x in (x0, x1):
            site.quad(np.array([[x, low, far], [x, low, near], [x, top, near], [x, top, far]]), made.inside)


def _room(site: Site, plan: Plan, made: Looks) -> None:
    x0, x1 = -plan.beyond_mm[0], plan.opening.width_mm + plan.beyond_mm[1]
    y0, y1, z1 = -plan.curb_mm, plan.ceiling_mm, float(plan.camera.position_mm[2]) + 700.0
    site.quad(np.array([[x0, y0, z1], [x1, y0, z1], [x1, y0, 0], [x0, y0, 0]]), made.floor)
    site.quad(np.array([[x0, y1, 0], [x1, y1, 0], [x1, y1, z1], [x0, y1, z1]]), made.ceiling)
    site.quad(np.array([[x0, y0, z1], [x0, y0, 0], [x0, y1, 0], [x0, y1, z1]]), made.side)
    site.quad(np.array([[x1, y0, 0], [x1, y0, z1], [x1, y1, z1], [x1, y1, 0]]), made.side)
    site.quad(np.array([[x1, y0, z1], [x0, y0, z1], [x0, y1, z1], [x1, y1, z1]]), made.side)
