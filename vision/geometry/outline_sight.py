"""The opening as a small convolutional network draws it into the whole picture, coarsely: where it is, not which line bounds it.

`outline.onnx` (a U-Net of 960 000 weights, taught by `tests/benchmarks/outline_sight_fit.py`, where its figures are) sees the
picture turned square to the room, each of its cells 4.5 px wide (18 px at 12 MP), and gives for every cell how surely it lies
inside of the opening, and for each of its four corners and four edges where that is. What lies beside what, and what is an
opening and what a cupboard, it has seen in rendered rooms; lines nearer to one another than two cells it does not tell apart.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.geometry.network import Network
from vision.geometry.trace_frame import Squared

Array = NDArray[np.float64]
SIDE, UNIT_PX = 256, 4.5
"""cells of the network's picture each way, and px of the small picture that one is wide"""
THIRD = 3
"""what the picture is reduced by before it is sampled"""
STEEPEST = 1.5
"""tangent of the angle from the line of sight that is told the network at most"""
EDGES = {"left": (3, 0), "right": (2, 1), "curb": (0, 1), "head": (3, 2)}
"""corners at the ends of each edge; the order is that of the network's maps, left, right, curb, head"""
NEAR = 1.8
"""cells from a place within which a corner is there"""
LEAST_CORNER, LEAST_EDGE, LEAST_INSIDE = 1e-4, 0.01, 0.003
"""added to shares before their logarithm is taken: what the network holds impossible may be so all the same"""
PLACES = np.linspace(0.04, 0.96, 40)
"""places along an edge that are looked at"""
BEYOND = 4.0
"""times the height seen up to which an opening without a head is taken to go on"""
LEAN = np.arange(-40.0, 40.1, 0.5)
"""cells by which the upper end of a wall without a head may be beside its foot"""
UP_TO = 0.85
"""of the way to the picture's upper border, where the upper corner of such a wall is put"""
OUTLINE = Network("outline.onnx")


@dataclass(frozen=True)
class Drawn:
    """What the network draws: `inside` (SIDE, SIDE) and `edges` (4, SIDE, SIDE) probabilities, `corners` (4, SIDE, SIDE) shares.

    `there` (SIDE, SIDE): 1 where the picture is; `middle` (2,) px of the small picture in the middle of the cells.
    """

    inside: Array
    edges: Array
    corners: Array
    there: Array
    middle: Array
    has_head: bool

    def cells(self, points: Array) -> Array:
        """Cells (..., 2) of points of the small picture."""
        return np.asarray((points - self.middle) / UNIT_PX + (SIDE - 1) / 2)

    def points(self, cells: Array) -> Array:
        """Points (..., 2) px of the small picture of cells."""
        return np.asarray((cells - (SIDE - 1) / 2) * UNIT_PX + self.middle)

    def outline(self) -> Array:
        """The likeliest corners (4, 2) px of the small picture, each by itself."""
        out = np.array([centre(of, np.unravel_index(int(of.argmax()), of.shape)) for of in self.corners])
        if not self.has_head:
            out[3], out[2] = self._up(0, out[0]), self._up(1, out[1])
        return self.points(out)

    def tops(self, feet: Array) -> Array:
        """Without a head: points (2, 2) px high up on both walls whose feet (2, 2) are these, left first."""
        return self.points(np.array([self._up(k, foot) for k, foot in enumerate(self.cells(feet))]))

    def _up(self, wall: int, foot: Array) -> Array:
        """A cell high up on a wall's edge, along the line from its foot that is drawn clearest."""
        top = float(np.nonzero(self.there.any(axis=1))[0][0]) + 1.0
        ends = np.column_stack([foot[0] + LEAN, np.full(len(LEAN), top)])
        t = PLACES[:, None, None]
        seen = np.log(between(self.edges[wall] * self.there, ends * t + foot * (1 - t)) + 2 * LEAST_EDGE).mean(axis=0)
        return np.asarray(foot + UP_TO * (ends[int(seen.argmax())] - foot))


def drawn(square: Squared, *, has_head: bool) -> Drawn:
    """The opening as it is drawn into the turned picture."""
    h, w = square.small.shape[:2]
    middle = np.array([w, h]) / 2 - 0.5
    size = (max(w // THIRD, 1), max(h // THIRD, 1))
    whole = square.small[: size[1] * THIRD, : size[0] * THIRD]
    third = cv2.resize(whole, size, interpolation=cv2.INTER_AREA)
    x, y = np.meshgrid(*((np.arange(SIDE) - (SIDE - 1) / 2) * UNIT_PX + middle[k] for k in (0, 1)))
    at = [((v + 0.5) / THIRD - 0.5).astype(np.float32) for v in (x, y)]
    colour = np.asarray(cv2.remap(third, at[0], at[1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT), dtype=np.float32)
    there = ((x >= 0) & (y >= 0) & (x <= w - 1) & (y <= h - 1)).astype(np.float32)
    seen = np.zeros((7, SIDE, SIDE), dtype=np.float32)
    seen[:3] = ((colour / 255.0 - 0.5) * there[..., None]).transpose(2, 0, 1)
    seen[3] = there
    for k, v in enumerate((x, y)):
        seen[4 + k] = np.clip((v - square.depth[k]) / square.f_px, -STEEPEST, STEEPEST)
    seen[6] = float(has_head)
    out = OUTLINE(seen[None])[0]
    odds = np.exp(out[1:5] - out[1:5].max(axis=(1, 2), keepdims=True))
    corners = odds / odds.sum(axis=(1, 2), keepdims=True)
    return Drawn(probability(out[0]), probability(out[5:9]), corners, there.astype(np.float64), middle, has_head)


def drawn_clues(of: Drawn, corners: Array) -> dict[str, Array]:
    """Clues (n,) of outlines with corners (n, 4, 2) px of the small picture."""
    count = 4 if of.has_head else 2
    disc = within(NEAR)
    near = [np.asarray(cv2.filter2D(share, -1, disc), dtype=np.float64) for share in of.corners[:count]]
    cells = of.cells(corners)
    at = np.array([np.log(between(near[k], cells[:, k]) + LEAST_CORNER) for k in range(count)])
    edges = _edges(of, cells)
    return {
        "drawn: beside what is inside": np.array([_beside(of, one) for one in cells]),
        "drawn: corners": at.mean(axis=0),
        "drawn: corner, fainter one": at.min(axis=0),
        "drawn: edges": np.mean(list(edges.values()), axis=0),
        "drawn: edge, fainter one": np.min(list(edges.values()), axis=0),
        "drawn: curb": edges["curb"],
        "drawn: head": edges.get("head", np.zeros(len(corners))),
    }


def _edges(of: Drawn, cells: Array) -> Mapping[str, Array]:
    """By edge, the mean logarithm (n,) of what is drawn along it."""
    out = {}
    for k, (name, (i, j)) in enumerate(EDGES.items()):
        if name != "head" or of.has_head:
            t = PLACES[:, None, None]
            line = cells[:, i] * (1 - t) + cells[:, j] * t
            out[name] = np.log(between(of.edges[k], line) + LEAST_EDGE).mean(axis=0)
    return out


def _beside(of: Drawn, cells: Array) -> float:
    """Logarithm of the share of an outline (4, 2) and of what is drawn as inside that is not common to both."""
    region = cells.copy()
    if not of.has_head:
        region[3], region[2] = (cells[foot] + BEYOND * (cells[top] - cells[foot]) for foot, top in ((0, 3), (1, 2)))
    mask = np.zeros((SIDE, SIDE), dtype=np.uint8)
    cv2.fillPoly(mask, [np.round(region * 16).astype(np.int32)], (255,), shift=4, lineType=cv2.LINE_AA)
    mine = mask / 255.0 * of.there
    both = float((mine * of.inside).sum())
    either = float((of.inside * of.there).sum()) + float(mine.sum()) - both
    return math.log(max(1 - both / max(either, 1.0), LEAST_INSIDE))


def probability(odds: Array) -> Array:
    """Of log odds."""
    return np.asarray(1 / (1 + np.exp(-np.clip(odds, -30, 30))))


def within(radius: float) -> Array:
    """1 in cells whose centres are no further from the middle one, (m, m)."""
    n = math.ceil(radius)
    y, x = np.mgrid[-n : n + 1, -n : n + 1]
    return np.asarray((np.hypot(x, y) <= radius).astype(np.float64))


def centre(share: Array, at: tuple[np.intp, ...]) -> Array:
    """The mean place (x, y) of the shares (h, w) within two cells of one."""
    y0, x0 = max(int(at[0]) - 2, 0), max(int(at[1]) - 2, 0)
    part = share[y0 : int(at[0]) + 3, x0 : int(at[1]) + 3]
    y, x = np.mgrid[y0 : y0 + part.shape[0], x0 : x0 + part.shape[1]]
    total = max(float(part.sum()), 1e-12)
    return np.array([float((part * x).sum()) / total, float((part * y).sum()) / total])


def between(values: Array, points: Array) -> Array:
    """Values (h, w) at points (..., 2) between the cells; beyond the border those of the border."""
    x, y = (np.clip(points[..., k], 0, values.shape[1 - k] - 1.001) for k in (0, 1))
    i, j = x.astype(np.int64), y.astype(np.int64)
    a, b = x - i, y - j
    return np.asarray(
        (values[j, i] * (1 - a) + values[j, i + 1] * a) * (1 - b) + (values[j + 1, i] * (1 - a) + values[j + 1, i + 1] * a) * b
    )
