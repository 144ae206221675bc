"""The sides of a likely reference, all four at once: of several courses along each the ones that make a reference's shape.

Beside a stripe of wallpaper, a joint or a strip of tape the clearest course along a side is not the side. But only the four sides
together have right angles and a kind's aspect, so where the clearest ones do not, the next clearest are tried with each other.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import product
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from vision.geometry.locate import locate_course
from vision.geometry.look import SIDE_CORNERS, CardLook
from vision.geometry.observe import crossings
from vision.geometry.shapes import is_square, mean_sides, ways
from vision.geometry.start import PlaneView
from vision.settings import CardKind

Array = NDArray[np.float64]
REACH_PX, BOX_PX = 8.0, 3.0
"""px at 12 MP; how far a rough side may be off, and the boxes whose colours are compared"""
APART_PX = 1.5
"""px at 12 MP; courses that are nearer to each other are one"""
LEAST_SHARE = 0.2
"""of the clearest course's score"""
OFF_PX = 0.7
"""px; how far a located corner is off"""
SHAPE = 0.012
"""relative; sd of aspect and squareness in a first view (of 80 rendered rooms both sides of one card differ by 0.011)"""
CLEARER = 6.0
"""by how much the logarithm of a course's share counts: a course half as clear is as unlikely as an aspect 3 sds off"""


class Course(NamedTuple):
    """One course along a side: a position a scan line, its ends (2, 2) px, the logarithm of its share of the clearest's score."""

    curve: Array
    ends: Array
    share: float


def jointly_located(
    card: CardLook, view: PlaneView, kinds: Sequence[CardKind], *, clear: float, scale: float
) -> tuple[Array, ...] | None:
    """Positions of the four sides (bottom, right, top, left) along their strips; None where no courses make a kind's shape.

    `clear`: px that are left out at the corners; `scale`: of the photo.
    """
    every = [_courses(card, k, clear, max(scale, 0.5)) for k in range(4)]
    best, highest = None, -math.inf
    for chosen in product(*every):
        clearness = CLEARER * sum(c.share for c in chosen)
        if clearness <= highest:
            continue
        corners = crossings([c.ends for c in chosen], card.candidate.corners_px)
        score = clearness + _shape(view.on_plane(corners), kinds, OFF_PX / _shortest(corners))
        if score > highest:
            best, highest = tuple(c.curve for c in chosen), score
    return best


def _courses(card: CardLook, side: int, clear: float, scale: float) -> list[Course]:
    strip, ends = card.strips[side], card.candidate.corners_px[list(SIDE_CORNERS[side])]
    rough, extent = strip.of_polyline(ends), strip.extent(ends[0], ends[1])
    inset = (min(extent) + clear, max(extent) - clear)
    reach, apart = REACH_PX * scale, APART_PX * scale
    box = max(round(BOX_PX * scale), 2)
    found = locate_course(strip, rough, inset, search_px=reach, sag_px=0.0, box_px=box, apart_px=apart)
    if found is None:
        return []
    at = np.array([max(math.ceil(inset[0]), 0), min(int(inset[1]), strip.lines - 1)])
    curves = [(found.curve, 1.0), *((found.curve + o, s) for o, s in zip(found.others, found.shares, strict=True))]
    kept: list[tuple[Array, float]] = []
    for curve, share in curves:
        if share > LEAST_SHARE and not any(np.abs(curve[at] - other[at]).max() < 0.5 * apart for other, _ in kept):
            kept.append((curve, share))
    return [Course(c, strip.to_photo(at.astype(np.float64), c[at]), math.log(s)) for c, s in kept]


def _shape(plane: Array, kinds: Sequence[CardKind], slack: float) -> float:
    """Log likelihood, but for a constant, of a squared quadrilateral (4, 2) being of one of these kinds."""
    sd = math.hypot(SHAPE, slack)
    if not np.all(np.isfinite(plane)) or not is_square(plane, 4 * sd):
        return -math.inf
    d = np.roll(plane, -1, axis=0) - plane
    s = np.linalg.norm(d, axis=1)
    a, b = mean_sides(plane)
    aspect = min(abs(math.log(float(a / b) * h / w)) for _, _, w, h in ways(kinds))
    off = [aspect, float(s[0] / s[2] - 1), float(s[1] / s[3] - 1), float(d[0] @ d[1] / (s[0] * s[1]))]
    return -0.5 * sum((v / sd) ** 2 for v in off) if aspect < 4 * sd else -math.inf


def _shortest(corners: Array) -> float:
    return float(np.linalg.norm(np.roll(corners, -1, axis=0) - corners, axis=1).min())
