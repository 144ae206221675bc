"""What the second family's walls, floors and edges are made of: one draw of colours and materials for each kind of finish."""

from __future__ import annotations

import numpy as np
import other_materials as of
from other_materials import RGB, Laid, Rng, Surface, clipped, laid, wallpaper
from studio.surfaces import lacquer, metal, paint

HUES = np.array(
    [
        (0.62, 0.60, 0.56),
        (0.70, 0.66, 0.55),
        (0.28, 0.40, 0.44),
        (0.20, 0.32, 0.24),
        (0.10, 0.17, 0.30),
        (0.52, 0.30, 0.22),
        (0.60, 0.48, 0.30),
        (0.34, 0.35, 0.37),
        (0.72, 0.72, 0.70),
        (0.48, 0.22, 0.26),
        (0.55, 0.62, 0.58),
        (0.13, 0.13, 0.14),
    ]
)
"""colours of bathrooms, linear (own choice); every draw moves about one of them"""
GROUTS: tuple[RGB, ...] = ((0.72, 0.71, 0.68), (0.45, 0.44, 0.42), (0.2, 0.2, 0.2), (0.06, 0.06, 0.065))
WOODS: tuple[RGB, ...] = ((0.42, 0.25, 0.12), (0.24, 0.12, 0.06), (0.55, 0.4, 0.24), (0.1, 0.06, 0.04))


def hue(rng: Rng) -> RGB:
    return clipped(HUES[rng.integers(len(HUES))] * np.exp(rng.normal(0, 0.12)) * np.exp(rng.normal(0, 0.05, 3)))


def grout(rng: Rng) -> RGB:
    return clipped(np.array(GROUTS[rng.integers(len(GROUTS))]) * np.exp(rng.normal(0, 0.08)))


def mosaic(rng: Rng) -> tuple[Surface, str]:
    """Small squares in a mixture of related colours."""
    side = float(rng.choice([20.0, 23.0, 25.0, 33.0, 48.0]))
    base = np.array(hue(rng))
    count = int(rng.integers(2, 6))
    palette = tuple(clipped(base * np.exp(rng.normal(0, 0.3)) * np.exp(rng.normal(0, 0.12, 3))) for _ in range(count))
    gloss = float(rng.choice([0.06, 0.12, 0.25]))
    made = Laid(side, side, palette, grout(rng), float(rng.uniform(1.5, 2.5)), spread=0.06, gloss=gloss)
    return laid(made, rng), f"mosaic of {side:g} mm"


def marble(rng: Rng) -> tuple[Surface, str]:
    """Plates of 600 x 1200, upright or lying, light or dark stone, narrow joints."""
    dark = rng.random() < 0.35
    ground = clipped((0.09, 0.09, 0.1) if dark else np.array((0.66, 0.65, 0.63)) * rng.uniform(0.8, 1.15))
    veins = float(rng.uniform(-1.6, -0.8) if dark else rng.uniform(0.1, 0.3))
    size = (600.0, 1200.0) if rng.random() < 0.6 else (1200.0, 600.0)
    joint = clipped(0.7 * np.array(ground))
    gloss = float(rng.uniform(0.03, 0.12))
    step = 0.5 if size[0] > size[1] and rng.random() < 0.5 else 0.0
    made = Laid(*size, (ground,), joint, 2.0, step=step, spread=0.02, gloss=gloss, veins=veins, px_per_mm=1.0)
    return laid(made, rng), f"veined plates {size[0]:g} x {size[1]:g}"


def bricks(rng: Rng) -> tuple[Surface, str]:
    """Glossy bricks in half or third bond, often bevelled or uneven."""
    size = ((150.0, 75.0), (200.0, 100.0), (198.0, 65.0), (240.0, 60.0))[rng.integers(4)]
    step = (0.5, 0.5, 1 / 3)[rng.integers(3)]
    bevel = float(rng.uniform(0.6, 1.4)) if rng.random() < 0.4 else 0.0
    wave = 0.0 if bevel else float(rng.uniform(0.08, 0.3))
    made = Laid(
        *size,
        (hue(rng),),
        grout(rng),
        float(rng.uniform(1.5, 3.0)),
        step=step,
        spread=float(rng.uniform(0.02, 0.1)),
        gloss=float(rng.uniform(0.03, 0.09)),
        wave_mm=wave,
        bevel_mm=bevel,
    )
    return laid(made, rng), f"wet-looking bricks {size[0]:g} x {size[1]:g}" + (", bevelled" if bevel else "")


def stacked(rng: Rng) -> tuple[Surface, str]:
    """Slim tiles standing up, stacked or in upright half bond."""
    size = ((50.0, 250.0), (65.0, 200.0), (75.0, 300.0), (60.0, 120.0))[rng.integers(4)]
    step = 0.5 if rng.random() < 0.4 else 0.0
    gloss, wave = float(rng.uniform(0.04, 0.2)), float(rng.uniform(0.0, 0.2))
    spread = float(rng.uniform(0.02, 0.12))
    made = Laid(*size, (hue(rng),), grout(rng), 2.0, step=step, upright=True, spread=spread, gloss=gloss, wave_mm=wave)
    return laid(made, rng), f"upright tiles {size[0]:g} x {size[1]:g}" + (", half bond" if step else ", stacked")


def rendered(rng: Rng) -> tuple[Surface, str]:
    """Painted plaster with a relief that can be seen."""
    depth, scale = float(rng.uniform(0.08, 0.3)), float(rng.uniform(3.0, 9.0))
    return of.plaster(hue(rng), rng, depth, scale), "painted render"


def papered(rng: Rng) -> tuple[Surface, str]:
    """Wallpaper in two colours and an accent."""
    ground = hue(rng)
    ink = clipped(np.array(ground) * np.exp(rng.uniform(0.2, 0.9) * rng.choice([-1, 1])))
    found, name = wallpaper(rng, ground, ink, hue(rng))
    return found, f"wallpaper ({name})"


def emulsion(rng: Rng) -> tuple[Surface, str]:
    return paint(hue(rng), rng, 0.015), "emulsion paint"


TILES = (mosaic, marble, bricks, stacked)


def tiles(rng: Rng) -> tuple[Surface, str]:
    """Any of the four kinds of tile."""
    return TILES[rng.integers(len(TILES))](rng)


def boards(rng: Rng) -> Surface:
    return of.wood(WOODS[rng.integers(len(WOODS))], rng, 0.25)


def joinery(rng: Rng) -> tuple[Surface, str]:
    """Natural or painted wood."""
    if rng.random() < 0.6:
        return boards(rng), "wood"
    return lacquer(hue(rng), float(rng.uniform(0.15, 0.35))), "painted wood"


def trim(rng: Rng, kind: str) -> Surface:
    """An edge trim: polished, black, brass or white."""
    if kind == "chrome":
        return metal(roughness=float(rng.uniform(0.05, 0.15)))
    if kind == "black":
        return lacquer((0.025, 0.025, 0.027), 0.3)
    if kind == "brass":
        return metal((0.72, 0.52, 0.22), 0.25)
    return lacquer((0.78, 0.78, 0.77), 0.25)


def floor(rng: Rng) -> Surface:
    """Plates, bricks or boards, seldom glossy."""
    pick = rng.integers(3)
    if pick == 0:
        return boards(rng)
    base, side = hue(rng), float(rng.choice([150.0, 300.0, 450.0]))
    other = clipped(np.array(base) * (0.35 if pick == 2 else 1.0))
    gloss = float(rng.uniform(0.08, 0.35))
    return laid(Laid(side, side, (base, other), grout(rng), 3.0, spread=0.05, gloss=gloss, px_per_mm=1.0), rng)
