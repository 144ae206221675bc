"""A pen for the PDF: words, rules, boxes, and the order sheet's drawings, in points."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass

from reportlab.lib.colors import HexColor
from reportlab.lib.utils import simpleSplit
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas

from vision.report.drawing import MARKS
from vision.report.sheet_shapes import INK, Anchor, Area, Drawing, Line, Mark, Words
from vision.tape.tokens import VULGAR

FONT, BOLD = "Helvetica", "Helvetica-Bold"
_PLAIN = {"″": '"', "′": "'", "−": "-", "‑": "-", "≤": "<=", "≥": ">="}


def latin(text: str) -> str:
    """Text in the letters of the standard fonts: other fractions are written out, letters lose accents that the fonts lack, and
    anything else becomes a question mark."""
    return "".join(_set_as(c) for c in _spelt(text))


def is_lossy(text: str) -> bool:
    """Whether a letter of it is not printed as it was typed: without its accent, or as a question mark."""
    return any(_set_as(c) != c for c in _spelt(text))


def _spelt(text: str) -> str:
    """Fractions and signs that the fonts lack, in those that they have."""
    for sign, (top, bottom) in VULGAR.items():
        if sign not in "¼½¾":
            text = text.replace(sign, f" {top}/{bottom}")
    for sign, plain in _PLAIN.items():
        text = text.replace(sign, plain)
    return text


def _set_as(letter: str) -> str:
    """One letter as it is set."""
    for one in (letter, unicodedata.normalize("NFKD", letter)[:1]):
        if one.isprintable() and one.encode("cp1252", "ignore"):
            return one
    return "?"


def fitted(text: str, font: str, size: float, width: float) -> str:
    """The text, cut with dots where it is wider than this."""
    text = latin(text)
    if stringWidth(text, font, size) <= width:
        return text
    while text and stringWidth(f"{text}...", font, size) > width:
        text = text[:-1]
    return f"{text}..."


def mark_colour(verdict: str) -> str:
    """The colour of a verdict's mark, as in the pictures."""
    return "#{:02x}{:02x}{:02x}".format(*MARKS[verdict][1])


@dataclass(frozen=True)
class Pen:
    """Draws on one canvas."""

    canvas: Canvas

    def words(
        self, x: float, y: float, text: str, size: float, font: str, *, anchor: Anchor = "start", colour: str = INK
    ) -> None:
        """One line of text with its baseline at y."""
        self.canvas.setFillColor(HexColor(colour))
        self.canvas.setFont(font, size)
        draw = {"start": self.canvas.drawString, "middle": self.canvas.drawCentredString, "end": self.canvas.drawRightString}
        draw[anchor](x, y, latin(text))

    def rule(self, x0: float, y: float, x1: float, *, width: float = 0.5) -> None:
        """A level line."""
        self.canvas.setStrokeColor(HexColor(INK))
        self.canvas.setLineWidth(width)
        self.canvas.line(x0, y, x1, y)

    def box(self, x: float, y: float, width: float, height: float, *, filled: bool) -> None:
        """A box, black or open."""
        self.canvas.setStrokeColor(HexColor(INK))
        self.canvas.setFillColor(HexColor(INK))
        self.canvas.setLineWidth(1.2)
        self.canvas.rect(x, y, width, height, stroke=1, fill=1 if filled else 0)

    def wrapped(self, text: str, font: str, size: float, width: float) -> list[str]:
        """The text in lines no wider than this."""
        return [str(line) for line in simpleSplit(latin(text), font, size, width)]

    def drawing(self, drawing: Drawing, x: float, y: float) -> None:
        """A drawing with its lower left corner here."""
        self.canvas.saveState()
        self.canvas.translate(x, y)
        for item in drawing.items:
            if isinstance(item, Line):
                self._line(item)
            elif isinstance(item, Area):
                self._area(item)
            elif isinstance(item, Mark):
                self.mark(item)
            else:
                self._label(item)
        self.canvas.restoreState()

    def mark(self, mark: Mark) -> None:
        """A verdict's sign: disc, triangle or open square."""
        canvas, (x, y), r = self.canvas, mark.at, mark.size
        canvas.setFillColor(HexColor(mark_colour(mark.verdict)))
        canvas.setStrokeColor(HexColor(mark_colour(mark.verdict)))
        shape = MARKS[mark.verdict][0]
        if shape == "disc":
            canvas.circle(x, y, r, stroke=0, fill=1)
        elif shape == "triangle":
            self._path(((x, y + r), (x + r, y - r), (x - r, y - r)), stroke=False, fill=True)
        else:
            canvas.setLineWidth(0.9)
            canvas.rect(x - r + 0.4, y - r + 0.4, 2 * r - 0.8, 2 * r - 0.8, stroke=1, fill=0)

    def _line(self, line: Line) -> None:
        self.canvas.setStrokeColor(HexColor(line.colour))
        self.canvas.setLineWidth(line.width)
        self.canvas.setDash(*([2.0, 1.6], 0) if line.dashed else ([], 0))
        path = self.canvas.beginPath()
        path.moveTo(*line.points[0])
        for point in line.points[1:]:
            path.lineTo(*point)
        self.canvas.drawPath(path, stroke=1, fill=0)
        self.canvas.setDash([], 0)

    def _area(self, area: Area) -> None:
        if area.fill is not None:
            self.canvas.setFillColor(HexColor(area.fill))
        if area.stroke is not None:
            self.canvas.setStrokeColor(HexColor(area.stroke))
            self.canvas.setLineWidth(area.width)
        self._path(area.points, stroke=area.stroke is not None, fill=area.fill is not None)

    def _path(self, points: tuple[tuple[float, float], ...], *, stroke: bool, fill: bool) -> None:
        path = self.canvas.beginPath()
        path.moveTo(*points[0])
        for point in points[1:]:
            path.lineTo(*point)
        path.close()
        self.canvas.drawPath(path, stroke=int(stroke), fill=int(fill))

    def _label(self, words: Words) -> None:
        font = BOLD if words.bold else FONT
        self.canvas.saveState()
        self.canvas.translate(*words.at)
        if words.turned:
            self.canvas.rotate(90)
        if words.ground:
            width = stringWidth(latin(words.text), font, words.size) + 2
            start = {"start": -1.0, "middle": -width / 2, "end": 1 - width}[words.anchor]
            self.canvas.setFillColor(HexColor("#ffffff"))
            self.canvas.rect(start, -0.22 * words.size, width, words.size, stroke=0, fill=1)
        self.words(0.0, 0.0, words.text, words.size, font, anchor=words.anchor)
        self.canvas.restoreState()
