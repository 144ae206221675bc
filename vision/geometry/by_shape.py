"""What may be a reference card by its shape: quadrilaterals of a kind's aspect, those cut by the border, sheets round a print."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from vision.geometry.camera import CameraPrior
from vision.geometry.cards import CardCandidate
from vision.geometry.cut import ROUGH_PX, CutCard, border_sides, cut_cards, mm_per_unit
from vision.geometry.finder import NEAR_BORDER_PX, WORKING_LONG_SIDE, find_quadrilaterals, reduced
from vision.geometry.framed import is_framed
from vision.geometry.odd_shapes import odd_candidates
from vision.geometry.outer import sheets_round
from vision.geometry.reference_sight import likenesses, pyramid
from vision.geometry.shapes import match_kind, mean_sides, same_place
from vision.geometry.start import PlaneView, front_view
from vision.settings import CardKind, Settings

Array = NDArray[np.float64]
PLAUSIBLE_OPENING_MM = (350.0, 4000.0)
"""mm; a card that makes the outline smaller or larger than this is something else (size limits of the trade, widened)"""
ROUGH_BORDER_PX = 8.0
"""px of the reduced picture; a contour's frame whose side is this near to the border may be a card that runs out of it"""
SAME_BORDER_PX = 3.0
"""px; two sheets whose corners are nearer together than this are one"""
ROUGH_ASPECT = 0.15
"""relative; how far a contour's frame may be off the aspect of the lines through its sides"""


class FoundByShape(NamedTuple):
    """What may be a card by its shape: whole ones left to right, those cut by the picture's border, those nearly of a kind,
    sheets round what is printed on them, which may be among the first; and whole patches (n, 4, 2) px that stand alone, the
    clearest first."""

    cards: list[CardCandidate]
    cut: list[CutCard]
    odd: list[CardCandidate]
    sheets: list[CardCandidate]
    alone: Array


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
    whole = np.asarray(~sides.any(axis=(1, 2)))
    single = np.array([not _among_look_alikes(plane, planes) for plane in planes], dtype=bool)
    out = []
    for k in np.flatnonzero(whole):
        quad, strength, plane = quads[k], strengths[k], planes[k]
        match = match_kind(plane, kinds, settings.cards.aspect_tolerance, slack=float(_slack(quad)))
        if match is None or is_framed(plane, planes[single]):  # a tile behind a card is no frame
            continue
        if outline is not None and not _plausible(*outline, plane, match):
            continue
        out.append((float(strength), CardCandidate(quad, False, match[0], match[1]), bool(single[k])))
    cards = _alone_or_likely(pixels, out)
    scales = [mm_per_unit(c, squared(c.corners_px[None])[0]) for c in cards]

    def may_be(scale: float, tolerance: float) -> bool:
        if scales:
            return abs(scale / float(np.median(scales)) - 1) < tolerance
        return outline is not None and _opening_is_plausible(*outline, scale)

    cut = cut_cards(pixels, (quads[~whole], planes[~whole], sides[~whole]), kinds, may_be, settings.cards.aspect_tolerance)
    alone = [k for k in np.argsort(-strengths).tolist() if whole[k] and single[k]]
    odd = [] if outline is None else odd_candidates(pixels, quads[alone], cards, kinds, outline=outline)
    sheets = [] if outline is None or quick else _sheets(pixels, (quads[alone], planes[alone]), outline, kinds, settings)
    return FoundByShape(cards, cut, odd, _with_likeness(pixels, sheets), quads[alone])


def _sheets(
    pixels: NDArray[np.uint8],
    found: tuple[Array, Array],
    outline: tuple[PlaneView, Array],
    kinds: Sequence[CardKind],
    settings: Settings,
) -> list[CardCandidate]:
    """Sheets of a kind round patches (n, 4, 2) px, and on the plane, that may be printed on them."""
    tolerance = settings.cards.aspect_tolerance
    may_be = _roughly_of_a_kind(found[1], found[0], kinds, tolerance)
    out: list[CardCandidate] = []
    for quad, plane in zip(found[0][may_be], found[1][may_be], strict=True):
        for border in sheets_round(pixels, quad, plane):
            if any(np.abs(c.corners_px - border).max() < SAME_BORDER_PX for c in out):
                continue
            squared = outline[0].on_plane(border)
            match = match_kind(squared, kinds, tolerance, slack=float(_slack(border)))
            if match is not None and _plausible(*outline, squared, match):
                out.append(CardCandidate(border, False, match[0], match[1]))
    return out


def _alone_or_likely(pixels: NDArray[np.uint8], found: Sequence[tuple[float, CardCandidate, bool]]) -> list[CardCandidate]:
    """Of candidates, with their strength and whether they stand alone, those that do or look like a reference, left to right."""
    looked = zip(found, _with_likeness(pixels, [card for _, card, _ in found]), strict=True)
    cards = _one_per_place([(strength, card) for (strength, _, alone), card in looked if alone or card.likely])
    return sorted(cards, key=lambda c: (c.corners_px[:, 0].mean(), c.corners_px[:, 1].mean()))


def _with_likeness(pixels: NDArray[np.uint8], found: Sequence[CardCandidate]) -> list[CardCandidate]:
    """The candidates with the chance that each is a reference by what it looks like."""
    if not found:
        return []
    small, factor = reduced(pixels)
    quads = np.array([c.corners_px for c in found])
    seen = likenesses(pyramid(small), (quads + 0.5) / factor - 0.5)
    return [replace(card, chance=one.chance) for card, one in zip(found, seen, strict=True)]


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
