"""Things to put on a wall or on the floor: name -> (maker, size in mm, range of heights of their foot above the floor)."""

from __future__ import annotations

from collections.abc import Callable

import cv2
import numpy as np

from .eleventh_grain import Surface, bitmap
from .eleventh_papers import floral, stripes

from studio.shapes import Builder  # isort: skip
from studio.surfaces import lacquer, metal, plain  # isort: skip
import itertools

Maker = Callable[[Builder, np.ndarray, np.ndarray, np.random.Generator], None]


def _rgb(rng: np.random.Generator, low: float = 0.04, high: float = 0.75) -> tuple[float, float, float]:
    mixed = rng.uniform(low, high, 3)
    a, b, c = (float(v) for v in mixed.mean() + (mixed - mixed.mean()) * rng.uniform(0.1, 0.9))
    return a, b, c


def _by(point: np.ndarray, x: float, y: float, z: float) -> np.ndarray:
    """A point moved by so much."""
    return np.asarray(point) + np.array([x, y, z])


def _box(build: Builder, low: np.ndarray, high: np.ndarray, surface: Surface) -> None:
    build.box((float(low[0]), float(low[1]), float(low[2])), (float(high[0]), float(high[1]), float(high[2])), surface)


def _picture(rng: np.random.Generator) -> Surface:
    """Some picture: shapes in a few colours."""
    picture = np.tile(np.array(_rgb(rng, 0.2, 0.8), np.float32), (300, 300, 1))
    for _ in range(12):
        centre = tuple(int(v) for v in rng.integers(0, 300, 2))
        if rng.random() < 0.5:
            cv2.circle(picture, centre, int(rng.integers(10, 90)), _rgb(rng), -1, cv2.LINE_AA)
        else:
            other = tuple(int(v) for v in rng.integers(0, 300, 2))
            cv2.line(picture, centre, other, _rgb(rng), int(rng.integers(2, 30)), cv2.LINE_AA)
    return Surface({"type": "diffuse", "reflectance": bitmap(picture, "clamp")})


def _notice_face(rng: np.random.Generator, paper: tuple[float, float, float]) -> Surface:
    picture = np.tile(np.array(paper, np.float32), (400, 300, 1))
    for y in range(50, 360, 22):
        cv2.line(picture, (30, y), (int(rng.integers(150, 275)), y), (0.1, 0.1, 0.12), 3 if y > 60 else 9)
    return Surface({"type": "diffuse", "reflectance": bitmap(picture[::-1], "clamp")})


def _sheetlike(build: Builder, low: np.ndarray, high: np.ndarray, front: Surface) -> None:
    z = float(high[2])
    corners = np.array([[low[0], low[1], z], [high[0], low[1], z], [high[0], high[1], z], [low[0], high[1], z]])
    build.quad(corners, front, np.array([[0, 0], [1, 0], [1, 1], [0, 1]]) * np.array(front.repeat_mm))


def framed(build: Builder, low: np.ndarray, high: np.ndarray, rng: np.random.Generator) -> None:
    """A picture in a frame, with or without a mount."""
    wood = (0.05, 0.05, 0.05) if rng.random() < 0.4 else (0.42, 0.28, 0.15)
    _box(build, low, high, lacquer(wood, 0.25))
    rim = np.array([22.0, 22.0, 0.0])
    inner_low, inner_high = low + rim, high - rim
    inner_high[2] = high[2] + 0.5
    _sheetlike(build, inner_low, inner_high, plain((0.8, 0.8, 0.78)))
    rim = np.array([58.0, 66.0, -0.4])
    _sheetlike(build, low + rim, high - rim + [0, 0, 0.3], _picture(rng))


def mirror(build: Builder, low: np.ndarray, high: np.ndarray, rng: np.random.Generator) -> None:
    """A frameless mirror, a little dull."""
    _box(build, low, high, metal((0.85, 0.86, 0.86), float(rng.uniform(0.01, 0.03))))


def poster(build: Builder, low: np.ndarray, high: np.ndarray, rng: np.random.Generator) -> None:
    """An unframed print."""
    _sheetlike(build, low, high, _picture(rng))


def notice(build: Builder, low: np.ndarray, high: np.ndarray, rng: np.random.Generator) -> None:
    """House rules or a work slip on coloured paper."""
    _sheetlike(build, low, high, _notice_face(rng, ((0.8, 0.8, 0.78), (0.8, 0.76, 0.3), (0.78, 0.5, 0.5))[int(rng.integers(3))]))


def stickies(build: Builder, low: np.ndarray, high: np.ndarray, rng: np.random.Generator) -> None:
    """Two or three sticky notes."""
    for k in range(int(rng.integers(1, 4))):
        at = _by(low, k * 85 + rng.uniform(-4, 4), rng.uniform(0, 40), 0)
        _sheetlike(build, at, _by(at, 76, 76, 0.6), _notice_face(rng, ((0.8, 0.72, 0.2), (0.75, 0.35, 0.5), (0.4, 0.7, 0.75))[k]))


def switch(build: Builder, low: np.ndarray, high: np.ndarray, rng: np.random.Generator) -> None:
    """A switch or two."""
    white = lacquer((0.78, 0.78, 0.76), 0.15)
    _box(build, low, high, white)
    _box(build, _by(low, 14, 14, 8), _by(high, -14, -14, 3), lacquer((0.7, 0.7, 0.69), 0.15))


def roll(build: Builder, low: np.ndarray, high: np.ndarray, rng: np.random.Generator) -> None:
    """A paper roll on its holder, with an end hanging down."""
    y, z = float(high[1]) - 60, float(low[2]) + 70
    build.rod((float(low[0]), y, z), (float(high[0]), y, z), 55, plain((0.82, 0.82, 0.8)))
    for x in (low[0], high[0]):
        build.disc((float(x), y, z), np.array([1.0, 0, 0]), 55, plain((0.8, 0.8, 0.78)))
    _sheetlike(build, np.array([low[0] + 2, low[1], z]), np.array([high[0] - 2, y, z + 55]), plain((0.82, 0.82, 0.8)))


def radiator(build: Builder, low: np.ndarray, high: np.ndarray, rng: np.random.Generator) -> None:
    """A ribbed radiator."""
    white = lacquer((0.78, 0.78, 0.77), 0.2)
    _box(build, _by(low, 0, 0, 35), high - [0, 0, 30], white)
    for x in np.arange(low[0] + 20, high[0] - 15, 42):
        build.rod(
            (float(x), float(low[1]) + 15, float(high[2]) - 26), (float(x), float(high[1]) - 15, float(high[2]) - 26), 16, white
        )


def towel_rail(build: Builder, low: np.ndarray, high: np.ndarray, rng: np.random.Generator) -> None:
    """A heated rail with a towel over some of its rungs."""
    chrome = metal() if rng.random() < 0.6 else lacquer((0.05, 0.05, 0.05), 0.3)
    z = float(low[2]) + 60
    for x in (low[0] + 15, high[0] - 15):
        build.rod((float(x), float(low[1]), z), (float(x), float(high[1]), z), 14, chrome)
    for y in np.arange(low[1] + 30, high[1], 75):
        build.rod((float(low[0]) + 15, float(y), z), (float(high[0]) - 15, float(y), z), 10, chrome)
    if rng.random() < 0.7:
        cloth = (stripes if rng.random() < 0.4 else lambda r: plain(_rgb(r)))(rng)
        foot, top = np.array([low[0] + 50, low[1] + 120, z - 10]), np.array([high[0] - 50, high[1] - 60, z + 40])
        drape(build, foot, top, rng, cloth=cloth)


def robe(build: Builder, low: np.ndarray, high: np.ndarray, rng: np.random.Generator) -> None:
    """A robe or coat on a hook."""
    middle = float(low[0] + high[0]) / 2
    build.capped_rod((middle, float(high[1]) - 20, float(low[2])), (middle, float(high[1]) - 20, float(low[2]) + 45), 8, metal())
    drape(build, _by(low, 0, 0, 8), high - [0, 25, 0], rng, cloth=plain(_rgb(rng)), narrow=0.25)


def drape(
    build: Builder, low: np.ndarray, high: np.ndarray, rng: np.random.Generator, *, cloth: Surface, narrow: float = 1.0
) -> None:
    """Hanging cloth with folds, at its top of a share of its width."""
    u, rows = np.linspace(-1, 1, 61), np.linspace(0, 1, 25)
    phase, folds = rng.uniform(0, 6, 2), rng.uniform(5, 11)
    depth, middle, half = float(high[2] - low[2]), (low[0] + high[0]) / 2, (high[0] - low[0]) / 2
    lines = []
    for r in rows:
        share = narrow + (1 - narrow) * min(1.0, (3.2 * r) ** 0.7)
        wave = 0.5 + 0.28 * np.sin(folds * u + phase[0]) * (0.4 + 0.6 * r) + 0.15 * np.sin(2.3 * folds * u + phase[1])
        y = np.full_like(u, high[1] - r * (high[1] - low[1])) + 8 * np.sin(3 * u) * r
        lines.append(np.column_stack([middle + u * half * share, y, low[2] + depth * np.clip(wave, 0, 1)]))
    for k, (a, b) in enumerate(itertools.pairwise(lines)):
        uv = [np.column_stack([u * half, np.full_like(u, -r * (high[1] - low[1]))]) for r in rows[k : k + 2]]
        build.strip(a, b, uv[0], uv[1], cloth)


def shelf(build: Builder, low: np.ndarray, high: np.ndarray, rng: np.random.Generator) -> None:
    """A board with books or jars."""
    _box(build, low, np.array([high[0], low[1] + 20, high[2]]), lacquer((0.5, 0.36, 0.2), 0.3))
    x = float(low[0]) + 10
    while x < high[0] - 50:
        wide = float(rng.uniform(18, 45))
        tall = float(rng.uniform(120, 230))
        if rng.random() < 0.75:
            _box(
                build,
                np.array([x, low[1] + 20, low[2] + 10]),
                np.array([x + wide, low[1] + 20 + tall, high[2] - 20]),
                plain(_rgb(rng)),
            )
        x += wide + 2


def plant(build: Builder, low: np.ndarray, high: np.ndarray, rng: np.random.Generator) -> None:
    """A big-leaved plant in a pot."""
    x, _, z = ((low + high) / 2).tolist()
    foot = float(low[1])
    build.capped_rod((x, foot, z), (x, foot + 220, z), 105, lacquer(_rgb(rng, 0.1, 0.7), 0.4))
    green = [lacquer((0.04, 0.16 + 0.05 * k, 0.04), 0.35) for k in range(3)]
    reach = float(high[0] - low[0]) / 2 - 75
    for k in range(30):
        angle = rng.uniform(0, 2 * np.pi)
        out, up = reach * np.sqrt(rng.random()), rng.uniform(260, float(high[1]) - foot - 80)
        tip = (x + out * float(np.cos(angle)), foot + float(up), z + out * float(np.sin(angle)))
        build.disc(tip, _by(rng.normal(0, 1, 3), 0, 1, 0.5), float(rng.uniform(38, 72)), green[k % 3])
        build.rod((x, foot + 200, z), tip, 2.5, green[0])


def basket(build: Builder, low: np.ndarray, high: np.ndarray, rng: np.random.Generator) -> None:
    """A laundry basket or bucket."""
    x, _, z = ((low + high) / 2).tolist()
    radius = float(high[0] - low[0]) / 2
    build.rod((x, float(low[1]), z), (x, float(high[1]), z), radius, stripes(rng) if rng.random() < 0.4 else plain(_rgb(rng)))
    build.disc((x, float(high[1]) - 30, z), np.array([0, 1.0, 0]), radius, floral(rng))


def stool(build: Builder, low: np.ndarray, high: np.ndarray, rng: np.random.Generator) -> None:
    """A stool with four legs."""
    wood = lacquer((0.45, 0.30, 0.16), 0.3)
    _box(build, np.array([low[0], high[1] - 30, low[2]]), high, wood)
    for x in (low[0] + 20, high[0] - 20):
        for z in (low[2] + 20, high[2] - 20):
            build.rod((float(x), float(low[1]), float(z)), (float(x), float(high[1]) - 30, float(z)), 15, wood)


def carton(build: Builder, low: np.ndarray, high: np.ndarray, rng: np.random.Generator) -> None:
    """A cardboard box with tape over its lid."""
    _box(build, low, high, plain((0.42, 0.29, 0.17)))
    middle = float(low[0] + high[0]) / 2
    _box(
        build,
        np.array([middle - 25, high[1] - 90, high[2]]),
        np.array([middle + 25, high[1] + 0.5, high[2] + 0.5]),
        lacquer((0.6, 0.5, 0.3)),
    )


def mat(build: Builder, low: np.ndarray, high: np.ndarray, rng: np.random.Generator) -> None:
    """A bath mat."""
    _box(build, low, high, floral(rng) if rng.random() < 0.3 else plain(_rgb(rng)))


def steps(build: Builder, low: np.ndarray, high: np.ndarray, rng: np.random.Generator) -> None:
    """A step ladder, seen from the front."""
    bare = metal((0.7, 0.7, 0.7), 0.35)
    top = float(high[1])
    for x, way in ((float(low[0]) + 15, 1), (float(high[0]) - 15, -1)):
        build.rod((x, float(low[1]), float(high[2])), (x + way * 55, top, float(low[2]) + 60), 15, bare)
        build.rod((x, float(low[1]), float(low[2])), (x + way * 55, top, float(low[2]) + 60), 12, bare)
    for k in range(1, 5):
        y, z = float(low[1]) + k * (top - low[1]) / 5, float(high[2]) - k * (high[2] - low[2] - 60) / 5
        inset = 15 + 11 * k
        _box(build, np.array([low[0] + inset, y, z - 70]), np.array([high[0] - inset, y + 22, z]), bare)


def trestle(build: Builder, low: np.ndarray, high: np.ndarray, rng: np.random.Generator) -> None:
    """Lengths of timber and a board that lean against the wall."""
    wood = plain((0.55, 0.42, 0.26))
    for k in range(3):
        x = float(low[0]) + 20 + 60 * k
        _box(build, np.array([x, low[1], low[2] + 12 * k]), np.array([x + 45, high[1] - 130 * k, low[2] + 24 + 12 * k]), wood)


WALL: dict[str, tuple[Maker, tuple[float, float, float], tuple[float, float]]] = {
    "framed": (framed, (320, 420, 18), (1250, 1600)), "small frame": (framed, (230, 280, 14), (1200, 1700)),
    "mirror": (mirror, (420, 620, 5), (1050, 1350)), "poster": (poster, (400, 560, 0.6), (1050, 1500)),
    "leaflet": (notice, (148, 210, 0.6), (1100, 1650)), "calendar": (notice, (300, 420, 2.5), (1200, 1550)),
    "notes": (stickies, (260, 120, 0.6), (1100, 1600)), "switch": (switch, (82, 82, 9), (1000, 1150)),
    "two switches": (switch, (152, 82, 9), (1000, 1150)), "socket": (switch, (84, 84, 10), (280, 330)),
    "roll": (roll, (104, 190, 130), (600, 750)), "radiator": (radiator, (560, 580, 105), (110, 160)),
    "towel rail": (towel_rail, (480, 1000, 110), (400, 800)), "robe": (robe, (360, 1050, 130), (700, 850)),
    "hook with towel": (robe, (240, 620, 90), (850, 1000)), "shelf": (shelf, (520, 260, 170), (1300, 1650)),
}  # fmt: skip
FLOOR: dict[str, tuple[Maker, tuple[float, float, float], tuple[float, float]]] = {
    "plant": (plant, (520, 900, 520), (0, 0)), "basket": (basket, (380, 520, 380), (0, 0)),
    "bucket": (basket, (270, 260, 270), (0, 0)),
    "stool": (stool, (330, 430, 300), (0, 0)), "carton": (carton, (420, 320, 340), (0, 0)), "mat": (mat, (760, 14, 480), (0, 0)),
    "steps": (steps, (420, 1000, 520), (0, 0)), "timber": (trestle, (200, 1500, 60), (0, 0)),
}  # fmt: skip
