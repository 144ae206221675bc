"""Clutter of the seventh family: fittings, towels, bins, bottles, switches, pictures; now and then before an edge."""

from __future__ import annotations

import numpy as np

from .seventh_looks import colour, plaster
from .seventh_walls import Builder, House

# isort: split
from studio import things
from studio.surfaces import Surface, lacquer, metal, plain

WHITE = (0.78, 0.78, 0.76)


def furnish(build: Builder, house: House, seed: list[int], cover: str) -> None:
    """Draws and builds; cover names the edge that something may stand before."""
    rng = np.random.default_rng([*seed, 9])
    if house.kind in ("shower", "tray", "tub"):
        _fittings(build, house, rng)
    else:
        _inside(build, house, rng)
    _on_the_wall(build, house, rng)
    _on_the_floor(build, house, rng, cover)


def _fittings(build: Builder, house: House, rng: np.random.Generator) -> None:
    opening, right = house.opening, bool(rng.random() < 0.5)
    if house.wider_mm:
        right = True
    side, chrome = (-1, metal()) if right else (1, metal())
    edge = opening.right if right else opening.left
    z = -min(0.6 * house.depth_mm, 520.0)
    out = house.wider_mm if right else -house.wider_mm
    y = min(opening.height_mm - 130, 1960.0)
    x = float(edge(np.array(y))) + out
    if rng.random() < 0.5:  # a rail with a hand shower and its hose
        build.rod((x + side * 45, y - 700, z), (x + side * 45, y, z), 10, chrome)
        for end in (y - 690, y - 10):
            build.capped_rod((x, end, z), (x + side * 50, end, z), 13, chrome)
        build.capped_rod((x + side * 60, y - 60, z), (x + side * 150, y - 40, z), 13, chrome)
        build.capped_rod((x + side * 150, y - 60, z), (x + side * 165, y - 20, z), 48, lacquer((0.72, 0.73, 0.74), 0.15))
        t = np.linspace(0, 1, 15)
        xs, ys = x + side * (60 + 110 * np.sin(np.pi * t)), y - 70 - 850 * t + 120 * np.sin(np.pi * t) * t
        hose = metal((0.6, 0.6, 0.61), 0.25)
        for i in range(14):
            build.rod((float(xs[i]), float(ys[i]), z), (float(xs[i + 1]), float(ys[i + 1]), z), 6.5, hose)
    else:
        build.rod((x, y, z), (x + side * 320, y - 30, z), 10, chrome)
        build.capped_rod((x + side * 320, y - 30, z), (x + side * 322, y - 58, z), float(rng.uniform(60, 110)), chrome)
    build.capped_rod((x, y - 850, z), (x + side * 35, y - 850, z), float(rng.uniform(30, 70)), chrome)
    if rng.random() < 0.5:  # a soap dish on the back wall
        mid = float(rng.uniform(0.25, 0.7)) * opening.width_mm
        build.box((mid, 950, -house.depth_mm), (mid + 220, 962, -house.depth_mm + 95), lacquer(WHITE, 0.2))
        things.bottle(build, mid + 60, 962, -house.depth_mm + 45, colour(rng), 160)
        things.bottle(build, mid + 150, 962, -house.depth_mm + 50, colour(rng), 190)
    low = -house.inner_floor_mm if house.kind != "tub" else 0.0
    for _ in range(int(rng.integers(0, 4))):
        x = float(rng.uniform(0.08, 0.92)) * opening.width_mm
        deep = -house.depth_mm + float(rng.uniform(50, 110))
        if house.kind == "tub":
            deep = -house.depth_mm + 42
        things.bottle(build, x, low, deep, colour(rng), float(rng.uniform(120, 240)))


def _inside(build: Builder, house: House, rng: np.random.Generator) -> None:
    if house.kind == "doorway" and rng.random() < 0.7:
        x = float(rng.uniform(0.2, 0.8)) * house.opening.width_mm
        low = -house.inner_floor_mm
        things.cabinet(
            build,
            (x - 260, low, -house.depth_mm + 5),
            (x + 260, low + 820, -house.depth_mm + 380),
            lacquer(colour(rng), 0.3),
            lacquer(WHITE, 0.2),
        )
        things.bottle(build, x - 90, low + 845, -house.depth_mm + 200, colour(rng), 200)
    elif house.kind != "doorway":
        for _ in range(int(rng.integers(1, 4))):
            x = float(rng.uniform(0.1, 0.9)) * house.opening.width_mm
            deep = -float(rng.uniform(0.5, 0.7)) * house.depth_mm
            things.bottle(build, x, 4.0, deep, colour(rng), float(rng.uniform(110, 220)))


def _on_the_wall(build: Builder, house: House, rng: np.random.Generator) -> None:
    """Switch, picture, towel rail: beyond the strip where references hang."""
    width = house.opening.width_mm
    for side, room in (("left", house.beyond_mm[0]), ("right", house.beyond_mm[1])):
        free = room - 330
        if free < 130 or rng.random() < 0.35:
            continue
        middle = 330 + free / 2
        x = -middle if side == "left" else width + middle
        base = -house.sill_height_mm
        kind = rng.choice(["switch", "picture", "towel", "towel"])
        if kind == "switch":
            build.box((x - 40, base + 1060, 0), (x + 40, base + 1141, 9), lacquer(WHITE, 0.25))
            build.box((x - 28, base + 1072, 9), (x + 28, base + 1129, 12), lacquer((0.8, 0.8, 0.79), 0.2))
        elif kind == "picture":
            half, y = min(free / 2 - 15, 170.0), base + 1450
            build.box((x - half, y, 0), (x + half, y + 2.6 * half, 18), lacquer((0.15, 0.11, 0.08), 0.3))
            build.box((x - half + 16, y + 16, 18), (x + half - 16, y + 2.6 * half - 16, 19), plaster_of(rng))
        else:
            wide = min(free - 110, 420.0)
            if wide > 120:
                things.towel(build, x, base + 1250, (wide, 560), plaster_of(rng), float(rng.uniform(2.5, 5)))


def plaster_of(rng: np.random.Generator) -> Surface:
    """Cloth, or a picture's colour."""
    return plaster(colour(rng), rng, 0.05)


def _on_the_floor(build: Builder, house: House, rng: np.random.Generator, cover: str) -> None:
    floor, width = -house.sill_height_mm, house.opening.width_mm
    if rng.random() < 0.5:
        things.mat(
            build, width / 2 + float(rng.normal(0, 100)), floor, float(rng.uniform(420, 620)), (680, 430), plain(colour(rng))
        )
    if rng.random() < 0.45:
        x = -house.beyond_mm[0] + 130 if rng.random() < 0.5 else width + house.beyond_mm[1] - 130
        things.bin_(build, x, floor, 170, lacquer(colour(rng), 0.3))
    if cover in ("left", "right"):  # a towel on a hook, part of it before the edge, at the height of the chest
        y = house.opening.height_mm * float(rng.uniform(0.5, 0.62))
        x = (-30.0 if cover == "left" else width + 30.0) + float(rng.normal(0, 15))
        build.capped_rod((x, y, 0), (x, y, 45), 8, metal())
        _hanging(build, (x, y + 6), (150.0, float(rng.uniform(220, 340))), plaster_of(rng))
    elif cover == "curb":
        x = float(rng.uniform(0.2, 0.8)) * width
        if house.sill_height_mm < 200 and width < 1150:
            things.bottle(build, x, floor, 240, colour(rng), house.sill_height_mm + 180)
        elif house.sill_height_mm < 200:
            things.bin_(build, x, floor, 260, lacquer(colour(rng), 0.3))
        else:
            things.bottle(build, x, 0.0, -35.0, colour(rng), 180)


def _hanging(build: Builder, top: tuple[float, float], size: tuple[float, float], surface: Surface) -> None:
    """A small towel from a hook: narrow above, folded below."""
    t, across = np.linspace(0, 1, 25), np.linspace(-0.5, 0.5, 61)
    lines = []
    for r in t:
        wide = size[0] * (0.3 + 0.7 * min(1.0, 2.5 * r))
        depth = 30 + 12 * np.cos(9 * np.pi * across) * (0.5 + 0.5 * r)
        lines.append(np.column_stack([top[0] + across * wide, np.full(61, top[1] - size[1] * r), depth]))
    for i in range(24):
        uv = [np.column_stack([across * size[0], np.full(61, size[1] * t[j])]) for j in (i, i + 1)]
        build.strip(lines[i], lines[i + 1], *uv, surface)
