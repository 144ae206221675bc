"""Joints, noise and stone for the finishes of the third family; every pattern repeats and is drawn at 1.6 pixels/mm."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import cv2
import mitsuba as mi
import numpy as np
from studio.surfaces import Surface

PX = 1.6
RGB = tuple[float, float, float]
Rng = np.random.Generator
WHITES: tuple[RGB, ...] = ((0.76, 0.76, 0.74), (0.72, 0.71, 0.67), (0.68, 0.70, 0.70), (0.74, 0.70, 0.62))
EARTHS: tuple[RGB, ...] = ((0.58, 0.50, 0.40), (0.48, 0.42, 0.35), (0.62, 0.56, 0.47), (0.40, 0.36, 0.32))
TINTS: tuple[RGB, ...] = ((0.20, 0.33, 0.28), (0.17, 0.26, 0.38), (0.50, 0.30, 0.24), (0.42, 0.47, 0.40), (0.58, 0.50, 0.30))
GREYS: tuple[RGB, ...] = ((0.42, 0.42, 0.42), (0.30, 0.31, 0.32), (0.55, 0.55, 0.54), (0.19, 0.19, 0.20))


@dataclass(frozen=True)
class Look:
    surface: Surface
    words: str
    rgb: RGB
    tiled: bool = False


@dataclass(frozen=True)
class Cells:
    """Where the joints run: distance to the next one in mm, and which tile a pixel belongs to."""

    joint: np.ndarray
    name: np.ndarray
    repeat: tuple[float, float]


def one_of(rng: Rng, choices: tuple[Any, ...]) -> Any:
    return choices[int(rng.integers(len(choices)))]


def near(rng: Rng, rgb: RGB, spread: float = 0.1) -> RGB:
    """A colour like this one, mostly lighter or darker, a little other in hue."""
    grow = 1 + spread * rng.uniform(-1, 1)
    return tuple(float(np.clip(c * grow * (1 + 0.025 * s), 0.02, 0.8)) for c, s in zip(rgb, rng.uniform(-1, 1, 3), strict=True))  # type: ignore[return-value]


def cloud(rng: Rng, shape: tuple[int, int], across_px: float, up_px: float | None = None) -> np.ndarray:
    """Smooth periodic noise of unit spread whose blots are so many pixels large."""
    grid = [max(3, round(n / size)) for n, size in zip(shape, (up_px or across_px, across_px), strict=True)]
    steps = [n / g for n, g in zip(shape, grid, strict=True)]
    coarse = np.pad(rng.standard_normal(grid), 2, mode="wrap").astype(np.float32)
    y, x = (((np.arange(n) + 0.5) / step + 1.5).astype(np.float32) for n, step in zip(shape, steps, strict=True))
    found = cv2.remap(coarse, *(np.ascontiguousarray(g) for g in np.meshgrid(x, y)), cv2.INTER_CUBIC)
    return found / found.std()


def pixels(repeat: tuple[float, float]) -> tuple[np.ndarray, np.ndarray]:
    nx, ny = (round(side * PX) for side in repeat)
    x, y = (np.arange(nx) + 0.5) * repeat[0] / nx, (np.arange(ny) + 0.5) * repeat[1] / ny
    return np.meshgrid(x.astype(np.float32), y.astype(np.float32))


def rim(inside: np.ndarray, size: float) -> np.ndarray:
    return np.minimum(inside, size - inside)


def bond(width: float, height: float, step: float = 0.0, target: float = 1300.0) -> Cells:
    """Rows of oblong tiles, each row pushed on by a part of a tile."""
    turns = round(1 / step) if step else 1
    columns, rows = max(2, round(target / width)), turns * max(2, round(target / height / turns))
    repeat = (columns * width, rows * height)
    x, y = pixels(repeat)
    row = np.floor(y / height)
    pushed = x + np.mod(row, turns) * step * width
    name = row * columns + np.mod(np.floor(pushed / width), columns)
    return Cells(np.minimum(rim(np.mod(pushed, width), width), rim(np.mod(y, height), height)), name.astype(int), repeat)


def hexagons(width: float, target: float = 1200.0) -> Cells:
    columns, rows = round(target / width), max(1, round(target / width / 3**0.5))
    repeat = (columns * width, rows * width * 3**0.5)
    x, y = pixels(repeat)
    joints, names = [], []
    for odd in (0, 1):
        column, row = np.round(x / width - odd / 2), np.round(y / width / 3**0.5 - odd / 2)
        dx, dy = np.abs(x - (column + odd / 2) * width), np.abs(y - (row + odd / 2) * width * 3**0.5)
        joints.append(width / 2 - np.maximum(dx, dx / 2 + dy * 3**0.5 / 2))
        names.append(2 * (np.mod(row, rows) * columns + np.mod(column, columns)) + odd)
    first = joints[0] > joints[1]
    return Cells(np.where(first, *joints), np.where(first, *names).astype(int), repeat)


def herringbone(width: float, times: int, target: float = 1200.0) -> Cells:
    """Strips laid at right angles to each other, the zigzag upright."""
    count = max(1, round(target / (2 * times * width * 2**0.5))) * 2 * times
    repeat = (count * width * 2**0.5,) * 2
    x, y = pixels(repeat)
    a, b = (x + y) / 2**0.5 / width, (y - x) / 2**0.5 / width
    i, j = np.floor(a), np.floor(b)
    m = np.mod(i - j, 2 * times)
    lying = m < times
    along = np.where(lying, m + a - i, 2 * times - 1 - m + b - j) * width
    over = np.where(lying, b - j, a - i) * width
    start_i, start_j = np.where(lying, i - m, i), np.where(lying, j, j - (2 * times - 1 - m))
    name = np.mod(start_i, count) * count + np.mod(start_j, count)
    return Cells(np.minimum(rim(along, times * width), rim(over, width)), name.astype(int), repeat)


def relief(height_mm: np.ndarray, strength: float) -> np.ndarray:
    """Light from above on a shallow relief, painted on: the wall stays flat."""
    return np.clip(1 + strength * (np.roll(height_mm, 1, 0) - np.roll(height_mm, -1, 0)) * PX / 2, 0.45, 1.35)


def texture(picture: np.ndarray, wrap: str = "repeat") -> dict[str, Any]:
    texels = mi.Bitmap(np.ascontiguousarray(np.clip(picture, 0.012, 0.9).astype(np.float32)))
    return {"type": "bitmap", "bitmap": texels, "raw": True, "wrap_mode": wrap, "filter_type": "bilinear"}


def gloss(picture: np.ndarray, alpha: float, wrap: str = "repeat") -> dict[str, Any]:
    return {"type": "roughplastic", "alpha": alpha, "nonlinear": True, "diffuse_reflectance": texture(picture, wrap)}


def matt(picture: np.ndarray) -> dict[str, Any]:
    return {"type": "diffuse", "reflectance": texture(picture)}


def laid(rng: Rng, cells: Cells, body: np.ndarray, grout: RGB, joint_mm: float, alpha: float, tones: float = 0.03) -> Surface:
    """Tiles with their grout: tones apart from one another, edges a little bevelled."""
    tone = 1 + tones * rng.standard_normal((int(cells.name.max()) + 1, 1))
    glaze = body * tone[cells.name] * relief(np.clip((cells.joint - joint_mm / 2) / 1.2, 0, 1), 0.22)[..., None]
    speck = 1 + 0.06 * rng.standard_normal((*cells.joint.shape, 1), dtype=np.float32)
    filled = np.clip((joint_mm / 2 - cells.joint) * PX + 0.5, 0, 1)[..., None]
    picture = glaze * (1 - filled) + np.array(grout) * speck * filled
    weight = {"type": "bitmap", "bitmap": mi.Bitmap(np.ascontiguousarray(filled.astype(np.float32))), "raw": True}
    made = {"type": "blendbsdf", "weight": weight, "glaze": gloss(picture, alpha), "grout": matt(picture)}
    shift = tuple(float(s) for s in rng.uniform(0, 1, 2) * cells.repeat)
    return Surface(made, cells.repeat, shift)  # type: ignore[arg-type]


def flat(cells: Cells, rgb: RGB) -> np.ndarray:
    return np.broadcast_to(np.array(rgb, np.float32), (*cells.joint.shape, 3))


def stone(rng: Rng, shape: tuple[int, int], ground: RGB, vein: RGB) -> np.ndarray:
    """Clouded stone with a few warped veins."""
    warp = cloud(rng, shape, 300) + 0.35 * cloud(rng, shape, 60)
    lines = np.exp(-np.abs(warp + 0.5 * cloud(rng, shape, 420, 160)) / 0.05) * np.clip(0.5 + 0.5 * cloud(rng, shape, 240), 0, 1)
    soft = 0.04 * cloud(rng, shape, 150) + 0.015 * cloud(rng, shape, 12)
    part = np.clip(lines, 0, 1)[..., None] * 0.8
    return np.array(ground) * (1 + soft[..., None]) * (1 - part) + np.array(vein) * part


def chips(rng: Rng, shape: tuple[int, int], ground: RGB) -> np.ndarray:
    """Terrazzo: angular chips in a cement ground."""
    picture = np.empty((*shape, 3), np.float32)
    picture[:] = ground
    colours = [near(rng, c, 0.2) for c in ((0.7, 0.68, 0.63), (0.12, 0.12, 0.13), (0.45, 0.32, 0.24), (0.4, 0.42, 0.42))]
    for _ in range(int(shape[0] * shape[1] / PX**2 / 260)):
        angle = np.sort(rng.uniform(0, 2 * np.pi, 6))
        radius = rng.gamma(3.0, 1.1) * PX * rng.uniform(0.7, 1.2, 6)
        points = rng.uniform(0, 1, 2) * shape[::-1] + radius[:, None] * np.column_stack([np.cos(angle), np.sin(angle)])
        cv2.fillPoly(picture, [np.round(points * 16).astype(np.int32)], colours[int(rng.integers(4))], cv2.LINE_AA, 4)
    return picture


def timber(rng: Rng, cells: Cells, rgb: RGB, upright: bool) -> np.ndarray:
    """Grain that jumps from board to board."""
    shape = cells.joint.shape
    sizes = ((5, 260), (22, 500)) if upright else ((260, 5), (500, 22))
    grain = 0.06 * cloud(rng, shape, *sizes[0]) + 0.08 * cloud(rng, shape, *sizes[1])
    return np.array(rgb) * (1 + grain[..., None]) * np.array([1.0, 0.98, 0.95])
