"""Grain: smooth noise, the joints of laid things (tiles, bricks, stones) and how a picture of them becomes a material."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import mitsuba as mi
import numpy as np
from scipy.spatial import cKDTree

from sample_images.studio.surfaces import Surface

RGB = tuple[float, float, float]
Laid = tuple[np.ndarray, np.ndarray]  # a number for every piece, and the distance to its joint in mm
LARGEST = 1536


def colour(code: str) -> np.ndarray:
    """Linear reflectance of a colour written as on a paint card, e.g. 'd8d2c4'."""
    s = np.array([int(code[i : i + 2], 16) for i in (0, 2, 4)]) / 255
    return np.where(s <= 0.04045, s / 12.92, ((s + 0.055) / 1.055) ** 2.4) * 0.94


def grey(rgb: np.ndarray) -> float:
    return float(np.asarray(rgb) @ [0.2126, 0.7152, 0.0722])


def near_grey(rgb: np.ndarray, other: np.ndarray) -> np.ndarray:
    """Another colour brought to the same grey value."""
    return np.clip(np.asarray(other) * grey(rgb) / max(grey(other), 1e-3), 0.01, 0.9)


def cloud(rng: np.random.Generator, shape: tuple[int, int], scale: tuple[float, float]) -> np.ndarray:
    """Periodic noise of unit spread; scale in pixels downward and across."""
    fy, fx = np.fft.fftfreq(shape[0])[:, None], np.fft.rfftfreq(shape[1])[None, :]
    low = np.exp(-2 * np.pi**2 * ((scale[0] * fy) ** 2 + (scale[1] * fx) ** 2))
    low[0, 0] = 0
    field = np.fft.irfft2(np.fft.rfft2(rng.standard_normal(shape, dtype=np.float32)) * low, s=shape)
    return (field / max(float(field.std()), 1e-9)).astype(np.float32)


@dataclass(frozen=True)
class Sheet:
    """A rectangle of pattern that repeats: size in mm, and the millimetre coordinates of its pixels."""

    width: float
    height: float
    x: np.ndarray
    y: np.ndarray

    @property
    def shape(self) -> tuple[int, int]:
        return self.x.shape[0], self.x.shape[1]

    @property
    def px_per_mm(self) -> float:
        return self.shape[1] / self.width


def sheet(width: float, height: float, px_per_mm: float = 1.6, largest: int = LARGEST) -> Sheet:
    scale = min(px_per_mm, largest / max(width, height))
    nx, ny = max(8, round(width * scale)), max(8, round(height * scale))
    x, y = np.meshgrid((np.arange(nx) + 0.5) * width / nx, (np.arange(ny) + 0.5) * height / ny)
    return Sheet(width, height, x.astype(np.float32), y.astype(np.float32))


def rows(cell: tuple[float, float], shift: float = 0.0, about: float = 900.0) -> tuple[Sheet, Laid]:
    """Courses of equal pieces, every course moved on by a part of the width."""
    w, h = cell
    across, up = max(1, round(about / w)), max(1, round(about / h))
    steps = 1 if shift == 0 else max(1, round(1 / shift))
    up = steps * max(1, round(up / steps))
    field = sheet(across * w, up * h)
    row = np.floor(field.y / h)
    x = field.x + row * shift * w
    column = np.floor(x / w)
    joint = np.minimum(_from(x, w), _from(field.y, h))
    return field, ((row * across + column % across).astype(int), joint)


def turned(laid: tuple[Sheet, Laid]) -> tuple[Sheet, Laid]:
    """The same pattern stood on end."""
    field, (number, joint) = laid
    made = sheet(field.height, field.width)
    return Sheet(field.height, field.width, *_resize(made, number.T.shape)), (number.T, joint.T)


def _resize(made: Sheet, shape: tuple[int, int]) -> tuple[np.ndarray, np.ndarray]:
    ny, nx = shape
    x, y = np.meshgrid((np.arange(nx) + 0.5) * made.width / nx, (np.arange(ny) + 0.5) * made.height / ny)
    return x.astype(np.float32), y.astype(np.float32)


def slanting(side: float, about: float = 900.0) -> tuple[Sheet, Laid]:
    """Squares on their corners."""
    n = max(2, round(about / side / np.sqrt(2)))
    field = sheet(n * side * np.sqrt(2), n * side * np.sqrt(2))
    u, v = (field.x + field.y) / np.sqrt(2), (field.x - field.y) / np.sqrt(2)
    number = (np.floor(u / side) % n) * n + np.floor(v / side) % n
    return field, (number.astype(int), np.minimum(_from(u, side), _from(v, side)))


def herringbone(width: float, ratio: int = 3, about: float = 900.0) -> tuple[Sheet, Laid]:
    """Oblongs, by turns lying and standing."""
    n = 2 * ratio * max(1, round(about / (2 * ratio * width)))
    field = sheet(n * width, n * width)
    i, j = np.floor(field.x / width), np.floor(field.y / width)
    d = np.mod(i - j, 2 * ratio)
    lying = d < ratio
    start_x, start_y = np.where(lying, i - d, i), np.where(lying, j, j - (2 * ratio - 1 - d))
    x, y = field.x - start_x * width, field.y - start_y * width
    long, short = np.where(lying, x, y), np.where(lying, y, x)
    joint = np.minimum(np.minimum(long, ratio * width - long), np.minimum(short, width - short))
    return field, ((np.mod(start_x, n) * n + np.mod(start_y, n)).astype(int), joint)


def basket(block: float, strips: int = 2, about: float = 900.0) -> tuple[Sheet, Laid]:
    """Blocks of a few strips, by turns lying and standing."""
    n = 2 * max(1, round(about / block / 2))
    field = sheet(n * block, n * block)
    i, j = np.floor(field.x / block), np.floor(field.y / block)
    x, y = field.x - i * block, field.y - j * block
    across = np.where((i + j) % 2 == 0, y, x)
    strip = np.floor(across * strips / block)
    joint = np.minimum(np.minimum(_from(x, block), _from(y, block)), _from(across, block / strips))
    return field, (((i * n + j) * strips + strip).astype(int), joint)


def around(centres: np.ndarray, size: tuple[float, float], px_per_mm: float = 0.9) -> tuple[Sheet, Laid]:
    """Every point belongs to the nearest centre: honeycombs, rubble, crazy paving."""
    field = sheet(size[0], size[1], px_per_mm, 900)
    tree = cKDTree(np.mod(centres, size), boxsize=size)
    points = np.stack([field.x.ravel(), field.y.ravel()], 1)
    far, who = tree.query(np.mod(points, np.array(size) - 1e-3), k=2)
    apart = tree.data[who[:, 0]] - tree.data[who[:, 1]]
    apart = np.linalg.norm(np.mod(apart + np.array(size) / 2, size) - np.array(size) / 2, axis=1)
    joint = (far[:, 1] ** 2 - far[:, 0] ** 2) / (2 * np.maximum(apart, 1.0))
    return field, (who[:, 0].reshape(field.shape), joint.reshape(field.shape).astype(np.float32))


def honeycomb(side: float, about: float = 700.0) -> tuple[Sheet, Laid]:
    nx, ny = max(2, round(about / side)), max(2, round(about / side / np.sqrt(3)))
    i, j = np.meshgrid(np.arange(nx), np.arange(ny))
    one = np.stack([i.ravel() * side, j.ravel() * side * np.sqrt(3)], 1)
    both = np.concatenate([one, one + np.array([side / 2, side * np.sqrt(3) / 2])])
    return around(both, (nx * side, ny * side * np.sqrt(3)))


def rubble(rng: np.random.Generator, stone: tuple[float, float], size: float = 1300.0, wild: float = 0.3) -> tuple[Sheet, Laid]:
    """Stones of uneven size in rough courses."""
    nx, ny = round(size / stone[0]), 2 * round(size / stone[1] / 2)
    i, j = np.meshgrid(np.arange(nx), np.arange(ny))
    cell = np.array([size / nx, size / ny])
    centres = np.stack([(i + 0.5 * (j % 2)).ravel(), j.ravel()], 1) + wild * rng.uniform(-1, 1, (nx * ny, 2))
    field, laid = around(centres * cell * [1, cell[0] / cell[1]], (size, size * cell[0] / cell[1]))
    height = size
    squeezed = Sheet(field.width, height, field.x, field.y * height / field.height)
    return squeezed, laid


def _from(x: np.ndarray, size: float) -> np.ndarray:
    inside = np.mod(x, size)
    return np.minimum(inside, size - inside)


def per_piece(rng: np.random.Generator, number: np.ndarray, spread: float, tint: float = 0.3) -> np.ndarray:
    """A factor for every piece: its tone and a trace of hue."""
    count = 4099
    tone = np.exp(spread * rng.standard_normal((count, 1)) + tint * spread * rng.standard_normal((count, 3)))
    return tone[number % count].astype(np.float32)


def cut(joint: np.ndarray, width: float, px_per_mm: float) -> np.ndarray:
    """1 in the joint, 0 on the piece, soft over a pixel."""
    return np.clip((width / 2 - joint) * px_per_mm + 0.5, 0, 1)[..., None].astype(np.float32)


def material(
    picture: np.ndarray,
    size: tuple[float, float],
    *,
    shine: float | None = None,
    relief: np.ndarray | None = None,
    depth_mm: float = 1.0,
    shift: tuple[float, float] = (0.0, 0.0),
) -> Surface:
    """A linear picture (row 0 lowest) as a matt or glazed surface; the relief (0..1) turns the shading alone."""
    seen = texture(np.clip(picture, 0.008, 0.9))
    bsdf: dict[str, Any] = {"type": "diffuse", "reflectance": seen}
    if shine is not None:
        bsdf = {"type": "roughplastic", "alpha": shine, "diffuse_reflectance": seen, "nonlinear": False}
    if relief is not None:
        bsdf = {"type": "bumpmap", "scale": depth_mm, "height": texture(relief[..., None].astype(np.float32)), "inner": bsdf}
    return Surface(bsdf, size, shift)


def texture(picture: np.ndarray, wrap: str = "repeat") -> dict[str, Any]:
    made = mi.Bitmap(np.ascontiguousarray(picture, dtype=np.float32))
    return {"type": "bitmap", "bitmap": made, "raw": True, "wrap_mode": wrap, "filter_type": "bilinear"}


Maker = Callable[[np.random.Generator], Surface]
