"""Is this photo good enough, and for what: one photo that a customer sent -> a verdict, its reasons, a rough size.

In stages, the cheap ones first, and none after one that has asked for another photo: file fields > the picture at half its size
(light, blur) > outline, as marked or proposed by a `Tracer` > references at reduced scale > everything that the check itself
would say at full size. The last one is only asked where corners were marked or nothing speaks against the photo yet; a photo
is called good only by it. Without an outline nothing is measured, and the screening says so.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Protocol

import numpy as np
from numpy.typing import NDArray
from threadpoolctl import ThreadpoolController

from vision.errors import BadInput, CannotMeasure
from vision.geometry.cards import CardCandidate, CardFacts, parse_cards
from vision.geometry.on_its_side import found_upright
from vision.photo.intake import Photo, Reduced, read_photo, read_reduced, require_large_enough
from vision.photo.provenance import read_provenance
from vision.photo.quality import quality_of
from vision.screening_estimate import Band
from vision.screening_reasons import (
    Reason,
    card_facts,
    corner_facts,
    edited,
    file_facts,
    judged_facts,
    picture_facts,
)
from vision.screening_sight import (
    Sight,
    estimated_sight,
    looked_at_again,
    measured_sight,
    not_an_opening,
    references_at_reduced_scale,
    refusal,
)
from vision.settings import Settings
from vision.settings_screen import COARSEST_GOOD_U_MM

Array = NDArray[np.float64]
GOOD, ROUGH, AGAIN = "good to measure", "good for a rough quote only", "ask again"
UNMARKED = Reason(
    "needs-corners", "rough", None, None, "", "the check's own condition", "the outline is not known: mark its four corners"
)
"""nothing of the opening has been looked at: a photo of which that is true is not called good"""
UNSURE = Reason(
    "card-missing", "rough", None, None, "", "the check's own condition", "nothing that is surely a reference, and not a tile"
)
"""patches of a reference's shape are there, but without an outline and a closer look they may be anything"""

UNFOLLOWED = Reason(
    "needs-corners", "rough", None, None, "", "the check's own condition",
    "an edge of the proposed outline cannot be followed: mark its four corners",
)  # fmt: skip
"""it may be the outline that is wrong and not the photo: whoever marks it will see"""

ON_ITS_SIDE = Reason(
    "on-its-side", "again", None, None, "", "the check's own condition",
    "the picture seems to lie on its side: turned by a quarter it shows the opening clearly, as it is it does not",
)  # fmt: skip

UNSIZED = Reason("uncertain", "rough", None, None, "", "the check's own condition", "no width came out of the measurement")
"""a photo of which no size can be told is not called good, whatever else it is"""


@dataclass(frozen=True)
class Traced:
    """A proposed outline: bottom-left, bottom-right, top-right, top-left (4, 2) px, or None with the reason in words."""

    corners_px: Array | None
    confidence: float
    reason: str = ""
    lies: bool = False
    """whether the picture seems to lie on its side"""


class Tracer(Protocol):
    """Who proposes the outline of an upright photo; it is given a reduced one."""

    def __call__(self, photo: Photo) -> Traced:
        """The outline in px of this picture, or why not."""


@dataclass(frozen=True)
class OwnTracer:
    """The outline as the program finds it alone (`geometry/trace.py`)."""

    settings: Settings
    head: bool = True

    def __call__(self, photo: Photo) -> Traced:
        """The outline, or what it is in doubt about."""
        found = found_upright(photo, 1, has_head=self.head, settings=self.settings)
        return Traced(found.corners_px, found.confidence or 0.0, found.doubt, found.lies)


@dataclass(frozen=True)
class ScreenRequest:
    """One photo. `corners` as marked (px of the upright photo) or None; `cards` are CARD texts as in a check."""

    name: str
    data: bytes
    corners: tuple[tuple[float, float], ...] | None = None
    cards: tuple[str, ...] = ()
    head: bool = True


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


@dataclass(frozen=True)
class _Seen:
    """What has been found out so far; `extra` are reasons that are no measured value against a limit."""

    facts: Mapping[str, float]
    outline: str = "not known"
    cards: tuple[CardCandidate, ...] = ()
    extra: tuple[Reason, ...] = ()
    band: Band | None = None
    better_u_mm: float | None = None

    def level(self, settings: Settings) -> str | None:
        """ "again", "rough" or None, as far as it is known; a missing lens may still turn out to cost nothing."""
        codes = {k: v for k, v in self.facts.items() if k != "no-metadata"}
        levels = {r.level for r in (*judged_facts(codes, settings), *self.extra)}
        return "again" if "again" in levels else "rough" if levels else None


def screen(request: ScreenRequest, settings: Settings = Settings(), tracer: Tracer | None = None) -> Screening:  # noqa: B008
    """Screen one photo. Raises BadInput for wrong CARD texts or corners; whatever is wrong with the photo is in the answer."""
    cards = parse_cards(request.cards, None, settings.cards)
    if request.corners is not None and len(request.corners) != 4:
        raise BadInput("corners", f"{len(request.corners)} points", "four", "mark the four corners of the opening")
    if request.corners is not None and not np.all(np.isfinite(request.corners)):
        raise BadInput("corners", "a coordinate that is no number", "pixels", "mark the four corners of the opening")
    with _libraries().limit(limits=1):
        try:
            origin = read_provenance(request.name, request.data)
            small = read_reduced(request.name, request.data, settings.intake, settings.screen.reduced_long_side_px)
            require_large_enough(request.name, small.size_px, settings.intake)
            quality = quality_of(small.photo.pixels, reduced=small.factor > 1.0)
            seen = _Seen(dict((*file_facts(origin), *picture_facts(quality, small.size_px))))
            seen = seen if not small.photo.bars else _Seen({}, extra=(edited(small.photo.bars),))
            if seen.level(settings) != "again":
                seen = _with_outline(request, small, seen, cards, settings, tracer=tracer)
        except CannotMeasure as refused:  # the file, at reduced size or whole
            digest = hashlib.sha256(request.data).hexdigest()
            return Screening(request.name, digest, AGAIN, (refusal(refused, refused.code),), {}, "not known")
    return _answer(request.name, small.photo.sha256, seen, settings)


@cache
def _libraries() -> ThreadpoolController:
    """The libraries with threads of their own; finding them takes a sixth of a decode."""
    return ThreadpoolController()


def _answer(name: str, digest: str, seen: _Seen, settings: Settings) -> Screening:
    beyond = None if seen.band is None else not_an_opening(seen.band, settings)
    facts = _excused(seen.facts)
    if beyond is not None:  # says more than that something contradicts the rest
        facts = {code: value for code, value in facts.items() if code != beyond.code}
        seen = replace(seen, extra=(*seen.extra, beyond), band=None, better_u_mm=None)
    reasons = _one_each((*judged_facts(facts, settings), *seen.extra))
    reasons = reasons if reasons or seen.band is not None else (UNSIZED,)
    level = {r.level for r in reasons}
    verdict = AGAIN if "again" in level else ROUGH if level else GOOD
    kinds = tuple(c.kind.name for c in seen.cards if c.kind is not None)
    return Screening(name, digest, verdict, reasons, seen.facts, seen.outline, kinds, seen.band, seen.better_u_mm)


def _one_each(reasons: Sequence[Reason]) -> tuple[Reason, ...]:
    """One of each code: the graver one, and of equals the later, which says more, with the value and limit of the earlier."""
    out: dict[str, Reason] = {}
    for reason in reasons:
        before = out.get(reason.code)
        if before is not None and before.level == reason.level and reason.value is None:
            reason = replace(before, text=reason.text)
        if before is None or reason.level in ("again", before.level):
            out[reason.code] = reason
    return tuple(out.values())


def _excused(facts: Mapping[str, float]) -> Mapping[str, float]:
    """Missing metadata costs nothing where the photo was measured well enough without."""
    if facts.get("uncertain", math.inf) < COARSEST_GOOD_U_MM and not facts.get("not-consistent"):
        return {k: v for k, v in facts.items() if k != "no-metadata"}
    return facts


def _with_outline(
    request: ScreenRequest, small: Reduced, seen: _Seen, cards: CardFacts, settings: Settings, *, tracer: Tracer | None
) -> _Seen:
    """Outline and references at reduced scale, then a size, as far as the photo is worth it."""
    corners, how, lies = _corners(request, small, tracer)
    if lies:
        return replace(seen, extra=(ON_ITS_SIDE,))
    if corners is not None:
        seen = replace(seen, facts={**seen.facts, **dict(corner_facts(corners, small.size_px))})
        if seen.level(settings) == "again":
            return replace(seen, outline=how)
    found = references_at_reduced_scale(small, corners, cards, settings, head=request.head)
    seen = replace(seen, outline=how, cards=found.sure, facts={**seen.facts, **dict(card_facts(found.sure, small))})
    doubt: tuple[Reason, ...] = ()
    if found.doubtful and not found.sure:  # whoever marks the outline, or the check, will see whether one of them is a reference
        seen, doubt = replace(seen, facts={k: v for k, v in seen.facts.items() if k != "card-missing"}), (UNSURE,)
    if corners is None:
        return replace(seen, extra=(UNMARKED, *doubt))
    level = seen.level(settings)
    if how == "marked" or level is None:
        photo = small.full or read_photo(request.name, request.data, settings.intake)
        sight = measured_sight(photo, corners, cards, settings, head=request.head)
        return _after(seen, sight if how == "marked" else _as_proposed(sight), small)
    if level == "rough":
        found = looked_at_again(small, corners, found, cards, settings, head=request.head)
        sight = estimated_sight(small, corners, found, settings, head=request.head, stated=bool(cards.specs))
        return _after(seen, replace(sight, cards=found.sure, refused=(*sight.refused, *doubt)), small)
    return seen


def _as_proposed(sight: Sight) -> Sight:
    """What is said of a photo whose outline nobody has looked at: that an edge of it is hidden is no reason for another photo."""
    refused = tuple(UNFOLLOWED if reason.code == "edge-hidden" else reason for reason in sight.refused)
    return replace(sight, refused=refused)


def _corners(request: ScreenRequest, small: Reduced, tracer: Tracer | None) -> tuple[Array | None, str, bool]:
    """The outline, where it is from, and whether the picture lies on its side."""
    if request.corners is not None:
        return np.array(request.corners, dtype=np.float64), "marked", False
    proposed = None if tracer is None else tracer(small.photo)
    if proposed is None or proposed.corners_px is None:
        return None, "not known", proposed is not None and proposed.lies
    return small.at_full_size(proposed.corners_px), "proposed", False


def _after(seen: _Seen, sight: Sight, small: Reduced) -> _Seen:
    """What was seen with what a closer look has added; references that it has found take the place of the rough ones."""
    cards: Sequence[CardCandidate] = seen.cards if sight.cards is None else sight.cards
    found = dict(card_facts(cards, small)) if sight.cards is not None else {}
    facts = {**seen.facts, **found, **sight.facts}
    return replace(seen, cards=tuple(cards), facts=facts, extra=sight.refused, band=sight.band, better_u_mm=sight.better_u_mm)
