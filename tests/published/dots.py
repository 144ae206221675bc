"""Black dots on light paper: their centres in a picture, by grey-value weights, freed from what perspective does to them."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
PAPER_PX = 75
"""px; wider than a dot, so that a closing by it leaves the paper alone"""
DARK = 0.6
"""of the paper's light; what is darker belongs to a dot"""
RIM_PX = 3
"""px either side of a dot's rim where its light goes over into the paper's"""


def dot_centres(pixels: NDArray[np.uint8]) -> Array:
    """Centres of area (n, 2) px of all whole round dark dots of 300 to 5000 pixels."""
    closed = cv2.morphologyEx(pixels, cv2.MORPH_CLOSE, np.ones((PAPER_PX, PAPER_PX), np.uint8))
    light = pixels / cv2.GaussianBlur(closed.astype(np.float64), (0, 0), 20)
    count, labels, stats, _ = cv2.connectedComponentsWithStats((light < DARK).astype(np.uint8))
    high, wide = pixels.shape
    out = []
    for i in range(1, count):
        x, y, w, h, area = (int(v) for v in stats[i])
        whole = x > RIM_PX and y > RIM_PX and x + w < wide - RIM_PX and y + h < high - RIM_PX
        if whole and 300 < area < 5000 and area > 0.6 * w * h:
            out.append(_centre(light, labels == i))
    return np.array(out)


def _centre(light: Array, dot: NDArray[np.bool_]) -> Array:
    """Centre of area of one dot: whole inside, by its share of dark at the rim."""
    square = np.ones((2 * RIM_PX + 1, 2 * RIM_PX + 1), np.uint8)
    near, core = cv2.dilate(dot.astype(np.uint8), square) > 0, cv2.erode(dot.astype(np.uint8), square[:-2, :-2]) > 0
    dark = float(np.median(light[dot]))
    share = np.where(near, np.clip((1 - light) / (1 - dark), 0, 1), 0.0)
    share[share < 0.08] = 0  # paper's own unevenness
    share[core] = 1
    y, x = np.nonzero(share)
    return np.average(np.stack([x, y], axis=1), axis=0, weights=share[y, x])


def in_rows(centres: Array, side: int) -> Array:
    """The centres (side * side, 2) of a square grid seen about upright as (rows upward, columns to the right, 2)."""
    total, across = centres.sum(axis=1), centres[:, 0] - centres[:, 1]
    ends = centres[[np.argmin(across), np.argmax(total), np.argmax(across), np.argmin(total)]].astype(np.float32)
    n = side - 1
    H = cv2.getPerspectiveTransform(ends, np.array([[0, 0], [n, 0], [n, n], [0, n]], np.float32))
    place = np.rint(cv2.perspectiveTransform(centres[None], H)[0]).astype(int)
    out = np.full((side, side, 2), np.nan)
    out[place[:, 1], place[:, 0]] = centres
    assert np.all(np.isfinite(out)), "not every place of the grid has one dot"
    return out


def without_perspective(seen: Array, radius: float) -> Array:
    """Images of the dots' centres (rows, columns, 2) from the centres of area of their images; `radius` in spacings.

    A circle's image is an ellipse whose centre is not the image of its centre: both are taken from the plane's homography.
    """
    rows, columns = seen.shape[:2]
    plane = np.stack(np.meshgrid(np.arange(columns), np.arange(rows)), axis=-1).reshape(-1, 2).astype(np.float64)
    angle = np.linspace(0, 2 * np.pi, 180, endpoint=False)
    rim = radius * np.stack([np.cos(angle), np.sin(angle)], axis=1)
    raw = seen.reshape(-1, 2)
    out = raw
    for _ in range(3):
        H = cv2.findHomography(plane, out)[0]
        moments = [cv2.moments(cv2.perspectiveTransform((c + rim)[None], H).astype(np.float32)) for c in plane]
        area = np.array([(m["m10"] / m["m00"], m["m01"] / m["m00"]) for m in moments])
        out = raw - (area - cv2.perspectiveTransform(plane[None], H)[0])
    return np.asarray(out.reshape(seen.shape))
