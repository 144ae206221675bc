"""A thin dark or bright line (a plumb line) to sub-pixel, in the colour direction that sets it off from both sides."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from vision.geometry.edges import EdgePoints
from vision.geometry.left_out import left_out_px
from vision.geometry.locate import band_profiles
from vision.geometry.profiles import Profiles, profiles
from vision.geometry.strips import Strip
from vision.settings import EdgeSettings

Array = NDArray[np.float64]

FAINTEST_LINE = 0.004
"""of full range; a mean ridge weaker than this is texture"""
MOST_RAGGED_PX = 1.0
"""px at 12 MP; a string is straight: points that scatter by more follow more than one line"""
LEAST_SEEN = 0.5
"""share of a line's blocks that must lie on it; else most of it is something else, such as a corner that runs beside it"""


def observe_thin_line(
    strip: Strip, rough: Array, extent: tuple[float, float], *, scale: float, search_px: float, settings: EdgeSettings
) -> EdgePoints | None:
    """Points of a thin line near `rough` (one position a scan line), or None where none stands out.

    The line is sought as the straight course along which the middle differs most consistently from both sides; each block's
    position is then the centroid of that difference, weighted by a window of about twice the line's width.
    """
    a, b = sorted(extent)
    lines = (max(int(a), 0), min(int(b) + 1, strip.lines))
    if lines[1] - lines[0] < 40:
        return None
    blocks = int(np.clip((lines[1] - lines[0]) // 16, 6, 64))
    width = max(round(2.0 * scale), 1)
    reach = int(np.ceil(search_px)) + 3 * width + 2
    mean, centre = band_profiles(strip, rough, lines, blocks, reach)
    response = _ridge(mean, width)
    shift = _best_course(response, 2 * (centre - a) / (b - a) - 1, search_px)
    if shift is None:
        return None
    t = 2 * (np.arange(strip.lines) - a) / (b - a) - 1
    curve = rough + 0.5 * (1 - t) * shift[0] + 0.5 * (1 + t) * shift[1]
    for _ in range(2):
        curve, found = _refine(strip, curve, lines, blocks, half=max(5.0 * scale, 4.0), settings=settings, extent=(a, b))
    ragged = MOST_RAGGED_PX * max(scale, 0.5)
    return None if found is None or found.kept_share < LEAST_SEEN or found.ragged_px > ragged else found


def _ridge(mean: Array, width: int) -> Array:
    """Middle less the mean of both sides, shape (blocks, distances, 3); NaN near the border."""
    out = np.full_like(mean, np.nan)
    n = mean.shape[1]
    gap = 2 * width + 1
    for i in range(gap + width, n - gap - width):
        middle = mean[:, i - width // 2 : i + width // 2 + 1].mean(axis=1)
        left = mean[:, i - gap - width : i - gap + 1].mean(axis=1)
        right = mean[:, i + gap : i + gap + width + 1].mean(axis=1)
        d = middle - 0.5 * (left + right)
        # a step is no ridge: the smaller of the two contrasts decides
        both = np.minimum(np.abs(middle - left), np.abs(middle - right)) / np.maximum(
            np.maximum(np.abs(middle - left), np.abs(middle - right)), 1e-9
        )
        out[:, i] = d * both * ((middle - left) * (middle - right) > 0)
    return out


def _best_course(response: Array, along: Array, search: float) -> tuple[float, float] | None:
    """Shifts of the two ends along which the ridge is strongest and steadiest, or None where nothing stands out."""
    half = response.shape[1] // 2
    grid = np.arange(-search, search + 0.5, 0.5)
    P, Q = (g.ravel() for g in np.meshgrid(grid, grid, indexing="ij"))
    index = np.round(half + 0.5 * (1 - along) * P[:, None] + 0.5 * (1 + along) * Q[:, None]).astype(np.int64)
    taken = response[np.arange(len(along))[None, :], np.clip(index, 0, response.shape[1] - 1)]
    good = np.isfinite(taken[..., 0])
    count = np.maximum(good.sum(axis=1), 1)
    values = np.where(good[..., None], taken, 0.0)
    mean = values.sum(axis=1) / count[:, None]
    scatter = np.sqrt(np.where(good, np.sum((values - mean[:, None, :]) ** 2, axis=2), 0.0).sum(axis=1) / count)
    score = np.where(good.mean(axis=1) >= 0.6, np.linalg.norm(mean, axis=1) - 0.3 * scatter, -np.inf)
    best = int(np.argmax(score))
    return (float(P[best]), float(Q[best])) if score[best] > FAINTEST_LINE else None


def _refine(
    strip: Strip,
    curve: Array,
    lines: tuple[int, int],
    blocks: int,
    *,
    half: float,
    settings: EdgeSettings,
    extent: tuple[float, float],
) -> tuple[Array, EdgePoints | None]:
    """Centroids of the line's contrast, block by block, and the straight course through them."""
    p = profiles(strip, curve, lines, blocks, half)
    x0, sd, mass, direction = _centroids(p, half)
    along = 2 * (p.centre - extent[0]) / max(extent[1] - extent[0], 1e-9) - 1
    ok = np.isfinite(x0) & np.isfinite(sd) & (mass > 0.35 * np.nanmedian(mass)) & (np.abs(x0) < 0.4 * half)
    coefficients, spread = np.zeros(2), 0.0
    for _ in range(4):
        if ok.sum() < 5:
            return curve, None
        coefficients = np.polyfit(along[ok], x0[ok], 1)
        residual = x0 - np.polyval(coefficients, along)
        spread = 1.4826 * float(np.median(np.abs(residual[ok])))
        ok &= np.abs(residual) < 3.5 * max(spread, 0.03)
    t = 2 * (np.arange(strip.lines) - extent[0]) / max(extent[1] - extent[0], 1e-9) - 1
    cosine = 1 / np.sqrt(1 + np.interp(p.centre, np.arange(strip.lines), np.gradient(curve)) ** 2)
    points = strip.to_photo(p.centre, np.interp(p.centre, np.arange(strip.lines), curve) + x0 / cosine)
    floor = max(spread, settings.point_floor_px)
    odd = left_out_px(along, x0, coefficients, ok)
    bias = float(np.linalg.norm((settings.bias_sd_px, 0.3 * spread, odd)))
    contrast = float(np.linalg.norm(direction))
    found = EdgePoints(
        points[ok],
        np.maximum(sd, floor)[ok],
        along[ok],
        bias,
        1.0,
        contrast,
        0.0,
        float(ok.mean()),
        direction / contrast,
        ragged_px=spread,
    )
    return np.asarray(curve + np.polyval(coefficients, t) / float(np.median(cosine))), found


def _centroids(p: Profiles, half: float) -> tuple[Array, Array, Array, Array]:
    """Per block the line's centroid (px), its sd and its strength against a straight background; and its colour."""
    core = (np.abs(p.u) < 0.45 * half) & (p.count > 0)
    side = (np.abs(p.u) > 0.6 * half) & (p.count > 0)
    background = _background(p.u, p.colour, np.where(side, p.count, 0.0))
    excess = (p.colour - background) * (p.count > 0)[..., None]
    direction = np.einsum("bm,bmc->c", np.where(core, p.count, 0.0), excess) + 1e-12
    y = excess @ (direction / np.linalg.norm(direction))
    noise = np.sqrt(np.sum(np.where(side, p.count * y**2, 0), axis=1) / np.maximum(np.sum(np.where(side, p.count, 0), axis=1), 1))
    mass = np.sum(np.where(core, y, 0.0), axis=1)
    with np.errstate(divide="ignore", invalid="ignore"):
        x0 = np.sum(np.where(core, y * p.u, 0.0), axis=1) / mass
        sd = noise * np.sqrt(np.sum(np.where(core, p.u**2, 0.0), axis=1)) / np.abs(mass)
    return x0, sd, mass, direction


def _background(u: Array, colour: Array, weight: Array) -> Array:
    """Straight line in u per block and channel through the side bins, shape (b, m, 3)."""
    s0, s1, s2 = weight.sum(1), (weight * u).sum(1), (weight * u * u).sum(1)
    t0, t1 = np.einsum("bm,bmc->bc", weight, colour), np.einsum("bm,bm,bmc->bc", weight, u, colour)
    det = np.maximum(s0 * s2 - s1**2, 1e-9)
    slope = (s0[:, None] * t1 - s1[:, None] * t0) / det[:, None]
    level = (t0 - slope * s1[:, None]) / np.maximum(s0, 1e-9)[:, None]
    return np.asarray(level[:, None, :] + slope[:, None, :] * u[..., None])
