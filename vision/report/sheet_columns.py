"""The words of the order sheet in two columns: the letters shrink until everything fits.

Readings, holds, sizes and cautions always stand on the page. Where even small letters do not fit, sections that are not needed
on paper lose their last lines, and the page says where the rest is.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from reportlab.pdfbase.pdfmetrics import stringWidth

from vision.report.sheet import Entry, Section, Sheet
from vision.report.sheet_pen import BOLD, FONT, Pen, fitted
from vision.report.sheet_shapes import Mark

SIZES_PT = (8.0, 7.5, 7.0, 6.6, 6.2, 5.8, 5.4, 5.0)
TINY_PT = (4.5, 4.0, 3.5, 3.0)
"""pt; before a hold is left out, letters that need a glass"""
LEADING = 1.16
REST = Entry("", "More of this is in the report.")
COLUMN_SHARES = (0.0, 0.20, 0.385, 0.535, 0.635, 0.83)
"""where the cells of a reading begin, as shares of the column"""


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


def flow(pen: Pen, sheet: Sheet, columns: Sequence[Column]) -> float:
    """Set the sheet's words into these columns at the largest size (pt) at which they fit, and return it."""
    sections: list[Section] | None = list(sheet.sections)
    shorter = sections
    while shorter is not None:
        sections = shorter
        size = _try(pen, sheet, sections, columns, SIZES_PT)
        if size is not None:
            return size
        shorter = _shortened(sections)
    size = _try(pen, sheet, sections or [], columns, TINY_PT)
    if size is None:
        raise ValueError("the words of the order sheet do not fit on a page")
    return size


def _try(pen: Pen, sheet: Sheet, sections: Sequence[Section], columns: Sequence[Column], sizes: Sequence[float]) -> float | None:
    """Set the words at the first of these sizes at which they fit, and return it; None where none does."""
    for size in sizes:
        placed = _placed(list(_pieces(pen, sheet, sections, size, columns[0].width)), size, columns)
        if placed is not None:
            for piece, column, y in placed:
                _set(pen, piece, column, y, size)
            return size
    return None


def _shortened(sections: Sequence[Section]) -> list[Section] | None:
    """One line less in the longest section that need not be whole; None where nothing is left to cut."""
    can = [i for i, section in enumerate(sections) if not section.needed and len(section.entries) > 1]
    if not can:
        return None
    longest = max(can, key=lambda i: len(sections[i].entries))
    entries = tuple(entry for entry in sections[longest].entries if entry != REST)[:-1]
    return [replace(s, entries=(*entries, REST)) if i == longest else s for i, s in enumerate(sections)]


def _pieces(pen: Pen, sheet: Sheet, sections: Sequence[Section], size: float, width: float) -> Iterator[_Piece]:
    if sheet.readings.rows:
        yield _Piece(cells=sheet.readings.head, bold=True, keep=True)
        for verdict, cells in sheet.readings.rows:
            yield _Piece(cells=cells, verdict=verdict)
    for section in sections:
        yield _Piece(parts=((section.title, BOLD),), space=0.55, keep=True)
        for entry in section.entries:
            yield from _entry(pen, entry, size, width)


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
    font, smaller = (BOLD if piece.bold else FONT), 0.92 * size
    ends = (*COLUMN_SHARES[1:], 1.0)
    for share, end, cell in zip(COLUMN_SHARES, ends, piece.cells, strict=True):
        indent = 1.1 * size if cell == piece.cells[-1] and piece.verdict is not None else 0.0
        room = (end - share) * column.width - indent - 2
        pen.words(column.x + share * column.width + indent, y, fitted(cell, font, smaller, room), smaller, font)
    if piece.verdict is not None:
        at = (column.x + COLUMN_SHARES[-1] * column.width + 0.4 * size, y + 0.3 * size)
        pen.mark(Mark(at, piece.verdict, 0.33 * size))
