"""How the walls stand: lean and bow as a curve over the height, drawn too large by a stated factor, with its 95 % band."""

from __future__ import annotations

import numpy as np

from vision.gaussian import Array, Gaussian
from vision.report.record import Report
from vision.report.sheet_opening import stated_height, wall_quantities
from vision.report.sheet_shapes import GREY, INK, PALE, PT_PER_MM, Area, Drawing, Item, Line, Point, Words, nice_scale
from vision.units import inches_text

FACTORS = (50, 40, 30, 25, 20, 15, 10, 8, 5, 4, 3, 2, 1)
COVERAGE = 2.0
STEPS = 25
FOOT_PT, HEAD_PT, SIDE_PT = 26.0, 8.0, 10.0


def walls_drawing(report: Report, width: float, height: float) -> Drawing | None:
    """Both walls against plumb lines through their feet, or None where the leans are not known."""
    walls = wall_quantities(report)
    high_mm = stated_height(report)
    if walls is None or high_mm is None:
        return None
    scale = nice_scale(1.0, high_mm, width, height - FOOT_PT - HEAD_PT)
    k = PT_PER_MM / scale
    y = np.linspace(0.0, high_mm, STEPS)
    curves = {side: wall_curve(walls, side, y, high_mm) for side in ("left", "right")}
    room = (width - 2 * SIDE_PT) / 4
    widest = max(float(np.max(np.abs(into) + COVERAGE * u)) for into, u in curves.values())
    factor = next((f for f in FACTORS if widest * k * f <= room), FACTORS[-1])
    items: list[Item] = []
    for side, sign, foot_x in (("left", 1, SIDE_PT + room), ("right", -1, width - SIDE_PT - room)):
        into, u = curves[side]
        items += _wall(foot_x, sign * k * factor * into, COVERAGE * k * factor * u, FOOT_PT + k * y)
        lean, u_lean = walls.value(f"lean_{side}"), walls.u(f"lean_{side}")
        reach = inches_text(COVERAGE * u_lean * high_mm / 1000, denominator=32)
        items.append(Words((foot_x, FOOT_PT - 9), f"{side} wall", 6.5, "middle", bold=True))
        items.append(Words((foot_x, FOOT_PT - 16), _lean_words(lean * high_mm / 1000), 6, "middle"))
        items.append(Words((foot_x, FOOT_PT - 22.5), f"+/- {reach} (95 %)", 5.5, "middle"))
    items.append(Line(((SIDE_PT, FOOT_PT), (width - SIDE_PT, FOOT_PT)), 0.8))
    caption = f"Wall shape over the height: lean and bow drawn {factor} times too large against plumb (dashed), band = 95 %"
    return Drawing(width, height, tuple(items), caption)


def _lean_words(into_mm: float) -> str:
    """How the top of a wall stands against its foot: 'top 3/32 in inward', 'top 1/32 in outward', 'plumb'."""
    amount = inches_text(abs(into_mm), denominator=32)
    return "plumb" if amount == "0 in" else f"top {amount} {'inward' if into_mm > 0 else 'outward'}"


def wall_curve(walls: Gaussian, side: str, y_mm: Array, height_mm: float) -> tuple[Array, Array]:
    """How far into the opening a wall stands at these heights, and its standard deviation (mm, both of the shape of y).

    x(y) = lean y + 4 bow (y/H)(1 - y/H), the bow being the excess at half the height; where no bow is known it is a line.
    """
    share = y_mm / height_mm
    names = [f"lean_{side}"]
    columns = [y_mm / 1000.0]
    if f"bow_{side}" in walls.names:
        names.append(f"bow_{side}")
        columns.append(4.0 * share * (1.0 - share))
    J = np.column_stack(columns)
    own = walls.select(names)
    return J @ own.mean, np.sqrt(np.maximum(0.0, np.einsum("ij,jk,ik->i", J, own.covariance, J)))


def _wall(foot_x: float, dx: Array, band: Array, y: Array) -> list[Item]:
    low: list[Point] = [(float(foot_x + d - b), float(v)) for d, b, v in zip(dx, band, y, strict=True)]
    high: list[Point] = [(float(foot_x + d + b), float(v)) for d, b, v in zip(dx, band, y, strict=True)]
    middle = tuple((float(foot_x + d), float(v)) for d, v in zip(dx, y, strict=True))
    return [
        Area((*low, *reversed(high)), PALE, None),
        Line(tuple(low), 0.25, GREY),
        Line(tuple(high), 0.25, GREY),
        Line(((foot_x, float(y[0])), (foot_x, float(y[-1]))), 0.5, GREY, dashed=True),
        Line(middle, 1.2, INK),
    ]
