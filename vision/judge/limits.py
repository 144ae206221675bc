"""Limits that a plan is held against: each one that is crossed is a hold with its label, who decides, and what next.

Nothing here changes a size. What is only worth asking becomes a question.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from vision.judge.door_records import Hold, OrderSize, Pane
from vision.judge.doors import Number
from vision.judge.edges import AUTHORITY, FABRICATOR, FIT
from vision.judge.evidence import HEIGHTS
from vision.judge.figure import STATIONS
from vision.judge.glass import ROUNDING_MM
from vision.judge.quantities import KG_PER
from vision.judge.rules import Case, Plan
from vision.units import inches_text, length_text

SAID_MM = 0.05
"""mm; less is 0.0 mm in words"""
OWN_WIDTH = ("door_width", "door_width_bottom", "door_width_top")


@dataclass(frozen=True)
class _Bound:
    """A value against one number of the door."""

    key: str
    words: str
    value_mm: float
    upper: bool
    code: str
    decides: str
    next: str


def limit_holds(case: Case, plan: Plan) -> tuple[Hold, ...]:
    """Every limit that this plan crosses."""
    bounds = (*_opening(case), *_door_and_panels(case, plan), *_walls_and_curb(case))
    holds = [hold for bound in bounds for hold in _held(case, bound)]
    return (*holds, *_hinges(case, plan.panes), *_rooms(case, plan.sizes))


def _held(case: Case, bound: _Bound) -> Iterator[Hold]:
    if not case.door.has(bound.key):
        return
    limit = case.door.value(bound.key)
    over = bound.value_mm > limit + ROUNDING_MM if bound.upper else bound.value_mm < limit - ROUNDING_MM
    if over:
        word = "most" if bound.upper else "least"
        text = f"{bound.words} {length_text(bound.value_mm)}; the {word} is {case.door.said(bound.key)}"
        yield Hold(bound.code, text, bound.next, bound.decides, case.door.numbers[bound.key])


def _opening(case: Case) -> Iterator[_Bound]:
    """Sizes that an opening of this kind hardly has: a wrong unit or a slip of feet shows here."""
    action = "Ask which unit and which foot was read, and whether this kind of opening is meant."
    for names, what in ((STATIONS, "width"), (HEIGHTS, "height")):
        for value, upper, end in (
            (case.evidence.smallest(names), False, "min"),
            (case.evidence.largest(names), True, "max"),
        ):
            if value is not None:
                words = f"a {what} is read as"
                yield _Bound(f"{what}_{end}", words, value, upper, "size-limits", FIT, action)


def _door_and_panels(case: Case, plan: Plan) -> Iterator[_Bound]:
    sizes = {size.name: size.value_mm for size in plan.sizes if size.value_mm is not None}
    doors = [sizes[name] for name in OWN_WIDTH if name in sizes]
    if doors:
        action = "Choose another kind of door, or change the width."
        yield _Bound("door_min", "the door is", min(doors), False, "door-width", FIT, action)
        yield _Bound("door_max", "the door is", max(doors), True, "door-width", FIT, action)
    yield from _smallest_pieces(plan)
    for made in plan.panes:
        narrow = min(made.bottom_mm, made.top_mm)
        if case.door.form == "screen":
            action = "Choose a screen within the range, or another kind of door."
            yield _Bound("screen_min", "the screen is", narrow, False, "panel-width", FIT, action)
            yield _Bound("screen_max", "the screen is", max(made.bottom_mm, made.top_mm), True, "panel-width", FIT, action)
    way = _way(case, sizes, doors)
    if way is not None:
        action = "Choose a kind of door that leaves a wider way in, and check with the local building authority."
        yield _Bound("clear_way", "the way in is", way, False, "clear-way", AUTHORITY, action)


def _smallest_pieces(plan: Plan) -> Iterator[_Bound]:
    """No piece is made narrower or lower than this, whether it is drawn as a pane or not."""
    action = "Ask the fabricator for the narrowest panel that can be tempered, or change the numbers of the hardware sheet."
    given: dict[str, tuple[float, str]] = {}
    for size in plan.sizes:
        piece = size.name.removesuffix("_bottom").removesuffix("_top")
        if size.value_mm is not None and piece.endswith(("_width", "_height")):
            given[piece] = min(given.get(piece, (size.value_mm, size.words)), (size.value_mm, size.words))
    for piece, (value, words) in given.items():
        code = "panel-width" if piece.endswith("_width") else "size-limits"
        yield _Bound("panel_min", f"{words}:", value, False, code, FABRICATOR, action)


def _way(case: Case, sizes: dict[str, float], doors: list[float]) -> float | None:
    """How wide the way in is: the door, what a screen or one sliding panel leaves, at most the smallest width."""
    smallest = case.evidence.smallest(STATIONS)
    if smallest is None:
        return None
    if doors:
        return min(doors)
    if "sliding_panel_width" in sizes:
        return max(0.0, smallest - case.door.value("side_allowance") - sizes["sliding_panel_width"])
    if case.door.form == "screen":
        widest = max((value for name, value in sizes.items() if name.startswith("panel_width")), default=None)
        return None if widest is None else max(0.0, smallest - case.door.value("gap_panel") - widest)
    if case.door.form == "kit" and case.door.has("header_less"):
        return smallest / 2
    return smallest


def _walls_and_curb(case: Case) -> Iterator[_Bound]:
    evidence = case.evidence
    walls = evidence.walls
    for side in ("left", "right"):
        if walls is not None and f"bow_{side}" in walls.names:
            action = f"Hold a straightedge to the {side} wall; then scribe, fill, or move the hinge."
            words = f"the {side} wall's belly into the opening is"
            yield _Bound("bow_limit", words, walls.value(f"bow_{side}"), True, "bow-over-limit", FIT, action)
    if case.figure is not None:
        action = "Hold a straightedge to both walls; then scribe, fill, or move the hinge."
        words = "by the widths, the walls' belly into the opening is"
        yield _Bound("bow_limit", words, case.figure.belly_mm, True, "bow-over-limit", FIT, action)
    fall = curb_fall(case)
    if fall is not None:
        action = "Someone must decide: the bottom edge cut to the curb, or the curb put right."
        yield _Bound("curb_level_limit", "the curb is out of level by", fall, True, "curb-over-limit", FIT, action)


def curb_fall(case: Case) -> float | None:
    """How far the curb is out of level over the smallest width, mm; by the heights where nothing else is known."""
    evidence = case.evidence
    width = evidence.smallest(STATIONS)
    if evidence.walls is not None and "curb_level" in evidence.walls.names and width is not None:
        return abs(evidence.walls.value("curb_level")) / 1000 * width
    if set(HEIGHTS) <= set(evidence.readings.names):
        return abs(evidence.readings.value(HEIGHTS[0]) - evidence.readings.value(HEIGHTS[1]))
    return None


def _hinges(case: Case, panes: tuple[Pane, ...]) -> Iterator[Hold]:
    for made in panes:
        if made.name != "door" or made.hinges is not None:
            continue
        limit: Number | None = case.door.numbers.get("three_hinges_mass")
        most = "no number of hinges is known for this glass"
        if limit is not None:
            most = f"three hinges go to {case.door.said('three_hinges_mass')} and {case.door.said('three_hinges_width')}"
        pounds = made.mass_kg / float(KG_PER["lb"])
        text = f"the door weighs up to {pounds:.0f} lb ({made.mass_kg:.1f} kg) and is {inches_text(made.bottom_mm)} wide; {most}"
        action = "Ask the maker of the hinges, or choose thinner glass, a narrower door, or a panel beside it."
        yield Hold("hinge-load", text, action, "the maker of the hinges", limit)


def _rooms(case: Case, sizes: tuple[OrderSize, ...]) -> Iterator[Hold]:
    """Sizes whose gap may be used up: guarded acceptance, the gap less everything that may run against it."""
    told: set[str] = set()
    for size in sizes:
        pane_name = size.name.rsplit("_width")[0].rsplit("_height")[0]
        if size.room is None or size.room.left_mm >= 0 or f"{pane_name} {'height' in size.name}" in told:
            continue
        told.add(f"{pane_name} {'height' in size.name}")
        kept = size.room
        rounded = f" and {kept.rounding_mm:.1f} mm by which the size was rounded down"
        either = math.hypot(kept.tape_95_mm, kept.shape_95_mm)
        text = (
            f"{size.words}: of {length_text(kept.gap_mm)} gap{rounded if kept.rounding_mm >= SAID_MM else ''} the glass may take "
            f"{kept.glass_mm:.1f} mm, the tape {kept.tape_95_mm:.1f} mm and the wall shape {kept.shape_95_mm:.1f} mm, together "
            f"{either:.1f} mm (in quadrature), and a common lean {kept.same_way_mm:.1f} mm: {-kept.left_mm:.1f} mm too much"
        )
        action = "Measure again by another person, get the fabricator's tolerance in writing, or allow a wider gap."
        yield Hold("gap-at-risk", text, action, FIT, case.door.numbers.get("glass_tolerance"))
