"""What the order sheet's drawings are made of: lines, areas, words and marks, in points on paper.

x to the right, y up, (0, 0) the lower left corner of the drawing. The same drawing goes into the PDF and into the HTML.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

PT_PER_MM = 72 / 25.4
SCALES = (2, 5, 8, 10, 12, 15, 16, 20, 24, 25, 30, 32, 40, 48, 50, 60, 75, 100, 150, 200)
"""scales a drawing may have: the ones on rulers, and a few between"""
INK = "#14182a"
GREY = "#5a5a5a"
PALE = "#e6e9ee"

Point = tuple[float, float]
Anchor = Literal["start", "middle", "end"]


@dataclass(frozen=True)
class Line:
    """A polyline."""

    points: tuple[Point, ...]
    width: float = 0.6
    colour: str = INK
    dashed: bool = False


@dataclass(frozen=True)
class Area:
    """A closed area."""

    points: tuple[Point, ...]
    fill: str | None = None
    stroke: str | None = INK
    width: float = 0.6


@dataclass(frozen=True)
class Words:
    """One line of text; `at` is on its baseline. With `ground` it stands on white, so that lines behind do not cross it."""

    at: Point
    text: str
    size: float = 6.0
    anchor: Anchor = "start"
    bold: bool = False
    turned: bool = False
    """read from the right: turned by a quarter to the left"""
    ground: bool = False


@dataclass(frozen=True)
class Mark:
    """The sign of a verdict: a disc, a triangle or an open square, so that it is told without colour."""

    at: Point
    verdict: str
    size: float = 2.2


Item = Line | Area | Words | Mark


@dataclass(frozen=True)
class Drawing:
    """A drawing of this size, with what it shows and its scale in words."""

    width: float
    height: float
    items: tuple[Item, ...]
    caption: str


def nice_scale(width_mm: float, height_mm: float, width_pt: float, height_pt: float) -> int:
    """The largest picture that fits: the N of 1 : N."""
    needed = max(width_mm * PT_PER_MM / width_pt, height_mm * PT_PER_MM / height_pt)
    return next((n for n in SCALES if n >= needed), SCALES[-1])


def arrow(a: Point, b: Point, *, width: float = 0.4, tick: float = 2.5) -> tuple[Line, ...]:
    """A dimension line from a to b with slanted ticks at its ends."""
    slant = tick / 2
    ends = tuple(Line(((x - slant, y - slant), (x + slant, y + slant)), 0.7) for x, y in (a, b))
    return (Line((a, b), width), *ends)


def shifted(items: Iterable[Item], dx: float, dy: float) -> tuple[Item, ...]:
    """The same items somewhere else."""
    moved: list[Item] = []
    for item in items:
        if isinstance(item, Line):
            moved.append(Line(tuple((x + dx, y + dy) for x, y in item.points), item.width, item.colour, item.dashed))
        elif isinstance(item, Area):
            moved.append(Area(tuple((x + dx, y + dy) for x, y in item.points), item.fill, item.stroke, item.width))
        elif isinstance(item, Mark):
            moved.append(Mark((item.at[0] + dx, item.at[1] + dy), item.verdict, item.size))
        else:
            at = (item.at[0] + dx, item.at[1] + dy)
            moved.append(Words(at, item.text, item.size, item.anchor, item.bold, item.turned, item.ground))
    return tuple(moved)
