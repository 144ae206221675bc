"""Which finishes a room gets: face, reveals, back, base, floor, corner."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from . import fifth_looks as looks
from .fifth_draws import Plan
from .fifth_looks import Tiles
from .fifth_studio import RGB

from studio.surfaces import Surface, lacquer, metal, plain  # isort: skip

PAINTS: tuple[RGB, ...] = (
    (0.42, 0.43, 0.42), (0.60, 0.60, 0.58), (0.36, 0.42, 0.34), (0.50, 0.55, 0.45), (0.60, 0.53, 0.41), (0.68, 0.62, 0.52),
    (0.24, 0.29, 0.26), (0.76, 0.75, 0.72), (0.30, 0.37, 0.42), (0.62, 0.50, 0.44), (0.22, 0.23, 0.25), (0.72, 0.70, 0.60),
)  # fmt: skip
GLAZES: tuple[RGB, ...] = (
    (0.76, 0.76, 0.73), (0.72, 0.70, 0.62), (0.20, 0.31, 0.27), (0.12, 0.20, 0.30), (0.50, 0.53, 0.54), (0.55, 0.35, 0.28),
    (0.42, 0.50, 0.46), (0.07, 0.07, 0.08), (0.64, 0.52, 0.36),
)  # fmt: skip
GROUTS: tuple[RGB, ...] = ((0.62, 0.61, 0.58), (0.40, 0.39, 0.37), (0.18, 0.18, 0.18), (0.72, 0.71, 0.68))
STONES: tuple[RGB, ...] = ((0.66, 0.65, 0.62), (0.10, 0.10, 0.11), (0.46, 0.40, 0.34), (0.36, 0.36, 0.36), (0.72, 0.68, 0.60))


@dataclass(frozen=True)
class Finish:
    face: Surface
    reveal: Surface
    back: Surface
    base_front: Surface
    cap: Surface
    strip: Surface
    turn: Surface
    inner_floor: Surface
    floor: Surface
    walls: Surface
    ceiling: Surface
    niche: Surface
    words: str  # for the truth's note


def pick(rng: np.random.Generator, among: tuple[RGB, ...], jitter: float = 0.06) -> RGB:
    rgb = np.array(among[int(rng.integers(len(among)))]) * (1 + jitter * rng.normal() + 0.3 * jitter * rng.normal(size=3))
    r, g, b = (float(c) for c in np.clip(rgb, 0.02, 0.85))
    return r, g, b


def tile(rng: np.random.Generator) -> tuple[str, Surface]:
    kind = str(
        rng.choice(["subway", "porcelain", "marble", "mosaic", "square", "upright"], p=[0.24, 0.24, 0.22, 0.06, 0.14, 0.1])
    )
    grout = pick(rng, GROUTS)
    if kind == "subway":
        w, h = ((200, 100), (150, 75), (300, 100), (240, 60))[int(rng.integers(4))]
        bevel = float(rng.choice([0.0, 7.0, 9.0]))
        bond = float(rng.choice([0.5, 0.5, 1 / 3]))
        look = Tiles(w, h, pick(rng, GLAZES), grout, 2.0, bond, 0.1, 0.025, bevel_mm=bevel)
    elif kind == "porcelain":
        w, h = ((600, 600), (1200, 600), (900, 450), (600, 300))[int(rng.integers(4))]
        grey = float(rng.uniform(0.2, 0.55))
        rgb = (grey, grey * float(rng.uniform(0.95, 1.0)), grey * float(rng.uniform(0.86, 1.02)))
        look = Tiles(w, h, rgb, grout, 2.0, float(rng.choice([0, 0.5, 1 / 3])), 0.35, 0.02, cloud=0.05)
    elif kind == "marble":
        w, h = ((600, 1200), (600, 300), (300, 600), (800, 800))[int(rng.integers(4))]
        dark = bool(rng.random() < 0.3)
        rgb, vein = ((0.10, 0.13, 0.11), (0.6, 0.6, 0.56)) if dark else ((0.74, 0.73, 0.71), (0.34, 0.33, 0.33))
        look = Tiles(w, h, rgb, rgb, 1.5, float(rng.choice([0, 0.5])), 0.09, 0.02, 0.03, float(rng.uniform(0.5, 0.95)), vein)
    elif kind == "mosaic":
        side = float(rng.choice([25, 30, 48]))
        look = Tiles(side, side, pick(rng, GLAZES), grout, 2.0, 0.0, 0.12, 0.12)
    elif kind == "square":
        side = float(rng.choice([100, 130, 150, 200]))
        look = Tiles(side, side, pick(rng, GLAZES), grout, 2.5, 0.0, 0.1, 0.09, cloud=0.02)
    else:
        look = Tiles(75, float(rng.choice([200, 300])), pick(rng, GLAZES), grout, 2.0, 0.0, 0.12, 0.05)
    return kind, looks.tiled(look, rng)


def wall(rng: np.random.Generator) -> tuple[str, Surface]:
    kind = str(rng.choice(["paint", "microcement", "wallpaper"], p=[0.62, 0.2, 0.18]))
    if kind == "paint":
        return kind, looks.painted(pick(rng, PAINTS), rng)
    if kind == "microcement":
        return kind, looks.microcement(pick(rng, PAINTS), rng)
    return kind, looks.wallpaper(pick(rng, PAINTS), pick(rng, PAINTS + GLAZES), rng)


def finish(plan: Plan, rng: np.random.Generator) -> Finish:
    wet = plan.place in ("shower", "tray", "tub")
    tile_face = plan.corner.kind in ("mitred", "silicone") or rng.random() < (0.5 if wet else 0.2)
    face_word, face = tile(rng) if tile_face else wall(rng)
    same = rng.random() < (0.45 if tile_face else 0.35) or plan.corner.kind == "mitred"
    reveal_word, reveal = (face_word, face) if same else (tile(rng) if wet or rng.random() < 0.3 else wall(rng))
    back_word, back = (reveal_word, reveal) if wet and rng.random() < 0.6 else (tile(rng) if wet else wall(rng))
    floor = looks.tiled(
        Tiles(*((450, 450), (600, 600), (200, 1200), (300, 300))[int(rng.integers(4))], pick(rng, STONES), pick(rng, GROUTS),
              2.5, 0.0, 0.3, 0.06, cloud=0.05), rng
    )  # fmt: skip
    cap = _cap(plan, rng)
    small = Tiles(48, 48, pick(rng, STONES), pick(rng, GROUTS), 2.5, vary=0.08, rough=0.25)
    inner = cap if plan.place in ("tub", "tray") else (looks.tiled(small, rng) if wet else floor)
    strip, turn = _corner_surfaces(plan, rng, reveal)
    return Finish(
        face=face,
        reveal=reveal,
        back=back,
        base_front=cap if plan.place == "tub" else (face if plan.place != "shower" or rng.random() < 0.5 else reveal),
        cap=cap,
        strip=strip,
        turn=turn,
        inner_floor=inner,
        floor=floor,
        walls=looks.painted(pick(rng, PAINTS), rng),
        ceiling=plain((0.8, 0.8, 0.78)),
        niche=tile(rng)[1],
        words=f"{plan.place}; face {face_word}, reveals {reveal_word}{' (the same)' if same else ''}, back {back_word}",
    )


def _cap(plan: Plan, rng: np.random.Generator) -> Surface:
    if plan.place in ("tub", "tray"):
        white = float(rng.uniform(0.72, 0.82))
        grey = plan.place == "tray" and rng.random() < 0.3
        return looks.stone((0.2, 0.2, 0.21), rng, 0.35) if grey else lacquer((white, white, 0.98 * white), 0.08)
    if rng.random() < 0.35:
        return looks.marble(rng)
    return looks.stone(pick(rng, STONES), rng)


def _corner_surfaces(plan: Plan, rng: np.random.Generator, reveal: Surface) -> tuple[Surface, Surface]:
    """Of the flush strip and of the turn."""
    if plan.corner.kind == "profile":
        bars = (metal(roughness=0.25), metal((0.75, 0.6, 0.35), 0.2), lacquer((0.8, 0.8, 0.79)), lacquer((0.03, 0.03, 0.03)))
        bar = bars[int(rng.choice(4, p=[0.4, 0.15, 0.3, 0.15]))]
        return bar, bar
    if plan.corner.kind == "mitred":
        joint = plain(pick(rng, GROUTS))
        return joint, joint
    if plan.corner.kind == "silicone":
        bead = lacquer(pick(rng, ((0.74, 0.74, 0.72), (0.5, 0.5, 0.5), (0.7, 0.68, 0.6))), 0.3)
        return bead, bead
    return reveal, reveal
