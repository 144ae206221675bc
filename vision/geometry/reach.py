"""How far from a rough point of the user an edge is sought."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from vision.settings import EdgeSettings

BEYOND_STATED = 1.2
"""times the stated px; an edge bends by itself, as 18 px are sought where 15 are taken for granted"""
LEAST_USUAL_PX, LEAST_STATED_PX = 8.0, 2.5
"""px; a careful click on a reduced copy, and what is sought however well the corners are said to be marked: an edge located to
a pixel, and its bend"""
LEAST_BOX_PX = 2
"""px; narrowest boxes whose colours are compared on either side of an edge"""
LOOKED_AT, LEAST_LOOKED_AT_PX = 2.0, 3.2
"""times the stated px, how far beside an edge the picture still tells of it: two lines that such marks tell apart lie further
from each other; and what an edge needs to be fitted at all"""
STRAYED_PX = 1.0
"""px; how much further off than 1.2 times the stated px an edge may end: from a pixel's place to its part"""
TOLD_APART, MOST_ASKED_PX = 0.35, 4
"""share of the distance of two lines to which corners must be good to tell them apart, and px that are asked for where more would
do. Painted trims 10 px wide at 12 MP (120 marks, most off by all that is stated): from 3 px 115 measured right, 5 refused, from
4 px 109 and 10, and one wrong"""


def usual_reach_px(scale: float, settings: EdgeSettings) -> float:
    """How far from a rough point that nothing is said of, px: scaled with the photo, no less than a careful click on a copy."""
    return max(settings.search_px * scale, LEAST_USUAL_PX)


def corner_reach_px(scale: float, within_px: float | None, settings: EdgeSettings) -> float:
    """How far from a rough corner, px; `within_px`: how well the corners are said to be marked, in px of this photo."""
    return usual_reach_px(scale, settings) if within_px is None else max(BEYOND_STATED * within_px, LEAST_STATED_PX)


def corner_box_px(scale: float, within_px: float | None) -> tuple[int, bool]:
    """Width (px) of the boxes that find an edge, and whether the surfaces beyond them count.

    Where corners are marked more closely than a box is wide, another line may lie in the box and even more so beyond it.
    """
    usual = max(round(6 * scale), 3)
    if within_px is None or within_px >= usual:
        return usual, True
    return max(int(within_px), LEAST_BOX_PX), False


def looked_at_px(within_px: float | None) -> float:
    """How far beside an edge the picture tells of it, px."""
    return np.inf if within_px is None else max(LOOKED_AT * within_px, LEAST_LOOKED_AT_PX)


def furthest_end_px(within_px: float | None) -> float:
    """How far (px) beside a rough corner an edge that was followed may end."""
    return np.inf if within_px is None else BEYOND_STATED * within_px + STRAYED_PX


def asked_of_corners_px(rivals_px: Iterable[float]) -> int:
    """To how many px corners must be marked again where other lines lie so far (px) beside the edges."""
    return max(min(MOST_ASKED_PX, int(TOLD_APART * min(rivals_px))), 1)
