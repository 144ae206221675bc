"""Readings on their edges: lengths along what they measure, level readings beside the wall or curb that they were read on."""

from __future__ import annotations

from collections.abc import Iterator

from reportlab.pdfbase.pdfmetrics import stringWidth

from vision.judge.verdicts import ReadingVerdict
from vision.report.record import Report
from vision.report.sheet_pen import BOLD, FONT
from vision.report.sheet_shapes import GREY, Item, Line, Mark, Point, Words, arrow
from vision.report.sheet_words import SHORT_NAMES, level_amount
from vision.units import inches_text

BIG, SMALL = 6.5, 5.5
"""pt; letters of a label's first and second line"""
MARK_PT = 4.5
"""pt; from a label's first letter to the middle of its mark"""
BOTTOM = 0.06
"""share of the height at which the bottom width is drawn, and the top one under the head"""
SHARE, MOST = 0.27, 0.41
"""where the label of a diagonal stands along it, and how far up where the opening is narrow"""
DIRECTIONS = ("into", "out", "plumb", "high", "low", "level", "straight")
"""words of which a level reading as written has one, unless its direction was stated apart"""
MIDDLE_X, MIDDLE_Y = 0.72, 0.3
"""where the middle height stands in the opening, and its label, as shares"""


def label(verdict: ReadingVerdict, at: Point, *, turned: bool = False, short: bool = False) -> list[Item]:
    """Inches and the verdict's word over millimetres on white, the verdict's mark before them; `short`: the word is below."""
    first = _first(verdict, short=short)
    before = stringWidth(first, BOLD, BIG) / 2 + MARK_PT
    second = f"{verdict.tape_mm:.1f} mm  {verdict.verdict}" if short else f"{verdict.tape_mm:.1f} mm"
    x, y = at
    if turned:
        return [
            Words((x - 1.5, y), first, BIG, "middle", bold=True, turned=True, ground=True),
            Words((x + 6.0, y), second, SMALL, "middle", turned=True, ground=True),
            Mark((x - 3.8, y - before), verdict.verdict),
        ]
    return [
        Words((x, y + 1.8), first, BIG, "middle", bold=True, ground=True),
        Words((x, y - 6.0), second, SMALL, "middle", ground=True),
        Mark((x - before, y + 4.0), verdict.verdict),
    ]


def _first(verdict: ReadingVerdict, *, short: bool = False) -> str:
    inches = inches_text(verdict.tape_mm, denominator=32)
    return inches if short else f"{inches}  {verdict.verdict}"


def diagonals(report: Report, outline: tuple[Point, ...]) -> list[Item]:
    """Both diagonals dashed, each with its label inside the walls."""
    a, b, c, d = outline
    there = [
        (verdict, start, end)
        for name, start, end in (("diagonal_rising", a, c), ("diagonal_falling", d, b))
        if (verdict := report.comparison.readings.get(name)) is not None
    ]
    items: list[Item] = [Line((start, end), 0.4, GREY, dashed=True) for _, start, end in there]
    for verdict, start, end in there:
        items += label(verdict, _on_diagonal(verdict, start, end, outline))
    return items


def _on_diagonal(verdict: ReadingVerdict, start: Point, end: Point, outline: tuple[Point, ...]) -> Point:
    """Where the label of a diagonal stands: further up it where the opening is narrow, so that it keeps clear of the wall."""
    a, b, _, d = outline
    wanted = max(a[0], d[0]) + _half(verdict) + 2 * MARK_PT
    share = min(MOST, max(SHARE, (wanted - start[0]) / (end[0] - start[0])))
    x, y = start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1])
    return max(x, min(wanted, (a[0] + b[0]) / 2 + MARK_PT)), y


def _half(verdict: ReadingVerdict) -> float:
    """Half the length (pt) of a label's first line, and a little air."""
    return float(stringWidth(_first(verdict), BOLD, BIG)) / 2 + 2


def heights(report: Report, outline: tuple[Point, ...]) -> list[Item]:
    """Left and right height outside the walls."""
    a, b, c, d = outline
    items: list[Item] = []
    for name, foot, top, way in (("height_left", a, d, -1), ("height_right", b, c, 1)):
        verdict = report.comparison.readings.get(name)
        if verdict is not None:
            x = min(foot[0], top[0]) - 19 if way < 0 else max(foot[0], top[0]) + 17
            items += arrow((x, foot[1]), (x, top[1]))
            items += label(verdict, (x, (foot[1] + top[1]) / 2), turned=True)
    return items


def middle_height(report: Report, outline: tuple[Point, ...]) -> list[Item]:
    """The middle height inside the opening, to be drawn before the widths that cross it."""
    a, b, c, d = outline
    verdict = report.comparison.readings.get("height_middle")
    if verdict is None:
        return []
    low, high = a[1] + MIDDLE_X * (b[1] - a[1]), d[1] + MIDDLE_X * (c[1] - d[1])
    x, y = a[0] + MIDDLE_X * (b[0] - a[0]), low + MIDDLE_Y * (high - low)
    rising = report.comparison.readings.get("diagonal_rising")
    beside, above = _on_diagonal(rising, a, c, outline) if rising is not None else (0.0, 0.0)
    narrow = rising is not None and beside + _half(rising) > x - BIG
    if narrow:  # between the bottom width's label and the diagonal's, which would both touch it
        y = (a[1] + BOTTOM * (d[1] - a[1]) + above) / 2
    return [*arrow((x, low), (x, high)), *label(verdict, (x, y), turned=True, short=narrow)]


def levels(report: Report, outline: tuple[Point, ...]) -> list[Item]:
    """Plumb and bow along their wall, outside the heights; level and fall of the curb under it."""
    a, b, c, d = outline
    left, right = min(a[0], d[0]) - 29.0, max(b[0], c[0]) + 30.0
    items: list[Item] = []
    for side, x, foot, top in (("left", left, a, d), ("right", right, b, c)):
        for kind, share in (("plumb", 0.25), ("bow", 0.75)):
            items += _level(report, f"{kind}_{side}", (x, foot[1] + share * (top[1] - foot[1])), turned=True)
    items += _level(report, "curb_level", ((a[0] + b[0]) / 2, min(a[1], b[1]) - 13.0), turned=False)
    if "curb_fall" in report.recorded:
        words = f"fall of the curb front to back: {report.recorded['curb_fall']}"
        items.append(Words(((a[0] + b[0]) / 2, min(a[1], b[1]) - 19.5), words, SMALL, "middle"))
    return items


def _level(report: Report, name: str, at: Point, *, turned: bool) -> Iterator[Item]:
    verdict = report.comparison.readings.get(name)
    if verdict is None:
        return
    own = verdict.text if name not in report.repeats and any(word in verdict.text for word in DIRECTIONS) else None
    words = f"{SHORT_NAMES[name]}: {own or level_amount(name, verdict.tape_mm)}  {verdict.verdict}"
    before = stringWidth(words, FONT, SMALL) / 2 + MARK_PT
    yield Words(at, words, SMALL, "middle", turned=turned)
    x, y = at
    yield Mark((x - 1.8, y - before) if turned else (x - before, y + 1.8), verdict.verdict)
