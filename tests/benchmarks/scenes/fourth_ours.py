"""Our own four small frames: the page that `print-card` makes, cut up and hung.

The page comes as a picture (pdftoppm -r 600 -gray), so nothing of the program is imported; README.md has the commands.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np

from .fourth_base import Array, Rng, Surface, textured

DPI = 600
MM = 25.4 / DPI
MARGIN_MM = 14.0  # of the page kept round each frame; the cut is nearer


@dataclass(frozen=True)
class Frame:
    """One frame on the page as designed, millimetres, x right and y down from the page's corner."""

    low: Array  # (2,) outer black corner, upper left
    high: Array
    picture: Array  # (h, w) 0 to 1, row 0 at the bottom, the frame in its middle


@dataclass(frozen=True)
class Print:
    """A page as a printer made it: frames, true scale across and down, ink and paper."""

    frames: tuple[Frame, ...]
    scale: tuple[float, float]
    ink: float
    paper: float

    def total_mm(self) -> Array:
        """Outer black edge to outer black edge of all four together, across and down."""
        span = np.max([f.high for f in self.frames], axis=0) - np.min([f.low for f in self.frames], axis=0)
        return np.asarray(span * self.scale)

    def size_mm(self, number: int) -> tuple[float, float]:
        w, h = (self.frames[number].high - self.frames[number].low) * self.scale
        return float(w), float(h)

    def surface(self, number: int) -> Surface:
        grey = self.ink + (self.paper - self.ink) * self.frames[number].picture
        h, w = grey.shape
        colour = grey[..., None] * np.array([1.0, 1.0, 0.99])
        return textured(colour, (w * MM * self.scale[0], h * MM * self.scale[1]), 0.45, wrap="clamp")


def read_page(path: Path) -> tuple[Frame, ...]:
    """The four frames of a page, found as its four largest black bodies; edges to a fraction of a pixel by coverage."""
    page = cv2.imread(str(path), cv2.IMREAD_GRAYSCALE)
    if page is None:
        raise SystemExit(f"no page at {path}: make it with print-card and pdftoppm, see README.md")
    grey = page.astype(np.float64) / 255
    _, _, found, _ = cv2.connectedComponentsWithStats((grey < 0.5).astype(np.uint8))
    big = [s for s in found[1:] if s[2] * MM > 60 and s[3] * MM > 60 and s[4] > 0.3 * s[2] * s[3]]
    if len(big) != 4:
        raise SystemExit(f"{len(big)} frames on {path}, 4 needed")
    return tuple(_frame(grey, s) for s in sorted(big, key=lambda s: (round(s[1] / 500), s[0])))


def _frame(grey: Array, found: Array) -> Frame:
    x, y, w, h = (int(v) for v in found[:4])
    row, column = 1 - grey[y + h // 2], 1 - grey[:, x + w // 2]
    low = np.array([_rising(row, x), _rising(column, y)])
    high = np.array([len(row) - _rising(row[::-1], len(row) - x - w), len(column) - _rising(column[::-1], len(column) - y - h)])
    middle = (low + high) / 2
    reach = np.floor((high - low) / 2 + MARGIN_MM / MM).astype(int)
    rows = middle[1] + np.arange(-reach[1], reach[1]) + 0.5 - 0.5
    columns = middle[0] + np.arange(-reach[0], reach[0]) + 0.5 - 0.5
    maps = np.meshgrid(columns.astype(np.float32), rows.astype(np.float32))
    cut = cv2.remap(grey.astype(np.float32), maps[0], maps[1], cv2.INTER_LINEAR, borderValue=1.0)
    return Frame(low * MM, high * MM, cut[::-1])


def _rising(dark: Array, near: int) -> float:
    """Where a black body begins, in pixel edges: the partly covered pixel before it counts by its share."""
    first = near - 2 + int(np.argmax(dark[near - 2 : near + 3] > 0.02))
    return float(first + 1 - dark[first]) if dark[first] < 0.98 else float(first)


def printed_page(rng: Rng, frames: tuple[Frame, ...], bar_slack: float = 0.0025) -> Print:
    """Printed at 100 %, bars held to a rule: what passes as 100 mm is 100 mm to about a quarter millimetre (sd), each way."""
    scale = (float(1 + rng.normal(0, bar_slack)), float(1 + rng.normal(0, bar_slack)))
    return Print(frames, scale, float(rng.uniform(0.02, 0.055)), float(rng.uniform(0.76, 0.84)))


def cut_sheet(rng: Rng, size_mm: tuple[float, float], rim_mm: float = 10.0, hand_mm: float = 0.6) -> Array:
    """Corners of the sheet about the frame's centre, cut by hand along the dashes: (4, 2) from the lower left."""
    half = np.array(size_mm) / 2 + rim_mm
    corners = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * half
    return np.asarray(corners + rng.normal(0, hand_mm, (4, 2)))
