"""Cards that nothing but their own agreement tells: patches of a card's shape, no one of which differs alike from its surround.

A bank card printed in several colours is lighter than the wall on one side and darker on another, as a tile between joints is
(`card_seen.py`), and where all cards in a photo are like that none tells the scale by which the others would be known
(`further.py`). But two patches of a kind's shape, whose sides end at their corners and can be followed, before one wall, are of
one size to a few hundredths only if they are what they look like.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from vision.geometry.card_seen import NEARER_PX, SEARCH_PX, RefinedCard, jointly_refined
from vision.geometry.cards import HALF_LIKE, CardCandidate
from vision.geometry.consistency import FAR_OFF
from vision.geometry.cut import mm_per_unit
from vision.geometry.further import SIZE, beside, followed, further_cards, one_scale
from vision.geometry.look import CardLook
from vision.geometry.seen import Demands, SeenPhoto
from vision.geometry.shapes import match_kind, same_place
from vision.settings import Settings

LEAST_AGREEING, LEAST_OTHERS = 2, 2
"""patches of one size, each of a kind's shape, from which they are cards; and how many others of a card's exact size a single one
must lead to (by judgement: what is sought by its size agrees on it of necessity, so one is not enough)"""


def agreeing_cards(photo: SeenPhoto, demands: Demands, settings: Settings) -> list[RefinedCard]:
    """The largest group of the photo's patches that have a kind's shape and one scale, or one that leads to two of its size.

    None where no two agree, or where as many agree on another scale.
    """
    shaped: list[RefinedCard] = []
    for card in (*photo.look.cards, *photo.look.odd):
        rough = card.candidate.corners_px
        if card.candidate.known or not card.ends or not beside(photo.corners_px, rough):
            continue
        found = _shaped(card, photo, demands, settings)
        if found is not None and not any(same_place(found[1], other[1]) for other in shaped):
            shaped.append(found)
    groups = _groups([mm_per_unit(look.candidate, photo.view.on_plane(corners)) for look, corners, _ in shaped])
    if groups and len(groups[0]) >= LEAST_AGREEING:
        return [] if len(groups) > 1 and len(groups[1]) == len(groups[0]) else [shaped[k] for k in groups[0]]
    others = [len(further_cards(photo, [one], demands, settings)) for one in shaped]
    best = sorted(range(len(shaped)), key=lambda k: -others[k])
    if not best or others[best[0]] < LEAST_OTHERS or (len(best) > 1 and others[best[1]] == others[best[0]]):
        return []
    return [shaped[best[0]]]


def without_unlike(found: Sequence[RefinedCard], photo: SeenPhoto) -> list[RefinedCard]:
    """Of refined cards those that do not contradict the scale of the ones seen to be references; others stay where they look half
    like one themselves, so that what contradicts it is asked later."""
    units = [mm_per_unit(look.candidate, photo.view.on_plane(corners)) for look, corners, _ in found]
    unit = one_scale([u for u, (look, _, _) in zip(units, found, strict=True) if look.candidate.known or look.candidate.likely])
    if unit is None:
        return list(found)
    return [r for u, r in zip(units, found, strict=True) if not _contradicts(r[0].candidate, abs(u / unit - 1))]


def _contradicts(candidate: CardCandidate, off: float) -> bool:
    if candidate.known or candidate.chance is None:
        return False
    return (off > FAR_OFF and candidate.chance < HALF_LIKE) or (off > SIZE and candidate.unlike)


def likely_cards(photo: SeenPhoto, demands: Demands, settings: Settings) -> list[RefinedCard]:
    """Of the patches that look like references whatever surrounds them those of the scale that most of them have, two at least;
    or the only one, where it surely looks like one. Of two that contradict each other nobody can say which it is."""
    found = [r for c in photo.look.cards if (r := jointly_refined(c, photo, demands, settings)) is not None]
    groups = _groups([mm_per_unit(look.candidate, photo.view.on_plane(corners)) for look, corners, _ in found])
    if len(found) == 1:
        return [r for r in found if r[0].candidate.likely]
    if not groups or len(groups[0]) < LEAST_AGREEING or (len(groups) > 1 and len(groups[1]) == len(groups[0])):
        return []
    return [found[k] for k in groups[0]]


def likely_beside(photo: SeenPhoto, cards: Sequence[RefinedCard], demands: Demands, settings: Settings) -> list[RefinedCard]:
    """Of the patches that look like references those, found by their shape, that have the scale of the cards and are none of
    them."""
    unit = one_scale([mm_per_unit(look.candidate, photo.view.on_plane(corners)) for look, corners, _ in cards])
    if unit is None:
        return []
    out: list[RefinedCard] = []
    for card in photo.look.cards:
        rough = card.candidate.corners_px
        if any(same_place(c, rough) or same_place(rough, c) for c in (*(c for _, c, _ in cards), *(c for _, c, _ in out))):
            continue
        found = jointly_refined(card, photo, demands, settings) if beside(photo.corners_px, rough) else None
        if found is not None and abs(mm_per_unit(found[0].candidate, photo.view.on_plane(found[1])) / unit - 1) < SIZE:
            out.append((replace(found[0], by_scale=True), found[1], found[2]))
    return out


def _shaped(card: CardLook, photo: SeenPhoto, demands: Demands, settings: Settings) -> RefinedCard | None:
    """The patch with refined sides where it has a kind's shape; nearer by where a clearer line, as of tape, led a side away."""
    for search, hold in ((SEARCH_PX, False), (NEARER_PX, True)):
        seen = followed(card, photo, settings, search=search, hold=hold)
        if seen is None:
            continue
        plane = photo.view.on_plane(seen.corners_px)
        match = match_kind(plane, demands.cards.kinds, settings.cards.aspect_tolerance, seen.slack)
        if match is not None:
            of_kind = replace(card, candidate=replace(card.candidate, kind=match[0], turned=match[1]))
            return of_kind, seen.corners_px, seen.sides
    return None


def _groups(scales: Sequence[float]) -> list[list[int]]:
    """Which of them agree with each other, the largest group first; none is in two."""
    left, out = set(range(len(scales))), []
    while left:
        near = {k: [j for j in sorted(left) if abs(np.log(scales[j] / scales[k])) < SIZE] for k in left}
        best = max(sorted(left), key=lambda k: len(near[k]))
        out.append(near[best])
        left -= set(near[best])
    return out
