"""The photo against the tape: which reading agrees, which is suspect, and where it cannot be told.

d = tape - photo (positive: the tape reads long), C its covariance with shared sources counted once. All tests use the
whole C, at the levels of Baarda's data snooping (significance 0.001, power 0.80):

    w_g = g' C^-1 d / sqrt(g' C^-1 g)               a column g of G explains a contradiction
    s_g = 4.13 / sqrt(g' M g)                       the smallest slip along g that would have been seen

Where nothing contradicts by these, two readings written in one another's place are looked for (`exchanged.py`).

A reading "agrees" only if a slip of the limit, its own or one it shares with a group, would have been seen, and if it differs by
no more than what could stay unseen. What exceeds its own smallest visible slip and agrees has the rest in common with others:
`own_mm` = (M d)_i / M_ii is the slip of it alone that fits best (`vision/judge/shared.py`).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from vision.errors import Finding
from vision.gaussian import Array, Gaussian
from vision.judge.case import Case, Doubt, amounts_of, case_of, doubt_of
from vision.judge.exchanged import Exchange, exchanged
from vision.judge.hypotheses import Hypothesis
from vision.judge.joint import SAME, Expected, expect
from vision.judge.plane_figure import Places
from vision.judge.planes import PlaneDoubt, plane_words
from vision.judge.verdicts import Comparison, Explanation, ReadingVerdict, Verdict
from vision.judge.words import ALL_AGAIN, BEYOND_TWO, factor_explanation, length_explanation
from vision.settings import JudgeSettings
from vision.settings_tape import LevelSettings

LEAST_ALIKE, ALL_OFF = 3, 0.15
"""readings, and share by which all of them must be off one way, for what gave the scale to be no card at all (by judgement: no
known slip takes a sixth off every reading)"""
LEAST_LENGTH_MM = 200.0
"""mm; what is shorter is no length of an opening, as what a plumb reading says"""
NO_SUCH_CARD = (
    "Look at the picture of what the program saw: is that the card, and is it of the kind and size stated, in the plane of the "
    "opening? If not, mark the card's corners (card-corners) or take a new photo."
)


@dataclass(frozen=True)
class Judgement:
    """The verdicts, with what they rest on: None and no doubt where the photo answers to nothing."""

    comparison: Comparison
    case: Case | None = None
    doubt: Doubt = field(default_factory=lambda: Doubt("none"))


def compare(
    photo: Gaussian | None,
    taped: Gaussian,
    texts: Mapping[str, str],
    settings: JudgeSettings = JudgeSettings(),  # noqa: B008 (frozen)
    *,
    scale_refused: bool = False,
    planes: Sequence[PlaneDoubt] = (),
) -> Comparison:
    """Judge every reading of `taped` (mm) against those sizes of `photo` (mm) that have the same name.

    `texts` holds the readings as written. With `scale_refused` the photo testifies by shape only and no reading is called
    suspect. A reading that the photo has no counterpart for is "cannot tell", its photo fields None.
    """
    return judge(photo, taped, texts, settings, scale_refused=scale_refused, planes=planes).comparison


def judge(
    photo: Gaussian | None,
    taped: Gaussian,
    texts: Mapping[str, str],
    settings: JudgeSettings = JudgeSettings(),  # noqa: B008 (frozen)
    *,
    scale_refused: bool = False,
    places: Places | None = None,
    level: LevelSettings = LevelSettings(),  # noqa: B008 (frozen)
    planes: Sequence[PlaneDoubt] = (),
) -> Judgement:
    """The same with what it rests on. With `places` the readings that follow from the figure are judged jointly too.

    `planes` holds the cards that may stand off their plane: explanations beside those of the readings.

    A reading that is held against the figure only (the photo has no counterpart) may be suspect but never agrees.
    """
    expected = _expected(photo, taped, places, level)
    if expected is None:
        return Judgement(Comparison({name: _without_counterpart(name, taped, texts) for name in taped.names}))
    names, theirs = expected.gaussian.names, expected.gaussian
    difference = taped.select(names).minus(theirs)
    case = case_of(names, difference.mean, difference.covariance, theirs.mean, expected.free)
    doubt = doubt_of(case, settings, planes=planes)
    slips = visible_slips(case, doubt, settings)
    exchanges = tuple(exchanged(case, taped, settings)) if doubt.kind == "none" else ()
    if exchanges:
        doubt = Doubt("together", frozenset(row for one in exchanges for row in one.rows))
    own = _own(case, doubt)
    readings = {}
    for name in taped.names:
        verdict = _without_counterpart(name, taped, texts)
        if name in names:
            i = names.index(name)
            verdict = replace(
                verdict,
                verdict=_verdict(i, doubt, slips, settings, scale_refused, off_mm=abs(float(difference.mean[i]))),
                explanations=_explanations(i, case, doubt, exchanges),
            )
            if name in expected.known:
                verdict = replace(
                    verdict,
                    photo_mm=theirs.value(name),
                    u_photo_mm=theirs.u(name),
                    difference_mm=difference.value(name),
                    own_mm=float(own[i]),
                    smallest_visible_slip_mm=float(slips[0][i]),
                    smallest_visible_common_slip_mm=float(slips[1][i]),
                )
            elif verdict.verdict == "agrees":
                verdict = replace(verdict, verdict="cannot tell")
        readings[name] = verdict
    return Judgement(Comparison(readings, _findings(case, doubt, _shares(difference.mean, theirs.mean))), case, doubt)


def _expected(photo: Gaussian | None, taped: Gaussian, places: Places | None, level: LevelSettings) -> Expected | None:
    """What the photo expects: without places of those readings only that it gives by the same name."""
    if photo is None:
        return None
    if places is not None:
        return expect(photo, taped.names, places, level)
    names = tuple(name for name in taped.names if name in photo.names and name in SAME)
    return Expected(photo.select(names), np.zeros((len(names), 0)), frozenset(names)) if names else None


def _without_counterpart(name: str, taped: Gaussian, texts: Mapping[str, str]) -> ReadingVerdict:
    return ReadingVerdict(
        name, texts.get(name, ""), taped.value(name), taped.u(name), None, None, None, "cannot tell", None, None
    )


def visible_slips(case: Case, doubt: Doubt, settings: JudgeSettings) -> tuple[Array, Array]:
    """Smallest visible slip of each reading, alone and shared with a group (mm, each of shape (n,)), inf for none.

    The other readings in doubt are no witnesses: each is given its own free slip.
    """
    n = len(case.names)
    doubted = doubt.touched if doubt.kind in ("suspect", "together") else frozenset[int]()
    precisions = {others: case.precision(np.eye(n)[:, sorted(others)]) for others in {doubted - {i} for i in range(n)}}
    alone, shared = np.full(n, np.inf), np.full(n, np.inf)
    for i in range(n):
        M = precisions[doubted - {i}]
        own: list[float] = []
        groups: list[float] = []
        for column in case.columns:
            if i in column.readings:
                seen = float(column.vector @ M @ column.vector)
                size = float(abs(column.vector[i]) * settings.delta0 / np.sqrt(seen)) if seen > 0 else np.inf
                (own if column.code == "slip" else groups).append(size)
        alone[i] = own[0] if own else np.inf
        shared[i] = max(groups, default=alone[i])
    return alone, shared


def _own(case: Case, doubt: Doubt) -> Array:
    """The slip of each reading alone that fits best, mm, shape (n,); 0 where none could be seen, and for those in doubt."""
    M = case.precision(np.eye(len(case.names))[:, sorted(doubt.touched)])
    seen = np.where(np.isin(np.arange(len(M)), list(doubt.touched)), 0.0, np.diag(M))
    return np.asarray(np.divide(M @ case.d, seen, out=np.zeros(len(seen)), where=seen > 0))


def _verdict(
    i: int, doubt: Doubt, slips: tuple[Array, Array], settings: JudgeSettings, scale_refused: bool, *, off_mm: float
) -> Verdict:
    if i in doubt.touched:
        return "suspect" if doubt.kind == "suspect" and not scale_refused else "cannot tell"
    hidden = max(slips[0][i], slips[1][i])
    return "agrees" if off_mm <= hidden <= settings.slip_limit_mm else "cannot tell"


def _explanations(i: int, case: Case, doubt: Doubt, exchanges: Sequence[Exchange]) -> tuple[Explanation, ...]:
    """What would bring this reading into agreement, each way once, as the best hypothesis that holds it puts it."""
    found: dict[int, Explanation] = {}
    for hypothesis in doubt.because:
        for column in hypothesis.columns:
            if i in case.columns[column].readings and column not in found:
                found[column] = _explanation(case, hypothesis, column, i)
    return (*found.values(), *(one.explanation(i) for one in exchanges if i in one.rows))


def _explanation(case: Case, hypothesis: Hypothesis, column: int, i: int) -> Explanation:
    """One column of a hypothesis in words; its amount in mm is the one on reading i."""
    b, u = (values[hypothesis.columns.index(column)] for values in amounts_of(case, hypothesis.columns))
    what = case.columns[column]
    readings = tuple(case.names[k] for k in sorted(what.readings))
    if what.code == "factor":
        text = factor_explanation(1.0 + b, u)
    else:
        text = length_explanation(readings, b, u, everything=what.is_scale)
    scale = what.vector[i]
    return Explanation(what.code, readings, float(b * scale), float(u * scale), text)


def _shares(difference: Array, theirs: Array) -> Array:
    """By what share each length that is one (not a plumb reading's few millimetres) is more than the photo has it."""
    lengths = theirs > LEAST_LENGTH_MM
    return np.asarray(difference[lengths] / theirs[lengths])


def _findings(case: Case, doubt: Doubt, off: Array) -> tuple[Finding, ...]:
    """`off` (n,): by what share each length read is more than the photo has it."""
    if doubt.kind == "unexplained":
        text = f"readings and photo contradict each other {BEYOND_TWO}"
        if len(off) >= LEAST_ALIKE and np.abs(off).min() > ALL_OFF and (np.all(off > 0) or np.all(off < 0)):
            way = "longer" if off[0] > 0 else "shorter"
            low, high = (round(100 * float(x)) for x in (np.abs(off).min(), np.abs(off).max()))
            text = (
                f"every reading is {way} than the photo has it, by {low} to {high} %: what was taken for the card is hardly one"
            )
            return (Finding("unexplained", text, NO_SUCH_CARD),)
        return (Finding("unexplained", text, ALL_AGAIN),)
    if doubt.kind != "scale":
        return ()
    best = doubt.because[0]
    words = " and ".join(_explanation(case, best, column, min(case.columns[column].readings)).text for column in best.columns)
    text = f"{words}; a card out of the plane or of another size, a wrong unit and a tape with a wrong start look alike here"
    if doubt.planes:
        text = f"{plane_words(doubt.planes)} would bring everything into agreement; or else {words}; it cannot be told which"
    elif len(case.names) == 1:
        text = f"{words}; as the only reading that the photo can be held against, it cannot be told which of the two is wrong"
    action = (
        "Ask whoever is on site: does the card lie in the plane of the opening, and is it the kind and size stated? "
        "Then check the tape against a second tape, and measure a diagonal."
    )
    return (Finding("scale-in-doubt", text, action),)
