"""Pen and labels for the pictures: readable on light and dark, told apart by shape as well as by colour."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

Colour = tuple[int, int, int]
Points = NDArray[np.float64]

WHITE: Colour = (255, 255, 255)
INK: Colour = (20, 24, 36)
EDGE: Colour = (0, 70, 140)
CARD: Colour = (90, 40, 110)
SIZE: Colour = (20, 24, 36)
VERTICAL: Colour = (190, 60, 0)
MARKS: dict[str, tuple[str, Colour]] = {
    "agrees": ("disc", (0, 90, 170)),
    "suspect": ("triangle", (200, 90, 0)),
    "cannot tell": ("square", (90, 90, 90)),
}
"""Verdict -> shape and colour; blue, orange and grey differ for every kind of colour sight, the shapes without any."""
SUBPIXEL_BITS = 4
DASHES = 48


Box = tuple[float, float, float, float]
Pen = Callable[[ImageDraw.ImageDraw], None]


@dataclass
class Canvas:
    """A picture being drawn on: lines at once, words when it is finished, so that no line crosses them.

    `unit` is the width of a thin line and grows with the picture.
    """

    pixels: NDArray[np.uint8]
    unit: float
    words: list[Pen] = field(default_factory=list)
    taken: list[Box] = field(default_factory=list)
    """boxes of the labels so far"""

    @property
    def text_px(self) -> int:
        """Height of the letters."""
        return max(11, round(13 * self.unit))

    def line(self, points: Points, colour: Colour, *, width: float = 1.0, dashed: bool = False, under: bool = True) -> None:
        """A polyline; with `under` white under colour, so that it shows on any ground. `width` in thin lines."""
        pieces = _dashes(points) if dashed else [points]
        scaled = [np.round(piece * (1 << SUBPIXEL_BITS)).astype(np.int32) for piece in pieces]
        strokes = [(max(3, round((width + 2) * self.unit)), WHITE)] if under else []
        for thickness, shade in [*strokes, (max(1, round(width * self.unit)), colour)]:
            cv2.polylines(self.pixels, scaled, False, shade, thickness, cv2.LINE_AA, SUBPIXEL_BITS)

    def label(
        self,
        at: tuple[float, float],
        lines: Sequence[str],
        *,
        mark: str | None = None,
        anchor: tuple[float, float] = (0.5, 0.5),
        free: bool = True,
    ) -> None:
        """Text on a white box. `anchor` is the place of `at` in the box, as shares of its width and height.

        The box is kept inside the picture, and with `free` moved down until it covers no other label.
        """
        font = ImageFont.load_default(self.text_px)
        text = "\n".join(lines)
        left, top, right, bottom = ImageDraw.Draw(Image.new("RGB", (1, 1))).multiline_textbbox((0, 0), text, font=font)
        pad, indent = 0.4 * self.text_px, 1.2 * self.text_px if mark else 0.0
        width, height = right - left + 2 * pad + indent, bottom - top + 2 * pad
        box = self._place((at[0] - anchor[0] * width, at[1] - anchor[1] * height), width, height, move=free)

        def write(draw: ImageDraw.ImageDraw) -> None:
            draw.rounded_rectangle(box, radius=pad, fill=WHITE, outline=INK, width=max(1, round(self.unit / 2)))
            draw.multiline_text((box[0] + pad + indent - left, box[1] + pad - top), text, font=font, fill=INK)
            if mark:
                size = 0.4 * self.text_px
                _draw_mark(draw, mark, (box[0] + pad + size, box[1] + pad + size), size)

        self.words.append(write)

    def number(self, at: tuple[float, float], number: int) -> None:
        """A card's number on a disc."""
        radius, (x, y) = 0.85 * self.text_px, at

        def write(draw: ImageDraw.ImageDraw) -> None:
            box = (x - radius, y - radius, x + radius, y + radius)
            draw.ellipse(box, fill=CARD, outline=WHITE, width=max(1, round(self.unit)))
            draw.text((x, y), str(number), font=ImageFont.load_default(self.text_px), fill=WHITE, anchor="mm")

        self.words.append(write)

    def finish(self) -> Image.Image:
        """The picture with its words."""
        image = Image.fromarray(self.pixels)
        draw = ImageDraw.Draw(image)
        for write in self.words:
            write(draw)
        return image

    def _place(self, at: tuple[float, float], width: float, height: float, *, move: bool) -> Box:
        rows, columns = self.pixels.shape[:2]
        x = min(max(at[0], 0), max(columns - width - 1, 0))
        y = min(max(at[1], 0), max(rows - height - 1, 0))
        box = (x, y, x + width, y + height)
        while move and any(_overlap(box, other) for other in self.taken) and box[3] + self.text_px < rows:
            box = (box[0], box[1] + self.text_px, box[2], box[3] + self.text_px)
        self.taken.append(box)
        return box


def canvas(pixels: NDArray[np.uint8]) -> Canvas:
    """A canvas with line and letter sizes that fit the picture's diagonal."""
    return Canvas(pixels.copy(), unit=max(1.0, float(np.hypot(*pixels.shape[:2])) / 1250))


def _overlap(a: Box, b: Box) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def _dashes(points: Points) -> list[Points]:
    """Every other piece of a polyline cut into equal steps of its parameter."""
    at = np.linspace(0, len(points) - 1, 2 * DASHES)
    known = np.arange(len(points))
    cut = np.stack([np.interp(at, known, points[:, 0]), np.interp(at, known, points[:, 1])], axis=1)
    return [cut[i : i + 2] for i in range(0, len(cut) - 1, 2)]


def _draw_mark(draw: ImageDraw.ImageDraw, verdict: str, centre: tuple[float, float], size: float) -> None:
    shape, colour = MARKS[verdict]
    x, y = centre
    box = (x - size, y - size, x + size, y + size)
    if shape == "disc":
        draw.ellipse(box, fill=colour)
    elif shape == "triangle":
        draw.polygon([(x, y - size), (x + size, y + size), (x - size, y + size)], fill=colour)
    else:
        draw.rectangle(box, outline=colour, width=max(2, round(size / 3)))
