"""Readings of an opening as somebody would write them, and the tape against itself."""

from __future__ import annotations

from vision.judge.closure import Closure, close_tape
from vision.tape.readings import Taped, facts_from_mapping, read_tape

GOOD = {
    "width_bottom": "47 15/16", "width_middle": "47 11/16", "width_top": "47 7/16", "height_left": "76", "height_right": "76",
    "diagonal_rising": "89 5/8", "diagonal_falling": "89 13/16",
}  # fmt: skip
"""an opening whose right wall leans in: everything closes"""
PLUMB = {"plumb_left": "1/16 into over 72", "plumb_right": "7/16 into over 72"}


def taped(readings: dict[str, str], **facts: object) -> Taped:
    return read_tape(facts_from_mapping({"unit": "in", "readings": readings, **facts}))


def closed(readings: dict[str, str], **facts: object) -> Closure:
    one = taped(readings, **facts)
    return close_tape(one.everything, one.at_mm, one.over_mm, one.height_mm)
