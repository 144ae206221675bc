"""For a chosen kind of door: sizes to order once every hold is cleared, the holds, and what is still to be asked.

It never orders and never corrects a reading. The kind's own limits of lean take the place of the general ones.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from types import MappingProxyType

from vision.judge.ahead import as_they_stand, said_ahead
from vision.judge.door_keys import NUMBERS, Form
from vision.judge.door_records import DoorOrder, Hold
from vision.judge.doors import Door, Number
from vision.judge.evidence import Evidence
from vision.judge.figure import figure
from vision.judge.forms import hinged, panel_and_door
from vision.judge.forms_plain import fill, kit, screen, sliding
from vision.judge.limits import curb_fall, limit_holds
from vision.judge.makeable import unspoken_holds
from vision.judge.rules import Case, Plan
from vision.judge.verdicts import Order, Reason
from vision.units import length_text

REPLACED = frozenset({"lean-over-limit", "taper-over-limit", "rectangle-too-narrow"})
"""general reasons about walls that the kind's own limits take the place of"""
NOT_PLUMB = REPLACED | {"level-both-walls"}
"""those that do not hold a kind that need not stand plumb: its diagonals do"""
THICK_MM = 9.0
"""mm; from here on published glass tolerances are wider than the usual agreement (ASTM C1048, EN 12150-1, from memory)"""
WIDE_GAP_MM = 25.4 / 4
"""mm; usual gaps at a wall end here (common practice, from memory)"""

_FORMS: Mapping[Form, Callable[[Case], Plan]] = MappingProxyType(
    {
        "hinged": hinged,
        "panel-and-door": panel_and_door,
        "screen": screen,
        "fill": fill,
        "sliding": sliding,
        "kit": kit,
    }
)


def order_door(door: Door, evidence: Evidence) -> Order:
    """The order of `evidence.base` for this kind of door: its reasons, the door's holds, and the sizes in `door`.

    Ready only if neither holds anything. Sizes are withheld while what they are made from is in doubt.
    """
    case, plan = _planned(door, evidence)
    replaced = REPLACED if door.plumb else NOT_PLUMB
    kept = [reason for reason in evidence.base.reasons if reason.code not in replaced]
    crossed: tuple[Hold, ...] = (*plan.holds, *limit_holds(case, plan))
    supposed = as_they_stand(evidence, plan.sizes)
    if supposed is not None:
        codes = {hold.code for hold in crossed}
        crossed = (*crossed, *said_ahead(limit_holds(*_planned(door, supposed[0])), codes, supposed[1]))
    said = {reason.code for reason in kept} | {hold.code for hold in crossed}
    holds = tuple(dict.fromkeys((*crossed, *unspoken_holds(plan.sizes, said))))
    reasons = tuple(dict.fromkeys((*kept, *(_reason(hold) for hold in holds))))
    made = DoorOrder(
        door=door,
        sizes=plan.sizes,
        panes=plan.panes,
        gaps=plan.gaps,
        holds=holds,
        questions=tuple(dict.fromkeys((*door.questions, *_questions(case, plan)))),
        hinge_wall=plan.hinge_wall,
        either_wall=_either_wall(case, plan),
        used=_used(door),
    )
    return replace(
        evidence.base,
        status="hold" if reasons else "ready",
        reasons=reasons,
        next=tuple(dict.fromkeys(reason.next for reason in reasons)),
        door=made,
    )


def _planned(door: Door, evidence: Evidence) -> tuple[Case, Plan]:
    case = Case(door, evidence, figure(evidence.lengths, evidence.walls, evidence.at_mm, evidence.height_over_curb()))
    return case, _FORMS[door.form](case)


def _reason(hold: Hold) -> Reason:
    return Reason(hold.code, f"{hold.text}; to be decided by {hold.decides}", hold.next)


def _used(door: Door) -> tuple[Number, ...]:
    return tuple(door.numbers[key] for key in NUMBERS if key in door.numbers)


def _either_wall(case: Case, plan: Plan) -> bool:
    """Whether the hinges' wall is a choice: nobody named it, and neither wall is shown to lean less."""
    if plan.hinge_wall is None or case.door.hinge_wall is not None or case.figure is None:
        return False
    left, right = case.figure.left, case.figure.right
    return bool(abs(abs(left.value) - abs(right.value)) <= case.evidence.coverage * max(left.u, right.u))


def _questions(case: Case, plan: Plan) -> Iterator[str]:
    """What is worth asking although no limit is crossed."""
    door, evidence = case.door, case.evidence
    fall = curb_fall(case)
    if fall is not None and door.has("curb_level_note") and door.value("curb_level_note") < fall:
        yield f"The curb is out of level by {length_text(fall)}: does the seal under the glass bridge that?"
    if plan.hinge_wall is not None and door.hinge_wall is None and case.figure is not None:
        if _either_wall(case, plan):
            yield "Neither wall is shown to be the better one: which one gets the hinges is a choice. Is there backing behind it?"
        else:
            yield f"The {plan.hinge_wall} wall leans less: is there backing behind it?"
    if door.glass is not None and door.has("gap_top") and evidence.has_head:
        yield f"Is the gap under the head right for the hardware: {door.said('gap_top')}?"
    if (
        door.glass is not None
        and door.value("thickness") > THICK_MM
        and door.numbers["glass_tolerance"].trust != "hardware sheet"
    ):
        yield (
            "What tolerance does the fabricator give in writing? The budget takes "
            f"{door.said('glass_tolerance')}; published tolerances of thick glass are wider (from memory, check the standard)."
        )
    for gap in plan.gaps:
        widest = max(gap.first_mm, gap.second_mm)
        if "wall" in gap.edge and widest > WIDE_GAP_MM:
            yield f"The gap at the {gap.edge} comes to {length_text(widest)}: what closes it?"
