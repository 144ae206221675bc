"""The report as pictures: the photo with what was seen drawn in, and the opening as seen straight on.

Positions come from the adjusted edges and from `H_image_wall`, which leaves the lens term out; the overlay puts it back. The
numbers beside them come from the adjustment.
"""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.geometry.opening import SIZES, PhotoGeometry
from vision.report.drawing import CARD, EDGE, INK, MARKS, SIZE, VERTICAL, Canvas, Points, canvas
from vision.report.record import Report, known_quantities
from vision.units import MM_PER_INCH, inches_text, plus_minus

JPEG_QUALITY = 88
MARGIN_MM = 220.0
"""mm of wall shown round the rectified opening, with the cards that stand beside it"""
MAX_SIDE_PX = 3000
MAX_SIDE_MM = 15_000.0
"""mm; an opening that seems larger is seen so steeply that its rectified picture would show nothing"""
BAR_MM, BAR_IN = 500, 20
LABELS: Mapping[str, tuple[tuple[float, float], tuple[float, float]]] = {
    "width_top": ((0.5, 1.0), (0.5, -0.15)),
    "width_middle": ((0.5, 0.5), (0.5, 0.5)),
    "width_bottom": ((0.5, 0.0), (0.5, 1.15)),
    "height_left": ((0.0, 0.70), (-0.05, 0.5)),
    "height_right": ((1.0, 0.60), (1.05, 0.5)),
    "diagonal_rising": ((0.25, 0.25), (0.5, 0.5)),
    "diagonal_falling": ((0.75, 0.25), (0.5, 0.5)),
}
"""Where a label stands, as shares of the opening's width and height, and which part of the label is there: inside the
opening, hiding neither an edge nor another label. A width's own height counts instead of the second share."""


def overlay_jpeg(report: Report, photo_index: int) -> bytes:
    """The photo with the adjusted edges, the numbered cards, and the sizes at their place; draws whatever there is."""
    photo = report.photos[photo_index]
    sheet = canvas(photo.pixels)
    geometry = report.geometry_of(photo_index)
    if geometry is not None:
        for name, edge in geometry.edges_px.items():
            sheet.line(edge, EDGE, dashed=name in geometry.marked)
        if geometry.H_image_wall is not None and "left" in geometry.edges_px and "right" in geometry.edges_px:
            _draw_sizes(sheet, report, _Wall(geometry, geometry.H_image_wall))
        _draw_verticals(sheet, geometry)
    _draw_cards(sheet, report, report.number_of(photo_index))
    _draw_foot(sheet, report)
    out = io.BytesIO()
    sheet.finish().save(out, format="JPEG", quality=JPEG_QUALITY)
    return out.getvalue()


def rectified_png(report: Report, photo_index: int) -> bytes | None:
    """The opening straight on with a scale bar (at most 1 px per mm), or None where there is nothing to rectify."""
    geometry = report.geometry_of(photo_index)
    if geometry is None or geometry.H_image_wall is None:
        return None
    extent = _extent_mm(geometry, geometry.H_image_wall)
    if extent is None:
        return None
    x0, y0, x1, y1 = extent
    px_per_mm = min(1.0, MAX_SIDE_PX / max(x1 - x0, y1 - y0))
    size = (round((x1 - x0) * px_per_mm), round((y1 - y0) * px_per_mm))
    H_wall_sheet = np.array([[1 / px_per_mm, 0, x0], [0, -1 / px_per_mm, y1], [0, 0, 1]])
    H_image_sheet = geometry.H_image_wall @ H_wall_sheet
    flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    warped = cv2.warpPerspective(
        report.photos[photo_index].pixels,
        H_image_sheet,
        size,
        flags=flags,
        borderMode=cv2.BORDER_CONSTANT,
        borderValue=(235,) * 3,
    )
    refused = report.opening is not None and report.opening.scale_refused
    sheet = _with_scale_bar(np.asarray(warped, dtype=np.uint8), px_per_mm, refused=refused)
    out = io.BytesIO()
    sheet.finish().save(out, format="PNG")
    return out.getvalue()


class _Wall:
    """The opening in one photo: places in the wall, in mm, as pixels."""

    def __init__(self, geometry: PhotoGeometry, H_image_wall: NDArray[np.float64]) -> None:
        self.geometry, self.H_image_wall = geometry, H_image_wall
        H_wall_image = _inverse(H_image_wall)
        straight = {name: geometry.straightened(px) for name, px in geometry.edges_px.items()}
        self.edges_mm: Mapping[str, Points] = {name: apply(H_wall_image, px) for name, px in straight.items()}
        self.height_mm = float(max(self.edges_mm["left"][:, 1].max(), self.edges_mm["right"][:, 1].max()))

    def x_mm(self, side: str, y_mm: float) -> float:
        """Where a wall is at this height."""
        edge = self.edges_mm[side]
        order = np.argsort(edge[:, 1])
        return float(np.interp(y_mm, edge[order, 1], edge[order, 0]))

    def px(self, x_mm: Sequence[float], y_mm: Sequence[float]) -> Points:
        """The pixels of n places, shape (n, 2)."""
        return self.geometry.bent(apply(self.H_image_wall, np.column_stack([x_mm, y_mm])))

    def share(self, across: float, up: float) -> Points:
        """The pixel of a place given as shares of the width and the height."""
        y = up * self.height_mm
        left, right = self.x_mm("left", y), self.x_mm("right", y)
        return np.asarray(self.px([left + across * (right - left)], [y])[0])


def apply(H: NDArray[np.float64], points: Points) -> Points:
    """Points of shape (n, 2) through a homography."""
    mapped = np.column_stack([points, np.ones(len(points))]) @ H.T
    return np.asarray(mapped[:, :2] / mapped[:, 2:])


def _inverse(H: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.asarray(np.linalg.inv(H), dtype=np.float64)


def _draw_sizes(sheet: Canvas, report: Report, wall: _Wall) -> None:
    assert report.opening is not None
    known = set(known_quantities(report.opening))
    places: list[tuple[str, Points]] = []
    for name in SIZES:
        if name not in known:
            continue
        if name.startswith("width"):
            y = report.opening.at_mm[name]
            ends = wall.px((wall.x_mm("left", y), wall.x_mm("right", y)), (y, y))
            sheet.line(ends, SIZE, width=0.7)
            places.append((name, ends.mean(axis=0)))
        else:
            if name.startswith("diagonal"):
                a, b = ((0.0, 0.0), (1.0, 1.0)) if name.endswith("rising") else ((0.0, 1.0), (1.0, 0.0))
                sheet.line(np.array([wall.share(*a), wall.share(*b)]), SIZE, width=0.5, dashed=True)
            places.append((name, wall.share(*LABELS[name][0])))
    for name, at in places:
        verdict = report.comparison.readings.get(name)
        mark = verdict.verdict if verdict else None
        sheet.label((at[0], at[1]), _size_lines(report, name), mark=mark, anchor=LABELS[name][1])


def _size_lines(report: Report, name: str) -> list[str]:
    assert report.opening is not None
    quantities = report.opening.quantities
    value, u = quantities.value(name), quantities.u(name)
    lines = [f"{name.replace('_', ' ')}  {inches_text(value)}", plus_minus(value, u, "mm")]
    verdict = report.comparison.readings.get(name)
    if verdict is not None:
        lines.append(f"tape {inches_text(verdict.tape_mm)}: {verdict.verdict}")
    return lines


def _draw_cards(sheet: Canvas, report: Report, photo_number: int) -> None:
    for card in report.cards:
        if card.photo == photo_number:
            corners = np.asarray(card.corners_px, dtype=np.float64)
            sheet.line(np.vstack([corners, corners[:1]]), CARD, dashed=not card.used)
            x, y = corners.mean(axis=0)
            sheet.number((float(x), float(y)), card.number)
            if not card.used:
                sheet.label((float(x), float(y) + 2.2 * sheet.text_px), ["not used"])


def _draw_verticals(sheet: Canvas, geometry: PhotoGeometry) -> None:
    """Plumb lines, levels and joints where they were followed, each with its name near its first end."""
    for name, ends in geometry.verticals_px.items():
        sheet.line(ends, VERTICAL)
        x, y = ends[0] + 0.12 * (ends[1] - ends[0])
        sheet.label((float(x), float(y)), [name], anchor=(-0.05, 0.5))


def _draw_foot(sheet: Canvas, report: Report) -> None:
    """A line or two of words at the foot: what the signs mean, or why there are no sizes."""
    lines = ["after ± stands one standard deviation"]
    if report.opening is not None and any(photo.marked for photo in report.opening.photos):
        lines.append("a dashed edge was not seen; it stands as its corners were marked")
    if report.opening is not None and any(photo.verticals_px for photo in report.opening.photos):
        lines.append("a named orange line was followed as what its name says")
    if report.cannot_measure is not None:
        lines = [f"not measured: found {report.cannot_measure.found}", report.cannot_measure.remedy]
    elif report.opening is not None and report.opening.scale_refused:
        lines = ["the photo's scale is refused, so there are no sizes"]
    rows = sheet.pixels.shape[0]
    x = 0.0
    for verdict in MARKS:
        if any(one.verdict == verdict for one in report.comparison.readings.values()):
            sheet.label((x, rows - 4.5 * sheet.text_px), [verdict], mark=verdict)
            x = sheet.taken[-1][2] + 4 * sheet.text_px
    sheet.label((0.0, float(rows)), [_fitting(line, sheet) for line in lines], free=False)


def _fitting(line: str, sheet: Canvas) -> str:
    most = int(sheet.pixels.shape[1] / (0.55 * sheet.text_px))
    return line if len(line) <= most else line[: most - 3] + "..."


def _extent_mm(geometry: PhotoGeometry, H_image_wall: NDArray[np.float64]) -> tuple[float, float, float, float] | None:
    points = np.vstack([apply(_inverse(H_image_wall), edge) for edge in geometry.edges_px.values()])
    low, high = points.min(axis=0) - MARGIN_MM, points.max(axis=0) + MARGIN_MM
    if not np.all(np.isfinite(points)) or max(high - low) > MAX_SIDE_MM:
        return None
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def _with_scale_bar(picture: NDArray[np.uint8], px_per_mm: float, *, refused: bool) -> Canvas:
    """The picture on a white foot with a bar of 500 mm above one of 20 in; no bar where the scale is refused."""
    probe = canvas(picture)
    step = 2 * probe.text_px
    foot = np.full((4 * step, picture.shape[1], 3), 255, dtype=np.uint8)
    sheet = Canvas(np.vstack([picture, foot]), probe.unit)
    base = picture.shape[0]
    middle = picture.shape[1] / 2
    if refused:
        sheet.label((middle, base + 2.0 * step), ["the photo's scale is refused: no scale bar"])
        return sheet
    for row, (length_mm, tick_mm, words) in enumerate(
        ((float(BAR_MM), 100.0, f"{BAR_MM} mm"), (BAR_IN * MM_PER_INCH, 5 * MM_PER_INCH, f"{BAR_IN} in"))
    ):
        y = base + (0.8 + 1.2 * row) * step
        _bar(sheet, (step, y), length_mm * px_per_mm, round(length_mm / tick_mm))
        sheet.label((step + length_mm * px_per_mm + probe.text_px, y), [words], anchor=(0.0, 0.5), free=False)
    sheet.label((0.0, base + 3.5 * step), ["for looking at; the sizes are in the report"], free=False)
    return sheet


def _bar(sheet: Canvas, start: tuple[float, float], length_px: float, ticks: int) -> None:
    x, y = start
    sheet.line(np.array([[x, y], [x + length_px, y]]), INK, width=2, under=False)
    for tick in range(ticks + 1):
        at = x + length_px * tick / ticks
        half = (6 if tick in (0, ticks) else 3) * sheet.unit
        sheet.line(np.array([[at, y - half], [at, y + half]]), INK, width=1, under=False)
