"""Where references are to be put up, as people write it: `CARD [lying] PLACE [PLACE ...]`.

CARD as in a check, without a number. PLACE is left or right and top, middle or bottom joined by a hyphen (beside that wall, as
left-top), curb (standing on it in the middle), or X,Y: the centre in mm from the foot of the left wall.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from vision.errors import BadInput
from vision.geometry.cards import parse_card
from vision.geometry.plan import PlannedCard
from vision.settings import CardKind, Settings

FORM = "CARD [lying] PLACE [PLACE ...], as in id-1 left-top right-bottom"
PLACES = ("left-top", "left-middle", "left-bottom", "right-top", "right-middle", "right-bottom", "curb")
CORNERS = ("left-top", "right-bottom", "right-top", "left-bottom")
"""in the order in which cards are put at corners: opposite ones first"""
_POINT = re.compile(r"([+-]?\d{1,5}(?:\.\d+)?),([+-]?\d{1,5}(?:\.\d+)?)", re.ASCII)


def parse_reference(text: str, width_mm: float, height_mm: float, settings: Settings) -> tuple[PlannedCard, ...]:
    """The cards of one text, for an opening of this size; BadInput names what is wrong."""
    where = f"reference {text!r}"
    words = text.split()
    if not words:
        raise BadInput(where, "nothing", FORM, "say what will be put up, and where")
    spec = parse_card(words[0], settings.cards)
    if spec.number is not None:
        raise BadInput(where, f"card number {spec.number}", "no number", "leave #N out: a plan has no photo yet")
    turned = words[1:2] == ["lying"]
    places = words[2:] if turned else words[1:]
    if not places:
        raise BadInput(where, "no place", f"one of {', '.join(PLACES)} or X,Y in mm", "say where it will be")
    out = []
    for place in places:
        point = _POINT.fullmatch(place)
        if point is None and place not in PLACES:
            raise BadInput(where, f"the place {place!r}", f"one of {', '.join(PLACES)} or X,Y in mm", "correct the place")
        card = PlannedCard(spec, (0.0, 0.0), turned)
        centre = (float(point[1]), float(point[2])) if point else centre_at(card, place, (width_mm, height_mm), settings)
        out.append(replace(card, centre_mm=centre))
    return tuple(out)


def centre_at(card: PlannedCard, place: str, opening_mm: tuple[float, float], settings: Settings) -> tuple[float, float]:
    """The centre (mm) of a card at one of PLACES."""
    (a, b), (width, height), plan = card.sides_mm, opening_mm, settings.plan
    if place == "curb":
        return width / 2, b / 2
    side, level = place.split("-")
    x = -plan.gap_mm - a / 2 if side == "left" else width + plan.gap_mm + a / 2
    y = {"top": height - plan.inset_mm - b / 2, "middle": height / 2, "bottom": plan.inset_mm + b / 2}[level]
    return x, y


def at_corners(card: PlannedCard, count: int, opening_mm: tuple[float, float], settings: Settings) -> tuple[PlannedCard, ...]:
    """This many of a card near the corners, opposite ones first."""
    return tuple(replace(card, centre_mm=centre_at(card, place, opening_mm, settings)) for place in CORNERS[:count])


def spoken(cards: Sequence[PlannedCard], opening_mm: tuple[float, float], *, with_kind: bool = True) -> str:
    """Words for an arrangement: "one A4 sheet beside the wall", "two bank-size cards at opposite corners"."""
    kinds = list(dict.fromkeys(c.spec.kind.name for c in cards))
    if len(kinds) > 1:
        return f"these {_number(len(cards))} references"
    what = f" {kind_words(cards[0].spec.kind, len(cards))}" if with_kind else ""
    return f"{_number(len(cards))}{what} {_where(cards, opening_mm)}"


def kind_words(kind: CardKind, count: int = 1) -> str:
    """A kind in words, one or several."""
    names = {"a4": "A4 sheet", "letter": "Letter sheet", "id-1": "bank-size card", "sheet": "printed large sheet"}
    one = names.get(kind.name, "printed small sheet" if kind.name == "quarter" else f"{kind.name} card")
    return one if count == 1 else f"{one}s"


def _number(count: int) -> str:
    words = ("no", "one", "two", "three", "four", "five", "six")
    return words[count] if count < len(words) else str(count)


def _where(cards: Sequence[PlannedCard], opening_mm: tuple[float, float]) -> str:
    width, height = opening_mm
    sides = {-1 if c.centre_mm[0] < 0 else 1 if c.centre_mm[0] > width else 0 for c in cards}
    levels = {round(2 * c.centre_mm[1] / height) for c in cards}
    if len(cards) == 1:
        return "on the curb" if sides == {0} else "beside the wall"
    if len(sides) == 1:
        return "at one wall" if 0 not in sides else "on the curb"
    if len(cards) == 2:
        return "at opposite corners" if len(levels) == 2 else "either side"
    return "near the corners" if len(levels) > 1 and len(cards) >= 4 else "as they are"
