"""Wall and floor finishes of the second family of rooms: bonds, mosaics, veined stone, wallpaper, plaster, wood.

Linear reflectances; patterns of 2 px/mm (large plates 1 px/mm). A relief (bump map) turns the shading alone: walls stay flat,
so the truth is that of the flat wall.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from studio.surfaces import RGB, Surface, _bitmap, _noise

Rng = np.random.Generator
LEAST_WAVE_MM = 0.03
"""a relief without any slope over a wall whose pattern runs along the room's z makes Mitsuba 3.6 lose its shading frame (NaN)"""


@dataclass(frozen=True)
class Laid:
    """Tiles as they are laid. `step` is what each row moves on, as a share of a tile; `upright` lays columns instead of rows."""

    width_mm: float
    height_mm: float
    palette: tuple[RGB, ...]
    grout_rgb: RGB
    grout_mm: float = 2.0
    step: float = 0.0
    upright: bool = False
    spread: float = 0.03  # tile to tile, relative
    gloss: float = 0.15  # roughness of the glaze
    wave_mm: float = 0.0  # hand-made unevenness of the glaze, standard deviation
    bevel_mm: float = 0.0  # depth of a bevelled rim
    veins: float = 0.0  # depth of a marble's veins
    px_per_mm: float = 2.0


def clipped(values: Any) -> RGB:
    return tuple(float(c) for c in np.clip(np.asarray(values, float), 0.02, 0.85))  # type: ignore[return-value]


def relief(height_mm: np.ndarray, bsdf: dict[str, Any]) -> dict[str, Any]:
    """A material whose shading follows a height map (mm) over the whole repeat."""
    return {"type": "bumpmap", "height": _bitmap(height_mm), "scale": 1.0, "inner": bsdf}


def laid(how: Laid, rng: Rng) -> Surface:
    """The surface of a tiled wall or floor."""
    if how.upright:
        turned = replace(how, width_mm=how.height_mm, height_mm=how.width_mm, upright=False)
        return _surface(how, *(np.swapaxes(part, 0, 1) for part in _parts(turned, rng)))
    return _surface(how, *_parts(how, rng))


def _parts(how: Laid, rng: Rng) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Colour (ny, nx, 3), share of grout (ny, nx) and height of the glaze in mm (ny, nx)."""
    rows = _count(how.height_mm, 3 if how.step and abs(how.step - 0.5) > 0.01 else 2)
    columns = _count(how.width_mm, 1)
    ny, nx = (round(n * side * how.px_per_mm) for n, side in ((rows, how.height_mm), (columns, how.width_mm)))
    y = (np.arange(ny) + 0.5) * rows * how.height_mm / ny
    row = np.minimum((y // how.height_mm).astype(int), rows - 1)
    x = (np.arange(nx) + 0.5) * columns * how.width_mm / nx + ((row * how.step % 1) * how.width_mm)[:, None]
    column = (x // how.width_mm).astype(int) % columns
    joint = np.minimum(_to_joint(y, how.height_mm)[:, None], _to_joint(x, how.width_mm))
    grout = np.clip((how.grout_mm / 2 - joint) * how.px_per_mm + 0.5, 0, 1)
    weights = rng.dirichlet(np.full(len(how.palette), 2.0))
    colours = np.array(how.palette)[rng.choice(len(how.palette), (rows, columns), p=weights)]
    colours = colours * (1 + how.spread * rng.standard_normal((rows, columns, 1)))
    colours = colours * (1 + 0.3 * how.spread * rng.standard_normal((rows, columns, 3)))
    glaze = colours[row[:, None], column]
    if how.veins:
        glaze = glaze * _marble(rng, (ny, nx), how, (row, column))
    speck = 1 + 0.04 * rng.standard_normal((ny, nx, 1))
    picture = np.clip(glaze * (1 - grout[..., None]) + np.array(how.grout_rgb) * speck * grout[..., None], 0.01, 0.9)
    height = how.bevel_mm * np.clip((joint - how.grout_mm / 2) / 8.0, 0, 1)
    if how.wave_mm or how.bevel_mm:
        height = height + max(how.wave_mm, LEAST_WAVE_MM) * _field(rng, (ny, nx), 14.0 * how.px_per_mm)
    return picture, grout, height


def _surface(how: Laid, picture: np.ndarray, grout: np.ndarray, height: np.ndarray) -> Surface:
    glaze: dict[str, Any] = {"type": "roughplastic", "alpha": how.gloss, "diffuse_reflectance": _bitmap(picture)}
    if how.wave_mm or how.bevel_mm:
        glaze = relief(height, glaze)
    joints = {"type": "diffuse", "reflectance": _bitmap(picture)}
    repeat = (picture.shape[1] / how.px_per_mm, picture.shape[0] / how.px_per_mm)
    bsdf = {"type": "blendbsdf", "weight": _bitmap(grout), "glaze": glaze, "grout": joints}
    return Surface(bsdf, repeat)


def _marble(rng: Rng, shape: tuple[int, int], how: Laid, where: tuple[np.ndarray, np.ndarray]) -> np.ndarray:
    """Cloudy ground with veins, each tile cut from another place of the block: factors (ny, nx, 1)."""
    side = 1024
    bent = _noise(rng, side, 50.0) + 0.45 * _noise(rng, side, 14.0)
    fine = _noise(rng, side, 30.0) + 0.5 * _noise(rng, side, 8.0)
    block = 1 + how.veins * (0.15 * _noise(rng, side, 40.0) - 2.0 * np.exp(-((bent / 0.05) ** 2)) - np.exp(-((fine / 0.03) ** 2)))
    row, column = where
    moves = rng.integers(0, side, (2, row.max() + 1, column.max() + 1))
    y, x = np.mgrid[0 : shape[0], 0 : shape[1]]
    dy, dx = moves[:, row[:, None], column]
    found = block[(y + dy) % side, (x + dx) % side]
    return np.asarray(np.clip(found, 0.25, 1.2 if how.veins > 0 else 5.0)[..., None])


def _field(rng: Rng, shape: tuple[int, int], scale_px: float) -> np.ndarray:
    """Periodic smooth noise over a rectangle, by stretching a square of it."""
    side = 768
    field = _noise(rng, side, min(scale_px * side / max(shape), side / 8))
    y, x = ((np.arange(n) * side) // n for n in shape)
    return field[y[:, None], x] if max(shape) <= side else _smooth(field, shape)


def _smooth(field: np.ndarray, shape: tuple[int, int]) -> np.ndarray:
    """Linear interpolation on the torus, so that the relief has no steps."""
    n = len(field)
    out = field
    for axis in (0, 1):
        at = np.arange(shape[axis]) * n / shape[axis]
        low = at.astype(int)
        share = (at - low).reshape((-1, 1) if axis == 0 else (1, -1))
        out = np.take(out, low, axis) * (1 - share) + np.take(out, (low + 1) % n, axis) * share
    return out


def _count(size_mm: float, multiple: int) -> int:
    wanted = 600 if size_mm < 120 else 1100
    return multiple * max(1, round(wanted / size_mm / multiple))


def _to_joint(x: np.ndarray, size: float) -> np.ndarray:
    inside = np.mod(x, size)
    return np.minimum(inside, size - inside)


def plaster(rgb: RGB, rng: Rng, depth_mm: float, scale_mm: float) -> Surface:
    """Painted render: matt, with the relief of a trowel or a roller."""
    side, mm = 1024, 820.0
    px = side / mm
    height = depth_mm * (0.8 * _noise(rng, side, scale_mm * px) + 0.5 * _noise(rng, side, 0.4 * scale_mm * px))
    tone = 1 + 0.012 * _noise(rng, side, 45.0)[..., None]
    matt = {"type": "diffuse", "reflectance": _bitmap(np.clip(np.array(rgb) * tone, 0.01, 0.9))}
    return Surface(relief(height, matt), (mm, mm))


def wallpaper(rng: Rng, ground: RGB, ink: RGB, accent: RGB) -> tuple[Surface, str]:
    """One of five patterns of our own, matt, and its name."""
    drawings = {"stripes": _stripes, "lattice": _lattice, "fans": _fans, "leaves": _leaves, "dashes": _dashes}
    name = str(rng.choice(list(drawings)))
    mm = float(rng.choice([160.0, 240.0, 320.0]))
    n = round(mm * 2)
    y, x = (np.mgrid[0:n, 0:n] + 0.5) / n
    share, dots = drawings[name](x, y, rng)
    picture = np.array(ground) * (1 - share[..., None]) + np.array(ink) * share[..., None]
    picture = picture * (1 - dots[..., None]) + np.array(accent) * dots[..., None]
    picture = picture * (1 + 0.015 * rng.standard_normal((n, n, 1)))
    return Surface({"type": "diffuse", "reflectance": _bitmap(np.clip(picture, 0.01, 0.9))}, (mm, mm)), name


def _soft(distance: np.ndarray, half: float) -> np.ndarray:
    """1 within half of a line, 0 outside, with a rim of half a hundredth of the repeat."""
    return np.clip((half - distance) / 0.005 + 0.5, 0, 1)


def _stripes(x: np.ndarray, y: np.ndarray, rng: Rng) -> tuple[np.ndarray, np.ndarray]:
    wide, count = float(rng.uniform(0.15, 0.25)), int(rng.integers(2, 6))
    at = np.abs(np.mod(x * count, 1) - 0.5)
    return _soft(at / count, wide / count), _soft(np.abs(at - 0.36) / count, 0.03 / count)


def _lattice(x: np.ndarray, y: np.ndarray, rng: Rng) -> tuple[np.ndarray, np.ndarray]:
    n = int(rng.integers(2, 5))
    a, b = np.abs(np.mod((x + y) * n, 1) - 0.5), np.abs(np.mod((x - y) * n, 1) - 0.5)
    return _soft(np.minimum(a, b) / n, 0.05 / n), _soft(np.hypot(a - 0.5, b - 0.5) / n, 0.12 / n)


def _fans(x: np.ndarray, y: np.ndarray, rng: Rng) -> tuple[np.ndarray, np.ndarray]:
    n = int(rng.integers(2, 5))
    row = np.floor(y * 2 * n)
    cx, cy = np.mod(x * n + 0.5 * (row % 2), 1) - 0.5, (np.mod(y * 2 * n, 1)) / 2
    r = np.hypot(cx, cy)
    rings = np.abs(np.mod(r * 6, 1) - 0.5)
    return _soft(rings / 6 / n, 0.16 / 6 / n), _soft(r / n, 0.07 / n)


def _leaves(x: np.ndarray, y: np.ndarray, rng: Rng) -> tuple[np.ndarray, np.ndarray]:
    leaf, berry = np.zeros_like(x), np.zeros_like(x)
    for _ in range(int(rng.integers(14, 26))):
        cx, cy, turn, long = rng.random(), rng.random(), rng.uniform(0, np.pi), rng.uniform(0.06, 0.14)
        dx, dy = np.mod(x - cx + 0.5, 1) - 0.5, np.mod(y - cy + 0.5, 1) - 0.5
        u, v = np.cos(turn) * dx + np.sin(turn) * dy, -np.sin(turn) * dx + np.cos(turn) * dy
        inside = np.abs(v) - 0.32 * (long - np.abs(u)) * (np.abs(u) < long)
        leaf = np.maximum(leaf, _soft(inside, 0.0) * (np.abs(u) < long) * (np.abs(v) > 0.004))
        berry = np.maximum(berry, _soft(np.hypot(u - 1.2 * long, v), 0.014))
    return leaf, berry


def _dashes(x: np.ndarray, y: np.ndarray, rng: Rng) -> tuple[np.ndarray, np.ndarray]:
    n = int(rng.integers(4, 9))
    cell = (np.floor(x * n) + np.floor(y * n)) % 2
    u, v = np.abs(np.mod(x * n, 1) - 0.5), np.abs(np.mod(y * n, 1) - 0.5)
    first, second = np.where(cell > 0, u, v), np.where(cell > 0, v, u)
    return _soft(np.maximum(first - 0.3, second - 0.07) / n, 0.0), _soft(np.hypot(u - 0.5, v - 0.5) / n, 0.08 / n)


def wood(rgb: RGB, rng: Rng, gloss: float = 0.3) -> Surface:
    """Grain that runs along v, oiled or varnished."""
    side = 768
    warp = _noise(rng, side, 60.0)
    along = np.take(_noise(rng, side, 26.0), (np.arange(side) // 10), axis=0)
    rings = np.sin(2 * np.pi * (np.arange(side)[None, :] / side * 14 + 0.35 * warp + 0.5 * along))
    pores = np.take(rng.standard_normal((side // 24 + 1, side)), np.arange(side) // 24, axis=0)
    tone = 1 + 0.16 * rings + 0.05 * pores
    picture = np.clip(np.array(rgb) * tone[..., None] ** np.array([0.8, 1.0, 1.25]), 0.01, 0.85)
    bsdf = {"type": "roughplastic", "alpha": gloss, "nonlinear": True, "diffuse_reflectance": _bitmap(picture)}
    return Surface(bsdf, (280.0, 1100.0))
