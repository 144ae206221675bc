"""The rest of the rooms: the one the photographer stands in, and what is seen through the opening."""

from __future__ import annotations

import mitsuba as mi
import numpy as np

from .eleventh_grain import cloud, grid
from .eleventh_papers import emulsion
from .eleventh_walls import Place

from studio.shapes import Builder  # isort: skip
from studio.surfaces import lacquer, metal  # isort: skip

SUN_Z, SUN_Y = (650.0, 1750.0), (850.0, 2150.0)
"""mm; the hole in a side wall through which the sun comes: distance from the wall face, height over the floor"""


def build_shell(build: Builder, place: Place) -> None:
    """Floor, ceiling, side walls and the wall behind the photographer."""
    (x0, x1), y0, y1, z0, z1 = place.x_range, place.floor_y, place.ceiling_y, place.wall_z, place.length_mm
    floor = [[x0, y0, z1], [x1, y0, z1], [x1, y0, z0], [x0, y0, z0]]
    build.quad(np.array(floor), place.floor)
    build.quad(np.array([[x0, y1, z0], [x1, y1, z0], [x1, y1, z1], [x0, y1, z1]]), place.ceiling)
    build.quad(np.array([[x1, y0, z1], [x0, y0, z1], [x0, y1, z1], [x1, y1, z1]]), place.side_walls)
    for x, side in ((x0, -1), (x1, 1)):
        if side == place.sun_side:
            _wall_with_hole(build, place, x)
        else:
            build.quad(np.array([[x, y0, z1], [x, y0, z0], [x, y1, z0], [x, y1, z1]]), place.side_walls)


def _wall_with_hole(build: Builder, place: Place, x: float) -> None:
    y0, y1, z0, z1 = place.floor_y, place.ceiling_y, place.wall_z, place.length_mm
    (za, zb), (ya, yb) = SUN_Z, (place.floor_y + SUN_Y[0], place.floor_y + SUN_Y[1])
    for (c, d), (e, f) in (((z0, za), (y0, y1)), ((zb, z1), (y0, y1)), ((za, zb), (y0, ya)), ((za, zb), (yb, y1))):
        build.quad(np.array([[x, e, d], [x, e, c], [x, f, c], [x, f, d]]), place.side_walls)
    bar = lacquer((0.75, 0.75, 0.73), 0.3)
    middle_z, middle_y = (za + zb) / 2, ya + 0.62 * (yb - ya)
    build.box((x - 25, ya, middle_z - 28), (x + 25, yb, middle_z + 28), bar)
    build.box((x - 25, middle_y - 24, za), (x + 25, middle_y + 24, zb), bar)


def build_behind(build: Builder, place: Place, rng: np.random.Generator) -> None:
    """What is seen through the opening."""
    if place.what == "door":
        _next_room(build, place, rng)
    elif place.what == "window":
        _outside(build, place, rng)
    else:
        _recess(build, place)


def _recess(build: Builder, place: Place) -> None:
    """Back wall, floor and ceiling of an alcove, wardrobe or niche."""
    far, near = -place.depth_mm, -min(place.header_mm, place.depth_mm) if place.opening.head else 0.0
    niche = place.what == "niche"
    x0, x1 = -60.0, place.opening.width_mm + 60.0
    y0 = -40.0 if niche else place.floor_y
    y1 = float(place.opening.corners[:, 1].max()) + 40 if niche else place.ceiling_y
    back = np.array([[x0, y0, far], [x1, y0, far], [x1, y1, far], [x0, y1, far]])
    build.quad(back, place.back, back[:, :2])
    if niche:
        return
    y = place.floor_y + {"shower": 25.0, "tub": 140.0}.get(place.what, 0.0)
    z = -min(place.sill_depth_mm, place.depth_mm)
    build.quad(np.array([[x0, y, z], [x1, y, z], [x1, y, far], [x0, y, far]]), place.inner_floor)
    fall = place.slope * (near - far)
    low = max(y1 - fall, float(place.opening.corners[:, 1].max()) * 0.75)
    build.quad(np.array([[x0, y1, near], [x1, y1, near], [x1, low, far], [x0, low, far]]), place.ceiling)
    if place.what == "tub":
        top = float(place.opening.corners[:2, 1].min())
        build.box((x0, y, far), (x1, top, far + 75), place.sill)


def _next_room(build: Builder, place: Place, rng: np.random.Generator) -> None:
    """A room or passage behind a doorway, with a door leaf that stands open."""
    x0, x1 = -float(rng.uniform(150, 1300)), place.opening.width_mm + float(rng.uniform(150, 1300))
    y0, y1, near = place.floor_y, place.ceiling_y, place.wall_z - 0.5
    far = -place.depth_mm - float(rng.uniform(1100, 3000))
    walls = emulsion(rng)
    build.quad(np.array([[x0, y0, -place.depth_mm], [x1, y0, -place.depth_mm], [x1, y0, far], [x0, y0, far]]), place.inner_floor)
    build.quad(np.array([[x0, y1, near], [x1, y1, near], [x1, y1, far], [x0, y1, far]]), place.ceiling)
    back = np.array([[x0, y0, far], [x1, y0, far], [x1, y1, far], [x0, y1, far]])
    build.quad(back, place.back, back[:, :2])
    for x in (x0, x1):
        build.quad(np.array([[x, y0, near], [x, y0, far], [x, y1, far], [x, y1, near]]), walls)
    if rng.random() < 0.6:
        leaf = lacquer(tuple(rng.uniform(0.2, 0.75, 3)), 0.25)
        left = rng.random() < 0.5
        x = -6.0 if left else place.opening.width_mm + 6
        reach = -place.depth_mm - place.opening.width_mm + 20
        top = float(place.opening.corners[:, 1].min() if not place.opening.head else place.opening.corners[2, 1]) - 12
        build.box((x - 42 if left else x, y0 + 12, reach), (x if left else x + 42, top, -place.depth_mm - 4), leaf)
        build.capped_rod((x - 90, 960 + y0, reach + 65), (x + 90, 960 + y0, reach + 65), 9, metal())
    for z in (-place.depth_mm - 700,):
        build.lamp(
            ((x0 + x1) / 2, y1 - 5, z), (0, -1, 0), (300, 300), tuple(float(rng.uniform(4, 16)) * c for c in (1, 0.9, 0.78))
        )


def _outside(build: Builder, place: Place, rng: np.random.Generator) -> None:
    """Frame with a mullion, and daylight: sky over roofs and hedges."""
    width, height = place.opening.width_mm, float(place.opening.corners[:, 1].max())
    z = -place.depth_mm
    frame = lacquer((0.78, 0.78, 0.77) if rng.random() < 0.7 else (0.12, 0.13, 0.14), 0.25)
    bar = float(rng.uniform(48, 75))
    for low, high in (
        ((-30, -30), (bar, height + 30)),
        ((width - bar, -30), (width + 30, height + 30)),
        ((-30, -30), (width + 30, bar)),
        ((-30, height - bar), (width + 30, height + 30)),
    ):
        build.box((*low, z - 60), (*high, z), frame)
    if width > 700:
        build.box((width / 2 - 45, 0, z - 60), (width / 2 + 45, height, z), frame)
    grip = width / 2 - 60 if width > 700 else width - 0.6 * bar
    build.box((grip - 10, height * 0.45, z), (grip + 10, height * 0.45 + 120, z + 30), metal())
    size = (6000.0, 4500.0)
    build.add(_view(rng, (width / 2, height / 2, z - 1600), size, float(rng.uniform(0.3, 0.8))))


def _view(rng: np.random.Generator, centre: tuple[float, float, float], size: tuple[float, float], bright: float) -> dict:
    x, y = (a[::8, ::8] for a in grid(size))
    up = y / size[1]
    picture = (
        np.array((0.55, 0.72, 1.0)) * (0.75 + 0.5 * up[..., None]) + 0.25 * np.clip(cloud(rng, x.shape, 40), 0, 1)[..., None]
    )
    hedge = up < 0.42 + 0.03 * cloud(rng, x.shape, 9)[0]
    leaves = np.array((0.10, 0.20, 0.06)) * (1 + 0.5 * cloud(rng, x.shape, 1.5)[..., None])
    picture = np.where(hedge[..., None], np.clip(leaves, 0.01, 1), picture)
    at = rng.uniform(0.2, 0.6) * size[0]
    house = (abs(x - at) < 700) & (up < 0.6 - 0.00009 * abs(x - at))
    picture = np.where(house[..., None], np.array((0.5, 0.42, 0.36)), picture) * bright
    glow = mi.Bitmap(np.ascontiguousarray(picture.astype(np.float32)))
    radiance = {"type": "bitmap", "bitmap": glow, "raw": True, "wrap_mode": "clamp"}
    place = mi.ScalarTransform4f().translate(list(centre)) @ mi.ScalarTransform4f().scale([size[0] / 2, size[1] / 2, 1.0])
    emitter = {"type": "area", "radiance": radiance}
    return {"type": "rectangle", "to_world": place, "emitter": emitter, "bsdf": {"type": "diffuse"}}
