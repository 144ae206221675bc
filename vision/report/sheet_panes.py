"""The panes as a fabricator needs them: to scale, seen from outside, widths at bottom and top, heights, the square edge."""

from __future__ import annotations

from vision.judge.door_records import DoorOrder, Pane
from vision.report.record import Report
from vision.report.sheet_shapes import PALE, PT_PER_MM, Area, Drawing, Item, Line, Point, Words, nice_scale
from vision.units import inches_text

SIDE_PT, NOTES_PT, FOOT_PT, HEAD_PT = 22.0, 62.0, 20.0, 18.0
"""pt left of a pane for its height, right of it for words, below and above for its widths"""

HINGE_PT = 2.4
"""pt; the edge that the hinges are on"""


def panes_drawing(report: Report, width: float, height: float) -> Drawing | None:
    """Every pane beside the other, or None where none has a size."""
    door = report.order.door
    if door is None or not door.panes:
        return None
    panes = sorted(door.panes, key=lambda pane: pane.at_x_mm)
    share = width / len(panes)
    widest = max(max(pane.bottom_mm, pane.top_mm) for pane in panes)
    highest = max(pane.left_mm for pane in panes)
    scale = nice_scale(widest, highest, share - SIDE_PT - NOTES_PT, height - FOOT_PT - HEAD_PT)
    items: list[Item] = []
    for number, pane in enumerate(panes):
        items += _pane(pane, scale, (number * share + share / 2, FOOT_PT), _hinge_edge(pane, door))
    held = "" if report.order.status == "ready" else "; sizes to order once every hold is cleared"
    hinged = ", hinge edge drawn thick" if any(_hinge_edge(pane, door) for pane in panes) else ""
    caption = f"Glass seen from outside, to scale 1 : {scale}{hinged}{held}"
    return Drawing(width, height, tuple(items), caption)


def _hinge_edge(pane: Pane, door: DoorOrder) -> str | None:
    """The side that a door hangs on; None for glass without hinges."""
    return door.hinge_wall if pane.name == "door" else None


def outline(pane: Pane) -> tuple[Point, Point, Point, Point]:
    """Bottom left, bottom right, top right, top left of a pane, mm from its bottom left corner."""
    start = pane.bottom_mm - pane.top_mm if pane.tapered_edge == "left" else 0.0
    return ((0.0, 0.0), (pane.bottom_mm, 0.0), (start + pane.top_mm, pane.right_mm), (start, pane.left_mm))


def _pane(pane: Pane, scale: int, foot: Point, hinge: str | None) -> list[Item]:
    k = PT_PER_MM / scale
    left, base = foot[0] + (SIDE_PT - NOTES_PT) / 2 - k * pane.bottom_mm / 2, foot[1]
    a, b, c, d = ((left + k * x, base + k * y) for x, y in outline(pane))
    bottom, top, high = (inches_text(v, denominator=32, down=True) for v in (pane.bottom_mm, pane.top_mm, pane.left_mm))
    edges = ["square"] if pane.tapered_edge is None else [f"{pane.tapered_edge} edge tapered", f"{pane.square_edge} edge square"]
    middle, beside = (a[1] + d[1]) / 2, max(b[0], c[0]) + 5
    notes = [pane.name, pane.thickness.split(" (")[0], *edges, *([f"hinges {hinge}"] if hinge else [])]
    items: list[Item] = [
        Area((a, b, c, d), PALE, width=0.9),
        Words(((a[0] + b[0]) / 2, base - 8), bottom, 6.5, "middle", bold=True),
        Words(((a[0] + b[0]) / 2, base - 14.5), f"{pane.bottom_mm:.1f} mm", 5.5, "middle"),
        Words(((c[0] + d[0]) / 2, max(c[1], d[1]) + 8.5), top, 6.5, "middle", bold=True),
        Words(((c[0] + d[0]) / 2, max(c[1], d[1]) + 2.5), f"{pane.top_mm:.1f} mm", 5.5, "middle"),
        Words((min(a[0], d[0]) - 9, middle), high, 6.5, "middle", bold=True, turned=True),
        Words((min(a[0], d[0]) - 3, middle), f"{pane.left_mm:.1f} mm", 5.5, "middle", turned=True),
        *(Words((beside, middle + 8 - 7.5 * i), text, 6.5, bold=i == 0) for i, text in enumerate(notes)),
    ]
    if hinge is not None:
        items.append(Line((a, d) if hinge == "left" else (b, c), HINGE_PT))
    if pane.square_edge is not None:
        corner, way = (a, 1) if pane.square_edge == "left" else (b, -1)
        s = 5.0 * way
        points = ((corner[0] + s, corner[1]), (corner[0] + s, corner[1] + 5), (corner[0], corner[1] + 5))
        items.append(Line(points, 0.8))
    return items
