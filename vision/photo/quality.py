"""How good the picture itself is: blur by direction, light, burnt-out share and noise, measured on the pixels."""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Blurs = tuple[float, float] | None
"""sd (px) across upright and across level edges; None where there is none of either"""
REFERENCE_DIAGONAL_PX = 5040.0
"""px; diagonal of 4032 x 3024"""
FULL_SCALE = 253
"""code from which a channel carries nothing"""
TILE_PX, TILES = 96, 16
"""px of the picture, and how many of them are looked at for each direction, where its strongest edges are"""
FAINTEST_SLOPE, NOISE_SLOPES = 2.0, 0.9
"""codes per px, and of the noise's sd (codes) per px: under either an edge is noise. White noise of sd 1, smoothed by `FINE_PX`,
has slopes of sd 0.15; this is six of them, which no pixel of all tiles reaches by chance"""
OWN_DIFFERENCES, OWN_REDUCTION = 1 / 3, 1 / 12
"""px^2; what differences over two pixels, and means over the pixels of a larger picture, add to a blur's variance"""
SAMPLED_PX = 500
"""pixels along the long side that are looked at for light, and for where the strongest edges are"""
MOST_AT_FULL_SIZE_PX = 3.0
"""px; a larger blur is measured in a picture of a third of the size, where the two smoothings still tell it"""
FINE_PX, COARSE_PX = 1.0, 2.0
"""px; the two smoothings whose gradients are compared"""
STRONGEST_SHARE = 0.01
"""of the tiles' pixels: those on their strongest edges"""
FEWEST_POINTS = 40
"""edge points in one direction that make a statement about it"""
SHARP_SHARE = 0.3
"""the sharpest points count: an edge that is soft by itself says nothing about the lens"""


@dataclass(frozen=True)
class Quality:
    """`blur_px` sd of an edge's blur at 12 MP in the worse direction, `motion` worse over better one; None without any edge.

    `light` the 95th percentile of luma and `noise` sd in flat places, both in codes; `burnt_share` of the picture.
    """

    blur_px: float | None
    motion: float | None
    light: float
    noise: float
    burnt_share: float


def quality_of(pixels: NDArray[np.uint8], *, reduced: bool = False) -> Quality:
    """The quality of an upright picture (h, w, 3), as it is or `reduced`; light, noise and share are of these pixels."""
    step = max(1, round(max(pixels.shape[:2]) / SAMPLED_PX))
    small = pixels[::step, ::step]
    luma = np.asarray(cv2.cvtColor(np.ascontiguousarray(small), cv2.COLOR_RGB2GRAY), dtype=np.uint8)
    blurs, noise = _blur_and_noise(pixels, luma, step)
    blurs = _of_the_picture(blurs, reduced=reduced)
    if (blurs is None or max(blurs) > MOST_AT_FULL_SIZE_PX) and min(pixels.shape[:2]) > 3 * TILE_PX:
        third = np.asarray(cv2.resize(pixels, None, fx=1 / 3, fy=1 / 3, interpolation=cv2.INTER_AREA), dtype=np.uint8)
        grey = np.asarray(cv2.cvtColor(third, cv2.COLOR_RGB2GRAY), dtype=np.uint8)
        wide = _of_the_picture(_blur_and_noise(third, grey, 1)[0], reduced=True)
        if wide is not None:
            before = blurs or (0.0, 0.0)
            blurs = max(before[0], 3 * wide[0]), max(before[1], 3 * wide[1])
    burnt = float(np.mean(np.all(small >= FULL_SCALE, axis=2)))
    rest = float(np.percentile(luma, 95)), noise, burnt
    if blurs is None:
        return Quality(None, None, *rest)
    scale = math.hypot(*pixels.shape[:2]) / REFERENCE_DIAGONAL_PX
    return Quality(max(blurs) / scale, max(blurs) / max(min(blurs), 0.3), *rest)


def _of_the_picture(blurs_px: Blurs, *, reduced: bool) -> Blurs:
    """The blurs without what measuring and reducing the picture add."""
    if blurs_px is None:
        return None
    x, y = (math.sqrt(max(blur**2 - OWN_DIFFERENCES - OWN_REDUCTION * reduced, 0.0)) for blur in blurs_px)
    return x, y


def _blur_and_noise(pixels: NDArray[np.uint8], luma: NDArray[np.uint8], step: int) -> tuple[Blurs, float]:
    """Blurs (px of the picture) and the noise (codes).

    Each direction has tiles of its own, and of all its edge points only the strongest count: where a shake has washed out the
    upright edges, what is left of them beside sharp level ones is texture and the file's blocks. A direction without edges is
    taken for the other one.
    """
    tiles = [[_tile(pixels, *at) for at in some] for some in _busy_tiles(luma, step)]
    noise = float(np.median([_noise(tile) for some in tiles for tile in some]))
    blurs = []
    for axis, some in enumerate(tiles):
        found = [_edge_blurs(tile, axis, max(FAINTEST_SLOPE, NOISE_SLOPES * noise)) for tile in some]
        strength, blur = (np.concatenate(part) for part in zip(*found, strict=True))
        most = max(round(STRONGEST_SHARE * len(some) * TILE_PX**2), FEWEST_POINTS)
        blurs.append(blur[np.argsort(-strength)[:most]])
    known = [float(np.quantile(b, SHARP_SHARE)) for b in blurs if len(b) >= FEWEST_POINTS]
    return (known[0], known[-1]) if known else None, noise


def _tile(pixels: NDArray[np.uint8], top: int, left: int) -> NDArray[np.float32]:
    part = pixels[top : top + TILE_PX, left : left + TILE_PX]
    return np.asarray(cv2.cvtColor(part, cv2.COLOR_RGB2GRAY), dtype=np.float32)


def _busy_tiles(luma: NDArray[np.uint8], step: int) -> tuple[list[tuple[int, int]], list[tuple[int, int]]]:
    """Top and left (px of the picture) of the tiles with the strongest upright edges, and of those for level ones."""
    soft = cv2.GaussianBlur(luma, (0, 0), 1.0)
    n = max(1, TILE_PX // step)
    rows, columns = luma.shape[0] // n, luma.shape[1] // n
    if rows == 0 or columns == 0:
        return [(0, 0)], [(0, 0)]
    out = []
    for upright in (1, 0):
        slope = np.abs(cv2.Sobel(soft, cv2.CV_16S, upright, 1 - upright))[: rows * n, : columns * n]
        blocks = slope.reshape(rows, n, columns, n).transpose(0, 2, 1, 3).reshape(rows * columns, -1)
        rank = int(0.98 * blocks.shape[1])
        best = np.argsort(-np.partition(blocks, rank, axis=1)[:, rank])[:TILES]
        out.append([(int(k // columns) * n * step, int(k % columns) * n * step) for k in best])
    return out[0], out[1]


def _edge_blurs(tile: NDArray[np.float32], axis: int, faintest: float) -> tuple[Array, Array]:
    """Slopes (codes per px) and blur sds (px) at the crests of upright (axis 0) or level edges steeper than `faintest`.

    The slope of an edge blurred by s falls as 1 / sqrt(s^2 + q^2) when smoothed by q; two smoothings give s.
    """
    soft = cv2.GaussianBlur(tile, (0, 0), FINE_PX)
    softer = cv2.GaussianBlur(tile, (0, 0), COARSE_PX)
    across, along = (1 - axis, axis), (axis, 1 - axis)
    fine, other = (np.abs(cv2.Sobel(soft, cv2.CV_32F, *d, scale=0.125)) for d in (across, along))
    coarse = np.abs(cv2.Sobel(softer, cv2.CV_32F, *across, scale=0.125))
    fine[:4], fine[-4:], fine[:, :4], fine[:, -4:] = 0, 0, 0, 0
    kernel = np.ones((1, 5), np.uint8) if axis == 0 else np.ones((5, 1), np.uint8)
    crest = (fine >= cv2.dilate(fine, kernel)) & (fine > 2 * other) & (fine > faintest)
    ratio = np.clip((fine[crest] / np.maximum(coarse[crest], 1e-6)).astype(np.float64), 1.02, 1.99)
    blur = np.sqrt(np.maximum((COARSE_PX**2 - ratio**2 * FINE_PX**2) / (ratio**2 - 1), 0.0))
    return fine[crest].astype(np.float64), blur


def _noise(tile: NDArray[np.float32]) -> float:
    """sd (codes) in the flattest places: a filter that leaves flats, slopes and straight edges out."""
    kernel = np.array([[1, -2, 1], [-2, 4, -2], [1, -2, 1]], np.float32) / 6.0
    return float(1.4826 * np.median(np.abs(cv2.filter2D(tile, cv2.CV_32F, kernel))))
