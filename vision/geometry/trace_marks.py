"""Curb and head between two walls: which level line is the front edge, judged by what meets there.

At a front corner of an alcove the wall face goes on outside, and a line runs inward from it. The rear edge of the curb's top or
of the soffit has no such corner, the floor's line runs on beyond the walls, a joint has the same colour on both sides.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.geometry.trace_clues import further_clues
from vision.geometry.trace_lines import CELL, SLOPES, Line, Steps, View, across, all_polished, sampled, saturated
from vision.geometry.trace_weights import CURB, HEAD, Weights

Array = NDArray[np.float64]
FAINTEST = 0.22
"""score under which a level line is not looked at"""
ROUGHLY_MOST, CLOSELY_MOST = 12, 8
"""level lines that are looked at while the walls are still being chosen; and the likeliest, judged by all clues (the true one was
among the first two of them in 110 of 110)"""
PARTNER_PX = (4.0, 40.0)
"""px of the small picture; front and rear edge of a curb's top or of a soffit are as far apart"""
CLUES = (
    "colour changes all along",
    "colour changes on the weakest quarter",
    "goes on beyond the walls",
    "walls inside",
    "walls beyond",
    "strip beside the wall differs, inside",
    "strip beside the wall differs, outside",
    "line into the depth from the corner",
    "walls just beyond",
    "colour changes up to the wall",
)
"""what is measured of a level line, each 0 to 1"""
MORE_CLUES = ("line inside that may be one", "line outside that may be one", "clear line outside", "clear line")
"""what its neighbours and it say in the second judgement, each 0 to 1"""


@dataclass(frozen=True)
class Level:
    """A level line between two walls and the log odds that it is the front edge.

    `hidden`: by how much the walls' edges are clearer just beyond the line than further on (0 to 1).
    """

    line: Line
    odds: float
    hidden: float = 0.0


class Scored(NamedTuple):
    """A level line and how clearly the colour changes across it (0 to 1)."""

    line: Line
    score: float


@dataclass(frozen=True)
class Between:
    """Two walls, the rows to look at, and whether the head (inside is below) or the curb is looked for."""

    view: View
    left: Line
    right: Line
    rows: tuple[float, float]
    head: bool

    @property
    def inward(self) -> int:
        """Direction of the inside along y."""
        return 1 if self.head else -1

    def walls(self, y: Array) -> tuple[Array, Array]:
        """x of both walls at y."""
        h = self.view.square.small.shape[0]
        return across(self.left, y, h), across(self.right, y, h)

    def ending(self, lines: Sequence[Line]) -> Ended:
        """These level lines with the walls that they end at."""
        left, right = (np.tile(np.array(wall), (len(lines), 1)) for wall in (self.left, self.right))
        return Ended(self.view, np.array(lines).reshape(-1, 2), left, right, self.inward)


@dataclass(frozen=True)
class Ended:
    """Level lines (n, 2) of heads or of curbs, each with its walls (n, 2) and (n, 2): positions at the middle and slopes."""

    view: View
    lines: Array
    left: Array
    right: Array
    inward: int

    def walls(self) -> tuple[Array, Array, Array]:
        """y of the lines half way between their walls, and x of both walls there, each (n,)."""
        h, w = self.view.square.small.shape[:2]

        def at(y: Array) -> tuple[Array, Array]:
            left, right = (np.asarray(wall[:, 0] + wall[:, 1] * (y - h / 2)) for wall in (self.left, self.right))
            return left, right

        left, right = at(self.lines[:, 0])
        y = self.lines[:, 0] + self.lines[:, 1] * ((left + right) / 2 - w / 2)
        return (y, *at(y))


Judged = tuple[list[Line], Array, Array]
"""Level lines with their CLUES (n, 10) and rough log odds (n,)"""


def levels(betweens: Sequence[Between], *, roughly: bool = False) -> list[list[Level]]:
    """Of pairs of walls, all heads or all curbs, the level lines by their odds, best first; `roughly` a few of them, to 2 px."""
    lines = [level_lines(between) for between in betweens]
    if roughly:
        lines = [sorted(sorted(of, key=lambda one: -one.score)[:ROUGHLY_MOST], key=lambda one: one.line.at) for of in lines]
    rough = judged(betweens, [[one.line for one in of] for of in lines])
    if roughly:
        return [_ordered(*one) for one in rough]
    last = np.array((HEAD if betweens[0].head else CURB).last) if betweens else np.zeros(0)
    return [_ordered(found, clues, more @ last) for found, clues, more in closely(betweens, rough)]


def _ordered(found: list[Line], clues: Array, odds: Array) -> list[Level]:
    hidden = hidden_by(clues)
    return [Level(found[i], float(odds[i]), float(hidden[i])) for i in np.argsort(-odds)]


def judged(betweens: Sequence[Between], lines: Sequence[list[Line]]) -> list[Judged]:
    """The lines of each pair of walls with their CLUES and rough log odds."""
    out = []
    for between, of, clues in zip(betweens, lines, _each(clues_of, betweens, lines), strict=True):
        weights = HEAD if between.head else CURB
        more = second_clues(clues, np.array([line.at for line in of]), between.inward, weights)
        out.append((of, clues, more @ np.array(weights.second) + weights.second_constant))
    return out


def closely(betweens: Sequence[Between], rough: Sequence[Judged]) -> list[tuple[list[Line], Array, Array]]:
    """Of the likeliest lines, drawn once more: the lines, their CLUES (m, 10), and all clues (m, 20) that `last` weighs."""
    firsts = [np.argsort(-odds)[:CLOSELY_MOST] for _, _, odds in rough]
    fine = [_finer(between, [of[i] for i in first]) for between, (of, _, _), first in zip(betweens, rough, firsts, strict=True)]
    out = []
    anew, last = _each(clues_of, betweens, fine), _each(last_clues, betweens, fine)
    for k, (between, (lines, clues, _), first) in enumerate(zip(betweens, rough, firsts, strict=True)):
        every, y = clues.copy(), np.array([line.at for line in lines])
        every[first], y[first] = anew[k], [line.at for line in fine[k]]
        more = second_clues(every, y, between.inward, HEAD if between.head else CURB)[first]
        out.append((fine[k], anew[k], np.column_stack([more, last[k]])))
    return out


def _finer(between: Between, lines: list[Line]) -> list[Line]:
    """The lines drawn once more between the walls."""
    ends = np.stack(between.walls(np.array([line.at for line in lines])), axis=1)
    return all_polished(between.view.square, lines, [(float(a), float(b)) for a, b in ends], upright=False, reach=2.5)


def _each(of: Callable[[Ended], Array], betweens: Sequence[Between], lines: Sequence[list[Line]]) -> list[Array]:
    """What is measured of the lines of each pair of walls, all at once: a picture is asked in few large pieces."""
    if not betweens:
        return []
    ended = [between.ending(ones) for between, ones in zip(betweens, lines, strict=True)]
    every, left, right = (np.concatenate(of_all) for of_all in zip(*((e.lines, e.left, e.right) for e in ended), strict=True))
    found = of(Ended(betweens[0].view, every, left, right, betweens[0].inward))
    return np.split(found, np.cumsum([len(ones) for ones in lines])[:-1])


def level_lines(between: Between) -> list[Scored]:
    """Every level line between the walls across which the colour changes, to two pixels or so."""
    view, (low, high) = between.view, between.rows
    left, right = (float(x) for x in between.walls(np.array((low + high) / 2)))
    a, b = round(left / CELL), round(right / CELL)
    if b - a < 3 or a < 0:
        return []
    score = view.level.score[:, a:b].mean(axis=1)
    best, slope = score.max(axis=0), score.argmax(axis=0)
    highest = cv2.dilate(best[None], np.ones((1, 5), np.uint8))[0]
    peaks = [int(y) for y in np.nonzero((best >= highest - 1e-6) & (best > FAINTEST))[0] if low <= y <= high]
    return [Scored(Line(float(y), float(SLOPES[slope[y]])), float(best[y])) for y in peaks]


def clues_of(ended: Ended) -> Array:
    """CLUES of each line, shape (n, 10)."""
    view, inward, array = ended.view, ended.inward, ended.lines
    y, left, right = ended.walls()
    depth = view.square.depth
    weight = np.maximum(np.stack([depth[0] - left, right - depth[0]]), 2.0)
    weight = weight / weight.sum(axis=0)
    out = np.empty((len(array), len(CLUES)))
    out[:, 0:3] = _along(view, array, left, right)
    out[:, 3] = _wall_scores(ended, y, 4, 64, view.upright)
    out[:, 4] = _wall_scores(ended, y, -44, -4, view.upright)
    ends = [_at_wall(view, array, (x, y), side, inward) for x, side in ((left, 1), (right, -1))]
    for column, k in ((5, 0), (6, 1), (9, 3)):
        out[:, column] = weight[0] * ends[0][k] + weight[1] * ends[1][k]
    out[:, 8] = (ends[0][2] + ends[1][2]) / 2
    out[:, 2] = np.minimum(out[:, 2], (ends[0][4] + ends[1][4]) / 2)
    out[:, 7] = into_depth(view, array, left, right)
    return out


def second_clues(clues: Array, y: Array, inward: int, weights: Weights) -> Array:
    """CLUES and MORE_CLUES of lines at y, shape (n, 14)."""
    likely = 1 / (1 + np.exp(-(clues @ np.array(weights.first) + weights.first_constant)))
    clear = clues[:, 0] * (1 - clues[:, 2]) * clues[:, 9]
    apart = (y[None] - y[:, None]) * inward
    near = (np.abs(apart) > PARTNER_PX[0]) & (np.abs(apart) < PARTNER_PX[1])
    inside, outside = near & (apart > 0), near & (apart < 0)
    more = [
        np.max(np.where(m, v[None], 0.0), axis=1, initial=0.0) for m, v in ((inside, likely), (outside, likely), (outside, clear))
    ]
    return np.column_stack([clues, *more, clear])


def hidden_by(clues: Array) -> Array:
    """By how much the walls' edges are clearer just beyond a line than further on, of CLUES (n, 10)."""
    return np.asarray(clues[:, 8] - clues[:, 4])


def last_clues(ended: Ended) -> Array:
    """FURTHER of lines, shape (n, 6)."""
    y, left, right = ended.walls()
    walls = [_wall_scores(ended, y, near, far, ended.view.plain) for near, far in ((4.0, 64.0), (-44.0, -4.0))]
    return np.column_stack([further_clues(ended.view, ended.lines, left, right), *walls])


def _along(view: View, lines: Array, left: Array, right: Array) -> Array:
    """Of each line: its mean score between the walls, that of its weakest quarter, and that beyond the walls."""
    score = view.level.along(lines)
    j = np.arange(score.shape[1])
    a, b = np.round(left / CELL)[:, None], np.round(right / CELL)[:, None]
    within = (j >= a) & (j < b)
    count = np.maximum(within.sum(axis=1), 1)
    ordered = np.sort(np.where(within, score, np.inf), axis=1)
    quarter = np.maximum(count // 4, 1)
    lowest = np.where(np.arange(score.shape[1]) < quarter[:, None], ordered, 0.0)
    beyond = ((j >= a - 5) & (j < a - 1)) | ((j >= b + 1) & (j < b + 5))
    outside = np.where(beyond, score, 0.0).sum(axis=1) / np.maximum(beyond.sum(axis=1), 1)
    outside[~beyond.any(axis=1)] = 0.5
    return np.stack([np.where(within, score, 0.0).sum(axis=1) / count, lowest.sum(axis=1) / quarter, outside], axis=1)


def _wall_scores(ended: Ended, y: Array, near: float, far: float, steps: Steps) -> Array:
    """Mean score of both walls from `near` to `far` px inward of y."""
    score = (steps.along(ended.left) + steps.along(ended.right)) / 2
    total = np.concatenate([np.zeros((len(score), 1)), np.cumsum(score, axis=1)], axis=1)
    ends = np.sort(np.stack([y + ended.inward * near, y + ended.inward * far]), axis=0) / CELL
    a = np.clip(np.round(ends[0]).astype(np.int64), 0, score.shape[1] - 1)
    b = np.clip(np.round(ends[1]).astype(np.int64), a + 1, score.shape[1])
    row = np.arange(len(score))
    return np.asarray((total[row, b] - total[row, a]) / (b - a))


def _at_wall(view: View, lines: Array, corner: tuple[Array, Array], side: int, inward: int) -> tuple[Array, ...]:
    """At one end: strip against its neighbour inside and outside, the wall just beyond, the steps up to the wall and past it.

    `side` is the direction of the opening along x.
    """
    x = corner[0]
    w = view.square.small.shape[1]

    def mean(dx: Array, dy: Array) -> Array:
        xs = x + side * dx[:, None]
        ys = lines[:, 0] + lines[:, 1] * (xs - w / 2) + dy[:, None, None]
        return np.asarray(sampled(view.square, np.broadcast_to(xs, ys.shape), ys).mean(axis=(0, 1)))

    strip, beside, rows = np.arange(1.25, 4.0, 0.5), np.arange(14.0, 24.0, 1.0), np.arange(4.5, 12.0, 0.5)
    inside, outside = (saturated(mean(strip, q * rows) - mean(beside, q * rows)) for q in (inward, -inward))
    just, reveal, face = -inward * np.arange(2.0, 7.0, 0.5), np.arange(1.5, 4.1, 0.5), -np.arange(1.5, 4.1, 0.5)
    beyond = saturated(mean(reveal, just) - mean(face, just))
    end, close = np.arange(1.0, 3.6, 0.5), np.arange(1.0, 3.1, 0.5)
    up_to, past = (saturated(mean(dx, inward * close) - mean(dx, -inward * close)) for dx in (end, -np.arange(2.5, 7.1, 0.5)))
    return inside, outside, beyond, up_to, past


def into_depth(view: View, lines: Array, left: Array, right: Array) -> Array:
    """How clearly a line runs inward from the corners towards the depth; 0.5 where neither reveal is seen."""
    depth, w = view.square.depth, view.square.small.shape[1]
    d, o = np.arange(5, 27, 0.5), np.array([1.5, 2, 2.5, 3, 3.5])[:, None, None, None]
    total, weights = np.zeros(len(lines)), np.zeros(len(lines))
    for x, side in ((left, 1), (right, -1)):
        corner = np.stack([x, lines[:, 0] + lines[:, 1] * (x - w / 2)])
        u = depth[:, None] - corner
        u = u / np.linalg.norm(u, axis=0)
        along, aside = corner[..., None] + u[..., None] * d, np.stack([-u[1], u[0]])[..., None] * o
        a, b = (sampled(view.square, p[:, 0], p[:, 1]).mean(axis=0) for p in (along + aside, along - aside))
        score = saturated((a - b).reshape(len(lines), 4, len(d) // 4, 3).mean(axis=2)).mean(axis=1)
        weight = np.where((depth[0] - x) * side > 8, np.abs(depth[0] - x), 0.0)
        total, weights = total + weight * score, weights + weight
    return np.asarray(np.where(weights > 0, total / np.maximum(weights, 1e-9), 0.5))
