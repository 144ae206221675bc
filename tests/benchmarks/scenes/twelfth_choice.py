"""Which finish goes where in the twelfth rooms: palettes, tiles of many makes, and the plain materials of things."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from studio.surfaces import Surface

from .twelfth_fabric import RGB, Fabric, Laid, Rng, boards, brick, chalk, emulsion, laid, microcement, paper, slab, terrazzo

LIGHT: tuple[RGB, ...] = (
    (0.74, 0.72, 0.67),
    (0.68, 0.63, 0.54),
    (0.62, 0.68, 0.66),
    (0.70, 0.60, 0.54),
    (0.60, 0.62, 0.66),
    (0.76, 0.76, 0.76),
)
MIDDLE: tuple[RGB, ...] = (
    (0.30, 0.38, 0.30),
    (0.44, 0.26, 0.18),
    (0.20, 0.30, 0.40),
    (0.46, 0.40, 0.30),
    (0.52, 0.34, 0.32),
    (0.34, 0.33, 0.32),
    (0.48, 0.50, 0.36),
)
DARK: tuple[RGB, ...] = ((0.05, 0.09, 0.12), (0.07, 0.10, 0.07), (0.10, 0.06, 0.05), (0.07, 0.07, 0.08), (0.04, 0.12, 0.13))
JOINTS: tuple[RGB, ...] = ((0.72, 0.70, 0.66), (0.42, 0.40, 0.37), (0.16, 0.16, 0.16), (0.55, 0.47, 0.37))
TIMBER: tuple[RGB, ...] = ((0.46, 0.29, 0.15), (0.30, 0.17, 0.09), (0.58, 0.43, 0.26), (0.20, 0.13, 0.09))
STONE: tuple[RGB, ...] = ((0.72, 0.70, 0.67), (0.30, 0.29, 0.28), (0.56, 0.50, 0.42), (0.16, 0.19, 0.18))


def shade(rng: Rng, light: float = 0.5, dark: float = 0.15) -> RGB:
    """A colour: light with this chance, dark with that one, else in between; never twice the same."""
    at = rng.random()
    palette = LIGHT if at < light else DARK if at > 1 - dark else MIDDLE
    base = np.array(palette[int(rng.integers(len(palette)))])
    return tuple(float(c) for c in np.clip(base * rng.uniform(0.88, 1.1) * rng.uniform(0.95, 1.05, 3), 0.02, 0.82))  # type: ignore[return-value]


def one_of(rng: Rng, palette: tuple[RGB, ...]) -> RGB:
    return tuple(float(c * rng.uniform(0.92, 1.06)) for c in palette[int(rng.integers(len(palette)))])  # type: ignore[return-value]


def zellige(rgb: RGB, rng: Rng, px: float) -> Fabric:
    side = float(rng.choice([100, 120]))
    how = Laid(side, side, 1.5, rgb, one_of(rng, JOINTS), 0, 0.14, 0.28, 1.3, 0.9, 0.09, 0.2, 0.06)
    return laid(how, rng, px)


def glazed(rgb: RGB, rng: Rng, px: float) -> Fabric:
    width, height = ((200, 100), (150, 75), (300, 100), (65, 200), (240, 60))[int(rng.integers(5))]
    bond = float(rng.choice([0, 0.5, 0.5, 1 / 3])) if width > height else 0.0
    how = Laid(width, height, float(rng.uniform(1.8, 3.2)), rgb, one_of(rng, JOINTS), bond, 0.04, 0.08, 0.4, 0.9, 0.12, 0.3)
    return laid(how, rng, px)


def stoneware(rgb: RGB, rng: Rng, px: float) -> Fabric:
    width, height = ((300, 600), (600, 300), (330, 330), (450, 450), (250, 400), (597, 597))[int(rng.integers(6))]
    bond = float(rng.choice([0, 0, 0.5])) if width >= height else 0.0
    how = Laid(width, height, float(rng.uniform(1.5, 4)), rgb, one_of(rng, JOINTS), bond, 0.02, 0.0, 0.3, 0.6, 0.35, 0.3, 0.04)
    return laid(how, rng, px, 1150)


def mosaic(rgb: RGB, rng: Rng, px: float) -> Fabric:
    side = float(rng.choice([23, 32, 48, 73]))
    how = Laid(side, side, 2.0, rgb, one_of(rng, JOINTS), 0, 0.1, 0.0, 0.35, 0.6, 0.14, 0.25)
    return laid(how, rng, px, 600)


def planks(rgb: RGB, rng: Rng, px: float) -> Fabric:
    return boards(rgb, rng, px)


def beadboard(rgb: RGB, rng: Rng, px: float) -> Fabric:
    return boards(rgb, rng, px, painted=True)


FACES: tuple[Callable[[RGB, Rng, float], Fabric], ...] = (
    zellige,
    glazed,
    slab,
    planks,
    chalk,
    microcement,
    brick,
    paper,
    emulsion,
    stoneware,
    beadboard,
    terrazzo,
)
WET = (zellige, glazed, slab, microcement, stoneware, mosaic, terrazzo)
DRY = (chalk, emulsion, planks, paper, beadboard, brick)
UNDER = (beadboard, glazed, zellige, stoneware, planks)


def fabric(make: Callable[[RGB, Rng, float], Fabric], rng: Rng, px: float, *, light: float = 0.5) -> Fabric:
    """One finish from a stream of its own, so that what is drawn next does not hang on the fineness of its maps."""
    rng = np.random.default_rng(int(rng.integers(1 << 62)))
    if make is planks:
        return make(one_of(rng, TIMBER), rng, px)
    if make is slab:
        return make(one_of(rng, STONE), rng, px)
    return make(shade(rng, light), rng, px)


def gloss(rgb: RGB, rough: float = 0.3) -> Surface:
    """Lacquer, plastic, glaze."""
    return Surface({"type": "roughplastic", "alpha": rough, "diffuse_reflectance": {"type": "rgb", "value": list(rgb)}})


def matt(rgb: RGB) -> Surface:
    return Surface({"type": "diffuse", "reflectance": {"type": "rgb", "value": list(rgb)}})


def steel(rgb: RGB = (0.7, 0.7, 0.71), rough: float = 0.2) -> Surface:
    return Surface(
        {
            "type": "roughconductor",
            "alpha": rough,
            "material": "none",
            "specular_reflectance": {"type": "rgb", "value": list(rgb)},
        }
    )


def mirror() -> Surface:
    return steel((0.88, 0.89, 0.88), 0.003)
