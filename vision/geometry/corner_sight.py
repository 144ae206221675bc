"""Where a corner of the opening is seen, closely: a small convolutional network's shares of the places round a rough one.

At a corner two arrises meet and end, a line runs into the depth, a trim turns or a curb begins. `corner.onnx` (a U-Net of
340 000 weights, taught by `tests/benchmarks/outline_sight_fit.py`, where its figures are) looks at 96 cells of 1.25 px of the
picture turned square to the room (5 px at 12 MP) and gives the share of every cell and of "no corner here", and how surely each
cell lies on the wall's edge, on the curb's or head's, and inside. Corners on the right are shown to it in the mirror.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.geometry.network import Network
from vision.geometry.outline_sight import STEEPEST, between, centre, probability, within
from vision.geometry.trace_frame import Squared

Array = NDArray[np.float64]
SIDE, UNIT_PX = 96, 1.25
"""cells of a window each way, and px of the small picture that one is wide"""
MIDDLE = (SIDE - 1) / 2
NEAR = 2.0
"""cells from a place within which a corner is there"""
REACH, CLOSE = 22.0, 8.0
"""cells from a window's middle up to which it tells of a place; the second where it is asked for the likeliest places"""
LEAST, LEAST_EDGE = 1e-3, 0.02
"""added to shares before their logarithm is taken"""
ALONG = 40.0
"""cells from a corner, and no more than half of the edge, along which its edges are looked at"""
APART = 3.2
"""cells; nearer places are one"""
FAINTEST = 0.02
"""share of the likeliest place, and of another one, that is told of"""
MIRRORED = (1, 2)
"""corners on the right"""
ENDS = {0: (3, 1), 1: (2, 0), 2: (1, 3), 3: (0, 2)}
"""by corner, the other end of its wall and of its curb or head"""
CORNER = Network("corner.onnx")


@dataclass(frozen=True)
class Window:
    """What is seen in one window: its first cell (x, y), shares of each cell and of those within NEAR, of no corner, and the
    probability of wall's edge, level edge and inside (3, SIDE, SIDE)."""

    first: Array
    share: Array
    near: Array
    none: float
    maps: Array


class Corners:
    """The turned picture, and the windows that have been looked at, by corner (0 to 3, bottom-left first)."""

    def __init__(self, square: Squared) -> None:
        h, w = square.small.shape[:2]
        self._size = (max(round(w / UNIT_PX), 1), max(round(h / UNIT_PX), 1))
        self._by = np.array(self._size) / np.array([w, h])
        self._depth, self._f_px = square.depth, square.f_px
        small = np.asarray(cv2.resize(square.small, self._size, interpolation=cv2.INTER_AREA), dtype=np.uint8)
        there = np.ones(small.shape[:2], dtype=np.float32)
        self._pixels, self._there = (
            cv2.copyMakeBorder(a, SIDE, SIDE, SIDE, SIDE, cv2.BORDER_CONSTANT, value=0) for a in (small, there)
        )
        self._windows: dict[int, list[Window]] = {k: [] for k in range(4)}

    def places(self, corner: int, rough: Array, most: int) -> list[tuple[Array, float]]:
        """The likeliest places (2,) px of the small picture of a corner near a rough one, with their shares, likeliest first."""
        window = self._windows[corner][self._cover(corner, self._cells(rough)[None], CLOSE)[0]]
        left, out = window.near.copy(), []
        y, x = np.mgrid[:SIDE, :SIDE]
        for _ in range(most):
            at = np.unravel_index(int(left.argmax()), left.shape)
            if left[at] < FAINTEST:
                break
            out.append((self._points(window.first + centre(window.share, at)), float(left[at])))
            left[np.hypot(y - at[0], x - at[1]) < APART] = 0.0
        return out

    def clues(self, corners: Array, *, has_head: bool) -> dict[str, Array]:
        """Clues (n,) of outlines with corners (n, 4, 2) px of the small picture."""
        cells, count = self._cells(corners), 4 if has_head else 2
        at, none, wall, level = (np.zeros((count, len(corners))) for _ in range(4))
        for k in range(count):
            for m, own in enumerate(self._cover(k, cells[:, k], REACH)):
                window = self._windows[k][own]
                place = cells[m, k] - window.first
                there = bool(np.all((place > 0) & (place < SIDE - 1)))
                at[k, m] = np.log((float(between(window.near, place)) if there else 0.0) + LEAST)
                none[k, m] = window.none
                wall[k, m], level[k, m] = (
                    _along(window.maps[e], place, cells[m, end] - cells[m, k]) for e, end in enumerate(ENDS[k])
                )
        return {
            "corners": at.mean(axis=0),
            "corners: fainter one": at.min(axis=0),
            "corners: none there": none.max(axis=0),
            "corners: walls": wall.mean(axis=0),
            "corners: wall, fainter one": wall.min(axis=0),
            "corners: curb": level[:2].mean(axis=0),
            "corners: head": level[2:].mean(axis=0) if has_head else np.zeros(len(corners)),
        }

    def _cells(self, points: Array) -> Array:
        return np.asarray((points + 0.5) * self._by - 0.5)

    def _points(self, cells: Array) -> Array:
        return np.asarray((cells + 0.5) / self._by - 0.5)

    def _cover(self, corner: int, cells: Array, reach: float) -> list[int]:
        """The window of each cell (n, 2), whose middle is no further than `reach` away; new ones where there is none."""
        middles = [w.first + MIDDLE for w in self._windows[corner]]
        own, new = [], []
        for cell in cells:
            off = [float(np.abs(cell - m).max()) for m in middles]
            if off and min(off) <= reach:
                own.append(int(np.argmin(off)))
                continue
            first = np.clip(np.round(cell - MIDDLE), -SIDE, np.array(self._size))
            own.append(len(middles))
            middles.append(first + MIDDLE)
            new.append(first)
        self._windows[corner] += self._look(corner, new)
        return own

    def _look(self, corner: int, firsts: Sequence[Array]) -> list[Window]:
        """What is seen in windows that begin at these cells."""
        if not firsts:
            return []
        mirror = slice(None, None, -1 if corner in MIRRORED else 1)
        seen = np.zeros((len(firsts), 7, SIDE, SIDE), dtype=np.float32)
        for one, first in zip(seen, firsts, strict=True):
            x, y = (int(v) + SIDE for v in first)
            there = self._there[y : y + SIDE, x : x + SIDE]
            colour = (self._pixels[y : y + SIDE, x : x + SIDE].astype(np.float32) / 255.0 - 0.5) * there[..., None]
            one[:3], one[3] = colour.transpose(2, 0, 1)[..., mirror], there[:, mirror]
            away = np.clip((self._points(first + MIDDLE) - self._depth) / self._f_px, -STEEPEST, STEEPEST)
            one[4], one[5], one[6] = -away[0] if corner in MIRRORED else away[0], away[1], float(corner > 1)
        return [_window(first, out, mirror) for first, out in zip(firsts, CORNER(seen), strict=True)]


def _window(first: Array, out: Array, mirror: slice) -> Window:
    """The network's answer (4 SIDE SIDE + 1,) as it is seen in the picture."""
    cells = SIDE * SIDE
    odds = np.append(out[:cells], out[-1])
    share = np.exp(odds - odds.max())
    share /= share.sum()
    at = np.ascontiguousarray(share[:-1].reshape(SIDE, SIDE)[:, mirror])
    near = np.asarray(cv2.filter2D(at, -1, within(NEAR)), dtype=np.float64)
    return Window(first, at, near, float(share[-1]), probability(out[cells:-1]).reshape(3, SIDE, SIDE)[..., mirror])


def _along(edge: Array, place: Array, way: Array) -> float:
    """Mean logarithm of what is seen of an edge from a place along a way to its other end, within the window."""
    length = float(np.hypot(*way))
    t = np.arange(2.0, min(ALONG, length / 2 + 3))[:, None]
    points = place + way / max(length, 1e-9) * t
    inside = np.all((points >= 0) & (points <= SIDE - 1), axis=1)
    return float(np.log(between(edge, points[inside]) + LEAST_EDGE).mean()) if inside.any() else float(np.log(LEAST_EDGE))
