"""A reference that nothing else confirms: how dark paper may be, and what is said where nobody stated what was put up.

A picture frame, a mirror and a cover plate have a sheet's shape too, and where one of them is the only thing of that shape no
pixel tells. What cannot be paper carries nothing alone; of the rest it is said what everything rests on.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from vision.errors import CannotMeasure, Finding
from vision.geometry.card_seen import RefinedCard, light_beside
from vision.geometry.look import SIDE_CORNERS, CardLook
from vision.geometry.seen import Demands, SeenCard, SeenPhoto
from vision.geometry.shapes import is_sheet
from vision.names import cards_called

Array = NDArray[np.float64]
BLACK = 0.2
"""of the wall's light beside it, under which a sheet's border is no paper (by judgement: paper printed all over reflects more,
before a white wall too; of 295 sheets of painted and rendered rooms the darkest have 0.27)"""
AS_LIGHT = 0.5
"""of the light of a reference that nothing confirms; a patch that has less of it does not contradict it (by judgement: lamps
light one side of an opening more than the other, by less than that)"""
UNSTATED = "Nobody stated which references are in the photo."
MOST_CUT_OFF = 2
"""sides of a card that are cut off at full scale from which it is said"""
BURNT = "burnt out beside a wall nearly as bright"


def speaks_of_a_guess(finding: Finding) -> bool:
    """Whether a finding says no more than that a reference's kind was taken for granted."""
    return finding.text.startswith(UNSTATED)


def speaks_of_light(finding: Finding) -> bool:
    """Whether a finding says no more than that cards are burnt out, for which a screening has a reason of its own."""
    return BURNT in finding.text


def require_paper(photos: Sequence[SeenPhoto]) -> None:
    """CannotMeasure (card-kind) where all that carries the scale are sheets too dark for paper that the user has not marked."""
    dark = {c.number: f"{100 * part:.0f} % as bright as the wall beside it" for c, part in _too_dark(photos)}
    if not dark or any(c.number not in dark for p in photos for c in p.used):
        return
    which = " and ".join(f"card {number}, taken for a sheet, is {what}" for number, what in dark.items())
    raise CannotMeasure(
        "cards",
        "card-kind",
        found=f"{which}: a picture, a mirror, a screen or a plate has that shape too",
        needed="a sheet of paper, or a card",
        remedy="put up a white sheet of paper and take the photo again; if that is the sheet all the same, mark its corners "
        "with card-corners",
    )


def _too_dark(photos: Sequence[SeenPhoto]) -> list[tuple[SeenCard, float]]:
    sheets = [c for p in photos for c in p.used if is_sheet(c.spec.kind) and not c.look.candidate.known]
    parts = [(card, brightness(card)) for card in sheets]
    return [(card, part) for card, part in parts if part < BLACK]


def as_light(first: RefinedCard, others: Sequence[RefinedCard]) -> list[RefinedCard]:
    """Those that may be paper as well as the first: before the same wall a dark plate is no sheet beside a light one."""
    least = max(BLACK, AS_LIGHT * _light(first[0], first[1]))
    return [o for o in others if _light(o[0], o[1]) >= least]


def brightness(card: SeenCard) -> float:
    """Linear light along a card's border over that of the wall beside it, median of its sides; infinite where it is unseen."""
    return _light(card.look, card.corners_px)


def _light(look: CardLook, corners: Array) -> float:
    centre, parts = corners.mean(axis=0), []
    for strip, (i, j) in zip(look.strips, SIDE_CORNERS, strict=True):
        beside = light_beside(strip, corners[[i, j]], centre)
        if beside is not None and beside[1][0] > 0:
            parts.append(float(beside[0][0] / beside[1][0]))
    return float(np.median(parts)) if parts else float("inf")


def guessed_kind(photos: Sequence[SeenPhoto], demands: Demands) -> list[Finding]:
    """What is said where one reference carries all and nobody stated its kind."""
    used = [c for p in photos for c in p.used]
    if len(used) != 1 or demands.cards.specs or used[0].look.candidate.known:
        return []
    card = used[0]
    kind = card.spec.kind
    return [
        Finding(
            "card-kind",
            f"{UNSTATED} Card {card.number} was taken for one of the kind {kind.name}, whose shape it has, and every size rests "
            "on that.",
            f"State what was put up (--card {kind.name}), or put up a second reference at the opposite corner.",
        )
    ]


def by_look_alone(photos: Sequence[SeenPhoto]) -> list[Finding]:
    """What is said where nothing that carries the scale looks like a reference, or where a single one was taken for nothing else
    than its look."""
    used = [c for p in photos for c in p.used]
    which = cards_called([c.number for c in used]).capitalize() if used else ""
    if used and all(c.look.candidate.unlike for c in used):
        they = "has a reference's shape and looks" if len(used) == 1 else "have a reference's shape and look"
        text = (
            f"{which} {they} like none: a switch, a tile, a label or a picture may have been taken for "
            f"{'it' if len(used) == 1 else 'them'}, and every size rests on that."
        )
    elif len(used) == 1 and used[0].look.by_look:
        text = (
            f"{which} hardly differs from the wall on some of its sides, or a pattern meets them. It was taken for a "
            "reference because it looks like one, and every size rests on that."
        )
    else:
        return []
    remedy = "Look at the numbers in the picture; if that is the reference, mark its corners with card-corners."
    return [Finding("scale-in-doubt", text, remedy)]


def burnt_cards(photos: Sequence[SeenPhoto]) -> list[Finding]:
    """What is said of cards that are burnt out beside a bright wall; it holds nothing, since the sizes' uncertainty says it."""
    of = [c.number for p in photos for c in p.used if sum(s is not None and s.cut_off for s in c.sides) >= MOST_CUT_OFF]
    if not of:
        return []
    which = f"{cards_called(of).capitalize()} {'is' if len(of) == 1 else 'are'}"
    text = (
        f"{which} {BURNT}: of what lies between the two most is cut off at full scale, so the "
        "sides may be seen too far out, and every size is less certain by that."
    )
    remedy = "Take the photo again a little darker: tap on the card before you press the shutter, or turn off the lamp near it."
    return [Finding("scale-in-doubt", text, remedy, holds=False)]
