"""The readings adjusted as a plane figure: least squares, redundancy, and what could be seen and what not.

    t = J_o x + J_b b + e,   b ~ N(0, straight^2)      x the figure, b bows, e the tape's and level's errors
    C = J_b S J_b' + cov(e)                            d = t - f(x0)
    K = (J_o' C^-1 J_o)^+ J_o' C^-1                    x = x0 + K d, b = S J_b' M d, M = M(J_o)
    r_i = (cov(e) M)_ii                                redundancy of a reading; with that of the bows they add up to n - rank
    w_i = (M d)_i / sqrt(M_ii),  s_i = 4.13 / sqrt(M_ii)

A quantity of the figure is given only where the readings determine it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from vision.gaussian import Array, Gaussian
from vision.judge.algebra import whiten
from vision.judge.case import Case, Doubt, case_of, doubt_of
from vision.judge.plane_figure import (
    FIGURE_QUANTITIES,
    STRAIGHT,
    UNKNOWNS,
    Linear,
    Places,
    linear,
    quantities_of,
    readings_of,
)
from vision.settings import JudgeSettings
from vision.settings_tape import LevelSettings

STEPS = 4
"""Gauss-Newton; the figure is nearly linear, each step shrinks the error a thousandfold"""
ROUNDS = 3
"""at most so often the figure is taken anew without the readings that are named"""
_FIXED = 1e-7
"""relative; a function that changes by less along a direction that nothing fixes is fixed itself"""
BENT = [UNKNOWNS.index(name) for name in STRAIGHT]
FREE = [k for k in range(len(UNKNOWNS)) if k not in BENT]


@dataclass(frozen=True)
class Adjusted:
    """The figure at its solution. `readings` and `quantities` (of FIGURE_QUANTITIES, those determined) with their joint

    uncertainty; `case` and `doubt` as the judge has them.
    """

    case: Case
    doubt: Doubt
    readings: Gaussian
    quantities: Gaussian
    places: Places
    state: Array


def adjust(taped: Gaussian, x0: Array, places: Places, judge: JudgeSettings, level: LevelSettings) -> Adjusted:
    """Adjust these readings (mm), starting from the state `x0`.

    Where readings are named the figure is taken anew without them, because a gross slip bends the figure it is judged by.
    """
    x, doubt, case = x0, Doubt("none"), None
    without: frozenset[int] = frozenset()
    for _ in range(ROUNDS):
        x = _solve(taped, x, places, without, level)
        case = _case(taped, x, places, level)
        doubt = doubt_of(case, judge, scale_counts=False)
        named = _named(case, doubt)
        if named == without:
            break
        without = named
    assert case is not None
    return Adjusted(case, doubt, *_outcome(taped, case, x, places, level), places, x)


def case_at(taped: Gaussian, x: Array, places: Places, level: LevelSettings) -> Case:
    """The case of these readings, all of them taken for good, solved from the state `x`."""
    return _case(taped, _solve(taped, x, places, frozenset(), level), places, level)


def _named(case: Case, doubt: Doubt) -> frozenset[int]:
    """Rows whose own slips the best explanation is made of; none where it is a shared amount."""
    if doubt.kind not in ("suspect", "together") or not doubt.because:
        return frozenset()
    best = doubt.because[0]
    return best.touched if all(case.columns[k].code == "slip" for k in best.columns) else frozenset()


def _linear(taped: Gaussian, x: Array, places: Places) -> Linear:
    return linear(readings_of, x, places, taped.names)


def _covariance(taped: Gaussian, seen: Linear, level: LevelSettings) -> Array:
    bent = seen.jacobian[:, BENT] * level.straight_sd_mm
    return np.asarray(taped.covariance + bent @ bent.T)


def _solve(taped: Gaussian, x: Array, places: Places, without: frozenset[int], level: LevelSettings) -> Array:
    """The state, with the readings `without` left free."""
    n = len(taped.names)
    for _ in range(STEPS):
        seen = _linear(taped, x, places)
        C = _covariance(taped, seen, level)
        A = np.hstack([seen.jacobian[:, FREE], np.eye(n)[:, sorted(without)]])
        step = np.linalg.pinv(whiten(C, A), rcond=1e-9) @ whiten(C, taped.mean - seen.values)
        x = x.copy()
        x[FREE] += step[: len(FREE)]
    return x


def _case(taped: Gaussian, x: Array, places: Places, level: LevelSettings) -> Case:
    seen = _linear(taped, x, places)
    C = _covariance(taped, seen, level)
    return case_of(taped.names, taped.mean - seen.values, C, seen.values, seen.jacobian[:, FREE])


def _outcome(taped: Gaussian, case: Case, x: Array, places: Places, level: LevelSettings) -> tuple[Gaussian, Gaussian]:
    """Adjusted readings, and those quantities that are determined."""
    J = _linear(taped, x, places).jacobian
    W = whiten(case.C, np.eye(len(case.names)))
    K = np.linalg.pinv(W @ J[:, FREE], rcond=1e-9) @ W
    S = level.straight_sd_mm**2 * np.eye(len(BENT))
    B = S @ J[:, BENT].T @ case.precision()

    def carried(found: Linear, names: tuple[str, ...]) -> Gaussian:
        L = found.jacobian[:, FREE] @ K + found.jacobian[:, BENT] @ B
        sources = {source: L @ factor for source, factor in taped.sources.items()}
        bent = (L @ J[:, BENT] - found.jacobian[:, BENT]) * level.straight_sd_mm
        return Gaussian(names, found.values + L @ case.d, {**sources, "straightness": bent})

    readings = carried(_linear(taped, x, places), taped.names)
    found = linear(quantities_of, x, places, FIGURE_QUANTITIES)
    fixed = _determined(found.jacobian[:, FREE], J[:, FREE])
    everything = carried(found, FIGURE_QUANTITIES)
    names = [
        name
        for name, there in zip(FIGURE_QUANTITIES, fixed, strict=True)
        if there and not (name.startswith("bow") and everything.u(name) > level.straight_sd_mm / 2)
    ]
    if "lean_left" not in names:  # near upright the rectangle may hide that it hangs on the vertical
        names = [name for name in names if name != "plumb_rectangle"]
    return readings, everything.select(names)


def _determined(wanted: Array, J: Array) -> list[bool]:
    """Which rows of `wanted` lie in the row space of J."""
    scale = np.linalg.norm(J, axis=0)
    scale[scale == 0] = 1.0
    _, singular, Vt = np.linalg.svd(J / scale)
    rank = int(np.sum(singular > 1e-9 * singular[0]))
    out, full = np.linalg.norm((wanted / scale) @ Vt[rank:].T, axis=1), np.linalg.norm(wanted / scale, axis=1)
    return [bool(one <= _FIXED * whole) for one, whole in zip(out, full, strict=True)]
