"""Does something differ from what surrounds it alike on all its sides, as a card does and a tile between joints does not?"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from vision.geometry.profiles import features

Array = NDArray[np.float64]
FAINTEST_STEP = 0.006
"""linear light; under this a card's side cannot be told from shading"""
MOST_UNEVEN, CLEAR_STEP = 3.0, 0.1
"""ratio of a card's steps against its surround; the sides of a tile between joints differ by more; unless all are as clear as
this (linear light): white paper before paint above and tiles below (by judgement)"""
BESIDE_PX = (4.0, 10.0)
"""px from a rough side, either way, where its inside and its outside are compared"""


def alike(steps: Array, faintest: float = FAINTEST_STEP, uneven: float = MOST_UNEVEN, cosine: float = 0.6) -> bool:
    """Whether the steps (n, 3) from outside to inside over n sides are clear, about equally large, and of one colour."""
    size = np.linalg.norm(steps, axis=1)
    mean = steps.mean(axis=0)
    along = steps @ mean / np.maximum(size * float(np.linalg.norm(mean)), 1e-12)
    even = size.max() < uneven * max(float(size.min()), 1e-12) or size.min() > CLEAR_STEP
    return bool(np.median(size) > faintest and even and along.min() > cosine)


def steps_at(pixels: NDArray[np.uint8], quad: Array, sides: list[int]) -> Array:
    """Steps (n, 3) from outside to inside over these sides (from corner k to k + 1) of a rough quadrilateral (4, 2) px."""
    high, wide = pixels.shape[:2]
    centre, out = quad.mean(axis=0), []
    for k in sides:
        a, b = quad[k], quad[(k + 1) % 4]
        along = (b - a) / np.linalg.norm(b - a)
        inward = np.array([-along[1], along[0]])
        inward = inward if (centre - a) @ inward > 0 else -inward
        at = a + np.linspace(0.15, 0.85, 25)[:, None, None] * (b - a) + np.linspace(*BESIDE_PX, 7)[None, :, None] * inward
        light = []
        for points in (at, 2 * (a + ((at - a) @ along)[..., None] * along) - at):
            x, y = np.rint(points[..., 0]).astype(int), np.rint(points[..., 1]).astype(int)
            inside = (x >= 0) & (x < wide) & (y >= 0) & (y < high)
            light.append(np.median(features(pixels[y[inside], x[inside]][None])[0], axis=0) if inside.any() else np.zeros(3))
        out.append(light[0] - light[1])
    return np.array(out)
