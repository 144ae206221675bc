"""Sizes that nobody can make, sizes that are withheld without a word, and hardware numbers that no opening has room for.

A size is given only if it is more than nothing. Each one that is not given is a reason to hold, whoever withheld it: an order
is never ready beside a size that is missing.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import replace

from vision.errors import BadInput
from vision.gaussian import Gaussian
from vision.judge.door_records import Hold, OrderSize
from vision.judge.doors import Door
from vision.judge.edges import FIT
from vision.judge.evidence import HEIGHTS
from vision.judge.figure import STATIONS
from vision.units import length_text

NOTHING_LEFT = "size-limits"
"""code of a size that comes out as nothing or less"""
ACROSS = frozenset(
    {"gap_hinge", "gap_strike", "gap_glass", "gap_panel", "side_allowance", "header_less", "track_less", "less_width", "overlap"}
    | {"overlap_min"}
)
"""numbers that come off the width, or lie within it"""
UPRIGHT = frozenset({"gap_bottom", "gap_panel_bottom", "gap_top", "less_height"})
"""numbers that come off the height"""
FINE = frozenset({"grid", "glass_tolerance", "thickness"})
"""numbers that are a small part of any pane"""


def given(size: OrderSize, value_mm: float) -> OrderSize:
    """The size with this value (mm), or withheld where that is nothing or less."""
    if value_mm <= 0:
        return replace(size, value_mm=None, withheld=(NOTHING_LEFT,))
    return replace(size, value_mm=value_mm)


def unspoken_holds(sizes: Collection[OrderSize], codes: Collection[str]) -> Iterator[Hold]:
    """A hold for every size that is withheld without any of its codes being a reason (`codes` are those of the reasons)."""
    for size in sizes:
        if size.withheld and not set(size.withheld) & set(codes):
            yield _hold(size, size.withheld[0])


def _hold(size: OrderSize, code: str) -> Hold:
    if code == "readings-missing":
        text = f"{size.words}: no size, since a reading that it is made from is missing ({size.rule})"
        return Hold(code, text, "Measure and write down every width and height.", FIT)
    if code in (NOTHING_LEFT, "panel-width"):
        text = f"{size.words}: nothing is left to make it of ({size.rule})"
        return Hold(code, text, "Correct the numbers of the hardware sheet, or choose another kind of door.", FIT)
    text = f"{size.words}: no size, since what it is made from is in doubt ({size.rule})"
    return Hold(code, text, "Measure again what it is made from.", FIT)


def fitting_door(door: Door | None, readings: Gaussian, *, where: str = "hardware sheet") -> Door | None:
    """The door as it is; BadInput for a number of the hardware sheet that is as large as the opening it has to fit into.

    `readings` (mm) are those of the tape; the largest width or height counts, so that one wrong reading refuses nothing.
    """
    if door is None:
        return None
    rooms = [
        (ACROSS, _largest(readings, STATIONS), "the width of the opening as read"),
        (UPRIGHT, _largest(readings, HEIGHTS), "the height of the opening as read"),
        (FINE, door.value("panel_min"), "the narrowest panel"),
    ]
    for keys, room, words in rooms:
        for key in sorted(keys & set(door.numbers)):
            number = door.numbers[key]
            if room is not None and number.trust == "hardware sheet" and number.value >= room:
                needed = f"less than {length_text(room)}, {words}"
                raise BadInput(where, f"{key} = {number.text!r}", needed, f"correct {key} and its unit, or the readings")
    return door


def _largest(readings: Gaussian, names: Collection[str]) -> float | None:
    return max((readings.value(name) for name in names if name in readings.names), default=None)
