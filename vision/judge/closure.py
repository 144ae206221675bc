"""The tape against itself: do the readings close as a figure, and how large a slip could hide in them.

Findings only: which reading is wrong is decided together with the photo, where there is one.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from vision.errors import Finding
from vision.gaussian import Array, Gaussian
from vision.judge.adjust import BENT, FREE, Adjusted, adjust
from vision.judge.algebra import whiten
from vision.judge.case import Case, amounts_of
from vision.judge.plane_figure import Places, linear, readings_of, start
from vision.judge.words import BEYOND_TWO, length_explanation, measure_again
from vision.names import plain_names
from vision.settings import Settings
from vision.settings_tape import INCH

ADDABLE = ("diagonal_rising", "diagonal_falling", "height_left", "height_right", "width_top", "width_bottom", "curb_level",
           "plumb_left", "plumb_right")  # fmt: skip
"""readings that can be asked for, the most telling first"""
_TYPICAL_SD_MM = 1.3
"""mm; a reading not yet taken, tape or level over 72 in"""
_PARALLEL = 1e-6
ASKED_MM = INCH
"""the slip that is spoken of: an inch, the commonest there is (common practice, no source)"""


@dataclass(frozen=True)
class ReadingClosure:
    """One reading in the figure. `redundancy` 0 to 1; `w` and `smallest_slip_mm` None where nothing checks it."""

    name: str
    value_mm: float
    u_mm: float
    redundancy: float
    w: float | None
    smallest_slip_mm: float | None
    adjusted_mm: float
    u_adjusted_mm: float
    alike: tuple[str, ...] = ()
    """readings from whose slips a slip of this one cannot be told at all, by the tape alone"""


@dataclass(frozen=True)
class Closure:
    """The tape's testimony about itself. `redundancy` is the number of independent checks among the readings."""

    redundancy: int = 0
    readings: Mapping[str, ReadingClosure] = field(default_factory=dict)
    words: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()
    adjusted: Adjusted | None = None

    @property
    def figure(self) -> Gaussian | None:
        """What the readings determine of the figure: mm and mm/m."""
        return None if self.adjusted is None else self.adjusted.quantities


def places_of(
    taped: Gaussian, at_mm: Mapping[str, float], over_mm: Mapping[str, float], height_mm: float | None, margin_mm: float
) -> tuple[Array, Places]:
    """A first figure for these readings, and where they were taken."""
    x, places = start(dict(zip(taped.names, map(float, taped.mean), strict=True)), at_mm, height_mm, margin_mm)
    return x, Places(places.at_mm, dict(over_mm), places.height_mm, places.width_mm)


def close_tape(
    taped: Gaussian,
    at_mm: Mapping[str, float],
    over_mm: Mapping[str, float],
    height_mm: float | None,
    settings: Settings = Settings(),  # noqa: B008 (frozen)
) -> Closure:
    """Adjust all readings (lengths and levels, mm) as a plane figure and say what can be seen in it.

    `at_mm` widths taken at a stated height, `over_mm` lengths of level readings, `height_mm` a stated height.
    """
    if not taped.names:
        return Closure()
    x, places = places_of(taped, at_mm, over_mm, height_mm, settings.top_margin_mm)
    adjusted = adjust(taped, x, places, settings.judge, settings.level)
    case = adjusted.case
    M = case.precision()
    readings = {name: _reading(i, taped, adjusted, M, settings) for i, name in enumerate(case.names)}
    return Closure(case.freedom, readings, _words(readings, adjusted, settings), _findings(adjusted, settings), adjusted)


def _reading(i: int, taped: Gaussian, adjusted: Adjusted, M: Array, settings: Settings) -> ReadingClosure:
    case = adjusted.case
    name = case.names[i]
    own = next((k for k, c in enumerate(case.columns) if c.code == "slip" and i in c.readings), None)
    seen = own is not None and M[i, i] > 0
    return ReadingClosure(
        name=name,
        value_mm=taped.value(name),
        u_mm=taped.u(name),
        redundancy=float(np.clip((taped.covariance @ M)[i, i], 0.0, 1.0)) if seen else 0.0,
        w=float((M @ case.d)[i] / np.sqrt(M[i, i])) if seen else None,
        smallest_slip_mm=float(settings.judge.delta0 / np.sqrt(M[i, i])) if seen else None,
        adjusted_mm=adjusted.readings.value(name),
        u_adjusted_mm=adjusted.readings.u(name),
        alike=_alike(i, case, M) if seen else (),
    )


def _alike(i: int, case: Case, M: Array) -> tuple[str, ...]:
    """Readings whose w is the same as this one's, whatever the readings say."""
    seen = {next(iter(c.readings)) for c in case.columns if c.code == "slip"} - {i}
    return tuple(case.names[j] for j in sorted(seen) if M[i, j] ** 2 > (1 - _PARALLEL) * M[i, i] * M[j, j])


# --- plain words


def _words(readings: Mapping[str, ReadingClosure], adjusted: Adjusted, settings: Settings) -> tuple[str, ...]:
    freedom = adjusted.case.freedom
    out = []
    if freedom == 0:
        out.append("These readings do not check one another: a slip of any size in any of them would not show.")
    elif freedom == 1:
        out.append("There is one check among these readings: it can show that something is wrong, but not which reading.")
    hidden = [one for one in readings.values() if one.smallest_slip_mm is None or one.smallest_slip_mm > ASKED_MM]
    groups: dict[str, list[str]] = {}
    for one in hidden:
        groups.setdefault(_what_would_show(one.name, adjusted, settings), []).append(one.name)
    for remedy, names in groups.items():
        out.append(f"A one-inch slip in the {plain_names(names, last='or')} could not be seen from these readings; {remedy}.")
    return tuple(out)


def _what_would_show(name: str, adjusted: Adjusted, settings: Settings) -> str:
    """The first further reading, or pair of them, with which an inch in this one would show."""
    missing = [other for other in ADDABLE if other not in adjusted.case.names]
    if not any(n.startswith("plumb") for n in adjusted.case.names):
        missing = [other for other in missing if other != "curb_level"]
    tries: list[tuple[str, ...]] = [(other,) for other in missing]
    tries += [
        pair for pair in (("diagonal_rising", "diagonal_falling"), ("plumb_left", "plumb_right")) if set(pair) <= set(missing)
    ]
    for added in tries:
        if _slip_with(name, added, adjusted, settings) <= ASKED_MM:
            if added == ("diagonal_rising",):
                return "measure a diagonal"
            return f"measure the {plain_names(added)}"
    return "read it again with another tape"


def _slip_with(name: str, added: Sequence[str], adjusted: Adjusted, settings: Settings) -> float:
    """Smallest visible slip (mm) of a reading if these had been read too."""
    case = adjusted.case
    more = linear(readings_of, adjusted.state, adjusted.places, list(added)).jacobian
    old = linear(readings_of, adjusted.state, adjusted.places, case.names).jacobian
    J = np.vstack([old, more])
    bent = J[:, BENT] * settings.level.straight_sd_mm
    n, k = len(case.names), len(added)
    C = bent @ bent.T
    C[:n, :n] = case.C
    C[n:, n:] += np.eye(k) * _TYPICAL_SD_MM**2
    i = case.names.index(name)
    A = whiten(C, J[:, FREE])
    e = whiten(C, np.eye(n + k)[i])
    left = e - A @ np.linalg.lstsq(A, e, rcond=1e-9)[0]
    seen = float(left @ left)
    return settings.judge.delta0 / np.sqrt(seen) if seen > 1e-9 * float(e @ e) else np.inf


def _findings(adjusted: Adjusted, settings: Settings) -> tuple[Finding, ...]:
    case, doubt = adjusted.case, adjusted.doubt
    if doubt.kind == "none":
        return ()
    names = [case.names[i] for i in sorted(doubt.touched)]
    again = measure_again(names)
    if doubt.kind == "unexplained":
        fact = f"the readings do not close as a figure, {BEYOND_TWO}"
        return (Finding("readings-do-not-close", fact, again),)
    if doubt.kind == "together":
        fact = "the readings do not close as a figure; from the readings alone it cannot be told which is wrong"
        if len(names) < len(case.names):
            fact = f"the readings do not close as a figure; among the {plain_names(names)} it cannot be told which is wrong"
        return (Finding("readings-do-not-close", fact, again),)
    best = doubt.because[0]
    sizes = zip(best.columns, *amounts_of(case, best.columns), strict=True)
    facts = [
        length_explanation(
            tuple(case.names[i] for i in sorted(case.columns[k].readings)), float(b), float(u),
            everything=case.columns[k].is_scale,
        )
        for k, b, u in sizes
    ]  # fmt: skip
    return (Finding("readings-do-not-close", f"the readings do not close as a figure: {' and '.join(facts)}", again),)
