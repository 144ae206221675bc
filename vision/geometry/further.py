"""Further cards, known by their size: once a card has told the photo's scale, another one may look like anything.

A card is told from tiles by differing alike from what surrounds it on all sides (`card_seen.py`). A printed one does not: its
stripe is as dark as the wall, its corner of another colour. But nothing else on a wall has both sides of a card to a few
hundredths, so what was taken for a card and dropped is kept where it has the size that the cards found ask for.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import NamedTuple

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.geometry.card_seen import (
    MOST_RAGGED_PX,
    REFINED_PX,
    SEARCH_PX,
    RefinedCard,
    corners_of_sides,
    light_beside,
    one_surround,
    roughly_alike,
)
from vision.geometry.consistency import FAR_OFF
from vision.geometry.cut import mm_per_unit
from vision.geometry.edges import EdgePoints
from vision.geometry.look import BESIDE_CARD_PX, LEAST_BESIDE_PX, SIDE_CORNERS, CardLook
from vision.geometry.observe import clean_blur, observe_card
from vision.geometry.seen import Demands, SeenPhoto
from vision.geometry.shapes import as_large, kind_of_size, same_place
from vision.geometry.side_views import Around
from vision.geometry.surround import FAINTEST_STEP
from vision.settings import CardKind, Settings

Array = NDArray[np.float64]
SIZE = 0.03
"""relative; how far a side may be off in a first view, beside its refined corners' part. Of 80 rendered rooms the cards of one
photo differ by 0.02 at most in it, by 0.013 in nine of ten; both sides of one card by 0.011"""
ROUGH_SIZE = 0.12
"""relative; the same before its sides are refined"""
RAGGED = 1.05
"""how much more ragged than a card that nothing else tells its sides may be: grain alone does that"""
NEAREST_PX, SIZED_PX = 1.0, 3.0
"""px at 12 MP; how far the sides of a rectangle that was sought by its size may be off: mostly, and at most. A frame printed on a
card is nearer to its edge than the second"""
KEPT_PX = 2.0
"""px at 12 MP; how far the sides of a patch that was made as large as its kind may be off: scales are good to some percent"""
UNEVEN_WALL = 0.4
"""of the step; by which the wall above and below may differ from that to the left and right"""
PAST_SHADOW_PX = (8.0, float(BESIDE_CARD_PX))
"""px at 12 MP from a side, past the shadow that a card throws on the wall beside it, as far as its strips go"""
ROUGHLY = 0.5
"""of a side's step: how little of it may show before the side is fitted (of 20 sides kept in 17 rooms 0.65 to 1.6)"""
LOCATED_PX = 4.0
"""px; how far off a length may be by sides that are located and not yet fitted (0.2 to 1.8 px in the 5 cards kept in 7 rooms)"""


def further_cards(photo: SeenPhoto, found: Sequence[RefinedCard], demands: Demands, settings: Settings) -> list[RefinedCard]:
    """Of the photo's patches that are no card by their surround, those of the size that the cards `found` ask for."""
    told = [(look, corners) for look, corners, _ in found if look.candidate.kind is not None]
    if not told:
        return []
    unit = one_scale([mm_per_unit(look.candidate, photo.view.on_plane(corners)) for look, corners in told])
    if unit is None:
        return []
    kinds = demands.cards.kinds if demands.cards.specs else tuple({k.name: k for k in _kinds(told)}.values())
    out: list[RefinedCard] = []
    by_size, by_shape = photo.look.by_size, (*photo.look.cards, *photo.look.odd)
    looked = [(card, search, False) for search in (NEAREST_PX, SIZED_PX) for card in by_size]
    looked += [(card, SEARCH_PX, False) for card in by_shape]
    looked += [(card, KEPT_PX, True) for card in (*by_size, *by_shape, *photo.look.near)]
    for card, search, resized in looked:
        taken = (*(corners for _, corners in told), *(corners for _, corners, _ in out))
        rough = card.candidate.corners_px
        if (
            card.candidate.known
            or not (card.ends or card.candidate.likely)
            or not beside(photo.corners_px, rough)
            or any(same_place(c, rough) or same_place(rough, c) for c in taken)
        ):
            continue
        at = _as_large_as(card, photo, kinds, unit, settings) if resized else card
        refined = None if at is None else _of_that_size(at, photo, kinds, unit, settings, search=search)
        out += [refined] if refined is not None else []
    return out


def _as_large_as(card: CardLook, photo: SeenPhoto, kinds: Sequence[CardKind], mm: float, settings: Settings) -> CardLook | None:
    """The patch made as large as its kind is, with the side of each pair kept that leaves its faintest side clearest: a stripe
    along a border may have passed for the border. None where it is of no kind's size at all."""
    plane = photo.view.on_plane(card.candidate.corners_px)
    match = kind_of_size(plane, kinds, mm, ROUGH_SIZE)
    if match is None:
        return None
    kind, turned = match
    size = (kind.height_mm / mm, kind.width_mm / mm) if turned else (kind.width_mm / mm, kind.height_mm / mm)
    around = Around(photo.view, clean_blur(photo.outline, photo.look.scale))
    best, clearest = None, 0.0
    for corners in (photo.view.pixels_of(at) for at in as_large(plane, size)):
        found: list[float] = []

        def noted(steps: Array, found: list[float] = found) -> bool:
            found.append(float(np.linalg.norm(steps, axis=1).min()))
            return False

        at = replace(card, candidate=replace(card.candidate, corners_px=corners))
        observe_card(
            at, corners, photo.look, settings.edges, search=_reach_px(KEPT_PX, photo), around=around, hold=True, passes=noted
        )
        if found and found[0] > clearest:
            best, clearest = at, found[0]
    return best


def one_scale(units: Sequence[float]) -> float | None:
    """The scale that most of the cards tell; None where as many tell another one, or there is none."""
    if not units:
        return None
    alike = [[u for u in units if abs(u / v - 1) < FAR_OFF] for v in units]
    best = max(alike, key=len)
    if any(len(some) == len(best) and abs(float(np.median(some)) / float(np.median(best)) - 1) >= FAR_OFF for some in alike):
        return None
    return float(np.median(best))


def _kinds(told: Sequence[tuple[CardLook, Array]]) -> list[CardKind]:
    return [look.candidate.kind for look, _ in told if look.candidate.kind is not None]


def _of_that_size(
    card: CardLook, photo: SeenPhoto, kinds: Sequence[CardKind], mm: float, settings: Settings, *, search: float
) -> RefinedCard | None:
    """The patch with refined sides and corners, where all four sides can be followed and have a kind's lengths."""
    if kind_of_size(photo.view.on_plane(card.candidate.corners_px), kinds, mm, ROUGH_SIZE) is None:
        return None

    def fits(corners: Array) -> bool:
        limit = SIZE + LOCATED_PX / _shortest_px(corners)
        return kind_of_size(photo.view.on_plane(corners), kinds, mm, limit) is not None

    seen = followed(card, photo, settings, search=search, fits=fits)
    if seen is None:
        return None
    match = kind_of_size(photo.view.on_plane(seen.corners_px), kinds, mm, SIZE + seen.slack)
    if match is None:
        return None
    of_kind = replace(card.candidate, kind=match[0], turned=match[1])
    return replace(card, candidate=of_kind, by_scale=True), seen.corners_px, seen.sides


class Followed(NamedTuple):
    """A patch whose four sides can be followed: corners (4, 2) px, sides, and how far (relative) the corners falsify a size."""

    corners_px: Array
    sides: tuple[EdgePoints | None, ...]
    slack: float


def followed(
    card: CardLook,
    photo: SeenPhoto,
    settings: Settings,
    *,
    search: float,
    fits: Callable[[Array], bool] | None = None,
    hold: bool = False,
) -> Followed | None:
    """The patch's sides, sought within `search` px at 12 MP; None where one cannot be followed, or it is not before one wall.
    `fits`, `hold`: as for `observe_card`."""
    reach = _reach_px(search, photo)
    around = Around(photo.view, clean_blur(photo.outline, photo.look.scale))
    rough, hold = card.candidate.corners_px, hold or search <= KEPT_PX

    def passes(steps: Array) -> bool:
        sizes = np.linalg.norm(steps, axis=1)
        if sizes.min() < ROUGHLY * FAINTEST_STEP:
            return False
        return (
            card.candidate.likely or roughly_alike(steps) or _one_wall(card, float(np.median(sizes)) / ROUGHLY, photo.look.scale)
        )

    sides = observe_card(
        card, rough, photo.look, settings.edges, search=reach, around=around, hold=hold, passes=passes, fits=fits
    )
    seen = [s for s in sides if s is not None]
    if len(seen) < 4 or float(np.median([s.ragged_px for s in seen])) > RAGGED * MOST_RAGGED_PX:
        return None
    steps = [float(np.linalg.norm(s.step)) for s in seen]
    if min(steps) < FAINTEST_STEP or not (
        one_surround(seen, like_one=card.candidate.likely) or _one_wall(card, float(np.median(steps)), photo.look.scale)
    ):
        return None
    corners = corners_of_sides(sides, card.candidate.corners_px)
    return Followed(corners, sides, REFINED_PX / _shortest_px(corners))


def _reach_px(search: float, photo: SeenPhoto) -> float:
    return max(search * max(photo.look.scale, 0.5), min(search, 2.0))


def _shortest_px(corners: Array) -> float:
    return float(np.linalg.norm(np.roll(corners, -1, axis=0) - corners, axis=1).min())


def beside(outline: Array, corners: Array) -> bool:
    """True where a patch (4, 2) px lies wholly outside of the outline (4, 2) px."""
    shapes = [np.asarray(cv2.convexHull(c.astype(np.float32)), dtype=np.float32) for c in (outline, corners)]
    return float(cv2.intersectConvexConvex(shapes[0], shapes[1])[0]) <= 0.0


def _one_wall(card: CardLook, step: float, scale: float) -> bool:
    """True where what is round the patch is one surface, but for light that falls off evenly: no joint, band or wall's end.

    `step`: that of its sides, linear light; `scale`: of the photo.
    """
    near, far = (px * max(scale, LEAST_BESIDE_PX / BESIDE_CARD_PX) for px in PAST_SHADOW_PX)
    centre = card.candidate.corners_px.mean(axis=0)
    outside = []
    for strip, (i, j) in zip(card.strips, SIDE_CORNERS, strict=True):
        beside = light_beside(strip, card.candidate.corners_px[[i, j]], centre, (near, far))
        if beside is None:
            return False
        outside.append(beside[1])
    bottom, right, top, left = outside
    return float(np.linalg.norm(bottom + top - left - right)) / 2 < UNEVEN_WALL * step
