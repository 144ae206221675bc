"""A frame that is printed near a card's border, taken for the border: the rim outside of it is of another hue than the wall.

The rim is some millimetres wide, alike on all four sides, and may be as light as the wall; shadows change its lightness and
leave its hue. So its border is looked for in hue alone, outside of a card's sides as they were followed, and it is believed
where it is as far out on all sides.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.geometry.code_medians import median_of_codes
from vision.geometry.edges import EdgePoints
from vision.geometry.strips import Strip

Array = NDArray[np.float64]
NEAREST_PX, FARTHEST_PX = 3, 9
"""px; how far outside of a side the rim's border is looked for: nearer, colours of either side run into each other"""
LEAST_STEP = 2.5
"""codes in a and b of Lab; hues that differ by less are one"""
UNEVEN_PX, UNEVEN = 1.5, 0.25
"""px, and relative: how unequal a rim may look from side to side"""
STEPS, LEAST_COSINE = 2.5, 0.85
"""ratio of the largest step in hue to the smallest, and cosine between each and their mean"""
LATE_PX, SD_PX = 1.0, 1.4
"""px; files store hue at half resolution and phones smooth it: beside a clear line its step seems 0 to 2 px further out; the sd
is that of one side alone, larger by the root of 2 since all four are late together"""
PAIRS = ((0, 1), (1, 2), (3, 2), (0, 3))
"""corner numbers of each side"""
ENDS = 0.15
"""share of a side left out at either end: corners are round"""


@dataclass(frozen=True)
class Rim:
    """The border outside of a card's followed sides: its corners (4, 2) px, how far out it lies (px), and the sd of that."""

    corners_px: Array
    out_px: float
    sd_px: float = SD_PX

    def moved(self, side: EdgePoints, k: int) -> EdgePoints:
        """Side k (bottom, right, top, left) of the frame moved out to the border; its bias has the doubt of the rim's width."""
        a, b = self.corners_px[list(PAIRS[k])]
        n = np.array([b[1] - a[1], a[0] - b[0]]) / np.linalg.norm(b - a)
        n = n * np.sign(n @ (a - self.corners_px.mean(axis=0)))
        bias = float(np.hypot(side.bias_sd_px, self.sd_px))
        return replace(side, points_px=side.points_px + self.out_px * n, bias_sd_px=bias)


def rim_of(strips: Sequence[Strip], corners_px: Array) -> Rim | None:
    """The rim outside of a card's sides (bottom, right, top, left) at these corners (4, 2) px; None where there is none."""
    centre = corners_px.mean(axis=0)
    found = [_border(strip, corners_px[[i, j]], centre) for strip, (i, j) in zip(strips, PAIRS, strict=True)]
    far = np.array([f[0] for f in found if f is not None])
    if len(far) < len(PAIRS) or np.ptp(far) > max(2 * UNEVEN_PX, 2 * UNEVEN * far.mean()):
        return None
    steps = np.array([f[1] for f in found if f is not None])
    sizes, mean = np.linalg.norm(steps, axis=1), steps.mean(axis=0)
    if sizes.max() > STEPS * sizes.min() or (steps @ mean < LEAST_COSINE * sizes * np.linalg.norm(mean)).any():
        return None
    out_px = float(far.mean()) - LATE_PX
    return Rim(_moved_out(corners_px, out_px), out_px)


def _border(strip: Strip, ends: Array, centre: Array) -> tuple[float, Array] | None:
    """How far outside (px) the clearest step in hue lies beside a side between two corners (2, 2) px, and the step (2,)."""
    at = strip.of_polyline(ends)
    low, high = sorted(strip.extent(ends[0], ends[1]))
    inset = ENDS * (high - low)
    k = np.arange(max(int(low + inset), 0), min(int(high - inset) + 1, strip.lines))
    if len(k) < 8:
        return None
    across = 1 if strip.transposed else 0
    outward = -1 if centre[across] > float(at[k].mean()) else 1
    column = np.round(at[k]).astype(np.int64)[:, None] + outward * np.arange(FARTHEST_PX + 3) - strip.first[k][:, None]
    if column.min() < 0 or column.max() >= strip.pixels.shape[1]:
        return None
    codes = np.asarray(cv2.cvtColor(np.ascontiguousarray(strip.pixels[k[:, None], column]), cv2.COLOR_RGB2LAB), dtype=np.uint8)
    hue = median_of_codes(codes[..., 1:], axis=0)
    j = np.arange(2, FARTHEST_PX + 2)
    step = (hue[j - 1] + hue[j - 2] - hue[j] - hue[j + 1]) / 2
    size = np.linalg.norm(step, axis=1)
    inside = (j[1:-1] >= NEAREST_PX) & (size[1:-1] >= size[:-2]) & (size[1:-1] >= size[2:]) & (size[1:-1] >= LEAST_STEP)
    if not inside.any():
        return None
    best = 1 + int(np.argmax(np.where(inside, size[1:-1], -1.0)))
    return float(j[best]) - 0.5, step[best]


def _moved_out(corners: Array, by_px: float) -> Array:
    """Corners of the quadrilateral whose sides lie so far outside."""
    d = np.roll(corners, -1, axis=0) - corners
    n = np.stack([d[:, 1], -d[:, 0]], axis=1) / np.linalg.norm(d, axis=1, keepdims=True)
    n *= np.sign(np.sum(n * (corners + d / 2 - corners.mean(axis=0)), axis=1, keepdims=True))
    out = []
    for k in range(4):
        M, q = np.stack([n[k - 1], n[k]]), [n[k - 1] @ corners[k] + by_px, n[k] @ corners[k] + by_px]
        out.append(np.linalg.solve(M, q))
    return np.array(out)
