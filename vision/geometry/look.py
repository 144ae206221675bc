"""What is taken from each photo, once: strips of raw pixels round outline, cards and plumb lines, and the camera's prior.

A `Look` is about a twentieth of the photo and is all that `measure` needs, so a moved corner is rechecked without the photo.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from vision.errors import CannotMeasure
from vision.geometry.by_size import cards_by_size
from vision.geometry.camera import CameraPrior, camera_prior
from vision.geometry.cards import CardCandidate
from vision.geometry.cut import BORDER_PX, ROUGH_PX, CutCard, beyond, border_sides, cut_cards, cut_off, mm_per_unit
from vision.geometry.finder import NEAR_BORDER_PX, WORKING_LONG_SIDE, find_quadrilaterals
from vision.geometry.joints import face_segments
from vision.geometry.lines import LineFacts, LineLook, look_at_line
from vision.geometry.odd_shapes import odd_candidates
from vision.geometry.reach import corner_reach_px, usual_reach_px
from vision.geometry.shapes import match_kind, mean_sides, same_place
from vision.geometry.start import PlaneView, front_view, view_of_rectangle
from vision.geometry.strips import Strip, take_strip
from vision.geometry.surround import alike, steps_at
from vision.geometry.targets import beside_targets, find_targets, off_paper
from vision.photo.intake import Photo
from vision.settings import CardKind, Settings

Array = NDArray[np.float64]
SIDE_CORNERS = ((0, 1), (1, 2), (3, 2), (0, 3))
"""corner numbers of a card's bottom, right, top and left edge, each in the direction of growing curve parameter"""
OUTLINE_CORNERS = {"left": (0, 3), "right": (1, 2), "curb": (0, 1), "head": (3, 2)}
PLAUSIBLE_OPENING_MM = (350.0, 4000.0)
"""mm; a card that makes the outline smaller or larger than this is something else (size limits of the trade, widened)"""
ROUGH_BORDER_PX = 8.0
"""px of the reduced picture; a contour's frame whose side is this near to the border may be a card that runs out of it"""
ROUGH_ASPECT = 0.15
"""relative; how far a contour's frame may be off the aspect of the lines through its sides"""


class FoundByShape(NamedTuple):
    """What may be a card by its shape: whole ones left to right, those cut by the picture's border, those nearly of a kind."""

    cards: list[CardCandidate]
    cut: list[CutCard]
    odd: list[CardCandidate]


@dataclass(frozen=True)
class CardLook:
    """One card of one photo: its rough corners, kind, and a strip round each side (bottom, right, top, left)."""

    candidate: CardCandidate
    strips: tuple[Strip, Strip, Strip, Strip]


@dataclass(frozen=True)
class Look:
    """One photo as `measure` needs it: its number (from 1), and `scale`, its diagonal over that of a 12 MP photo."""

    number: int
    name: str
    width: int
    height: int
    scale: float
    prior: CameraPrior
    corners_px: Array | None
    outline: dict[str, Strip]
    cards: tuple[CardLook, ...]
    plumb: tuple[tuple[Array, Strip], ...]
    lines: tuple[LineLook, ...] = ()
    down: Array | None = None
    """(3,) gravity in the camera's frame, as the photo's metadata has it"""
    cut: tuple[CutCard, ...] = ()
    """cards that run out of the picture; nothing is measured by them"""
    segments: Array | None = None
    """(n, 2, 2) px, ends of straight segments all over the picture, or None where no cue is asked for"""
    odd: tuple[CardLook, ...] = ()
    """patches put up like a card that are nearly of a kind and yet of none; nothing is measured by them"""
    by_size: tuple[CardLook, ...] = ()
    """rectangles of a card's size at the scale of the others, whatever they look like; most are nothing"""
    corners_within_px: float | None = None
    """px of this photo; how well the corners are said to be marked, None where nothing is said"""


def look(
    photo: Photo,
    kinds: Sequence[CardKind],
    corners_px: Array | None,
    stated_cards: Sequence[tuple[CardKind, Array]],
    plumb_lines: Sequence[Array],
    *,
    number: int,
    has_head: bool,
    settings: Settings,
    lines: Sequence[LineFacts] = (),
    corners_within_px: float | None = None,
) -> Look:
    """Everything one photo contributes. Raises CannotMeasure (opening-cut) where a corner lies outside the picture."""
    prior = camera_prior(photo.width, photo.height, photo.focal_35mm, settings.camera)
    scale = math.hypot(photo.width, photo.height) / settings.camera.reference_diagonal_px
    half = max(round(settings.edges.strip_px * scale), 24)
    view, outline = None, {}
    if corners_px is not None:
        _require_inside(photo, corners_px)
        view = view_of_rectangle(corners_px, prior, has_head=has_head)
        wider = corner_reach_px(scale, corners_within_px, settings.edges) - usual_reach_px(scale, settings.edges)
        outline = outline_strips(photo.pixels, corners_px, half + max(math.ceil(wider), 0), has_head=has_head)
    there = None if view is None or corners_px is None else (view, corners_px)
    by_shape = find_cards_and_cut(photo.pixels, kinds, there, prior, settings)
    found = beside_targets(by_shape.cards, targets := find_targets(photo.pixels, kinds))
    odd = off_paper(by_shape.odd, targets)
    for kind, corners in stated_cards:
        if border := beyond(corners, photo.width, photo.height):
            raise cut_off(f"{photo.name}: a marked {kind.name} card at or beyond the {border} border of the picture")
    stated = [stated_card(kind, corners, view, prior) for kind, corners in stated_cards]
    found = [c for c in found if not any(same_place(c.corners_px, s.corners_px) for s in stated)]
    card_half = max(round(14 * scale), 9)
    like_cards = [c for c in (*found, *stated) if c.known or alike(steps_at(photo.pixels, c.corners_px, [0, 1, 2, 3]))]
    by_size = [] if there is None else cards_by_size(photo.pixels, there, like_cards, kinds)
    odd = [c for c in odd if not any(same_place(c.corners_px, s.corners_px) for s in stated)]
    cards, strange, sized = (
        tuple(CardLook(c, card_strips(photo.pixels, c.corners_px, card_half + (4 if c.stated else 0))) for c in some)
        for some in ((*found, *stated), odd, by_size)
    )
    plumb = tuple((line, take_strip(photo.pixels, line[0], line[1], half)) for line in plumb_lines)
    drawn = tuple(look_at_line(photo.pixels, one, half) for one in lines)
    down = None if photo.down is None else np.array(photo.down)
    rest = (plumb, drawn, down, tuple(by_shape.cut), face_segments(photo.pixels, settings.joints), strange, sized)
    seen = Look(number, photo.name, photo.width, photo.height, scale, prior, corners_px, outline, cards, *rest)
    return replace(seen, corners_within_px=corners_within_px)


def _require_inside(photo: Photo, corners_px: Array) -> None:
    low, high = corners_px.min(axis=0), corners_px.max(axis=0)
    if low.min() < BORDER_PX or high[0] > photo.width - 1 - BORDER_PX or high[1] > photo.height - 1 - BORDER_PX:
        raise CannotMeasure(
            "outline",
            "opening-cut",
            found=f"{photo.name}: a corner of the opening at or beyond the border of the {photo.width} x {photo.height} picture",
            needed="all four corners inside the picture",
            remedy="step back and take the photo again with a hand's width of wall all round",
        )
    x, y = corners_px[:, 0], corners_px[:, 1]
    area = 0.5 * (x @ np.roll(y, -1) - y @ np.roll(x, -1))
    if -area < (0.05 * min(photo.width, photo.height)) ** 2:
        raise CannotMeasure(
            "outline",
            "needs-corners",
            found=f"{photo.name}: four corners that enclose no opening in the order bottom-left, bottom-right, "
            "top-right, top-left",
            needed="the opening's corners in that order",
            remedy="mark the four corners again",
        )


def outline_strips(pixels: NDArray[np.uint8], corners_px: Array, half: int, *, has_head: bool) -> dict[str, Strip]:
    """A strip round each edge of the opening, +-`half` px wide and as much longer at either end."""
    edges = {n: corners_px[list(pair)] for n, pair in OUTLINE_CORNERS.items() if has_head or n != "head"}
    return {n: take_strip(pixels, ends[0], ends[1], half, half) for n, ends in edges.items()}


def card_strips(pixels: NDArray[np.uint8], corners: Array, half: int) -> tuple[Strip, Strip, Strip, Strip]:
    """A strip round each side of a card."""
    a, b, c, d = (take_strip(pixels, corners[i], corners[j], half, 4) for i, j in SIDE_CORNERS)
    return a, b, c, d


def stated_card(kind: CardKind, corners: Array, view: PlaneView | None, prior: CameraPrior) -> CardCandidate:
    """A card whose corners the user marked; a named kind is turned as its aspect says, a custom one as stated."""
    turned = False
    if not kind.name[0].isdigit():
        a, b = mean_sides((view or front_view(corners, prior)).on_plane(corners))
        turned = (a > b) != (kind.width_mm > kind.height_mm)
    return CardCandidate(corners, True, kind, turned)


def find_cards(
    pixels: NDArray[np.uint8],
    kinds: Sequence[CardKind],
    outline: tuple[PlaneView, Array] | None,
    prior: CameraPrior,
    settings: Settings,
    *,
    quick: bool = False,
) -> list[CardCandidate]:
    """Quadrilaterals with right angles and the aspect of an allowed kind, left to right; without tiles (look-alikes beside each
    other) and what would make the opening absurdly small or large. `quick`: see the finder."""
    return find_cards_and_cut(pixels, kinds, outline, prior, settings, quick=quick).cards


def find_cards_and_cut(
    pixels: NDArray[np.uint8],
    kinds: Sequence[CardKind],
    outline: tuple[PlaneView, Array] | None,
    prior: CameraPrior,
    settings: Settings,
    *,
    quick: bool = False,
) -> FoundByShape:
    """The cards as `find_cards` has them, those that run out of the picture, and those of no kind beside an outline."""
    high, wide = pixels.shape[:2]
    factor = max(math.ceil(max(high, wide) / WORKING_LONG_SIDE), 1)

    def squared(quads: Array) -> Array:
        view = outline[0] if outline else front_view(np.zeros((1, 2)), prior)
        return view.on_plane(quads.reshape(-1, 2)).reshape(-1, 4, 2)

    def worth_a_fit(quads: Array) -> NDArray[np.bool_]:
        at_border = border_sides(quads, wide, high, ROUGH_BORDER_PX * factor).any(axis=(1, 2))
        return at_border | _roughly_of_a_kind(squared(quads), quads, kinds, settings.cards.aspect_tolerance)

    quads, strengths = find_quadrilaterals(pixels, worth_a_fit, quick=quick)
    planes = squared(quads)
    seen = np.all(np.isfinite(planes), axis=(1, 2))
    quads, strengths, planes = quads[seen], strengths[seen], planes[seen]
    sides = border_sides(quads, wide, high, NEAR_BORDER_PX * factor)
    whole = ~sides.any(axis=(1, 2))
    out = []
    for quad, strength, plane in zip(quads[whole], strengths[whole], planes[whole], strict=True):
        match = match_kind(plane, kinds, settings.cards.aspect_tolerance, slack=float(_slack(quad)))
        if match is None or _among_look_alikes(plane, planes):
            continue
        if outline is not None and not _plausible(*outline, plane, match):
            continue
        out.append((float(strength), CardCandidate(quad, False, match[0], match[1])))
    cards = sorted(_one_per_place(out), key=lambda c: (c.corners_px[:, 0].mean(), c.corners_px[:, 1].mean()))
    scales = [mm_per_unit(c, squared(c.corners_px[None])[0]) for c in cards]

    def may_be(scale: float, tolerance: float) -> bool:
        if scales:
            return abs(scale / float(np.median(scales)) - 1) < tolerance
        return outline is not None and _opening_is_plausible(*outline, scale)

    cut = cut_cards(pixels, (quads[~whole], planes[~whole], sides[~whole]), kinds, may_be, settings.cards.aspect_tolerance)
    alone = [k for k in np.argsort(-strengths).tolist() if not sides[k].any() and not _among_look_alikes(planes[k], planes)]
    odd = [] if outline is None else odd_candidates(pixels, quads[alone], cards, kinds, outline=outline)
    return FoundByShape(cards, cut, odd)


def _slack(quad: Array) -> Array:
    """Relative; how far rough corners (..., 4, 2) px may falsify an aspect."""
    return np.asarray(ROUGH_PX / np.maximum(np.minimum(*mean_sides(quad)), 1.0))


def _roughly_of_a_kind(planes: Array, quads: Array, kinds: Sequence[CardKind], tolerance: float) -> NDArray[np.bool_]:
    """Which squared quadrilaterals (n, 4, 2) whose corners are good to a tenth of a side may turn out to be of a kind."""
    a, b = mean_sides(planes)
    with np.errstate(divide="ignore", invalid="ignore"):
        aspect = np.abs(np.log(a / b))
    off = np.min([np.abs(aspect - abs(math.log(k.width_mm / k.height_mm))) for k in kinds], axis=0)
    return np.asarray(off < tolerance + ROUGH_ASPECT + _slack(quads))


def _plausible(view: PlaneView, corners_px: Array, plane: Array, match: tuple[CardKind, bool]) -> bool:
    kind = match[0]
    return _opening_is_plausible(
        view, corners_px, math.sqrt(kind.width_mm * kind.height_mm / max(float(np.prod(mean_sides(plane))), 1e-18))
    )


def _opening_is_plausible(view: PlaneView, corners_px: Array, scale: float) -> bool:
    width, height = mean_sides(view.on_plane(corners_px))
    low, high = PLAUSIBLE_OPENING_MM
    return bool(low < width * scale < high and low < height * scale < high)


def _among_look_alikes(plane: Array, others: Array) -> bool:
    """True where two or more patches (n, 4, 2) of the same size stand right beside this one: tiles, panes, printed squares."""
    a, b = mean_sides(plane)
    oa, ob = mean_sides(others)
    offset = np.linalg.norm(others.mean(axis=1) - plane.mean(axis=0), axis=1)
    beside = (offset > 0.7 * min(a, b)) & (offset < 1.35 * max(a, b))
    return bool(np.sum(beside & (np.abs(oa / a - 1) < 0.08) & (np.abs(ob / b - 1) < 0.08)) >= 2)


def _one_per_place(cards: list[tuple[float, CardCandidate]]) -> list[CardCandidate]:
    """Of nested or overlapping candidates keep the one with the strongest sides (a halo's are weak)."""
    out: list[CardCandidate] = []
    for _, card in sorted(cards, key=lambda c: -c[0]):
        if not any(same_place(kept.corners_px, card.corners_px) for kept in out):
            out.append(card)
    return out


def without_cards(seen: Look) -> Look:
    """The look without its cards (for tests and for planning)."""
    return replace(seen, cards=())
