"""Straight lines that the user points out: joints between tiles, and spirit levels, which may have a stated length."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from vision.geometry.edges import EdgePoints, observe_edge
from vision.geometry.line_model import FIRST_END, SECOND_END
from vision.geometry.locate import locate_edge
from vision.geometry.strips import Strip, take_strip
from vision.geometry.thin_line import observe_thin_line
from vision.settings import CueSettings, EdgeSettings

Array = NDArray[np.float64]
ACROSS_MM = 40.0
"""mm; as far from its long side a level's end is looked at; box levels are 50 to 60 mm wide (common practice, no source)"""
CLEAR_OF_CORNER = 0.25
"""share of that in which the rough corner may still lie beside the level"""
CLEARER = 2.0
"""ratio of steps by which the side of the line that the level is on is told from the other"""
LEAST_STEP = 0.006
"""linear light; under this an end is not told from shading"""
RAGGED_PX = 1.0
"""px at 12 MP; scatter of a level's side beyond which something else was followed"""


@dataclass(frozen=True)
class LineFacts:
    """One line as stated: its kind and two rough points (2, 2) px, and of a level its length and its depth (mm).

    Kinds: "grout" and "level", and "back" for a joint or edge that runs back on the side wall `side`, level from front to back.
    """

    kind: str
    ends_px: Array
    length_mm: float | None = None
    length_sd_mm: float | None = None
    offset_mm: float | None = None
    offset_sd_mm: float | None = None
    side: str | None = None

    @property
    def lying(self) -> bool:
        """Whether it runs across rather than up."""
        d = np.abs(self.ends_px[1] - self.ends_px[0])
        return bool(d[0] > d[1])


@dataclass(frozen=True)
class LineLook:
    """A line with the pixels round it; `facts.ends_px` run up, right, or back. `across`: strips over a level's ends."""

    facts: LineFacts
    strip: Strip
    across: tuple[Strip, ...] = ()


@dataclass(frozen=True)
class SeenLine:
    """A line as seen: points along it, and along a level's ends (first, second) where its length counts."""

    facts: LineFacts
    points: EdgePoints
    ends: tuple[EdgePoints | None, EdgePoints | None] = (None, None)

    @property
    def measures(self) -> bool:
        """Whether its length says something about scale: stated, and both ends seen."""
        return self.facts.length_mm is not None and all(e is not None for e in self.ends)


def look_at_line(pixels: NDArray[np.uint8], facts: LineFacts, half: int) -> LineLook:
    """The pixels of one line; the ends in the order of growing curve parameter."""
    a, b = facts.ends_px
    if facts.side is not None:
        backward = b[0] < a[0] if facts.side == "left" else b[0] > a[0]  # deeper is nearer to the middle of the picture
    else:
        backward = b[0] < a[0] if facts.lying else b[1] > a[1]
    if backward:
        a, b = b, a
    facts = replace(facts, ends_px=np.array([a, b]))
    strip = take_strip(pixels, a, b, half)
    if facts.length_mm is None:
        return LineLook(facts, strip)
    return LineLook(facts, strip, tuple(take_strip(pixels, end - _across(facts), end + _across(facts), half) for end in (a, b)))


def _across(facts: LineFacts) -> Array:
    """From an end along the level's short side, px."""
    d = facts.ends_px[1] - facts.ends_px[0]
    return np.asarray(np.array([-d[1], d[0]]) * ACROSS_MM / (facts.length_mm or 1.0))


def observe_line(look: LineLook, *, scale: float, search_px: float, settings: EdgeSettings) -> SeenLine | None:
    """What can be followed: a joint as a thin line, a level's long side and ends as edges. None where nothing can."""
    a, b = look.facts.ends_px
    extent = look.strip.extent(a, b)
    if look.facts.kind != "level":
        rough = look.strip.of_polyline(look.facts.ends_px)
        thin = observe_thin_line(look.strip, rough, extent, scale=scale, search_px=search_px, settings=settings)
        if thin is not None or look.facts.kind == "grout":
            return None if thin is None else SeenLine(look.facts, _directed(thin, extent))
    points = _edge(look.strip, np.array([a, b]), scale=scale, search_px=search_px, settings=settings)
    if points is None or points.ragged_px > RAGGED_PX * max(scale, 0.5):
        return None
    return SeenLine(look.facts, points, _ends(look, scale=scale, search_px=search_px, settings=settings))


def _edge(strip: Strip, ends: Array, *, scale: float, search_px: float, settings: EdgeSettings) -> EdgePoints | None:
    """Points of the straight edge between two rough ends (2, 2) px."""
    extent = strip.extent(ends[0], ends[1])
    sag, box = max(3.0 * scale, 1.0), max(round(4 * scale), 3)
    curve = locate_edge(strip, strip.of_polyline(ends), extent, search_px=search_px, sag_px=sag, box_px=box)
    if curve is None:
        return None
    trim = 0.03 * abs(extent[1] - extent[0])
    points = observe_edge(strip, curve, extent, scale=scale, settings=settings, trim=(trim, trim))
    return None if points is None else _directed(points, extent)


def _ends(
    look: LineLook, *, scale: float, search_px: float, settings: EdgeSettings
) -> tuple[EdgePoints | None, EdgePoints | None]:
    """Both ends of a level, on that side of its long side where there is something to see."""
    if not look.across:
        return None, None
    sides = []
    for sign in (-1.0, 1.0):
        found = []
        for end, strip in zip(look.facts.ends_px, look.across, strict=True):
            across = sign * _across(look.facts)
            ends = np.array([end + CLEAR_OF_CORNER * across, end + across])
            found.append(_edge(strip, ends, scale=scale, search_px=search_px, settings=settings))
        sides.append(found)
    strength = [min(0.0 if p is None else p.contrast for p in found) for found in sides]
    best = int(np.argmax(strength))
    if strength[best] < max(LEAST_STEP, CLEARER * strength[1 - best]):
        return None, None
    return sides[best][0], sides[best][1]


def _directed(points: EdgePoints, extent: tuple[float, float]) -> EdgePoints:
    """`along` runs from the first end to the second, whichever way the scan lines run."""
    return points if extent[0] < extent[1] else replace(points, along=-points.along)


def seen_lines(looks: Sequence[LineLook], *, scale: float, search_px: float, settings: EdgeSettings) -> tuple[SeenLine, ...]:
    """All lines of a photo that can be followed."""
    found = (observe_line(one, scale=scale, search_px=search_px, settings=settings) for one in looks)
    return tuple(one for one in found if one is not None)


def level_depth(facts: LineFacts, settings: CueSettings) -> tuple[float, float]:
    """How far behind the opening plane the face of a level lies, and its sd (mm): as stated, else flat on the wall face."""
    if facts.offset_mm is None:
        return settings.level_offset_mm, settings.level_offset_sd_mm
    return facts.offset_mm, settings.level_stated_offset_sd_mm if facts.offset_sd_mm is None else facts.offset_sd_mm


PARTS = (FIRST_END, SECOND_END)
"""edges of a line's model that `SeenLine.ends` are, in order"""
