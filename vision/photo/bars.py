"""Bars of one colour beside a picture: a screenshot, or a photo that was put on a larger ground.

The lens's axis and focal length are those of the photo and not of such a picture, so what the file says of them is not used.
A drawing may have a wall and a floor of one colour each: only two bars of the same colour across from each other count.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vision.errors import Finding
from vision.photo.quality import FULL_SCALE

SAME_CODES = 8
"""codes by which pixels of a bar differ from its colour at most, but for what saving leaves beside its edge"""
PLAIN, WRITTEN, MIXED = 0.97, 0.6, 0.4
"""share of a row that has the bar's colour: at the picture's border and before the bar's edge; anywhere in the bar, where a clock
or a button may stand on it; and at most, in the rows behind its edge. What a camera sees does not end within a block's rows"""
EVEN = 0.9
"""share of a bar's pixels that are of exactly its colour: what is drawn has no grain, an even wall or floor in a photo has"""
BESIDE_ROWS = 9
"""rows over which an edge may be spread by saving (a block), and over which both sides of it are looked at"""
LEAST_ROWS, MOST_SHARE = 8, 0.9
"""rows of a bar at least, and the share of the picture that all that is plain may take: a bare picture has no bars"""
BLOCK = 16
"""rows of what a JPEG codes together at most"""
LOOKED_AT = 300
"""pixels of each row that are looked at"""
ANEW = "send the photo as the phone saved it, as a file or document, no screenshot of it and nothing put round it"


@dataclass(frozen=True)
class Bars:
    """Which share of its height or width a bar takes at each side of a picture; 0 where there is none."""

    top: float = 0.0
    bottom: float = 0.0
    left: float = 0.0
    right: float = 0.0

    def __bool__(self) -> bool:
        return any((self.top, self.bottom, self.left, self.right))

    def inner(self, rows: int, columns: int) -> tuple[slice, slice]:
        """Rows and columns of a picture of so many that are clear of the bars; they begin where blocks do."""
        return _clear(self.top, self.bottom, rows), _clear(self.left, self.right, columns)

    @property
    def words(self) -> str:
        """'bars of one colour at the top (7 % of the picture) and the bottom (7 %)'."""
        sides = {"top": self.top, "bottom": self.bottom, "left": self.left, "right": self.right}
        there = [f"the {name} ({share:.0%})" for name, share in sides.items() if share]
        return f"{'bars' if len(there) > 1 else 'a bar'} of one colour at {' and '.join(there)}"


NO_BARS = Bars()


def _clear(before: float, after: float, whole: int) -> slice:
    first = 0 if not before else BLOCK * math.ceil((before * whole + BESIDE_ROWS) / BLOCK)
    return slice(first, whole if not after else round((1 - after) * whole) - BESIDE_ROWS)


def bars_of(pixels: NDArray[np.uint8], *, pairs: bool = True) -> Bars:
    """The bars beside a picture (height, width, 3): `pairs` of one colour across from each other, or all that may be one."""
    turned = pixels.transpose(1, 0, 2)
    return Bars(*_bars(pixels, pairs=pairs), *_bars(turned, pairs=pairs))


def bars_seen(name: str, bars: Bars) -> list[Finding]:
    """What is said of a picture with bars; it holds, since nobody knows what was done to the photo between them."""
    if not bars:
        return []
    text = f"{name} has {bars.words}, as in a screenshot or an edited picture: what its file says of the lens was not used."
    return [Finding("no-metadata", text, f"{ANEW[0].upper()}{ANEW[1:]}.")]


def _bars(pixels: NDArray[np.uint8], *, pairs: bool) -> tuple[float, float]:
    """Shares of the rows that the first and the last ones of one colour take; a white one alone may be burnt out."""
    first, last = _bar(pixels), _bar(pixels[::-1])
    if first + last > MOST_SHARE * len(pixels):
        return 0.0, 0.0
    if not (first and last):
        first, last = (0 if np.median(edge) >= FULL_SCALE else rows for rows, edge in ((first, pixels[0]), (last, pixels[-1])))
    colours = np.median(pixels[[0, -1]], axis=1)
    if pairs and not (first and last and np.abs(colours[0] - colours[1]).max() <= SAME_CODES):
        return 0.0, 0.0
    return first / len(pixels), last / len(pixels)


def _bar(pixels: NDArray[np.uint8]) -> int:
    """Rows of one colour from the first one on, where they end at once and something else follows."""
    rows, columns = pixels.shape[:2]
    looked_at = pixels[:, :: max(columns // LOOKED_AT, 1)]
    if rows < 4 * BESIDE_ROWS:
        return 0
    colour = np.median(looked_at[0], axis=0)
    if _share(looked_at[:1], colour)[0] < PLAIN:
        return 0
    share = _share(looked_at, colour)
    ends = np.nonzero(share < WRITTEN)[0]
    end = int(ends[0]) if len(ends) else rows
    if not LEAST_ROWS <= end < min(rows - 2 * BESIDE_ROWS, MOST_SHARE * rows):
        return 0
    inside = looked_at[: max(end - 2 * BESIDE_ROWS, 1)]
    if _share(inside, colour, 0).mean() < EVEN:
        return 0
    before, after = share[max(end - 2 * BESIDE_ROWS, 0) : end - BESIDE_ROWS], share[end + 1 : end + 1 + BESIDE_ROWS]
    plain = before.mean() if len(before) else share[0]
    return end if plain >= PLAIN and after.mean() <= MIXED else 0


def _share(rows: NDArray[np.uint8], colour: NDArray[np.float64], off: int = SAME_CODES) -> NDArray[np.float64]:
    """By row the share of its pixels that have a colour, to so many codes."""
    return np.asarray((np.abs(rows - colour.astype(np.int16)) <= off).all(axis=2).mean(axis=1))
