"""Cards that leave the picture: three sides of a card and a border for the fourth, or two sides and a corner of the picture.

What is seen of such a card has another shape than the card, so it is never measured by; it is said that it is there and cut.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vision.errors import CannotMeasure, Finding
from vision.geometry.cards import CardCandidate
from vision.geometry.ends import going_on
from vision.geometry.surround import alike, steps_at
from vision.settings import CardKind

Array = NDArray[np.float64]
BORDER_PX = 2.0
"""px; a corner nearer to the border than this may be cut off"""
BORDERS = ("left", "right", "top", "bottom")
LEAST_SEEN = 0.25
"""share of a card's side that must be inside the picture; of less nobody can tell what it is"""
ROUGH_PX = 4.0
"""px; how far a side found in the reduced picture may be off"""
SAME_PLACE_PX = 40.0
"""px; patches nearer to each other than this are one card"""
SAME_SIZE, NEIGHBOUR = 0.08, 2.5
"""relative, and sides; patches as alike and as near along one border are tiles: nobody hangs two cards so close"""
MOST_GOING_ON = {1: 1, 2: 0}
"""by how many borders cut it: of the four ways, or two, in which the sides seen could go on beyond its corners (`ends.py`), how
many of a card do: one (a shadow, a joint), and none over a corner, where two sides are all that tells it from a tile"""
MANY_TILES = 3
"""places at which tiles of a kind's size are cut by the border; where there are so many, what looks like a card is one more"""
REMEDY = "move it into the picture, or step back, and take the photo again with a hand's width of wall round every card"


@dataclass(frozen=True)
class CutCard:
    """Something with a card's straight sides that runs out of the picture: kind, border, rough corners (4, 2) px."""

    kind: str
    border: str
    corners_px: Array

    @property
    def words(self) -> str:
        """What and where."""
        x, y = self.corners_px.mean(axis=0)
        borders = f"{self.border} border{'s' if ' and ' in self.border else ''}"
        return f"a card ({self.kind}) cut off by the {borders} of the picture, near ({x:.0f}, {y:.0f})"


def border_sides(quads: Array, width: int, height: int, near_px: float) -> NDArray[np.bool_]:
    """Which sides (corner k to k + 1) of quadrilaterals (n, 4, 2) px lie along which of BORDERS, shape (n, 4, 4)."""
    x, y = quads[..., 0], quads[..., 1]
    at = np.stack([x < near_px, x > width - 1 - near_px, y < near_px, y > height - 1 - near_px], axis=-1)
    return np.asarray(at & np.roll(at, -1, axis=1))


def beyond(corners_px: Array, width: int, height: int) -> str | None:
    """The border over which corners (4, 2) px lie furthest, or None where the whole card is inside."""
    x, y = corners_px.T
    right, bottom = width - 1 - BORDER_PX, height - 1 - BORDER_PX
    over = np.array([BORDER_PX - x.min(), x.max() - right, BORDER_PX - y.min(), y.max() - bottom])
    return BORDERS[int(np.argmax(over))] if over.max() > 0 else None


def cut_cards(
    pixels: NDArray[np.uint8],
    found: tuple[Array, Array, NDArray[np.bool_]],
    kinds: Sequence[CardKind],
    may_be: Callable[[float, float], bool],
    tolerance: float,
) -> list[CutCard]:
    """Which patches with one side along a border are cards of a kind.

    `found`: quadrilaterals (n, 4, 2) px, the same squared (any unit), and their `border_sides`; `may_be` tells of a scale (mm per
    that unit) and a relative tolerance whether it may be the photo's. At it the side opposite the border must be a kind's, of the
    other side no more than all be seen, and the three sides differ alike from what surrounds them, as a tile's do not, and end at
    its corners. In a corner of the picture no side is whole: both must be seen by a share that tells something, at right angles.
    """
    patches = [
        p
        for one in zip(*found, strict=True)
        if (p := _cut_patch(*one, kinds=kinds, may_be=may_be, tolerance=tolerance)) is not None
    ]
    joined = [p for p in patches if p.goes_on(pixels)]
    out: list[CutCard] = []
    for patch in (p for p in patches if p not in joined):
        if any(patch.beside(other) for other in patches) or not alike(steps_at(pixels, patch.quad, patch.free)):
            continue
        if len(_places(p for p in joined if set(p.kinds) & set(patch.kinds))) >= MANY_TILES:
            continue
        if not any(np.linalg.norm(patch.quad.mean(axis=0) - c.corners_px.mean(axis=0)) < SAME_PLACE_PX for c in out):
            out.append(CutCard(" or ".join(dict.fromkeys(patch.kinds)), patch.border, patch.quad))
    return out


def _places(patches: Iterable[_Patch]) -> list[Array]:
    """The middles (px) of patches, those at one place once."""
    out: list[Array] = []
    for middle in (p.quad.mean(axis=0) for p in patches):
        if not any(np.linalg.norm(middle - other) < SAME_PLACE_PX for other in out):
            out.append(middle)
    return out


@dataclass(frozen=True, eq=False)
class _Patch:
    """What may be a cut card by its shape: rough corners px, sides inside the picture, borders, kinds, its longest side there."""

    quad: Array
    free: list[int]
    border: str
    kinds: list[str]
    side_px: float

    def goes_on(self, pixels: NDArray[np.uint8]) -> bool:
        """Whether its sides' lines go on beyond its corners, as joints do: then it is a tile."""
        return int(going_on(pixels, self.quad, self.free, cut=True).sum()) > MOST_GOING_ON[4 - len(self.free)]

    def beside(self, other: _Patch) -> bool:
        """Whether the other one is a neighbour at the same border, of the same size where that is seen: then both are tiles."""
        apart = float(np.linalg.norm(self.quad.mean(axis=0) - other.quad.mean(axis=0)))
        whole = len(self.free) == len(other.free) == 3
        same = self.border == other.border and abs(self.side_px / other.side_px - 1) < SAME_SIZE
        shared = bool(set(self.border.split(" and ")) & set(other.border.split(" and ")))
        return (same if whole else shared) and SAME_PLACE_PX <= apart < NEIGHBOUR * self.side_px


def _cut_patch(
    quad: Array,
    plane: Array,
    along: NDArray[np.bool_],
    *,
    kinds: Sequence[CardKind],
    may_be: Callable[[float, float], bool],
    tolerance: float,
) -> _Patch | None:
    """The patch with the kinds that it may be by its shape, or None."""
    cut = [int(k) for k in np.nonzero(along.any(axis=1))[0]]
    free = [k for k in ((cut[-1] + i) % 4 for i in (1, 2, 3)) if k not in cut] if cut else []
    px = np.linalg.norm(np.roll(quad, -1, axis=0) - quad, axis=1)
    if len(cut) == 1:
        names = list(_kinds(plane, cut[0], kinds, may_be, tolerance + ROUGH_PX / float(px[free[1]])))
    elif len(cut) == 2 and (free[1] - free[0]) % 2 == 1:
        names = list(_corner_kinds(plane, free, kinds, may_be, tolerance + ROUGH_PX / float(px[free].max())))
    else:
        return None
    borders = " and ".join(BORDERS[int(np.nonzero(along[k])[0][0])] for k in cut)
    return _Patch(quad, free, borders, names, float(px[free[1] if len(cut) == 1 else free[0]])) if names else None


def mm_per_unit(card: CardCandidate, plane: Array) -> float:
    """Scale that a card of known kind gives to its squared corners (4, 2)."""
    s = np.linalg.norm(np.roll(plane, -1, axis=0) - plane, axis=1)
    return math.sqrt(float(np.prod(card.sides_mm)) / float((s[0] + s[2]) * (s[1] + s[3]) / 4))


def _kinds(
    plane: Array, k: int, kinds: Sequence[CardKind], may_be: Callable[[float, float], bool], tolerance: float
) -> Iterator[str]:
    """The kinds whose side is opposite side k, the border's, at right angles to its neighbours; `plane` (4, 2), any unit."""
    d = np.roll(plane, -1, axis=0) - plane
    length = np.linalg.norm(d, axis=1)
    before, full, after = ((k + i) % 4 for i in (1, 2, 3))
    cosines = [abs(float(d[i] @ d[full])) / float(length[i] * length[full]) for i in (before, after)]
    if max(cosines) > 2 * tolerance:
        return
    seen = float(max(length[before], length[after]))
    for kind in kinds:
        for side, other in ((kind.width_mm, kind.height_mm), (kind.height_mm, kind.width_mm)):
            unit = side / float(length[full])
            if kind.target is None and may_be(unit, tolerance) and LEAST_SEEN < seen * unit / other < 1 + tolerance:
                yield kind.name


def _corner_kinds(
    plane: Array, free: Sequence[int], kinds: Sequence[CardKind], may_be: Callable[[float, float], bool], tolerance: float
) -> Iterator[str]:
    """The kinds of which two sides at right angles may be seen in part at a scale that may be the photo's."""
    d = np.roll(plane, -1, axis=0) - plane
    a, b = (float(np.linalg.norm(d[k])) for k in free)
    if abs(float(d[free[0]] @ d[free[1]])) > 2 * tolerance * a * b:
        return
    for kind in kinds:
        for side, other in ((kind.width_mm, kind.height_mm), (kind.height_mm, kind.width_mm)):
            least, most = LEAST_SEEN * max(side / a, other / b), min(side / a, other / b)
            tried = np.geomspace(least, most, 2 + int(np.log(max(most / least, 1.0)) / tolerance)) if most > least else ()
            if kind.target is None and any(may_be(float(unit), tolerance) for unit in tried):
                yield kind.name


def cut_findings(cut: Sequence[CutCard]) -> list[Finding]:
    """One for each; the other cards carry the photo, so nothing is held."""
    action = f"{REMEDY[:1].upper()}{REMEDY[1:]}."
    return [Finding("card-cut", f"There is {c.words}. It was not used.", action, holds=False) for c in cut]


def cut_off(found: str) -> CannotMeasure:
    """The refusal where no other card is there."""
    remedy = f"{REMEDY}; if a whole card is there too, mark its corners with card-corners"
    return CannotMeasure("cards", "card-cut", found=found, needed="every side of the card inside the picture", remedy=remedy)
