"""Where the widths were taken: three widths say what an opening is like only from bottom to top, in that order.

A width without a stated height above the curb is taken as usual: just above the curb, at half of the height, just below the head.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import pairwise

from vision.gaussian import Gaussian
from vision.judge.evidence import HEIGHTS
from vision.judge.figure import STATIONS
from vision.judge.joint import MARGIN_MM
from vision.judge.verdicts import Reason
from vision.names import PLAIN_NAMES, plain_names
from vision.settings import OrderSettings
from vision.units import inches_text

SAME_MM = 1e-6
"""mm; two places closer than this are one"""


def place_reasons(
    readings: Gaussian, at_mm: Mapping[str, float], height_mm: float | None, settings: OrderSettings
) -> Iterator[Reason]:
    """A reason where the widths (mm, by name) were not taken one above the other, or only in one part of the height.

    `at_mm` holds the stated heights above the curb, `height_mm` a stated height of the opening. Nothing is said of widths of
    which none has a stated place.
    """
    astray = elsewhere(readings, at_mm, height_mm, settings)
    if not astray:
        return
    places = _places(readings, at_mm, _height(readings, height_mm))
    where = ", ".join(f"the {PLAIN_NAMES[name]} {inches_text(places[name])}" for name in reversed(places))
    usual = [name for name in places if name not in at_mm]
    unsaid = f" (the {plain_names(usual)} as usual, since nothing else is stated)" if usual else ""
    lack = "so none of them is a width of the rest of the opening"
    if not _in_order(places) and not _in_one(places):
        lack = "and that is not the order of their names"
    action = (
        f"Correct the height above the curb (at) of the {plain_names(astray)}, or measure one width at the bottom, one in the "
        "middle and one at the top."
    )
    yield Reason("readings-missing", f"as stated, the widths were taken above the curb at: {where}{unsaid}; {lack}", action)


def elsewhere(
    readings: Gaussian, at_mm: Mapping[str, float], height_mm: float | None, settings: OrderSettings
) -> tuple[str, ...]:
    """The widths with a stated place that cannot be where their names say."""
    height = _height(readings, height_mm)
    places = _places(readings, at_mm, height)
    stated = tuple(name for name in places if name in at_mm)
    if len(places) < 2 or not stated:
        return ()
    if not _in_order(places):
        pairs = [pair for pair in pairwise(places) if places[pair[1]] - places[pair[0]] <= SAME_MM]
        return tuple(name for name in stated if any(name in pair for pair in pairs))
    least = settings.places_apart_mm if height is None else settings.places_apart * height
    both = {STATIONS[0], STATIONS[2]} <= set(places)
    return stated if both and places[STATIONS[2]] - places[STATIONS[0]] < least else ()


def _height(readings: Gaussian, height_mm: float | None) -> float | None:
    """The height as stated, else as read, mm."""
    read = [readings.value(name) for name in HEIGHTS if name in readings.names]
    return min(read, default=None) if height_mm is None else height_mm


def _places(readings: Gaussian, at_mm: Mapping[str, float], height_mm: float | None) -> dict[str, float]:
    """Heights above the curb of the widths that are there, from bottom to top by their names; without those nobody knows."""
    usual = {} if height_mm is None else dict(zip(STATIONS, (MARGIN_MM, height_mm / 2, height_mm - MARGIN_MM), strict=True))
    known = {**usual, **at_mm}
    return {name: known[name] for name in STATIONS if name in readings.names and name in known}


def _in_order(places: Mapping[str, float]) -> bool:
    return all(high - low > SAME_MM for low, high in pairwise(places.values()))


def _in_one(places: Mapping[str, float]) -> bool:
    return max(places.values()) - min(places.values()) <= SAME_MM
