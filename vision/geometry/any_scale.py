"""Sheets where nothing tells the photo's scale: rectangles of a sheet's shape of any size, the last search of all.

White paper under three strips of tape on a white wall is no patch of one look with four straight sides: the strips cut its
contour, the rest is grain. But averaged along whole lines its four sides show. So the wall is squared and looked over once for
each scale that an opening may have. What is found has to be a card by all that is asked of one (`card_seen.py`).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from vision.geometry.by_shape import PLAUSIBLE_OPENING_MM
from vision.geometry.by_size import SHORT_SIDE_PX, closely, scored_places
from vision.geometry.cards import CardCandidate, in_picture_order
from vision.geometry.shapes import is_sheet, mean_sides, same_place, ways
from vision.geometry.squared import Image, both_steps, image_of_plane, pixels_of, plane_picture, region
from vision.geometry.start import PlaneView
from vision.settings import CardKind

Array = NDArray[np.float64]
STEP = 1.025
"""ratio of two scales that are tried one after the other; lines are sought to half of it"""
MOST_STEP = 12.0
"""codes; a step counts for no more: what is clearer than this all round has been found as a patch"""
SAME_PX = 4.0
"""px; what is nearer together than this is found once"""
EACH, MOST, SCALES = 3, 8, 3
"""places that are kept for each scale and way, and looked at closely in the end; scales to either side that are tried there"""


def sheets_at_any_scale(
    pixels: NDArray[np.uint8], outline: tuple[PlaneView, Array], kinds: Sequence[CardKind]
) -> list[CardCandidate]:
    """Candidates beside and above the outline (4, 2) px of a sheet's shape, the clearest first; rough to a pixel or two."""
    view, corners_px = outline
    width, height = mean_sides(view.on_plane(corners_px))
    if not (np.isfinite([width, height]).all() and min(width, height) > 0):
        return []
    low, high = PLAUSIBLE_OPENING_MM
    units = np.exp(np.arange(math.log(low / min(width, height)), math.log(high / max(width, height)), math.log(STEP)))
    sheets = [k for k in kinds if is_sheet(k)]
    found: list[tuple[float, float, Array, CardKind, bool]] = []
    for unit in units.tolist():
        H = image_of_plane(view, unit)
        shown = region(view, corners_px, (pixels.shape[1], pixels.shape[0]), unit)
        pictures: dict[float, tuple[Image, Image]] = {}
        for kind, turned, w, h in ways(sheets):
            per_mm = SHORT_SIDE_PX / min(w, h)
            if per_mm not in pictures:
                pictures[per_mm] = both_steps(plane_picture(pixels, H, shown, per_mm))
            at, clear = scored_places(pictures[per_mm], (w, h), (per_mm, shown), most=MOST_STEP)
            beside = _beside(at, (w, h), view.on_plane(corners_px) * unit)
            at, clear = at[beside][:EACH], clear[beside][:EACH]
            found += [(float(c), unit, p, kind, turned) for p, c in zip(at, clear, strict=True)]
    out: list[CardCandidate] = []
    places: list[Array] = []
    for _, unit, at, kind, turned in sorted(found, key=lambda f: -f[0]):
        card = CardCandidate(np.zeros((4, 2)), False, kind, turned)
        place = _place(view, unit, at, card.sides_mm)
        if len(places) < MOST and not any(same_place(p, place) for p in places):
            places.append(place)
            out += _nearer(pixels, view, card, unit, at)
    return out


def _place(view: PlaneView, unit: float, at: Array, sides_mm: tuple[float, float]) -> Array:
    w, h = sides_mm
    return pixels_of(image_of_plane(view, unit), at + 0.5 * np.array([[-w, -h], [w, -h], [w, h], [-w, h]]))


def _nearer(pixels: NDArray[np.uint8], view: PlaneView, card: CardCandidate, unit: float, at: Array) -> list[CardCandidate]:
    """What there is near a middle (mm at the scale `unit`) at this scale and those next to it, each found once."""
    out: list[CardCandidate] = []
    for ratio in STEP ** np.arange(-SCALES, SCALES + 1.0):
        there = _place(view, unit * ratio, at * ratio, card.sides_mm)
        corners = closely(pixels, image_of_plane(view, unit * ratio), at * ratio, card.sides_mm, there, taped=True)
        if corners is not None and not any(np.abs(c.corners_px - corners).max() < SAME_PX for c in out):
            out.append(replace(card, corners_px=in_picture_order(corners[None])[0]))
    return out


def _beside(at: Array, size: tuple[float, float], outline: Array) -> NDArray[np.bool_]:
    """Which rectangles of this size at middles (n, 2) lie beside or above the outline (4, 2), all in mm on the plane."""
    low, high = outline.min(axis=0), outline.max(axis=0)
    half = 0.5 * np.array(size)
    outside = np.any((at + half < low) | (at - half > high), axis=1)
    return np.asarray(outside & (at[:, 1] > low[1]))
