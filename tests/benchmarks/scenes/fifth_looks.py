"""Finishes: tiles, marble, mosaic, paint, microcement, wallpaper, as linear reflectances at 1.5 pixels a millimetre."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import cv2
import mitsuba as mi
import numpy as np

from .fifth_studio import RGB, Picture

from studio.surfaces import Surface  # isort: skip

PX = 1.5


@dataclass(frozen=True)
class Tiles:
    width_mm: float
    height_mm: float
    rgb: RGB
    grout_rgb: RGB = (0.5, 0.49, 0.46)
    grout_mm: float = 2.5
    bond: float = 0.0  # shift from course to course, in widths: 0, 1/2 or 1/3
    rough: float = 0.16
    vary: float = 0.03
    cloud: float = 0.0
    vein: float = 0.0
    vein_rgb: RGB = (0.3, 0.3, 0.31)
    bevel_mm: float = 0.0


def smooth(rng: np.random.Generator, shape: tuple[int, int], cell_px: float) -> Picture:
    """Periodic smooth noise (h, w) of about unit spread."""
    ny, nx = shape
    low = rng.standard_normal((max(2, round(ny / cell_px)), max(2, round(nx / cell_px)))).astype(np.float32)
    sy, sx = ny / low.shape[0], nx / low.shape[1]
    pad = np.pad(low, 2, mode="wrap")
    big = cv2.resize(pad, (round(pad.shape[1] * sx), round(pad.shape[0] * sy)), interpolation=cv2.INTER_CUBIC)
    oy, ox = round(2 * sy), round(2 * sx)
    return np.asarray(big[oy : oy + ny, ox : ox + nx] / 0.75, np.float32)


def bitmap(picture: Picture, wrap: str = "repeat") -> dict[str, Any]:
    texels = mi.Bitmap(np.ascontiguousarray(np.clip(picture, 0.01, 0.9).astype(np.float32)))
    return {"type": "bitmap", "bitmap": texels, "raw": True, "wrap_mode": wrap, "filter_type": "bilinear"}


def glossy(picture: Picture, repeat_mm: tuple[float, float], rough: float, shift_mm: tuple[float, float]) -> Surface:
    bsdf = {"type": "roughplastic", "alpha": rough, "diffuse_reflectance": bitmap(picture)}
    return Surface(bsdf, repeat_mm, shift_mm)


def matt(picture: Picture, repeat_mm: tuple[float, float], shift_mm: tuple[float, float] = (0.0, 0.0)) -> Surface:
    return Surface({"type": "diffuse", "reflectance": bitmap(picture)}, repeat_mm, shift_mm)


def veins(rng: np.random.Generator, shape: tuple[int, int]) -> Picture:
    """0 to 1: thin branching lines and their soft halo."""
    bent = smooth(rng, shape, 330) + 0.5 * smooth(rng, shape, 120) + 0.22 * smooth(rng, shape, 34) + 0.08 * smooth(rng, shape, 9)
    where = np.clip(0.6 + 0.7 * smooth(rng, shape, 240), 0, 1)
    thin, soft = np.exp(-((bent / 0.035) ** 2)), np.exp(-((bent / 0.22) ** 2))
    return np.asarray(where * (0.75 * thin + 0.3 * soft), np.float32)


def tiled(look: Tiles, rng: np.random.Generator) -> Surface:
    period = {0.0: 1, 0.5: 2}.get(look.bond, 3)
    columns = max(2, round(1250 / look.width_mm))
    rows = max(period, period * round(1250 / look.height_mm / period))
    repeat = (columns * look.width_mm, rows * look.height_mm)
    nx, ny = (int(np.ceil(side * PX)) for side in repeat)
    x, y = (np.arange(nx, dtype=np.float32) + 0.5) * repeat[0] / nx, (np.arange(ny, dtype=np.float32) + 0.5) * repeat[1] / ny
    row = (y // look.height_mm).astype(int)
    across = x[None, :] + (look.bond * (row % period) * look.width_mm)[:, None]
    column = (across // look.width_mm).astype(int) % columns
    u, v = np.mod(across, look.width_mm), np.mod(y, look.height_mm)[:, None]
    joint = np.minimum(np.minimum(u, look.width_mm - u), np.minimum(v, look.height_mm - v))
    grout = np.clip((look.grout_mm / 2 - joint) * PX + 0.5, 0, 1)[..., None]
    tone = 1 + look.vary * rng.standard_normal((rows, columns, 1)) + 0.4 * look.vary * rng.standard_normal((rows, columns, 3))
    body = (np.array(look.rgb) * tone).astype(np.float32)[row[:, None], column]
    if look.cloud:
        body = body * (1 + look.cloud * (smooth(rng, (ny, nx), 150) + 0.5 * smooth(rng, (ny, nx), 12)))[..., None]
    if look.vein:
        amount = (look.vein * veins(rng, (ny, nx)))[..., None]
        body = body * (1 - amount) + np.array(look.vein_rgb, np.float32) * amount
    if look.bevel_mm:
        body = body * (1 + _bevel(u, v, look))[..., None]
    speck = 1 + 0.05 * rng.standard_normal((ny, nx, 1)).astype(np.float32)
    picture = body * (1 - grout) + np.array(look.grout_rgb, np.float32) * speck * grout
    shift = (float(rng.uniform(0, look.width_mm)), float(rng.uniform(0, look.height_mm)))
    return glossy(np.asarray(picture, np.float32), repeat, look.rough, shift)


def _bevel(u: Picture, v: Picture, look: Tiles) -> Picture:
    """Light from above left on the slopes of a bevelled tile; painted, the wall is flat."""
    sides = np.stack(np.broadcast_arrays(u, look.width_mm - u, v, look.height_mm - v))
    nearest = sides.argmin(axis=0)
    shade = np.array([0.05, -0.07, -0.13, 0.1], np.float32)[nearest]
    return np.asarray(np.where(sides.min(axis=0) < look.bevel_mm, shade, 0), np.float32)


def painted(rgb: RGB, rng: np.random.Generator, mottle: float = 0.012) -> Surface:
    side = 768
    uneven = mottle * (0.6 * smooth(rng, (side, side), 5) + 0.8 * smooth(rng, (side, side), 60))
    return matt(np.asarray(np.array(rgb) * (1 + uneven[..., None]), np.float32), (side * 1.1, side * 1.1))


def microcement(rgb: RGB, rng: np.random.Generator) -> Surface:
    side = 1500
    shape = (side, side)
    cloud = 0.05 * smooth(rng, shape, 260) + 0.05 * smooth(rng, shape, 70) + 0.02 * smooth(rng, shape, 14)
    sweep = cv2.GaussianBlur(smooth(rng, shape, 5), (41, 3), 12)
    picture = np.array(rgb, np.float32) * (1 + cloud + 0.05 * sweep)[..., None]
    return glossy(np.asarray(picture, np.float32), (1200.0, 1200.0), 0.4, (float(rng.uniform(0, 900)), 0.0))


def wallpaper(ground: RGB, ink: RGB, rng: np.random.Generator) -> Surface:
    """Stripes, sprigs or dots, 530 mm a width."""
    side = 800
    picture = np.ones((side, side, 3), np.float32) * np.array(ground, np.float32)
    kind = rng.integers(3)
    if kind == 0:
        count = int(rng.choice([5, 8, 10]))
        stripe = np.mod(np.arange(side) * count / side, 1) < rng.uniform(0.25, 0.5)
        picture[:, stripe] = 0.45 * picture[:, stripe] + 0.55 * np.array(ink, np.float32)
        return matt(picture, (530.0, 530.0))
    step = side // int(rng.choice([4, 5, 8]))
    for r in range(side // step):
        for c in range(side // step):
            at = np.array([(c + 0.25 + 0.5 * (r % 2)) * step, (r + 0.5) * step])
            leaves = 5 if kind == 1 else 1
            for k in range(leaves):
                way = 2.513 * k + 0.7 * (r % 3)
                offset = 0.2 * step * np.array([np.cos(way), np.sin(way)]) * (kind == 1)
                centre = tuple(int(16 * q) for q in at + offset)
                size = (int(16 * 0.15 * step), int(16 * (0.06 if kind == 1 else 0.15) * step))
                cv2.ellipse(picture, centre, size, float(np.degrees(way)), 0, 360, ink, -1, cv2.LINE_8, 4)
    return matt(picture, (530.0, 530.0))


def stone(rgb: RGB, rng: np.random.Generator, rough: float = 0.15) -> Surface:
    """Granite or composite: speckled, polished."""
    shape = (900, 900)
    speck = 0.16 * smooth(rng, shape, 3) + 0.08 * smooth(rng, shape, 12) + 0.05 * smooth(rng, shape, 120)
    return glossy(np.asarray(np.array(rgb, np.float32) * (1 + speck)[..., None]), (600.0, 600.0), rough, (0.0, 0.0))


def marble(rng: np.random.Generator, rgb: RGB = (0.74, 0.74, 0.72), vein_rgb: RGB = (0.3, 0.3, 0.32)) -> Surface:
    """A slab without joints."""
    look = Tiles(1500, 1500, rgb, grout_mm=0.0, vary=0.0, cloud=0.03, vein=0.8, vein_rgb=vein_rgb, rough=0.1)
    return tiled(look, rng)
