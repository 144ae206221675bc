"""Facts stated by number, held against the cards that were found: where one is missing the others' numbers may have moved up.

Cards are numbered from left to right as found. Where `#2` is stated and only one card is found, that card may be either of the
two: the facts of all numbers stated for its kind are then its facts, and what they differ by is its uncertainty. And where a fact
is stated for something that turned out to be no card, whoever stated it has counted without that thing.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

import numpy as np

from vision.errors import CannotMeasure, Finding
from vision.geometry.cards import CardSpec
from vision.geometry.seen import Demands, SeenCard, SeenPhoto


def missing_numbers(cards: Sequence[SeenCard], demands: Demands) -> list[CardSpec]:
    """Statements by number for which no card of that number and kind was found."""
    kinds = {c.number: c.spec.kind.name for c in cards}
    return [s for s in demands.cards.specs if s.number is not None and kinds.get(s.number) != s.kind.name]


def require_on_the_wall(photos: Sequence[SeenPhoto], demands: Demands) -> None:
    """CannotMeasure (card-missing) where references that are stated by number to be in the opening's plane are missing, and what
    was found hangs inside the opening, where nothing lies in it."""
    used = [c for p in photos for c in p.used]
    missing = missing_numbers([c for p in photos for c in p.cards], demands)
    if not missing or not used or not all(c.floats for c in used):
        return
    places = " and ".join(f"near ({x:.0f}, {y:.0f})" for x, y in (c.corners_px.mean(axis=0) for c in used))
    raise CannotMeasure(
        "cards",
        "card-missing",
        found=f"{photos[0].look.name}: what looks like a reference {places} hangs inside the opening, where nothing lies in its "
        f"plane; of those stated by number {len(missing)} more {'is' if len(missing) == 1 else 'are'} not found",
        needed="the references as stated, beside or above the opening",
        remedy="mark their corners with card-corners; if one does hang in the opening, state how far behind the wall face",
    )


def with_any_number(photos: Sequence[SeenPhoto], demands: Demands) -> list[SeenPhoto]:
    """The photos in which cards whose number may be another one have the facts of all of them."""
    unsure = {s.kind.name for s in missing_numbers([c for p in photos for c in p.cards], demands)}
    if not unsure:
        return list(photos)
    return [replace(p, cards=tuple(_any_of(c, demands) if c.spec.kind.name in unsure else c for c in p.cards)) for p in photos]


def _any_of(card: SeenCard, demands: Demands) -> SeenCard:
    """The card with the mean of what is stated for the numbers of its kind, and their differences in its sds.

    A number of which no size or depth is stated has the nominal one, flat on the wall.
    """
    kind = card.spec.kind
    numbers = [s.number for s in demands.cards.specs if s.kind.name == kind.name and s.number is not None]
    specs = [demands.cards.facts_for(kind, n) for n in numbers]
    nominal, usual = (kind.width_mm, kind.height_mm), max(kind.width_sd_mm, kind.height_sd_mm)
    sizes = [(s.size_mm or nominal, s.size_sd_mm or usual) for s in specs]
    offsets = [(-kind.thickness_mm if s.offset_mm is None else s.offset_mm, s.offset_sd_mm or 0.0) for s in specs]
    spec = card.spec
    measured = any(s.size_mm is not None for s in specs)
    if measured:
        stated = np.array([size for size, _ in sizes])
        width, height = (float(v) for v in stated.mean(axis=0))
        sd = float(np.hypot(max(sd for _, sd in sizes), stated.std(axis=0).max()))
        spec = replace(spec, size_mm=(width, height), size_sd_mm=sd)
    if any(s.offset_mm is not None for s in specs):
        depths = np.array([at for at, _ in offsets])
        spec = replace(
            spec, offset_mm=float(depths.mean()), offset_sd_mm=float(np.hypot(max(sd for _, sd in offsets), depths.std()))
        )
    return replace(card, spec=spec, alone=card.alone or measured)


def counted_without(photos: Sequence[SeenPhoto], left_out: Collection[int], demands: Demands) -> list[SeenPhoto] | None:
    """The photos without what was left out (by number), the others numbered anew with the facts of their new numbers.

    None unless a fact is stated for a number that was left out, and as many cards of its kind are left as numbers are stated.
    """
    cards = [c for p in photos for c in p.cards]
    stated = {(s.kind.name, s.number) for s in demands.cards.specs if s.number is not None}
    gone = {c.number for c in cards if c.number in left_out}
    kinds = {c.spec.kind.name for c in cards if c.number in gone and (c.spec.kind.name, c.number) in stated}
    kinds = {k for k in kinds if _count(k, [c for c in cards if c.number not in gone]) == sum(kind == k for kind, _ in stated)}
    if not kinds:
        return None
    out, number = [], 1
    for photo in photos:
        kept = []
        for card in photo.cards:
            kind = card.spec.kind
            if card.number in gone and kind.name in kinds:
                continue
            facts, alone = demands.cards.facts_of(card.look.candidate, number)
            kept.append(replace(card, number=number, spec=facts, alone=alone))
            number += 1
        out.append(replace(photo, cards=tuple(kept)))
    return out


def _count(kind: str, cards: Sequence[SeenCard]) -> int:
    return sum(c.spec.kind.name == kind for c in cards)


def miscounted(photos: Sequence[SeenPhoto], again: Sequence[SeenPhoto]) -> Finding:
    """What was passed over when the cards were numbered anew."""
    kept = [c.corners_px for p in again for c in p.cards]
    places = [c.corners_px.mean(axis=0) for p in photos for c in p.cards if not any(c.corners_px is k for k in kept)]
    where = " and ".join(f"near ({x:.0f}, {y:.0f})" for x, y in places)
    return Finding(
        "card-kind",
        f"What looks like a card {where} contradicts the others; facts were stated by number as if it were not counted, "
        "and so it was not.",
        "Look at the numbers in the picture; where they are not those meant, state the cards again.",
        holds=False,
    )
