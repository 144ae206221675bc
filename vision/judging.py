"""Both witnesses brought together: what of the photo is held against which readings, and from which of them the walls are taken.

Nothing is computed here that the judge does not compute; this only picks records by name.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from vision.errors import Finding
from vision.gaussian import Gaussian
from vision.geometry.opening import NO_VERTICAL, WIDTHS, Opening
from vision.judge.closure import Closure
from vision.judge.compare import Judgement, compare, judge
from vision.judge.evidence import HEIGHTS
from vision.judge.plane_figure import Places
from vision.judge.planes import PlaneDoubt
from vision.judge.questions import ask
from vision.judge.signatures import written
from vision.judge.slips import name_slips
from vision.judge.stated_height import height_findings
from vision.judge.verdicts import Comparison, Question, Slip
from vision.judge.walls import from_tape, known_walls
from vision.judge.witnesses import overruled
from vision.judge.words import BEYOND_TWO, IN_SEVERAL, Shown, first_the_slip
from vision.names import plain_names
from vision.report.record import outward
from vision.settings import Settings
from vision.tape.readings import Taped, TapeFacts, opening_height, read_tape

WEAK_VERTICALS = ("gravity", "curb")
"""kinds that alone say which way is up, and nothing of a wall: their sd is beyond every limit for a lean"""
ALL_ROUND = 4
"""references with which a photo has what another one would be asked for"""
SLOPES = ("taper", "rack", "lean_left", "lean_right", "curb_level")


def judged(
    facts: TapeFacts, taped: Taped, closure: Closure, opening: Opening | None, settings: Settings
) -> tuple[Judgement, tuple[Finding, ...]]:
    """All readings held against the photo jointly; a verdict that further readings changed is a finding."""
    if opening is None:
        return judge(None, taped.everything, taped.texts, settings.judge), ()
    places = closure.adjusted.places if closure.adjusted else None
    judgement = _against(opening, taped, places, settings)
    if not taped.levels and not taped.repeats:
        return judgement, ()
    first = read_tape(replace(facts, second=()), settings)
    before = [
        compare(
            opening.shape, first.gaussian, first.texts, settings.judge,
            scale_refused=opening.scale_refused, planes=plane_doubts(opening),
        )
    ]  # fmt: skip
    if taped.levels and taped.repeats:
        before.append(_against(opening, first, places, settings).comparison)
    return judgement, tuple(dict.fromkeys(f for one in before for f in overruled(one, judgement.comparison)))


def _against(opening: Opening, taped: Taped, places: Places | None, settings: Settings) -> Judgement:
    """All readings against the photo's sizes and slopes."""
    return judge(
        _testimony(opening), taped.everything, taped.texts, settings.judge,
        scale_refused=opening.scale_refused, places=places, level=settings.level,
        planes=plane_doubts(opening),
    )  # fmt: skip


def plane_doubts(opening: Opening) -> tuple[PlaneDoubt, ...]:
    """The cards that may stand off their plane, for the judge."""
    if opening.scale_refused:
        return ()
    return tuple(PlaneDoubt(one.number, one.seen_mm, one.u_mm, one.effect) for one in opening.card_planes)


def _testimony(opening: Opening) -> Gaussian | None:
    """The photo's sizes as the judge may have them, with its slopes (and bows, where the scale stands)."""
    if opening.shape is None:
        return None
    names = SLOPES if opening.scale_refused else (*SLOPES, "bow_left", "bow_right")
    return opening.shape.joined(opening.quantities.select([n for n in names if n in opening.quantities.names]))


def explained(
    judgement: Judgement, closure: Closure, taped: Taped, settings: Settings
) -> tuple[tuple[Slip, ...], tuple[Question, ...]]:
    """The known slips that fit, and what to ask although nothing contradicts."""
    as_written = {name: written(length) for name, length in taped.lengths.items()}
    signed = {name: level.value_mm for name, level in taped.levels.items()}
    spreads = {name: one.spread_mm for name, one in taped.repeats.items()}
    slips = name_slips(judgement, closure, taped.everything, as_written, signed, settings=settings)
    return slips, ask(as_written, signed, taped.over_mm, spreads, settings.questions)


def only_slip(slips: Sequence[Slip]) -> Slip | None:
    """The known slip that is named, where it is the only one."""
    named = [slip for slip in slips if slip.named]
    return named[0] if len(named) == 1 else None


def closing(closure: Closure, only: Slip | None) -> tuple[Finding, ...]:
    """The tape's findings about itself; where it cannot tell a reading, but one known slip fits, that is what is asked first."""
    adjusted = closure.adjusted
    if only is None or adjusted is None or adjusted.doubt.kind not in ("together", "unexplained"):
        return closure.findings
    return tuple(_with_slip(finding, only) for finding in closure.findings)


def asking(comparison: Comparison, only: Slip | None) -> Comparison:
    """The same; where no one or two readings explain what contradicts, but one known slip in several does, it says so."""
    if only is None:
        return comparison
    found = comparison.findings
    return replace(comparison, findings=tuple(_with_slip(one, only) if one.code == "unexplained" else one for one in found))


def _with_slip(finding: Finding, only: Slip) -> Finding:
    """The finding with the one known slip that explains it, which is asked about first."""
    said = f"one known slip alone explains it, in the {plain_names(only.readings)}"
    text = f"{finding.text.replace(BEYOND_TWO, IN_SEVERAL)}; {said}"
    return Finding(finding.code, text, first_the_slip(only.readings, only.question, finding.next))


@dataclass(frozen=True)
class OrderingWalls:
    """What is known of the walls, by whom it is known best, and the smallest width (mm) by the same witness.

    `square` holds the rack, mm/m, of the photo, else of readings that close: no vertical is needed for it.
    """

    known: Gaussian | None
    smallest_width_mm: float | None
    square: Gaussian | None = None


def _trusted(photo: Gaussian | None, opening: Opening | None) -> Gaussian | None:
    """The photo's walls without what hangs on a vertical that is too weak for an order."""
    if photo is None or opening is None or opening.vertical not in WEAK_VERTICALS:
        return photo
    return photo.select([name for name in photo.names if name not in NO_VERTICAL])


def ordering_walls(opening: Opening | None, closure: Closure) -> OrderingWalls:
    """The photo's walls, or the tape's where the photo has no vertical worth a verdict and the plumb readings close."""
    photo = _trusted(outward(opening), opening)
    known = known_walls(photo, closure)
    witnesses = (photo, None if closure.findings else closure.figure)
    square = next((one.select(["rack"]) for one in witnesses if one is not None and "rack" in one.names), None)
    if known is not None and from_tape(photo, closure):
        smallest = min((known.value(n) for n in known.names if n.startswith("width")), default=None)
        return OrderingWalls(known, smallest, square)
    return OrderingWalls(known, opening.smallest_width_mm if opening else None, square)


def taped_of(facts: TapeFacts, height: str | None, settings: Settings, *, has_head: bool) -> Taped:
    """The tape's record, with this height of the opening in place of the file's own where one is stated.

    Under a head there is a finding, and both heights are in doubt, where the stated height contradicts them; without one a note.
    """
    taped = read_tape(facts, settings)
    if height is not None:
        taped = replace(taped, height_mm=opening_height(facts, height, settings))
    found = height_findings(taped.gaussian, taped.height_mm, settings.order.differ_limit_mm, has_head=has_head)
    doubted = frozenset(HEIGHTS) if any(one.holds for one in found) else frozenset[str]()
    return replace(taped, findings=(*taped.findings, *found), apart=taped.apart | doubted)


def odd_sizes(opening: Opening | None, settings: Settings) -> tuple[Finding, ...]:
    """A finding where the photo's sizes are none that an opening has: whatever gave the scale is not what it is stated to be."""
    if opening is None or opening.scale_refused:
        return ()
    low, high = settings.plan.opening_mm
    seen = [(n, opening.quantities.value(n)) for n in (*WIDTHS, *HEIGHTS) if n in opening.quantities.names]
    odd = [(name, mm) for name, mm in seen if not low <= mm <= high]
    if not odd:
        return ()
    facts = ", ".join(f"the {plain_names([name])} is {mm:.0f} mm" for name, mm in odd)
    text = f"by the photo {facts}: no opening has such a size ({low:.0f} mm to {high / 1000:.0f} m)"
    action = (
        "Check what is stated of the card: how far behind the opening it is (card offset), its kind and its lengths. Then look "
        "at the picture of what the program saw: is that the card?"
    )
    return (Finding("scale-in-doubt", text, action),)


def shown_by(opening: Opening | None) -> Shown:
    """What the photo has that another one would be asked for."""
    if opening is None:
        return Shown()
    return Shown(sum(card.used for card in opening.cards) >= ALL_ROUND, opening.vertical not in (None, *WEAK_VERTICALS))


def misplaced(opening: Opening | None) -> frozenset[str]:
    """Widths whose height above the curb is stated, or follows from a stated one, to be where the photo shows no walls."""
    refused = opening.not_measured if opening else {}
    return frozenset(name for name in WIDTHS if name in refused and refused[name].code == "edge-hidden")
