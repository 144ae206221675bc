"""What is put before the judge: differences with their covariance, what may be wrong, and what nobody knows.

d has shape (n,), C is its covariance; `nuisance` of shape (n, k) holds the directions that no witness fixes (an unknown
figure, an unknown orientation). They are projected out: T, w and M are taken in what is left, of n - rank dimensions.
Without them everything is as if they were not there.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy.special import chdtri

from vision.gaussian import Array
from vision.judge.algebra import amounts, basis, reduced_precision, whiten
from vision.judge.hypotheses import Column, Hypothesis, contains, contains_scale, explaining_columns, rank
from vision.judge.planes import PlaneDoubt, PlaneFound, standing_off
from vision.settings import JudgeSettings

VISIBLE = 1e-6
"""relative; a column of which no more than this is left after the projection cannot be seen at all"""


@dataclass(frozen=True)
class Case:
    """Readings that somebody can answer to. `reference` holds what they are held against, mm; `columns` G."""

    names: tuple[str, ...]
    d: Array
    C: Array
    reference: Array
    columns: tuple[Column, ...]
    nuisance: Array

    @property
    def freedom(self) -> int:
        """n less the rank of the nuisance."""
        n = len(self.names)
        return n - (basis(whiten(self.C, self.nuisance)).shape[1] if self.nuisance.shape[1] else 0)

    def precision(self, others: Array | None = None) -> Array:
        """M of the nuisance and these further columns, shape (n, n)."""
        n = len(self.names)
        A = self.nuisance if others is None else np.hstack([self.nuisance, others])
        return reduced_precision(self.C, A if A.shape[1] else np.zeros((n, 0)))


@dataclass(frozen=True)
class Doubt:
    """What the contradiction, if any, comes down to: the readings it touches and the hypotheses that say so."""

    kind: Literal["none", "suspect", "together", "scale", "unexplained"]
    touched: frozenset[int] = frozenset()
    because: tuple[Hypothesis, ...] = ()
    planes: tuple[PlaneFound, ...] = ()
    """cards off their plane that would explain it as well (kind "scale" only)"""


def case_of(names: tuple[str, ...], d: Array, C: Array, reference: Array, nuisance: Array | None = None) -> Case:
    """A case with all columns that can be seen in it."""
    empty = np.zeros((len(names), 0))
    case = Case(names, d, C, reference, explaining_columns(names, reference), empty if nuisance is None else nuisance)
    if case.nuisance.shape[1] == 0:
        return case
    G = _whitened(case)[0]
    full = np.linalg.norm(whiten(C, np.column_stack([column.vector for column in case.columns])), axis=0)
    seen = np.linalg.norm(G, axis=0) > VISIBLE * full
    return Case(names, d, C, reference, tuple(c for c, there in zip(case.columns, seen, strict=True) if there), case.nuisance)


def contradicts(case: Case, settings: JudgeSettings, d: Array | None = None) -> bool:
    """Whether max |w_g| or T(nothing) is over its level; `d` in place of the case's own differences where given."""
    freedom = case.freedom
    if freedom <= 0 or not case.columns:
        return False
    G, residual = _whitened(case, d)
    w = G.T @ residual / np.linalg.norm(G, axis=0)
    return bool(np.max(np.abs(w)) > settings.w_critical or residual @ residual > chdtri(freedom, settings.significance))


def left_over(case: Case, d: Array | None = None) -> float:
    """T(nothing): chi-square of `case.freedom` degrees of freedom where nothing is wrong."""
    residual = _whitened(case, d)[1]
    return float(residual @ residual)


def amounts_of(case: Case, columns: tuple[int, ...]) -> tuple[Array, Array]:
    """How much of each of these columns explains d, and their standard deviations; whatever is open stays open."""
    G, residual = _whitened(case)
    return amounts(np.eye(len(case.names)), G[:, columns], residual)


def doubt_of(case: Case, settings: JudgeSettings, *, scale_counts: bool = True, planes: Sequence[PlaneDoubt] = ()) -> Doubt:
    """Is there a contradiction, and which hypothesis or hypotheses explain it (METHOD of the judge: all of them compete).

    chdtri(n, p) is the chi-square value of n degrees of freedom that is exceeded with probability p. Without a photo
    (`scale_counts` false) an amount on all readings is one explanation among others.
    """
    if not contradicts(case, settings):
        return Doubt("none")
    n, known = len(case.names), case.freedom
    G, residual = _whitened(case)
    ranked = rank(case.columns, G, residual, settings.penalty, freedom=known)
    best = ranked[0]
    freedom = known - len(best.columns)
    off = _standing_off(case, settings, residual, best, planes)
    if off:
        return Doubt("scale", frozenset(range(n)), (best,), off)
    if freedom > 0 and best.left > chdtri(freedom, settings.significance):
        return Doubt("unexplained", frozenset(range(n)))
    near = [other for other in ranked[1:] if other.cost <= best.cost + settings.penalty]
    if scale_counts and contains_scale(case.columns, best.columns):
        alike = [other for other in near if len(other.columns) == 1 and case.columns[other.columns[0]].is_scale]
        return Doubt("scale", frozenset(range(n)), (best, *alike))
    rivals = [other for other in near if _is_rival(case, best, other)]
    touched = best.touched.union(*(other.touched for other in rivals))
    return Doubt("together" if rivals else "suspect", touched, (best, *rivals))


def _standing_off(
    case: Case, settings: JudgeSettings, residual: Array, best: Hypothesis, planes: Sequence[PlaneDoubt]
) -> tuple[PlaneFound, ...]:
    """Cards off their plane that leave nothing to explain and rank within the penalty of the best set of readings."""
    if not planes or case.freedom < 2:
        return ()
    limit = min(best.cost + settings.plane_margin - settings.penalty, float(chdtri(case.freedom - 1, settings.significance)))
    W = whiten(case.C, np.eye(len(case.names)))
    if case.nuisance.shape[1]:
        Q = basis(whiten(case.C, case.nuisance))
        W = W - Q @ (Q.T @ W)
    found = [one for one in standing_off(planes, case.names, W, residual) if one.left <= limit]
    return tuple(one for one in found if one.left <= found[0].left + settings.penalty)


def _whitened(case: Case, d: Array | None = None) -> tuple[Array, Array]:
    """Columns and differences, whitened, without what the nuisance can take up."""
    G = whiten(case.C, np.column_stack([column.vector for column in case.columns]))
    residual = whiten(case.C, case.d if d is None else d)
    if case.nuisance.shape[1]:
        Q = basis(whiten(case.C, case.nuisance))
        G, residual = G - Q @ (Q.T @ G), residual - Q @ (Q.T @ residual)
    return G, residual


def _is_rival(case: Case, best: Hypothesis, other: Hypothesis) -> bool:
    """It blames another set of readings, and is neither `best` with something added nor a part of it.

    A part of `best` is no rival: the column that `best` has more has earned its penalty. One of three widths is a rival of
    the constant on all three, though it touches none outside them: else its good neighbours would be blamed.
    """
    if other.touched == best.touched:
        return False
    more = other.touched > best.touched and contains(case.columns, other.columns, best.columns)
    part = other.touched < best.touched and contains(case.columns, best.columns, other.columns)
    return not more and not part
