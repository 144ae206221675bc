"""Which of the candidate outlines is the opening, and how sure that is: one of them, or none, by all clues together.

Candidates come from lines in the picture (`trace_quads.py`) and from what two networks see of the whole and of its corners
(`trace_proposals.py`); a third one looks along the edges of the likeliest (`trace_sight.py`). The odds of the candidates against
one another and against "none of them" are a logistic model (conditional logit) of what the three say of each. Several models are
asked, each fitted without one author's rooms: the outline is the one that they give most, and the confidence is the least share
that any of them gives it and those that are the same outline to 10 px at 12 MP. What only some of them would say is no knowledge
of a room by an author that none of them has seen.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from vision.geometry.arris_sight import Reduced
from vision.geometry.corner_sight import Corners
from vision.geometry.outline_sight import drawn, drawn_clues
from vision.geometry.trace_beside import with_beside
from vision.geometry.trace_frame import Squared
from vision.geometry.trace_lines import View
from vision.geometry.trace_proposals import from_corners, from_edges
from vision.geometry.trace_quads import apart, quads
from vision.geometry.trace_sight import Edges

Array = NDArray[np.float64]
Weights = Mapping[str, Sequence[float]]
Clues = dict[str, Array]
LEVELS = 4
"""lines of curb and head that are tried with each pair of walls"""
ROUND = 8
"""outlines of lines, the likeliest by these alone, beside whose edges others are looked for"""
DRAWN_MOST, STARTS, LOOKED_AT = 40, 6, 40
"""candidates, the likeliest by what is drawn, at whose corners is looked; those of them along whose edges lines are looked
for; and the likeliest by both along whose edges is looked"""
SAME_PX = 2.5
"""px of the small picture: outlines whose corners are nearer than this are one (10 px at 12 MP)"""
ROUGHLY = {
    "drawn: beside what is inside": -1.0,
    "drawn: corners": 0.5,
    "drawn: corner, fainter one": 0.2,
    "drawn: edges": 1.0,
    "drawn: edge, fainter one": 0.5,
    "corners": 1.0,
    "corners: fainter one": 0.7,
    "corners: walls": 1.0,
    "corners: wall, fainter one": 0.5,
}
"""what the clues weigh for a first order"""


@dataclass(frozen=True)
class Choice:
    """A candidate outline: its corners (4, 2) px of the small picture and its shares (m,) of the odds, by each model."""

    corners: Array
    shares: Array

    @property
    def share(self) -> float:
        """Mean share of the odds."""
        return float(self.shares.mean())


@dataclass(frozen=True)
class Sights:
    """The turned picture and what has been seen in it so far."""

    square: Squared
    picture: Reduced
    has_head: bool


def of_lines(view: View, *, has_head: bool) -> Array:
    """Outlines (n, 4, 2) px of the small picture of lines that are seen: every pair of walls with its likeliest lines of curb and
    head, and what lies beside the likeliest of these."""
    out = []
    for quad in quads(view, has_head=has_head):
        heads = range(min(LEVELS, len(quad.head))) if quad.head else range(1)
        out += [quad.choosing(i, j) for i, j in product(range(min(LEVELS, len(quad.curb))), heads)]
    every = with_beside(view, sorted(out, key=lambda quad: -quad.value), ROUND)
    return np.array([quad.corners(view) for quad in every]).reshape(-1, 4, 2)


def candidates(of: Sights, lines: Array) -> tuple[Array, Clues]:
    """The likeliest outlines (n, 4, 2) px of the small picture, of those of lines (m, 4, 2) and of what is proposed, with all
    clues (n,). None (0, 4, 2) where there is nothing like an outline."""
    whole, corners, edges = drawn(of.square, has_head=of.has_head), Corners(of.square), Edges(of.picture)
    every = np.concatenate([from_corners(whole, corners), lines])
    if not len(every):
        return every, {}
    first = _likeliest(drawn_clues(whole, every), DRAWN_MOST)
    near = drawn_clues(whole, every[first]) | corners.clues(every[first], has_head=of.has_head)
    starts = every[first][_likeliest(near, STARTS)]
    every = np.concatenate([every[first], from_edges(of.square, starts, edges, has_head=of.has_head)])
    clues = drawn_clues(whole, every) | corners.clues(every, has_head=of.has_head)
    last = _likeliest(clues, LOOKED_AT)
    photo = np.array([of.square.to_photo(one) for one in every[last]])
    return every[last], {n: c[last] for n, c in clues.items()} | edges.clues(photo, has_head=of.has_head)


def chosen(corners: Array, clues: Clues, weights: Weights) -> tuple[list[Choice], float]:
    """The candidates (n, 4, 2) with their shares, likeliest first, and the share of "none of them".

    `weights` (m,) of the models by clue, "" the constants.
    """
    value = np.array(weights[""]) + np.array(list(clues.values())).T @ np.array([weights[name] for name in clues])
    share = shares_of(np.asarray(value))
    shared = [Choice(one, s) for one, s in zip(corners, share, strict=False)]
    return sorted(shared, key=lambda c: -c.share), float(share[-1].mean())


def _likeliest(clues: Clues, most: int) -> NDArray[np.intp]:
    """The likeliest candidates by a first order, likeliest first."""
    value = np.sum([weight * clues[name] for name, weight in ROUGHLY.items() if name in clues], axis=0)
    return np.argsort(-value, kind="stable")[:most]


def shares_of(value: Array) -> Array:
    """Shares (n + 1, m) of the odds by m models, of log odds (n, m) of candidates; the last are those of none of them."""
    every = np.vstack([value, np.zeros((1, value.shape[1]))])
    odds = np.exp(every - every.max(axis=0))
    return np.asarray(odds / odds.sum(axis=0))


def alike(choices: Sequence[Choice]) -> list[bool]:
    """Which of the candidates are the first one's outline."""
    return [apart(c.corners, choices[0].corners) <= SAME_PX for c in choices]


def agreed(choices: Sequence[Choice]) -> float:
    """How sure the first candidate's outline is: the least share that any model gives it."""
    mine = [c for c, same in zip(choices, alike(choices), strict=True) if same]
    return float(np.array([c.shares for c in mine]).sum(axis=0).min())
