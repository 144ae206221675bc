"""The shape of both walls as a picture: curve and 95 % band over the height, sideways enlarged, the tape's heights marked."""

from __future__ import annotations

import io

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.geometry.opening import WIDTHS, WallShape
from vision.report.drawing import EDGE, INK, Canvas, Colour, Points
from vision.report.record import Report
from vision.units import inches_text, plus_minus

SIZE_PX = (1200, 1000)
"""columns, rows"""
TOP_PX, FOOT_PX, HALF_PX = 120, 120, 200
"""room above and below the walls, and half the width of a wall's panel"""
CENTRES_PX = {"left": 300, "right": 900}
COVER_95 = 1.959964
"""standard deviations; two-sided 95 % of the normal distribution"""
BAND: Colour = (178, 205, 232)
GRID: Colour = (205, 205, 205)
TAPE: Colour = (200, 90, 0)
ROUND_MM = (1, 2, 5, 10, 20, 50, 100, 200, 500)


def walls_png(report: Report) -> bytes | None:
    """Both walls as seen from outside, or None where no shape is known.

    Left and right are as in the photo, so the left wall bulging into the opening goes to the right.
    """
    opening = report.opening
    if opening is None or opening.scale_refused or not opening.wall_shapes:
        return None
    sheet = Canvas(np.full((SIZE_PX[1], SIZE_PX[0], 3), 255, dtype=np.uint8), unit=1.3)
    most = max(float(np.abs(s.value_mm).max() + COVER_95 * s.u_mm.max()) for s in opening.wall_shapes.values())
    tick = next((r for r in ROUND_MM if r >= most / 2.5), ROUND_MM[-1])
    height = max(float(s.at_mm[-1]) for s in opening.wall_shapes.values())
    at = {n: opening.at_mm[n] for n in WIDTHS if n in opening.at_mm}
    for side, shape in opening.wall_shapes.items():
        _panel(sheet, side, shape, (height, float(tick)), at)
    against = next(iter(opening.wall_shapes.values())).against
    plumb = "a plumb line through its foot" if against == "plumb" else "the line from its foot to its top (no vertical: bow only)"
    sheet.label((SIZE_PX[0] / 2, 10), [f"Each wall against {plumb}, seen from outside"], anchor=(0.5, 0.0), free=False)
    enlarged = 0.4 * HALF_PX / tick / ((SIZE_PX[1] - TOP_PX - FOOT_PX) / height)
    words = f"curve: wall; band: 95 %; dashed: where the widths are taken; sideways {enlarged:.0f} times enlarged"
    sheet.label((SIZE_PX[0] / 2, SIZE_PX[1] - 8), [words], anchor=(0.5, 1.0), free=False)
    out = io.BytesIO()
    sheet.finish().save(out, format="PNG")
    return out.getvalue()


def _panel(sheet: Canvas, side: str, shape: WallShape, scale: tuple[float, float], at: dict[str, float]) -> None:
    """One wall: ticks, band, curve and the heights of the widths."""
    height, tick = scale
    sign = 1.0 if side == "left" else -1.0

    def px(value: NDArray[np.float64], y: NDArray[np.float64]) -> Points:
        x = CENTRES_PX[side] + sign * np.asarray(value) * 0.4 * HALF_PX / tick
        rows = SIZE_PX[1] - FOOT_PX - np.asarray(y) * (SIZE_PX[1] - TOP_PX - FOOT_PX) / height
        return np.stack([np.clip(x, 0, SIZE_PX[0] - 1), rows], axis=-1)

    top = np.array([0.0, height])
    for k in range(-2, 3):
        line = px(np.full(2, k * tick), top)
        sheet.line(line, INK if k == 0 else GRID, width=0.8, under=False)
        sheet.label((line[0, 0], line[0, 1] + 4), [f"{k * tick:+g}" if k else "0"], anchor=(0.5, 0.0), free=False)
    low, high = (px(shape.value_mm + s * COVER_95 * shape.u_mm, shape.at_mm) for s in (-1, 1))
    band = np.vstack([low, high[::-1]])
    layer = sheet.pixels.copy()
    cv2.fillPoly(layer, [np.round(band * 16).astype(np.int32)], BAND, cv2.LINE_AA, 4)
    sheet.pixels[:] = np.minimum(sheet.pixels, layer)
    for name, y in at.items():
        value = float(np.interp(y, shape.at_mm, shape.value_mm))
        u = float(np.interp(y, shape.at_mm, shape.u_mm))
        ends = px(np.array([-2.5 * tick, 2.5 * tick]), np.full(2, y))
        sheet.line(ends, TAPE, width=0.8, dashed=True, under=False)
        said = plus_minus(value, COVER_95 * u, "mm", signed=True)
        text = f"{name.removeprefix('width_')} {inches_text(y)}: {said} (95 %)"
        outer = ends[:, 0].min() if side == "left" else ends[:, 0].max()
        sheet.label((float(outer), ends[0, 1]), [text], anchor=(0.0 if side == "left" else 1.0, -0.1 if y > height / 2 else 1.1))
    sheet.line(px(shape.value_mm, shape.at_mm), EDGE, width=1.6, under=False)
    title = f"{side} wall, mm into the opening"
    sheet.label((CENTRES_PX[side], TOP_PX - 8), [title], anchor=(0.5, 1.0), free=False)
