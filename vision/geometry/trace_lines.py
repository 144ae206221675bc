"""Long upright and level lines of the squared picture across which the colour changes, and where exactly they run."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import median_filter

from vision.geometry.trace_frame import FINE, Picture, Squared

Array = NDArray[np.float64]
Float32 = NDArray[np.float32]
CELL = 10
"""px of the small picture; the colour on either side is averaged over so much of a line"""
BOX = 4
"""px to either side of an edge: wider than a joint with its blur, narrower than a wall is seen"""
WITHOUT_JOINTS = 11
"""px; a median over so much leaves no joint under half of it, and every edge between two surfaces"""
HALF_STEP = 0.03
"""of full range; a colour step of this size counts half"""
SLOPES = np.tan(np.deg2rad(np.linspace(-0.75, 0.75, 7)))
"""how far out of plumb or level an edge may be: 13 mm/m, twice what makes a wall a problem (common practice, no source)"""
WORTH = 0.35
"""a stretch of line whose score is under this takes more away from the line than it adds"""


class Line(NamedTuple):
    """An upright line x = at + slope (y - h / 2), or a level one y = at + slope (x - w / 2), px of the small picture."""

    at: float
    slope: float


class Upright(NamedTuple):
    """An upright line with the rows between which it is seen."""

    line: Line
    top: float
    bottom: float


@dataclass(frozen=True)
class Steps:
    """Colour steps (0 to 1, saturating) across lines of each slope: (slopes, cells along, positions)."""

    score: Float32
    middle: float
    """half the picture's length along the lines, px"""

    def along(self, lines: Array) -> Array:
        """Scores (n, cells) along lines (n, 2) of position at the middle and slope."""
        k = np.abs(SLOPES[None] - lines[:, 1:]).argmin(axis=1)
        j = np.arange(self.score.shape[1])
        place = lines[:, :1] + (lines[:, 1:] - SLOPES[k][:, None]) * ((j + 0.5) * CELL - self.middle)
        column = np.clip(np.round(place).astype(np.int64), 0, self.score.shape[2] - 1)
        return np.asarray(self.score[k[:, None], j[None], column], dtype=np.float64)


class View(NamedTuple):
    """The squared picture with its steps across upright and across level lines."""

    square: Squared
    upright: Steps
    level: Steps
    plain: Steps
    """across upright lines of the picture without its joints"""


def view_of(square: Squared) -> View:
    """Everything that is computed once per picture."""
    turned = np.ascontiguousarray(square.small.transpose(1, 0, 2))
    upright = _steps(square.small, square.seen)
    level = _steps(turned, np.ascontiguousarray(square.seen.T))
    return View(square, upright, level, _steps(square.small, square.seen, joints=False))


def across(line: Line, along: Array | float, length: float) -> Array:
    """Position of a line at a place along it; `length` is the picture's size along the line."""
    return np.asarray(line.at + line.slope * (np.asarray(along) - length / 2))


def saturated(difference: Array) -> Array:
    """Sizes (...) of colour differences (..., 3) of 0 to 1, saturating."""
    size = np.sqrt(np.sum(difference * difference, axis=-1))
    return np.asarray(size / (size + HALF_STEP))


def sampled(square: Squared, x: Array, y: Array) -> Array:
    """Colours (..., 3), 0 to 1, of the fine picture at points of the small one; the nearest pixel, the border's beyond it."""
    h, w = square.fine.shape[:2]
    column = np.clip(np.round((x + 0.5) * FINE - 0.5).astype(np.int64), 0, w - 1)
    row = np.clip(np.round((y + 0.5) * FINE - 0.5).astype(np.int64), 0, h - 1)
    return np.asarray(square.fine[row, column] / np.float32(255), dtype=np.float64)


def _steps(picture: Picture, seen: NDArray[np.bool_], *, joints: bool = True) -> Steps:
    """Steps across upright lines of a picture (h, w, 3), with or without its joints."""
    h, w = picture.shape[:2]
    n = h // CELL
    rows = picture[: n * CELL].reshape(n, CELL, w, 3).mean(axis=1, dtype=np.float32) / np.float32(255)
    if not joints:
        rows = median_filter(rows, size=(1, WITHOUT_JOINTS, 1), mode="nearest")
    total = np.concatenate([np.zeros((n, 1, 3), np.float32), np.cumsum(rows, axis=1)], axis=1)
    x = np.arange(BOX, w - BOX)
    difference = np.zeros((n, w, 3), np.float32)
    difference[:, x] = (total[:, x + BOX] - 2 * total[:, x] + total[:, x - BOX]) / BOX
    whole = np.asarray(seen[: n * CELL].reshape(n, CELL, w).all(axis=1), dtype=np.bool_)
    inside = np.zeros((n, w), np.bool_)
    inside[:, x] = whole[:, x - BOX] & whole[:, x + BOX - 1]
    difference[~inside] = 0
    size = np.sqrt(np.einsum("ijk,ijk->ij", difference, difference))
    size /= size + np.float32(HALF_STEP)
    shift = np.round(SLOPES[:, None] * ((np.arange(n) + 0.5) * CELL - h / 2)).astype(np.int64)
    column = np.clip(np.arange(w) + shift[..., None], 0, w - 1)
    return Steps(np.ascontiguousarray(size[np.arange(n)[None, :, None], column]), h / 2)


def uprights(view: View, keep: int, shortest: float) -> list[Upright]:
    """The strongest upright lines, and the strongest across which the surface changes, each once, to a pixel or so.

    `keep` of the first and as many more of the second at most; each at least `shortest` of the picture's height long.
    """
    out: list[Upright] = []
    for steps, most in ((view.upright, keep), (view.plain, 2 * keep)):
        for line, top, bottom in _strongest(steps, keep + 3, int(shortest * steps.score.shape[1])):
            fine = polished(view.square, line, (top, bottom), upright=True)
            if len(out) < most and not any(_same(fine, (top, bottom), other, view.square) for other in out):
                out.append(Upright(fine, top, bottom))
    return out


def _same(line: Line, rows: tuple[float, float], other: Upright, square: Squared) -> bool:
    middle, h = sum(rows) / 2, square.small.shape[0]
    near = abs(float(across(line, middle, h) - across(other.line, middle, h))) < 2.5
    common = min(rows[1], other.bottom) - max(rows[0], other.top)
    return near and common > 0.6 * min(rows[1] - rows[0], other.bottom - other.top)


def _strongest(steps: Steps, keep: int, shortest: int) -> list[tuple[Line, float, float]]:
    """Lines by what their best stretch is worth, none beside a stronger one."""
    worth, first, last = _best_stretch(steps.score - np.float32(WORTH))
    worth[(last - first) < shortest] = 0
    out: list[tuple[Line, float, float]] = []
    while len(out) < keep:
        k, x = np.unravel_index(int(worth.argmax()), worth.shape)
        if worth[k, x] <= 1:
            break
        out.append((Line(float(x), float(SLOPES[k])), float(first[k, x] * CELL), float(last[k, x] * CELL)))
        worth[:, max(x - 3, 0) : x + 4] = 0
    return out


def _best_stretch(worth: Float32) -> tuple[Float32, NDArray[np.int64], NDArray[np.int64]]:
    """Along axis 1 the stretch with the largest sum: the sum, its first cell and the one after its last."""
    shape = (worth.shape[0], worth.shape[2])
    best, running = np.zeros(shape, np.float32), np.zeros(shape, np.float32)
    first, last, start = (np.zeros(shape, np.int64) for _ in range(3))
    for j in range(worth.shape[1]):
        anew = running <= 0
        start[anew] = j
        running = np.where(anew, worth[:, j], running + worth[:, j])
        better = running > best
        best[better], first[better], last[better] = running[better], start[better], j + 1
    return best, first, last


PARTS, SAMPLES, STEP = 12, 8, 0.5


def polished(square: Squared, line: Line, extent: tuple[float, float], *, upright: bool, reach: float = 4.0) -> Line:
    """The line moved by up to `reach` px at either end to where the colour changes most, in the fine picture."""
    a, b = extent
    length = square.small.shape[0 if upright else 1]
    t = np.linspace(a + 0.03 * (b - a), b - 0.03 * (b - a), PARTS * SAMPLES)
    offset = np.arange(-reach - 2.5, reach + 2.51, STEP)
    place, along = across(line, t, length)[:, None] + offset, np.repeat(t[:, None], len(offset), axis=1)
    colours = sampled(square, place, along) if upright else sampled(square, along, place)
    mean = colours.reshape(PARTS, SAMPLES, len(offset), 3).mean(axis=1)
    total = np.concatenate([np.zeros((PARTS, 1, 3)), np.cumsum(mean, axis=1)], axis=1)
    box = 3
    i = np.arange(box, len(offset) - box + 1)
    score = saturated((total[:, i + box] - 2 * total[:, i] + total[:, i - box]) / box)
    at = (offset[i] + offset[i - 1]) / 2
    u = (t.reshape(PARTS, SAMPLES).mean(axis=1) - a) / (b - a)
    ends = np.arange(-reach, reach + 0.01, STEP)
    A, B = np.meshgrid(ends, ends, indexing="ij")
    index = np.clip(np.round((A[..., None] * (1 - u) + B[..., None] * u - at[0]) / STEP).astype(np.int64), 0, len(at) - 1)
    value = score[np.arange(PARTS), index].mean(axis=-1) - 0.004 * (np.abs(A) + np.abs(B))
    p, q = np.unravel_index(int(value.argmax()), value.shape)
    start, end = float(across(line, a, length)) + ends[p], float(across(line, b, length)) + ends[q]
    slope = (end - start) / (b - a)
    return Line(float(start + slope * (length / 2 - a)), float(slope))


def crossing(square: Squared, upright: Line, level: Line) -> Array:
    """The point (2,) px where two lines cross."""
    h, w = square.small.shape[:2]
    x = (upright.at + upright.slope * (level.at - level.slope * w / 2 - h / 2)) / (1 - upright.slope * level.slope)
    return np.array([x, level.at + level.slope * (x - w / 2)])
