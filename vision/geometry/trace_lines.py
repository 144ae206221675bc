"""Long upright and level lines of the squared picture across which the colour changes, and where exactly they run."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.geometry.running_median import running_median
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
WORTH, CLEAR = 0.35, 0.7
"""a stretch of line whose score is under this takes more away from the line than it adds; the second where clear ones count"""
CLEAREST = 5
"""lines that are clear all along, however short: the walls of a window among joints that run through the whole picture"""


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
    turned, seen = np.ascontiguousarray(square.small.transpose(1, 0, 2)), np.ascontiguousarray(square.seen.T)
    rows, inside = _cells(square.small), _inside(square.seen)
    h, w = square.small.shape[:2]
    plain = running_median(rows, WITHOUT_JOINTS)
    return View(square, _steps(rows, inside, h), _steps(_cells(turned), _inside(seen), w), _steps(plain, inside, h))


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
    column = np.minimum(np.maximum(np.rint((x + 0.5) * FINE - 0.5).astype(np.int64), 0), w - 1)
    row = np.minimum(np.maximum(np.rint((y + 0.5) * FINE - 0.5).astype(np.int64), 0), h - 1)
    return np.asarray(square.fine.reshape(-1, 3).take(row * w + column, axis=0) / 255.0)


def _cells(picture: Picture) -> Float32:
    """Mean colours, 0 to 1, of a picture (h, w, 3) over each CELL of rows, (n, w, 3)."""
    h, w = picture.shape[:2]
    cells = picture[: h // CELL * CELL].reshape(-1, CELL, w * 3)
    total = [cv2.reduce(cell, 0, cv2.REDUCE_SUM, dtype=cv2.CV_32F) for cell in cells]
    return np.asarray(np.array(total, dtype=np.float32).reshape(-1, w, 3) / np.float32(CELL) / np.float32(255), dtype=np.float32)


def _inside(seen: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Where both sides of an edge lie in what is seen (h, w), for each CELL of rows, (n, w)."""
    h, w = seen.shape
    whole = np.asarray(seen[: h // CELL * CELL].reshape(-1, CELL, w).all(axis=1), dtype=np.bool_)
    inside = np.zeros(whole.shape, np.bool_)
    inside[:, BOX : w - BOX] = whole[:, : w - 2 * BOX] & whole[:, 2 * BOX - 1 : w - 1]
    return inside


def _steps(rows: Float32, inside: NDArray[np.bool_], h: int) -> Steps:
    """Steps across upright lines of a picture of height h, of its cells' colours (n, w, 3)."""
    n, w = rows.shape[:2]
    total = np.zeros((n, w + 1, 3), np.float32)
    np.cumsum(rows, axis=1, out=total[:, 1:])
    difference = np.zeros((n, w, 3), np.float32)
    difference[:, BOX : w - BOX] = (total[:, 2 * BOX : w] - 2 * total[:, BOX : w - BOX] + total[:, : w - 2 * BOX]) / BOX
    difference[~inside] = 0
    size = np.sqrt(np.einsum("ijk,ijk->ij", difference, difference))
    size /= size + np.float32(HALF_STEP)
    shift = np.round(SLOPES[:, None] * ((np.arange(n) + 0.5) * CELL - h / 2)).astype(np.int64)
    column = np.clip(np.arange(w) + shift[..., None], 0, w - 1)
    return Steps(np.ascontiguousarray(size[np.arange(n)[None, :, None], column]), h / 2)


def uprights(view: View, keep: int, shortest: float) -> list[Upright]:
    """The strongest upright lines, the strongest across which the surface changes, and the clearest, each once, to a pixel or so.

    `keep` of the first, as many more of the second and CLEAREST of the third at most; each at least `shortest` of the picture's
    height long.
    """
    out: list[Upright] = []
    kinds = ((view.upright, keep, keep + 3, WORTH), (view.plain, 2 * keep, keep + 3, WORTH))
    for steps, most, tried, worth in (*kinds, (view.upright, 2 * keep + CLEAREST, CLEAREST, CLEAR)):
        strongest = _strongest(steps, tried, int(shortest * steps.score.shape[1]), worth)
        extents = [(top, bottom) for _, top, bottom in strongest]
        finer = all_polished(view.square, [line for line, _, _ in strongest], extents, upright=True)
        for fine, (top, bottom) in zip(finer, extents, strict=True):
            if len(out) < most and not any(_same(fine, (top, bottom), other, view.square) for other in out):
                out.append(Upright(fine, top, bottom))
    return out


def _same(line: Line, rows: tuple[float, float], other: Upright, square: Squared) -> bool:
    middle, h = sum(rows) / 2, square.small.shape[0]
    near = abs(float(across(line, middle, h) - across(other.line, middle, h))) < 2.5
    common = min(rows[1], other.bottom) - max(rows[0], other.top)
    return near and common > 0.6 * min(rows[1] - rows[0], other.bottom - other.top)


def _strongest(steps: Steps, keep: int, shortest: int, least: float) -> list[tuple[Line, float, float]]:
    """Lines by what their best stretch is worth, over a score of `least`, none beside a stronger one."""
    worth, first, last = _best_stretch(steps.score - np.float32(least))
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
    return all_polished(square, [line], [extent], upright=upright, reach=reach)[0]


def all_polished(
    square: Squared, lines: Sequence[Line], extents: Sequence[tuple[float, float]], *, upright: bool, reach: float = 4.0
) -> list[Line]:
    """Several lines polished at once."""
    if not lines:
        return []
    k, length = len(lines), square.small.shape[0 if upright else 1]
    a, b = (e[:, None] for e in np.array(extents, dtype=np.float64).T)
    first, slopes = (v[:, None] for v in np.array(lines).T)
    t = np.linspace(a[:, 0] + 0.03 * (b - a)[:, 0], b[:, 0] - 0.03 * (b - a)[:, 0], PARTS * SAMPLES, axis=1)
    offset = np.arange(-reach - 2.5, reach + 2.51, STEP)
    place = (first + slopes * (t - length / 2))[..., None] + offset
    along = np.broadcast_to(t[..., None], place.shape)
    colours = sampled(square, place, along) if upright else sampled(square, along, place)
    mean = colours.reshape(k, PARTS, SAMPLES, len(offset), 3).mean(axis=2)
    total = np.concatenate([np.zeros((k, PARTS, 1, 3)), np.cumsum(mean, axis=2)], axis=2)
    box, m = 3, len(offset)
    score = saturated((total[:, :, 2 * box :] - 2 * total[:, :, box : m - box + 1] + total[:, :, : m - 2 * box + 1]) / box)
    at = (offset[box : m - box + 1] + offset[box - 1 : m - box]) / 2
    u = (t.reshape(k, PARTS, SAMPLES).mean(axis=2) - a) / (b - a)
    ends = np.arange(-reach, reach + 0.01, STEP)
    A, B = (x.ravel() for x in np.meshgrid(ends, ends, indexing="ij"))
    where = A[:, None] * (1 - u[:, None]) + B[:, None] * u[:, None]
    index = np.clip(np.round((where - at[0]) / STEP).astype(np.int64), 0, len(at) - 1)
    value = score[np.arange(k)[:, None, None], np.arange(PARTS), index].mean(axis=2) - 0.004 * (np.abs(A) + np.abs(B))
    best = value.argmax(axis=1)
    start, end = ((first + slopes * (e - length / 2))[:, 0] + v[best] for e, v in ((a, A), (b, B)))
    slope = (end - start) / (b - a)[:, 0]
    return [Line(float(s + g * (length / 2 - e)), float(g)) for s, g, e in zip(start, slope, a[:, 0], strict=True)]


def crossing(square: Squared, upright: Line, level: Line) -> Array:
    """The point (2,) px where two lines cross."""
    h, w = square.small.shape[:2]
    x = (upright.at + upright.slope * (level.at - level.slope * w / 2 - h / 2)) / (1 - upright.slope * level.slope)
    return np.array([x, level.at + level.slope * (x - w / 2)])
