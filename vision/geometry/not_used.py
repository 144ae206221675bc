"""What is put up like a reference and is not used: said with its reason, never averaged in and never dropped without a word."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vision.errors import CannotMeasure, Finding
from vision.geometry.card_seen import REFINED_PX, SEARCH_PX, corners_of_sides, one_surround, rough_surround, roughly_alike
from vision.geometry.cut import CutCard
from vision.geometry.look import CardLook
from vision.geometry.observe import clean_blur, observe_card
from vision.geometry.odd_shapes import beside_opening
from vision.geometry.seen import SeenPhoto, opening_width_by, squared_to_curb
from vision.geometry.shapes import match_kind, mean_sides, nearly_of_a_kind, same_place
from vision.geometry.side_views import Around
from vision.settings import CARD_KINDS, CardKind, Settings

Array = NDArray[np.float64]
MOST_NAMED = 3
"""patches that one sentence names; more are no cards"""
CAUSES = "cut, folded, bent, off the wall, of another kind, or no card at all"
NEXT = (
    "If it is a reference, press it flat against the wall, uncut and unfolded, with all its sides in sight, "
    "state its kind, and take the photo again; or mark its corners with card-corners."
)


@dataclass(frozen=True)
class Patch:
    """Something with four sides put up like a reference: its photo's number, corners (4, 2) px, how many sides are clear."""

    photo: int
    corners_px: Array
    sides: int = 4
    marked: str | None = None
    """the kind that the user marked it as"""


def speaks_of_a_patch(finding: Finding) -> bool:
    """Whether a finding says no more than that something which looks like a card is not used."""
    return finding.next == NEXT


def dropped_patches(photos: Sequence[SeenPhoto], settings: Settings) -> list[Patch]:
    """What each look took for a card, or nearly for one, and is none of its photo's cards; without tiles and their like."""
    out = []
    for photo in photos:
        for card in (*photo.look.cards, *photo.look.odd):
            rough = card.candidate.corners_px
            there = any(same_place(c.corners_px, rough) or same_place(rough, c.corners_px) for c in photo.cards)
            patch = None if there else _patch(photo, card, settings)
            out += [patch] if patch is not None else []
    return out


def _patch(photo: SeenPhoto, card: CardLook, settings: Settings) -> Patch | None:
    """The patch with its corners refined; None where it differs from what surrounds it otherwise than a card does, unless it
    looks like a reference: then with its rough corners."""
    candidate, kind = card.candidate, card.candidate.kind
    if candidate.stated:
        return Patch(photo.look.number, candidate.corners_px, 0, kind.name if kind else "?")
    if not beside_opening(photo.view, photo.corners_px, candidate.corners_px):
        return None
    unclear = Patch(photo.look.number, candidate.corners_px) if candidate.likely else None
    if not rough_surround(card):
        return unclear
    reach = max(SEARCH_PX * max(photo.look.scale, 0.5), 3.0)
    around = Around(photo.view, clean_blur(photo.outline, photo.look.scale))
    rough = candidate.corners_px
    sides = observe_card(card, rough, photo.look, settings.edges, search=reach, around=around, passes=roughly_alike)
    seen = [s for s in sides if s is not None]
    if len(seen) < 3 or not one_surround(seen):
        return unclear
    return Patch(photo.look.number, corners_of_sides(sides, rough), len(seen))


def not_used(
    patches: Sequence[Patch], photos: Sequence[SeenPhoto], kinds: Sequence[CardKind], settings: Settings
) -> list[Finding]:
    """A finding, which holds nothing, for each patch that is a reference by place, and by size at the scale of the cards used.

    Where their plane is not known, the patch may have any size. Patches of photos that were left out are left out with them.
    """
    widths = [opening_width_by(c, p) for p in photos for c in p.used if not c.plane_unknown]
    width, out = float(np.median(widths)) if widths else None, []
    views = {p.look.number: squared_to_curb(p) for p in photos}
    for patch in (p for p in patches if p.photo in views):
        view, corners = views[patch.photo]
        scale = None if width is None else width / float(corners[1, 0])
        what = _words(patch, view.on_plane(patch.corners_px), scale, kinds, settings)
        out += [Finding("card-kind", f"{what} It was not used.", NEXT, holds=False)] if what is not None else []
    return out


def _words(patch: Patch, plane: Array, mm_per_unit: float | None, kinds: Sequence[CardKind], settings: Settings) -> str | None:
    """What the patch is, by its corners on the wall (4, 2); None where it has no reference's size."""
    where = _where(patch)
    if patch.marked is not None:
        return f"The {patch.marked} card marked {where} has too few sides that can be followed."
    match = nearly_of_a_kind(plane, kinds, mm_per_unit)
    if match is None:
        return None
    what = f"Something {where} looks like a card put up on the wall"
    if mm_per_unit is not None:
        a, b = (float(v) * mm_per_unit for v in mean_sides(plane))
        what = f"{what}, some {a:.0f} x {b:.0f} mm"
    if patch.sides < 4:
        return f"{what}, but only {patch.sides} of its four sides can be followed."
    slack = REFINED_PX / float(np.linalg.norm(np.roll(patch.corners_px, -1, axis=0) - patch.corners_px, axis=1).min())
    if match_kind(plane, kinds, settings.cards.aspect_tolerance, slack) is not None:
        return f"{what}, but its outline is too unclear to be sure of its kind ({match[0].name}?)."
    return f"{what}, but its shape is that of no kind looked for (nearest: {match[0].name}): {CAUSES}."


def require_a_card(
    patches: Sequence[Patch],
    photos: Sequence[SeenPhoto],
    kinds: Sequence[CardKind],
    settings: Settings,
    cut: Sequence[CutCard] = (),
) -> None:
    """CannotMeasure (card-missing) that names what looks like a reference, where no card is there but such, and those cut off."""
    if any(p.used for p in photos):
        return
    named = [p for p in patches if p.marked is not None or _may_be(p, photos, kinds)][:MOST_NAMED]
    if not named:
        return
    other = _other_kinds(named, photos, kinds, settings)
    where, asked = " and ".join(_where(p) for p in named), ", ".join(k.name for k in kinds if k.target is None)
    raise CannotMeasure(
        "cards",
        "card-missing",
        found=f"{photos[0].look.name}: no reference card, though something {where} looks like one; its shape is that of no kind "
        f"looked for ({asked}), or its sides cannot be followed: {CAUSES}" + "".join(f"; and {c.words}" for c in cut),
        needed="a flat card or sheet of known size in the opening's plane, whole and with all its sides in sight",
        remedy=(f"if it is {' or '.join(other)}, state that kind with card; else " if other else "")
        + "press it flat against the wall, uncut and unfolded, state its kind, and take the photo again, "
        "or mark its corners with card-corners",
    )


def _other_kinds(
    patches: Sequence[Patch], photos: Sequence[SeenPhoto], kinds: Sequence[CardKind], settings: Settings
) -> list[str]:
    """The kinds that were not looked for and whose shape these patches have."""
    others = [kind for kind in CARD_KINDS.values() if kind not in kinds and kind.target is None]
    planes = [_on_plane(p, photos) for p in patches if p.sides == 4]
    found = (match_kind(plane, others, settings.cards.aspect_tolerance) for plane in planes)
    return list(dict.fromkeys(match[0].name for match in found if match is not None))


def _may_be(patch: Patch, photos: Sequence[SeenPhoto], kinds: Sequence[CardKind]) -> bool:
    return nearly_of_a_kind(_on_plane(patch, photos), kinds, None) is not None


def _on_plane(patch: Patch, photos: Sequence[SeenPhoto]) -> Array:
    """The patch's corners (4, 2) on the wall of its photo, which is one of these."""
    (photo,) = (p for p in photos if p.look.number == patch.photo)
    return photo.view.on_plane(patch.corners_px)


def _where(patch: Patch) -> str:
    x, y = patch.corners_px.mean(axis=0)
    return f"near ({x:.0f}, {y:.0f})"
