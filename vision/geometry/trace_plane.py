"""A line inside a wall that goes on down to the curb: the inner border of a frame, a lining or a wide trim, or a joint?

The curb's top hides all that lies deeper than its front edge, so a line that is seen down to the curb lies in the opening's plane
(`trace_front.py`), and which of the two is the wall's edge is for a person to say.
"""

from __future__ import annotations

from vision.geometry.trace_front import front_at, inner_lines, turned
from vision.geometry.trace_lines import Line, View
from vision.geometry.trace_quads import Quad

FURTHEST = 0.06
"""of the opening's height: 120 mm in an opening of 2 m, as wide as most trims (common practice, no source)"""
CLEAR = 0.5
"""of the edge's own clearness, from which a line further in may be meant"""
FRONT = 0.5
"""0 to 1, of `trace_front.front_at`: as likely in the plane as deeper in"""


def inner_walls(view: View, quad: Quad) -> dict[str, Line]:
    """Walls (left, right) inside of which such a line is seen, with the line."""
    corners, sideways = quad.corners(view), turned(view)
    furthest = FURTHEST * float(corners[:2, 1].mean() - corners[2:, 1].mean())
    top, curb = quad.head[0].line if quad.head else Line(quad.top, 0.0), quad.curb[0].line
    out = {}
    for name, wall, inward in (("left", quad.left, 1), ("right", quad.right, -1)):
        clear = [one for one in inner_lines(sideways, (top, curb), wall, inward, furthest) if one.share >= CLEAR]
        lines = [one.line for one in clear if (front_at(sideways, curb, (wall, one.line), -1, inward) or 0.0) >= FRONT]
        if lines:
            out[name] = lines[0]
    return out
