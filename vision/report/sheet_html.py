"""The order sheet as one HTML file: the same words and drawings, everything inside the file, to print as it is."""

from __future__ import annotations

import base64
from collections.abc import Iterator
from html import escape

from reportlab.pdfbase.pdfmetrics import stringWidth

from vision.report.drawing import MARKS
from vision.report.record import Report
from vision.report.sheet import Entry, Readings, Section, Sheet, order_sheet
from vision.report.sheet_columns import LEAST_PT
from vision.report.sheet_pdf import type_size
from vision.report.sheet_pen import BOLD, FONT, latin
from vision.report.sheet_shapes import INK, Area, Drawing, Item, Line, Mark, Words
from vision.report.sheet_words import TO_FILL, TO_SIGN

STYLE = """
@page { size: %(page)s; margin: 7mm }
* { box-sizing: border-box }
body { font: %(size).2fpt/1.16 Helvetica, Arial, "Liberation Sans", sans-serif; color: #14182a; width: 553pt; margin: 0 auto }
header { display: grid; grid-template-columns: auto 1fr auto; gap: 8pt; align-items: start }
header div { text-align: right } h1 { font-size: 16pt; line-height: 1; margin: 0; white-space: nowrap }
h2 { font-size: 1.05em; margin: 0.4em 0 0; border-bottom: 0.5pt solid #14182a; break-after: avoid }
header .status { border: 1.2pt solid #14182a; padding: 0 8pt; font-size: 13pt; font-weight: bold }
.status.hold { background: #14182a; color: #fff; print-color-adjust: exact; -webkit-print-color-adjust: exact }
.fill, .sign { display: flex; gap: 14pt; margin: 4pt 0 } .fill div, .sign div { flex: 1 }
.fill div { border-bottom: 0.5pt solid #14182a; color: #5a5a5a; padding-top: 4pt }
.sign div { border-top: 0.5pt solid #14182a; margin-top: 16pt }
.pictures { display: grid; grid-template-columns: 262pt 284pt; gap: 6pt } figure { margin: 0 }
.upper { display: flex; gap: 6pt; align-items: flex-start } .upper img { display: block }
svg { display: block } td svg { display: inline } figcaption { font-size: 7pt }
.words { columns: 2; column-gap: 14pt; margin-top: 4pt }
table { border-collapse: collapse; width: 100%%; font-size: max(7pt, 0.92em) }
td, th { text-align: left; padding: 0; white-space: nowrap }
ul { margin: 0.15em 0 0; padding-left: 1.4em } li { break-inside: avoid } @media screen { body { padding: 8pt 0 } }
"""
NARROWER = 0.88
"""of the PDF's letters: a reader's own letters may be wider than the standard ones that the PDF is set in"""
RIGHT_PT = 284
"""width of the column beside the opening"""
PHOTO_PT = (114, 250)
"""height of the photo beside panes, and without"""
PAGE_NAMES = {"a4": "A4", "letter": "letter"}


def sheet_html(report: Report, paper: str = "letter") -> str:
    """The whole file, the same text for the same report."""
    sheet = order_sheet(report)
    style = {"page": PAGE_NAMES[paper], "size": max(LEAST_PT, NARROWER * type_size(sheet, paper))}
    return "\n".join(
        (
            '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">',
            '<meta name="viewport" content="width=device-width, initial-scale=1">',
            f"<title>Order sheet: {escape(sheet.status.lower())}</title>",
            f"<style>{STYLE % style}</style>\n</head>\n<body>",
            *_body(sheet),
            "</body>\n</html>\n",
        )
    )


def _body(sheet: Sheet) -> Iterator[str]:
    yield f"<header><h1>Order sheet</h1><div><strong>{escape(sheet.meaning)}</strong><br>{escape(sheet.subject)}</div>"
    yield f'<div class="status {escape(sheet.status.lower())}">{escape(sheet.status)}</div></header>'
    yield f'<div class="fill">{"".join(f"<div>{escape(words)}</div>" for words in TO_FILL)}</div>'
    yield f'<div class="pictures"><div>{_figure(sheet.opening)}</div><div><div class="upper">'
    if sheet.photo is not None:
        data = base64.b64encode(sheet.photo.jpeg).decode()
        wide = RIGHT_PT - (sheet.walls.width + 6 if sheet.walls is not None else 0)
        k = min(wide / sheet.photo.width, PHOTO_PT[0 if sheet.panes is not None else 1] / sheet.photo.height)
        size = f'style="width:{k * sheet.photo.width:.2f}pt;height:{k * sheet.photo.height:.2f}pt"'
        yield f'<figure><img alt="{escape(sheet.photo.caption)}" {size} src="data:image/jpeg;base64,{data}">'
        yield f"<figcaption>{escape(sheet.photo.caption)}</figcaption></figure>"
    yield f"{_figure(sheet.walls)}</div>{_figure(sheet.panes)}</div></div>"
    yield '<div class="words">'
    if sheet.readings.rows:
        yield _readings(sheet.readings)
    yield from (_section(section) for section in sheet.sections)
    yield "</div>"
    yield f'<div class="sign">{"".join(f"<div>{escape(words)}<br>name, date, signature</div>" for words in TO_SIGN)}</div>'


def _figure(drawing: Drawing | None) -> str:
    if drawing is None:
        return ""
    caption = f'<figcaption style="max-width:{drawing.width:g}pt">{escape(drawing.caption)}</figcaption>'
    return f"<figure>{svg(drawing)}{caption}</figure>"


def _readings(readings: Readings) -> str:
    head = "".join(f"<th>{escape(cell)}</th>" for cell in readings.head)
    rows = []
    for verdict, cells in readings.rows:
        sign = svg(Drawing(7, 6, (Mark((3.5, 2.8), verdict, 2.6),), ""))
        words = [escape(cell) for cell in cells[:-1]] + [f"{sign} {escape(cells[-1])}"]
        rows.append(f"<tr>{''.join(f'<td>{word}</td>' for word in words)}</tr>")
    return f"<section><table><thead><tr>{head}</tr></thead><tbody>{''.join(rows)}</tbody></table></section>"


def _section(section: Section) -> str:
    return f"<section><h2>{escape(section.title)}</h2><ul>{''.join(_entry(one) for one in section.entries)}</ul></section>"


def _entry(entry: Entry) -> str:
    lead = f"<strong>{escape(entry.lead)}</strong> " if entry.lead else ""
    return f"<li>{lead}{escape(entry.text)}</li>"


def svg(drawing: Drawing) -> str:
    """A drawing as SVG, one unit a point, so that its printed scale is the stated one."""
    body = "".join(_item(item, drawing.height) for item in drawing.items)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{drawing.width:g}pt" height="{drawing.height:g}pt" '
        f'viewBox="0 0 {drawing.width:g} {drawing.height:g}" role="img" aria-label="{escape(drawing.caption)}">{body}</svg>'
    )


def _item(item: Item, high: float) -> str:
    if isinstance(item, Line):
        dash = ' stroke-dasharray="2 1.6"' if item.dashed else ""
        style = f'fill="none" stroke="{item.colour}" stroke-width="{item.width:g}"'
        return f'<polyline points="{_points(item.points, high)}" {style}{dash}/>'
    if isinstance(item, Area):
        stroke = "" if item.stroke is None else f' stroke="{item.stroke}" stroke-width="{item.width:g}"'
        return f'<polygon points="{_points(item.points, high)}" fill="{item.fill or "none"}"{stroke}/>'
    if isinstance(item, Mark):
        return _mark(item, high)
    return _words(item, high)


def _points(points: tuple[tuple[float, float], ...], high: float) -> str:
    return " ".join(f"{x:.3f},{high - y:.3f}" for x, y in points)


def _mark(mark: Mark, high: float) -> str:
    shape, (red, green, blue) = MARKS[mark.verdict]
    colour, r = f"#{red:02x}{green:02x}{blue:02x}", mark.size
    x, y = mark.at[0], high - mark.at[1]
    if shape == "disc":
        return f'<circle cx="{x:.3f}" cy="{y:.3f}" r="{r:g}" fill="{colour}"/>'
    if shape == "triangle":
        return f'<polygon points="{x:.3f},{y - r:.3f} {x + r:.3f},{y + r:.3f} {x - r:.3f},{y + r:.3f}" fill="{colour}"/>'
    side = 2 * r - 0.8
    at = f'x="{x - r + 0.4:.3f}" y="{y - r + 0.4:.3f}" width="{side:.3f}" height="{side:.3f}"'
    return f'<rect {at} fill="none" stroke="{colour}" stroke-width="0.9"/>'


def _words(words: Words, high: float) -> str:
    x, y = words.at[0], high - words.at[1]
    style = f'font-size="{words.size:g}" text-anchor="{words.anchor}" fill="{INK}"'
    weight = ' font-weight="bold"' if words.bold else ""
    turn = f' transform="rotate(-90 {x:.3f} {y:.3f})"' if words.turned else ""
    ground = ' stroke="#fff" stroke-width="2" paint-order="stroke"' if words.ground else ""
    long = stringWidth(latin(words.text), BOLD if words.bold else FONT, words.size)
    fixed = f'textLength="{long:.3f}" lengthAdjust="spacingAndGlyphs"'  # marks stand beside words, whatever the letters
    return f'<text x="{x:.3f}" y="{y:.3f}" {style}{weight}{turn}{ground} {fixed}>{escape(words.text)}</text>'
