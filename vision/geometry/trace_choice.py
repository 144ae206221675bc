"""Which of the candidate outlines is the opening, and how sure that is: one of them, or none, by all clues together.

The odds of the candidates against one another and against "none of them" are a logistic model (conditional logit); the confidence
is the share of the best one and of those that are the same outline to 10 px at 12 MP.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from vision.geometry.trace_lines import View
from vision.geometry.trace_marks import Level
from vision.geometry.trace_quads import Quad, apart

Array = NDArray[np.float64]
LEVELS = 3
"""lines of curb and head that are tried with each pair of walls"""
SAME_PX = 2.5
"""px of the small picture: outlines whose corners are nearer than this are one (10 px at 12 MP)"""
CLUES = (
    "a candidate, against none",
    "the curb's line",
    "the head's line",
    "all the head's lines between the walls",
    "an opening without a head",
    "soffit hidden above the head's line",
    "the fainter wall's edge",
    "the fainter wall's edge, joints left out",
)
"""what is measured of an outline; the lines of curb and head in log odds"""


@dataclass(frozen=True)
class Choice:
    """A candidate outline with its clues (8,) and its share of the odds."""

    quad: Quad
    corners: Array
    clues: Array
    share: float = 0.0


def tried(view: View, found: list[Quad]) -> list[Choice]:
    """Every candidate with its likeliest lines of curb and head."""
    out = []
    for quad in found:
        walls = (min(quad.walls[:2]), min(quad.walls[2:]))
        heads = range(min(LEVELS, len(quad.head))) if quad.head else range(1)
        together = _all(quad.head)
        for i, j in product(range(min(LEVELS, len(quad.curb))), heads):
            one = quad.choosing(i, j)
            head, hidden = (one.head[0].odds, max(one.head[0].hidden, 0.0)) if one.head else (0.0, 0.0)
            clues = [1.0, one.curb[0].odds, head, together, float(not one.head), hidden, *walls]
            out.append(Choice(one, one.corners(view), np.array(clues)))
    return out


def chosen(choices: list[Choice], weights: Array) -> tuple[list[Choice], float]:
    """The candidates with their shares, likeliest first, and the share of "none of them"."""
    value = np.append(np.array([c.clues for c in choices]) @ weights, 0.0)
    share = np.exp(value - value.max())
    share /= share.sum()
    shared = [Choice(c.quad, c.corners, c.clues, float(s)) for c, s in zip(choices, share, strict=False)]
    return sorted(shared, key=lambda c: -c.share), float(share[-1])


def alike(choices: list[Choice]) -> list[bool]:
    """Which of the candidates are the first one's outline."""
    return [apart(c.corners, choices[0].corners) <= SAME_PX for c in choices]


def _all(levels: tuple[Level, ...]) -> float:
    """Log of the summed odds; 0 without lines."""
    return float(np.logaddexp.reduce([level.odds for level in levels])) if levels else 0.0
