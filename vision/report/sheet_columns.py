"""The words of the order sheet in two columns: on the first page if letters of a readable size fit there, else on further pages.

Nothing is left out and nothing is set smaller than what is read without a glass.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from reportlab.pdfbase.pdfmetrics import stringWidth

from vision.report.sheet import Entry, Sheet
from vision.report.sheet_pen import BOLD, FONT, Pen, fitted
from vision.report.sheet_shapes import Mark

LEAST_PT = 7.0
"""pt; no smaller letters (by judgement: paper is read at arm's length on site)"""
SIZES_PT = (8.0, 7.5, LEAST_PT)
"""pt; for one page, the largest that fits; with more pages the first"""
LEADING = 1.16
COLUMN_SHARES = (0.0, 0.20, 0.385, 0.535, 0.635, 0.83)
"""where the cells of a reading begin, as shares of the column"""


CELL_GAP_PT = 2.0
"""pt between cells"""


@dataclass(frozen=True)
class Column:
    """Room for words: left edge, top, width and height."""

    x: float
    top: float
    width: float
    height: float


@dataclass(frozen=True)
class _Piece:
    """One line of type: words with their fonts, how far in, and what may not stand alone below it."""

    parts: tuple[tuple[str, str], ...] = ()
    indent: float = 0.0
    verdict: str | None = None
    cells: tuple[str, ...] = ()
    bold: bool = False
    space: float = 0.0
    """lines of air above it"""
    keep: bool = False
    """stays with the next line"""


@dataclass(frozen=True)
class Page:
    """The words of one page, each where it stands."""

    placed: tuple[tuple[_Piece, Column, float], ...]


def flow(pen: Pen, sheet: Sheet, first: Sequence[Column], further: Sequence[Column]) -> tuple[float, list[Page]]:
    """The size of the letters (pt), and the pages: one with `first` columns at the largest size that fits, or as many as it takes
    with `further` columns each."""
    for size in SIZES_PT:
        placed = _placed(list(_pieces(pen, sheet, size, first[0].width)), size, first)
        if placed is not None:
            return size, [Page(tuple(placed))]
    pieces, columns = list(_pieces(pen, sheet, SIZES_PT[0], first[0].width)), list(first)
    placed = None
    while placed is None:  # a page more takes at least one piece more, so this ends
        columns += further
        placed = _placed(pieces, SIZES_PT[0], columns)
    ends = [columns[: len(first)]] + [columns[i : i + len(further)] for i in range(len(first), len(columns), len(further))]
    return SIZES_PT[0], [Page(tuple(one for one in placed if any(one[1] is column for column in page))) for page in ends]


def set_page(pen: Pen, page: Page, size: float) -> None:
    """Set the words of one page."""
    for piece, column, y in page.placed:
        _set(pen, piece, column, y, size)


def _pieces(pen: Pen, sheet: Sheet, size: float, width: float) -> Iterator[_Piece]:
    if sheet.readings.rows:
        yield _Piece(cells=sheet.readings.head, bold=True, keep=True)
        for verdict, cells in sheet.readings.rows:
            yield from _row(pen, verdict, cells, size, width)
    for section in sheet.sections:
        yield _Piece(parts=((section.title, BOLD),), space=0.55, keep=True)
        for entry in section.entries:
            yield from _entry(pen, entry, size, width)


def _row(pen: Pen, verdict: str, cells: tuple[str, ...], size: float, width: float) -> Iterator[_Piece]:
    """One reading, on as many lines as its longest cell needs; the mark stands on the first."""
    ends = (*COLUMN_SHARES[1:], 1.0)
    rooms = [(end - share) * width - CELL_GAP_PT for share, end in zip(COLUMN_SHARES, ends, strict=True)]
    parts = [pen.wrapped(cell, FONT, _cell_size(size), room) for cell, room in zip(cells[:-1], rooms[:-1], strict=True)]
    lines = max(1, *map(len, parts))
    for number in range(lines):
        last = cells[-1] if number == 0 else ""
        line = (*(part[number] if number < len(part) else "" for part in parts), last)
        yield _Piece(cells=line, verdict=verdict if number == 0 else None, keep=number + 1 < lines)


def _cell_size(size: float) -> float:
    return max(LEAST_PT, 0.92 * size)


def _entry(pen: Pen, entry: Entry, size: float, width: float) -> Iterator[_Piece]:
    """The bold beginning and the rest run on; continuation lines are indented like the first."""
    indent = 0.9 * size
    room = width - indent
    lead = pen.wrapped(entry.lead, BOLD, size, room) if entry.lead else []
    for line in lead[:-1]:
        yield _Piece(parts=((line, BOLD),), indent=indent, keep=True)
    last = f"{lead[-1]}  " if lead else ""
    used = stringWidth(last, BOLD, size)
    first, rest = _first_line(pen, entry.text, size, room - used, room)
    yield _Piece(parts=((last, BOLD), (first, FONT)), indent=indent, verdict="bullet")
    for line in rest:
        yield _Piece(parts=((line, FONT),), indent=indent)


def _first_line(pen: Pen, text: str, size: float, room: float, full: float) -> tuple[str, list[str]]:
    words = text.split()
    taken = 0
    while taken < len(words) and stringWidth(" ".join(words[: taken + 1]), FONT, size) <= room:
        taken += 1
    rest = " ".join(words[taken:])
    return " ".join(words[:taken]), pen.wrapped(rest, FONT, size, full) if rest else []


def _placed(pieces: list[_Piece], size: float, columns: Sequence[Column]) -> list[tuple[_Piece, Column, float]] | None:
    """Where each piece stands, or None where they do not fit."""
    step = LEADING * size
    placed: list[tuple[_Piece, Column, float]] = []
    number, y = 0, columns[0].top - size
    for i, piece in enumerate(pieces):
        y -= piece.space * step if y < columns[number].top - size else 0.0
        lines = 2 if piece.keep and i + 1 < len(pieces) else 1
        if y - (lines - 1) * step < columns[number].top - columns[number].height:
            number += 1
            if number == len(columns):
                return None
            y = columns[number].top - size
        placed.append((piece, columns[number], y))
        y -= step
    return placed


def _set(pen: Pen, piece: _Piece, column: Column, y: float, size: float) -> None:
    if piece.cells:
        _cells(pen, piece, column, y, size)
        return
    x = column.x + piece.indent
    if piece.verdict == "bullet":
        pen.rule(column.x + 0.1 * size, y + 0.28 * size, column.x + 0.55 * size, width=0.8)
    for text, font in piece.parts:
        pen.words(x, y, text, size, font)
        x += stringWidth(text, font, size)
    if piece.space:
        pen.rule(column.x, y - 0.2 * size, column.x + column.width, width=0.4)


def _cells(pen: Pen, piece: _Piece, column: Column, y: float, size: float) -> None:
    font, smaller = (BOLD if piece.bold else FONT), _cell_size(size)
    ends = (*COLUMN_SHARES[1:], 1.0)
    for share, end, cell in zip(COLUMN_SHARES, ends, piece.cells, strict=True):
        indent = 1.1 * size if cell == piece.cells[-1] and piece.verdict is not None else 0.0
        room = (end - share) * column.width - indent - CELL_GAP_PT
        pen.words(column.x + share * column.width + indent, y, fitted(cell, font, smaller, room), smaller, font)
    if piece.verdict is not None:
        at = (column.x + COLUMN_SHARES[-1] * column.width + 0.4 * size, y + 0.3 * size)
        pen.mark(Mark(at, piece.verdict, 0.33 * size))
