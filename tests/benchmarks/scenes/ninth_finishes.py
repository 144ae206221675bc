"""What walls, floors and linings of the ninth rooms are finished with: paint, boards, paper, wood, stone and tiles, drawn."""

from __future__ import annotations

import numpy as np

from sample_images.studio.surfaces import Surface

from .ninth_textures import Tiling, cloud, glossy, matt, shade, tiles

WALL_PAINT = (
    "e9e4da",
    "d9d2c3",
    "c9d2cf",
    "b8c4b4",
    "8fa3a6",
    "d8c2b0",
    "f0efeb",
    "aab2b8",
    "6f7f78",
    "c7a98f",
    "e4dcc4",
    "54626b",
)
TILE_LIGHT = ("f1f0ec", "e6e2d8", "dfe3e2", "d9cfbd", "e8e9e6", "cfd3d0")
TILE_COLOUR = (
    "8aa39b",
    "5f7f8c",
    "b98e6d",
    "4b5a52",
    "9c9a92",
    "7a6f66",
    "2f4858",
    "c9b79c",
    "a4b5a0",
    "3c3d3f",
    "a65f4a",
    "6e8fae",
)
GROUT = ("d8d4cb", "bdb8ad", "8d8a84", "5a5855", "e6e3dc", "a59a8a")
WOOD = ("a9845b", "7a5537", "c7a578", "5a4030", "d9c3a0", "8f6a48")
STONE = ("d5d1c8", "8c8780", "45464a", "bfae98", "e4e2dd", "6d6258")
FORMATS = (
    (100, 100),
    (150, 150),
    (200, 100),
    (75, 150),
    (200, 250),
    (200, 200),
    (300, 300),
    (300, 600),
    (600, 300),
    (65, 200),
    (48, 48),
)


def pick(rng: np.random.Generator, names: tuple) -> object:
    return names[int(rng.integers(len(names)))]


def drawn_tiling(rng: np.random.Generator, light: bool | None = None) -> Tiling:
    """Any wall tile that a guest house would have."""
    light = bool(rng.random() < 0.55) if light is None else light
    width, height = pick(rng, FORMATS)  # type: ignore[misc]
    hexagons = bool(rng.random() < 0.06)
    if hexagons:
        width = height = float(rng.choice([52.0, 100.0]))
    big = width * height > 60000
    brick = width != height and not big
    return Tiling(
        width_mm=width - rng.uniform(0, 3) + 2.0,
        height_mm=height - rng.uniform(0, 3) + 2.0,
        colour=str(pick(rng, TILE_LIGHT if light else TILE_COLOUR)),
        grout=str(pick(rng, GROUT)),
        joint_mm=float(rng.uniform(1.5, 2.5) if big else rng.uniform(1.8, 3.6)),
        bond=float(rng.choice([0.0, 0.5, 1 / 3])) if brick else float(rng.choice([0.0, 0.0, 0.5])),
        hexagons=hexagons,
        gloss=float(rng.choice([0.07, 0.1, 0.16, 0.28, 0.4])),
        uneven=float(rng.choice([0.01, 0.02, 0.04, 0.09])),
        vein=float(rng.uniform(0.08, 0.3)) if big and rng.random() < 0.5 else 0.0,
        speck=float(rng.uniform(0.02, 0.08)) if big and rng.random() < 0.4 else 0.0,
        cloudy=float(rng.uniform(0.01, 0.05)),
        shift_mm=(float(rng.uniform(0, 600)), float(rng.uniform(0, 600))),
    )


def tile_words(kind: Tiling) -> str:
    shape = "six-sided tiles" if kind.hexagons else "tiles"
    return f"{shape} {kind.width_mm:.0f} x {kind.height_mm:.0f}, joint {kind.joint_mm:.1f}, gloss {kind.gloss:g}"


def wall_finish(rng: np.random.Generator, wet: bool) -> tuple[Surface, str]:
    """The face of the wall in which the opening is, and its name."""
    roll = rng.random()
    if roll < (0.5 if wet else 0.12):
        kind = drawn_tiling(rng)
        return tiles(kind, rng), tile_words(kind)
    if roll < (0.84 if wet else 0.6):
        return plaster(rng), "painted plaster"
    if roll < (0.93 if wet else 0.76):
        return boards(rng)
    if wet:
        return stone(rng, 0.3), "stone-look panel"
    return wallpaper(rng)


def plaster(rng: np.random.Generator, code: str | None = None, mottle: float | None = None) -> Surface:
    """Rolled emulsion or distemper, matt or with a faint sheen."""
    shape = (900, 900)
    code = code or str(pick(rng, WALL_PAINT))
    mottle = float(rng.uniform(0.006, 0.025)) if mottle is None else mottle
    field = 0.5 * cloud(rng, shape, 1.2) + 0.6 * cloud(rng, shape, 9) + 0.8 * cloud(rng, shape, (70.0, 50.0))
    picture = np.array(shade(code)) * (1 + mottle * field[..., None])
    if rng.random() < 0.3:
        return glossy(picture, 0.42, (1150.0, 1150.0))
    return matt(picture, (1150.0, 1150.0))


def boards(rng: np.random.Generator, upright: bool = True) -> tuple[Surface, str]:
    """Tongue and groove, painted or oiled; a groove is a dark line with a light and a shaded flank."""
    width, count = float(rng.uniform(70, 140)), 8
    painted = rng.random() < 0.65
    nx, ny = round(count * width * 2), 1600
    x = (np.arange(nx) + 0.5) / 2.0
    base = np.array(shade(str(pick(rng, WALL_PAINT if painted else WOOD))))
    board = (x // width).astype(int)
    tone = 1 + (0.012 if painted else 0.09) * rng.standard_normal(count)
    picture = np.broadcast_to(base * tone[board][None, :, None], (ny, nx, 3)).copy()
    picture *= (1 + (0.008 if painted else 0.1) * cloud(rng, (ny, nx), (160.0, 2.2)))[..., None]
    off = np.mod(x, width)
    groove = np.exp(-((off / 1.6) ** 2)) + np.exp(-(((width - off) / 1.6) ** 2))
    flank = 0.12 * np.exp(-(((off - 4) / 2) ** 2)) - 0.12 * np.exp(-(((width - off - 4) / 2) ** 2))
    picture *= (1 - 0.72 * groove + flank)[None, :, None]
    repeat = (count * width, 1150.0)
    if not upright:
        picture, repeat = np.swapaxes(picture, 0, 1), (repeat[1], repeat[0])
    shift = (float(rng.uniform(0, 500)), float(rng.uniform(0, 500)))
    return glossy(picture, 0.35, repeat, shift), f"{'painted' if painted else 'oiled'} boards {width:.0f} wide"


def wallpaper(rng: np.random.Generator) -> tuple[Surface, str]:
    """Stripes, lozenges or leaves on a pale ground."""
    side, n = float(rng.uniform(220, 420)), 700
    y, x = (np.mgrid[0:n, 0:n] + 0.5) / n
    ground, ink = np.array(shade(str(pick(rng, WALL_PAINT[:7])))), np.array(shade(str(pick(rng, TILE_COLOUR))))
    name = str(pick(rng, ("stripes", "lozenges", "leaves")))
    if name == "stripes":
        k = int(rng.integers(3, 7))
        drawn = np.clip((np.sin(2 * np.pi * k * x) - 0.2) * 8, 0, 1)
    elif name == "lozenges":
        drawn = np.clip((np.abs(np.abs(np.mod(x * 4, 1) - 0.5) + np.abs(np.mod(y * 4, 1) - 0.5) - 0.25) < 0.03) * 1.0, 0, 1)
    else:
        u, v = np.mod(x * 3 + 0.5 * (np.floor(y * 3) % 2), 1) - 0.5, np.mod(y * 3, 1) - 0.5
        drawn = ((np.abs(u + 0.3 * v) < 0.22 * np.cos(np.pi * np.clip(v * 1.3, -0.5, 0.5)) ** 2) & (np.abs(v) < 0.37)) * 1.0
    weight = float(rng.uniform(0.15, 0.55)) * drawn[..., None]
    picture = (ground * (1 - weight) + ink * weight) * (1 + 0.012 * cloud(rng, (n, n), 1.0)[..., None])
    return matt(picture, (side, side), (float(rng.uniform(0, side)), 0.0)), f"wallpaper, {name}"


def wood(rng: np.random.Generator, code: str | None = None, gloss: float = 0.32) -> Surface:
    """Grain along v."""
    shape = (1500, 400)
    rings = cloud(rng, shape, (190.0, 9.0)) + 0.5 * cloud(rng, shape, (90.0, 1.6))
    picture = np.array(shade(code or str(pick(rng, WOOD)))) * (
        1 + 0.1 * rings[..., None] + 0.03 * cloud(rng, shape, 0.8)[..., None]
    )
    return glossy(picture, gloss, (200.0, 1100.0), (float(rng.uniform(0, 200)), float(rng.uniform(0, 900))))


def enamel(code: str, gloss: float = 0.12) -> Surface:
    return glossy(shade(code), gloss)


def stone(rng: np.random.Generator, gloss: float = 0.15) -> Surface:
    """Marble, granite or terrazzo, drawn."""
    shape = (1100, 1100)
    base = np.array(shade(str(pick(rng, STONE))))
    roll = rng.random()
    if roll < 0.4:
        field = cloud(rng, shape, 70) + 0.4 * cloud(rng, shape, 14)
        picture = base * np.clip(1 + 0.05 * cloud(rng, shape, 30) - 0.3 * np.exp(-((field / 0.1) ** 2)), 0.3, 1.5)[..., None]
    elif roll < 0.7:
        picture = base * (1 + 0.14 * cloud(rng, shape, 1.1) + 0.08 * cloud(rng, shape, 4))[..., None]
    else:
        chips = cloud(rng, shape, 4.5) > 0.9
        tint = 1 + 0.3 * np.stack([cloud(rng, shape, 9) for _ in range(3)], axis=-1)
        picture = np.where(chips[..., None], 0.5 * base * tint, base)
    return glossy(picture, gloss, (900.0, 900.0), (float(rng.uniform(0, 900)), float(rng.uniform(0, 900))))


def floor_finish(rng: np.random.Generator) -> Surface:
    if rng.random() < 0.4:
        return boards_floor(rng)
    kind = drawn_tiling(rng, light=False)
    side = float(rng.choice([200.0, 300.0, 450.0]))
    dull = Tiling(side, side, kind.colour, kind.grout, 3.0, gloss=0.3, uneven=0.05, cloudy=0.04, shift_mm=kind.shift_mm)
    return tiles(dull, rng)


def boards_floor(rng: np.random.Generator) -> Surface:
    plank = Tiling(150.0, 950.0, str(pick(rng, WOOD)), "3a2d22", 1.2, gloss=0.3, uneven=0.1, speck=0.07, cloudy=0.05)
    return tiles(plank, rng)
