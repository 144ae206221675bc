"""The opening drawn to scale with every reading on its edge, and a bar to check the printer's scale by."""

from __future__ import annotations

from collections.abc import Mapping

from vision.gaussian import Gaussian
from vision.judge.evidence import HEIGHTS
from vision.judge.figure import BOWS, LEANS
from vision.judge.walls import known_walls
from vision.report.record import Report, known_quantities, outward
from vision.report.sheet_edges import BOTTOM, diagonals, heights, label, levels, middle_height
from vision.report.sheet_shapes import (
    INK,
    PALE,
    PT_PER_MM,
    Area,
    Drawing,
    Item,
    Line,
    Point,
    Words,
    arrow,
    nice_scale,
)
from vision.units import MM_PER_INCH

OUTLINE_WIDTH = 1.4
"""pt; the outline of the opening, and nothing else, is drawn this wide"""
SIDE_PT, FOOT_PT, HEAD_PT = 34.0, 40.0, 12.0
"""pt round the outline for the heights, the scale bar and the title"""
BARS = ((20 * MM_PER_INCH, "20 in"), (500.0, "500 mm"))
WALL_PT = 7.0


class _Place:
    """Millimetres of the opening -> points of the drawing."""

    def __init__(self, scale: int, origin: Point) -> None:
        self.k = PT_PER_MM / scale
        self.origin = origin

    def __call__(self, x_mm: float, y_mm: float) -> Point:
        return (self.origin[0] + self.k * x_mm, self.origin[1] + self.k * y_mm)


def opening_drawing(report: Report, width: float, height: float) -> Drawing | None:
    """The opening as read by the tape (by the photo where a reading is missing), or None where no width or height is known."""
    sizes = _sizes(report)
    stated = stated_height(report)
    corners = _corners(sizes, _leans(report), stated)
    if corners is None:
        return None
    wide = max(x for x, _ in corners) - min(x for x, _ in corners)
    high = max(y for _, y in corners)
    scale = nice_scale(wide, high, width - 2 * SIDE_PT, height - FOOT_PT - HEAD_PT)
    used_w, used_h = wide * PT_PER_MM / scale, high * PT_PER_MM / scale
    left = (width - used_w) / 2 - min(x for x, _ in corners) * PT_PER_MM / scale
    at = _Place(scale, (left, FOOT_PT + max(0.0, (height - FOOT_PT - HEAD_PT - used_h) / 2)))
    outline = tuple(at(*corner) for corner in corners)
    items: list[Item] = [*_walls(outline), Area(outline, None, INK, OUTLINE_WIDTH), *diagonals(report, outline)]
    items += middle_height(report, outline)
    items += _width_lines(report, corners, at)
    items += heights(report, outline)
    items += levels(report, outline)
    items += _bars(scale, width)
    known = "" if _leans(report) else "; how the walls lean is not known, so the left wall is drawn plumb"
    above = "" if report.opening is None or report.opening.has_head else "; nothing closes it above"
    return Drawing(width, height, tuple(items), f"The opening seen from outside, to scale 1 : {scale}{above}{known}")


def _sizes(report: Report) -> Mapping[str, float]:
    """Lengths in mm by name: the tape's, else the photo's."""
    sizes: dict[str, float] = {}
    if report.opening is not None:
        quantities = report.opening.quantities
        sizes = {n: quantities.value(n) for n in known_quantities(report.opening) if n.startswith(("width_", "height_"))}
        sizes.pop("width_over_height", None)
    return sizes | {name: verdict.tape_mm for name, verdict in report.comparison.readings.items()}


def wall_quantities(report: Report) -> Gaussian | None:
    """What is known of the walls (leans in mm/m, bows in mm), by photo or tape, or None where no lean is."""
    known = known_walls(outward(report.opening), report.closure)
    if known is None or not set(LEANS) <= set(known.names):
        return None
    return known.select([name for name in (*LEANS, *BOWS) if name in known.names])


def stated_height(report: Report) -> float | None:
    """Height of the opening in mm: the photo's or the stated one, else what the readings make it; None where nothing does."""
    if report.opening is not None and report.opening.height_mm is not None:
        return report.opening.height_mm
    figure = report.closure.figure
    heights = [] if figure is None else [figure.value(name) for name in HEIGHTS if name in figure.names]
    return sum(heights) / len(heights) if heights else report.height_mm


def _leans(report: Report) -> tuple[float, float] | None:
    walls = wall_quantities(report)
    return None if walls is None else (walls.value("lean_left") / 1000, walls.value("lean_right") / 1000)


def _corners(
    sizes: Mapping[str, float], leans: tuple[float, float] | None, stated_mm: float | None
) -> tuple[Point, Point, Point, Point] | None:
    """Bottom left, bottom right, top right, top left, mm; the widths are kept, the leans say how the taper is shared.

    `stated_mm` is the height where none was read or seen.
    """
    widths = [sizes[name] for name in ("width_bottom", "width_middle", "width_top") if name in sizes]
    heights = [sizes.get("height_left"), sizes.get("height_right")]
    known = [value for value in (*heights, stated_mm) if value is not None]
    if not widths or not known:
        return None
    bottom, top = sizes.get("width_bottom", widths[0]), sizes.get("width_top", widths[-1])
    left_high, right_high = (value if value is not None else known[0] for value in heights)
    shift = 0.0
    if leans is not None:
        mean = (left_high + right_high) / 2
        shift = (leans[0] - leans[1]) / 2 * mean - (top - bottom) / 2
    return ((0.0, 0.0), (bottom, 0.0), (shift + top, right_high), (shift, left_high))


def _walls(outline: tuple[Point, ...]) -> list[Item]:
    """Walls and curb as pale bands outside the outline."""
    a, b, c, d = outline
    w = WALL_PT
    return [
        Area(((a[0], a[1] - w), a, d, (d[0] - w, d[1]), (a[0] - w, a[1] - w)), PALE, None),
        Area(((b[0], b[1] - w), b, c, (c[0] + w, c[1]), (b[0] + w, b[1] - w)), PALE, None),
        Area((a, b, (b[0], b[1] - w), (a[0], a[1] - w)), PALE, None),
    ]


def _width_lines(report: Report, corners: tuple[Point, ...], at: _Place) -> list[Item]:
    """Each width at its height: bottom and top just inside the outline, the middle half way."""
    (x0, _), (x1, _), (x2, y2), (x3, y3) = corners
    high = min(y2, y3)
    items: list[Item] = []
    shares = {"width_bottom": BOTTOM, "width_middle": 0.5, "width_top": 1 - BOTTOM}
    for name, share in shares.items():
        verdict = report.comparison.readings.get(name)
        if verdict is None:
            continue
        y = share * high
        left, right = at(x0 + share * (x3 - x0), y), at(x1 + share * (x2 - x1), y)
        items += arrow(left, right)
        items += label(verdict, ((left[0] + right[0]) / 2, left[1]))
    return items


def _bars(scale: int, width: float) -> list[Item]:
    """Two bars of stated length: whoever prints at another size sees it."""
    items: list[Item] = []
    for row, (length, words) in enumerate(BARS):
        long, y = length * PT_PER_MM / scale, 12.0 - 8.0 * row
        start = (width - long) / 2 - 20
        items += [Line(((start, y), (start + long, y)), 1.0)]
        items += [Line(((x, y - 2), (x, y + 2)), 0.6) for x in (start, start + long)]
        items.append(Words((start + long + 4, y - 2), f"{words} at 1 : {scale}", 5.5))
    return items
