"""What a card may be instead of what it is taken for, and how well this photo would show it.

Each card is given one more unknown at a time: its size, the ratio of its sides, its distance from the wall, a tilt about either
of its axes, a bulge across or along. With g the change of all residuals by one unit of it, M = 1 - J N^-1 J' and r the residuals,

    amount x = -g'r / g'Mg        sd = 1 / sqrt(g'Mg)        score w = x / sd
    a size changes by  h = F N^-1 J'g  for each unit that the card is off (F the size's derivatives by the state)

(Baarda's data snooping; the largest x that stays unseen is 4.13 sd, and 4.13 sd times h is what it may do to a size).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import cho_factor, cho_solve

from vision.geometry.adjustment import HUBER, Solution
from vision.geometry.assemble import Assembly
from vision.geometry.model import card_size

Array = NDArray[np.float64]
WHATS = ("size", "ratio", "off", "tilt right", "tilt top", "bulge across", "bulge along")
"""size relative; ratio relative, one pair of sides longer and the other shorter by it, so that the ratio of the sides is off by
twice as much; off and bulges in mm (away from the wall), tilts in rad (that end away from the wall)"""
MOST_SD = dict(zip(WHATS, (0.2, 0.2, 100.0, 0.2, 0.2, 50.0, 50.0), strict=True))
"""relative, mm and rad; what a photo tells no better than this it does not tell at all: the doubt's effect is not linear so far
out, and what is left of an unfinished adjustment would pass for it (a tilt of 330 degrees, 9 sd)"""
UNSEEN = 1e-9
"""relative; a direction of which the adjustment leaves no more than this cannot be seen at all"""


@dataclass(frozen=True)
class CardDoubt:
    """One thing that one card (its place in the model) may be: the amount that fits best, its sd, and amount over sd."""

    model: int
    what: str
    amount: float
    sd: float

    @property
    def score(self) -> float:
        """Standard deviations; 0 where it cannot be seen."""
        return self.amount / self.sd if np.isfinite(self.sd) else 0.0


def weighted_residuals(solution: Solution) -> Array:
    """Residuals times the robust weights' square root, as the Jacobian's rows are."""
    r = solution.residuals.copy()
    points = solution.rows_by_edge[-1].stop if solution.rows_by_edge else 0
    size = np.abs(r[:points])
    r[:points] *= np.sqrt(np.where(size > HUBER, HUBER / np.maximum(size, 1e-12), 1.0))
    return np.asarray(r)


def directions(solution: Solution, assembly: Assembly, model: int) -> Array:
    """Change of all weighted residuals by one unit of each of WHATS, for one card, shape (rows, 7)."""
    card, J = assembly.nominal.cards[model], solution.J
    at, size = solution.layout.cards[model].start, solution.layout.sizes[card.size_group].start
    a, b = card_size(card, solution.state)
    out = np.zeros((len(J), len(WHATS)))
    for i, (observation, rows) in enumerate(zip(assembly.observations, solution.rows_by_edge, strict=True)):
        if observation.edge[:2] != ("card", model):
            continue
        side, t = observation.edge[2], solution.state.foot[i]
        sign = 1.0 if side in (1, 2) else -1.0
        x, y = (t, np.full_like(t, sign)) if side in (0, 2) else (np.full_like(t, sign), t)
        wide, high = J[rows, size] * card.kind.width_mm, J[rows, size + 1] * card.kind.height_mm
        out_of_wall = -J[rows, at + 3]
        shapes = (np.ones_like(x), x * a / 2, y * b / 2, 1 - x**2, 1 - y**2)
        out[rows] = np.column_stack([wide + high, wide - high, *(out_of_wall * s for s in shapes)])
    return out


def card_doubts(solution: Solution, assembly: Assembly) -> list[CardDoubt]:
    """Every doubt of every card, in the order of the cards and of WHATS."""
    cards = range(len(assembly.nominal.cards))
    G = np.hstack([directions(solution, assembly, k) for k in cards]) if cards else np.zeros((len(solution.J), 0))
    scale = 1 / np.sqrt(np.sum(solution.J**2, axis=0))
    Js = solution.J * scale
    left = G - Js @ cho_solve(cho_factor(Js.T @ Js), Js.T @ G)
    information, whole = np.sum(left**2, axis=0), np.sum(G**2, axis=0)
    pull = left.T @ weighted_residuals(solution)
    out = []
    for i, (k, what) in enumerate((k, what) for k in cards for what in WHATS):
        seen = information[i] > max(UNSEEN * whole[i], MOST_SD[what] ** -2)
        amount, sd = (-pull[i] / information[i], information[i] ** -0.5) if seen else (0.0, np.inf)
        out.append(CardDoubt(k, what, float(amount), float(sd)))
    return out


def effects(solution: Solution, assembly: Assembly, jacobian: Array, model: int, whats: Sequence[str]) -> Array:
    """Change of functions of the state with this jacobian (m, n) by one unit of these doubts of a card, shape (m, k)."""
    G = directions(solution, assembly, model)[:, [WHATS.index(w) for w in whats]]
    return np.asarray(jacobian @ (solution.inverse() @ (solution.J.T @ G)))
