"""What walls are made of in the twelfth rooms: colour, relief and gloss as periodic maps, turned into materials."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import mitsuba as mi
import numpy as np
from studio.surfaces import Surface

RGB = tuple[float, float, float]
Rng = np.random.Generator


@dataclass(frozen=True)
class Fabric:
    """Maps with row 0 at the bottom: colour (h, w, 3), height in mm (h, w), roughness (h, w); size of one repeat in mm."""

    colour: np.ndarray
    height: np.ndarray | None
    rough: np.ndarray
    size_mm: tuple[float, float]

    def mean(self) -> np.ndarray:
        return np.asarray(self.colour.reshape(-1, 3).mean(axis=0))

    def surface(self, shift: tuple[float, float] = (0.0, 0.0)) -> Surface:
        bsdf: dict[str, Any] = {
            "type": "principled",
            "base_color": texels(np.clip(self.colour, 0.01, 0.9)),
            "roughness": texels(np.clip(self.rough, 0.08, 1.0)[..., None]),
            "specular": 0.45,
        }
        if self.height is not None:
            bsdf = {"type": "normalmap", "normalmap": texels(self._normals()), "bsdf": bsdf}
        return Surface(bsdf, self.size_mm, shift)

    def _normals(self) -> np.ndarray:
        rows, columns = self.height.shape  # type: ignore[union-attr]
        sx, sy = self.size_mm[0] / columns, self.size_mm[1] / rows
        gx = (np.roll(self.height, -1, 1) - np.roll(self.height, 1, 1)) / (2 * sx)
        gy = (np.roll(self.height, -1, 0) - np.roll(self.height, 1, 0)) / (2 * sy)
        gx, gy = np.clip(gx, -0.8, 0.8), np.clip(gy, -0.8, 0.8)
        n = np.stack([-gx, -gy, np.ones_like(gx)], axis=2)
        return 0.5 + 0.5 * n / np.linalg.norm(n, axis=2, keepdims=True)


def texels(picture: np.ndarray, wrap: str = "repeat") -> dict[str, Any]:
    bitmap = mi.Bitmap(np.ascontiguousarray(picture.astype(np.float32)))
    return {"type": "bitmap", "bitmap": bitmap, "raw": True, "wrap_mode": wrap, "filter_type": "bilinear"}


def noise(rng: Rng, shape: tuple[int, int], scale: float | tuple[float, float]) -> np.ndarray:
    """Periodic smooth noise with unit spread; scale in pixels, alike or (down, across)."""
    down, across = (scale, scale) if isinstance(scale, int | float) else scale
    fy, fx = np.fft.fftfreq(shape[0])[:, None], np.fft.rfftfreq(shape[1])[None, :]
    low = np.exp(-2 * np.pi**2 * ((down * fy) ** 2 + (across * fx) ** 2))
    low[0, 0] = 0
    field = np.fft.irfft2(np.fft.rfft2(rng.standard_normal(shape)) * low, s=shape)
    return np.asarray(field / (field.std() + 1e-12))


def shape_of(size_mm: tuple[float, float], px: float) -> tuple[int, int]:
    return max(8, round(size_mm[1] * px)), max(8, round(size_mm[0] * px))


@dataclass(frozen=True)
class Laid:
    """How tiles, bricks or boards are laid."""

    width: float
    height: float
    joint: float
    rgb: RGB
    joint_rgb: RGB
    bond: float = 0.0  # share of a width by which every other row is shifted
    vary: float = 0.04  # from piece to piece
    swell: float = 0.0  # mm, uneven glaze
    tilt: float = 0.0  # mm across a piece
    deep: float = 0.8  # mm, joint below the face
    rough: float = 0.15
    stain: float = 0.15  # of the joints
    cloud: float = 0.0  # within a piece
    vein: float = 0.0


def laid(how: Laid, rng: Rng, px: float, side_mm: float = 900.0) -> Fabric:
    columns = max(1, round(side_mm / how.width))
    rows = max(2, 2 * round(side_mm / how.height / 2))
    size = (columns * how.width, rows * how.height)
    tone = 1 + how.vary * rng.standard_normal((rows, columns, 1)) + 0.35 * how.vary * rng.standard_normal((rows, columns, 3))
    slope = rng.uniform(-1, 1, (rows, columns, 2)) * how.tilt
    shape = shape_of(size, px)
    y = (np.arange(shape[0]) + 0.5)[:, None] * size[1] / shape[0]
    x = (np.arange(shape[1]) + 0.5)[None, :] * size[0] / shape[1]
    row = (y // how.height).astype(int) % rows
    moved = x + how.bond * how.width * (row % 2)
    column = (moved // how.width).astype(int) % columns
    u, v = np.mod(moved, how.width), np.mod(y, how.height)
    rag = 0.35 * noise(rng, shape, 6 * px) * (how.swell > 0.15)
    edge = np.minimum(np.minimum(u, how.width - u), np.minimum(v, how.height - v)) + rag
    joint = np.clip((how.joint / 2 - edge) * px + 0.5, 0, 1)
    pick = (row + 0 * column, column + 0 * row)
    piece = np.array(how.rgb) * tone[pick]
    if how.cloud:
        piece *= (1 + how.cloud * noise(rng, shape, 14 * px))[..., None]
    if how.vein:
        piece *= (1 - how.vein * veins(rng, shape, px))[..., None]
    dirt = 1 - how.stain * np.clip(0.5 + 0.6 * noise(rng, shape, 45 * px), 0, 1.6)
    filler = np.array(how.joint_rgb) * (dirt * (1 + 0.06 * rng.standard_normal(shape)))[..., None]
    mix = joint[..., None]
    height = slope[..., 0][pick] * (u / how.width - 0.5) + slope[..., 1][pick] * (v / how.height - 0.5)
    height = height + how.swell * noise(rng, shape, 12 * px) - how.deep * np.exp(-np.clip(edge - how.joint / 2, 0, None) / 1.2)
    return Fabric(piece * (1 - mix) + filler * mix, height, how.rough + (0.9 - how.rough) * joint, size)


def veins(rng: Rng, shape: tuple[int, int], px: float) -> np.ndarray:
    """Thin and broad dark lines, 0 to 1."""
    slant = noise(rng, shape, (90 * px, 50 * px)) + 0.25 * noise(rng, shape, 14 * px)
    broad = noise(rng, shape, (70 * px, 120 * px)) + 0.15 * noise(rng, shape, 8 * px)
    thin = np.exp(-((slant / 0.05) ** 2)) * np.clip(0.5 + noise(rng, shape, 60 * px), 0, 1)
    return np.clip(thin + 0.35 * np.exp(-((broad / 0.3) ** 2)), 0, 1)


def _flat(rgb: RGB, size_mm: float, px: float) -> tuple[np.ndarray, tuple[int, int]]:
    shape = shape_of((size_mm, size_mm), px)
    return np.ones((*shape, 3)) * np.array(rgb), shape


def chalk(rgb: RGB, rng: Rng, px: float) -> Fabric:
    """Chalky paint: brush and roller marks, faint clouds, quite matt."""
    colour, shape = _flat(rgb, 1100, px)
    brush = noise(rng, shape, (3 * px, 40 * px)) + noise(rng, shape, (30 * px, 3 * px))
    colour *= (1 + 0.012 * brush + 0.03 * noise(rng, shape, 90 * px))[..., None]
    return Fabric(
        colour, 0.04 * noise(rng, shape, 1.6 * px) + 0.5 * noise(rng, shape, 70 * px), np.full(shape, 0.85), (1100,) * 2
    )


def emulsion(rgb: RGB, rng: Rng, px: float) -> Fabric:
    colour, shape = _flat(rgb, 1000, px)
    colour *= (1 + 0.01 * noise(rng, shape, 25 * px))[..., None]
    return Fabric(
        colour, 0.035 * noise(rng, shape, 1.3 * px) + 0.3 * noise(rng, shape, 50 * px), np.full(shape, 0.5), (1000,) * 2
    )


def microcement(rgb: RGB, rng: Rng, px: float) -> Fabric:
    colour, shape = _flat(rgb, 1200, px)
    trowel = np.abs(noise(rng, shape, (9 * px, 60 * px))) + np.abs(noise(rng, shape, (50 * px, 12 * px)))
    colour *= (1 + 0.07 * noise(rng, shape, 80 * px) - 0.045 * trowel + 0.02 * noise(rng, shape, 2 * px))[..., None]
    return Fabric(colour, 0.12 * noise(rng, shape, 30 * px), 0.35 + 0.08 * np.clip(trowel, 0, 2), (1200,) * 2)


def slab(rgb: RGB, rng: Rng, px: float) -> Fabric:
    """Polished stone in plates with hairline joints."""
    how = Laid(750, 1200, 1.2, rgb, tuple(0.75 * c for c in rgb), vary=0.015, deep=0.2, rough=0.1, vein=0.45, cloud=0.03)  # type: ignore[arg-type]
    return laid(how, rng, px, 1400)


def terrazzo(rgb: RGB, rng: Rng, px: float) -> Fabric:
    colour, shape = _flat(rgb, 800, px)
    for scale, level in ((7, 1.25), (4, 1.35), (2.2, 1.5)):
        chip = np.clip((noise(rng, shape, scale * px) - level) * 8, 0, 1)[..., None]
        tint = np.array(rgb) * 0.5 + 0.5 * rng.uniform(0.05, 0.8, 3)
        colour = colour * (1 - chip) + tint * chip
    return Fabric(colour, None, np.full(shape, 0.2), (800,) * 2)


def boards(rgb: RGB, rng: Rng, px: float, *, painted: bool = False) -> Fabric:
    """Upright boards with a groove; bare ones show grain."""
    wide = float(rng.choice([68, 95, 120, 146]))
    count = max(4, round(900 / wide))
    size = (count * wide, 1300.0)
    shape = shape_of(size, px)
    x = (np.arange(shape[1]) + 0.5)[None, :] * size[0] / shape[1] + np.zeros((shape[0], 1))
    u, board = np.mod(x, wide), (x // wide).astype(int) % count
    edge = np.minimum(u, wide - u)
    tone = (1 + (0.01 if painted else 0.1) * rng.standard_normal(count))[board]
    grain = noise(rng, shape, (140 * px, 1.2 * px)) + 0.8 * noise(rng, shape, (90 * px, 5 * px))
    amount = 0.008 if painted else 0.09
    colour = np.array(rgb) * (tone * (1 + amount * grain))[..., None]
    colour *= (1 - 0.55 * np.exp(-((edge / 1.3) ** 2)))[..., None]
    bead = 0.6 * np.exp(-(((u - 7) / 3.0) ** 2)) if painted else 0.0
    height = -1.4 * np.exp(-((edge / 1.8) ** 2)) + bead + 0.02 * grain
    return Fabric(colour, height, np.full(shape, 0.35 if painted else 0.45), size)


def _leafy(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    bend = 0.18 * np.sin(2 * np.pi * y)
    stem = np.abs(x - 0.5 - bend) < 0.016
    leaf = np.zeros_like(stem)
    for at, way in ((0.12, 1), (0.37, -1), (0.62, 1), (0.87, -1)):
        cx = 0.5 + 0.18 * np.sin(2 * np.pi * at) + 0.19 * way
        leaf |= ((x - cx) * 0.9 + way * (y - at) * 0.7) ** 2 / 0.018 + ((y - at) * 0.9 - way * (x - cx) * 0.7) ** 2 / 0.0028 < 1
    return stem | leaf


def _trellis(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    a = np.abs(np.abs(x - 0.5) + np.abs(y - 0.5) - 0.5) < 0.03
    return a | (np.hypot(x - 0.5, y - 0.5) < 0.09)


def _stripes(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    return (x < 0.38) | (np.abs(x - 0.69) < 0.04 + 0 * y)


def _scales(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    near = np.min([np.hypot(x - a, 0.8 * (y - b)) for a, b in ((0, 0), (1, 0), (0.5, 0.5))], axis=0)
    return np.abs(np.mod(near * 6, 1) - 0.5) < 0.14


def paper(rgb: RGB, rng: Rng, px: float) -> Fabric:
    """Wallpaper: one of four drawings of our own, repeated, on a faintly woven ground."""
    drawing: Callable[[np.ndarray, np.ndarray], np.ndarray] = (_leafy, _trellis, _stripes, _scales)[int(rng.integers(4))]
    cell = (float(rng.choice([90, 130, 180])), float(rng.choice([110, 160, 220])))
    count = (max(1, round(700 / cell[0])), max(1, round(700 / cell[1])))
    size = (cell[0] * count[0], cell[1] * count[1])
    shape = shape_of(size, px)
    x = np.mod((np.arange(shape[1]) + 0.5)[None, :] / shape[1] * count[0], 1) + np.zeros((shape[0], 1))
    y = np.mod((np.arange(shape[0]) + 0.5)[:, None] / shape[0] * count[1], 1) + np.zeros((1, shape[1]))
    ground = np.array(rgb)
    ink = np.clip(ground * rng.uniform(0.35, 0.8) + rng.uniform(-0.05, 0.1, 3), 0.02, 0.85)
    on = drawing(x, y)[..., None]
    colour = np.where(on, ink, ground) * (1 + 0.02 * rng.standard_normal(shape))[..., None]
    return Fabric(colour, 0.03 * noise(rng, shape, 1.1 * px), np.full(shape, 0.7), size)


def brick(rgb: RGB, rng: Rng, px: float) -> Fabric:
    """Bricks under many coats of paint."""
    joint = tuple(0.93 * c for c in rgb)
    how = Laid(225, 75, 10, rgb, joint, 0.5, 0.02, 0.35, 0.8, 2.2, 0.55, 0.1)  # type: ignore[arg-type]
    return laid(how, rng, px)
