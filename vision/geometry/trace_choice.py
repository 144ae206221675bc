"""Which of the candidate outlines is the opening, and how sure that is: one of them, or none, by all clues together.

The odds of the candidates against one another and against "none of them" are a logistic model (conditional logit); the confidence
is the share of the best one and of those that are the same outline to 10 px at 12 MP.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from vision.geometry.trace_beside import with_beside
from vision.geometry.trace_corners import corner_clues, depth_clues
from vision.geometry.trace_evidence import Clues, edge_clues, edges_of, line_clues
from vision.geometry.trace_lines import View
from vision.geometry.trace_quads import Quad, apart

Array = NDArray[np.float64]
LEVELS = 4
"""lines of curb and head that are tried with each pair of walls"""
ROUND = 8
"""outlines, the likeliest by their lines alone, beside whose edges others are looked for"""
SAME_PX = 2.5
"""px of the small picture: outlines whose corners are nearer than this are one (10 px at 12 MP)"""


@dataclass(frozen=True)
class Choice:
    """A candidate outline, its corners (4, 2) px of the small picture and its share of the odds."""

    quad: Quad
    corners: Array
    share: float = 0.0


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


def chosen(view: View, quads: Sequence[Quad], weights: Mapping[str, float]) -> tuple[list[Choice], float]:
    """The candidates with their shares, likeliest first, and the share of "none of them"; `weights` by clue, "" the constant."""
    clues = clues_of(view, quads)
    value = np.append(weights[""] + sum(weights[name] * clue for name, clue in clues.items()), 0.0)
    share = np.exp(value - value.max())
    share /= share.sum()
    shared = [Choice(q, q.corners(view), float(s)) for q, s in zip(quads, share, strict=False)]
    return sorted(shared, key=lambda c: -c.share), float(share[-1])


def alike(choices: Sequence[Choice]) -> list[bool]:
    """Which of the candidates are the first one's outline."""
    return [apart(c.corners, choices[0].corners) <= SAME_PX for c in choices]
