"""The wall squared: pictures of the opening's plane, so many pixels a millimetre, and the steps of colour over their lines."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.geometry.start import PlaneView

Array = NDArray[np.float64]
Image = NDArray[np.float32]
ROUND = (0.8, 0.25)
"""widths beside, and heights above and below the outline, within which references are looked for (by judgement)"""
BOX_PX = 2
"""px on either side of a line that are compared"""


def image_of_plane(view: PlaneView, mm_per_unit: float) -> Array:
    """H (3, 3) from millimetres on the plane, x right and y up, to pixels; without the lens term, which moves whole cards."""
    c = view.camera
    K = np.array([[c.f, 0, c.cx], [0, c.f, c.cy], [0, 0, 1.0]])
    return np.asarray(K @ np.column_stack([view.R[:, 0], view.R[:, 1], view.origin * mm_per_unit]))


def pixels_of(H: Array, points: Array) -> Array:
    """Points (n, 2) through a homography (3, 3)."""
    p = np.column_stack([points, np.ones(len(points))]) @ H.T
    return np.asarray(p[:, :2] / p[:, 2:])


def region(view: PlaneView, corners_px: Array, size_px: tuple[int, int], mm_per_unit: float) -> tuple[Array, Array]:
    """Lowest and highest x and y (mm) of where references are looked for, as far as the picture shows it."""
    outline = view.on_plane(corners_px) * mm_per_unit
    low, high = outline.min(axis=0), outline.max(axis=0)
    beside = np.array(ROUND) * (high - low)
    border = view.on_plane(np.array([[0, 0], [1, 0], [1, 1], [0, 1]]) * (np.array(size_px) - 1.0)) * mm_per_unit
    seen = np.nan_to_num(border, nan=np.inf)
    return np.maximum(low - beside, np.minimum(seen.min(axis=0), low)), np.minimum(
        high + beside, np.maximum(seen.max(axis=0), high)
    )


def plane_picture(pixels: NDArray[np.uint8], H: Array, region: tuple[Array, Array], per_mm: float) -> Image:
    """The wall squared, in Lab, (h, w, 3)."""
    low, high = region
    size = np.ceil((high - low) * per_mm).astype(int)
    to_mm = np.array([[1 / per_mm, 0, low[0]], [0, -1 / per_mm, high[1]], [0, 0, 1.0]])
    return squared(pixels, H @ to_mm, (int(size[0]), int(size[1])))


def squared(pixels: NDArray[np.uint8], H: Array, size: tuple[int, int]) -> Image:
    """Lab (h, w, 3) of the pixels that H (3, 3) tells for each pixel of a picture (w, h); reduced first where it shrinks."""
    middle = pixels_of(H, np.array([[size[0] / 2, size[1] / 2], [size[0] / 2 + 1, size[1] / 2]]))
    shrinks = max(int(np.linalg.norm(middle[1] - middle[0])), 1)
    if shrinks > 1:
        small = (max(pixels.shape[1] // shrinks, 1), max(pixels.shape[0] // shrinks, 1))
        pixels = np.asarray(cv2.resize(pixels, small, interpolation=cv2.INTER_AREA), dtype=np.uint8)
        H = np.diag([1 / shrinks, 1 / shrinks, 1.0]) @ H
    flat = cv2.warpPerspective(pixels, H, size, flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP, borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(cv2.cvtColor(flat, cv2.COLOR_RGB2LAB), dtype=np.float32)


def steps_across(picture: Image, across: int) -> Image:
    """Mean of the pixels after each line less that before it, (h, w, 3); `across` 1 for upright lines, 0 for level ones.

    Line k lies between pixels k - 1 and k.
    """
    size = (BOX_PX, 1) if across else (1, BOX_PX)
    mean = cv2.boxFilter(picture, cv2.CV_32F, size, anchor=(0, 0), borderType=cv2.BORDER_REPLICATE)
    return np.asarray(mean - np.roll(mean, BOX_PX, axis=across), dtype=np.float32)


def both_steps(picture: Image) -> tuple[Image, Image]:
    """`steps_across` upright lines, and level ones."""
    return steps_across(picture, 1), steps_across(picture, 0)
