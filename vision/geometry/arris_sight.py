"""Where beside a rough line an arris is seen, by all that stands round such a line: a small convolutional network's shares.

A person sees at once which of two lines is the opening's and which the rear of a side wall or the border of a trim: by the
corner that it turns, by what it encloses, by what goes on beyond its ends. `arris.onnx` (a U-Net of 430 000 weights) has learned
that from rendered rooms (`tests/benchmarks/arris_fit.py`, where what it was shown, and how it does on rooms of authors that it
has not seen, is told). It looks at a window along the line, five sixths of which is the line itself, and gives, row by row, the
share of each column and of "no arris in this row". Its columns are 2.5 px wide at 12 MP: it tells lines apart, no more.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.geometry.camera import CameraPrior
from vision.geometry.network import Network

Array = NDArray[np.float64]
UNIT_PX = 2.5
"""px at 12 MP; a window's columns"""
ROWS, COLUMNS = 64, 97
"""of a window"""
HALF = COLUMNS // 2
BEYOND = 0.14
"""share of the line's length by which a window goes on beyond either end"""
ALONG = -BEYOND + (1 + 2 * BEYOND) * (np.arange(ROWS) + 0.5) / ROWS
"""places of the rows, 0 to 1 between the line's ends"""
OWN = (ALONG > 0.02) & (ALONG < 0.98)
"""rows of the line itself"""
SUBROWS = 16
"""places that are averaged in a row"""
OUTSIDE = 0.06
"""sum of three codes, of 3, up to which a sample counts as outside of the picture"""
INWARD = {"left": (1.0, 0.0), "right": (-1.0, 0.0), "curb": (0.0, -1.0), "head": (0.0, 1.0)}
"""by edge, the side of the opening (x, y)"""
KIND = {"left": 0, "right": 0, "curb": 1, "head": 2}
WIDE = 1.2
"""columns to either side of a line that are the line's"""
FLOOR = 0.01
"""added to shares: what the network holds impossible may be so all the same"""
ARRIS = Network("arris.onnx")


@dataclass(frozen=True)
class Reduced:
    """A photo at UNIT_PX: pixels (h, w, 3), its pixels per one of the photo (x, y), and the focal length in its pixels."""

    pixels: NDArray[np.uint8]
    by: Array
    f_px: float

    def place(self, photo_px: Array) -> Array:
        """Points (..., 2) of the photo in this picture."""
        return np.asarray((photo_px + 0.5) * self.by - 0.5)


@dataclass(frozen=True)
class Sight:
    """What the network says along one rough line.

    `ends` (2, 2): the line's, px of the photo; `normal` (2,): a column further inside the opening, in the same px; `shares`
    (ROWS, COLUMNS + 1): by row, of every column, the middle one on the line, and of no arris at all.
    """

    ends: Array
    normal: Array
    shares: Array

    def columns(self, points: Array) -> Array:
        """How many columns inside of this line's ends (2,) another line runs, through points (2, 2) px of the photo."""
        along = points[1] - points[0]
        across = np.array([along[1], -along[0]])
        return np.asarray(((points[0] - self.ends) @ across) / (self.normal @ across))

    def points(self, columns: Array) -> Array:
        """Ends (2, 2) px of the photo of the line that runs so many columns (2,) inside of this one's ends."""
        return np.asarray(self.ends + columns[:, None] * self.normal)

    def support(self, columns: Array, wide: float = WIDE, floor: float = FLOOR) -> Array:
        """How much lines (n, 2) columns inside at both ends are seen to be the arris: mean logarithms (n,) of their shares, each
        with `wide` columns to either side, and no less than `floor`."""
        shares = self.shares[OWN, :COLUMNS]
        total = np.concatenate([np.zeros((len(shares), 1)), np.cumsum(shares, axis=1)], axis=1)
        at = columns[:, :1] * (1 - ALONG[OWN]) + columns[:, 1:] * ALONG[OWN] + HALF + 0.5
        inside = _at(total, at + wide) - _at(total, at - wide)
        return np.asarray(np.log(inside + floor).mean(axis=1))


def reduced(pixels: NDArray[np.uint8], prior: CameraPrior, scale: float) -> Reduced:
    """The photo (h, w, 3) for windows; `scale` is its diagonal over that of a 12 MP photo."""
    high, wide = pixels.shape[:2]
    by = 1.0 / (UNIT_PX * scale)
    size = (max(round(wide * by), 1), max(round(high * by), 1))
    small = np.asarray(cv2.resize(pixels, size, interpolation=cv2.INTER_AREA if by < 1 else cv2.INTER_CUBIC), dtype=np.uint8)
    f_px = prior.f * math.hypot(*size) / math.hypot(high, wide)
    return Reduced(small, np.array([size[0] / wide, size[1] / high]), f_px)


def sights(picture: Reduced, lines: Mapping[str, Array]) -> dict[str, Sight]:
    """By edge ("left", "right", "curb", "head"), what is seen along its rough line (2, 2) px of the photo."""
    return dict(zip(lines, sights_along(picture, list(lines.items())), strict=True))


def sights_along(picture: Reduced, lines: list[tuple[str, Array]]) -> list[Sight]:
    """What is seen along each rough line, of the edge of that name."""
    if not lines:
        return []
    windows, normals = zip(*(_window(picture, name, picture.place(ends)) for name, ends in lines), strict=True)
    seen = _shares(np.stack(windows))
    return [
        Sight(np.asarray(ends, dtype=np.float64), normal / picture.by, share)
        for (_, ends), normal, share in zip(lines, normals, seen, strict=True)
    ]


def _window(picture: Reduced, name: str, ends: Array) -> tuple[NDArray[np.float32], Array]:
    """The network's input (8, ROWS, COLUMNS) along a line (2, 2) of the small picture, and the unit vector across it, inward."""
    a, b = ends
    along = b - a
    across = np.array([along[1], -along[0]]) / max(float(np.hypot(*along)), 1e-9)
    across = across if float(across @ np.array(INWARD[name])) >= 0 else -across
    t = -BEYOND + (1 + 2 * BEYOND) * (np.arange(ROWS * SUBROWS) + 0.5) / (ROWS * SUBROWS)
    at = a + t[:, None, None] * along + (np.arange(COLUMNS) - HALF)[None, :, None] * across
    x, y = (np.ascontiguousarray(at[..., k], dtype=np.float32) for k in (0, 1))
    taken = cv2.remap(picture.pixels, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT, borderValue=(0, 0, 0))
    colour = taken.reshape(ROWS, SUBROWS, COLUMNS, 3).astype(np.float32).mean(axis=1) / 255.0
    there = (colour.sum(axis=2) > OUTSIDE).astype(np.float32)
    high, wide = picture.pixels.shape[:2]
    out = np.zeros((8, ROWS, COLUMNS), dtype=np.float32)
    out[:3] = ((colour - 0.5) * there[..., None]).transpose(2, 0, 1)
    out[3] = there
    # the tangent of the angle at which what lies behind this edge is seen
    out[4] = float((np.array([wide, high]) / 2 - (a + b) / 2) @ across) / picture.f_px
    out[5 + KIND[name]] = 1.0
    return out, across


def _shares(windows: NDArray[np.float32]) -> list[Array]:
    """Shares (ROWS, COLUMNS + 1) of each window."""
    odds = ARRIS(windows)
    odds = np.exp(odds - odds.max(axis=2, keepdims=True))
    return list(odds / odds.sum(axis=2, keepdims=True))


def _at(total: Array, columns: Array) -> Array:
    """Running totals (rows, COLUMNS + 1) at places (n, rows) between columns."""
    place = np.clip(columns, 0.0, COLUMNS)
    low = np.minimum(place.astype(np.int64), COLUMNS - 1)
    rows = np.arange(len(total))
    part = place - low
    return np.asarray(total[rows, low] * (1 - part) + total[rows, low + 1] * part)
