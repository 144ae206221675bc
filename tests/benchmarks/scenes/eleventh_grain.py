"""The common ground of the patterns: periodic noise, cells, and the way a picture becomes a material."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import mitsuba as mi
import numpy as np

STUDIO = Path(__file__).resolve().parents[3] / "sample_images"
if str(STUDIO) not in sys.path:
    sys.path.insert(0, str(STUDIO))

from studio.surfaces import Surface  # noqa: E402

PX_PER_MM = 1.6
RGB = tuple[float, float, float]


def pixels(length_mm: float) -> int:
    """So many pixels for a length."""
    return max(2, round(length_mm * PX_PER_MM))


def grid(size_mm: tuple[float, float]) -> tuple[np.ndarray, np.ndarray]:
    """Coordinates in millimetres of every pixel of a picture of this size."""
    nx, ny = pixels(size_mm[0]), pixels(size_mm[1])
    y, x = np.mgrid[0:ny, 0:nx]
    return (x + 0.5) * size_mm[0] / nx, (y + 0.5) * size_mm[1] / ny


def cloud(rng: np.random.Generator, shape: tuple[int, int], scale_mm: float | tuple[float, float]) -> np.ndarray:
    """Smooth periodic noise of unit deviation; a pair of scales (across, up) gives a grain."""
    across, up = scale_mm if isinstance(scale_mm, tuple) else (scale_mm, scale_mm)
    fy, fx = np.fft.fftfreq(shape[0])[:, None], np.fft.rfftfreq(shape[1])[None, :]
    low = np.exp(-2 * (np.pi * PX_PER_MM) ** 2 * ((fx * across) ** 2 + (fy * up) ** 2))
    low[0, 0] = 0
    field = np.fft.irfft2(np.fft.rfft2(rng.standard_normal(shape)) * low, shape)
    return np.asarray(field / max(float(field.std()), 1e-9))


def bitmap(picture: np.ndarray, wrap: str = "repeat") -> dict[str, Any]:
    """A linear picture as a texture; row 0 lies at the bottom."""
    texels = mi.Bitmap(np.ascontiguousarray(np.clip(picture, 0.008, 0.92).astype(np.float32)))
    return {"type": "bitmap", "bitmap": texels, "raw": True, "wrap_mode": wrap, "filter_type": "bilinear"}


def coated(picture: np.ndarray, size_mm: tuple[float, float], roughness: float | None = None) -> Surface:
    """A patterned material: matt without a roughness, else with a clear coat of that roughness."""
    if roughness is None:
        return Surface({"type": "diffuse", "reflectance": bitmap(picture)}, size_mm)
    bsdf = {"type": "roughplastic", "alpha": roughness, "nonlinear": True, "diffuse_reflectance": bitmap(picture)}
    return Surface(bsdf, size_mm)


def jointed(glaze: np.ndarray, joint: np.ndarray, rgb: RGB, size_mm: tuple[float, float], roughness: float) -> Surface:
    """Glazed pieces in a matt filler; joint is 1 where the filler is."""
    rng = np.random.default_rng(joint.shape[0])
    speck = 1 + 0.06 * rng.standard_normal(joint.shape)[..., None]
    mask = joint[..., None]
    picture = glaze * (1 - mask) + np.array(rgb) * speck * mask
    shine = {"type": "roughplastic", "alpha": roughness, "diffuse_reflectance": bitmap(picture)}
    weight = {**bitmap(mask), "bitmap": mi.Bitmap(np.ascontiguousarray(mask.astype(np.float32)))}
    bsdf = {"type": "blendbsdf", "weight": weight, "a": shine, "b": {"type": "diffuse", "reflectance": bitmap(picture)}}
    return Surface(bsdf, size_mm)


def cells(
    rng: np.random.Generator, size_mm: tuple[float, float], pitch_mm: float, wander: float = 0.4
) -> tuple[np.ndarray, np.ndarray, np.ndarray, int]:
    """Periodic irregular cells: distance to the nearest seed, to the second nearest, number of the nearest, how many."""
    nx, ny = round(size_mm[0] / pitch_mm), round(size_mm[1] / pitch_mm)
    px, py = size_mm[0] / nx, size_mm[1] / ny
    moved = rng.uniform(-wander, wander, (ny, nx, 2))
    x, y = grid(size_mm)
    column, row = (x // px).astype(int), (y // py).astype(int)
    first, second = np.full(x.shape, 1e9), np.full(x.shape, 1e9)
    owner = np.zeros(x.shape, int)
    for dy in (-1, 0, 1):
        for dx in (-1, 0, 1):
            c, r = column + dx, row + dy
            shift = moved[r % ny, c % nx]
            away = np.hypot(x - (c + 0.5 + shift[..., 0]) * px, y - (r + 0.5 + shift[..., 1]) * py)
            nearer = away < first
            second = np.where(nearer, first, np.minimum(second, away))
            owner = np.where(nearer, (r % ny) * nx + c % nx, owner)
            first = np.where(nearer, away, first)
    return first, second, owner, nx * ny
