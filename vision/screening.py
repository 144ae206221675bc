"""Is this photo good enough, and for what: one photo that a customer sent -> a verdict, its reasons, a rough size.

file fields > pixels > references at reduced scale; with an outline (marked, or proposed by a `Tracer`) also everything that the
check itself would say of it. Without an outline nothing is measured, and the screening says so.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Protocol

import cv2
import numpy as np
from numpy.typing import NDArray
from threadpoolctl import threadpool_limits

from vision.errors import BadInput, CannotMeasure
from vision.geometry.camera import CameraPrior, camera_prior
from vision.geometry.cards import CardCandidate, CardFacts, parse_cards
from vision.geometry.look import CardLook, card_strips, find_cards, look
from vision.geometry.measure import Measured, measure
from vision.geometry.opening import WIDTHS
from vision.geometry.places import at_corners
from vision.geometry.plan import PlannedCard, expect, far_enough, shot_of
from vision.geometry.seeing import rough_surround, see_photo
from vision.geometry.seen import Demands
from vision.geometry.start import view_of_rectangle
from vision.geometry.targets import find_targets
from vision.geometry.trace import trace
from vision.photo.intake import Photo, read_photo
from vision.photo.provenance import read_provenance
from vision.photo.quality import quality_of
from vision.screening_reasons import Reason, card_facts, file_facts, judged_facts, outline_facts, picture_facts
from vision.settings import CARD_KINDS, Settings

Array = NDArray[np.float64]
SURROUND_PX = 12
"""px; either side of a reference's edge, where it is compared with its surroundings"""
MOST_CANDIDATES = 8
"""references that people put up; more are tiles, and none of them carries a rough size"""
GOOD, ROUGH, AGAIN = "good to measure", "good for a rough quote only", "ask again"
UNMARKED = Reason(
    "needs-corners", "rough", None, None, "", "the check's own condition", "the outline is not known: mark its four corners"
)
"""nothing of the opening has been looked at: a photo of which that is true is not called good"""
AS_REASON = {
    "blur": "blur",
    "edge-hidden": "edge-hidden",
    "opening-cut": "opening-cut",
    "card-missing": "card-missing",
    "card-plane": "card-plane",
    "needs-corners": "edge-hidden",
}
"""codes of what cannot be measured -> reasons that ask for another photo; every other one is a contradiction in the photo"""


@dataclass(frozen=True)
class Traced:
    """A proposed outline: bottom-left, bottom-right, top-right, top-left (4, 2) px, or None with the reason in words."""

    corners_px: Array | None
    confidence: float
    reason: str = ""


class Tracer(Protocol):
    """Who proposes the outline of an upright photo."""

    def __call__(self, photo: Photo) -> Traced:
        """The outline, or why not."""


@dataclass(frozen=True)
class OwnTracer:
    """The outline as the program finds it alone (`geometry/trace.py`)."""

    settings: Settings
    head: bool = True

    def __call__(self, photo: Photo) -> Traced:
        """The outline, or what it is in doubt about."""
        found = trace(photo, 1, has_head=self.head, settings=self.settings)
        return Traced(found.corners_px, found.confidence or 0.0, found.doubt)


@dataclass(frozen=True)
class ScreenRequest:
    """One photo. `corners` as marked (px of the upright photo) or None; `cards` are CARD texts as in a check."""

    name: str
    data: bytes
    corners: tuple[tuple[float, float], ...] | None = None
    cards: tuple[str, ...] = ()
    head: bool = True


@dataclass(frozen=True)
class Band:
    """A rough size (mm) with its sd, and how it came: "measured" by the check's adjustment or "estimated" from one reference."""

    width_mm: float
    u_width_mm: float
    height_mm: float | None
    u_height_mm: float | None
    how: str


@dataclass(frozen=True)
class Screening:
    """The answer. `facts` holds every measured value by reason; `outline` is "marked", "proposed" or "not known"."""

    name: str
    sha256: str
    verdict: str
    reasons: tuple[Reason, ...]
    facts: Mapping[str, float]
    outline: str
    references: tuple[str, ...] = ()
    band: Band | None = None
    better_u_mm: float | None = None
    """u of the widths (mm) in a good photo of the same opening with a sheet on either side"""


def screen(request: ScreenRequest, settings: Settings = Settings(), tracer: Tracer | None = None) -> Screening:  # noqa: B008
    """Screen one photo. Raises BadInput for wrong CARD texts or corners; whatever is wrong with the photo is in the answer."""
    cards = parse_cards(request.cards, None, settings.cards)
    if request.corners is not None and len(request.corners) != 4:
        raise BadInput("corners", f"{len(request.corners)} points", "four", "mark the four corners of the opening")
    digest = hashlib.sha256(request.data).hexdigest()
    with threadpool_limits(limits=1):
        try:
            origin = read_provenance(request.name, request.data)
            photo = read_photo(request.name, request.data, settings.intake)
        except CannotMeasure as refused:
            return Screening(request.name, digest, AGAIN, (_refusal(refused, refused.code),), {}, "not known")
        facts = dict((*file_facts(origin), *picture_facts(quality_of(photo.pixels))))
        return _with_outline(request, photo, facts, cards, settings, tracer=tracer)


def _with_outline(
    request: ScreenRequest, photo: Photo, facts: dict[str, float], cards: CardFacts, settings: Settings, *, tracer: Tracer | None
) -> Screening:
    marked = None if request.corners is None else np.array(request.corners, dtype=np.float64)
    corners, how = marked, "not known" if marked is None else "marked"
    if corners is None and tracer is not None:
        corners = tracer(photo).corners_px
        how = how if corners is None else "proposed"
    scale = math.hypot(photo.width, photo.height) / settings.camera.reference_diagonal_px
    prior = camera_prior(photo.width, photo.height, photo.focal_35mm, settings.camera)
    found: Sequence[CardCandidate]
    extra: tuple[Reason, ...] = ()
    band, better = None, None
    if corners is None:
        found, extra = references_at_reduced_scale(photo, cards, prior, settings), (UNMARKED,)
    else:
        sight = _measured(photo, corners, cards, settings, head=request.head)
        found, extra, band, better = sight.cards, sight.refused, sight.band, sight.better_u_mm
        facts |= sight.facts
    facts |= dict(card_facts(found, photo, scale))
    reasons = (*judged_facts(_excused(facts), settings), *extra)
    reasons = tuple({r.code: r for r in reversed(reasons)}.values())[::-1]
    level = {r.level for r in reasons}
    verdict = AGAIN if "again" in level else ROUGH if level else GOOD
    kinds = tuple(c.kind.name for c in found if c.kind is not None)
    digest = photo.sha256
    return Screening(photo.name, digest, verdict, reasons, facts, how, kinds, band, better)


def _excused(facts: Mapping[str, float]) -> Mapping[str, float]:
    """Missing metadata costs nothing where the photo was measured well enough without."""
    if facts.get("uncertain", math.inf) < 12.7 / 4.13 and not facts.get("not-consistent"):
        return {k: v for k, v in facts.items() if k != "no-metadata"}
    return facts


def _refusal(refused: CannotMeasure, code: str, level: str = "again") -> Reason:
    return Reason(code, level, None, None, "", "the check's own condition", f"{refused.found}; needed {refused.needed}")


def references_at_reduced_scale(photo: Photo, cards: CardFacts, prior: CameraPrior, settings: Settings) -> list[CardCandidate]:
    """References found in a small picture, and in one of twice its size where there are none; corners in px of the photo."""
    for size in (settings.screen.working_long_side_px, 2 * settings.screen.working_long_side_px):
        factor = max(1.0, max(photo.width, photo.height) / size)
        wanted = (round(photo.width / factor), round(photo.height / factor))
        small = np.asarray(cv2.resize(photo.pixels, wanted, interpolation=cv2.INTER_AREA), dtype=np.uint8)
        its = camera_prior(small.shape[1], small.shape[0], photo.focal_35mm, settings.camera)
        found = [*find_targets(small, cards.kinds), *find_cards(small, cards.kinds, None, its, settings)]
        found = standing_out(small, found)
        if found or factor == 1.0:
            return [replace(c, corners_px=(c.corners_px + 0.5) * factor - 0.5) for c in found]
    return []


def standing_out(pixels: NDArray[np.uint8], cards: Sequence[CardCandidate]) -> list[CardCandidate]:
    """Those known by their target, and those that differ from their surroundings alike on all sides, as tiles do not."""
    looks = [CardLook(c, card_strips(pixels, c.corners_px, SURROUND_PX)) for c in cards]
    return [c.candidate for c in looks if c.candidate.known or rough_surround(c)]


@dataclass(frozen=True)
class _Sight:
    """What the check says of one photo with an outline."""

    cards: tuple[CardCandidate, ...]
    facts: Mapping[str, float]
    refused: tuple[Reason, ...] = ()
    band: Band | None = None
    better_u_mm: float | None = None


def _measured(photo: Photo, corners: Array, cards: CardFacts, settings: Settings, *, head: bool) -> _Sight:
    demands = Demands(cards, head, None, {}, (), 0.0)
    found: tuple[CardCandidate, ...] = ()
    facts: dict[str, float] = {}
    try:
        look_of = look(photo, cards.kinds, corners, [], [], number=1, has_head=head, settings=settings)
        found = tuple(c.candidate for c in look_of.cards)
        seen = see_photo(look_of, 1, demands, settings)
        found = tuple(c.look.candidate for c in seen.cards)
        facts |= dict(outline_facts(seen, photo))
        measured = measure([look_of], demands, settings)
    except CannotMeasure as refused:
        code = AS_REASON.get(refused.code, "not-consistent")
        level = "rough" if code == "not-consistent" else "again"
        band = estimated_band(photo, corners, found, settings, head=head)
        return _Sight(found, facts, (_refusal(refused, code, level),), band)
    opening = measured.opening
    findings = [f.code for f in opening.findings if f.code not in ("no-metadata", "no-vertical")]
    facts["not-consistent"] = float(len(findings))
    band = _band(measured)
    if band is not None:
        facts["uncertain"] = max(opening.quantities.u(n) for n in WIDTHS if n in opening.quantities.names)
    elif opening.scale_refused:
        facts["card-plane"] = 1.0
    return _Sight(found, facts, (), band, _better(measured, demands, settings))


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


def estimated_band(
    photo: Photo, corners: Array, cards: Sequence[CardCandidate], settings: Settings, *, head: bool
) -> Band | None:
    """Width and height from the corners as they are and the largest reference, with what rough corners and depth may do."""
    cards = standing_out(photo.pixels, [c for c in cards if c.kind is not None])
    if not 0 < len(cards) <= MOST_CANDIDATES or not np.all(np.isfinite(corners)):
        return None
    prior = camera_prior(photo.width, photo.height, photo.focal_35mm, settings.camera)
    card = max(cards, key=lambda c: float(np.ptp(c.corners_px, axis=0).prod()))
    view = view_of_rectangle(corners, prior, has_head=head)
    plane, outline = view.on_plane(card.corners_px), view.on_plane(corners)
    if not (np.all(np.isfinite(plane)) and np.all(np.isfinite(outline))):
        return None
    (cw, ch), (w, h) = _sides(plane), _sides(outline)
    mm = math.sqrt(math.prod(card.sides_mm) / max(cw * ch, 1e-18))
    side_px = float(np.linalg.norm(np.roll(card.corners_px, -1, axis=0) - card.corners_px, axis=1).min())
    width_px = float(np.linalg.norm(corners[1] - corners[0]))
    scale = math.hypot(photo.width, photo.height) / settings.camera.reference_diagonal_px
    rough, depth = settings.screen.rough_corner_px * scale, settings.screen.rough_depth_mm / max(mm, 1e-9)
    relative = math.hypot(4.0 / side_px, rough * math.sqrt(2) / width_px, depth, prior.f_relative_sd / 2)
    height, u_height = (h * mm, h * mm * relative) if head else (None, None)
    return Band(w * mm, w * mm * relative, height, u_height, "estimated")


def _sides(quad: Array) -> tuple[float, float]:
    s = np.linalg.norm(np.roll(quad, -1, axis=0) - quad, axis=1)
    return float(s[0] + s[2]) / 2, float(s[1] + s[3]) / 2
