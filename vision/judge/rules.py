"""What all forms of door share: the case, the plan, heights, header and track, and sizes that cannot be given."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from vision.judge.door_keys import NUMBERS
from vision.judge.door_records import Gap, Hold, OrderSize, Pane, Room, Side
from vision.judge.doors import Door
from vision.judge.edges import FIT
from vision.judge.evidence import HEIGHTS, Evidence
from vision.judge.figure import Figure
from vision.judge.glass import down
from vision.judge.makeable import given


@dataclass(frozen=True)
class Case:
    """One opening and one kind of door; `figure` is None where widths or leans are not all there."""

    door: Door
    evidence: Evidence
    figure: Figure | None


@dataclass(frozen=True)
class Plan:
    """What one form makes of a case."""

    sizes: tuple[OrderSize, ...] = ()
    panes: tuple[Pane, ...] = ()
    gaps: tuple[Gap, ...] = ()
    holds: tuple[Hold, ...] = ()
    hinge_wall: Side | None = None


def room(case: Case, gap_mm: float, rounding_mm: float, *, tape_95_mm: float, panes: int = 1, shape_95_mm: float = 0.0,
         same_way_mm: float = 0.0) -> Room:  # fmt: skip
    """What is left of a gap when everything runs against it; see Room."""
    glass = panes * case.door.value("glass_tolerance") if case.door.glass else 0.0
    left = gap_mm + rounding_mm - glass - math.hypot(tape_95_mm, shape_95_mm) - same_way_mm
    return Room(gap_mm, rounding_mm, glass, tape_95_mm, shape_95_mm, same_way_mm, left)


def less(door: Door, start: str, keys: Sequence[str]) -> str:
    """'smallest width less gap at the hinge side 3/16 in (label), gap at the strike side 3/16 in (label)'."""
    parts = ", ".join(f"{NUMBERS[key].words} {door.said(key)}" for key in keys)
    return f"{start} less {parts}" if parts else start


def height_size(case: Case, name: str, keys: Sequence[str], *, under_head: Sequence[str] = ()) -> tuple[float | None, OrderSize]:
    """Height of a pane: the smaller height less its gaps, those `under_head` only where something is above."""
    door, evidence = case.door, case.evidence
    taken = (*keys, *(under_head if evidence.has_head else ()))
    height, doubts = evidence.glass_height()
    rule = less(door, "smaller height", taken)
    if door.has("panel_height") and name == "panel":
        rule = f"{rule}, at most {door.said('panel_height')}"
    size = OrderSize(f"{name}_height", f"{name}, height", None, doubts, rule)
    if doubts or height is None:
        return None, size if doubts else OrderSize(size.name, size.words, None, ("readings-missing",), rule)
    off = sum(door.value(key) for key in taken)
    value = down(height - off, door)
    if value <= 0:
        return None, given(size, value)
    if door.has("panel_height") and name == "panel":
        value = min(value, down(door.value("panel_height"), door))
    read = [name for name in HEIGHTS if name in evidence.readings.names]
    kept = None
    if evidence.has_head and read:
        tape = evidence.coverage * max(evidence.readings.u(one) for one in read)
        kept = room(case, off, height - off - value, tape_95_mm=tape)
    return value, OrderSize(size.name, size.words, value, (), rule, kept)


def header_and_track(case: Case) -> tuple[OrderSize, ...]:
    """The header by the width at its height, the track by the width at the curb: two numbers, never cut from one."""
    sizes = []
    for name, reading, key in (("header", "width_top", "header_less"), ("track", "width_bottom", "track_less")):
        if not case.door.has(key):
            continue
        where = "top width, at the height of the header," if name == "header" else "bottom width, at the curb,"
        doubts = case.evidence.doubts((reading,))
        size = OrderSize(f"{name}_length", f"{name}, length", None, doubts, less(case.door, where, (key,)))
        if not doubts:
            size = given(size, down(case.evidence.lengths.value(reading) - case.door.value(key), case.door))
        sizes.append(size)
    return tuple(sizes)


def number_missing(door: Door, key: str, action: str) -> Hold:
    """A number that only a hardware sheet can give."""
    text = f"{NUMBERS[key].words} ({door.title}): not known, and no built-in number stands for it"
    return Hold("number-missing", text, action, FIT)


def missing(name: str, words: str, key: str) -> OrderSize:
    """The size that waits for such a number."""
    return OrderSize(name, words, None, ("number-missing",), f"{NUMBERS[key].words}, from the hardware sheet")
