"""Small line drawings with a few words each, for the pages that we print. Lengths are mm on the page."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

FONT = "Vera"
TEXT_PT, LEADING_PT = 6.4, 8.0
PEN_MM = 0.35
MOST_HIGH_MM, MOST_WIDE_MM = 22.0, 30.0


@dataclass(frozen=True)
class Step:
    """One step: which drawing, and its words, broken into lines."""

    drawing: str
    text: str


Box = tuple[float, float, float, float]
"""left, bottom, width, height in mm"""


def words(page: Canvas, at: tuple[float, float], text: str, *, size: float) -> None:
    """One line of text with its middle at `at`."""
    page.setFillColorRGB(0, 0, 0)
    page.setFont(FONT, size)
    page.drawCentredString(at[0] * mm, at[1] * mm - 0.35 * size, text)


def draw_steps(page: Canvas, steps: Sequence[Step], box: Box) -> None:
    """The steps side by side, numbered, each drawing above its words, filling the box from its top."""
    left, bottom, width, height = box
    cell = width / len(steps)
    lines = max(step.text.count("\n") for step in steps) + 1
    text_mm = lines * LEADING_PT / mm
    high = min(height - text_mm - 3.0, MOST_HIGH_MM)
    for k, step in enumerate(steps):
        x = left + k * cell
        wide = min(cell - 5.0, MOST_WIDE_MM)
        page.setLineWidth(PEN_MM * mm)
        page.setStrokeColorRGB(0, 0, 0)
        top = bottom + height
        DRAWINGS[step.drawing](page, (x, top - high, wide, high))
        page.setFillColorRGB(0, 0, 0)
        page.setFont(FONT, TEXT_PT)
        for i, line in enumerate(f"{k + 1}. {step.text}".split("\n")):
            page.drawString(x * mm, (top - high - 2.0) * mm - (i + 1) * LEADING_PT + 2, line)


def _lines(page: Canvas, box: Box, *polylines: Sequence[tuple[float, float]]) -> None:
    """Polylines whose points are shares of the box."""
    x, y, w, h = box
    for points in polylines:
        path = page.beginPath()
        path.moveTo((x + points[0][0] * w) * mm, (y + points[0][1] * h) * mm)
        for px, py in points[1:]:
            path.lineTo((x + px * w) * mm, (y + py * h) * mm)
        page.drawPath(path, stroke=1, fill=0)


def _rectangle(page: Canvas, box: Box, area: Box, *, black: bool = False) -> None:
    """A rectangle given in shares of the box."""
    x, y, w, h = box
    page.setFillColorRGB(0, 0, 0)
    page.rect((x + area[0] * w) * mm, (y + area[1] * h) * mm, area[2] * w * mm, area[3] * h * mm, stroke=1, fill=int(black))


def _arrow(page: Canvas, box: Box, a: tuple[float, float], b: tuple[float, float]) -> None:
    """A line with a mark at either end, as lengths are drawn."""
    flat = abs(a[0] - b[0]) > abs(a[1] - b[1])
    ticks = [((p[0], p[1] - 0.05), (p[0], p[1] + 0.05)) if flat else ((p[0] - 0.04, p[1]), (p[0] + 0.04, p[1])) for p in (a, b)]
    _lines(page, box, (a, b), *ticks)


def _frame(page: Canvas, box: Box, area: Box) -> None:
    """A black frame with a block in it."""
    x, y, w, h = area
    page.setLineWidth(1.1 * mm)
    _rectangle(page, box, area)
    page.setLineWidth(PEN_MM * mm)
    _rectangle(page, box, (x + 0.3 * w, y + 0.3 * h, 0.4 * w, 0.4 * h), black=True)


def _bars(page: Canvas, box: Box) -> None:
    _rectangle(page, box, (0.2, 0.02, 0.6, 0.96))
    _arrow(page, box, (0.3, 0.25), (0.62, 0.25))
    _arrow(page, box, (0.72, 0.35), (0.72, 0.85))
    words(page, (box[0] + 0.46 * box[2], box[1] + 0.6 * box[3]), "100 %", size=7)


def _measure(page: Canvas, box: Box) -> None:
    _frame(page, box, (0.15, 0.22, 0.6, 0.74))
    _arrow(page, box, (0.13, 0.07), (0.77, 0.07))
    _arrow(page, box, (0.9, 0.2), (0.9, 0.98))


def _measure_four(page: Canvas, box: Box) -> None:
    for x in (0.15, 0.5):
        for y in (0.22, 0.63):
            _frame(page, box, (x, y, 0.25, 0.33))
    _arrow(page, box, (0.13, 0.07), (0.77, 0.07))
    _arrow(page, box, (0.9, 0.2), (0.9, 0.98))


def _cut(page: Canvas, box: Box) -> None:
    page.setDash(1.2 * mm, 1.0 * mm)
    _lines(page, box, ((0.1, 0.5), (0.9, 0.5)), ((0.5, 0.05), (0.5, 0.95)))
    page.setDash()
    for x in (0.15, 0.6):
        for y in (0.1, 0.62):
            _frame(page, box, (x, y, 0.25, 0.28))


def _opening(page: Canvas, box: Box) -> None:
    _rectangle(page, box, (0.3, 0.06, 0.4, 0.88))
    _lines(page, box, ((0.0, 0.06), (1.0, 0.06)))


def _beside(page: Canvas, box: Box) -> None:
    _opening(page, box)
    _frame(page, box, (0.77, 0.35, 0.2, 0.33))


def _around(page: Canvas, box: Box) -> None:
    _opening(page, box)
    for x in (0.13, 0.77):
        for y in (0.12, 0.7):
            _frame(page, box, (x, y, 0.1, 0.18))


def _rim(page: Canvas, box: Box) -> None:
    _rectangle(page, box, (0.2, 0.05, 0.6, 0.9))
    _frame(page, box, (0.3, 0.2, 0.4, 0.6))
    for x, y in ((0.12, 0.88), (0.78, 0.88), (0.12, 0.02), (0.78, 0.02)):
        _rectangle(page, box, (x, y, 0.12, 0.08), black=True)


def _photo(page: Canvas, box: Box) -> None:
    _rectangle(page, box, (0.25, 0.5, 0.5, 0.48))
    for x in (0.12, 0.79):
        for y in (0.54, 0.82):
            _rectangle(page, box, (x, y, 0.08, 0.12), black=True)
    _rectangle(page, box, (0.43, 0.02, 0.14, 0.12), black=True)
    page.setDash(0.8 * mm, 0.8 * mm)
    _lines(page, box, ((0.05, 0.48), (0.5, 0.14), (0.95, 0.48)))
    page.setDash()


DRAWINGS: dict[str, Callable[[Canvas, Box], None]] = {
    "bars": _bars,
    "measure": _measure,
    "measure four": _measure_four,
    "cut": _cut,
    "beside": _beside,
    "around": _around,
    "rim": _rim,
    "photo": _photo,
}
