"""Averages of raw pixels along an edge and across it, and the colour direction in which its two sides differ."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vision.geometry.strips import LINEAR, Strip

Array = NDArray[np.float64]
COLOUR_DOUBT = 1.0
"""relative; colour differences are stored coarsely, so they decide only where luma does not separate the sides"""
BIN_PX = 0.5
"""px; width of the bins across the edge; adds 0.02 px^2 to the blur, which is a parameter"""


@dataclass(frozen=True)
class Profiles:
    """Binned profiles: counts (b, m), distance u (b, m) px, colour (b, m, 3) linear light, block centre lines (b,)."""

    count: Array
    u: Array
    colour: Array
    centre: Array


def features(codes: NDArray[np.uint8]) -> Array:
    """Luminance and two colour differences of sRGB codes (..., 3) in linear light (ITU-R BT.709 weights).

    There a blurred edge between two surfaces of equal luminance is as flat in luminance as they are.
    """
    rgb = LINEAR[codes]
    luminance = rgb @ np.array([0.2126, 0.7152, 0.0722], dtype=np.float32)
    return np.stack([luminance, 0.5 * (rgb[..., 2] - luminance), 0.5 * (rgb[..., 0] - luminance)], axis=-1)


def stored_features(codes: NDArray[np.uint8]) -> Array:
    """Luma and two colour differences, 0 to 1, as files store them (ITU-T T.871), of sRGB codes (..., 3)."""
    rgb = codes.astype(np.float32) / np.float32(255)
    luma = rgb @ np.array([0.299, 0.587, 0.114], dtype=np.float32)
    return np.stack([luma, 0.5 * (rgb[..., 2] - luma), 0.5 * (rgb[..., 0] - luma)], axis=-1)


def profiles(strip: Strip, curve: Array, lines: tuple[int, int], blocks: int, half_px: float) -> Profiles:
    """Average raw pixels into blocks along and bins across, by their distance normal to `curve` (one position a scan line)."""
    return _averaged(strip, curve, lines, (blocks, half_px), features)


def stored_profiles(strip: Strip, curve: Array, lines: tuple[int, int], blocks: int, half_px: float) -> Profiles:
    """The same of luma and colour differences as stored."""
    return _averaged(strip, curve, lines, (blocks, half_px), stored_features)


def _averaged(
    strip: Strip,
    curve: Array,
    lines: tuple[int, int],
    grid: tuple[int, float],
    of: Callable[[NDArray[np.uint8]], Array],
) -> Profiles:
    blocks, half_px = grid
    k = np.arange(lines[0], lines[1])
    tangent = np.gradient(curve)[k]
    cosine = 1.0 / np.sqrt(1.0 + tangent**2)
    reach = int(np.ceil(half_px / float(cosine.min()))) + 1
    base = np.round(curve[k]).astype(np.int64)
    offsets = np.arange(-reach, reach + 1)
    column = base[:, None] + offsets[None, :] - strip.first[k][:, None]
    u = (base[:, None] + offsets[None, :] - curve[k][:, None]) * cosine[:, None]
    inside = (column >= 0) & (column < strip.pixels.shape[1]) & (np.abs(u) < half_px)
    values = of(strip.pixels[k[:, None], np.clip(column, 0, strip.pixels.shape[1] - 1)])
    bins = int(2 * half_px / BIN_PX)
    which_bin = np.clip(((u + half_px) / BIN_PX).astype(np.int64), 0, bins - 1)
    which_block = np.minimum((np.arange(len(k)) * blocks) // max(len(k), 1), blocks - 1)
    flat = (which_block[:, None] * bins + which_bin)[inside]
    size = blocks * bins
    count = np.bincount(flat, minlength=size).astype(np.float64)
    safe = np.maximum(count, 1)
    mean_u = np.bincount(flat, u[inside], minlength=size) / safe
    colour = np.stack([np.bincount(flat, values[..., c][inside], minlength=size) / safe for c in range(3)], axis=-1)
    centre = np.array([k[which_block == b].mean() if np.any(which_block == b) else np.nan for b in range(blocks)])
    return Profiles(count.reshape(blocks, bins), mean_u.reshape(blocks, bins), colour.reshape(blocks, bins, 3), centre)


def separating_direction(p: Profiles, inner: float, outer: float) -> tuple[Array, Array]:
    """Colour direction d with d . (B - A) = 1 that best separates the sides, and the step B - A itself, both shape (3,).

    Fisher's discriminant with the within-side scatter of the profiles, and for the colour differences a doubt in proportion to
    their own step.
    """
    low, high = (-outer, -inner), (inner, outer)
    sides = [_side_mean(p, *low), _side_mean(p, *high)]
    seen = np.all(np.isfinite(sides[0] + sides[1]), axis=1)
    if not seen.any():  # one side lies outside the picture
        return np.zeros(3), np.zeros(3)
    step = np.median((sides[1] - sides[0])[seen], axis=0)
    scatter = np.zeros((3, 3))
    total = 0.0
    for side, (a, b) in zip(sides, (low, high), strict=True):
        mask = (p.u > a) & (p.u < b) & (p.count > 0)
        residual = (p.colour - side[:, None, :])[mask]
        weight = p.count[mask]
        good = np.all(np.isfinite(residual), axis=1)
        scatter += (residual[good] * weight[good, None]).T @ residual[good]
        total += float(good.sum())
    scatter = scatter / max(total, 1.0)
    scatter += np.eye(3) * 1e-6
    scatter[1, 1] += (COLOUR_DOUBT * step[1]) ** 2
    scatter[2, 2] += (COLOUR_DOUBT * step[2]) ** 2
    direction = np.linalg.solve(scatter, step)
    gain = float(direction @ step)
    if gain <= 0:
        return np.zeros(3), np.zeros(3)
    return np.asarray(direction / gain, dtype=np.float64), step


def side_light(p: Profiles, inner: float, outer: float) -> tuple[float, float]:
    """Median luminance (linear) of both sides between two distances; 0 where a side is not seen."""
    low, high = (np.nan_to_num(np.nanmedian(_side_mean(p, a, b)[:, 0])) for a, b in ((-outer, -inner), (inner, outer)))
    return float(low), float(high)


def _side_mean(p: Profiles, low: float, high: float) -> Array:
    """Mean colour per block, shape (b, 3), of the bins between two distances."""
    weight = np.where((p.u > low) & (p.u < high), p.count, 0.0)
    total = weight.sum(axis=1, keepdims=True)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(np.einsum("bm,bmc->bc", weight, p.colour) / total)
