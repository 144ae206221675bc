"""What stands, hangs and leans about in the second family's rooms."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from functools import partial

import numpy as np
from other_build import World
from other_cards import landscape
from other_finish import WOODS, hue
from other_materials import Rng
from room_things import Thing, hides
from studio import things
from studio.opening import Opening
from studio.shapes import Builder
from studio.surfaces import Surface, lacquer, metal, paint, plain, printed
from studio.things import Card

Triple = tuple[float, float, float]
CHANCE = 0.6


def clutter(rng: Rng, of: Opening, world: World, eye: np.ndarray, cards: tuple[Card, ...]) -> list[Thing]:
    """What is behind the opening, and of the things before it those that hide no edge and no card and do not meet."""
    found = _behind(rng, of, world)
    for make in rng.permutation(np.array(BEFORE, dtype=object)):
        thing = make(rng, of, world)
        if rng.random() < CHANCE and not hides(thing, of, eye, cards) and not any(_meet(thing, other) for other in found):
            found.append(thing)
    return found


def _meet(a: Thing, b: Thing) -> bool:
    return all(p < r + 15 and q > s - 15 for p, r, q, s in zip(a.low, b.high, a.high, b.low, strict=True))


def _box(word: str, low: Triple, high: Triple, surface: Surface) -> Thing:
    return Thing(word, low, high, lambda build: build.box(low, high, surface))


def _far(of: Opening, world: World, right: bool, share: float, wide: float) -> float:
    """Middle of a thing beside the opening: share 0 is near the opening, 1 at the side wall."""
    edge, wall = (of.width_mm, of.width_mm + world.beyond_right_mm) if right else (0.0, -world.beyond_left_mm)
    way = 1 if right else -1
    near, far = edge + way * (60 + wide / 2), wall - way * (25 + wide / 2)
    return float(near + share * (far - near))


def beam(build: Builder, ends: np.ndarray, wide: float, deep: float, surface: Surface) -> None:
    """A straight bar with a rectangular section between two points of the same x-y plane direction; deep along z."""
    along = (ends[1] - ends[0]) / np.linalg.norm(ends[1] - ends[0])
    across = np.cross([0.0, 0.0, 1.0], along)
    across /= np.linalg.norm(across)
    out = np.cross(along, across)
    ring = [sx * across * wide / 2 + sz * out * deep / 2 for sx, sz in ((-1, -1), (1, -1), (1, 1), (-1, 1))]
    for a, b in itertools.pairwise([*ring, ring[0]]):
        build.quad(np.array([ends[0] + a, ends[0] + b, ends[1] + b, ends[1] + a]), surface)
    for end in ends:
        build.quad(np.array([end + r for r in ring]), surface)


def _level(rng: Rng, of: Opening, world: World) -> Thing:
    """A spirit level that leans on the wall face."""
    long = float(rng.choice([600.0, 1000.0, 1200.0]))
    x = _far(of, world, bool(rng.random() < 0.5), float(rng.uniform(0.2, 0.9)), 150.0)
    tip = np.array([x + rng.uniform(-60, 60), -world.curb_height_mm + long * 0.985, 14.0])
    foot = np.array([x, -world.curb_height_mm + 2.0, 14.0 + 0.16 * long])
    glass = lacquer((0.5, 0.75, 0.1), 0.1)
    body = metal((0.7, 0.7, 0.72), 0.3) if rng.random() < 0.5 else lacquer(hue(rng), 0.25)

    def make(build: Builder) -> None:
        beam(build, np.array([foot, tip]), 58.0, 24.0, body)
        middle, step = (foot + tip) / 2, 0.03 * (tip - foot)
        beam(build, np.array([middle - step, middle + step]) + np.array([0, 0, 3.0]), 30.0, 24.0, glass)

    return Thing("level on the wall", (min(x, tip[0]) - 40, foot[1], 0.0), (max(x, tip[0]) + 40, tip[1] + 20, foot[2] + 20), make)


def _radiator(rng: Rng, of: Opening, world: World) -> Thing:
    """Ribbed, under a window or beside the opening."""
    wide, tall = float(rng.uniform(380, 620)), float(rng.uniform(420, 600))
    low = -world.curb_height_mm + 130
    x = of.width_mm / 2 if world.kind == "window" else _far(of, world, bool(rng.random() < 0.5), 0.9, wide)
    coat, count = lacquer((0.76, 0.76, 0.74), 0.25), round(wide / 55)

    def make(build: Builder) -> None:
        for n in range(count):
            a = x - wide / 2 + n * wide / count
            build.box((a + 4, low, 45.0), (a + wide / count - 4, low + tall, 115.0), coat)
        build.box((x - wide / 2, low + 30, 60.0), (x + wide / 2, low + 60, 95.0), coat)
        build.box((x - wide / 2, low + tall - 60, 60.0), (x + wide / 2, low + tall - 30, 95.0), coat)

    return Thing("radiator", (x - wide / 2, low, 0.0), (x + wide / 2, low + tall, 115.0), make)


def _towel(rng: Rng, of: Opening, world: World) -> Thing:
    wide, long = float(rng.uniform(300, 460)), float(rng.uniform(450, 800))
    top = float(rng.uniform(1150, 1400)) - world.curb_height_mm
    x, cloth = _far(of, world, bool(rng.random() < 0.5), 1.0, wide + 110), paint(hue(rng), rng, 0.08)
    make = partial(things.towel, x=x, top=top, size=(wide, long), surface=cloth, folds=float(rng.uniform(2.5, 6)))
    return Thing(
        "towel rail", (x - wide / 2 - 60, top - long, 0.0), (x + wide / 2 + 60, top + 15, 95.0), lambda build: make(build)
    )


def _bucket(rng: Rng, of: Opening, world: World) -> Thing:
    """Wider at the rim than at the foot."""
    x = _far(of, world, bool(rng.random() < 0.5), float(rng.uniform(0.3, 0.9)), 300.0)
    z, low = float(rng.uniform(200, 420)), -world.curb_height_mm
    coat, tall = lacquer(hue(rng), 0.25), float(rng.uniform(240, 300))

    def make(build: Builder) -> None:
        turn, levels = np.linspace(0, 2 * np.pi, 49), ((105, low), (140, low + tall))
        rings = [np.column_stack([x + r * np.cos(turn), np.full(49, y), z + r * np.sin(turn)]) for r, y in levels]
        uv = np.zeros((49, 2))
        build.strip(rings[0], rings[1], uv, uv, coat)
        build.disc((x, low + 0.7 * tall, z), np.array([0.0, 1.0, 0.0]), 128, lacquer((0.3, 0.33, 0.33), 0.05))
        arc = np.radians(np.linspace(0, 180, 13))
        handle = np.column_stack([x + 140 * np.cos(arc), low + tall - 25 + 60 * np.sin(arc), z + 60 * np.sin(arc)])
        for a, b in itertools.pairwise(handle):
            build.rod(tuple(a), tuple(b), 3.5, metal(roughness=0.3))

    return Thing("bucket", (x - 145, low, z - 145), (x + 145, low + tall + 40, z + 145), make)


def _mat(rng: Rng, of: Opening, world: World) -> Thing:
    """A striped mat at the foot of the opening."""
    low, wide, z = -world.curb_height_mm, min(700.0, 0.75 * of.width_mm), float(rng.uniform(330, 520))
    x, first, second = of.width_mm * float(rng.uniform(0.4, 0.6)), plain(hue(rng)), plain(hue(rng))

    def make(build: Builder) -> None:
        for n in range(9):
            a = x - wide / 2 + n * wide / 9
            build.box((a, low, z - 200), (a + wide / 9, low + 9, z + 200), (first, second)[n % 2])

    word = "door mat" if world.kind == "door" else "bath mat"
    return Thing(word, (x - wide / 2, low, z - 200), (x + wide / 2, low + 9, z + 200), make)


def _switch(rng: Rng, of: Opening, world: World) -> Thing:
    """A white switch plate, about as large as a bank card is long."""
    right = bool(rng.random() < 0.5)
    x, y = _far(of, world, right, float(rng.uniform(0.1, 0.5)), 90.0), float(rng.uniform(950, 1250)) - world.curb_height_mm
    plate, coat = 41.0, lacquer((0.75, 0.75, 0.72), 0.2)

    def make(build: Builder) -> None:
        build.box((x - plate, y - plate, 0.0), (x + plate, y + plate, 8.0), coat)
        build.box((x - 28, y - 28, 8.0), (x + 28, y + 28, 11.0), coat)

    return Thing("switch", (x - plate, y - plate, 0.0), (x + plate, y + plate, 11.0), make)


def _picture(rng: Rng, of: Opening, world: World) -> Thing:
    """A small framed picture, a rectangle on the wall that is no card."""
    w, h = float(rng.uniform(75, 140)), float(rng.uniform(90, 160))
    x = _far(of, world, bool(rng.random() < 0.5), float(rng.uniform(0.4, 0.8)), 2 * w)
    y = float(rng.uniform(1450, 1650)) - world.curb_height_mm
    frame, drawn = lacquer(WOODS[rng.integers(len(WOODS))], 0.3), printed(landscape(rng, 300, round(300 * w / h)))

    def make(build: Builder) -> None:
        build.box((x - w, y - h, 0.0), (x + w, y + h, 16.0), frame)
        unit = np.array([[0, 0], [1, 0], [1, 1], [0, 1]])
        front = np.array([x, y]) + (2 * unit - 1) * [w - 18, h - 18]
        build.quad(np.column_stack([front, np.full(4, 16.4)]), drawn, unit * np.array(drawn.repeat_mm))

    return Thing("picture", (x - w, y - h, 0.0), (x + w, y + h, 17.0), make)


BEFORE: tuple[Callable[[Rng, Opening, World], Thing], ...] = (_level, _radiator, _towel, _bucket, _mat, _switch, _picture)


def _behind(rng: Rng, of: Opening, world: World) -> list[Thing]:
    """Rail, hand shower and hose, soap dish and shelf in a shower or over a tub; a jar on a window's ledge."""
    if world.kind == "door":
        return []
    if world.kind == "window":
        x, z = float(rng.uniform(0.2, 0.8)) * of.width_mm, -world.reveal_mm * 0.55
        y = float(np.interp(x, of.corners[:2, 0], of.corners[:2, 1]))
        jar = lacquer(hue(rng), 0.1)
        return [Thing("jar", (x, y, z), (x, y, z), lambda build: build.capped_rod((x, y, z), (x, y + 130, z), 38, jar))]
    back, right = -world.alcove_depth_mm, bool(rng.random() < 0.5)
    x, top = of.width_mm - 160 if right else 160.0, of.height_mm - float(rng.uniform(180, 420))
    chrome, dish = metal(), lacquer((0.7, 0.7, 0.66), 0.15)

    def rail(build: Builder) -> None:
        z = back + 55
        build.capped_rod((x, top - 650, z), (x, top, z), 10, chrome)
        build.capped_rod((x, top - 20, z), (x, top - 60, z + 130), 24, chrome)
        build.capped_rod((x, top - 30, z + 90), (x, top - 75, z + 150), 55, dish)
        hang = np.linspace(0, 1, 29)
        y = top - 60 - 1500 * hang * (1 - hang) - 560 * hang
        drop = np.column_stack([x + 110 * np.sin(np.pi * hang), y, np.full(29, z + 60)])
        for a, b in itertools.pairwise(drop):
            build.rod(tuple(a), tuple(b), 7, chrome)

    sx, sy = of.width_mm * float(rng.uniform(0.3, 0.6)), float(rng.uniform(0.45, 0.65)) * of.height_mm
    found = [Thing("hand shower with hose", (x - 60, 0, back), (x + 130, top, back + 210), rail)]
    found.append(_box("soap dish", (sx, sy, back), (sx + 130, sy + 28, back + 90), dish))
    if rng.random() < 0.6:
        y, a = sy + 330, float(rng.uniform(0.15, 0.5)) * of.width_mm
        colours = [hue(rng) for _ in range(3)]
        found.append(_box("shelf", (a, y, back), (a + 330, y + 14, back + 120), lacquer((0.3, 0.32, 0.32), 0.08)))

        def bottles(build: Builder) -> None:
            for n, colour in enumerate(colours):
                things.bottle(build, a + 60 + 95 * n, y + 14, back + 60, colour, 150 + 25 * n)

        found.append(Thing("bottles", (a, y + 14, back), (a + 330, y + 250, back + 120), bottles))
    return found
