"""One least-squares fit of all sides of a card: each has its place and its lamp, all share blur, card and even light.

What a side's pixels cannot tell by themselves (how sharp the lens is, how thick the card, how deep the even shade) its
neighbours tell with it; what none of them tells stays in the covariance of the places. Priors are rough knowledge of rooms and
phones, the same for all (common practice and geometry, no source): lamps hang above, so below a card lies the longest shadow.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vision.geometry.side_model import (
    DEPTH,
    EXCESS,
    FLANK,
    HEIGHT,
    LAMP,
    OWN,
    SHIFT,
    UNKNOWNS,
    Prediction,
    Setting,
    Sides,
    together,
)

Array = NDArray[np.float64]
LEAST_HEIGHT_PX = 0.1
"""px; height of what throws a shadow: at least paper with a little air behind"""
STEPS, CLOSE = 12, 0.01
"""iterations of a fit, and the step at which it is done"""
WALL_REACH_PX = 3.5
"""px; how far outward a side's pixels count, beside three blurs"""
DEEP, OTHER, EARNS, HOPEFUL = 0.2, (0.5, 1.2), 2.0, 100.0
"""share times tangent from which a side of a dark card is taken for one in a lamp's shadow; such a shadow (share, tangent); and
by how much of the cost the other reading must be better, and may be worse after two steps"""
SHARED = UNKNOWNS - OWN
PRINTED = "printed"
"""the way of a border of ink on paper: no flank, no shadow"""
OWN_PRIOR = {
    "lower": ((0.0, 3.0), (0.0, 0.5), (0.3, 0.2), (1.0, 0.6)),
    "upright": ((0.0, 3.0), (0.0, 0.5), (0.15, 0.2), (0.4, 0.5)),
    "upper": ((0.0, 3.0), (0.0, 0.5), (0.04, 0.1), (0.2, 0.3)),
    PRINTED: ((0.0, 3.0), (0.0, 0.5), (0.0, 1.0), (0.0, 1.0)),
}
"""mean and sd of shift and tilt (px), share of the lamp's light that the side keeps off, tangent of the lamp's angle behind it"""
EVEN_DEPTH = (0.34, 0.1)
"""an upright edge hides half of the even light at its foot, two thirds of all light, and sends half of its own level back"""
BLUR_SD = 0.1
"""of its logarithm; how far a card's blur may be off the outline's"""
FLANK_LEVEL, DARK_FLANK_LEVEL = (0.6, 0.3), (0.5, 0.35)
"""level of a bright card's upright flank over its face's; where a dark one's lies between face and wall: its core may be white"""
LEAST = np.array([-6.0, -4.0, 0.0, 0.0, np.log(0.35), 0.0, np.log(0.03), 0.0, 0.2, 0.0, 0.0])
MOST = np.array([6.0, 4.0, 0.95, 3.5, np.log(6.0), 0.9, np.log(8.0), 1.3, 2.0, 0.7, 1.5])


@dataclass(frozen=True)
class Samples:
    """A side's stored codes (b, m, 3), counts (b, m), distances outward from a rough edge (b, m) px, noise of a count (3,).

    `way`: "lower", "upright", "upper" or PRINTED.
    """

    code: Array
    count: Array
    x: Array
    noise: Array
    setting: Setting
    way: str


@dataclass(frozen=True)
class FittedSide:
    """The unknowns (11,), the blocks' own shifts beside the common edge (b,) px, and their sd (b,)."""

    unknowns: Array
    own: Array
    own_sd: Array


@dataclass(frozen=True)
class FittedCard:
    """The sides, and the covariance (n, n) px^2 of their places, each outward."""

    sides: tuple[FittedSide, ...]
    covariance: Array


@dataclass(frozen=True)
class _Alike:
    """Sides whose bins are the same, seen together: which they are (s,), and their blocks (r) one after another: codes and noise
    (3, r, m), (3, r, 1), counts, distances (r, m), reach inward (r, 1) px.
    """

    which: tuple[int, ...]
    sides: Sides
    code: Array
    noise: Array
    count: Array
    x: Array
    inward: Array

    @classmethod
    def of(cls, sides: Sequence[Samples], which: Sequence[int]) -> _Alike:
        """Those sides together."""
        chosen = [sides[i] for i in which]
        blocks = [len(s.x) for s in chosen]
        return cls(
            tuple(which),
            together([s.setting for s in chosen]),
            np.moveaxis(np.concatenate([s.code for s in chosen]), -1, 0).copy(),
            np.repeat(np.array([s.noise for s in chosen]).T, blocks, axis=1)[..., None],
            np.concatenate([s.count for s in chosen]),
            np.concatenate([s.x for s in chosen]),
            np.repeat([s.setting.reach[0] for s in chosen], blocks)[:, None],
        )


@dataclass(frozen=True)
class _Prior:
    """Means and sds of all unknowns (n,), which of them are asked (n,), and their limits."""

    mean: Array
    sd: Array
    free: NDArray[np.bool_]
    least: Array
    most: Array


_Seen = list[Prediction]
"""what is expected of each group of sides"""


def fit_card(sides: Sequence[Samples], blur_px: float, thick_px: float) -> FittedCard:
    """Sides of one card together; `blur_px`: blur of the photo's clean edges, `thick_px`: the card's thickness as seen."""
    return _Fit(sides, blur_px, thick_px).solved()


class _Fit:
    """Sides, priors and block weights of one card."""

    def __init__(self, sides: Sequence[Samples], blur_px: float, thick_px: float) -> None:
        self.sides = tuple(sides)
        self.prior = _prior(self.sides, blur_px, thick_px)
        self.reach = WALL_REACH_PX + 3 * blur_px
        first = OWN * len(self.sides)
        self.columns = [np.r_[OWN * i : OWN * i + OWN, first : first + SHARED] for i in range(len(self.sides))]
        sizes = [s.x.shape[1] for s in sides]
        self.alike = [_Alike.of(self.sides, [i for i, m in enumerate(sizes) if m == size]) for size in sorted(set(sizes))]
        self.may_be_shadow = sides[0].way != PRINTED and not sides[0].setting.levels.face_brighter
        self.weights = [np.ones(len(s.x)) for s in self.sides]
        self.counted = [3.0 * (s.count > 0).sum(axis=1) for s in self.sides]

    def solved(self) -> FittedCard:
        """Three rounds; between them a block with something else in it is made to count less."""
        q = self.prior.mean.copy()
        seen = self._predicted(q)
        for turn in range(3):
            q, seen, cost = self._least_squares(q, seen, STEPS if turn == 2 else STEPS // 2)
            if turn == 1 and self.may_be_shadow:
                q, seen = self._other_courses(q, seen, cost)
            if turn < 2:
                for i, r in enumerate(self._residuals(seen)):
                    misfit = (r**2).sum(axis=(0, 2)) / (self.counted[i] * np.maximum(self.weights[i], 1e-3))
                    self.weights[i] = 1 / (1 + np.maximum(misfit / max(float(np.median(misfit)), 0.5) - 1.5, 0.0) ** 2)
        parts = self._parts(seen)
        misfits = [
            max(1.0, float((r**2).sum() / (c * w).sum())) for (r, _), c, w in zip(parts, self.counted, self.weights, strict=True)
        ]
        normal = self._normal([(r / np.sqrt(m), J / np.sqrt(m)) for (r, J), m in zip(parts, misfits, strict=True)], q)[0]
        places = np.arange(len(self.sides)) * OWN + SHIFT
        fitted = []
        for i, ((r, J), m) in enumerate(zip(parts, misfits, strict=True)):
            information = np.maximum((J[SHIFT] ** 2).sum(axis=(0, 2)), 1e-9)
            own = np.clip(-(J[SHIFT] * r).sum(axis=(0, 2)) / information, -3.0, 3.0)
            sd = np.sqrt(m / information / np.maximum(self.weights[i], 1e-3))
            fitted.append(FittedSide(q[self.columns[i]], own, sd))
        return FittedCard(tuple(fitted), np.asarray(np.linalg.inv(normal)[np.ix_(places, places)], dtype=np.float64))

    def _other_courses(self, q: Array, seen: _Seen, cost: float) -> tuple[Array, _Seen]:
        """The best of the fit and of those that read one side otherwise: its edge taken for a shadow's, or back."""
        for i in range(len(self.sides)):
            trial, height = q.copy(), float(np.exp(q[OWN * len(self.sides) + HEIGHT - OWN]))
            shift, _, lamp, tangent = q[OWN * i : OWN * i + OWN]
            shadow = lamp * tangent > DEEP
            new = (shift + height * tangent, 0.0, 0.05, 0.2) if shadow else (shift - height * OTHER[1], 0.0, *OTHER)
            trial[OWN * i : OWN * i + OWN] = new
            trial = np.clip(trial, self.prior.least, self.prior.most)
            trial, fresh, less = self._least_squares(trial, self._predicted(trial), 2)
            if less < cost + HOPEFUL:
                trial, fresh, less = self._least_squares(trial, fresh, STEPS // 2)
            if less < cost - EARNS:
                q, seen, cost = trial, fresh, less
        return q, seen

    def _predicted(self, q: Array) -> _Seen:
        """What the sides look like by these unknowns."""
        return [Prediction(g.x, np.array([q[self.columns[i]] for i in g.which]), g.sides) for g in self.alike]

    def _roots(self, seen: _Seen) -> list[Array]:
        """Roots (3, r, m) of the weights of each group's samples."""
        out = []
        for group, one in zip(self.alike, seen, strict=True):
            weight = np.concatenate([self.weights[i] for i in group.which])[:, None]
            near = 1 + _twelfth(one.off / np.where(one.off < 0, group.inward, self.reach))
            out.append(np.sqrt(group.count * weight / near) / group.noise)
        return out

    def _cost(self, q: Array, seen: _Seen) -> float:
        """The sum of weighted squares, with the priors'."""
        off = ((q - self.prior.mean) / self.prior.sd)[self.prior.free]
        return float(off @ off) + sum(
            float(np.sum(((g.code - one.code) * root) ** 2))
            for g, one, root in zip(self.alike, seen, self._roots(seen), strict=True)
        )

    def _residuals(self, seen: _Seen) -> list[Array]:
        """Each side's weighted residuals (3, b, m)."""
        return self._of_sides([(g.code - s.code) * root for g, s, root in zip(self.alike, seen, self._roots(seen), strict=True)])

    def _parts(self, seen: _Seen) -> list[tuple[Array, Array]]:
        """Each side's weighted residuals (3, b, m) with their slopes (11, 3, b, m)."""
        slopes = self._of_sides([s.slopes * -root for s, root in zip(seen, self._roots(seen), strict=True)])
        return list(zip(self._residuals(seen), slopes, strict=True))

    def _of_sides(self, groups: Sequence[Array]) -> list[Array]:
        """What groups hold of all their blocks (..., r, m), side by side (..., b, m)."""
        out = [np.zeros(0)] * len(self.sides)
        for group, values in zip(self.alike, groups, strict=True):
            first = 0
            for i in group.which:
                out[i] = values[..., first : first + len(self.sides[i].x), :]
                first += len(self.sides[i].x)
        return out

    def _normal(self, parts: Sequence[tuple[Array, Array]], q: Array) -> tuple[Array, Array]:
        """Normal matrix and gradient with the priors; what is not asked is held."""
        A, g = np.diag(1 / self.prior.sd**2), (q - self.prior.mean) / self.prior.sd**2
        for (r, J), columns in zip(parts, self.columns, strict=True):
            flat = J.reshape(UNKNOWNS, -1)
            A[np.ix_(columns, columns)] += flat @ flat.T
            g[columns] += flat @ r.ravel()
        held = ~self.prior.free
        A[held], A[:, held], g[held] = 0.0, 0.0, 0.0
        A[held, held] = 1.0
        return A, g

    def _least_squares(self, q: Array, seen: _Seen, steps: int) -> tuple[Array, _Seen, float]:
        """Damped Gauss-Newton within the limits; what is seen, and the cost, at its end."""
        damping, cost = 1e-3, self._cost(q, seen)
        for _ in range(steps):
            A, g = self._normal(self._parts(seen), q)
            for _ in range(5):
                step = np.clip(-np.linalg.solve(A + damping * np.diag(np.diag(A)), g), -0.6, 0.6)
                trial = np.clip(q + step, self.prior.least, self.prior.most)
                trial = np.where(self.prior.free, trial, q)
                fresh = self._predicted(trial)
                new = self._cost(trial, fresh)
                if new <= cost + 1e-9:
                    break
                damping *= 5
            else:
                break
            done = float(np.abs(trial - q).max()) < CLOSE or cost - new < 0.05
            q, seen, cost, damping = trial, fresh, new, max(damping / 5, 1e-6)
            if done:
                break
        return q, seen, cost


def _twelfth(x: Array) -> Array:
    """x to the twelfth power."""
    fourth = np.square(np.square(x))
    return np.asarray(fourth * fourth * fourth)


def _prior(sides: Sequence[Samples], blur_px: float, thick_px: float) -> _Prior:
    """What is known of the unknowns before the pixels are asked."""
    bright, printed = sides[0].setting.levels.face_brighter, sides[0].way == PRINTED
    clipped = any(s.setting.levels.face_clipped or s.setting.levels.wall_clipped for s in sides)
    flank = FLANK_LEVEL if bright else DARK_FLANK_LEVEL
    blur, height = (float(np.log(max(v, least))) for v, least in ((blur_px, 0.4), (thick_px, LEAST_HEIGHT_PX)))
    level = float(np.median([np.median(s.setting.levels.face) for s in sides]))
    depth = (0.0, 1.0) if printed else (EVEN_DEPTH[0] * (1 - 0.5 * level), EVEN_DEPTH[1])
    shared = ((blur, BLUR_SD), depth, (height, 0.35), flank, (1.0, 0.3), (0.15, 0.15), (0.25, 0.2))
    mean, sd = np.concatenate([*(OWN_PRIOR[s.way] for s in sides), shared]).T
    free = np.ones(len(mean), dtype=bool)
    first = OWN * (len(sides) - 1)
    free[first + FLANK] = any(s.setting.foot > 0 for s in sides)
    free[first + EXCESS] = clipped
    if printed:
        free[[first + DEPTH, first + HEIGHT, first + FLANK]] = False
        free[: first + OWN].reshape(-1, OWN)[:, LAMP:] = False
    least, most = (np.concatenate([*(v[:OWN] for _ in sides), v[OWN:]]) for v in (LEAST, MOST))
    return _Prior(mean, sd, free, least, most)
