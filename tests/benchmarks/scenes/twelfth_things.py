"""Shapes of what hangs and stands about in the twelfth rooms. Makes and names are nobody's."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from studio.shapes import Builder, placed, rounded_rectangle
from studio.surfaces import Surface

from .twelfth_choice import gloss, matt, mirror, shade, steel
from .twelfth_fabric import Rng, noise, texels
from .twelfth_shell import patch

Point = tuple[float, float, float]


@dataclass(frozen=True)
class Thing:
    """Width, height and depth it takes, and how it is made with its lower left back corner at a point."""

    name: str
    size: Point
    make: Callable[[Builder, Point, Rng], None]


def towel(build: Builder, at: Point, rng: Rng) -> None:
    """Over a rail on the wall."""
    x, y, z = at
    wide, tall = 360.0, 620.0
    rail = steel((0.1, 0.1, 0.1), 0.3) if rng.random() < 0.4 else steel()
    build.rod((x, y + tall - 12, z + 55), (x + wide + 60, y + tall - 12, z + 55), 8, rail)
    for end in (x + 8, x + wide + 52):
        build.capped_rod((end, y + tall - 12, z), (end, y + tall - 12, z + 58), 9, rail)
    u, v = np.meshgrid(np.linspace(0, 1, 70), np.linspace(0, 1, 30))
    fold = np.sin(2 * np.pi * (4.3 * u + 0.2 * v) + rng.uniform(0, 6))
    points = np.stack([x + 30 + u * wide, y + v * (tall - 4), z + 66 + (1 - v) * 6 + (2 + 9 * (1 - v)) * fold], 2)
    colour = shade(rng, 0.4, 0.2)
    patch(build, points, np.stack([u, v], 2), matt(colour))


def framed(build: Builder, at: Point, rng: Rng) -> None:
    """A print of nothing in particular behind a border, or a mirror."""
    x, y, z = at
    wide, tall = 330.0, 430.0
    edge = gloss(shade(rng, 0.3, 0.4), 0.3)
    build.box((x, y, z), (x + wide, y + tall, z + 18), edge)
    inner = np.array([[x + 18, y + 18, z + 18.3], [x + wide - 18, y + 18, z + 18.3], [x + wide - 18, y + tall - 18, z + 18.3]])
    corners = np.concatenate([inner, [[x + 18, y + tall - 18, z + 18.3]]])
    if rng.random() < 0.35:
        build.quad(corners, mirror())
        return
    hue = np.stack([noise(rng, (128, 96), 14) for _ in range(3)], 2)
    picture = np.clip(np.array(shade(rng)) * np.exp(0.6 * hue), 0.02, 0.8)
    rows, columns = np.mgrid[0:128, 0:96]
    picture[(np.minimum(rows, 127 - rows) < 16) | (np.minimum(columns, 95 - columns) < 14)] = 0.78
    surface = Surface({"type": "roughplastic", "alpha": 0.05, "diffuse_reflectance": texels(picture, "clamp")}, (1, 1))
    build.quad(corners, surface, np.array([[0, 0], [1, 0], [1, 1], [0, 1]], float))


def switches(build: Builder, at: Point, rng: Rng) -> None:
    x, y, z = at
    white = gloss((0.78, 0.78, 0.76) if rng.random() < 0.7 else (0.08, 0.08, 0.08), 0.2)
    for k in range(2):
        low = y + 71 * k
        build.slab(rounded_rectangle(80, 69, 5), 8.0, placed(x + 40, low + 35, z), white)
        build.slab(rounded_rectangle(46, 46, 2), 3.0, placed(x + 40, low + 35, z + 8), white)


def vent(build: Builder, at: Point, rng: Rng) -> None:
    x, y, z = at
    white = gloss((0.74, 0.74, 0.72), 0.3)
    build.box((x, y, z), (x + 170, y + 170, z + 10), white)
    for k in range(8):
        build.box((x + 18, y + 18 + 17 * k, z + 10), (x + 152, y + 27 + 17 * k, z + 13), matt((0.12, 0.12, 0.12)))


def sign(build: Builder, at: Point, rng: Rng) -> None:
    """A small plate: a bold shape on a ground."""
    x, y, z = at
    ground, ink = gloss(shade(rng, 0.5, 0.3), 0.25), gloss(shade(rng, 0.4, 0.5), 0.3)
    build.slab(rounded_rectangle(150, 150, 8), 3.0, placed(x + 75, y + 75, z), ground)
    build.slab(rounded_rectangle(88, 22, 2), 0.6, placed(x + 75, y + 75, z + 3, float(rng.choice([0, 45, 90]))), ink)


def robe(build: Builder, at: Point, rng: Rng) -> None:
    """A bag or a robe on a hook."""
    x, y, z = at
    build.capped_rod((x + 110, y + 640, z), (x + 110, y + 640, z + 45), 7, steel((0.5, 0.4, 0.2)))
    u, v = np.meshgrid(np.linspace(0, 1, 50), np.linspace(0, 1, 24))
    half = 22 + 88 * (1 - v) ** 0.6
    bulge = 14 + 55 * np.sin(np.pi * np.clip(u, 0.02, 0.98)) * (0.4 + 0.6 * (1 - v)) + 8 * np.sin(14 * u + 3 * v)
    points = np.stack([x + 110 + (2 * u - 1) * half, y + v * 640, z + bulge], 2)
    patch(build, points, np.stack([u, v], 2), matt(shade(rng, 0.3, 0.3)))


def shelf(build: Builder, at: Point, rng: Rng) -> None:
    x, y, z = at
    build.box((x, y, z), (x + 380, y + 22, z + 130), gloss((0.4, 0.26, 0.14), 0.4))
    for k in range(3):
        flask(build, (x + 60 + 120 * k, y + 22, z + 65), rng)


def flask(build: Builder, at: Point, rng: Rng) -> None:
    """A bottle about a foot's middle."""
    x, y, z = at
    tall, wide = float(rng.uniform(110, 210)), float(rng.uniform(22, 36))
    body = gloss(shade(rng, 0.3, 0.3), 0.12)
    build.capped_rod((x, y, z), (x, y + tall, z), wide, body)
    build.capped_rod((x, y + tall, z), (x, y + tall + 32, z), wide * 0.45, gloss((0.75, 0.74, 0.7), 0.3))


def bucket(build: Builder, at: Point, rng: Rng) -> None:
    x, y, z = at[0] + 150, at[1], at[2] + 150
    tint = gloss(shade(rng, 0.2, 0.3), 0.3)
    t, v = np.meshgrid(np.linspace(0, 2 * np.pi, 40), np.linspace(0, 1, 3))
    r = 110 + 35 * v
    patch(build, np.stack([x + r * np.cos(t), y + 270 * v, z - r * np.sin(t)], 2), np.stack([t, v], 2), tint)
    build.disc((x, y + 225, z), np.array([0, 1.0, 0]), 138, matt((0.5, 0.48, 0.44)))


def ladder(build: Builder, at: Point, rng: Rng) -> None:
    """Leans against the wall."""
    x, y, z = at
    alloy = steel((0.62, 0.62, 0.6), 0.35)
    for k in (0, 1):
        build.rod((x + 20 + 330 * k, y, z + 430), (x + 20 + 330 * k, y + 1690, z + 25), 16, alloy)
    for k in range(1, 7):
        t = k / 7
        depth = 430 + t * (25 - 430)
        build.rod((x + 20, y + 1690 * t, z + depth), (x + 350, y + 1690 * t, z + depth), 13, alloy)


def pot(build: Builder, at: Point, rng: Rng) -> None:
    """A plant with strap leaves."""
    x, y, z = at[0] + 150, at[1], at[2] + 150
    clay = matt((0.42, 0.22, 0.13) if rng.random() < 0.5 else (0.7, 0.68, 0.64))
    build.capped_rod((x, y, z), (x, y + 190, z), 95, clay)
    for _ in range(16):
        turn, long = rng.uniform(0, 2 * np.pi), rng.uniform(220, 420)
        t = np.linspace(0, 1, 14)
        out = 20 + 115 * t**1.6
        up = 185 + long * np.sin(1.75 * t)
        wide = 13 * np.sin(np.pi * np.clip(t, 0.04, 0.98))
        mid = np.stack([x + out * np.cos(turn), y + up, z + out * np.sin(turn)], 1)
        off = np.stack([-np.sin(turn) * wide, 0 * t, np.cos(turn) * wide], 1)
        green = gloss(tuple(np.array([0.07, 0.22, 0.06]) * rng.uniform(0.6, 1.5)), 0.35)
        patch(build, np.stack([mid - off, mid + off], 0), np.zeros((2, 14, 2)), green)


def basket(build: Builder, at: Point, rng: Rng) -> None:
    """Laundry."""
    x, y, z = at
    build.box((x, y, z), (x + 340, y + 400, z + 260), matt((0.42, 0.32, 0.2)))
    for k in range(5):
        centre = (x + 60 + 55 * k, y + 405, z + float(rng.uniform(80, 190)))
        build.ball(centre, float(rng.uniform(45, 75)), matt(shade(rng, 0.5, 0.2)))


def toolbox(build: Builder, at: Point, rng: Rng) -> None:
    x, y, z = at
    build.box((x, y, z), (x + 400, y + 170, z + 200), gloss(shade(rng, 0.0, 0.3), 0.3))
    build.box((x - 4, y + 150, z - 2), (x + 404, y + 178, z + 204), gloss((0.05, 0.05, 0.05), 0.3))
    build.rod((x + 120, y + 215, z + 100), (x + 280, y + 215, z + 100), 11, gloss((0.05, 0.05, 0.05), 0.3))
    t = np.linspace(0, 1, 25)
    path = np.stack([x - 60 + 420 * t, 0 * t + y + 6, z + 290 + 60 * np.sin(9 * t)], 1)
    for a, b in itertools.pairwise(path):
        build.rod(tuple(a), tuple(b), 5, gloss((0.6, 0.2, 0.05), 0.4))


def stool(build: Builder, at: Point, rng: Rng) -> None:
    x, y, z = at
    wood = gloss((0.5, 0.35, 0.2), 0.4)
    build.box((x, y + 430, z), (x + 320, y + 455, z + 300), wood)
    for dx in (25, 295):
        for dz in (25, 275):
            build.rod((x + dx, y, z + dz), (x + dx, y + 430, z + dz), 13, wood)


HUNG = (
    Thing("towel", (420, 640, 110), towel),
    Thing("framed print", (330, 430, 20), framed),
    Thing("switches", (80, 142, 12), switches),
    Thing("vent", (170, 170, 13), vent),
    Thing("sign", (150, 150, 4), sign),
    Thing("robe", (220, 660, 90), robe),
    Thing("shelf", (380, 270, 140), shelf),
)
STOOD = (
    Thing("bucket", (300, 280, 300), bucket),
    Thing("ladder", (370, 1700, 450), ladder),
    Thing("plant", (300, 640, 300), pot),
    Thing("laundry", (340, 480, 260), basket),
    Thing("toolbox", (420, 230, 360), toolbox),
    Thing("stool", (320, 460, 300), stool),
)
