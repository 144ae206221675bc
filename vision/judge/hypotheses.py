"""What may be wrong with a set of readings: explaining columns, and the hypotheses made of one or two of them.

G  each reading alone; a common factor (the photo's values); a constant on the widths, on the heights, on the inside
   readings (widths and diagonals), on all
H  every column of G; every pair of readings; a constant with one reading outside it; factor or all with any one
   reading; always fewer columns than readings (one column where there is one reading only)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Literal

import numpy as np

from vision.gaussian import Array
from vision.judge.algebra import DEPENDENT, spans


@dataclass(frozen=True)
class Column:
    """One way in which readings go wrong together: `vector` of shape (n,) times one amount is added to the readings."""

    code: Literal["slip", "factor", "constant"]
    readings: frozenset[int]
    vector: Array
    is_scale: bool
    """a factor or a constant on all readings: what a wrong card, unit or start of the tape would do"""


@dataclass(frozen=True)
class Hypothesis:
    """One or two columns, the readings they touch, and the sum T + penalty x columns that ranks it."""

    columns: tuple[int, ...]
    touched: frozenset[int]
    left: float
    """T: what it leaves unexplained, chi-square with n - columns degrees of freedom"""
    cost: float


def explaining_columns(names: Sequence[str], photo: Array) -> tuple[Column, ...]:
    """G for these readings; `photo` holds the photo's values of them in mm, shape (n,). A group has two members or more.

    What a level reads has no part in groups: it is no length from a tape.
    """
    n = len(names)
    columns = [Column("slip", frozenset({i}), np.eye(n)[i], False) for i in range(n)]
    everything = frozenset(i for i, name in enumerate(names) if name.startswith(("width", "height", "diagonal")))
    if len(everything) < 2:
        return tuple(columns)
    one = np.isin(np.arange(n), list(everything)).astype(float)
    columns.append(Column("factor", everything, np.asarray(photo, dtype=np.float64) * one, True))
    columns.append(Column("constant", everything, one, True))
    groups = {
        frozenset(i for i, name in enumerate(names) if name.startswith(kinds))
        for kinds in (("width",), ("height",), ("width", "diagonal"))
    }
    for members in sorted(groups - {everything}, key=sorted):
        if len(members) >= 2:
            columns.append(Column("constant", members, np.isin(np.arange(n), list(members)).astype(float), False))
    return tuple(columns)


def combinations_of(columns: Sequence[Column], n: int) -> tuple[tuple[int, ...], ...]:
    """H as indices into `columns`, single ones first."""
    allowed = max(1, n - 1)
    singles = [(i,) for i in range(len(columns))]
    if allowed < 2:
        return tuple(singles)
    pairs = [pair for pair in combinations(range(len(columns)), 2) if _may_join(columns[pair[0]], columns[pair[1]])]
    return (*singles, *pairs)


def _may_join(first: Column, second: Column) -> bool:
    """A pair of slips, a constant and a slip outside it, or a scale and any slip (slips come first in G)."""
    if first.code != "slip":
        return False
    return second.code == "slip" or second.is_scale or not first.readings & second.readings


def rank(columns: Sequence[Column], G: Array, residual: Array, penalty: float, *, freedom: int) -> tuple[Hypothesis, ...]:
    """All hypotheses, best first, for whitened columns G of shape (n, k) and differences of shape (n,).

    `freedom` is the dimension they lie in (n where nothing was projected out). One or two columns a, b are projected out in
    closed form from the products a'a, a'b, b'b and a'd, b'd; a pair that is one direction twice is left out.
    """
    products, explained, total = G.T @ G, G.T @ residual, float(residual @ residual)
    ranked = []
    for pick in combinations_of(columns, freedom):
        if len(pick) == 2 and _parallel(products, *pick):
            continue
        left = max(0.0, total - _projected(products, explained, pick))
        touched = frozenset[int]().union(*(columns[i].readings for i in pick))
        ranked.append(Hypothesis(pick, touched, left, left + penalty * len(pick)))
    return tuple(sorted(ranked, key=lambda hypothesis: hypothesis.cost))


def _parallel(products: Array, i: int, j: int) -> bool:
    return bool(products[i, j] ** 2 > (1.0 - DEPENDENT) * products[i, i] * products[j, j])


def _projected(products: Array, explained: Array, pick: tuple[int, ...]) -> float:
    """Squared length of the part of d that the picked columns explain."""
    i, j = pick[0], pick[-1]
    if i == j:
        return float(explained[i] ** 2 / products[i, i])
    determinant = products[i, i] * products[j, j] - products[i, j] ** 2
    numerator = (
        explained[i] ** 2 * products[j, j] - 2 * explained[i] * explained[j] * products[i, j] + explained[j] ** 2 * products[i, i]
    )
    return float(numerator / determinant)


def contains(columns: Sequence[Column], outer: tuple[int, ...], inner: tuple[int, ...]) -> bool:
    """Whether everything that `inner` explains, `outer` explains too (the same or a larger column space)."""
    stacked = [np.column_stack([columns[i].vector for i in pick]) for pick in (outer, inner)]
    return spans(stacked[0], stacked[1])


def contains_scale(columns: Sequence[Column], pick: tuple[int, ...]) -> bool:
    """Whether this hypothesis contains the factor or the constant on all; a single reading always does."""
    if len(columns) == 1:
        return True
    return any(contains(columns, pick, (i,)) for i, column in enumerate(columns) if column.is_scale)
