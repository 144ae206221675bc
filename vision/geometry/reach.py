"""How far from a rough point of the user an edge is sought."""

from __future__ import annotations

from vision.settings import EdgeSettings

BEYOND_STATED = 1.2
"""times the stated px; an edge bends by itself, as 18 px are sought where 15 are taken for granted"""
LEAST_USUAL_PX, LEAST_STATED_PX = 8.0, 2.5
"""px; a careful click on a reduced copy, and what is sought however well the corners are said to be marked: an edge located to
a pixel, and its bend"""


def usual_reach_px(scale: float, settings: EdgeSettings) -> float:
    """How far from a rough point that nothing is said of, px: scaled with the photo, no less than a careful click on a copy."""
    return max(settings.search_px * scale, LEAST_USUAL_PX)


def corner_reach_px(scale: float, within_px: float | None, settings: EdgeSettings) -> float:
    """How far from a rough corner, px; `within_px`: how well the corners are said to be marked, in px of this photo."""
    return usual_reach_px(scale, settings) if within_px is None else max(BEYOND_STATED * within_px, LEAST_STATED_PX)
