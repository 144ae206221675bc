"""Which line is meant along each edge of the outline: where the courses run, which have rivals, and what tells them apart."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from vision.geometry.arris_sight import UNIT_PX
from vision.geometry.lines_beside import lines_beside
from vision.geometry.locate import Rival
from vision.geometry.look import Look
from vision.geometry.parallax import Followed, Told, told_by_parallax
from vision.geometry.reach import usual_reach_px
from vision.geometry.rivals import Beside
from vision.geometry.rough_outline import OUTLINE_CORNERS, RoughEdges, curves_and_rivals, refined_corners, rough_courses
from vision.geometry.seen import Demands
from vision.geometry.start import PlaneView, view_of_rectangle
from vision.geometry.which_line import APART, SURE, by_edge
from vision.settings import EdgeSettings

BESIDE_SHARE = 0.8
"""share of an edge's strip in which lines beside it are looked for; the rest is what lies beyond them"""
UNSURE = 0.4
"""share of a strip's width that stays in doubt where lines further off leave open what the nearer ones tell: of twelve such edges
in 138 rendered rooms ten were right"""
MOST_DOUBT_PX, LIKELY = 8.0, 0.8
"""px at 12 MP, and odds of the likeliest line: an edge of more doubt and less odds is better taken as it was marked"""
MOVED_PX = 1.0
"""px at 12 MP; from which an edge is moved, or two places of it differ"""


def lines_meant(seen: Look, demands: Demands, settings: EdgeSettings) -> tuple[RoughEdges, dict[str, Rival], dict[str, Beside]]:
    """The outline's rough courses, those that have rivals, and the doubt of those that are told from theirs.

    Corners that are said to be marked closely tell that themselves.
    """
    courses = rough_courses(seen.marks, settings)
    curves, rivals = curves_and_rivals(courses)
    if seen.corners_within_px is not None:
        return curves, rivals, {}
    view = view_of_rectangle(refined_corners(curves, seen.marks), seen.prior, has_head=demands.has_head)
    reach = BESIDE_SHARE * settings.strip_px * seen.scale
    wider = {n: (lines_beside(c, seen.outline[n], e, reach_px=reach, scale=seen.scale), e) for n, (c, e) in courses.items()}
    told = _told(courses, wider, rivals, seen, view)
    told = {n: t for n, t in told.items() if _as_marked(n, courses[n], t, seen, settings)}
    moved, doubts = _by_odds(seen, wider, rivals, told, settings) if seen.sights else _by_parallax(wider, told)
    return curves | moved, {n: r for n, r in rivals.items() if n not in doubts}, doubts


def _by_parallax(courses: Mapping[str, Followed], told: Mapping[str, Told]) -> tuple[RoughEdges, dict[str, Beside]]:
    """Edges that parallax tells, where nothing else does."""
    curves = {n: (courses[n][0].curve + t.shift, courses[n][1]) for n, t in told.items()}
    return curves, {n: Beside(curves[n][0], np.zeros_like(t.shift), t.doubt_px, 0.0, t.border) for n, t in told.items()}


def _by_odds(
    seen: Look, courses: Mapping[str, Followed], rivals: Mapping[str, Rival], told: Mapping[str, Told], settings: EdgeSettings
) -> tuple[RoughEdges, dict[str, Beside]]:
    """Edges of which there is a doubt, on their likeliest lines, with where they are taken beside them and how doubtful that is.

    An edge without a rival, of which parallax says nothing, stays where it was followed; it is doubted where another line is
    likelier all the same.
    """
    reach, least = usual_reach_px(seen.scale, settings), MOVED_PX * seen.scale
    curves: RoughEdges = {}
    doubts = {}
    for name, one in by_edge(courses, told, seen.outline, seen.sights, scale=seen.scale, within_px=reach).items():
        course, extent = courses[name]
        if name not in rivals and name not in told:
            if np.abs(one.likeliest).mean() > APART * UNIT_PX * seen.scale:
                doubts[name] = Beside(course.curve, np.zeros_like(course.curve), one.as_followed_px, one.apart_px)
            continue
        if one.doubt_px > MOST_DOUBT_PX * max(seen.scale, 0.5) and one.odds < LIKELY and name in rivals:
            continue
        curves[name] = (course.curve + one.likeliest, extent)
        as_told = name in told and np.abs(told[name].shift - one.likeliest).mean() <= least
        border = told[name].border if as_told and one.odds >= SURE else ""
        apart = one.apart_px if one.odds < SURE else 0.0
        doubts[name] = Beside(curves[name][0], one.shift - one.likeliest, one.doubt_px, apart, border)
    return curves, doubts


def _told(
    courses: Mapping[str, Followed], wider: Mapping[str, Followed], rivals: Mapping[str, Rival], seen: Look, view: PlaneView
) -> dict[str, Told]:
    """What parallax tells by the lines within the search alone, and, of edges that it does not tell then, by all near them: a
    trim is known by being as wide all round.

    An edge without a rival that would stay where it is keeps its doubt; one of which the two say otherwise is not told,
    and one that all of them leave open is told with more doubt.
    """
    least, strips = MOVED_PX * seen.scale, seen.outline
    near = told_by_parallax(courses, strips, view, seen.scale)
    far = told_by_parallax(wider, strips, view, seen.scale)
    out = {n: t for n, t in far.items() if n not in near and (n in rivals or np.abs(t.shift).mean() > least)}
    out |= {n: replace(t, doubt_px=float(np.hypot(t.doubt_px, UNSURE * t.wide_px))) for n, t in near.items() if n not in far}
    return out | {n: t for n, t in near.items() if n in far and np.abs(t.shift - far[n].shift).mean() <= least}


def _as_marked(name: str, followed: Followed, told: Told, seen: Look, settings: EdgeSettings) -> bool:
    """True where both ends of an edge that parallax tells lie as near to its rough corners as those are good."""
    strip, (course, extent) = seen.outline[name], followed
    at = np.clip(np.round(extent).astype(int), 0, strip.lines - 1)
    rough = strip.of_polyline(seen.marks.corners_px[list(OUTLINE_CORNERS[name])])
    off = np.abs(course.curve + told.shift - rough)[at]
    return bool(off.max() <= usual_reach_px(seen.scale, settings))
