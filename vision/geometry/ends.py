"""Do the lines of a patch's sides end at its corners, as a card's do, or go on beyond them, as joints and prints in rows do?"""

from __future__ import annotations

import math
from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.geometry.code_medians import median_of_codes, spread_of_codes

Array = NDArray[np.float64]
BEYOND = (0.12, 0.6)
"""of the patch's shorter side; how far beyond a corner its sides' lines are looked for: past a rounded corner and a shadow"""
WITHIN = (0.15, 0.85)
"""of a side; where its own step is taken"""
ACROSS_PX, OFF_PX = 8, 3
"""px across a line that are looked at, and by how much it may be off where the patch's corners are rough"""
STEP_PX, BESIDE_PX = (1, 2), (3, 4)
"""px from a line whose colours are compared for a step, and with the line itself where it is thin"""
GOES_ON, THIN_GOES_ON = 0.25, 0.1
"""of the patch's own median step; a step, and a thin line, that are still so clear beyond a corner go on (by judgement)"""
SURELY = 5.0
"""sd of its grain that it must have beside that"""
MOST_GOING_ON, MOST_LINES = 3, 2
"""of the eight ways, and of the four lines: a card may stand in a corner of the room, or with two sides along joints"""


def ends_at_corners(pixels: NDArray[np.uint8], corners: Array) -> bool:
    """True where a patch (4, 2) px is a thing of its own."""
    return of_its_own(going_on(pixels, corners))


def of_its_own(on: NDArray[np.bool_]) -> bool:
    """True where a patch is a thing of its own: of the eight ways in which its sides could go on beyond its corners (`on`, (4, 2)
    as `going_on` tells it) no more than three do, on no more than two of its sides, and it is no part of a longer thing."""
    return int(on.sum()) <= MOST_GOING_ON and int(on.any(axis=1).sum()) <= MOST_LINES and not longer(on).any()


def longer(on: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """For each side of a patch whether both its neighbours go on past it, so that the patch is part of something longer, (4,);
    `on` (4, 2) as `going_on` tells it."""
    return np.asarray(np.roll(on[:, 1], 1) & np.roll(on[:, 0], -1))


def going_on(
    pixels: NDArray[np.uint8], corners: Array, sides: Sequence[int] = (0, 1, 2, 3), *, cut: bool = False
) -> NDArray[np.bool_]:
    """For each of these sides, from corner k to k + 1, whether its line goes on before its first and beyond its second corner,
    (n, 2). `cut`: of a patch that runs out of the picture, where a way that leaves the picture tells nothing.
    """
    before, after = corners[list(sides)], np.roll(corners, -1, axis=0)[list(sides)]
    length = np.linalg.norm(after - before, axis=1)
    d = (after - before) / length[:, None]
    own = [_lines(pixels, (b + np.outer(np.array(WITHIN) * n, w))[None])[0, 0] for b, n, w in zip(before, length, d, strict=True)]
    from_, way = np.stack([before, after], axis=1), np.stack([-d, d], axis=1)
    ends = from_[:, :, None] + (np.array(BEYOND) * float(length.min()))[:, None] * way[:, :, None]
    clear = _lines(pixels, ends.reshape(-1, 2, 2)).reshape(len(sides), 2, 3)
    border = np.array([pixels.shape[1], pixels.shape[0]]) - 1.0
    inside = np.all((ends >= 0) & (ends <= border), axis=(2, 3)) if cut else np.ones((len(sides), 2), dtype=bool)
    usual, sure = float(np.median(own)), SURELY * clear[..., 2]
    step, thin = clear[..., 0] > np.maximum(GOES_ON * usual, sure), clear[..., 1] > np.maximum(THIN_GOES_ON * usual, sure)
    return np.asarray((step | thin) & inside)


def _lines(pixels: NDArray[np.uint8], ends: Array) -> Array:
    """How clear lines of one length are along two points each (k, 2, 2) px or near them, (k, 3): the step, how far a line stands
    out from both its sides where it is a thin one, and the sd of these by the grain; codes, of all three channels together."""
    d = ends[:, 1] - ends[:, 0]
    long = np.linalg.norm(d, axis=1)
    n = max(round(float(long[0])), 2)
    normal = np.stack([-d[:, 1], d[:, 0]], axis=1) / np.maximum(long, 1e-9)[:, None]
    along, across = np.linspace(0, 1, n)[:, None, None], np.arange(-ACROSS_PX, ACROSS_PX + 1.0)[:, None]
    at = (ends[:, :1, None] + along * d[:, None, None] + across * normal[:, None, None]).astype(np.float32)
    flat = at.reshape(len(ends) * n, len(across), 2)
    found = cv2.remap(pixels, flat[..., 0], flat[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    seen = np.asarray(found, dtype=np.uint8).reshape(len(ends), n, len(across), 3)
    mean = median_of_codes(seen, axis=1)
    grain = [spread_of_codes(one, its, axis=0) for one, its in zip(seen, mean, strict=True)]
    middle = np.arange(ACROSS_PX - OFF_PX, ACROSS_PX + OFF_PX + 1)
    low, high = (sum(mean[:, middle + s * k] for k in STEP_PX) / len(STEP_PX) for s in (-1, 1))
    away = [sum(mean[:, middle + s * k] for k in BESIDE_PX) / len(BESIDE_PX) for s in (-1, 1)]
    thin = (mean[:, middle - 1] + mean[:, middle] + mean[:, middle + 1]) / 3
    over = np.minimum(*(np.linalg.norm(thin - side, axis=2) for side in away))
    over = np.where(np.sum((thin - away[0]) * (thin - away[1]), axis=2) > 0, over, 0.0)
    step = np.linalg.norm(high - low, axis=2).max(axis=1)
    return np.column_stack([step, over.max(axis=1), 1.4826 * math.sqrt(3.0 / n) * np.array(grain)])
