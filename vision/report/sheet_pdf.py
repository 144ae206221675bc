"""The order sheet as one PDF page, A4 or Letter: drawings above, words in two columns that shrink until all of them fit."""

from __future__ import annotations

import io

from reportlab.lib.utils import ImageReader
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas

from vision.report.record import Report
from vision.report.sheet import Sheet, order_sheet
from vision.report.sheet_columns import Column, flow
from vision.report.sheet_pen import BOLD, FONT, Pen, fitted, latin
from vision.report.sheet_shapes import GREY, INK, Drawing
from vision.report.sheet_words import TO_FILL, TO_SIGN

PAPERS: dict[str, tuple[float, float]] = {"a4": (595.276, 841.890), "letter": (612.0, 792.0)}
"""pt; ISO 216 A4 and ANSI/ASME Y14.1 size A"""
MARGIN, GUTTER = 26.0, 14.0
HEAD_PT, SIGN_PT = 46.0, 46.0
TITLE = "Order sheet"


def sheet_pdf(report: Report, paper: str = "letter") -> bytes:
    """The page, the same bytes for the same report."""
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=PAPERS[paper], invariant=1, pageCompression=1)
    canvas.setTitle(TITLE)
    canvas.setAuthor("Tapewitness")
    canvas.setProducer("Tapewitness")
    canvas.setCreator("Tapewitness")
    _page(Pen(canvas), order_sheet(report), PAPERS[paper])
    canvas.showPage()
    canvas.save()
    return out.getvalue()


def type_size(sheet: Sheet, paper: str) -> float:
    """The size of the letters (pt) at which this sheet fits on this paper."""
    return _page(Pen(Canvas(io.BytesIO(), pagesize=PAPERS[paper])), sheet, PAPERS[paper])


def _page(pen: Pen, sheet: Sheet, size: tuple[float, float]) -> float:
    """Draw the page; returns the size of the letters in its columns."""
    width, height = size
    top = _head(pen, sheet, width, height - MARGIN)
    top = _pictures(pen, sheet, width, top)
    bottom = _signatures(pen, width)
    column = (width - 2 * MARGIN - GUTTER) / 2
    columns = (Column(MARGIN, top, column, top - bottom), Column(MARGIN + column + GUTTER, top, column, top - bottom))
    return flow(pen, sheet, columns)


def _head(pen: Pen, sheet: Sheet, width: float, top: float) -> float:
    """Title, status in a box (filled for a hold, open for ready), and lines to fill in; returns where it ends."""
    right = width - MARGIN
    pen.words(MARGIN, top - 15, TITLE, 16, BOLD)
    box = stringWidth(sheet.status, BOLD, 13) + 16
    pen.box(right - box, top - 19, box, 19, filled=sheet.status == "HOLD")
    pen.words(
        right - box / 2, top - 14, sheet.status, 13, BOLD, anchor="middle", colour="#ffffff" if sheet.status == "HOLD" else INK
    )
    pen.words(right - box - 8, top - 8, sheet.meaning, 7.5, BOLD, anchor="end")
    room = right - box - 8 - (MARGIN + 96)
    pen.words(right - box - 8, top - 17, fitted(sheet.subject, FONT, 7.5, room), 7.5, FONT, anchor="end")
    y, share = top - 36, (width - 2 * MARGIN) / len(TO_FILL)
    for number, words in enumerate(TO_FILL):
        x = MARGIN + number * share
        pen.words(x, y, words, 7, FONT, colour=GREY)
        pen.rule(x + stringWidth(words, FONT, 7) + 4, y - 1, x + share - 10)
    return top - HEAD_PT


def _pictures(pen: Pen, sheet: Sheet, width: float, top: float) -> float:
    """Opening on the left; photo and walls, and the panes below them, on the right; returns where they end."""
    high = 0.0
    if sheet.opening is not None:
        high = max(high, _drawing(pen, sheet.opening, MARGIN, top))
    right_x = MARGIN + (sheet.opening.width + 8 if sheet.opening is not None else 0.0)
    room = width - MARGIN - right_x
    upper = 0.0
    walls_w = sheet.walls.width + 6 if sheet.walls is not None else 0.0
    if sheet.walls is not None:
        upper = _drawing(pen, sheet.walls, width - MARGIN - sheet.walls.width, top)
    if sheet.photo is not None:
        upper = max(upper, _photo(pen, sheet, (right_x, top), (room - walls_w, 114.0 if sheet.panes else 260.0)))
    lower = 0.0
    if sheet.panes is not None:
        lower = _drawing(pen, sheet.panes, right_x + (room - sheet.panes.width) / 2, top - upper - 4)
    return top - max(high, upper + lower + 4) - 4


def _photo(pen: Pen, sheet: Sheet, at: tuple[float, float], room: tuple[float, float]) -> float:
    """The photo as large as the room allows, its words below; returns the height used."""
    assert sheet.photo is not None
    k = min(room[0] / sheet.photo.width, room[1] / sheet.photo.height)
    w, h = sheet.photo.width * k, sheet.photo.height * k
    pen.canvas.drawImage(ImageReader(io.BytesIO(sheet.photo.jpeg)), at[0], at[1] - h, w, h)
    lines = pen.wrapped(sheet.photo.caption, FONT, 5.5, max(w, 0.6 * room[0]))
    for number, line in enumerate(lines):
        pen.words(at[0], at[1] - h - 7 - 6.2 * number, line, 5.5, FONT)
    return h + 3 + 6.2 * len(lines)


def _drawing(pen: Pen, drawing: Drawing, x: float, top: float) -> float:
    """A drawing with its caption below; returns the height used."""
    pen.drawing(drawing, x, top - drawing.height)
    lines = pen.wrapped(drawing.caption, FONT, 5.5, drawing.width)
    for number, line in enumerate(lines):
        pen.words(x, top - drawing.height - 6 - 6.2 * number, line, 5.5, FONT)
    return drawing.height + 2 + 6.2 * len(lines)


def _signatures(pen: Pen, width: float) -> float:
    """Lines to sign at the foot; returns where they begin."""
    share = (width - 2 * MARGIN) / len(TO_SIGN)
    for number, words in enumerate(TO_SIGN):
        x = MARGIN + number * share
        pen.rule(x, MARGIN + 12, x + share - 12)
        pen.words(x, MARGIN + 4, latin(words), 6.5, FONT)
        pen.words(x, MARGIN - 4, "name, date, signature", 5.5, FONT, colour=GREY)
    return MARGIN + SIGN_PT
