"""Which of the candidate outlines is the opening, and how sure that is: one of them, or none, by all clues together.

The odds of the candidates against one another and against "none of them" are a logistic model (conditional logit). Several are
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
from vision.geometry.trace_beside import with_beside
from vision.geometry.trace_corners import corner_clues, depth_clues
from vision.geometry.trace_evidence import Clues, edge_clues, edges_of, line_clues
from vision.geometry.trace_lines import View
from vision.geometry.trace_quads import Quad, apart
from vision.geometry.trace_sight import sight_clues

Array = NDArray[np.float64]
Weights = Mapping[str, Sequence[float]]
LEVELS = 4
"""lines of curb and head that are tried with each pair of walls"""
ROUND = 8
"""outlines, the likeliest by their lines alone, beside whose edges others are looked for"""
LOOKED_AT = 40
"""candidates, the likeliest without it, along whose edges the network looks"""
SAME_PX = 2.5
"""px of the small picture: outlines whose corners are nearer than this are one (10 px at 12 MP)"""


@dataclass(frozen=True)
class Choice:
    """A candidate outline, its corners (4, 2) px of the small picture and its shares (m,) of the odds, by each model.

    `first` (m,): its shares by the models without the network.
    """

    quad: Quad
    corners: Array
    shares: Array
    first: Array

    @property
    def share(self) -> float:
        """Mean share of the odds."""
        return float(self.shares.mean())


def tried(view: View, found: Sequence[Quad]) -> list[Quad]:
    """Every pair of walls with its likeliest lines of curb and head, and what lies beside the likeliest of these."""
    out = []
    for quad in found:
        heads = range(min(LEVELS, len(quad.head))) if quad.head else range(1)
        out += [quad.choosing(i, j) for i, j in product(range(min(LEVELS, len(quad.curb))), heads)]
    return with_beside(view, sorted(out, key=lambda quad: -quad.value), ROUND)


def clues_of(view: View, quads: Sequence[Quad]) -> Clues:
    """All that is measured of candidates (all with a head or all without), each clue of shape (n,)."""
    corners = np.array([quad.corners(view) for quad in quads])
    has_head, edges = bool(quads[0].head), edges_of(view, quads, corners)
    lines, ends = line_clues(view, quads, has_head=has_head), corner_clues(edges)
    return lines | edge_clues(edges) | ends | depth_clues(view, corners, has_head=has_head)


def chosen(view: View, quads: Sequence[Quad], picture: Reduced, weights: tuple[Weights, Weights]) -> tuple[list[Choice], float]:
    """The likeliest candidates with their shares, likeliest first, and the share of "none of them".

    `picture`: the photo for what the network sees; `weights` (m,) of the models by clue, "" the constants, first without what the
    network sees and then with it.
    """
    kept, clues, first = likeliest(view, quads, picture, weights[0])
    share = shares_of(_values(clues, weights[1]))
    shared = [Choice(q, q.corners(view), s, f) for q, s, f in zip(kept, share, first, strict=False)]
    return sorted(shared, key=lambda c: -c.share), float(share[-1].mean())


def likeliest(view: View, quads: Sequence[Quad], picture: Reduced, first: Weights) -> tuple[list[Quad], Clues, Array]:
    """The candidates that are likeliest without the network, all clues of theirs, and their shares (n, m) without it."""
    clues = clues_of(view, quads)
    shares = shares_of(_values(clues, first))[:-1]
    top = np.argsort(-shares.mean(axis=1))[:LOOKED_AT]
    kept = [quads[k] for k in top]
    corners = np.array([view.square.to_photo(quad.corners(view)) for quad in kept])
    seen = sight_clues(picture, corners, has_head=bool(quads[0].head))
    return kept, {n: c[top] for n, c in clues.items()} | seen, shares[top]


def _values(clues: Clues, weights: Weights) -> Array:
    """Log odds (n, m) by m models."""
    return np.asarray(np.array(weights[""]) + np.array(list(clues.values())).T @ np.array([weights[name] for name in clues]))


def shares_of(value: Array) -> Array:
    """Shares (n + 1, m) of the odds by m models, of log odds (n, m) of candidates; the last are those of none of them."""
    every = np.vstack([value, np.zeros((1, value.shape[1]))])
    odds = np.exp(every - every.max(axis=0))
    return np.asarray(odds / odds.sum(axis=0))


def alike(choices: Sequence[Choice]) -> list[bool]:
    """Which of the candidates are the first one's outline."""
    return [apart(c.corners, choices[0].corners) <= SAME_PX for c in choices]


def agreed(choices: Sequence[Choice]) -> float:
    """How sure the first candidate's outline is: the least share that any model gives it, with the network and without it, in the
    middle. What the network alone is sure of may be a picture unlike those that it was shown."""
    mine = [c for c, same in zip(choices, alike(choices), strict=True) if same]
    least = [float(np.array(shares).sum(axis=0).min()) for shares in ([c.shares for c in mine], [c.first for c in mine])]
    return sum(least) / 2
