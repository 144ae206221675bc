"""How tidy a card is: paper is even along its border, and what is round a card is one wall.

A towel has folds, a radiator slats, a patch in a picture other patches round it. That refuses nothing by itself, since print and
shadows are untidy too; it tells two patches of a card's shape apart of which only one can be a card.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from vision.geometry.look import SIDE_CORNERS, CardLook
from vision.geometry.profiles import features
from vision.geometry.shapes import is_sheet

Array = NDArray[np.float64]
PIECES = 12
"""along a side, whose light is compared"""
ALONG, ACROSS_PX = (0.1, 0.9), (3.0, 8.0)
"""of a side, and px beside it, where its light is looked at"""


def untidiness(card: CardLook, corners: Array) -> float:
    """How uneven the light along a card's sides (corners (4, 2) px) is, over its step against the wall: outside, and of a sheet
    inside too; infinite where a side cannot be looked at."""
    kind, centre = card.candidate.kind, corners.mean(axis=0)
    if len(card.strips) < len(SIDE_CORNERS):
        return float("inf")
    inside, outside = [], []
    for strip, (i, j) in zip(card.strips, SIDE_CORNERS, strict=True):
        ends = corners[[i, j]]
        at = strip.of_polyline(ends)
        low, high = sorted(strip.extent(ends[0], ends[1]))
        bounds = np.linspace(low + ALONG[0] * (high - low), low + ALONG[1] * (high - low), PIECES + 1)
        bounds = np.clip(np.rint(bounds), 0, strip.lines).astype(int)
        inner = (centre[1] if strip.transposed else centre[0]) > float(np.interp(0.5 * (low + high), np.arange(strip.lines), at))
        for a, b in pairwise(bounds):
            if b <= a:
                return float("inf")
            k = np.arange(a, b)
            distance = strip.first[k][:, None] + np.arange(strip.pixels.shape[1])[None, :] - at[k][:, None]
            light = features(strip.pixels[k])
            near = (np.abs(distance) > ACROSS_PX[0]) & (np.abs(distance) < ACROSS_PX[1])
            plus, minus = (np.median(light[near & (s * distance > 0)], axis=0) for s in (1, -1))
            inside.append(plus if inner else minus)
            outside.append(minus if inner else plus)
    within, beyond = np.array(inside), np.array(outside)
    step = max(float(np.linalg.norm(np.median(within - beyond, axis=0))), 1e-6)
    sheet = kind is not None and is_sheet(kind)
    return max(_spread(v) for v in ((beyond, within) if sheet else (beyond,))) / step


def _spread(light: Array) -> float:
    """Root mean square distance of light (n, 3) from its median."""
    return float(np.sqrt(np.mean(np.sum((light - np.median(light, axis=0)) ** 2, axis=1))))
