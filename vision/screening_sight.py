"""What references and outline of one photo tell a screening: at reduced scale cheaply, at full size as the check would.

The cheap part finds references in the small picture and estimates a size from the largest of them; the dear part is the check's
own adjustment, at ten to thirty decodes of the file, and only a photo that nothing speaks against is worth it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.errors import BadInput, CannotMeasure, Finding
from vision.geometry.alone import speaks_of_a_guess, speaks_of_light
from vision.geometry.by_shape import find_cards
from vision.geometry.camera import camera_prior
from vision.geometry.card_seen import rough_surround
from vision.geometry.cards import CardCandidate, CardFacts
from vision.geometry.look import look
from vision.geometry.measure import Measured, measure_photo
from vision.geometry.not_used import speaks_of_a_patch
from vision.geometry.one_thing import ends_at_corners, look_at, one_thing
from vision.geometry.opening import WIDTHS
from vision.geometry.places import at_corners
from vision.geometry.plan import PlannedCard, expect, far_enough, shot_of
from vision.geometry.seeing import see_photo
from vision.geometry.seen import Demands, SeenPhoto
from vision.geometry.shapes import same_place
from vision.geometry.start import PlaneView, view_of_rectangle
from vision.geometry.targets import find_targets
from vision.photo.intake import Photo, Reduced
from vision.screening_estimate import Band, References, estimated, scale_mm
from vision.screening_reasons import Reason, outline_facts
from vision.settings import CARD_KINDS, Settings
from vision.settings_screen import COMMON

Array = NDArray[np.float64]
SMALL_PX, SAME_SCALE = 30.0, 0.2
"""px; references whose shorter side is under this in the small picture are looked at once more where a size rests on them: a
pixel and a half is a twentieth of it. And the logarithm of the ratio of two scales, at most, that are one so roughly seen"""
AS_REASON = {
    "blur": "blur",
    "edge-hidden": "edge-hidden",
    "opening-cut": "opening-cut",
    "card-missing": "card-missing",
    "card-plane": "card-plane",
    "tilt-two-ways": "tilt-two-ways",
}
"""codes of what cannot be measured -> reasons that ask for another photo; every other one is a contradiction in the photo"""
NOT_FOR_CUSTOMERS = frozenset({"no-metadata", "no-vertical"})
"""findings of a check that say nothing against the photo"""
SAID_AS: Mapping[str, str] = MappingProxyType({"card-cut": "card-cut", "edge-hidden": "needs-corners"})
"""findings of a check that contradict nothing: a card that runs out of the picture beside others that do not, and an edge with
two lines, of which whoever marks the outline says which is meant"""
ABOUT_THE_SCALE = frozenset(
    {"card-bent", "card-kind", "card-plane", "cards-disagree", "cue-disagrees", "scale-in-doubt", "unexplained"}
)
"""findings that doubt a reference: where it is the only one no size is told by it"""
USUAL_GLASS_MM = 1930.0
"""mm; 76 in, where an opening without a head is taken to end (common practice, no source): it only says where widths are told"""


def not_an_opening(band: Band, settings: Settings) -> Reason | None:
    """Why a rough size is not told: all of it, within so many sd as are told, lies beyond what openings measure; else None."""
    screen, k = settings.screen, settings.screen.band_sds
    for what, mm, u, (least, most) in (
        ("wide", band.width_mm, band.u_width_mm, screen.opening_width_mm),
        ("high", band.height_mm, band.u_height_mm, screen.opening_height_mm),
    ):
        if mm is not None and u is not None and not (mm + k * u >= least and mm - k * u <= most):
            text = (
                f"the opening would be {mm:.0f} mm {what}, and openings are {least:.0f} to {most:.0f}: outline or reference is "
                f"not what it was taken for, so no size is told ({COMMON})"
            )
            limit = most if mm > most else least
            return Reason("not-consistent", "rough", mm, limit, "mm", COMMON, text)
    return None


@dataclass(frozen=True)
class Sight:
    """What is said of one photo with an outline; `better_u_mm` is u of the widths in a good photo of the same opening."""

    facts: Mapping[str, float]
    cards: tuple[CardCandidate, ...] | None = None
    refused: tuple[Reason, ...] = ()
    band: Band | None = None
    better_u_mm: float | None = None


def refusal(refused: CannotMeasure, code: str, level: str = "again") -> Reason:
    """What cannot be measured, as a reason."""
    return Reason(code, level, None, None, "", "the check's own condition", f"{refused.found}; needed {refused.needed}")


def references_at_reduced_scale(
    small: Reduced, corners_px: Array | None, cards: CardFacts, settings: Settings, *, head: bool
) -> References:
    """References found quickly in a small picture, and thoroughly in one of twice its size where none is sure; px of the photo.

    `corners_px` (4, 2) in the photo, where known: what they show of the camera's tilt lets references be told from afar.
    """
    doubtful: tuple[CardCandidate, ...] = ()
    found = References((), ())
    for size, quick in ((settings.screen.working_long_side_px, True), (2 * settings.screen.working_long_side_px, False)):
        its = _resized(small, size)
        found = _references(its, corners_px, cards, settings, head=head, quick=quick)
        doubtful = found.doubtful or doubtful
        if found.sure or its.factor == small.factor:
            break
    return replace(found, doubtful=doubtful)


def looked_at_again(
    small: Reduced, corners_px: Array, found: References, cards: CardFacts, settings: Settings, *, head: bool
) -> References:
    """Small references once more in a picture of twice the size: their sides, and others of their kind and scale that were too
    small to be found. Nothing else is taken from there, and where there are fewer of them all stays as it is."""
    its = _resized(small, 2 * settings.screen.working_long_side_px)
    if not 0 < found.shortest_px() < SMALL_PX or its.factor >= found.factor:
        return found
    prior = camera_prior(*small.size_px, small.photo.focal_35mm, settings.camera)
    view = view_of_rectangle(corners_px, prior, has_head=head)
    again = _references(its, corners_px, cards, settings, head=head, quick=True)
    same = [c for c in again.sure if any(c.kind == f.kind and same_place(f.corners_px, c.corners_px) for f in found.sure)]
    alike = tuple(c for c in again.sure if any(c is s or _alike(c, s, view) for s in same or found.sure))
    return replace(found, sure=alike, factor=again.factor) if len(alike) >= len(found.sure) else found


def _alike(card: CardCandidate, other: CardCandidate, view: PlaneView) -> bool:
    one, another = scale_mm(card, view), scale_mm(other, view)
    return card.kind == other.kind and one is not None and another is not None and abs(math.log(one / another)) < SAME_SCALE


def _resized(small: Reduced, long_side_px: int) -> Reduced:
    times = max(1.0, max(small.photo.width, small.photo.height) / long_side_px)
    if times == 1.0:
        return small
    wanted = (max(round(small.photo.width / times), 1), max(round(small.photo.height / times), 1))
    pixels = np.asarray(cv2.resize(small.photo.pixels, wanted, interpolation=cv2.INTER_AREA), dtype=np.uint8)
    return replace(small, photo=replace(small.photo, pixels=pixels), factor=small.factor * times)


def _references(
    its: Reduced, corners_px: Array | None, cards: CardFacts, settings: Settings, *, head: bool, quick: bool
) -> References:
    """Those in one picture, px of the photo."""
    pixels = its.photo.pixels
    found = _candidates(its, corners_px, cards, settings, head=head, quick=quick)
    sure = [c for c in found if c.known or c.likely or (not c.unlike and _stands_out(pixels, c))]
    rest = [c for c in found if not any(c is s for s in sure)]
    full = [tuple(replace(c, corners_px=its.at_full_size(c.corners_px)) for c in some) for some in (sure, rest)]
    return References(full[0], full[1], its.factor)


def _stands_out(pixels: NDArray[np.uint8], card: CardCandidate) -> bool:
    return one_thing(pixels, card) and ends_at_corners(pixels, card.corners_px)


def _candidates(
    small: Reduced, corners_px: Array | None, cards: CardFacts, settings: Settings, *, head: bool, quick: bool
) -> list[CardCandidate]:
    photo = small.photo
    prior = camera_prior(photo.width, photo.height, photo.focal_35mm, settings.camera)
    outline: tuple[PlaneView, Array] | None = None
    if corners_px is not None:
        corners = small.reduced(corners_px)
        outline = view_of_rectangle(corners, prior, has_head=head), corners
    by_shape = find_cards(photo.pixels, cards.kinds, outline, prior, settings, quick=quick)
    found = [*find_targets(photo.pixels, cards.kinds), *by_shape]
    return [c for c in found if c.known or c.likely or rough_surround(look_at(photo.pixels, c))]


def measured_sight(photo: Photo, corners: Array, cards: CardFacts, settings: Settings, *, head: bool) -> Sight:
    """What the check says of the photo at full size, given the opening's rough corners (4, 2) px."""
    demands = Demands(cards, head, None if head else USUAL_GLASS_MM, {}, (), 0.0)
    found: tuple[CardCandidate, ...] | None = None
    facts: dict[str, float] = {}
    try:
        look_of = look(photo, cards.kinds, corners, [], [], number=1, has_head=head, settings=settings)
        seen = see_photo(look_of, 1, demands, settings)
        found = tuple(c.look.candidate for c in seen.cards)
        facts |= dict(outline_facts(seen, photo))
        measured = measure_photo(seen, demands, settings)
    except CannotMeasure as refused:
        if refused.stage == "outline" and refused.code in ("needs-corners", "edge-hidden"):  # ours to mark, not the customer's
            return Sight(facts, found, (refusal(refused, "needs-corners", "rough"),))
        code = AS_REASON.get(refused.code, "not-consistent")
        return Sight(facts, found, (refusal(refused, code, "rough" if code == "not-consistent" else "again"),))
    opening = measured.opening
    findings = [f for f in opening.findings if not (speaks_of_a_patch(f) or speaks_of_a_guess(f) or speaks_of_light(f))]
    against = {f.code for f in findings}
    # whoever stated a plane for all of a kind has not seen this photo
    taken = [c for c in opening.cards if c.used]
    alone = len(taken) == 1 and bool(against & ABOUT_THE_SCALE)  # one that is doubted, and nothing else, is no scale
    band = None if facts.get("card-plane") or alone else _band(measured)
    if band is not None:
        assumes = taken[0].kind if any(speaks_of_a_guess(f) for f in opening.findings) else None
        band = replace(band, assumes=assumes)
        facts["uncertain"] = max(opening.quantities.u(n) for n in WIDTHS if n in opening.quantities.names)
    elif opening.scale_refused:
        facts["card-plane"] = 1.0
    told = [f for f in findings if f.code not in NOT_FOR_CUSTOMERS]
    facts["not-consistent"] = float(len({f.code for f in told} - {*SAID_AS, *(("card-plane",) if facts["card-plane"] else ())}))
    return Sight(facts, found, _as_reasons(told, facts, seen), band, _better(measured, demands, settings))


def _as_reasons(findings: Sequence[Finding], facts: Mapping[str, float], seen: SeenPhoto) -> tuple[Reason, ...]:
    """What the check's findings say, each under the reason that it is, or as what contradicts the rest."""
    said: dict[tuple[str, str], list[str]] = {}
    for one in findings:
        code = SAID_AS.get(one.code, "not-consistent")
        if one.code == "card-plane" and facts["card-plane"]:
            code, level = "card-plane", "again"
        else:
            level = "rough"
        said.setdefault((code, level), []).append(one.text)
    places = {"card-plane": [_place(c.corners_px, seen) for c in seen.used if c.plane_unknown or c.floats]}
    return tuple(
        Reason(code, level, None, None, "", "the check's own tests", " ".join([*texts, *places.get(code, [])]))
        for (code, level), texts in said.items()
    )


def _place(corners_px: Array, seen: SeenPhoto) -> str:
    """Where a reference is seen, against the outline (bottom-left, bottom-right, top-right, top-left)."""
    left, right, top_right, top_left = seen.corners_px
    middle, foot = corners_px.mean(axis=0), corners_px[:, 1].max()
    curb = float(np.interp(middle[0], (left[0], right[0]), (left[1], right[1])))
    high = curb - float(top_left[1] + top_right[1]) / 2
    share = (curb - float(foot)) / max(high, 1.0)
    return (
        f"Its middle is at ({middle[0]:.0f}, {middle[1]:.0f}) px and its lower edge {curb - foot:.0f} px above the curb, "
        f"{share:.0%} of the opening's height."
    )


def _band(measured: Measured) -> Band | None:
    known = measured.opening.quantities
    widths = [n for n in WIDTHS if n in known.names]
    if not widths or measured.opening.scale_refused:
        return None
    width = min(widths, key=known.value)
    at = known.value(width), known.u(width)
    if "height_left" not in known.names:
        return Band(*at, None, None, "measured")
    return Band(*at, known.value("height_left"), known.u("height_left"), "measured")


def _better(measured: Measured, demands: Demands, settings: Settings) -> float | None:
    """The largest u of the widths (mm) in a photo taken straight on of the same opening with measured sheets on both sides."""
    shot = shot_of(measured.solution, measured.assembly, measured.opening, demands)
    if shot is None:
        return None
    first, kind = shot.cards[0], CARD_KINDS["sheet"]
    spec = replace(first.spec, kind=kind, size_mm=(kind.width_mm, kind.height_mm), size_sd_mm=settings.plan.control_sd_mm)
    cards = at_corners(PlannedCard(spec, (0.0, 0.0)), 2, (shot.width_mm, shot.height_mm), settings)
    try:
        after = expect(far_enough(replace(shot, cards=cards), settings), settings).quantities
    except BadInput:
        return None
    return max(after.u(n) for n in WIDTHS if n in after.names)


def estimated_sight(
    small: Reduced, corners: Array, found: References, settings: Settings, *, head: bool, stated: bool = False
) -> Sight:
    """A rough size at reduced scale, as `screening_estimate.estimated` has it."""
    found_out = estimated(small, corners, found, settings, head=head, stated=stated)
    facts = {} if found_out.all_inside is None else {"card-plane": float(found_out.all_inside)}
    return Sight(facts, refused=found_out.contradicted, band=found_out.band)
