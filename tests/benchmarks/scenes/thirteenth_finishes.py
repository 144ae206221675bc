"""The thirteenth family's catalogue: which finishes there are for wet and dry walls, floors, slabs, trims."""

from __future__ import annotations

import colorsys
from typing import Any

import numpy as np

from sample_images.studio.surfaces import Surface

from . import thirteenth_surfaces as s
from .thirteenth_surfaces import RGB, Look

Named = tuple[str, Surface]
GLAZES: tuple[RGB, ...] = (
    (0.78, 0.78, 0.76), (0.72, 0.7, 0.64), (0.62, 0.6, 0.55), (0.42, 0.42, 0.42), (0.2, 0.2, 0.21), (0.05, 0.05, 0.055),
    (0.33, 0.42, 0.34), (0.06, 0.17, 0.12), (0.05, 0.1, 0.2), (0.25, 0.42, 0.5), (0.62, 0.4, 0.38), (0.46, 0.2, 0.12),
    (0.6, 0.42, 0.14), (0.5, 0.6, 0.56), (0.66, 0.56, 0.42), (0.3, 0.12, 0.13), (0.55, 0.58, 0.62),
)  # fmt: skip
GROUTS: tuple[RGB, ...] = ((0.75, 0.75, 0.73), (0.55, 0.54, 0.51), (0.35, 0.35, 0.34), (0.14, 0.14, 0.14), (0.5, 0.43, 0.34))
WOODS: tuple[RGB, ...] = (
    (0.5, 0.33, 0.17),
    (0.32, 0.18, 0.09),
    (0.6, 0.46, 0.29),
    (0.14, 0.08, 0.05),
    (0.62, 0.6, 0.56),
    (0.25, 0.3, 0.3),
)
STONES: tuple[tuple[RGB, RGB], ...] = (
    ((0.78, 0.77, 0.75), (0.4, 0.4, 0.42)), ((0.06, 0.06, 0.065), (0.5, 0.48, 0.44)), ((0.55, 0.48, 0.38), (0.35, 0.27, 0.2)),
    ((0.36, 0.37, 0.38), (0.6, 0.6, 0.6)), ((0.1, 0.2, 0.15), (0.5, 0.6, 0.5)), ((0.7, 0.62, 0.52), (0.8, 0.76, 0.7)),
)  # fmt: skip
METALS: dict[str, tuple[RGB, float]] = {
    "chrome": ((0.75, 0.76, 0.78), 0.06), "brushed steel": ((0.55, 0.55, 0.55), 0.25), "brass": ((0.75, 0.56, 0.25), 0.15),
    "black": ((0.03, 0.03, 0.03), 0.3), "copper": ((0.72, 0.4, 0.28), 0.2), "old alloy": ((0.5, 0.5, 0.5), 0.4),
}  # fmt: skip
# width, height, bonds
FORMATS: tuple[tuple[float, float, str], ...] = (
    (150, 150, "stack half diagonal"), (108, 108, "stack diagonal"), (200, 200, "stack half"), (100, 100, "stack"),
    (150, 75, "half stack third"), (200, 65, "half third random"), (200, 100, "half stack basket"), (240, 60, "stack random"),
    (250, 330, "stack"), (200, 400, "stack"), (300, 300, "stack half diagonal"),
    (300, 600, "stack"), (600, 300, "half third stack"),
    (600, 600, "stack"), (900, 300, "third random"), (600, 1200, "stack"), (1200, 200, "third random"),
    (23, 23, "stack"), (48, 48, "stack"), (20, 20, "stack"), (98, 48, "half"),
    (145, 20, "random stack"), (300, 48, "random stack"),
    (65, 200, "stack half"), (60, 245, "stack"), (52, 52, "hexagon"), (95, 95, "hexagon"),
    (170, 170, "hexagon"), (24, 24, "penny"),
    (150, 75, "herringbone"), (80, 40, "herringbone"), (120, 40, "basket"), (150, 50, "stack on end"), (200, 70, "half on end"),
)  # fmt: skip


def words(text: str) -> list[str]:
    return text.split()


def pick(rng: np.random.Generator, options: Any) -> Any:
    chosen = list(options)
    return chosen[int(rng.integers(len(chosen)))]


def tint(rng: np.random.Generator, dark: float = 0.3) -> RGB:
    """A wall colour: mostly light and quiet, some deep."""
    if rng.random() < dark:
        return colorsys.hsv_to_rgb(float(rng.random()), float(rng.uniform(0.2, 0.65)), float(rng.uniform(0.06, 0.4)))
    return colorsys.hsv_to_rgb(float(rng.random()), float(rng.uniform(0, 0.22)), float(rng.uniform(0.5, 0.85)))


def tile_look(rng: np.random.Generator, small: bool = False) -> Look:
    w, h, bonds = pick(rng, [f for f in FORMATS if not small or f[0] <= 100])
    figures = ["plain"] * 6 + ["marble"] * 2 + ["hand"] * 2
    figures += ["old"] * 2 if 90 < w <= 200 else []
    figures += ["cement"] * 2 if w == h and w in (150, 200, 300) else []
    figures += ["specks", "plain"] if w >= 200 else []
    figures += ["wood"] * 5 if (w, h) == (1200, 200) else []
    figure = str(pick(rng, figures))
    stone, vein = pick(rng, STONES)
    glaze = pick(rng, GLAZES[:5] if rng.random() < 0.5 else GLAZES)
    rgb, second = (stone, vein) if figure in ("marble", "specks") else (glaze, pick(rng, GLAZES))
    rgb, second = (pick(rng, WOODS), (0.12, 0.08, 0.05)) if figure == "wood" else (rgb, second)
    jitter = rng.uniform(0.85, 1.12)
    grout = tuple(float(c * jitter) for c in (rgb if rng.random() < 0.25 else pick(rng, GROUTS)))
    return Look(
        w, h, str(pick(rng, bonds.split())) if " on end" not in bonds else bonds,
        tuple(float(c * jitter) for c in rgb), second, float(rng.uniform(1.2, 3.5) if w > 60 else rng.uniform(1.2, 2.4)),
        grout, float(pick(rng, (0.05, 0.1, 0.15, 0.3, 0.3, 1.0))), float(rng.uniform(0.0, 0.07) + 0.1 * (figure == "hand")),
        figure, float(pick(rng, (0, 0, 1.5, 9)) if 60 <= min(w, h) < 160 else 0),
    )  # fmt: skip


def brick(rng: np.random.Generator) -> Surface:
    rgb, grout = pick(rng, ((0.42, 0.19, 0.12), (0.5, 0.36, 0.25), (0.7, 0.68, 0.64), (0.22, 0.2, 0.2))), pick(rng, GROUTS)
    return s.tiles(rng, Look(250, 76, "half", rgb, joint=11, grout=grout, gloss=1.0, spread=0.14, figure="brick", bevel=2.0))


def blocks(rng: np.random.Generator) -> Surface:
    side = float(pick(rng, (198, 198, 248, 154)))
    rgb = pick(rng, ((0.75, 0.86, 0.82), (0.8, 0.84, 0.86), (0.5, 0.72, 0.74), (0.85, 0.8, 0.62)))
    return s.tiles(
        rng, Look(side, side, "stack", rgb, joint=10, grout=(0.72, 0.72, 0.7), gloss=0.05, spread=0.03, figure="block")
    )


def wall(rng: np.random.Generator, wet: bool) -> Named:
    """A wall finish; wet ones are mostly tiled."""
    names = (
        ["tiles"] * 14 + words("stone stone panel concrete lime paint") + ["micro cement", "glass block"]
        if wet
        else ["paint"] * 6 + ["wallpaper"] * 3 + ["beadboard", "boards", "brick", "lime", "concrete", "tiles", "tiles", "veneer"]
    )
    name = str(pick(rng, names))
    return name, named_wall(rng, name)


def named_wall(rng: np.random.Generator, name: str) -> Surface:
    if name == "tiles":
        return s.tiles(rng, tile_look(rng))
    if name == "stone":
        return s.slab(rng, *pick(rng, STONES), specks=bool(rng.random() < 0.3))
    if name == "micro cement":
        return s.paint(rng, (float(rng.uniform(0.25, 0.6)),) * 3, 0.06, 0.4)
    if name == "lime":
        return s.paint(rng, tint(rng, 0.2), 0.07)
    if name == "panel":
        return s.plain(tint(rng, 0.2), 0.08)
    if name == "concrete":
        return s.concrete(rng, float(rng.uniform(0.22, 0.5)), bool(rng.random() < 0.5))
    if name == "wallpaper":
        return s.wallpaper(
            rng, tint(rng), tint(rng, 0.5), str(pick(rng, ("stripes", "fine stripes", "dots", "check", "leaves", "leaves")))
        )
    if name in ("beadboard", "boards", "veneer"):
        rgb = tint(rng) if rng.random() < 0.6 else pick(rng, WOODS)
        board = {"beadboard": 70.0, "boards": 140.0, "veneer": 600.0}[name] * float(rng.uniform(0.7, 1.3))
        return s.timber(rng, rgb, board, 0 if name == "veneer" else 4.0, name != "boards")
    if name in ("brick", "glass block"):
        return brick(rng) if name == "brick" else blocks(rng)
    return s.paint(rng, tint(rng))


def floor(rng: np.random.Generator, wet: bool) -> Named:
    if wet or rng.random() < 0.5:
        return "tiles", s.tiles(rng, tile_look(rng, small=wet and bool(rng.random() < 0.6)))
    return "planks", s.timber(rng, pick(rng, WOODS), float(rng.uniform(60, 200)), 1.5, bool(rng.random() < 0.5))


def ledge(rng: np.random.Generator) -> Named:
    """What a curb, sill or cap is made of."""
    name = str(pick(rng, ("stone", "stone", "white", "tiles", "timber", "cast", "specks")))
    if name in ("stone", "specks"):
        return name, s.slab(rng, *pick(rng, STONES), specks=name == "specks")
    if name == "white":
        return name, s.plain((0.8, 0.8, 0.78), 0.1)
    if name == "timber":
        return name, s.timber(rng, pick(rng, WOODS), 400, 0, False)
    return name, s.tiles(rng, tile_look(rng)) if name == "tiles" else s.paint(rng, (float(rng.uniform(0.3, 0.7)),) * 3, 0.05, 0.5)


def bar(rng: np.random.Generator) -> Named:
    name = str(pick(rng, list(METALS)))
    return name, s.metal(*METALS[name]) if name != "black" else s.plain((0.03, 0.03, 0.03), 0.3)
