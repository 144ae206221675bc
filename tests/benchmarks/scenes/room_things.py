"""What stands and hangs about in a random room: fittings, bottles, mat, bin, towel, cabinet, a plumb line."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

import numpy as np
from room_draws import RGB, Rng, wall_rgb
from studio import things
from studio.opening import Opening
from studio.room import Room
from studio.shapes import Builder
from studio.surfaces import Surface, lacquer, metal, paint, plain
from studio.things import Card, PlumbLine

FROM_EDGE_MM = 30.0  # clutter keeps this far from arrises and cards, as seen


@dataclass(frozen=True)
class Thing:
    """Something that stands about: the box around it in the room, and how it is built."""

    word: str
    low: tuple[float, float, float]
    high: tuple[float, float, float]
    make: Callable[[Builder], None]


def clutter(rng: Rng, of: Opening, around: Room, eye: np.ndarray, cards: tuple[Card, ...]) -> list[Thing]:
    """Fittings and bottles behind the opening; mat, bin, towel or cabinet in front where they hide neither arris nor card."""
    floor, right = -around.curb_height_mm, bool(rng.random() < 0.5)
    head_y = float(rng.uniform(1700, of.height_mm - 80))
    fittings = partial(things.shower_fittings, opening=of, right=right, head_y=head_y)
    found = [Thing("fittings", (0, 0, -700), (0, 0, -500), fittings)]
    for _ in range(rng.integers(0, 3)):
        x, z, tall = rng.uniform(80, of.width_mm - 80), -rng.uniform(500, 750), float(rng.uniform(140, 240))
        found.append(Thing("bottle", (x, 0, z), (x, 0, z), _bottle(float(x), floor + 35, float(z), wall_rgb(rng), tall)))
    found += [t for t in _in_front(rng, of, around, floor) if rng.random() < 0.55 and not hides(t, of, eye, cards)]
    return found


def _bottle(x: float, y: float, z: float, rgb: RGB, tall: float) -> Callable[[Builder], None]:
    return lambda build: things.bottle(build, x, y, z, rgb, tall)


def _in_front(rng: Rng, of: Opening, around: Room, floor: float) -> list[Thing]:
    width, soft = of.width_mm, paint(wall_rgb(rng), rng, 0.05)
    found = []
    x, z, size = width * rng.uniform(0.35, 0.65), rng.uniform(380, 600), (min(800.0, 0.8 * width), 420.0)
    mat: Surface = plain(wall_rgb(rng))
    low, high = (x - size[0] / 2, floor, z - 210), (x + size[0] / 2, floor + 11, z + 210)
    found.append(Thing("mat", low, high, lambda build: things.mat(build, x, floor, z, size, mat)))
    outside = float(rng.uniform(250, min(around.beyond_left_mm, around.beyond_right_mm) - 130))
    bx = -outside if rng.random() < 0.5 else width + outside
    pail = metal(roughness=0.3) if rng.random() < 0.5 else lacquer(wall_rgb(rng), 0.3)
    low, high = (bx - 105, floor, 85.0), (bx + 105, floor + 270, 295.0)
    found.append(Thing("bin", low, high, lambda build: things.bin_(build, bx, floor, 190.0, pail)))
    side = -1 if rng.random() < 0.5 else 1
    far = around.beyond_left_mm if side < 0 else around.beyond_right_mm
    tw, long, top = float(rng.uniform(280, 420)), float(rng.uniform(450, 650)), float(rng.uniform(1200, 1450))
    tx = -far + tw / 2 + 70 if side < 0 else width + far - tw / 2 - 70
    low, high = (tx - tw / 2 - 60, top - long, 0.0), (tx + tw / 2 + 60, top + 12, 90.0)
    found.append(Thing("towel", low, high, lambda build: things.towel(build, tx, top, (tw, long), soft)))
    deep, up, wide = float(rng.uniform(300, 430)), float(rng.uniform(600, 780)), float(rng.uniform(250, 420))
    cx = (-around.beyond_left_mm, -around.beyond_left_mm + wide) if side > 0 else (width + far - wide, width + far)
    cx = cx if side > 0 else (width + around.beyond_right_mm - wide, width + around.beyond_right_mm)
    low, high, body = (cx[0], floor, 0.0), (cx[1], up, deep), lacquer(wall_rgb(rng), 0.3)
    board = lacquer(wall_rgb(rng), 0.2)
    found.append(
        Thing("cabinet", low, (high[0], up + 24, deep + 14), lambda build: things.cabinet(build, low, high, body, board))
    )
    return found


def hides(thing: Thing, of: Opening, eye: np.ndarray, cards: tuple[Card, ...]) -> bool:
    """Whether its box, seen from the camera, comes near an edge of the opening or a card on the wall face."""
    corners = np.array(list(itertools.product(*zip(thing.low, thing.high, strict=True))))
    on_wall = eye + (corners - eye) * (eye[2] / (eye[2] - corners[:, 2]))[:, None]
    low, high = on_wall[:, :2].min(axis=0), on_wall[:, :2].max(axis=0)
    bl, br, tr, tl = of.corners
    boxes = [(bl, tl), (br, tr), (bl, br), (tl, tr), *((c.outline()[:, :2],) for c in cards)]
    for points in boxes:
        flat = np.vstack([np.atleast_2d(p) for p in points])
        if np.all(low < flat.max(axis=0) + FROM_EDGE_MM) and np.all(high > flat.min(axis=0) - FROM_EDGE_MM):
            return True
    return False


def plumb_line(rng: Rng, of: Opening) -> PlumbLine:
    """A string from a nail above the head; thread of any colour."""
    colour = [(0.03, 0.03, 0.03), (0.85, 0.6, 0.05), (0.7, 0.05, 0.05), (0.8, 0.8, 0.76)][rng.integers(4)]
    x = float(of.width_mm * rng.choice([rng.uniform(0.15, 0.4), rng.uniform(0.6, 0.85)]))
    head = float(np.interp(x, [of.corners[3, 0], of.corners[2, 0]], [of.corners[3, 1], of.corners[2, 1]]))
    bottom = float(rng.uniform(60, 100))
    return PlumbLine(x, head + 75.0, bottom, plain(colour), z_mm=4.0, thickness_mm=float(rng.uniform(1.4, 2.2)))
