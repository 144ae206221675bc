"""The order sheet as PDF, A4 or Letter: drawings above, words in two columns, on a second page where they need one."""

from __future__ import annotations

import io

from reportlab.lib.utils import ImageReader
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas

from vision.report.record import Report
from vision.report.sheet import Sheet, order_sheet, words_on
from vision.report.sheet_columns import Column, flow, set_page
from vision.report.sheet_pen import BOLD, FONT, Pen, fitted, is_lossy, latin
from vision.report.sheet_shapes import GREY, INK, Drawing
from vision.report.sheet_words import TO_FILL, TO_SIGN

PAPERS: dict[str, tuple[float, float]] = {"a4": (595.276, 841.890), "letter": (612.0, 792.0)}
"""pt; ISO 216 A4 and ANSI/ASME Y14.1 size A"""
MARGIN, GUTTER = 26.0, 14.0
HEAD_PT, SIGN_PT = 46.0, 46.0
SMALL_PT = 7.0
"""pt; captions and what stands under the lines to sign"""
TITLE = "Order sheet"
PLAINLY = "Letters that this page's type lacks stand without accents or as ?; the HTML sheet has them as typed."


def sheet_pdf(report: Report, paper: str = "letter") -> bytes:
    """The sheet, the same bytes for the same report."""
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=PAPERS[paper], invariant=1, pageCompression=1)
    canvas.setTitle(TITLE)
    canvas.setAuthor("Tapewitness")
    canvas.setProducer("Tapewitness")
    canvas.setCreator("Tapewitness")
    _pages(Pen(canvas), order_sheet(report), PAPERS[paper])
    canvas.save()
    return out.getvalue()


def type_size(sheet: Sheet, paper: str) -> float:
    """The size of the letters (pt) in which this sheet is set on this paper."""
    return _pages(Pen(Canvas(io.BytesIO(), pagesize=PAPERS[paper])), sheet, PAPERS[paper])


def _pages(pen: Pen, sheet: Sheet, size: tuple[float, float]) -> float:
    """Draw all pages; returns the size of the letters in their columns."""
    width, height = size
    head = height - MARGIN - HEAD_PT
    top = _pictures(pen, sheet, width, head)
    first, further = _columns(width, top), _columns(width, head)
    letters, pages = flow(pen, sheet, first, further)
    for number, page in enumerate(pages, 1):
        _head(pen, sheet, width, height - MARGIN, f"{TITLE}, page {number} of {len(pages)}" if len(pages) > 1 else TITLE)
        set_page(pen, page, letters)
        if number == len(pages):
            _signatures(pen, width)
        else:
            pen.words(width - MARGIN, MARGIN + 4, f"Goes on, and is signed, on page {len(pages)}.", 7.5, BOLD, anchor="end")
        if any(map(is_lossy, words_on(sheet))):
            pen.words(MARGIN, MARGIN - 14, PLAINLY, 7, FONT)
        pen.canvas.showPage()
    return letters


def _columns(width: float, top: float) -> tuple[Column, Column]:
    """Both columns of a page below this height (pt)."""
    bottom, column = MARGIN + SIGN_PT, (width - 2 * MARGIN - GUTTER) / 2
    return Column(MARGIN, top, column, top - bottom), Column(MARGIN + column + GUTTER, top, column, top - bottom)


def _head(pen: Pen, sheet: Sheet, width: float, top: float, title: str) -> None:
    """Title, status in a box (filled for a hold, open for ready), and lines to fill in."""
    right = width - MARGIN
    large = 16 if title == TITLE else 12
    pen.words(MARGIN, top - 15, title, large, BOLD)
    box = stringWidth(sheet.status, BOLD, 13) + 16
    pen.box(right - box, top - 19, box, 19, filled=sheet.status == "HOLD")
    pen.words(
        right - box / 2, top - 14, sheet.status, 13, BOLD, anchor="middle", colour="#ffffff" if sheet.status == "HOLD" else INK
    )
    pen.words(right - box - 8, top - 8, sheet.meaning, 7.5, BOLD, anchor="end")
    room = right - box - 8 - (MARGIN + stringWidth(title, BOLD, large) + 8)
    pen.words(right - box - 8, top - 17, fitted(sheet.subject, FONT, 7.5, room), 7.5, FONT, anchor="end")
    y, share = top - 36, (width - 2 * MARGIN) / len(TO_FILL)
    for number, words in enumerate(TO_FILL):
        x = MARGIN + number * share
        pen.words(x, y, words, 7, FONT, colour=GREY)
        pen.rule(x + stringWidth(words, FONT, 7) + 4, y - 1, x + share - 10)


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
    lines = pen.wrapped(sheet.photo.caption, FONT, SMALL_PT, max(w, 0.6 * room[0]))
    for number, line in enumerate(lines):
        pen.words(at[0], at[1] - h - 8 - 8 * number, line, SMALL_PT, FONT)
    return h + 3 + 8 * len(lines)


def _drawing(pen: Pen, drawing: Drawing, x: float, top: float) -> float:
    """A drawing with its caption below; returns the height used."""
    pen.drawing(drawing, x, top - drawing.height)
    lines = pen.wrapped(drawing.caption, FONT, SMALL_PT, drawing.width)
    for number, line in enumerate(lines):
        pen.words(x, top - drawing.height - 7 - 8 * number, line, SMALL_PT, FONT)
    return drawing.height + 2 + 8 * len(lines)


def _signatures(pen: Pen, width: float) -> None:
    """Lines to sign at the foot."""
    share = (width - 2 * MARGIN) / len(TO_SIGN)
    for number, words in enumerate(TO_SIGN):
        x = MARGIN + number * share
        pen.rule(x, MARGIN + 12, x + share - 12)
        pen.words(x, MARGIN + 4, latin(words), SMALL_PT, FONT)
        pen.words(x, MARGIN - 4, "name, date, signature", SMALL_PT, FONT, colour=GREY)
