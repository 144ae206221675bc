"""Sizes of the other forms: a screen with a free edge, one piece wall to wall, sliding panels, and kits by their range."""

from __future__ import annotations

from dataclasses import replace

from vision.judge.door_records import Hold, OrderSize
from vision.judge.edges import FIT, OTHER, free_edge, hinge_wall, plain_limit
from vision.judge.evidence import unique
from vision.judge.figure import STATIONS
from vision.judge.forms import filled, side_gaps, upright, widths_of
from vision.judge.glass import down, pane
from vision.judge.makeable import given
from vision.judge.rules import Case, Plan, header_and_track, height_size, less, missing, number_missing, room
from vision.units import length_text

DIAGONALS = ("diagonal_rising", "diagonal_falling")


def screen(case: Case) -> Plan:
    """A panel of a chosen width with a free edge: the wall that holds it may taper it."""
    door, evidence, figure = case.door, case.evidence, case.figure
    height, height_plan = height_size(case, "panel", ("gap_panel_bottom",), under_head=("gap_top",))
    if not door.has("panel_width"):
        hold = number_missing(door, "panel_width", "The width of the screen is a choice: put panel_width in the hardware sheet.")
        return Plan((missing("panel_width", "panel, width", "panel_width"), height_plan), holds=(hold,))
    doubts = evidence.doubts(STATIONS, leans=True)
    if figure is None:
        return Plan((*widths_of("panel", "", doubts or ("readings-missing",)), height_plan))
    side = hinge_wall(door, figure)
    edge = free_edge(door, evidence, figure, side)
    withheld = unique((*doubts, *edge.withheld))
    empty = widths_of("panel", f"{door.said('panel_width')}, as chosen", withheld, tapered=edge.tapered)
    if withheld:
        return Plan((*empty, height_plan), holds=edge.holds, hinge_wall=side)
    lean = figure.leans()[0 if side == "left" else 1] * figure.height_mm if edge.tapered else 0.0
    wanted = min(door.value("panel_width"), figure.smallest_mm - door.value("gap_panel"))
    widths = (down(wanted + min(0.0, lean), door), down(wanted - max(0.0, lean), door))
    if min(widths) <= 0:
        return Plan((*(given(size, min(widths)) for size in empty), height_plan), holds=edge.holds, hinge_wall=side)
    result = Plan((*filled(empty, widths, None), height_plan), holds=edge.holds, hinge_wall=side)
    if height is None:
        return result
    x, w, gap = figure.left_x(), figure.width_mm, door.value("gap_panel")
    left = (x[0] if edge.tapered else max(x)) + gap
    right = (x[0] + w[0] if edge.tapered else min(a + b for a, b in zip(x, w, strict=True))) - gap
    at = (left if side == "left" else right - widths[0], door.value("gap_panel_bottom"))
    made = pane(door, "panel", widths, height, corner_mm=at, tapered=side if edge.tapered else None)
    gaps = [gap for gap in side_gaps(figure, made) if gap.edge == f"{side} wall"]
    return replace(result, panes=(made,), gaps=(*gaps, *upright(case, (made,))))


def fill(case: Case) -> Plan:
    """One rectangular piece from wall to wall; where it need not stand plumb, both diagonals speak for the rectangle."""
    door, evidence, figure = case.door, case.evidence, case.figure
    height, height_plan = height_size(case, "piece", ("less_height",))
    holds: tuple[Hold, ...] = ()
    withheld = evidence.doubts(STATIONS, leans=door.plumb)
    same_way = shape = 0.0
    if door.plumb and figure is not None:
        edges = [free_edge(door, evidence, figure, side) for side in OTHER]
        holds = tuple(hold for edge in edges for hold in edge.holds)
        withheld = unique((*withheld, *(code for edge in edges for code in edge.withheld)))
        same_way = figure.same_way_mm()
        shape = figure.same_way_mm(evidence.coverage) - same_way
    elif door.plumb:
        withheld = withheld or ("readings-missing",)
    else:
        square, holds = _by_diagonals(case)
        withheld = unique((*withheld, *square))
    rule = less(door, "smallest width", ("less_width",))
    size = OrderSize("piece_width", "piece, width", None, withheld, rule)
    smallest = evidence.smallest(STATIONS)
    if withheld or smallest is None:
        return Plan((size, height_plan), holds=holds)
    available = smallest - same_way - door.value("less_width")
    value = down(available, door)
    if value <= 0:
        return Plan((given(size, value), height_plan), holds=holds)
    tape = evidence.width_95_mm()
    kept = room(case, door.value("less_width"), available - value, tape_95_mm=tape, shape_95_mm=shape)
    result = Plan((replace(size, value_mm=value, room=kept), height_plan), holds=holds)
    if height is None or door.glass is None or figure is None:
        return result
    at = (max(figure.left_x()) + (door.value("less_width") + available - value) / 2, door.value("less_height") / 2)
    made = pane(door, "piece", (value, value), height, corner_mm=at)
    return replace(result, panes=(made,), gaps=(*side_gaps(figure, made), *upright(case, (made,))))


def _by_diagonals(case: Case) -> tuple[tuple[str, ...], tuple[Hold, ...]]:
    """Codes and holds where both diagonals do not show a rectangle."""
    door, evidence = case.door, case.evidence
    doubts = evidence.doubts(DIAGONALS)
    if doubts:
        text = f"whether the opening is a rectangle is not known; its diagonals may differ by {door.said('diagonal_limit')}"
        action = "Measure both diagonals."
        return ("out-of-square",), (Hold("out-of-square", text, action, FIT, door.numbers["diagonal_limit"]),)
    difference = abs(evidence.readings.value(DIAGONALS[0]) - evidence.readings.value(DIAGONALS[1]))
    if difference <= door.value("diagonal_limit"):
        return (), ()
    text = f"the diagonals differ by {length_text(difference)}; the limit is {door.said('diagonal_limit')}"
    action = "Tell the supplier, and let someone decide: a smaller size, a packed frame, or the opening put right."
    return ("out-of-square",), (Hold("out-of-square", text, action, FIT, door.numbers["diagonal_limit"]),)


def sliding(case: Case) -> Plan:
    """Two panels that pass each other: (clear width + overlap) / 2 each; header and track by their own widths."""
    door, evidence = case.door, case.evidence
    holds = _lean_holds(case)
    doubts = evidence.doubts(STATIONS)
    rule = f"half of the smallest width less {door.said('side_allowance')} for the sides, plus {door.said('overlap')} overlap"
    size = OrderSize("sliding_panel_width", "each of two panels, width", None, doubts, rule)
    smallest = evidence.smallest(STATIONS)
    if not doubts and smallest is not None:
        clear = smallest - door.value("side_allowance")
        value = down((clear + door.value("overlap")) / 2, door)
        size = given(size, value)
        if 2 * value - clear < door.value("overlap_min"):
            text = f"the panels overlap by {length_text(2 * value - clear)} only; the least is {door.said('overlap_min')}"
            holds = (*holds, Hold("panel-width", text, "State a larger overlap.", FIT, door.numbers["overlap_min"]))
    if door.has("panel_height"):
        _, height = height_size(case, "panel", ())
        height = replace(height, name="sliding_panel_height", words="each of two panels, height")
    else:
        height = missing("sliding_panel_height", "each of two panels, height", "panel_height")
        action = "Read the hardware sheet for how high the panels are, and put panel_height in yours."
        holds = (*holds, number_missing(door, "panel_height", action))
    return Plan((*header_and_track(case), size, height), holds=holds)


def kit(case: Case) -> Plan:
    """A kit must take both the smallest and the largest width, and the lean of each wall in its profiles."""
    door, evidence = case.door, case.evidence
    holds = _lean_holds(case)
    doubts = evidence.doubts(STATIONS)
    low, high = evidence.smallest(STATIONS), evidence.largest(STATIONS)
    sizes = (
        OrderSize("kit_from", "kit, range begins at or below", None if doubts else low, doubts, "smallest width"),
        OrderSize("kit_to", "kit, range ends at or above", None if doubts else high, doubts, "largest width"),
    )
    if not (door.has("kit_min") and door.has("kit_max")):
        action = "Read the kit's sheet for the widths that it fits, and put kit_min and kit_max in the hardware sheet."
        key = "kit_max" if door.has("kit_min") else "kit_min"
        holds = (*holds, number_missing(door, key, action))
    elif low is not None and high is not None and not door.value("kit_min") <= low <= high <= door.value("kit_max"):
        key = "kit_min" if low < door.value("kit_min") else "kit_max"
        text = (
            f"the widths run from {length_text(low)} to {length_text(high)}; the kit goes from {door.said('kit_min')} to "
            f"{door.said('kit_max')}, and both ends must fit"
        )
        holds = (*holds, Hold("kit-range", text, "Choose a kit whose range holds both widths.", FIT, door.numbers[key]))
    return Plan((*sizes, *header_and_track(case)), holds=holds)


def _lean_holds(case: Case) -> tuple[Hold, ...]:
    if case.figure is None:
        return ()
    return tuple(hold for side in OTHER for hold in plain_limit(case.door, case.evidence, case.figure, side))
