"""What a wall's lean does to the glass beside it: square, tapered, or no size at all; and which wall gets the hinges.

Every limit that is crossed, or cannot be shown to be kept, becomes a hold with the limit's label and who decides.
"""

from __future__ import annotations

from dataclasses import dataclass

from vision.judge.door_records import Hold, Side
from vision.judge.doors import Door
from vision.judge.evidence import Evidence
from vision.judge.figure import Figure, Wall
from vision.units import inches_text, lean_text

FIT = "whoever answers for the fit"
OWNER = "the owner and whoever answers for the fit"
FABRICATOR = "the fabricator of the glass"
AUTHORITY = "the local building authority"
SIX_FEET_MM = 72 * 25.4
OTHER: dict[Side, Side] = {"left": "right", "right": "left"}


@dataclass(frozen=True)
class Edge:
    """The glass beside one wall: tapered or not, what withholds its width, and the holds."""

    tapered: bool = False
    withheld: tuple[str, ...] = ()
    holds: tuple[Hold, ...] = ()


def hinge_wall(door: Door, figure: Figure) -> Side:
    """The wall that was chosen, else the one that leans less; the left one where they are alike."""
    if door.hinge_wall is not None:
        return "left" if door.hinge_wall == "left" else "right"
    return "right" if abs(figure.right.value) < abs(figure.left.value) else "left"


def hinge_edge(door: Door, evidence: Evidence, figure: Figure, side: Side) -> Edge:
    """The glass edge at the hinge wall stays straight and plumb: the wall must lean less than the hinges allow."""
    wall, limit = figure.wall(side), door.numbers["lean_hinge"]
    state = evidence.state(wall, limit.value / 1000)
    if state == "within":
        return Edge()
    if state == "unsure":
        return _unsure(door, side, wall, "lean_hinge", evidence)
    text = f"the {side} wall would get the hinges and {_leans(wall)}; hinges without shims go up to {door.said('lean_hinge')}"
    rest = f"pivot hinges or shims, or the {side} wall corrected first"
    action = {
        "within": f"Someone must decide: the hinges on the {OTHER[side]} wall, which leans less than that, {rest}.",
        "unsure": f"Someone must decide: {rest}; the {OTHER[side]} wall is not shown to be better.",
        "over": f"Someone must decide: {rest}; the {OTHER[side]} wall leans too much as well.",
    }[evidence.state(figure.wall(OTHER[side]), limit.value / 1000)]
    hold = Hold("hinge-wall", text, action, FIT, limit)
    if evidence.state(wall, door.value("lean_taper") / 1000) == "within":
        return Edge(holds=(hold,))
    return Edge(withheld=("hinge-wall",), holds=(hold,))


def free_edge(door: Door, evidence: Evidence, figure: Figure, side: Side) -> Edge:
    """The glass edge at a wall without hinges: square, tapered up to a limit, beyond it no size from readings."""
    wall = figure.wall(side)
    square = evidence.state(wall, door.value("lean_square") / 1000)
    if square == "within":
        return Edge()
    if square == "unsure":
        return _unsure(door, side, wall, "lean_square", evidence)
    beyond = door.value("lean_taper" if door.has("lean_taper") else "lean_square") / 1000
    state = evidence.state(wall, beyond)
    if state == "unsure":
        return _unsure(door, side, wall, "lean_taper", evidence)
    if state == "over":
        key = "lean_taper" if door.has("lean_taper") else "lean_square"
        text = f"the {side} wall {_leans(wall)}; glass is cut from readings up to {door.said(key)}"
        action = (
            f"Someone must decide: a template of the {side} wall, a filler, a kind of door that takes up this lean, or the wall "
            "corrected first."
        )
        return Edge(True, ("lean-over-limit",), (Hold("lean-over-limit", text, action, OWNER, door.numbers[key]),))
    text = f"the {side} wall {_leans(wall)}, more than the {door.said('lean_square')} for square glass: its edge is tapered"
    action = "Agree on the tapered pane and its price, and have the drawing signed; the fabricator works from the drawing."
    return Edge(True, (), (Hold("taper-decision", text, action, OWNER, door.numbers["lean_square"]),))


def plain_limit(door: Door, evidence: Evidence, figure: Figure, side: Side) -> tuple[Hold, ...]:
    """A kind that takes up lean in its profiles: each wall within the kind's own limit, and within the take-up."""
    wall = figure.wall(side)
    holds: list[Hold] = []
    state = evidence.state(wall, door.value("lean_limit") / 1000)
    if state == "unsure":
        holds.extend(_unsure(door, side, wall, "lean_limit", evidence).holds)
    elif state == "over":
        text = f"the {side} wall {_leans(wall)}; this kind of door goes up to {door.said('lean_limit')}"
        action = f"Someone must decide: another kind of door, a filler, or the {side} wall corrected first."
        holds.append(Hold("lean-over-limit", text, action, OWNER, door.numbers["lean_limit"]))
    if door.has("take_up"):
        height = evidence.height_over_curb()
        state = evidence.state(wall, door.value("take_up") / height)
        if state != "within":
            amount = inches_text(abs(wall.over(height)), denominator=32)
            reach = inches_text(evidence.coverage * wall.u * height, denominator=32)
            fact = f"stands {amount} out of plumb over {inches_text(height)}, give or take {reach} at 95 %"
            text = f"the {side} wall {fact}; a wall profile takes up {door.said('take_up')}"
            action = "Read the hardware sheet for the take-up of each side, or choose another kind of door."
            holds.append(Hold("take-up-exceeded", text, action, FIT, door.numbers["take_up"]))
    return tuple(holds)


def _unsure(door: Door, side: Side, wall: Wall, key: str, evidence: Evidence) -> Edge:
    reach = lean_text(evidence.coverage * wall.u * SIX_FEET_MM)
    text = f"the {side} wall cannot be shown to lean less than {door.said(key)}: it {_leans(wall)}, give or take {reach} at 95 %"
    action = f"Level the {side} wall by hand. Or {evidence.shown.again(plumb=True).lower()}."
    return Edge(withheld=("lean-over-limit",), holds=(Hold("lean-over-limit", text, action, FIT, door.numbers[key]),))


def _leans(wall: Wall) -> str:
    way = "into" if wall.value > 0 else "out of"
    return f"leans {way} the opening at the top by {lean_text(wall.value * SIX_FEET_MM)} over 72 in"
