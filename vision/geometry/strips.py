"""Raw pixels in a band around a rough edge, and their linear light. No interpolation ever touches a pixel."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def linear_of(code: Array) -> Array:
    """Linear light of sRGB codes between 0 and 1 (IEC 61966-2-1)."""
    return np.asarray(np.where(code <= 0.04045, code / 12.92, ((code + 0.055) / 1.055) ** 2.4))


LINEAR = linear_of(np.arange(256) / 255.0).astype(np.float32)
"""linear light, 0 to 1, of the 256 codes"""


@dataclass(frozen=True)
class Strip:
    """A band of scan lines across an edge.

    Where `transposed` is false line k is row `start` + k of the photo and its samples are the columns `first[k]`,
    `first[k]` + 1, ...; where it is true rows and columns change places. `pixels` is uint8 RGB (sRGB codes), shape
    (lines, samples, 3).
    """

    transposed: bool
    start: int
    first: NDArray[np.int64]
    pixels: NDArray[np.uint8]

    @property
    def lines(self) -> int:
        """Number of scan lines."""
        return len(self.first)

    def to_photo(self, line: Array, position: Array) -> Array:
        """Photo pixels (n, 2) of positions (in the photo's coordinate along the scan) on scan lines (counted from 0)."""
        along = np.asarray(line, dtype=np.float64) + self.start
        across = np.asarray(position, dtype=np.float64)
        return np.stack([along, across] if self.transposed else [across, along], axis=-1)

    def of_polyline(self, points: Array) -> Array:
        """Position across the strip, one per scan line, of a polyline (n, 2) px; the ends are continued straight."""
        along, across = (points[:, 0], points[:, 1]) if self.transposed else (points[:, 1], points[:, 0])
        order = np.argsort(along)
        along, across = along[order], across[order]
        lines = np.arange(self.lines) + self.start
        position = np.interp(lines, along, across)
        before, after = lines < along[0], lines > along[-1]
        position[before] = across[0] + (lines[before] - along[0]) * _slope(along[:2], across[:2])
        position[after] = across[-1] + (lines[after] - along[-1]) * _slope(along[-2:], across[-2:])
        return np.asarray(position)

    def extent(self, start_px: Array, end_px: Array) -> tuple[float, float]:
        """Scan-line coordinates (counted from 0) of two photo points."""
        k = 0 if self.transposed else 1
        return float(start_px[k] - self.start), float(end_px[k] - self.start)


def _slope(along: Array, across: Array) -> float:
    return float((across[1] - across[0]) / max(along[1] - along[0], 1e-9))


def take_strip(pixels: NDArray[np.uint8], start_px: Array, end_px: Array, half_width: int, margin: int = 0) -> Strip:
    """The band of +-`half_width` samples round the segment between two points (px), `margin` lines longer at either end.

    Lines and samples outside the picture are left out; an empty strip has no lines.
    """
    delta = np.abs(np.asarray(end_px) - np.asarray(start_px))
    transposed = bool(delta[0] > delta[1])
    source = pixels.transpose(1, 0, 2) if transposed else pixels
    k = 0 if transposed else 1
    (a, p), (b, q) = sorted(((float(v[k]), float(v[1 - k])) for v in (start_px, end_px)), key=lambda v: v[0])
    low = max(int(np.floor(a)) - margin, 0)
    high = min(int(np.ceil(b)) + margin, source.shape[0] - 1)
    lines = np.arange(low, high + 1)
    centre = p + (lines - a) * (q - p) / max(b - a, 1e-9)
    width = min(2 * half_width + 1, source.shape[1])
    first = np.clip(np.round(centre).astype(np.int64) - half_width, 0, source.shape[1] - width)
    if len(lines) == 0:
        return Strip(transposed, low, first, np.zeros((0, width, 3), dtype=np.uint8))
    columns = first[:, None] + np.arange(width)[None, :]
    return Strip(transposed, low, first, np.ascontiguousarray(source[lines[:, None], columns]))
