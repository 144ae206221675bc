"""The room in front of the wall, the space behind the opening, windows and lamps of the ninth rooms."""

from __future__ import annotations

import numpy as np

from sample_images.studio.shapes import Builder
from sample_images.studio.surfaces import Surface

from .ninth_plan import Plan
from .ninth_textures import cloud, glossy, shade, texture
from .ninth_walls import Finishes

DAYLIGHT = np.array([0.86, 0.95, 1.1])
WARM = np.array([1.16, 0.95, 0.68])
NEUTRAL = np.array([1.04, 0.98, 0.9])


def panel(build: Builder, corners: list[list[float]], surface: Surface) -> None:
    """Four corners in order; the pattern runs on along the two axes that span it."""
    c = np.array(corners, float)
    across, up = c[1] - c[0], c[3] - c[0]
    axes = [int(np.argmax(np.abs(across))), int(np.argmax(np.abs(up)))]
    build.quad(c, surface, c[:, axes])


def chamber(build: Builder, low: np.ndarray, high: np.ndarray, surfaces: dict[str, Surface]) -> None:
    """The inside of a box; sides without a surface are left out."""
    (x0, y0, z0), (x1, y1, z1) = low, high
    sides = {
        "floor": [[x0, y0, z0], [x1, y0, z0], [x1, y0, z1], [x0, y0, z1]],
        "ceiling": [[x0, y1, z0], [x1, y1, z0], [x1, y1, z1], [x0, y1, z1]],
        "left": [[x0, y0, z0], [x0, y0, z1], [x0, y1, z1], [x0, y1, z0]],
        "right": [[x1, y0, z0], [x1, y0, z1], [x1, y1, z1], [x1, y1, z0]],
        "far": [[x0, y0, z0], [x1, y0, z0], [x1, y1, z0], [x0, y1, z0]],
        "near": [[x0, y0, z1], [x1, y0, z1], [x1, y1, z1], [x0, y1, z1]],
    }
    for name, surface in surfaces.items():
        panel(build, sides[name], surface)


def build_room(build: Builder, plan: Plan, use: Finishes) -> None:
    low = np.array([-plan.room[0], plan.floor_y, 0.0])
    high = np.array([plan.opening.width_mm + plan.room[1], plan.ceiling_y, plan.room[2]])
    walls = dict.fromkeys(("left", "right", "near"), use.walls)
    chamber(build, low, high, {"floor": use.floor, "ceiling": use.ceiling, **walls})
    _lights(build, plan)


def build_behind(build: Builder, plan: Plan, use: Finishes) -> None:
    """What is seen through the opening."""
    if plan.kind == "window":
        _casement(build, plan)
    elif plan.kind == "niche":
        corners, z = plan.opening.corners, -plan.wall_depth
        x0, y0, x1, y1 = corners[:, 0].min() - 9, corners[:, 1].min() - 9, corners[:, 0].max() + 9, corners[:, 1].max() + 9
        panel(build, [[x0, y0, z], [x1, y0, z], [x1, y1, z], [x0, y1, z]], use.back)
        if plan.rng(31).random() < 0.6:
            _shelf(build, plan, use)
    else:
        _closed_space(build, plan, use)


def _closed_space(build: Builder, plan: Plan, use: Finishes) -> None:
    opening, door = plan.opening, plan.kind == "doorway"
    z0, z1 = -plan.wall_depth - plan.inner_depth, -plan.wall_depth
    wider = (900.0, 700.0) if door else plan.inner_wider
    y = np.linspace(plan.floor_y, plan.ceiling_y, 40)
    side = use.beyond if door else use.reveal
    for wall, way, more in ((opening.left, -1, wider[0]), (opening.right, 1, wider[1])):
        x = wall(y) + way * more
        a, b = (np.column_stack([x, y, np.full_like(y, z)]) for z in (z1, z0))
        uv = [np.column_stack([np.full_like(y, -z), y]) for z in (z1, z0)]
        build.strip(a, b, uv[0], uv[1], side)
    low = np.array([-wider[0] - 60, plan.floor_y + (0.0 if door else 8.0), z0])
    high = np.array([opening.width_mm + wider[1] + 60, plan.ceiling_y, z1])
    tray = use.floor if door else use.tray
    chamber(build, low, high, {"far": use.beyond if door else use.back, "ceiling": use.ceiling, "floor": tray})
    rng = plan.rng(32)
    colour = WARM if rng.random() < 0.4 else NEUTRAL
    middle, size = (low[0] + high[0]) / 2, 320.0 if not door else 600.0
    strength = float(rng.uniform(0.8, 4.5))
    _lamp(build, (middle, plan.ceiling_y - 6, (z0 + z1) / 2), (0, -1, 0), (size, size), strength * colour)


def _casement(build: Builder, plan: Plan) -> None:
    """Frame, sash bars and a bright garden that is out of focus; one leaf may be dark or striped by a blind."""
    rng = plan.rng(33)
    frame = glossy(shade(str(rng.choice(["f2f1ec", "e9e5da", "6b4a30", "3f4a44"]))), 0.25)
    corners, back = plan.opening.corners, -plan.wall_depth
    x0, y0 = corners[:, 0].min() - 8, corners[:, 1].min() - 8
    x1, y1 = corners[:, 0].max() + 8, corners[:, 1].max() + 8
    bar, thick = float(rng.uniform(38, 62)), 55.0
    uprights = [x0, x1 - bar] + ([(x0 + x1 - bar) / 2] if x1 - x0 > 750 else [])
    for x in uprights:
        build.box((x, y0, back - 2), (x + bar, y1, back + thick), frame)
    levels = [y0, y1 - bar] + ([y0 + 0.62 * (y1 - y0)] if y1 - y0 > 900 and rng.random() < 0.5 else [])
    for y in levels:
        build.box((x0, y, back - 1), (x1, y + bar, back + thick - 3), frame)
    build.box(
        ((x0 + x1) / 2 + 30, y0 + 0.4 * (y1 - y0), back + thick),
        ((x0 + x1) / 2 + 44, y0 + 0.4 * (y1 - y0) + 90, back + thick + 16),
        frame,
    )
    _garden(build, plan, float(rng.uniform(0.6, 1.8)))


def _garden(build: Builder, plan: Plan, strength: float) -> None:
    rng = plan.rng(34)
    h, w = 300, 500
    y = np.linspace(0, 1, h)[:, None]
    hills = 0.35 + 0.08 * cloud(rng, (1, w), 55) + 0.04 * cloud(rng, (1, w), 8)
    green = np.array(shade("6d8a4c")) * np.clip(0.8 + 0.35 * cloud(rng, (h, w), 7), 0.2, 1.6)[..., None]
    sky = np.array([0.75, 0.87, 1.0]) * (0.75 + 0.25 * y[..., None])
    weight = 1 / (1 + np.exp(-(y - hills) * 60))
    picture = (green * (1 - weight[..., None]) + sky * weight[..., None]) * strength
    glow = {"type": "area", "radiance": {"type": "bitmap", "bitmap": _raw(picture), "raw": True, "filter_type": "bilinear"}}
    import mitsuba as mi

    middle = plan.opening.corners.mean(axis=0)
    at = [float(middle[0]), float(middle[1]), -plan.wall_depth - 1500.0]
    place = mi.ScalarTransform4f().translate(at) @ mi.ScalarTransform4f().scale([3200.0, 2000.0, 1.0])
    build.add({"type": "rectangle", "to_world": place, "emitter": glow})


def _raw(picture: np.ndarray) -> object:
    import mitsuba as mi

    return mi.Bitmap(np.ascontiguousarray(picture.astype(np.float32)))


def _shelf(build: Builder, plan: Plan, use: Finishes) -> None:
    corners = plan.opening.corners
    y = float(corners[0, 1] + plan.rng(35).uniform(0.4, 0.62) * (corners[3, 1] - corners[0, 1]))
    build.box((-6.0, y, -plan.wall_depth), (plan.opening.width_mm + 6.0, y + 18, -22.0), use.sill)


def _lamp(build: Builder, centre: tuple, toward: tuple, size: tuple[float, float], rgb: np.ndarray) -> None:
    build.lamp(centre, toward, size, tuple(float(v) for v in rgb))


def _lights(build: Builder, plan: Plan) -> None:
    rng, name = plan.rng(36), plan.light
    x0, x1 = -plan.room[0] + 4, plan.opening.width_mm + plan.room[1] - 4
    middle, depth, top = (x0 + x1) / 2, plan.room[2], plan.ceiling_y - 5
    if name.startswith("window") or name == "mixed":
        left = name == "window left" or (name == "mixed" and rng.random() < 0.5)
        at = (x0 if left else x1, plan.floor_y + 1500, float(rng.uniform(0.35, 0.6)) * depth)
        size = (float(rng.uniform(900, 1500)), float(rng.uniform(1000, 1400)))
        _lamp(build, at, (1 if left else -1, 0, 0), size, float(rng.uniform(3.5, 7.0)) * DAYLIGHT)
        _lamp(build, (middle, plan.floor_y + 1500, depth - 4), (0, 0, -1), (1100, 900), float(rng.uniform(0.4, 1.2)) * DAYLIGHT)
    if name in ("ceiling", "mixed", "evening"):
        colour = NEUTRAL if name == "ceiling" else WARM
        side = float(rng.uniform(300, 480))
        force = float(rng.uniform(9, 16)) * (480 / side) ** 2
        _lamp(build, (middle + float(rng.uniform(-250, 250)), top, 0.42 * depth), (0, -1, 0), (side, side), force * colour)
    if name == "spots":
        for k in range(4):
            at = (middle + (k % 2 - 0.5) * 1250, top, (0.25 + 0.4 * (k // 2)) * depth)
            _lamp(build, at, (0, -1, 0), (150, 150), 42.0 * NEUTRAL)
    if name == "evening":
        _lamp(build, (x1 - 350, plan.floor_y + 1900, 0.7 * depth), (-0.5, -0.2, -0.8), (350, 300), 7.0 * WARM)


__all__ = ["build_behind", "build_room", "chamber", "panel", "texture"]
