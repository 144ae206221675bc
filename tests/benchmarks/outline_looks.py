"""Further looks of a photo with truth: mirrored, turned, darker, flatter, softer, smaller; the truth is carried along.

What comes of the outline in them says more of its confidence than the few photos that there are. A look is no photo of another
room: the same furniture stands in it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.geometry.camera import rotation

Array = NDArray[np.float64]
Pixels = NDArray[np.uint8]
SEED = 5
FOCAL = 0.77
"""focal length over the long side, of 26 mm equivalent on 4:3; a turned camera is drawn with it"""


@dataclass(frozen=True)
class Looked:
    """An upright picture with the true corners (4, 2) px in it: bottom-left, bottom-right, top-right, top-left."""

    pixels: Pixels
    corners_px: Array


Look = Callable[[Pixels, Array], Looked]


def _mirrored(pixels: Pixels, corners: Array) -> Looked:
    out = corners[[1, 0, 3, 2]].copy()
    out[:, 0] = pixels.shape[1] - 1 - out[:, 0]
    return Looked(np.ascontiguousarray(pixels[:, ::-1]), out)


def turned(pixels: Pixels, corners: Array, yaw: float, pitch: float, roll: float) -> Looked:
    """As from the same place with the camera turned (deg): a projective change that leaves every straight line straight."""
    h, w = pixels.shape[:2]
    f = FOCAL * max(h, w)
    K = np.array([[f, 0, (w - 1) / 2], [0, f, (h - 1) / 2], [0, 0, 1.0]])
    H = K @ rotation(np.radians([pitch, yaw, roll])) @ np.linalg.inv(K)
    moved = np.column_stack([corners, np.ones(4)]) @ H.T
    out = cv2.warpPerspective(pixels, H, (w, h), flags=cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE)
    return Looked(np.asarray(out, np.uint8), moved[:, :2] / moved[:, 2:])


def _darker(pixels: Pixels, corners: Array) -> Looked:
    """Two stops less light with the noise that a phone then makes (sd 3 codes)."""
    noise = np.random.default_rng(SEED).normal(0, 3.0, pixels.shape).astype(np.float32)
    return Looked(np.clip(pixels * np.float32(2 ** (-2 / 2.2)) + noise, 0, 255).astype(np.uint8), corners)


def _flatter(pixels: Pixels, corners: Array) -> Looked:
    """Six tenths of the contrast, as with a veil of light over the lens."""
    return Looked((pixels * np.float32(0.6) + 80).astype(np.uint8), corners)


def _brighter(pixels: Pixels, corners: Array) -> Looked:
    return Looked(np.clip(pixels * np.float32(2 ** (1 / 2.2)), 0, 255).astype(np.uint8), corners)


def _softer(pixels: Pixels, corners: Array) -> Looked:
    return Looked(np.asarray(cv2.GaussianBlur(pixels, (0, 0), 2.0), np.uint8), corners)


def _smaller(pixels: Pixels, corners: Array) -> Looked:
    out = cv2.resize(pixels, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA)
    return Looked(np.asarray(out, np.uint8), (corners + 0.5) * 0.5 - 0.5)


LOOKS: dict[str, Look] = {
    "as it is": Looked,
    "mirrored": _mirrored,
    "turned left": lambda p, c: turned(p, c, 4.0, 2.0, 2.0),
    "turned right": lambda p, c: turned(p, c, -4.0, -3.0, -3.0),
    "darker": _darker,
    "brighter": _brighter,
    "flatter": _flatter,
    "softer": _softer,
    "smaller": _smaller,
}
