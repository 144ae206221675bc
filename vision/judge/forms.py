"""From readings to sizes of glass in a row between the walls: a door on hinges, or a fixed panel and a door beside it.

The smallest width governs, gaps come off, sizes are rounded down, never up. Too big does not go in and cannot be cut again;
slightly small can be sealed. So a size is withheld while anything that it is made from is not known, and what may still run
against it is held against its gap (`Room`).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from vision.judge.door_records import Gap, OrderSize, Pane, Room, Side
from vision.judge.edges import OTHER, Edge, free_edge, hinge_edge, hinge_wall
from vision.judge.evidence import HEIGHTS, unique
from vision.judge.figure import STATIONS, Figure
from vision.judge.glass import down, pane
from vision.judge.rules import Case, Plan, height_size, less, room

TOO_NARROW = ("panel-width",)


@dataclass(frozen=True)
class _Row:
    """What stands between the walls beside the pane in question."""

    keys: tuple[str, ...]
    """gaps and widths that come off"""
    yielding: tuple[str, ...]
    """the gaps among them that may shrink when readings are long or glass comes out large"""
    from_hinge_wall: tuple[str, ...]
    """what stands between the hinge wall and the pane"""
    panes: int = 1


def hinged(case: Case) -> Plan:
    """One door on wall hinges."""
    row = _Row(("gap_hinge", "gap_strike"), ("gap_strike",), ("gap_hinge",))
    made = _between(case, "door", row, hung=True, bottom_key="gap_bottom")
    return replace(made, gaps=(*made.gaps, *upright(case, made.panes)))


def panel_and_door(case: Case) -> Plan:
    """The door has its own width; the panel takes what is left, and the wall's taper."""
    door = case.door
    row = _Row(
        ("door_width", "gap_hinge", "gap_glass", "gap_panel"),
        ("gap_glass", "gap_panel"),
        ("gap_hinge", "door_width", "gap_glass"),
        panes=2,
    )
    beside = _between(case, "panel", row, hung=False, bottom_key="gap_panel_bottom")
    height, height_plan = height_size(case, "door", ("gap_bottom",), under_head=("gap_top",))
    chosen = "as chosen" if door.numbers["door_width"].trust == "hardware sheet" else "a usual width, since none was chosen"
    doubts, width = beside.sizes[0].withheld, down(door.value("door_width"), door)
    size = OrderSize("door_width", "door, width", None if doubts else width, doubts, f"{door.said('door_width')}, {chosen}")
    sizes = (size, height_plan, *beside.sizes)
    hinge = beside.hinge_wall
    if not beside.panes or case.figure is None or hinge is None or height is None:
        return replace(beside, sizes=sizes)
    at = (_corner(case.figure, hinge, door.value("gap_hinge"), width), door.value("gap_bottom"))
    made = pane(door, "door", (width, width), height, corner_mm=at, hung=True)
    outer, inner = side_gaps(case.figure, beside.panes[0]), side_gaps(case.figure, made)
    gaps = (inner[0], outer[1]) if hinge == "left" else (outer[0], inner[1])
    between = Gap("glass to glass", door.value("gap_glass"), door.value("gap_glass"))
    panes = (made, *beside.panes)
    return replace(beside, sizes=sizes, panes=panes, gaps=(*gaps, between, *upright(case, panes)))


def _between(case: Case, name: str, row: _Row, *, hung: bool, bottom_key: str) -> Plan:
    """The pane next to the wall without hinges; with `hung` it is the door itself."""
    door, evidence, figure = case.door, case.evidence, case.figure
    height, height_plan = height_size(case, name, (bottom_key,), under_head=("gap_top",))
    doubts = evidence.doubts(STATIONS, leans=True)
    if figure is None:
        return Plan((*widths_of(name, "", doubts or ("readings-missing",)), height_plan))
    hinge = hinge_wall(door, figure)
    near, far = hinge_edge(door, evidence, figure, hinge), free_edge(door, evidence, figure, OTHER[hinge])
    start = "width at that height" if far.tapered else "smallest width"
    withheld = unique((*doubts, *near.withheld, *far.withheld))
    empty = widths_of(name, less(door, start, row.keys), withheld, tapered=far.tapered)
    result = Plan((*empty, height_plan), holds=(*near.holds, *far.holds), hinge_wall=hinge)
    if withheld:
        return result
    widths, kept = _cut(case, figure, row, hinge, far)
    if min(widths) <= 0:
        return replace(result, sizes=(*(replace(size, withheld=TOO_NARROW) for size in empty), height_plan))
    result = replace(result, sizes=(*filled(empty, widths, kept), height_plan))
    if height is None:
        return result
    offset = sum(down(door.value(k), door) if k == "door_width" else door.value(k) for k in row.from_hinge_wall)
    at = (_corner(figure, hinge, offset, widths[0]), door.value(bottom_key))
    tapered = OTHER[hinge] if far.tapered else None
    made = pane(door, name, widths, height, corner_mm=at, tapered=tapered, hung=hung)
    return replace(result, panes=(made,), gaps=side_gaps(figure, made))


def _cut(case: Case, figure: Figure, row: _Row, hinge: Side, edge: Edge) -> tuple[tuple[float, float], Room]:
    """Widths at bottom and top on the grid, and the room left.

    What both walls lean the same way (for a tapered pane: what the hinge wall leans) comes off only where the gap would not
    bear it: readings and gaps are whole sixteenths, and a lean of a hair would cost a whole one.
    """
    door, evidence = case.door, case.evidence
    off = sum(door.value(key) for key in row.keys)
    if edge.tapered:
        belly = max(0.0, figure.belly_mm)
        beside = figure.beside(hinge)
        wants = (figure.width_mm[0] - belly, figure.width_mm[2] - belly)
        plumb = (beside[0] - belly, beside[2] - belly)
        same_way = max(wants[0] - plumb[0], wants[1] - plumb[1])
        shape = evidence.coverage * math.hypot(figure.u_common * figure.height_mm, figure.u_common_bow_mm)
    else:
        same_way = figure.same_way_mm()
        wants, plumb = (figure.smallest_mm,) * 2, (figure.smallest_mm - same_way,) * 2
        shape = figure.same_way_mm(evidence.coverage) - same_way
    gap = sum(door.value(key) for key in row.yielding)
    widths, kept = (0.0, 0.0), None
    for available, common in ((wants, same_way), (plumb, 0.0)):
        widths = (down(available[0] - off, door), down(available[1] - off, door))
        rounding = min(available[0] - off - widths[0], available[1] - off - widths[1])
        tape = evidence.width_95_mm()
        kept = room(case, gap, rounding, tape_95_mm=tape, panes=row.panes, shape_95_mm=shape, same_way_mm=common)
        if kept.left_mm >= 0:
            break
    assert kept is not None
    return widths, kept


def widths_of(name: str, rule: str, withheld: tuple[str, ...], *, tapered: bool = False) -> tuple[OrderSize, ...]:
    """The empty sizes of a pane's width: one where it is square, bottom and top where it is tapered."""
    if not tapered:
        return (OrderSize(f"{name}_width", f"{name}, width", None, withheld, rule),)
    return tuple(OrderSize(f"{name}_width_{e}", f"{name}, width at the {e}", None, withheld, rule) for e in ("bottom", "top"))


def filled(sizes: Sequence[OrderSize], widths: tuple[float, float], kept: Room | None) -> tuple[OrderSize, ...]:
    """The same sizes with their values."""
    return tuple(replace(size, value_mm=value, room=kept) for size, value in zip(sizes, widths, strict=False))


def _corner(figure: Figure, hinge: Side, offset_mm: float, bottom_mm: float) -> float:
    """x of the bottom left corner of a pane whose plumb edge stands this far from where the hinge wall comes in most."""
    x = figure.left_x()
    if hinge == "left":
        return max(x) + offset_mm
    return min(a + w for a, w in zip(x, figure.width_mm, strict=True)) - offset_mm - bottom_mm


def side_gaps(figure: Figure, made: Pane) -> tuple[Gap, Gap]:
    """From each wall to the pane's edge on that side, at bottom and top, and in the middle where the walls come closer there."""
    x, w = figure.left_x(), figure.width_mm
    top_left = made.at_x_mm + (made.bottom_mm - made.top_mm if made.tapered_edge == "left" else 0.0)
    ends = (
        (made.at_x_mm - x[0], top_left - x[2]),
        (x[0] + w[0] - made.at_x_mm - made.bottom_mm, x[2] + w[2] - top_left - made.top_mm),
    )
    share, belly = (figure.y_mm[1] - figure.y_mm[0]) / figure.height_mm, figure.belly_mm
    middle = [low + share * (high - low) - belly if belly > 0 else None for low, high in ends]
    left, right = (Gap(f"{side} wall", *e, middle_mm=m) for side, e, m in zip(("left", "right"), ends, middle, strict=True))
    return left, right


def upright(case: Case, panes: tuple[Pane, ...]) -> tuple[Gap, ...]:
    """Under each pane and, where a head was measured, above it."""
    return (*below(case, panes), *above(case, panes))


def below(case: Case, panes: tuple[Pane, ...]) -> tuple[Gap, ...]:
    """Under each pane, at its left and right end: where the curb slopes, the bottom edge stays level and the gap is a wedge."""
    walls = case.evidence.walls
    slope = walls.value("curb_level") / 1000 if walls is not None and "curb_level" in walls.names else 0.0
    gaps = []
    for made in panes:
        low, high = made.at_y_mm, made.at_y_mm + abs(slope) * made.bottom_mm
        first, second = (low, high) if slope <= 0 else (high, low)
        gaps.append(Gap(f"curb, under the {made.name}", first, second, ends=("left", "right")))
    return tuple(gaps)


def above(case: Case, panes: tuple[Pane, ...]) -> tuple[Gap, ...]:
    """Above each pane, at its left and right end: the height there less the gap under it and the pane; none without a head."""
    lengths, figure = case.evidence.lengths, case.figure
    read = [lengths.value(name) for name in HEIGHTS if name in lengths.names]
    if not case.evidence.has_head or not read or figure is None:
        return ()
    left_mm, slope = read[0], (read[-1] - read[0]) / figure.width_mm[0]
    gaps = []
    for made, under in zip(panes, below(case, panes), strict=True):
        ends = ((made.at_x_mm, under.first_mm, made.left_mm), (made.at_x_mm + made.bottom_mm, under.second_mm, made.right_mm))
        first, second = (left_mm + slope * x - low - high for x, low, high in ends)
        gaps.append(Gap(f"head, above the {made.name}", first, second, ends=("left", "right")))
    return tuple(gaps)
