"""What stands and hangs about in the eighth rooms: clutter before the wall, fittings and things seen through the opening."""

from __future__ import annotations

import numpy as np

from tests.benchmarks.scenes.eighth_light import COOL, glow, pane
from tests.benchmarks.scenes.eighth_looks import RGB, coated, plain_matt, shiny, timber
from tests.benchmarks.scenes.eighth_walls import House

from studio.shapes import Builder  # isort: skip  # on the path since eighth_looks
import itertools

CLOTH: tuple[RGB, ...] = ((0.6, 0.58, 0.52), (0.12, 0.2, 0.36), (0.45, 0.14, 0.12), (0.2, 0.3, 0.22), (0.68, 0.55, 0.3))
CHROME = (0.78, 0.79, 0.8)


def cloth(build: Builder, centre: tuple[float, float, float], size: tuple[float, float], rng: np.random.Generator) -> None:
    """A towel or robe that hangs from a hook or rail at the upper middle of its place."""
    (x, top, z), (width, length) = centre, size
    u = np.linspace(-0.5, 0.5, 61)
    folds, phase = rng.uniform(2.5, 4.5), rng.uniform(0, 6)
    skin = plain_matt(CLOTH[rng.integers(len(CLOTH))])
    lines = []
    for drop in np.linspace(0, 1, 30):
        spread = width * (0.55 + 0.45 * min(1.0, 2.5 * drop))
        depth = z + 16 + 14 * (0.3 + drop) * np.sin(2 * np.pi * folds * u + phase + 0.8 * drop)
        sag = 22 * (1 - drop) * (2 * u) ** 2
        lines.append(np.column_stack([x + spread * u, top - drop * length - sag, depth]))
    for a, b in itertools.pairwise(lines):
        build.strip(a, b, a[:, :2], b[:, :2], skin)
    build.capped_rod((x, top + 4, z - 4), (x, top + 4, z + 40), 6, shiny(CHROME, 0.15))


def bottles(build: Builder, x: float, y: float, z: float, rng: np.random.Generator) -> None:
    """One to three of them in a row."""
    for k in range(int(rng.integers(1, 4))):
        tall, r = float(rng.uniform(110, 220)), float(rng.uniform(22, 34))
        at = x + 82 * k + float(rng.uniform(-6, 6))
        colour = tuple(float(c) for c in rng.uniform(0.06, 0.75, 3))
        build.capped_rod((at, y, z), (at, y + tall, z), r, coated(colour, 0.15))  # type: ignore[arg-type]
        build.capped_rod((at, y + tall, z), (at, y + tall + 30, z), 0.5 * r, coated((0.75, 0.75, 0.73), 0.2))


def clutter(build: Builder, house: House, taken: list[float], rng: np.random.Generator) -> list[str]:
    """Two or three things in front of the wall; taken are x of the references that hang there."""
    left = bool(rng.random() < 0.5)
    edge = float(house.opening.corners[0 if left else 1][0])
    outer = house.far[0] if left else house.far[1]
    way = -1 if left else 1
    named = []
    floor = house.floor_y
    picks = rng.permutation(["bin", "stool", "mat", "basket", "towel", "switch", "bucket", "ladder"])[: int(rng.integers(2, 5))]
    for name in picks:
        x = edge + way * float(rng.uniform(0.45, 0.8)) * abs(outer - edge)
        z = float(rng.uniform(190, 420))
        if name == "bin":
            build.rod((x, floor, z), (x, floor + 260, z), 95, shiny((0.6, 0.6, 0.6), 0.3))
            build.disc((x, floor + 245, z), np.array([0, 1.0, 0]), 94, plain_matt((0.04, 0.04, 0.04)))
        elif name == "stool":
            _stool(build, edge + way * 300, floor, 600.0, rng)
        elif name == "mat":
            middle, skin = house.opening.width_mm / 2, plain_matt(CLOTH[rng.integers(len(CLOTH))])
            build.box((middle - 330, floor, 150), (middle + 330, floor + 12, 560), skin)
        elif name == "basket":
            build.rod((x, floor, z + 60), (x, floor + 330, z + 60), 150, timber(rng, (0.5, 0.36, 0.2), 0.0, False).surface)
            build.ball((x, floor + 320, z + 60), 128, plain_matt(CLOTH[rng.integers(len(CLOTH))]))
        elif name == "bucket":
            build.rod((x, floor, z), (x, floor + 230, z), 120, coated((0.1, 0.1, 0.11), 0.3))
        elif name == "towel":
            free = [t for t in (outer - way * 200, edge + way * 420) if all(abs(t - c) > 300 for c in taken)]
            if not free or abs(free[0] - edge) < 260:
                continue
            cloth(build, (free[0], floor + 1550, 2.0), (260, float(rng.uniform(500, 750))), rng)
        elif name == "switch":
            at = (outer - way * 130, floor + 1080)
            build.box((at[0] - 41, at[1] - 41, 0), (at[0] + 41, at[1] + 41, 9), coated((0.78, 0.78, 0.76), 0.2))
            build.box((at[0] - 20, at[1] - 30, 9), (at[0] + 20, at[1] + 30, 13), coated((0.76, 0.76, 0.74), 0.2))
        elif name == "ladder":
            wood = timber(rng, (0.55, 0.4, 0.24), 0.0, False).surface
            foot = outer - way * 230
            for side in (-170, 170):
                build.rod((foot + side, floor, 420), (foot + 0.8 * side, floor + 1500, 30), 17, wood)
            for step in range(1, 5):
                build.rod(
                    (foot - 165, floor + 300 * step, 420 - 78 * step), (foot + 165, floor + 300 * step, 420 - 78 * step), 13, wood
                )
        named.append(str(name))
    return named


def _pane(build: Builder, centre: tuple[float, float, float], size: tuple[float, float], bright: float) -> None:
    """A frosted window in the wall behind."""
    lit = pane(centre, (0.0, 0.0, 1.0), size, glow(COOL, bright))
    lit["emitter"]["sampling_weight"] = 0.6
    build.add(lit)


def _stool(build: Builder, x: float, floor: float, z: float, rng: np.random.Generator) -> None:
    wood = timber(rng, None, 0.0, False).surface
    build.box((x - 150, floor + 430, z - 130), (x + 150, floor + 455, z + 130), wood)
    for sx in (-1, 1):
        for sz in (-1, 1):
            build.rod((x + sx * 125, floor + 435, z + sz * 105), (x + sx * 145, floor, z + sz * 125), 15, wood)


def within(build: Builder, house: House, rng: np.random.Generator) -> list[str]:
    """What is seen through the opening."""
    if house.kind in ("shower", "tub"):
        return _bath(build, house, rng)
    if house.kind == "doorway":
        return _next_room(build, house, rng)
    opening, z = house.opening, -house.thick_mm
    if house.kind == "window":
        bottles(build, rng.uniform(0.15, 0.6) * opening.width_mm, 3.0 + 0.5 * abs(opening.curb_level), 0.55 * z, rng)
        x = opening.width_mm / 2
        build.capped_rod((x, 0.45 * opening.height_mm, z), (x, 0.45 * opening.height_mm, z + 30), 9, shiny(CHROME, 0.2))
        return ["bottles on the sill", "casement"]
    if house.kind == "recess":
        y = opening.height_mm * float(rng.uniform(0.45, 0.6))
        wood = timber(rng, None, 0.0, None).surface
        build.box((-30, y, z + 2), (opening.width_mm + 30, y + 18, -35), wood)
        bottles(build, rng.uniform(0.15, 0.5) * opening.width_mm, y + 18, 0.62 * z, rng)
        bottles(build, rng.uniform(0.2, 0.6) * opening.width_mm, 5.0, 0.62 * z, rng)
        return ["shelf", "bottles"]
    _mirrored(build, house, rng)
    return ["mirror"]


def _bath(build: Builder, house: House, rng: np.random.Generator) -> list[str]:
    opening, chrome, deep = house.opening, shiny(CHROME, 0.08), -house.depth_mm
    width, named = opening.width_mm, ["valve", "shower head"]
    x = width * float(rng.uniform(0.3, 0.7))
    high = (1.0 if house.kind == "shower" else 0.62) * 1000
    build.capped_rod((x, high, deep), (x, high, deep + 12), 78, chrome)
    build.capped_rod((x, high, deep), (x, high, deep + 60), 25, chrome)
    build.rod((x, high, deep + 52), (x + 50, high - 55, deep + 60), 8, chrome)
    rail = x + float(rng.uniform(110, 200)) * (1 if x < width / 2 else -1)
    top = opening.height_mm - float(rng.uniform(60, 200))
    build.rod((rail, top - 750, deep + 45), (rail, top, deep + 45), 10, chrome)
    build.rod((rail, top - 60, deep + 45), (rail + 15, top - 20, deep + 120), 14, chrome)
    build.capped_rod((rail + 15, top - 20, deep + 115), (rail + 20, top - 45, deep + 135), 52, coated((0.7, 0.71, 0.72), 0.15))
    for end in (top - 750, top):
        build.capped_rod((rail, end, deep), (rail, end, deep + 55), 13, chrome)
    more = str(rng.choice(["shelf", "window", "robe", "niche shelf"]))
    aside = 0.16 * width if x > width / 2 else 0.84 * width
    if more == "window":
        build.box((aside - 190, 1150, deep), (aside + 190, 1150 + 480, deep + 14), coated((0.78, 0.78, 0.77), 0.2))
        _pane(build, (aside, 1390, deep + 16), (300, 400), float(rng.uniform(0.8, 2.0)))
    elif more == "robe":
        cloth(build, (aside, 0.8 * opening.height_mm, deep + 6), (300, 0.42 * opening.height_mm), rng)
    else:
        build.box((aside - 150, 760, deep), (aside + 150, 772, deep + 110), coated((0.5, 0.52, 0.53), 0.1))
        bottles(build, aside - 90, 772, deep + 60, rng)
    if rng.random() < 0.4:
        rise = max(0.0, opening.curb_level * width / 1000) + 0.5
        bottles(build, float(rng.uniform(0.15, 0.6)) * width, rise, -0.62 * house.sill.depth_mm, rng)
        named.append("bottles on the curb")
    return [*named, more]


def _next_room(build: Builder, house: House, rng: np.random.Generator) -> list[str]:
    floor, z, width = house.floor_y, -house.depth_mm, house.opening.width_mm
    body = timber(rng, None, 0.0, None).surface
    x = float(rng.uniform(-0.3, 0.5)) * width
    build.box((x, floor, z), (x + 700, floor + 780, z + 420), body)
    build.box((x - 15, floor + 780, z), (x + 715, floor + 804, z + 435), timber(rng, None, 0.0, False).surface)
    bottles(build, x + 120, floor + 804, z + 200, rng)
    at = float(rng.uniform(0.2, 0.8)) * width
    if rng.random() < 0.5:
        build.box((at - 330, floor + 1150, z), (at + 330, floor + 1950, z + 30), coated((0.78, 0.78, 0.77), 0.2))
        _pane(build, (at, floor + 1550, z + 33), (560, 700), float(rng.uniform(1.0, 3.0)))
        return ["cabinet", "window"]
    cloth(build, (at, floor + 1800, z + 8), (340, 950), rng)
    return ["cabinet", "robe"]


def _mirrored(build: Builder, house: House, rng: np.random.Generator) -> None:
    """Things on the wall behind the camera, for the mirror to show."""
    z, floor, middle = house.length_mm, house.floor_y, house.opening.width_mm / 2
    door = coated((0.66, 0.64, 0.58), 0.3)
    x = middle + float(rng.uniform(-500, 300))
    build.box((x - 420, floor, z - 40), (x + 420, floor + 2040, z - 4), door)
    build.box((x - 470, floor, z - 20), (x + 470, floor + 2100, z - 3), coated((0.75, 0.75, 0.73), 0.3))
    build.ball((x + 350, floor + 1000, z - 70), 28, shiny(CHROME, 0.2))
