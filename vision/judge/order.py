"""May this be ordered: ready, or hold with each failed condition as a reason and who does what next.

The smallest width governs. Too long is the dangerous direction: glass that is too big does not go in. Nothing here orders
anything or corrects a number. Limits are common practice, no source; the hardware sheet overrules them.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping, Sequence

from vision.errors import CannotMeasure, Finding
from vision.gaussian import Gaussian
from vision.judge.order_walls import rectangle_reasons, wall_reasons
from vision.judge.shared import beyond_reason
from vision.judge.verdicts import Comparison, Explanation, Order, ReadingVerdict, Reason, Slip
from vision.judge.width_places import place_reasons
from vision.judge.words import ALL_AGAIN, WHERE_TAKEN, Shown, first_the_slip, measure_again
from vision.names import PLAIN_NAMES, plain_names
from vision.settings import OrderSettings
from vision.units import length_text

WIDTHS = ("width_top", "width_middle", "width_bottom")
HEIGHTS = ("height_left", "height_right")
LENGTHS = ("width", "height", "diagonal")
"""how the names of readings begin that are lengths of the opening"""
UNDER_A_HEAD = ("height", "diagonal")
"""how the names of readings begin that need a head: without one no photo could be held against them"""
SCALE_CODES = frozenset({"scale-in-doubt", "unexplained"})
"""findings that speak for the readings they leave undecided"""


def decide_order(
    comparison: Comparison,
    readings: Gaussian,
    walls: Gaussian | None,
    *,
    has_head: bool,
    smallest_width_photo_mm: float | None,
    findings: Sequence[Finding],
    cannot_measure: CannotMeasure | None,
    misplaced: Collection[str] = (),
    advice: str | None = None,
    smallest_mm: Mapping[str, float] | None = None,
    photo_taken: bool = True,
    shown: Shown = Shown(),  # noqa: B008 (frozen)
    slip: Slip | None = None,
    square: Gaussian | None = None,
    at_mm: Mapping[str, float] | None = None,
    height_mm: float | None = None,
    settings: OrderSettings = OrderSettings(),  # noqa: B008 (frozen)
) -> Order:
    """Decide.

    `readings` is the tape's record (mm); `walls` holds those of lean_left, lean_right, taper (mm/m) and plumb_rectangle
    (mm) that are known, from photo or levels; `smallest_width_photo_mm` the narrowest width by the same witness;
    `misplaced` the names of widths at a height where the photo shows no walls; `advice` what to change in the
    photo so that it can vouch for more; `smallest_mm` the smallest reading of each length that was read more than once;
    `shown` what the photo has already; `slip` the one known slip that would explain everything; `square` holds
    the rack (mm/m) where photo or tape tell it; `at_mm` the heights above the curb that widths are said to be taken at,
    `height_mm` a stated height of the opening. Ready only if no condition fails.
    """
    reasons: list[Reason] = []
    doubted = _doubted(comparison)
    again = _again(doubted, slip)
    if cannot_measure is not None:
        text = f"the photo cannot be measured: found {cannot_measure.found}; needed {cannot_measure.needed}"
        reasons.append(Reason(cannot_measure.code, text, _sentence(cannot_measure.remedy)))
    for finding in dict.fromkeys((*findings, *comparison.findings)):
        if finding.holds:
            reasons.append(Reason(finding.code, finding.text, _next(finding, again, comparison)))
    reasons.extend(_readings_given(readings, has_head))
    reasons.extend(place_reasons(readings, at_mm or {}, height_mm, settings))
    codes = {finding.code for finding in (*findings, *comparison.findings)}
    if cannot_measure is None:
        asked = any(_asks_for_a_photo(reason) for reason in reasons)
        reasons.extend(_verdicts(comparison, codes, again, advice or _better_photo(shown, asked=asked)))
        if photo_taken or not settings.tape_alone_may_order:
            reasons.extend(_without_witness(comparison, readings, has_head, photo_taken, misplaced))
        asked = any(_asks_for_a_photo(reason) for reason in reasons)
        reasons.extend(wall_reasons(walls, shown, settings, asked=asked, photo_taken=photo_taken, square=square))
        reasons.extend(rectangle_reasons(walls, smallest_width_photo_mm, settings))
    unique = tuple(dict.fromkeys(reasons))
    governing = None if _blames_widths(slip, codes) else _governing_width(comparison, readings, smallest_mm or {})
    return Order(
        status="hold" if unique else "ready",
        governing_width_mm=governing[1] if governing else None,
        governing_reading=governing[0] if governing else None,
        reasons=unique,
        next=tuple(dict.fromkeys(reason.next for reason in unique)),
    )


def _governing_width(comparison: Comparison, readings: Gaussian, smallest_mm: Mapping[str, float]) -> tuple[str, float] | None:
    """The smallest width as the tape has it (mm), with its name; None where none is given or one is suspect."""
    widths = [name for name in WIDTHS if name in readings.names]
    judged = [comparison.readings[name] for name in widths if name in comparison.readings]
    if not widths or any(verdict.verdict == "suspect" for verdict in judged):
        return None
    values = {name: float(smallest_mm.get(name, readings.value(name))) for name in widths}
    return min(values.items(), key=lambda one: one[1])


def _blames_widths(slip: Slip | None, codes: Collection[str]) -> bool:
    """Whether widths are what the one known slip is in, where nothing else explains what contradicts."""
    return slip is not None and "unexplained" in codes and bool(set(WIDTHS) & set(slip.readings))


def _readings_given(readings: Gaussian, has_head: bool) -> Iterator[Reason]:
    needed = (*WIDTHS, *HEIGHTS) if has_head else WIDTHS
    missing = [name for name in needed if name not in readings.names]
    if not readings.names:
        action = f"Measure and write down the {plain_names(needed)}."
        yield Reason("no-readings", "there are no tape readings; a photo alone never makes an order", action)
    elif missing:
        yield Reason("readings-missing", f"no reading for the {plain_names(missing)}", f"Measure the {plain_names(missing)}.")


# --- the verdicts


def _verdicts(comparison: Comparison, codes: Collection[str], again: str | None, advice: str) -> Iterator[Reason]:
    """One reason for each suspect reading; the undecided ones together, by why they are undecided."""
    undecided = [v for v in comparison.readings.values() if v.verdict == "cannot tell" and v.photo_mm is not None]
    for verdict in comparison.readings.values():
        if verdict.verdict == "suspect":
            assert again is not None
            yield _suspect(verdict, again)
    if SCALE_CODES & set(codes):
        return
    exchanged = [verdict for verdict in undecided if _exchange(verdict)]
    together = [verdict.name for verdict in undecided if verdict.explanations and not _exchange(verdict)]
    beyond = [verdict for verdict in undecided if not verdict.explanations and verdict.is_beyond]
    blind = [verdict for verdict in undecided if not verdict.explanations and not verdict.is_beyond]
    yield from _exchanged(exchanged)
    if together:
        assert again is not None
        yield _together(together, again)
    if beyond:
        yield beyond_reason(beyond)
    if blind:
        yield _blind(blind, advice)


def _without_witness(
    comparison: Comparison, readings: Gaussian, has_head: bool, photo_taken: bool, misplaced: Collection[str]
) -> Iterator[Reason]:
    """Readings that the photo has nothing to hold against; with nothing above, heights and diagonals are the tape's alone."""
    seen = {name for name, verdict in comparison.readings.items() if verdict.photo_mm is not None}
    names = [name for name in readings.names if name not in seen]
    if not photo_taken and names:
        action = "Take a photo of the opening with a reference card, or have a second person measure."
        yield Reason("no-second-witness", "there is no photo: the tape is the only witness", action)
        return
    names = [name for name in names if has_head or not name.startswith(UNDER_A_HEAD)]
    astray, rest = [n for n in names if n in misplaced], [n for n in names if n not in misplaced]
    if astray:
        text = f"the photo does not show the walls where the {plain_names(astray)} would have been taken"
        action = f"Correct the height above the curb (at) of the {plain_names(astray)}, or the height of the opening."
        yield Reason("no-second-witness", text, action)
    if rest:
        action = "Take a photo that shows all of the opening, or have a second person measure."
        if not has_head and any(name in WIDTHS for name in rest):
            action = WHERE_TAKEN
        yield Reason("no-second-witness", f"the photo has nothing to hold the {plain_names(rest)} against", action)


def _doubted(comparison: Comparison) -> list[str]:
    """The readings that photo and tape together leave in doubt: who measures them again does it once."""
    judged = comparison.readings.values()
    if SCALE_CODES & {finding.code for finding in comparison.findings}:
        return [v.name for v in judged if v.verdict == "suspect"]
    return [v.name for v in judged if v.verdict == "suspect" or (v.verdict == "cannot tell" and v.explanations)]


def _again(doubted: Sequence[str], slip: Slip | None) -> str | None:
    """Measure the doubted readings again; first ask about a known slip that only some of them would have."""
    if not doubted:
        return None
    again = measure_again(doubted)
    return (
        first_the_slip(slip.readings, slip.question, again) if slip is not None and set(slip.readings) < set(doubted) else again
    )


def _next(finding: Finding, again: str | None, comparison: Comparison) -> str:
    """What the readings alone would have measured again is what photo and tape together name, where they do."""
    if finding.code != "readings-do-not-close":
        return finding.next
    everything = [other.next for other in comparison.findings if other.next.lower().endswith(ALL_AGAIN.lower())]
    return everything[0] if everything else again or finding.next


def _asks_for_a_photo(reason: Reason) -> bool:
    return any(words in reason.next for words in ("he photo again", "a new photo", "Take a photo"))


def _better_photo(shown: Shown, *, asked: bool) -> str:
    """With what a photo would vouch for more; where one is asked for already, what is to be done besides."""
    if not asked:
        return shown.again(plumb=False)
    how = (
        "take it from nearer, straight on and in even light" if shown.cards_all_round else "put a reference card near each corner"
    )
    return f"For that photo {how}"


def _together(names: Sequence[str], action: str) -> Reason:
    """Readings that a contradiction touches without a single one being to blame."""
    which = f"among the {plain_names(names)} it cannot be told which is wrong"
    if len(names) == 1:
        which = f"the {plain_names(names)} does not fit the shape of the opening"
    return Reason("suspect-reading", f"readings and photo contradict each other, and {which}", action)


def _exchange(verdict: ReadingVerdict) -> Explanation | None:
    """That this reading and another may have been exchanged: a slip that two readings share."""
    return next((one for one in verdict.explanations if one.code == "slip" and len(one.readings) > 1), None)


def _exchanged(verdicts: Sequence[ReadingVerdict]) -> Iterator[Reason]:
    """One reason for each pair that may have been written in one another's place."""
    pairs = {one.readings: one.text for verdict in verdicts if (one := _exchange(verdict)) is not None}
    for names, text in pairs.items():
        off = [f"{v.difference_mm:+.1f} mm" for v in verdicts if v.name in names and v.difference_mm is not None]
        fact = f"the {plain_names(names)} differ from the photo by {' and '.join(off)}; {text}"
        ask = "Was one of them written in the other's place?"
        yield Reason("suspect-reading", fact, first_the_slip(names, ask, measure_again(names)))


def _suspect(verdict: ReadingVerdict, action: str) -> Reason:
    name = PLAIN_NAMES.get(verdict.name, verdict.name)
    text = f"the {name}, written {verdict.text!r}, is suspect: {'; or '.join(e.text for e in verdict.explanations)}"
    if any(explanation.amount_mm > 0 for explanation in verdict.explanations):
        text += "; long is the dangerous way, glass cut to it does not go in"
    return Reason("suspect-reading", text, action)


def _blind(verdicts: Sequence[ReadingVerdict], advice: str) -> Reason:
    slips = [v.smallest_visible_slip_mm for v in verdicts if v.smallest_visible_slip_mm is not None]
    common = [v.smallest_visible_common_slip_mm for v in verdicts if v.smallest_visible_common_slip_mm is not None]
    names = [verdict.name for verdict in verdicts]
    hidden = _unseen(max(slips, default=0.0), max(common, default=0.0), verdicts)
    text = f"the photo cannot vouch for the {plain_names(names)}: {hidden}"
    return Reason("no-second-witness", text, f"{advice.removesuffix('.')}. Or have a second person measure.")


def _unseen(slip_mm: float, common_mm: float, verdicts: Sequence[ReadingVerdict]) -> str:
    """Up to what size a mistake would not show: in words where that is more than the readings themselves are long."""
    longest = max((v.tape_mm for v in verdicts if v.name.startswith(LENGTHS)), default=math.inf)
    if max(slip_mm, common_mm) <= longest:
        return f"a mistake of up to {length_text(max(slip_mm, common_mm))} would not show"
    if slip_mm > longest:
        return "no mistake would show, however large"
    return (
        "a mistake that they share, as a wrong unit, would not show, however large; one in a single reading of up to "
        f"{length_text(slip_mm)} would not either"
    )


def _sentence(text: str) -> str:
    """Capital first, full stop last, as the other actions."""
    return f"{text[:1].upper()}{text[1:].rstrip('.')}."
