"""Finishes of the third family: tiles, slabs, boards, plaster, and what trims, caps and sills are made of."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
from studio.surfaces import Surface
from third_patterns import (
    EARTHS,
    GREYS,
    TINTS,
    WHITES,
    Look,
    Rng,
    bond,
    chips,
    cloud,
    flat,
    gloss,
    herringbone,
    hexagons,
    laid,
    matt,
    near,
    one_of,
    pixels,
    relief,
    rim,
    stone,
    timber,
)


def subway(rng: Rng) -> Look:
    width, height = one_of(rng, ((150.0, 75.0), (200.0, 100.0), (240.0, 60.0)))
    rgb = near(rng, one_of(rng, WHITES[:3] + TINTS[:2]))
    cells = bond(width, height, one_of(rng, (0.5, 0.5, 1 / 3)))
    grout = one_of(rng, ((0.12, 0.12, 0.13), (0.2, 0.2, 0.2), (0.3, 0.29, 0.28)))
    surface = laid(rng, cells, flat(cells, rgb), grout, float(rng.uniform(2, 3.5)), 0.1)
    return Look(surface, f"glazed bricks {width:g} x {height:g} with dark grout", rgb, True)


def plates(rng: Rng) -> Look:
    width, height = one_of(rng, ((600.0, 300.0), (900.0, 450.0), (450.0, 450.0)))
    rgb = near(rng, one_of(rng, EARTHS))
    cells = bond(width, height, one_of(rng, (0.0, 0.5)), 1500)
    body = (
        flat(cells, rgb) * (1 + 0.05 * cloud(rng, cells.joint.shape, 90, 25) + 0.02 * cloud(rng, cells.joint.shape, 4))[..., None]
    )
    return Look(laid(rng, cells, body, near(rng, rgb, 0.25), 2.5, 0.3), f"earthen plates {width:g} x {height:g}", rgb, True)


def marble(rng: Rng) -> Look:
    width, height = one_of(rng, ((1200.0, 600.0), (800.0, 800.0), (600.0, 1200.0)))
    ground, vein = one_of(
        rng,
        (
            ((0.74, 0.74, 0.73), (0.36, 0.37, 0.39)),
            ((0.08, 0.08, 0.09), (0.6, 0.58, 0.52)),
            ((0.62, 0.55, 0.44), (0.36, 0.27, 0.18)),
        ),
    )
    cells = bond(width, height, 0.0, 1500)
    surface = laid(rng, cells, stone(rng, cells.joint.shape, ground, vein), near(rng, ground, 0.2), 1.5, 0.07, 0.015)
    return Look(surface, f"marbled slabs {width:g} x {height:g}", ground, True)


def terrazzo(rng: Rng) -> Look:
    ground = near(rng, one_of(rng, (WHITES[1], GREYS[0], GREYS[2], EARTHS[2])))
    cells = bond(600, 600, 0.0, 1200)
    return Look(
        laid(rng, cells, chips(rng, cells.joint.shape, ground), near(rng, ground, 0.15), 2.0, 0.15),
        "terrazzo 600 x 600",
        ground,
        True,
    )


def honeycomb(rng: Rng) -> Look:
    width = float(one_of(rng, (50.0, 100.0, 150.0, 200.0)))
    rgb = near(rng, one_of(rng, WHITES + TINTS + GREYS))
    cells, grout = hexagons(width), one_of(rng, ((0.6, 0.59, 0.57), (0.16, 0.16, 0.17)))
    return Look(laid(rng, cells, flat(cells, rgb), grout, 2.5, 0.2, 0.06), f"hexagons of {width:g}", rgb, True)


def chevron(rng: Rng) -> Look:
    width, times = one_of(rng, ((50.0, 4), (75.0, 3), (75.0, 4), (100.0, 3)))
    rgb = near(rng, one_of(rng, WHITES[:2] + TINTS + EARTHS[:1]))
    cells, grout = herringbone(width, times), one_of(rng, ((0.62, 0.61, 0.58), (0.22, 0.22, 0.22)))
    return Look(
        laid(rng, cells, flat(cells, rgb), grout, 2.2, 0.12, 0.07), f"herringbone of {width * times:g} x {width:g}", rgb, True
    )


def fingers(rng: Rng) -> Look:
    rgb = near(rng, one_of(rng, TINTS + WHITES[:1] + GREYS[2:3]))
    cells = bond(22, 145, 0.0, 1160)
    return Look(laid(rng, cells, flat(cells, rgb), (0.6, 0.59, 0.56), 2.0, 0.12, 0.1), "upright finger tiles 22 x 145", rgb, True)


def planks(rng: Rng) -> Look:
    rgb = near(rng, one_of(rng, ((0.42, 0.29, 0.18), (0.33, 0.27, 0.22), (0.55, 0.45, 0.33))))
    cells = bond(900, 150, 1 / 3, 1800)
    return Look(
        laid(rng, cells, timber(rng, cells, rgb, False), near(rng, rgb, 0.3), 2.0, 0.3, 0.1),
        "wood-like tiles 900 x 150",
        rgb,
        True,
    )


def beadboard(rng: Rng) -> Look:
    width, rgb = float(rng.uniform(70, 120)), near(rng, one_of(rng, WHITES + TINTS))
    cells = bond(width, 650.0, 0.0)
    across = rim(np.mod(pixels(cells.repeat)[0], width), width)
    groove = 1 - 0.55 * np.exp(-((across / 1.8) ** 2)) + 0.12 * np.exp(-(((across - 5) / 2) ** 2))
    grain = 1 + 0.008 * cloud(rng, across.shape, 4, 180) + 0.006 * cloud(rng, across.shape, 200)
    return Look(
        Surface(gloss(np.array(rgb) * (groove * grain)[..., None], 0.35), cells.repeat),
        f"painted bead board of {width:.0f} mm",
        rgb,
    )


def panels(rng: Rng) -> Look:
    width, ground = one_of(rng, (250.0, 333.0, 400.0)), near(rng, one_of(rng, WHITES + EARTHS[:1] + GREYS[:1]))
    cells = bond(width, 700.0, 0.0)
    body = stone(rng, cells.joint.shape, ground, near(rng, ground, 0.5)) if rng.random() < 0.5 else flat(cells, ground)
    across = rim(np.mod(pixels(cells.repeat)[0], width), width)
    return Look(
        Surface(gloss(body * (1 - 0.6 * np.exp(-((across / 1.1) ** 2)))[..., None], 0.12), cells.repeat),
        f"plastic panels of {width:g} mm",
        ground,
    )


def plaster(rng: Rng) -> Look:
    rgb = near(rng, one_of(rng, WHITES + TINTS + EARTHS))
    shape = (2100, 2100)
    uneven = relief(0.5 * cloud(rng, shape, 50) + 0.9 * cloud(rng, shape, 160), 0.5) + 0.012 * cloud(rng, shape, 5)
    return Look(Surface(matt(np.array(rgb) * uneven[..., None]), (1312.5, 1312.5)), "painted plaster, a little uneven", rgb)


def cement(rng: Rng) -> Look:
    rgb, shape = near(rng, one_of(rng, GREYS + EARTHS[:2])), (2100, 2100)
    sweep = (
        0.06 * cloud(rng, shape, 260)
        + 0.05 * cloud(rng, shape, 90, 30)
        + 0.03 * cloud(rng, shape, 24, 60)
        + 0.02 * cloud(rng, shape, 4)
    )
    return Look(Surface(gloss(np.array(rgb) * (1 + sweep[..., None]), 0.4), (1312.5, 1312.5)), "trowelled micro-cement", rgb)


def brick(rng: Rng) -> Look:
    rgb, cells = near(rng, one_of(rng, WHITES + GREYS[:1] + TINTS[3:])), bond(225, 75, 0.5)
    shape = cells.joint.shape
    height = 2.2 * np.clip((cells.joint - 4) / 3.5, 0, 1) + 0.25 * cloud(rng, shape, 5) + 0.2 * cloud(rng, shape, 16)
    tone = 1 + 0.03 * rng.standard_normal(int(cells.name.max()) + 1)[cells.name]
    return Look(
        Surface(gloss(np.array(rgb) * (relief(height, 0.3) * tone)[..., None], 0.45), cells.repeat), "painted bricks", rgb
    )


FINISHES: dict[str, Callable[[Rng], Look]] = {
    make.__name__: make
    for make in (subway, plates, marble, terrazzo, honeycomb, chevron, fingers, planks, beadboard, panels, plaster, cement, brick)
}


def moved(rng: Rng, look: Look) -> Look:
    """The same finish, its pattern begun elsewhere."""
    shift = tuple(float(s) for s in rng.uniform(0, 1, 2) * look.surface.repeat_mm)
    return replace(look, surface=replace(look.surface, shift_mm=shift))


def solid(rng: Rng, kind: str, upright: bool = False) -> Look:
    """What trims, caps, sills and thresholds are made of."""
    if kind == "timber":
        rgb = near(rng, one_of(rng, ((0.42, 0.28, 0.16), (0.3, 0.19, 0.11), (0.58, 0.44, 0.28))))
        return Look(Surface(gloss(timber(rng, bond(400, 400), rgb, upright), 0.3), (1200.0, 1200.0)), "timber", rgb)
    if kind == "stone":
        rgb = near(rng, one_of(rng, (WHITES[0], GREYS[1], GREYS[3], EARTHS[2])))
        picture = stone(rng, (1300, 1300), rgb, near(rng, rgb, 0.45)) * (1 + 0.03 * cloud(rng, (1300, 1300), 3))[..., None]
        return Look(Surface(gloss(picture, 0.12), (812.5, 812.5)), "stone", rgb)
    rgb, alpha = (
        one_of(rng, WHITES[:3] + GREYS[:2]) if kind == "plastic" else one_of(rng, WHITES),
        0.25 if kind != "enamel" else 0.08,
    )
    plain = {"type": "rgb", "value": list(rgb)}
    return Look(Surface({"type": "roughplastic", "alpha": alpha, "nonlinear": True, "diffuse_reflectance": plain}), kind, rgb)
