"""The photo against the tape: which reading agrees, which is suspect, and where it cannot be told.

d = tape - photo (positive: the tape reads long), C its covariance with shared sources counted once. All tests use the
whole C, at the levels of Baarda's data snooping (significance 0.001, power 0.80):

    w_g = g' C^-1 d / sqrt(g' C^-1 g)               a column g of G explains a contradiction
    s_g = 4.13 / sqrt(g' M g)                       the smallest slip along g that would have been seen

A reading "agrees" only if a slip of the limit, its own or one it shares with a group, would have been seen.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from scipy.special import chdtri

from vision.errors import Finding
from vision.gaussian import Array, Gaussian
from vision.judge.algebra import amounts, reduced_precision, whiten
from vision.judge.hypotheses import Column, Hypothesis, contains, contains_scale, explaining_columns, rank
from vision.judge.verdicts import Comparison, Explanation, ReadingVerdict, Verdict
from vision.judge.words import factor_explanation, length_explanation
from vision.settings import JudgeSettings


@dataclass(frozen=True)
class _Case:
    """The readings that the photo can answer to: differences, their covariance, and what may be wrong with them."""

    names: tuple[str, ...]
    d: Array
    C: Array
    photo: Array
    columns: tuple[Column, ...]


@dataclass(frozen=True)
class _Doubt:
    """What the contradiction, if any, comes down to: the readings it touches and the hypotheses that say so."""

    kind: Literal["none", "suspect", "together", "scale", "unexplained"]
    touched: frozenset[int] = frozenset()
    because: tuple[Hypothesis, ...] = ()


def compare(
    photo: Gaussian | None,
    taped: Gaussian,
    texts: Mapping[str, str],
    settings: JudgeSettings = JudgeSettings(),  # noqa: B008 (frozen)
    *,
    scale_refused: bool = False,
) -> Comparison:
    """Judge every reading of `taped` (mm) against those sizes of `photo` (mm) that have the same name.

    `texts` holds the readings as written. With `scale_refused` the photo testifies by shape only and no reading is called
    suspect. A reading that the photo has no counterpart for is "cannot tell", its photo fields None.
    """
    names = tuple(name for name in taped.names if photo is not None and name in photo.names)
    if photo is None or not names:
        return Comparison({name: _without_counterpart(name, taped, texts) for name in taped.names})
    ours, theirs = taped.select(names), photo.select(names)
    difference = ours.minus(theirs)
    case = _Case(names, difference.mean, difference.covariance, theirs.mean, explaining_columns(names, theirs.mean))
    doubt = _doubt(case, settings)
    slips = _visible_slips(case, doubt, settings)
    readings = {}
    for name in taped.names:
        verdict = _without_counterpart(name, taped, texts)
        if name in names:
            i = names.index(name)
            verdict = replace(
                verdict,
                photo_mm=photo.value(name),
                u_photo_mm=photo.u(name),
                difference_mm=difference.value(name),
                verdict=_verdict(i, doubt, slips, settings, scale_refused),
                smallest_visible_slip_mm=float(slips[0][i]),
                smallest_visible_common_slip_mm=float(slips[1][i]),
                explanations=_explanations(i, case, doubt, settings),
            )
        readings[name] = verdict
    return Comparison(readings, _findings(case, doubt, settings))


def _without_counterpart(name: str, taped: Gaussian, texts: Mapping[str, str]) -> ReadingVerdict:
    return ReadingVerdict(
        name, texts.get(name, ""), taped.value(name), taped.u(name), None, None, None, "cannot tell", None, None
    )


def _doubt(case: _Case, settings: JudgeSettings) -> _Doubt:
    """Is there a contradiction, and which hypothesis or hypotheses explain it.

    chdtri(n, p) is the chi-square value of n degrees of freedom that is exceeded with probability p.
    """
    n = len(case.names)
    G = whiten(case.C, np.column_stack([column.vector for column in case.columns]))
    residual = whiten(case.C, case.d)
    w = G.T @ residual / np.linalg.norm(G, axis=0)
    if np.max(np.abs(w)) <= settings.w_critical and residual @ residual <= chdtri(n, settings.significance):
        return _Doubt("none")
    ranked = rank(case.columns, case.C, case.d, settings.penalty)
    best = ranked[0]
    freedom = n - len(best.columns)
    if freedom > 0 and best.left > chdtri(freedom, settings.significance):
        return _Doubt("unexplained", frozenset(range(n)))
    near = [other for other in ranked[1:] if other.cost <= best.cost + settings.penalty]
    if contains_scale(case.columns, best.columns):
        alike = [other for other in near if len(other.columns) == 1 and case.columns[other.columns[0]].is_scale]
        return _Doubt("scale", frozenset(range(n)), (best, *alike))
    rivals = [other for other in near if _is_rival(case, best, other)]
    touched = best.touched.union(*(other.touched for other in rivals))
    return _Doubt("together" if rivals else "suspect", touched, (best, *rivals))


def _is_rival(case: _Case, best: Hypothesis, other: Hypothesis) -> bool:
    """It blames another set of readings, and is neither `best` with something added nor a part of it.

    A part of `best` is no rival: the column that `best` has more has earned its penalty. One of three widths is a rival of
    the constant on all three, though it touches none outside them: else its good neighbours would be blamed.
    """
    if other.touched == best.touched:
        return False
    more = other.touched > best.touched and contains(case.columns, other.columns, best.columns)
    part = other.touched < best.touched and contains(case.columns, best.columns, other.columns)
    return not more and not part


def _visible_slips(case: _Case, doubt: _Doubt, settings: JudgeSettings) -> tuple[Array, Array]:
    """Smallest visible slip of each reading, alone and shared with a group (mm, each of shape (n,)).

    The other readings in doubt are no witnesses: each is given its own free slip.
    """
    n = len(case.names)
    doubted = doubt.touched if doubt.kind in ("suspect", "together") else frozenset[int]()
    precisions = {others: reduced_precision(case.C, np.eye(n)[:, sorted(others)]) for others in {doubted - {i} for i in range(n)}}
    alone, shared = np.zeros(n), np.zeros(n)
    for i in range(n):
        M = precisions[doubted - {i}]
        sizes = [
            abs(column.vector[i]) * settings.delta0 / np.sqrt(column.vector @ M @ column.vector)
            for column in case.columns
            if i in column.readings
        ]
        alone[i], shared[i] = sizes[0], max(sizes[1:], default=sizes[0])
    return alone, shared


def _verdict(i: int, doubt: _Doubt, slips: tuple[Array, Array], settings: JudgeSettings, scale_refused: bool) -> Verdict:
    if i in doubt.touched:
        return "suspect" if doubt.kind == "suspect" and not scale_refused else "cannot tell"
    seen = max(slips[0][i], slips[1][i]) <= settings.slip_limit_mm
    return "agrees" if seen else "cannot tell"


def _explanations(i: int, case: _Case, doubt: _Doubt, settings: JudgeSettings) -> tuple[Explanation, ...]:
    """What would bring this reading into agreement, each way once, as the best hypothesis that holds it puts it."""
    found: dict[int, Explanation] = {}
    for hypothesis in doubt.because:
        for column in hypothesis.columns:
            if i in case.columns[column].readings and column not in found:
                found[column] = _explanation(case, hypothesis, column, i, settings)
    return tuple(found.values())


def _explanation(case: _Case, hypothesis: Hypothesis, column: int, i: int, settings: JudgeSettings) -> Explanation:
    """One column of a hypothesis in words; its amount in mm is the one on reading i."""
    A = np.column_stack([case.columns[k].vector for k in hypothesis.columns])
    b, u = (values[hypothesis.columns.index(column)] for values in amounts(case.C, A, case.d))
    what = case.columns[column]
    readings = tuple(case.names[k] for k in sorted(what.readings))
    if what.code == "factor":
        text = factor_explanation(1.0 + b, u, reach=settings.w_critical)
    else:
        text = length_explanation(readings, b, u, reach=settings.w_critical, everything=what.is_scale)
    scale = what.vector[i]
    return Explanation(what.code, readings, float(b * scale), float(u * scale), text)


def _findings(case: _Case, doubt: _Doubt, settings: JudgeSettings) -> tuple[Finding, ...]:
    if doubt.kind == "unexplained":
        text = "readings and photo contradict each other in a way that no one or two mistakes explain"
        action = "Measure all readings again, with a second tape, and take a new photo with the card in the plane of the opening."
        return (Finding("unexplained", text, action),)
    if doubt.kind != "scale":
        return ()
    best = doubt.because[0]
    words = " and ".join(
        _explanation(case, best, column, min(case.columns[column].readings), settings).text for column in best.columns
    )
    text = f"{words}; a card out of the plane or of another size, a wrong unit and a tape with a wrong start look alike here"
    if len(case.names) == 1:
        text = f"{words}; as the only reading that the photo can be held against, it cannot be told which of the two is wrong"
    action = (
        "Ask whoever is on site: does the card lie in the plane of the opening, and is it the kind and size stated? "
        "Then check the tape against a second tape, and measure a diagonal."
    )
    return (Finding("scale-in-doubt", text, action),)
