"""An edge of the opening along which no line can be followed: the two corners that a person marked stand for it.

A towel, a shadow, two surfaces of one colour, or a trim whose two borders lie too far apart: then nothing is seen of where the
edge runs between its corners, and each end is as uncertain as the mark. The other edges are measured as ever, so a curb that
cannot be seen costs the heights, not the widths. The bow of such an edge is refused, and the finding holds the order.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from vision.errors import CannotMeasure, Finding
from vision.geometry.arris_sight import UNIT_PX
from vision.geometry.edges import EdgePoints
from vision.geometry.look import Look
from vision.geometry.reach import BEYOND_STATED, usual_reach_px
from vision.geometry.rivals import remedy_for
from vision.geometry.rough_outline import OUTLINE_CORNERS, RoughEdges
from vision.geometry.seen import SeenPhoto
from vision.geometry.which_line import own_line
from vision.settings import EdgeSettings

Array = NDArray[np.float64]
MOST_MARKED = 1
"""edges for which the marks may stand; with more, nothing says that they belong to this opening at all"""
OFF_SHARE = 0.7
"""sd of a mark across an edge over how far marks may be off. Anywhere in a disc it is 0.5; where nothing is seen near a mark, one
that is further off is likelier than elsewhere (by judgement)"""
SEEN_WELL, OWN_SD_PX = -0.5, 5.0
"""support from which the line that the network sees stands instead, and sd (px at 12 MP) of its ends: of 1 439 such edges of four
authors, each by weights that had not seen them, rms 3.2, 95 % within 10 where there is a rival (where marks are off by 6 to 7)"""
AT_ENDS = 0.96
"""places of the two points, -1 to 1 along the edge: where the points of a followed one end"""
POINT_SD_PX = 0.5
"""px; beside the doubt of the marks it says nothing"""
MANY_PX = 100.0
"""px; no line to be told apart"""
BETTER_SIGHT = "take away what stands before it, or take the photo again in better light"


def marked_px(seen: Look, settings: EdgeSettings) -> float:
    """sd (px) of a marked corner across an edge."""
    within = seen.corners_within_px
    return OFF_SHARE * (settings.search_px / BEYOND_STATED * seen.scale if within is None else within)


def rough_curves(seen: Look, names: Sequence[str], settings: EdgeSettings) -> RoughEdges:
    """The edges as straight lines between their corners."""
    out: RoughEdges = {}
    for name in names:
        strip, ends = seen.outline[name], _where(seen, name, settings)[0]
        out[name] = (strip.of_polyline(ends), strip.extent(ends[0], ends[1]))
    return out


def marked_edges(seen: Look, names: Sequence[str], settings: EdgeSettings) -> dict[str, EdgePoints]:
    """The edges as two points each, near the marked corners."""
    return {name: _marked(*_where(seen, name, settings)) for name in names}


def _where(seen: Look, name: str, settings: EdgeSettings) -> tuple[Array, float]:
    """Ends (2, 2) px of an edge and their sd: the marked corners, or a line beside them along which all looks like an arris."""
    sight = seen.sights.get(name)
    if sight is not None and seen.corners_within_px is None:
        line = own_line(sight, UNIT_PX * seen.scale / usual_reach_px(seen.scale, settings))
        if float(sight.support(line[None])[0]) >= SEEN_WELL:
            return sight.points(line), OWN_SD_PX * seen.scale
    return _ends(seen, name), marked_px(seen, settings)


def _ends(seen: Look, name: str) -> Array:
    assert seen.corners_px is not None
    return np.asarray(seen.corners_px[list(OUTLINE_CORNERS[name])], dtype=np.float64)


def _marked(ends: Array, sd_px: float) -> EdgePoints:
    along = np.array([-AT_ENDS, AT_ENDS])
    share = (along[:, None] + 1) / 2
    points = (1 - share) * ends[0] + share * ends[1]
    return EdgePoints(points, np.full(2, POINT_SD_PX), along, sd_px, np.nan, 0.0, 0.0, 0.0, np.zeros(3), marked=True)


def unfollowed(photos: Sequence[SeenPhoto]) -> frozenset[str]:
    """Names of the edges that no photo shows."""
    seen = {n for p in photos for n, points in p.outline.items() if not points.marked}
    return frozenset(n for p in photos for n in p.outline if n not in seen)


def bow_unseen(name: str) -> CannotMeasure:
    """Why the bow of a wall is not given, whose edge no photo shows."""
    return CannotMeasure(
        "edges",
        "edge-hidden",
        found=f"no line to follow along the {name}",
        needed="the edge in sight from curb to head",
        remedy=BETTER_SIGHT,
    )


def marked_findings(photos: Sequence[SeenPhoto]) -> list[Finding]:
    """What was taken as marked, in words."""
    return [_finding(p, name, apart) for p in photos for name, apart in p.unclear.items()]


def _finding(photo: SeenPhoto, name: str, apart_px: float) -> Finding:
    seen = photo.look
    lines = f"Two lines some {apart_px:.0f} pixels apart are nearly as clear" if apart_px else "No line can be followed"
    sd = photo.outline[name].bias_sd_px
    again = remedy_for([apart_px or MANY_PX])
    steps = [again] if apart_px else [BETTER_SIGHT] if seen.corners_within_px is not None else [again, BETTER_SIGHT]
    text = "; or ".join(steps)
    return Finding(
        "edge-hidden",
        f"{lines} along the {name} in {seen.name}, so it was taken straight, at or beside its marked corners, "
        f"each with a standard deviation of {sd:.0f} pixels.",
        f"{text[0].upper()}{text[1:]}.",
    )
