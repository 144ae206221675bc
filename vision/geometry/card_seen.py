"""One card of one photo, refined: its sides followed to sub-pixel, its kind settled, told from tiles and other things."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from vision.errors import Finding
from vision.geometry.card_jointly import jointly_located
from vision.geometry.cards import HALF_LIKE
from vision.geometry.edges import EdgePoints
from vision.geometry.look import SIDE_CORNERS, CardLook
from vision.geometry.observe import clean_blur, crossings, left_out_px, observe_card
from vision.geometry.profiles import features
from vision.geometry.rim import SD_PX, rim_of
from vision.geometry.seen import Demands, SeenPhoto
from vision.geometry.shapes import match_kind
from vision.geometry.side_views import Around
from vision.geometry.strips import Strip
from vision.geometry.surround import FAINTEST_STEP, MOST_UNEVEN, alike
from vision.settings import Settings

Array = NDArray[np.float64]
LEAST_COSINE = 0.6
"""between a side's step in colour and the mean of all four"""
MOST_RAGGED_PX = 0.5
"""px; typical scatter of a side's points; what is more ragged than this is no card"""
MOST_RAGGED_LIKELY_PX = 1.5
"""px; the same of what is seen to be a card, before a pattern that meets its sides"""
NEAR_PX = 10.0
"""px; how far beside a rough side its surroundings are compared"""
REFINED_PX = 0.7
"""px; how far a refined side may be off where it is only a few blocks long"""
SEARCH_PX, SEARCH_STATED_PX = 6.0, 8.0
"""px at 12 MP; how far a card's found or marked side may be off"""
NEARER_PX = 2.5
"""px at 12 MP; how far a found side is off where its patch was seen clearly"""


RefinedCard = tuple[CardLook, Array, tuple[EdgePoints | None, ...]]
"""A card with its kind settled, its corners (4, 2) px and its sides"""


def refine_card(card: CardLook, photo: SeenPhoto, demands: Demands, settings: Settings) -> RefinedCard | None:
    """The card with its kind settled, its corners (4, 2) px and sides to sub-pixel; None where it turns out to be no card.

    A clearer line beside a side, as of a printed frame, leads away from it: what then is no card is looked at again nearer by.
    """
    candidate = card.candidate
    if candidate.kind is None or (not candidate.known and not (card.ends and rough_surround(card))):
        return None
    for search in (SEARCH_STATED_PX,) if candidate.stated else (SEARCH_PX, NEARER_PX):
        reach = max(search * max(photo.look.scale, 0.5), search / 2)
        reach = reach if candidate.target is None else 0.0  # its target and black ring have led to the edge already
        refined = _refined(card, photo, demands, settings, reach=reach)
        if candidate.known:
            return refined
        if refined is not None:
            return _by_its_rim(refined, photo, demands, settings) or refined
    return None


def jointly_refined(card: CardLook, photo: SeenPhoto, demands: Demands, settings: Settings) -> RefinedCard | None:
    """What looks like a card whatever surrounds it, by the courses along its sides that make a card's shape; None where none do,
    or it looks like no card."""
    if card.candidate.known or card.candidate.chance is None or card.candidate.chance < HALF_LIKE:
        return None
    rough, scale = card.candidate.corners_px, photo.look.scale
    clear = left_out_px(card.candidate.kind, rough, scale)
    located = jointly_located(card, photo.view, demands.cards.kinds, clear=clear, scale=scale)
    if located is None:
        return None
    around = Around(photo.view, clean_blur(photo.outline, scale))
    sides = observe_card(card, rough, photo.look, settings.edges, search=0.0, around=around, located=located)
    return _of_a_kind(replace(card, by_look=True), sides, photo, demands, settings, ragged_px=MOST_RAGGED_LIKELY_PX)


def _by_its_rim(refined: RefinedCard, photo: SeenPhoto, demands: Demands, settings: Settings) -> RefinedCard | None:
    """The card where what was followed is a frame printed near its border: its sides moved out to the rim's, with the doubt of
    that; None where there is no rim, or what it goes round is of no kind."""
    card, corners, sides = refined
    rim = rim_of(card.strips, corners)
    if rim is None:
        return None
    out = rim.corners_px
    slack = (REFINED_PX + rim.sd_px) / float(np.linalg.norm(np.roll(out, -1, axis=0) - out, axis=1).min())
    match = match_kind(photo.view.on_plane(out), demands.cards.kinds, settings.cards.aspect_tolerance, slack)
    if match is None:
        return None
    moved = tuple(None if s is None else rim.moved(s, k) for k, s in enumerate(sides))
    return replace(card, by_rim=True, candidate=replace(card.candidate, kind=match[0], turned=match[1])), out, moved


def rim_findings(photos: Sequence[SeenPhoto]) -> list[Finding]:
    """The cards in use of which a printed frame was followed instead of the border, in words; their sizes' sd says it too."""
    return [_by_a_frame(c.number) for p in photos for c in p.used if c.look.by_rim]


def _by_a_frame(number: int) -> Finding:
    return Finding(
        "edge-hidden",
        f"A frame is printed near the border of card {number}. The frame was followed and moved out to the border, which can "
        f"hardly be seen, give or take {2 * SD_PX:.1f} pixels at 95 %.",
        "For smaller uncertainties take the photo again with a card that is plainly lighter or darker than the wall.",
        holds=False,
    )


def _refined(card: CardLook, photo: SeenPhoto, demands: Demands, settings: Settings, *, reach: float) -> RefinedCard | None:
    candidate = card.candidate
    passes = None if candidate.known else roughly_alike
    around = Around(photo.view, clean_blur(photo.outline, photo.look.scale))
    sides = observe_card(card, candidate.corners_px, photo.look, settings.edges, search=reach, around=around, passes=passes)
    if candidate.target is None and sum(s is not None for s in sides) < (3 if candidate.stated else 4):
        return None
    if candidate.known:
        return card, corners_of_sides(sides, candidate.corners_px), sides
    return _of_a_kind(card, sides, photo, demands, settings) if one_surround(sides) else None


def _of_a_kind(
    card: CardLook,
    sides: tuple[EdgePoints | None, ...],
    photo: SeenPhoto,
    demands: Demands,
    settings: Settings,
    *,
    ragged_px: float = MOST_RAGGED_PX,
) -> RefinedCard | None:
    """The card with its kind settled by its sides; None where one is missing or ragged, or they have no kind's shape."""
    seen = [s for s in sides if s is not None]
    if len(seen) < 4 or float(np.median([s.ragged_px for s in seen])) > ragged_px:
        return None
    corners = corners_of_sides(sides, card.candidate.corners_px)
    slack = REFINED_PX / float(np.linalg.norm(np.roll(corners, -1, axis=0) - corners, axis=1).min())
    match = match_kind(photo.view.on_plane(corners), demands.cards.kinds, settings.cards.aspect_tolerance, slack)
    if match is None:
        return None
    return replace(card, candidate=replace(card.candidate, kind=match[0], turned=match[1])), corners, sides


def rough_surround(card: CardLook, *, most_uneven: float = 3 * MOST_UNEVEN, least_cosine: float = -0.2) -> bool:
    """`one_surround` on whole strips either side of the rough sides: cheap, and enough to pass over most tiles."""
    centre = card.candidate.corners_px.mean(axis=0)
    steps = []
    for strip, (i, j) in zip(card.strips, SIDE_CORNERS, strict=True):
        beside = light_beside(strip, card.candidate.corners_px[[i, j]], centre)
        if beside is None:
            return False
        steps.append(beside[0] - beside[1])
    return alike(np.array(steps), 0.5 * FAINTEST_STEP, most_uneven, least_cosine)


def light_beside(
    strip: Strip, ends: Array, centre: Array, between: tuple[float, float] = (3.0, NEAR_PX)
) -> tuple[Array, Array] | None:
    """Light (3,) inside and outside of a rough side between two corners (2, 2) px, medians; None outside of the picture.

    `between`: px from the side.
    """
    at = strip.of_polyline(ends)
    low, high = sorted(strip.extent(ends[0], ends[1]))
    k = np.arange(max(int(low + 0.15 * (high - low)), 0), min(int(high - 0.15 * (high - low)), strip.lines))
    if len(k) == 0:
        return None
    distance = strip.first[k][:, None] + np.arange(strip.pixels.shape[1])[None, :] - at[k][:, None]
    light = features(strip.pixels[k])
    plus, minus = (
        np.median(light[mask], axis=0) if mask.any() else np.zeros(3)
        for mask in ((distance > between[0]) & (distance < between[1]), (distance < -between[0]) & (distance > -between[1]))
    )
    inner = centre[1] if strip.transposed else centre[0]
    return (plus, minus) if inner > float(at[k].mean()) else (minus, plus)


def roughly_alike(steps: Array) -> bool:
    """`one_surround` on rough steps (4, 3): what fails here fails there, and most tiles do before their sides are fitted."""
    return alike(steps, 0.7 * FAINTEST_STEP, 1.4 * MOST_UNEVEN, 0.5)


def one_surround(sides: Sequence[EdgePoints | None], *, like_one: bool = False) -> bool:
    """True where the card differs from what surrounds it alike on all four sides; a tile between joints does not. `like_one`: of
    what is seen to be a card it is enough that its sides can be followed."""
    seen = [s for s in sides if s is not None]
    if float(np.median([s.ragged_px for s in seen])) > MOST_RAGGED_PX:
        return False
    if like_one:
        return True
    return alike(np.array([s.step for s in seen]), FAINTEST_STEP, MOST_UNEVEN, LEAST_COSINE)


def corners_of_sides(sides: Sequence[EdgePoints | None], rough: Array) -> Array:
    """Corners (4, 2) where the lines through neighbouring sides meet; the rough corner where a side is missing."""
    return crossings([None if s is None or len(s.points_px) < 3 else s.points_px for s in sides], rough)
