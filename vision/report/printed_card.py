"""The reference card that we print ourselves: a scale-true PDF, one large frame or four small ones on a page.

Lengths are mm from the page's bottom-left corner; PDF points are mm * 72 / 25.4. What is measured are the outer edges of the
black frames; the target inside tells which frame it is.
"""

from __future__ import annotations

import io
from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
import reportlab
from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from vision.errors import BadInput
from vision.geometry.targets import MODULES, dictionary
from vision.report.pictograms import FONT, Step, draw_steps, words
from vision.settings import CARD_KINDS, CardKind, PrintedTarget

PAPERS = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
"""mm"""
SHEETS = {"large": ("sheet",), "four": ("quarter",), "both": ("sheet", "quarter")}
BAR_MM = 100.0
TICK_MM, LINE_MM = 4.0, 0.3
TOP_MM = 12.0
"""mm of white above the large frame; more than any printer leaves blank"""
RIM_MM = 10.0
"""mm of white round a small frame: at 12 megapixels from 2.8 m its edge is fitted over 8 mm"""
CLEAR_MM = 6.0
"""mm more of white below the large frame, so that its lower edge has as much as the others"""
SIDE_MM = 12.0
"""mm from the paper's sides to the instructions"""
FOOT_MM = 10.0
"""mm from the paper's foot to the instructions"""


@dataclass(frozen=True)
class Frame:
    """One frame on a page: kind, number of its target, and its bottom-left corner (mm)."""

    kind: CardKind
    number: int
    x: float
    y: float

    @property
    def target(self) -> PrintedTarget:
        """Its target; every printed kind has one."""
        assert self.kind.target is not None
        return self.kind.target


def frames_of(kind_name: str, paper: str) -> tuple[Frame, ...]:
    """Where the frames of a page stand: one large one, or four small ones in two rows, top-left first."""
    kind, (width, height) = CARD_KINDS[kind_name], PAPERS[paper]
    assert kind.target is not None
    if len(kind.target.ids) == 1:
        return (Frame(kind, kind.target.ids[0], (width - kind.width_mm) / 2, height - TOP_MM - kind.height_mm),)
    across, down = kind.width_mm + 2 * RIM_MM, kind.height_mm + 2 * RIM_MM
    places = ((0, 0), (1, 0), (0, 1), (1, 1))
    return tuple(
        Frame(kind, number, RIM_MM + column * across, height - RIM_MM - kind.height_mm - row * down)
        for number, (column, row) in zip(kind.target.ids, places, strict=True)
    )


def print_card(paper: str, sheets: str = "both") -> bytes:
    """The PDF, a page for the large frame and a page for four small ones; always the same bytes for the same request.

    Raises BadInput for a paper or a choice of sheets that is not known. Viewers are told not to scale when printing.
    """
    for where, given, known in (("paper", paper, PAPERS), ("sheets", sheets, SHEETS)):
        if given not in known:
            raise BadInput(where, repr(given), f"one of {', '.join(known)}", "choose one of these")
    fonts = Path(reportlab.__file__).parent / "fonts"
    pdfmetrics.registerFont(TTFont(FONT, str(fonts / "Vera.ttf")))
    out = io.BytesIO()
    page = Canvas(out, pagesize=tuple(side * mm for side in PAPERS[paper]), pageCompression=0, invariant=1)
    page.setTitle("Tapewitness reference card")
    for tell in (page.setAuthor, page.setCreator, page.setProducer):
        tell("Tapewitness")
    page.setViewerPreference("PrintScaling", "None")
    for kind_name in SHEETS[sheets]:
        _draw_page(page, kind_name, paper)
        page.showPage()
    page.save()
    return out.getvalue()


def _draw_page(page: Canvas, kind_name: str, paper: str) -> None:
    frames, (width, height) = frames_of(kind_name, paper), PAPERS[paper]
    for frame in frames:
        _draw_frame(page, frame)
    if len(frames) == 1:
        _large_page(page, frames[0])
        lowest = frames[0].y - CLEAR_MM
    else:
        lowest = _four_page(page, frames, width, height)
    draw_steps(page, _steps(frames[0].kind), (SIDE_MM, FOOT_MM, width - 2 * SIDE_MM, lowest - FOOT_MM - 4.0))


def _draw_frame(page: Canvas, frame: Frame) -> None:
    """The black ring as one filled path with a hole, so that no edge is drawn by a pen's width; the target square by square."""
    kind, target = frame.kind, frame.target
    page.setFillColorRGB(0, 0, 0)
    path = page.beginPath()
    for inset in (0.0, target.ring_mm):
        x, y = (frame.x + inset) * mm, (frame.y + inset) * mm
        path.rect(x, y, (kind.width_mm - 2 * inset) * mm, (kind.height_mm - 2 * inset) * mm)
    page.drawPath(path, stroke=0, fill=1, fillMode=0)
    bits = np.asarray(cv2.aruco.generateImageMarker(dictionary(), frame.number, MODULES)) > 0
    module = target.side_mm / MODULES
    left = frame.x + (kind.width_mm - target.side_mm) / 2
    bottom = frame.y + (kind.height_mm - target.side_mm) / 2
    page.rect(left * mm, bottom * mm, target.side_mm * mm, target.side_mm * mm, stroke=0, fill=1)
    page.setFillColorRGB(1, 1, 1)
    for row, column in np.argwhere(bits):
        x, y = left + column * module, bottom + (MODULES - 1 - row) * module
        page.rect(x * mm, y * mm, module * mm, module * mm, stroke=0, fill=1)
    page.setFillColorRGB(0, 0, 0)


def _large_page(page: Canvas, frame: Frame) -> None:
    """Check bars and name inside the frame's window, clear of frame and target."""
    kind, target = frame.kind, frame.target
    middle = frame.x + kind.width_mm / 2
    low = frame.y + target.ring_mm
    gap_x = (kind.width_mm - target.side_mm) / 2 - target.ring_mm
    gap_y = (kind.height_mm - target.side_mm) / 2 - target.ring_mm
    draw_bar(page, middle - BAR_MM / 2, low + gap_y / 2, across=True)
    x = frame.x + kind.width_mm - target.ring_mm - gap_x / 2
    draw_bar(page, x, frame.y + (kind.height_mm - BAR_MM) / 2, across=False)
    words(page, (middle, frame.y + kind.height_mm - target.ring_mm - gap_y / 2), "Tapewitness large sheet (sheet)", size=9)


def _four_page(page: Canvas, frames: tuple[Frame, ...], width: float, height: float) -> float:
    """Lines to cut along, check bars beside and below, numbers in the windows; returns where the frames' part ends (mm)."""
    kind = frames[0].kind
    across, down = kind.width_mm + 2 * RIM_MM, kind.height_mm + 2 * RIM_MM
    page.setLineWidth(LINE_MM * mm)
    page.setDash(2 * mm, 2 * mm)
    for x in (across, 2 * across):
        page.line(x * mm, height * mm, x * mm, (height - 2 * down) * mm)
    for y in (height - down, height - 2 * down):
        page.line(0, y * mm, 2 * across * mm, y * mm)
    page.setDash()
    draw_bar(page, 2 * across + 4.5, height - 2 * down + (2 * down - BAR_MM) / 2, across=False)
    draw_bar(page, (width - BAR_MM) / 2, height - 2 * down - 6.5, across=True)
    gap = (kind.height_mm - frames[0].target.side_mm) / 2 - frames[0].target.ring_mm
    for frame in frames:
        at = (frame.x + kind.width_mm / 2, frame.y + kind.height_mm - frame.target.ring_mm - gap / 2)
        words(page, at, f"quarter {frame.number}", size=7)
    return height - 2 * down - 11.0


def draw_bar(page: Canvas, x: float, y: float, *, across: bool) -> None:
    """A bar of 100 mm from (x, y), between the middles of its end marks, with its length beside it."""
    page.setLineWidth(LINE_MM * mm)
    end = (x + BAR_MM, y) if across else (x, y + BAR_MM)
    page.line(x * mm, y * mm, end[0] * mm, end[1] * mm)
    half = TICK_MM / 2
    for px, py in ((x, y), end):
        a, b = ((px, py - half), (px, py + half)) if across else ((px - half, py), (px + half, py))
        page.line(a[0] * mm, a[1] * mm, b[0] * mm, b[1] * mm)
    text = f"{BAR_MM:.0f} mm between the end marks"
    if across:
        words(page, (x + BAR_MM / 2, y + 2.0), text, size=7)
        return
    page.saveState()
    page.translate((x + 2.8) * mm, (y + BAR_MM / 2) * mm)
    page.rotate(90)
    words(page, (0.0, -1.0), text, size=7)
    page.restoreState()


def _steps(kind: CardKind) -> tuple[Step, ...]:
    """What to do, in order."""
    small = kind.control_mm is not None
    w, h = kind.control_mm or (kind.width_mm, kind.height_mm)
    what = f'Type what you find:\n--card "{kind.name}={w:.1f}x{h:.1f}mm+-0.3"'
    steps = [
        Step("bars", "Print at 100 %, never\n\u201cfit to page\u201d. Both bars\nmust measure 100 mm."),
        Step(
            "measure four" if small else "measure",
            "Before you cut, measure\nfrom outer black edge to\nouter black edge, across\nand down. " + what
            if small
            else "Measure the black frame,\nouter edge to outer edge,\nacross and down.\n" + what,
        ),
    ]
    if small:
        steps.append(Step("cut", "Cut along the dashed lines.\nLeave the white rim."))
        steps.append(Step("around", "Tape them flat on the wall,\none near each corner, in\nthe plane of the door."))
    else:
        steps.append(Step("beside", "Tape it flat on the wall\nbeside the opening, in the\nplane of the door."))
        steps.append(Step("rim", "Tape on the white rim only.\nNothing may cover\nthe black frame."))
    steps.append(Step("photo", "Stand straight in front:\nopening and frames whole\nin the picture, no zoom."))
    return tuple(steps)
