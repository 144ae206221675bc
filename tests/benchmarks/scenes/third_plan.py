"""What a room of the third family is, and what lies behind its opening: alcove, hall or the outdoors."""

from __future__ import annotations

from dataclasses import dataclass

import mitsuba as mi
import numpy as np
from studio.opening import Opening
from studio.shapes import Builder
from studio.surfaces import Surface, lacquer, metal, plain
from third_patterns import RGB, Look, Rng, cloud, one_of, texture

Triple = tuple[float, float, float]


@dataclass(frozen=True)
class Edge:
    """The rim of the opening at its sides and head: a band in the wall face, then a rounding, then the reveal."""

    kind: str  # sharp round trim caulk stone bead casing
    words: str
    band_mm: float = 0.0
    round_mm: float = 0.0
    proud_mm: float = 0.0  # how far the band stands before the wall face; its face is then the opening's plane
    band: Surface | None = None


@dataclass(frozen=True)
class Foot:
    """The opening's lower edge: curb, rim, sill or threshold, its front flush with the opening's plane."""

    words: str
    front: Surface
    top: Surface
    round_mm: float
    depth_mm: float
    cap_mm: float = 0.0  # a cap so thick, of the top's material, shows in the front


@dataclass(frozen=True)
class Lit:
    centre: Triple
    toward: Triple
    size: tuple[float, float]
    rgb: RGB


@dataclass(frozen=True)
class Plan:
    kind: str  # shower tub door window
    opening: Opening
    edge: Edge
    foot: Foot
    face: Look
    reveal: Look
    back: Look
    floor: Look
    walls: Look
    floor_y: float
    ceiling_y: float
    left_x: float
    right_x: float
    length: float
    depth: float  # of the reveals at the head, from the plane
    back_z: float
    feature: str  # on or in the back wall: none niche blocks pane
    lamps: tuple[Lit, ...] = ()

    @property
    def wall_z(self) -> float:
        return -self.edge.proud_mm


def sheet(build: Builder, x: tuple[float, float], y: float, z: tuple[float, float], surface: Surface) -> None:
    p = np.array([[x[0], y, z[0]], [x[1], y, z[0]], [x[1], y, z[1]], [x[0], y, z[1]]])
    build.quad(p, surface, p[:, ::2])


def holed(
    build: Builder, area: tuple[float, ...], hole: tuple[float, ...] | None, z: float, surface: Surface, lining: Surface
) -> None:
    """An upright wall, with a recess of 95 mm if wanted."""
    x0, x1, y0, y1 = area
    parts = [(x0, x1, y0, y1)]
    if hole:
        a, b, c, d = hole
        parts = [(x0, a, y0, y1), (b, x1, y0, y1), (a, b, y0, c), (a, b, d, y1)]
        build.box((a - 20, c - 20, z - 100), (b + 20, d + 20, z - 95), lining)
        for low, high in (
            ((a - 20, c - 20), (a, d + 20)),
            ((b, c - 20), (b + 20, d + 20)),
            ((a, c - 20), (b, c)),
            ((a, d), (b, d + 20)),
        ):
            build.box((*low, z - 95), (*high, z - 0.5), lining)
    for a, b, c, d in parts:
        p = np.array([[a, c, z], [b, c, z], [b, d, z], [a, d, z]])
        build.quad(p, surface, p[:, :2])


def alcove(build: Builder, plan: Plan) -> None:
    base, tub = plan.foot, plan.kind == "tub"
    x = (-70.0, plan.opening.width_mm + 70.0)
    bottom = plan.floor_y + (140 if tub else 25)
    inner, top = -base.depth_mm, max(plan.opening.corners[:2, 1]) + base.round_mm
    material = base.top if tub else plan.floor.surface
    lean = 60.0 if tub else 0.0
    build.quad(
        np.array([[x[0], top, inner], [x[1], top, inner], [x[1], bottom, inner - lean], [x[0], bottom, inner - lean]]), base.top
    )
    sheet(build, x, bottom, (inner - lean, plan.back_z), material)
    if tub:
        build.box((x[0], bottom, plan.back_z), (x[1], top, plan.back_z + 75), base.top)
        for a, b in ((x[0], 95.0), (x[1] - 165.0, x[1])):
            build.box((a, bottom, plan.back_z), (b, top - 1, inner + 5), base.top)
    hole = None
    if plan.feature == "niche":
        width, middle = min(600.0, 0.5 * plan.opening.width_mm), 0.55 * plan.opening.width_mm
        hole = (middle - width / 2, middle + width / 2, 0.55 * plan.opening.height_mm, 0.55 * plan.opening.height_mm + 300)
    holed(build, (*x, plan.floor_y, plan.ceiling_y), hole, plan.back_z, plan.back.surface, plan.reveal.surface)
    if plan.feature == "blocks":
        glass_blocks(build, plan)
    sheet(build, x, plan.ceiling_y, (-plan.depth, plan.back_z), plain((0.8, 0.8, 0.79)))


def glass_blocks(build: Builder, plan: Plan) -> None:
    """Three columns of bricks of glass with daylight behind them."""
    x, y, z = 0.32 * plan.opening.width_mm, 0.5 * plan.opening.height_mm, plan.back_z
    joint = plain((0.7, 0.7, 0.68))
    build.box((x - 8, y - 8, z), (x + 608, y + 808, z + 2), joint)
    build.lamp((x + 300, y + 400, z + 3), (0, 0, 1), (600, 800), (0.85, 0.97, 1.0))
    for n in range(4):
        build.box((x - 6 + 200 * n, y - 8, z + 4), (x + 6 + 200 * n, y + 808, z + 8), joint)
    for n in range(5):
        build.box((x - 6, y - 6 + 200 * n, z + 4), (x + 606, y + 6 + 200 * n, z + 8), joint)


def hall(build: Builder, plan: Plan) -> None:
    x, y, z = (-1500.0, plan.opening.width_mm + 1500.0), (plan.floor_y - 4, plan.ceiling_y), (-plan.depth, plan.back_z)
    for far in x:
        p = np.array([[far, y[0], z[0]], [far, y[0], z[1]], [far, y[1], z[1]], [far, y[1], z[0]]])
        build.quad(p, plan.back.surface, p[:, 2:0:-1])
    sheet(build, x, y[0], z, plan.floor.surface)
    sheet(build, x, y[1], z, plain((0.8, 0.8, 0.79)))
    holed(build, (*x, *y), None, z[1], plan.back.surface, plan.back.surface)
    build.box((x[0], y[0], z[1]), (x[1], y[0] + 90, z[1] + 14), lacquer((0.75, 0.74, 0.72)))


def outdoors(rng: Rng) -> np.ndarray:
    """Sky, a hedge and a house far out of focus; row 0 is the bottom."""
    y = np.linspace(0, 1, 160)[:, None, None]
    picture = np.array([0.9, 1.05, 1.25]) * (1.1 + 0.5 * y) * np.ones((160, 160, 1))
    hedge = (y[..., 0] < 0.42 + 0.06 * cloud(rng, (160, 160), 40))[..., None]
    picture = np.where(hedge, np.array([0.16, 0.26, 0.1]) * (1 + 0.3 * cloud(rng, (160, 160), 9))[..., None], picture)
    left = int(rng.integers(10, 90))
    picture[30:110, left : left + 50] = one_of(rng, ((0.5, 0.42, 0.35), (0.62, 0.6, 0.56)))
    return np.clip(picture, 0.02, 2.2)


def pane(build: Builder, plan: Plan, rng: Rng) -> None:
    """Window frame with a mullion at the back of the reveal, outdoors behind it."""
    bl, _, tr, _ = plan.opening.corners
    frame, z = plan.back.surface, -plan.depth
    (x0, y0), (x1, y1), middle = bl - 30, tr + 30, float(plan.opening.width_mm * rng.uniform(0.35, 0.65))
    bars = [
        (x0, 85, y0, y1),
        (tr[0] - 85, x1, y0, y1),
        (x0, x1, y0, 90),
        (x0, x1, tr[1] - 85, y1),
        (middle - 40, middle + 40, y0, y1),
    ]
    for a, b, c, d in bars:
        build.box((a, c, z - 60), (b, d, z), frame)
    scene = outdoors(rng)
    glow = texture(scene)
    glow["bitmap"] = type(glow["bitmap"])(np.ascontiguousarray(scene.astype(np.float32)))
    far = z - 400
    place = [[x0 - 300, y0 - 300], [x1 + 300, y0 - 300], [x1 + 300, y1 + 300], [x0 - 300, y1 + 300]]
    outside(build, np.array([[x, y, far] for x, y in place]), glow)
    build.box((middle - 30, y0 + 0.45 * (y1 - y0), z), (middle - 18, y0 + 0.45 * (y1 - y0) + 110, z + 38), metal())


def outside(build: Builder, corners: np.ndarray, glow: dict) -> None:
    """A glowing picture that looks at the room."""
    middle, size = corners.mean(axis=0), np.ptp(corners, axis=0)
    place = mi.ScalarTransform4f().translate(list(middle)) @ mi.ScalarTransform4f().scale([size[0] / 2, size[1] / 2, 1.0])
    build.add(
        {"type": "rectangle", "to_world": place, "emitter": {"type": "area", "radiance": glow}, "bsdf": {"type": "diffuse"}}
    )
