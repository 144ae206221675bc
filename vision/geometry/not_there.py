"""What was stated and is not there, in words: numbered cards, plumb lines, and cards that run out of their picture."""

from __future__ import annotations

from collections.abc import Sequence

from vision.errors import Finding
from vision.geometry.cut import CutCard, beyond
from vision.geometry.line_start import lines_not_seen
from vision.geometry.numbered import missing_numbers
from vision.geometry.seen import Demands, SeenCard, SeenPhoto


def cards_cut_off(photos: Sequence[SeenPhoto]) -> list[CutCard]:
    """Cards that run out of their picture: those found by three sides, and frames and others with a corner outside."""
    out = [c for p in photos for c in p.look.cut]
    for p in photos:
        for card in p.cards:
            corners = card.corners_px if card.look.candidate.target is None else card.look.candidate.corners_px
            if not card.used and (border := beyond(corners, p.look.width, p.look.height)):
                out.append(CutCard(card.spec.kind.name, border, corners))
    return out


def stated_but_not_there(cards: Sequence[SeenCard], demands: Demands) -> list[Finding]:
    """Statements about a numbered card that the photos do not bear out."""
    kinds = {c.number: c.spec.kind.name for c in cards}
    out = []
    for spec in missing_numbers(cards, demands):
        seen = kinds.get(spec.number or 0)
        fact = f"the photo shows card {spec.number} as {seen}" if seen else f"no card {spec.number} was found"
        several = sum(s.number is not None and s.kind == spec.kind for s in demands.cards.specs) > 1
        doubt = "; which of the stated numbers the cards found have is not known, and what those differ by counts as uncertainty"
        out.append(
            Finding(
                "card-kind",
                f"Card {spec.number} was stated to be {spec.kind.name}, but {fact}{doubt if several and kinds else ''}.",
                "Look at the numbers in the picture and state the cards again; mark one that was not found with card-corners.",
            )
        )
    out += [
        Finding(
            "card-missing",
            f"Card {n} was said to be set with a level, but no card {n} was found.",
            "Look at the numbers in the picture; mark a card that was not found with card-corners.",
        )
        for n in demands.level_cards
        if n not in kinds
    ]
    return out


def plumb_lines_not_seen(photos: Sequence[SeenPhoto]) -> list[Finding]:
    """Marked plumb lines along which no thin line could be followed."""
    return [
        Finding(
            "edge-hidden",
            f"A plumb line was marked in {p.look.name}, but no thin line can be followed there.",
            "Mark two points on the string again, further apart, or hang a darker string.",
        )
        for p in photos
        if len(p.plumb) < len(p.look.plumb)
    ] + lines_not_seen(photos)


def perhaps_joints(photos: Sequence[SeenPhoto]) -> list[Finding]:
    """Plumb lines that look like one joint of a row: which of the two each is, no photo tells."""
    alike = [(p.look.name, count) for p in photos for count in p.plumb_alike]
    return [
        Finding(
            "no-vertical",
            f"Plumb line {number}, as followed in {name}, looks like {count} lines that run beside it at equal distances: is it "
            "the string, or a joint between tiles?",
            "Look at the plumb line in the picture. If it is a joint, mark the string more closely, or hang one of another "
            "colour clear of the joints and take the photo again; a joint that was set by level is stated as one (grout).",
        )
        for number, (name, count) in enumerate(alike, 1)
        if count
    ]
