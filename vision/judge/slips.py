"""Which known slip: every one of the catalogue is tried on what contradicts, and those that bring agreement are listed.

A candidate a (what the slip added to the readings) fits if

    c = a' M d / a' M a is 1 within `slip_reach` of its standard deviation 1 / sqrt(a' M a),
    what is left, d - a, contradicts nothing by the judge's own levels,
    and its amount is known well enough to be recognised: sqrt(a' M a) >= `slip_recognised`.

The last keeps small slips off the list whose amount any error of that size would match. No probabilities: those with an
exact amount come first, then those that leave less over. Nothing is corrected.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from vision.gaussian import Array, Gaussian
from vision.judge.adjust import case_at
from vision.judge.case import Case, Doubt, contradicts, left_over
from vision.judge.catalogue import Candidate, KnownSlip, candidates
from vision.judge.closure import Closure
from vision.judge.compare import Judgement
from vision.judge.naming import Reach, reach_of
from vision.judge.signatures import Written
from vision.judge.verdicts import Slip
from vision.judge.words import way_of
from vision.names import plain_names
from vision.settings import JudgeSettings, Settings
from vision.units import inches_text

LARGE_MM = 30.0
"""mm; by more than this the tape's figure is taken anew rather than moved along its tangent (its error is then 0.2 mm)"""
_TANGENT = 0.25
"""relative; how far off the tangent may be for a large slip, before the figure is taken anew"""
_CHECKED = 1e-9
"""redundancy; less than this is none"""
LEVELS = ("plumb", "curb", "bow")
MOST = 8
"""at most so many slips are listed; more say nothing"""
AGAIN = "Please measure again, without looking at the list."
"""what is asked where nothing can be named"""


@dataclass(frozen=True)
class _Fit:
    """A candidate that fits: what it leaves over (T), and its amount on the first of its readings, mm."""

    candidate: Candidate
    left: float
    amount_mm: float
    parts: tuple[Candidate, ...] = ()
    off: float = 0.0
    """standard deviations between the amount found and the known one"""
    sd_mm: float = 0.0
    """mm; of the amount found"""
    named: bool = True
    """whether it fits so well that a random amount would seldom have done so"""


Rest = Callable[[Array], tuple[Case, Array]]
"""what was added -> the case and the differences without it"""


def name_slips(
    judgement: Judgement,
    closure: Closure,
    taped: Gaussian,
    lengths: Mapping[str, Written],
    levels: Mapping[str, float],
    *,
    settings: Settings = Settings(),  # noqa: B008 (frozen)
) -> tuple[Slip, ...]:
    """The known slips that fit, best first; one entry of code "none" where something is wrong and none does.

    With a contradiction between photo and tape all readings are held against both together; else, where the tape alone
    does not close, against its own figure. `lengths` are the readings as written, `levels` the level readings, signed mm.
    """
    if judgement.case is not None and judgement.doubt.kind != "none":
        case = judgement.case
        return _named(case, judgement.doubt, lambda added: (case, case.d - added), (lengths, levels), settings.judge)
    adjusted = closure.adjusted
    if adjusted is None or adjusted.doubt.kind == "none":
        return ()

    def rest(added: Array) -> tuple[Case, Array]:
        if np.max(np.abs(added)) <= LARGE_MM:
            return adjusted.case, adjusted.case.d - added
        moved = replace(taped, mean=taped.mean - added)
        anew = case_at(moved, adjusted.state, adjusted.places, settings.level)
        return anew, anew.d

    return _named(adjusted.case, adjusted.doubt, rest, (lengths, levels), settings.judge, alone=True)


def _named(
    case: Case,
    doubt: Doubt,
    rest: Rest,
    written: tuple[Mapping[str, Written], Mapping[str, float]],
    settings: JudgeSettings,
    *,
    alone: bool = False,
) -> tuple[Slip, ...]:
    """All that fits, or the one entry that says that nothing does; `written` lengths and levels, `alone` without a photo."""
    tried = tried_on(case, *written, alone=alone)
    M = case.precision()
    fits = [fit for candidate in tried if (fit := _fit(candidate, case, M, rest, settings)) is not None]
    if alone:
        fits = [replace(fit, off=settings.slip_reach) if _is_large(fit.candidate) else fit for fit in fits]
    if not fits and doubt.because and len(doubt.because[0].columns) == 2:
        fits = list(_pairs(case, doubt, tried, rest, settings))
    if not fits:
        none, loose = _none(case, doubt), replace(settings, slip_recognised=0.0)
        vague = [fit for c in tried if {*c.touched} <= {*none.readings} and (fit := _fit(c, case, M, rest, loose))]
        return (_unsure(vague, listed=False) if vague else none,)
    reach = reach_of(case, tried, settings)
    fits = sorted((replace(fit, named=_is_named(fit, reach)) for fit in fits), key=_rank)
    rivals, best = _rivals(fits, settings), fits[0]
    fits = sorted((replace(f, named=f.named and not rivals and _is_one_kind(f, best)) for f in fits), key=_rank)
    return (*(() if fits[0].named else (_alike(rivals) if rivals else _unsure(fits),)), *tuple(_merged(fits))[:MOST])


def _rank(fit: _Fit) -> tuple[bool, bool, int, float]:
    return (not fit.named, not _exact(fit), len(fit.parts), fit.left)


def tried_on(case: Case, lengths: Mapping[str, Written], levels: Mapping[str, float], *, alone: bool) -> list[Candidate]:
    """Every known slip that these readings may have; `alone` without a photo."""
    known = {name: lengths[name] for name in case.names if name in lengths}
    signed = {name: levels[name] for name in case.names if name in levels}
    M = case.precision()
    return [c for c in candidates(case.names, known, signed) if not (alone and _scales(c, case, M))]


def _is_named(fit: _Fit, reach: Reach) -> bool:
    """Whether a random amount would seldom have fitted as well; see `vision/judge/naming.py`."""
    return bool(fit.parts or fit.off <= (reach.fixed if fit.candidate.span is None else reach.ranges))


def _rivals(fits: Sequence[_Fit], settings: JudgeSettings) -> list[_Fit]:
    """The first fit and the named ones beside it that are as exact and another slip, if there are any.

    As with the judge's hypotheses, what leaves up to `penalty` more over cannot be told from it.
    """
    best = fits[0]
    if not best.named:
        return []
    others = [
        fit
        for fit in fits
        if fit.named and _exact(fit) >= _exact(best) and fit.left <= best.left + settings.penalty and _differs(fit, best)
    ]
    return [best, *others] if others else []


def _differs(one: _Fit, other: _Fit) -> bool:
    """Whether they are slips of two kinds that do different things; of one kind on other readings the question is the same."""
    return one.candidate.slip.code != other.candidate.slip.code and _key(one) != _key(other)


def _is_one_kind(one: _Fit, best: _Fit) -> bool:
    """Whether they are one kind of slip, or do the same and stand in one entry: only one kind is ever named."""
    return one.candidate.slip.code == best.candidate.slip.code or (_key(one), _exact(one)) == (_key(best), _exact(best))


def _is_large(candidate: Candidate) -> bool:
    """By the tape alone the amount of such a slip is found on a figure solved anew, so how well it fits is not known in sd."""
    return bool(np.max(np.abs(candidate.added)) > LARGE_MM)


def _scales(candidate: Candidate, case: Case, M: Array) -> bool:
    """A factor on all lengths that check one another: it leaves the shape alone and would only shrink what does not close."""
    checked = {name for i, name in enumerate(case.names) if M[i, i] * case.C[i, i] > _CHECKED and not name.startswith(LEVELS)}
    return candidate.slip.signature == "ratio" and set(candidate.touched) >= checked


def _exact(fit: _Fit) -> bool:
    return all(part.slip.exact for part in fit.parts or (fit.candidate,))


def _fit(candidate: Candidate, case: Case, M: Array, rest: Rest, settings: JudgeSettings) -> _Fit | None:
    """The candidate, if it brings everything into agreement."""
    added = candidate.added
    seen = float(added @ M @ added)
    if seen <= 0:
        return None
    share, sd = float(added @ M @ case.d) / seen, 1.0 / np.sqrt(seen)
    first = case.names.index(candidate.touched[0])
    sd_mm, off = float(sd * abs(added[first])), abs(share - 1.0) / sd
    if candidate.span is not None:
        (low, high), reach = candidate.span, settings.slip_reach * sd
        if not low - reach <= share <= high + reach or abs(share) < settings.slip_recognised * sd:
            return None
        amount = float(np.clip(share, low, high))
        off = abs(share - amount) / sd
        added, share, sd = added * amount, 1.0, 0.0
    elif settings.slip_recognised * sd > 1.0:
        return None
    if abs(share - 1.0) > settings.slip_reach * sd + (_TANGENT if _is_large(candidate) else 0.0):
        return None
    after, d = rest(added)
    if contradicts(after, settings, d):
        return None
    return _Fit(candidate, left_over(after, d), float(added[first]), off=off, sd_mm=sd_mm)


def _pairs(case: Case, doubt: Doubt, tried: list[Candidate], rest: Rest, settings: JudgeSettings) -> Iterator[_Fit]:
    """Two known slips at once, where the judge itself needs two: one for each of the two columns it names."""
    M = case.precision()
    first, second = (case.columns[k] for k in doubt.because[0].columns)
    groups = [
        [c for c in tried if c.span is None and frozenset(case.names.index(n) for n in c.touched) == column.readings]
        for column in (first, second)
    ]
    for one in groups[0]:
        for two in groups[1]:
            A = np.column_stack([one.added, two.added])
            N = A.T @ M @ A
            if np.linalg.det(N) <= 0 or np.any(np.sqrt(np.diag(N)) < settings.slip_recognised):
                continue
            shares, sds = np.linalg.solve(N, A.T @ M @ case.d), np.sqrt(np.diag(np.linalg.inv(N)))
            if np.any(np.abs(shares - 1.0) > settings.slip_reach * sds):
                continue
            after, d = rest(one.added + two.added)
            if not contradicts(after, settings, d):
                amount = float(one.added[case.names.index(one.touched[0])])
                yield _Fit(one, left_over(after, d), amount, (one, two))


# --- words


def _merged(fits: list[_Fit]) -> Iterator[Slip]:
    """One entry for each set of readings and amount; slips that do the same to the same readings stand in it together."""
    groups: dict[tuple[object, ...], list[_Fit]] = {}
    for fit in fits:
        groups.setdefault((fit.named, _exact(fit), *_key(fit)), []).append(fit)
    for group in groups.values():
        yield _slip(group)


def _key(fit: _Fit) -> tuple[object, ...]:
    """Which readings, and by how much."""
    parts = fit.parts or (fit.candidate,)
    return (*(part.touched for part in parts), *(np.round(part.added, 3).tobytes() for part in parts))


def _slip(group: list[_Fit]) -> Slip:
    fit = group[0]
    parts = fit.parts or (fit.candidate,)
    slips: list[KnownSlip] = list(dict.fromkeys(s for one in group for s in (p.slip for p in one.parts or (one.candidate,))))
    touched = tuple(dict.fromkeys(name for part in parts for name in part.touched))
    way = way_of(touched[0], fit.amount_mm)
    size = f"{inches_text(abs(fit.amount_mm))} ({abs(fit.amount_mm):.1f} mm) {way}"
    lead = f"{plain_names(touched)}: "
    same = len({round(float(a), 3) for part in parts for a in part.added if a}) == 1
    if same:
        lead = f"{plain_names(touched)}, {'about ' if not _exact(fit) else ''}{size}: "
    joint = "; and ".join(dict.fromkeys(p.slip.says for p in parts)) if fit.parts else "; or ".join(s.says for s in slips)
    return Slip(
        code="+".join(dict.fromkeys(part.slip.code for part in fit.parts)) if fit.parts else fit.candidate.slip.code,
        readings=touched,
        exact=_exact(fit),
        amount_mm=fit.amount_mm,
        named=fit.named,
        text=f"{'' if fit.named else 'Possible: '}{lead}{joint}.",
        question=" ".join(dict.fromkeys(slip.ask for slip in slips)),
    )


def _unsure(fits: Sequence[_Fit], *, listed: bool = True) -> Slip:
    """What is said first, or alone (not `listed`), where slips fit, but none so well that it could be named for it."""
    names = tuple(dict.fromkeys(name for fit in fits for name in fit.candidate.touched))
    known = 2 * min(fit.sd_mm for fit in fits)
    text = (
        f"No known slip fits well enough to be named from this: the amount in the {plain_names(names)} is known to "
        f"{inches_text(known, denominator=32)} ({known:.1f} mm) either way at 95 %, and an error of no meaning would match a "
        "known one too easily." + " What follows is possible, no more." * listed
    )
    return Slip("none", names, exact=False, amount_mm=None, text=text, question=AGAIN, named=False)


def _alike(fits: Sequence[_Fit]) -> Slip:
    """What is said first where several slips fit alike."""
    names = tuple(dict.fromkeys(name for fit in fits for name in fit.candidate.touched))
    count = len({_key(fit) for fit in fits})
    text = (
        f"No known slip fits alone: {count} fit so nearly alike that these readings cannot tell which it was. "
        "What follows is possible, no more."
    )
    return Slip("none", names, exact=False, amount_mm=None, text=text, question=AGAIN, named=False)


def _none(case: Case, doubt: Doubt) -> Slip:
    names = tuple(case.names[i] for i in sorted(doubt.touched)) or case.names
    text = f"No known slip fits: no single known mistake in the {plain_names(names)} would bring everything into agreement."
    return Slip("none", names, exact=False, amount_mm=None, text=text, question=AGAIN, named=False)
