"""May this be ordered: ready, or hold with each failed condition as a reason and who does what next.

The smallest width governs. Too long is the dangerous direction: glass that is too big does not go in. Nothing here orders
anything or corrects a number. Limits are common practice, no source; the hardware sheet overrules them.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence

from vision.errors import CannotMeasure, Finding
from vision.gaussian import Gaussian
from vision.judge.verdicts import Comparison, Order, ReadingVerdict, Reason
from vision.judge.words import PLAIN_NAMES, Shown, plain_names
from vision.settings import OrderSettings
from vision.units import inches_text, length_text

WIDTHS = ("width_top", "width_middle", "width_bottom")
HEIGHTS = ("height_left", "height_right")
SCALE_CODES = frozenset({"scale-in-doubt", "unexplained"})
"""findings that speak for the readings they leave undecided"""

_NAMES = {"lean_left": "left wall", "lean_right": "right wall"}
_PLUMB = "Hang a plumb line in the plane of the opening and take the photo again."


def decide_order(
    comparison: Comparison,
    readings: Gaussian,
    walls: Gaussian | None,
    *,
    has_head: bool,
    smallest_width_photo_mm: float | None,
    findings: Sequence[Finding],
    not_measured: Collection[str],
    cannot_measure: CannotMeasure | None,
    misplaced: Collection[str] = (),
    advice: str | None = None,
    smallest_mm: Mapping[str, float] | None = None,
    photo_taken: bool = True,
    shown: Shown = Shown(),  # noqa: B008 (frozen)
    settings: OrderSettings = OrderSettings(),  # noqa: B008 (frozen)
) -> Order:
    """Decide.

    `readings` is the tape's record (mm); `walls` holds those of lean_left, lean_right, taper (mm/m) and plumb_rectangle
    (mm) that were measured; `smallest_width_photo_mm` the narrowest width in the photo; `not_measured` the names of what
    the photo could not give, `misplaced` those of widths at a height where it shows no walls; `advice` what to change in the
    photo so that it can vouch for more; `smallest_mm` the smallest reading of each length that was read more than once;
    `shown` what the photo has already. Ready only if no condition fails.
    """
    reasons: list[Reason] = []
    if cannot_measure is not None:
        text = f"the photo cannot be measured: found {cannot_measure.found}; needed {cannot_measure.needed}"
        reasons.append(Reason(cannot_measure.code, text, _sentence(cannot_measure.remedy)))
    for finding in dict.fromkeys((*findings, *comparison.findings)):
        if finding.holds:
            reasons.append(Reason(finding.code, finding.text, finding.next))
    reasons.extend(_readings_given(readings, has_head))
    codes = {finding.code for finding in (*findings, *comparison.findings)}
    if cannot_measure is None:
        reasons.extend(_verdicts(comparison, codes, advice or shown.again(plumb=False)))
        if photo_taken or not settings.tape_alone_may_order:
            reasons.extend(_without_witness(comparison, readings, has_head, photo_taken, misplaced))
        reasons.extend(_walls(walls, shown, settings))
        reasons.extend(_rectangle(walls, smallest_width_photo_mm, not_measured, settings))
    unique = tuple(dict.fromkeys(reasons))
    governing = _governing_width(comparison, readings, smallest_mm or {})
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


def _readings_given(readings: Gaussian, has_head: bool) -> Iterator[Reason]:
    needed = (*WIDTHS, *HEIGHTS) if has_head else WIDTHS
    missing = [name for name in needed if name not in readings.names]
    if not readings.names:
        action = f"Measure and write down the {plain_names(needed)}."
        yield Reason("no-readings", "there are no tape readings; a photo alone never makes an order", action)
    elif missing:
        yield Reason("readings-missing", f"no reading for the {plain_names(missing)}", f"Measure the {plain_names(missing)}.")


# --- the verdicts


def _verdicts(comparison: Comparison, codes: Collection[str], advice: str) -> Iterator[Reason]:
    """One reason for each suspect reading; the undecided ones together, by why they are undecided."""
    undecided = [v for v in comparison.readings.values() if v.verdict == "cannot tell" and v.photo_mm is not None]
    for verdict in comparison.readings.values():
        if verdict.verdict == "suspect":
            yield _suspect(verdict)
    if SCALE_CODES & set(codes):
        return
    together = [verdict.name for verdict in undecided if verdict.explanations]
    blind = [verdict for verdict in undecided if not verdict.explanations]
    if together:
        yield _together(together)
    if blind:
        yield _blind(blind, advice)


def _without_witness(
    comparison: Comparison, readings: Gaussian, has_head: bool, photo_taken: bool, misplaced: Collection[str]
) -> Iterator[Reason]:
    """Readings that the photo has nothing to hold against."""
    seen = {name for name, verdict in comparison.readings.items() if verdict.photo_mm is not None}
    names = [name for name in readings.names if name not in seen]
    if not photo_taken and names:
        action = "Take a photo of the opening with a reference card, or have a second person measure."
        yield Reason("no-second-witness", "there is no photo: the tape is the only witness", action)
        return
    astray, rest = [n for n in names if n in misplaced], [n for n in names if n not in misplaced]
    if astray:
        text = f"the photo does not show the walls where the {plain_names(astray)} would have been taken"
        action = f"Correct the height above the curb (at) of the {plain_names(astray)}, or the height of the opening."
        yield Reason("no-second-witness", text, action)
    if rest:
        action = "Take a photo that shows all of the opening, or have a second person measure."
        if not has_head and any(name in WIDTHS for name in rest):
            action = "State the height of the opening, or how far above the curb each width was taken."
        yield Reason("no-second-witness", f"the photo has nothing to hold the {plain_names(rest)} against", action)


def _together(names: Sequence[str]) -> Reason:
    """Readings that a contradiction touches without a single one being to blame."""
    which = f"among the {plain_names(names)} it cannot be told which is wrong"
    if len(names) == 1:
        which = f"the {plain_names(names)} does not fit the shape of the opening"
    action = f"Ask whoever measured to measure again, without looking at the list: the {plain_names(names)}."
    return Reason("suspect-reading", f"readings and photo contradict each other, and {which}", action)


def _suspect(verdict: ReadingVerdict) -> Reason:
    name = PLAIN_NAMES.get(verdict.name, verdict.name)
    text = f"the {name}, written {verdict.text!r}, is suspect: {'; or '.join(e.text for e in verdict.explanations)}"
    if any(explanation.amount_mm > 0 for explanation in verdict.explanations):
        text += "; long is the dangerous way, glass cut to it does not go in"
    return Reason(
        "suspect-reading", text, f"Ask whoever measured to measure the {name} again, from the hook, and read it out twice."
    )


def _blind(verdicts: Sequence[ReadingVerdict], advice: str) -> Reason:
    slips = [v.smallest_visible_slip_mm for v in verdicts if v.smallest_visible_slip_mm is not None]
    common = [v.smallest_visible_common_slip_mm for v in verdicts if v.smallest_visible_common_slip_mm is not None]
    largest = max((*slips, *common), default=0.0)
    names = [verdict.name for verdict in verdicts]
    text = f"the photo cannot vouch for the {plain_names(names)}: a mistake of up to {length_text(largest)} would not show"
    return Reason("no-second-witness", text, f"{advice.removesuffix('.')}. Or have a second person measure.")


# --- the walls


def _walls(walls: Gaussian | None, shown: Shown, settings: OrderSettings) -> Iterator[Reason]:
    """Taper and each wall's lean, known and shown to be within the limit: |value| + 2u."""
    known = () if walls is None else walls.names
    if walls is None or not {"lean_left", "lean_right", "taper"} <= set(known):
        text = (
            "how far the walls lean is not known: nothing in the photo tells it well enough, and no plumb readings that close do"
        )
        action = f"Level both walls: hold a level of 48 in or more against each and write down amount and direction. {_PLUMB}"
        yield Reason("level-both-walls", text, action)
    for name in ("taper", "lean_left", "lean_right"):
        if walls is not None and name in known:
            yield from _within(name, walls.value(name), walls.u(name), shown, settings)


def _within(name: str, value: float, u: float, shown: Shown, settings: OrderSettings) -> Iterator[Reason]:
    """Nothing where |value| + 2u is inside the limit; else a reason that says whether it is out, or just not shown."""
    limit = settings.lean_limit * 1000.0
    reach = settings.lean_coverage * u
    if abs(value) + reach <= limit:
        return
    code = "taper-over-limit" if name == "taper" else "lean-over-limit"
    size = f"{_over_six_feet(abs(value))} over 72 in, give or take {_over_six_feet(reach)} at 95 %"
    allowed = f"{_over_six_feet(limit)} is the limit"
    if name == "taper":
        fact = f"the opening is {'wider' if value > 0 else 'narrower'} at the top than at the bottom by {size}; {allowed}"
        unsure = f"taper cannot be shown to be within the limit: it is {size}; {allowed}"
        action = "Someone must decide: a tapered edge, a kind of door that takes it up, or the wall corrected first."
    else:
        wall = _NAMES[name]
        fact = f"the {wall} leans {'into' if value > 0 else 'out of'} the opening at the top by {size}; {allowed}"
        unsure = f"the {wall} cannot be shown to lean less than the limit: it is {size}; {allowed}"
        action = f"Level the {wall} and write down amount and direction; then someone must decide which door takes it up."
    if abs(value) > limit:
        yield Reason(code, fact, action)
    else:
        yield Reason(code, unsure, f"{shown.again(plumb=True)}. {_by_hand(name)}")


def _by_hand(name: str) -> str:
    return "Or level both walls by hand." if name == "taper" else f"Or level the {_NAMES[name]} by hand."


def _over_six_feet(mm_per_m: float) -> str:
    return inches_text(mm_per_m * 72 * 25.4 / 1000.0, denominator=32)


def _rectangle(
    walls: Gaussian | None, smallest_mm: float | None, not_measured: Collection[str], settings: OrderSettings
) -> Iterator[Reason]:
    """The plumb rectangle against the photo's smallest width; silent where the leans are unknown and said so already."""
    if walls is None or not {"lean_left", "lean_right"} <= set(walls.names):
        return
    if smallest_mm is None or "plumb_rectangle" in not_measured or "plumb_rectangle" not in walls.names:
        text = "the widest plumb rectangle between the walls is not known"
        yield Reason("rectangle-too-narrow", text, f"Measure all three widths and level both walls. {_PLUMB}")
        return
    short = smallest_mm - walls.value("plumb_rectangle")
    if short > settings.rectangle_limit_mm:
        text = (
            f"a plumb rectangle between the walls is {length_text(short)} narrower than the smallest width: the walls lean "
            "the same way, and equal widths do not show it"
        )
        action = "Level both walls, write down amount and direction, and let someone decide: a square door does not fit here."
        yield Reason("rectangle-too-narrow", text, action)


def _sentence(text: str) -> str:
    """Capital first, full stop last, as the other actions."""
    return f"{text[:1].upper()}{text[1:].rstrip('.')}."
