"""The opening's outline proposed from the picture alone, how sure that is, and what stands in the way.

Nothing of the readings enters: the photo is a witness of its own. Where the outline is in doubt the person marks the corners.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vision.errors import CannotMeasure, Finding
from vision.geometry.arris_sight import reduced
from vision.geometry.camera import camera_prior
from vision.geometry.locate import locate_course
from vision.geometry.rough_outline import OUTLINE_CORNERS
from vision.geometry.strips import take_strip
from vision.geometry.trace_choice import SAME_PX, Choice, Sights, agreed, alike, candidates, chosen, of_lines
from vision.geometry.trace_fittings import old_frame, rod
from vision.geometry.trace_frame import squared
from vision.geometry.trace_lines import view_of
from vision.geometry.trace_proposals import crossing
from vision.geometry.trace_quads import apart, outlined
from vision.geometry.trace_weights import OUTLINE
from vision.photo.intake import Photo
from vision.settings import Settings

Array = NDArray[np.float64]
TWICE_SHARE, TWICE_PX = 0.6, 7.0
"""share of the best course's score, and px at 12 MP of distance, from which an edge found alone may as well be another line"""
TWICE_ODDS = 3.0
"""by which the odds of an outline fall beside an edge of which there is such a line. Of 267 photos of six authors, each seen by
networks and one model that were shown none of his, 5 of 26 such outlines of more than 0.75 were wrong, and 12 of 139 others"""
MOST_CANDIDATES = 3
"""drawn for the person; more would hide the picture"""
EDGES = {"left": "left wall", "right": "right wall", "curb": "curb", "head": "head"}
NOTHING = "two upright edges with a curb between them"
FRAME = "an old frame that seems to be in place: not the wall's edge"
INSET_PX = 3.0
"""px; corners of an opening without a head keep so far from the picture's upper border"""


@dataclass(frozen=True)
class Outline:
    """The outline of one photo (numbered from 1): by "person" or "program", None where it is in doubt.

    `corners_px` (4, 2) bottom-left, bottom-right, top-right, top-left; `confidence` 0 to 1 and `doubt`, what most of the
    odds against it are about, of one that the program found; `candidates` best first; `findings` about what stands
    in the opening.
    """

    photo: int
    by: str
    corners_px: Array | None
    confidence: float | None = None
    doubt: str = ""
    candidates: tuple[Array, ...] = ()
    findings: tuple[Finding, ...] = ()
    lies: bool = False
    """whether the picture seems to lie on its side"""


def trace(photo: Photo, number: int, *, has_head: bool, settings: Settings) -> Outline:
    """The outline found in the picture, refined in the photo where it is sure enough to be used."""
    prior = camera_prior(photo.width, photo.height, photo.focal_35mm, settings.camera)
    square = squared(photo.pixels, prior)
    if square is None:
        return Outline(number, "program", None, 0.0, NOTHING)
    view = view_of(square)
    scale = math.hypot(photo.width, photo.height) / settings.camera.reference_diagonal_px
    sights = Sights(square, reduced(photo.pixels, prior, scale), has_head)
    tried, clues = candidates(sights, of_lines(view, has_head=has_head))
    if not len(tried):
        return Outline(number, "program", None, 0.0, NOTHING)
    choices, none = chosen(tried, clues, OUTLINE)
    best, same, confidence = outlined(view, choices[0].corners, has_head=has_head), alike(choices), agreed(choices)
    doubt = _doubt([c for c, s in zip(choices, same, strict=True) if not s], choices[0], none)
    drawn = _different([c.corners for c in choices])
    candidates_px = tuple(_inside(photo, square.to_photo(c)) for c in drawn)
    if old_frame(view, best):
        return Outline(number, "program", None, 0.0, FRAME, candidates_px)
    if confidence <= settings.trace.confidence:
        framed = any(old_frame(view, outlined(view, c, has_head=has_head)) for c in drawn[1:])
        return Outline(number, "program", None, confidence, FRAME if framed else doubt, candidates_px)
    names = tuple(n for n in OUTLINE_CORNERS if has_head or n != "head")
    fine, twice = _refined(photo, candidates_px[0], names, settings)
    if twice:
        confidence = confidence / (confidence + TWICE_ODDS * (1 - confidence))
        doubt = f"which of two lines is the {EDGES[twice[0]]}'s"
    if confidence <= settings.trace.confidence:
        return Outline(number, "program", None, confidence, doubt, candidates_px)
    return Outline(number, "program", fine, confidence, doubt, candidates_px, rod(view, best, photo.name))


def require_corners(outline: Outline, name: str) -> Array:
    """The corners. Raises CannotMeasure (needs-corners) where the program's outline is in doubt."""
    if outline.corners_px is not None:
        return outline.corners_px
    listed = "; ".join(f"({k}) " + " ".join(f"{x:.0f},{y:.0f}" for x, y in c) for k, c in enumerate(outline.candidates, start=1))
    mark = "mark bottom-left, bottom-right, top-right and top-left in the photo, or take over a candidate that is right"
    anew = f"send the original file, or turn the picture upright and save it so; if it is upright as it is, {mark}"
    raise CannotMeasure(
        "outline",
        "needs-corners",
        found=f"{name}: no corners of the opening, and none that can be told from the picture alone (in doubt: {outline.doubt})"
        + (f"; candidates: {listed}" if listed else ""),
        needed="its four rough corners, to 15 pixels",
        remedy=anew if outline.lies else mark,
    )


def _different(corners: Iterable[Array]) -> list[Array]:
    """Corners of the likeliest candidates that are not one with a likelier one."""
    out: list[Array] = []
    for one in corners:
        if len(out) == MOST_CANDIDATES:
            break
        if all(apart(one, other) > SAME_PX for other in out):
            out.append(one)
    return out


def _doubt(rivals: list[Choice], best: Choice, none: float) -> str:
    """In words what most of the odds against the best candidate are about."""
    against = {"whether any of the outlines seen is the opening": none}
    for rival in rivals:
        off = np.abs(rival.corners - best.corners)
        sizes = {"left": off[[0, 3], 0], "right": off[[1, 2], 0], "curb": off[:2, 1], "head": off[2:, 1]}
        words = f"which of two lines is the {EDGES[max(sizes, key=lambda name: float(sizes[name].max()))]}'s"
        against[words] = against.get(words, 0.0) + rival.share
    return max(against, key=lambda words: against[words])


def _refined(photo: Photo, corners: Array, names: tuple[str, ...], settings: Settings) -> tuple[Array, list[str]]:
    """The corners where the edges cross that can be followed in the photo itself; and the edges beside which another line is as
    clear, within what a rough corner may be off: there the check does not know which of them is meant either."""
    scale = math.hypot(photo.width, photo.height) / settings.camera.reference_diagonal_px
    half = max(round(settings.edges.strip_px * scale), 24)
    lines, twice = {}, []
    for name, (i, j) in OUTLINE_CORNERS.items():
        start, end = corners[i], corners[j]
        lines[name] = np.stack([start, end])
        if name not in names:
            continue
        strip = take_strip(photo.pixels, start, end, half, half)
        extent = strip.extent(start, end)
        reach, box = max(settings.trace.search_px * scale, 3.0), max(round(6 * scale), 3)
        rough, sag = strip.of_polyline(lines[name]), max(3 * scale, 1.0)
        course = locate_course(strip, rough, extent, search_px=reach, sag_px=sag, box_px=box, surfaces=True, hold=True)
        if course is None:
            continue
        curve = course.curve
        ends = np.clip(np.round(np.sort(extent)).astype(int), 0, strip.lines - 1)
        lines[name] = strip.to_photo(ends.astype(np.float64), curve[ends])
        wide, apart = max(settings.edges.search_px * scale, 8.0), TWICE_PX * max(scale, 0.5)
        around = locate_course(strip, curve, extent, search_px=wide, sag_px=sag, box_px=box, surfaces=True, apart_px=apart)
        rival = None if around is None or name == "curb" else around.rival
        twice += [name] if rival is not None and rival.share >= TWICE_SHARE else []
    pairs = (("left", "curb"), ("right", "curb"), ("right", "head"), ("left", "head"))
    return np.array([crossing(lines[a], lines[b]) for a, b in pairs]), twice


def _inside(photo: Photo, corners: Array) -> Array:
    """The corners, moved down along the walls where an opening without a head runs out of the picture."""
    out = corners.copy()
    for top, foot in ((3, 0), (2, 1)):
        if out[top, 1] < INSET_PX:
            share = (INSET_PX - out[foot, 1]) / (out[top, 1] - out[foot, 1])
            out[top] = out[foot] + share * (out[top] - out[foot])
    return out
