"""Is a patch a reference, by all that it looks like? What a small convolutional network has seen of rendered rooms.

A reference is told from a tile by differing alike from what surrounds it (`surround.py`) and by ending where its lines end
(`ends.py`). Striped paper, a print across the card, a wall of the card's own tone break both rules, and a person sees a card all
the same: by its corners, its print, its tape, its shadow. `reference.onnx` has learned that from rendered rooms
(`tests/benchmarks/reference_fit.py`, where what it was shown, and how it does on rooms of authors that it has not seen, is told).
It looks at a window in which the patch is a rectangle in the middle, and gives the chance that a reference is there, and how far
outside of the patch each of that reference's sides runs.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.geometry.network import Network

Array = NDArray[np.float64]
WIDE, HIGH = 96, 72
"""px of a window"""
INSIDE = (40, 28)
"""px of a window that the patch itself fills, its longer side across"""
FINEST, COARSEST = 1.0, 2.0
"""px of the picture per px of a window; from the second on a picture of half the size is looked at"""
LEVELS = 5
LEAST_SEEN = 0.6
"""share of a window that must lie inside of the picture; the network has seen no sheets that fill one (of six real photographs of
such, not part of the project, it took all for something else)"""
REFERENCE = Network("reference.onnx")


@dataclass(frozen=True)
class Likeness:
    """What is seen of one patch: the `chance` that a reference is there, None where too little round it is in the picture, and
    its corners (4, 2) px as the network sees them, in the patch's order."""

    chance: float | None
    corners_px: Array


def pyramid(pixels: NDArray[np.uint8]) -> list[NDArray[np.uint8]]:
    """The picture (h, w, 3) and those of half the size each, as many as windows may ask for."""
    out = [pixels]
    while len(out) < LEVELS and min(out[-1].shape[:2]) > 2 * HIGH:
        out.append(np.asarray(cv2.pyrDown(out[-1]), dtype=np.uint8))
    return out


def turned(corners: Array) -> Array:
    """Corners (4, 2) from that one on from which the longer sides are the first and the third."""
    side = np.linalg.norm(np.roll(corners, -1, axis=0) - corners, axis=1)
    return np.roll(corners, -1, axis=0) if side[0] + side[2] < side[1] + side[3] else corners


def frame(wide: int, high: int) -> Array:
    """Where the patch's corners (4, 2) are in a window: first the lower left one, as in the picture."""
    x, y = (wide - 1) / 2, (high - 1) / 2
    a, b = INSIDE[0] / 2, INSIDE[1] / 2
    return np.array([[x - a, y + b], [x + a, y + b], [x + a, y - b], [x - a, y - b]])


def window(levels: Sequence[NDArray[np.uint8]], corners: Array, size: tuple[int, int] = (WIDE, HIGH)) -> NDArray[np.uint8]:
    """A window (high, wide, 4) round a patch (4, 2) px of the first level, the longer side across; the last channel is 255 inside
    of the picture."""
    at = turned(corners)
    side = np.linalg.norm(np.roll(at, -1, axis=0) - at, axis=1)
    per = math.sqrt(float((side[0] + side[2]) * (side[1] + side[3])) / 4 / (INSIDE[0] * INSIDE[1]))
    level = int(np.clip(math.floor(math.log2(max(per / FINEST, 1e-6))), 0, len(levels) - 1))
    by = 0.5**level
    there = ((at + 0.5) * by - 0.5).astype(np.float32)
    turn = cv2.getPerspectiveTransform(frame(*size).astype(np.float32), there)
    picture = levels[level]
    flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    seen = cv2.warpPerspective(picture, turn, size, flags=flags, borderMode=cv2.BORDER_CONSTANT, borderValue=(0, 0, 0))
    inside = cv2.warpPerspective(np.full(picture.shape[:2], 255, np.uint8), turn, size, flags=flags)
    return np.dstack([seen, inside]).astype(np.uint8)


def likenesses(levels: Sequence[NDArray[np.uint8]], quads: Array) -> list[Likeness]:
    """What is seen of each patch, corners (n, 4, 2) px of the first level."""
    if not len(quads):
        return []
    seen = np.stack([window(levels, quad) for quad in quads])
    there = seen[..., 3:].astype(np.float32) / 255
    colour = (seen[..., :3].astype(np.float32) / 255 - 0.5) * there
    told = REFERENCE(np.ascontiguousarray(np.concatenate([colour, there], axis=3).transpose(0, 3, 1, 2)))
    enough = there.mean(axis=(1, 2, 3)) >= LEAST_SEEN
    return [_likeness(quad, one, asked=bool(ok)) for quad, one, ok in zip(quads, told, enough, strict=True)]


def _likeness(quad: Array, told: Array, *, asked: bool) -> Likeness:
    own, at = frame(WIDE, HIGH).astype(np.float32), turned(quad)
    back = cv2.getPerspectiveTransform(own, at.astype(np.float32))
    corners = cv2.perspectiveTransform((own + told[1:].reshape(4, 2))[None].astype(np.float64), back)[0]
    corners = corners if np.array_equal(at, quad) else np.roll(corners, 1, axis=0)
    chance = float(1 / (1 + math.exp(-float(np.clip(told[0], -50, 50)))))
    return Likeness(chance if asked else None, np.asarray(corners))
