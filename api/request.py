"""From what was typed or sent to the request of one check. Both shells build it here, so both refuse the same things."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from api import points
from api.schemas_facts import Facts
from vision.check import CardCorners, CheckRequest, PlumbLine, TapeFacts, facts_from_mapping
from vision.errors import BadInput

TAPE_FACTS = {"unit", "decimal_comma", "tape", "control_tape", "readings", "second", "by", "level_length"}
Photos = tuple[tuple[str, bytes], ...]


@dataclass(frozen=True)
class Options:
    """The options of the command line, as typed."""

    cards: Sequence[str] = ()
    card_offset: float | None = None
    card_corners: Sequence[str] = ()
    corners: Sequence[str] = ()
    plumb_lines: Sequence[str] = ()
    level_cards: Sequence[int] = ()
    head: bool = True
    height: str | None = None
    door: str | None = None
    hardware: Mapping[str, object] | None = None


def from_options(photos: Photos, tape: TapeFacts, options: Options) -> CheckRequest:
    """The request that a command line makes."""
    request = CheckRequest(
        photos=photos,
        tape=tape,
        cards=tuple(options.cards),
        card_offset_mm=options.card_offset,
        card_corners=tuple(CardCorners(*points.card_corners(text)) for text in options.card_corners),
        corners=tuple(points.opening_corners(text) for text in options.corners),
        plumb_lines=tuple(PlumbLine(*points.plumb_line(text)) for text in options.plumb_lines),
        level_cards=tuple(options.level_cards),
        head=options.head,
        height=options.height,
        door=options.door,
        hardware=options.hardware,
    )
    _hold_photo_numbers(request)
    return request


def from_facts(photos: Photos, facts: Facts) -> CheckRequest:
    """The request that an HTTP call makes."""
    tape = facts.model_dump(include=TAPE_FACTS, exclude_none=True)
    request = CheckRequest(
        photos=photos,
        tape=facts_from_mapping(tape),
        cards=tuple(facts.cards),
        card_offset_mm=facts.card_offset,
        card_corners=tuple(CardCorners(one.photo, one.kind, _four(one.corners)) for one in facts.card_corners),
        corners=tuple(None if one is None else _four(one) for one in facts.corners),
        plumb_lines=tuple(PlumbLine(one.photo, (_point(one.line[0]), _point(one.line[1]))) for one in facts.plumb_lines),
        level_cards=tuple(facts.level_cards),
        head=facts.head,
        height=facts.height,
        door=facts.door,
        hardware=facts.hardware,
    )
    _hold_photo_numbers(request)
    return request


def _point(xy: Sequence[float]) -> points.Point:
    return (xy[0], xy[1])


def _four(corners: Sequence[Sequence[float]]) -> points.FourPoints:
    a, b, c, d = (_point(xy) for xy in corners)
    return (a, b, c, d)


def _hold_photo_numbers(request: CheckRequest) -> None:
    """Refuse corners, plumb lines and card corners of a photo that is not there, and a request without any witness."""
    count = len(request.photos)
    if not count and not request.tape.entries:
        raise BadInput("photo", "no photo and no readings", "at least one of the two", "add a photo, readings, or both")
    if len(request.corners) > count:
        raise BadInput(
            "corners", f"{len(request.corners)} sets", f"at most one per photo ({count})", "give them in the order of the photos"
        )
    for where, numbers in (
        ("plumb line", [one.photo for one in request.plumb_lines]),
        ("card corners", [one.photo for one in request.card_corners]),
    ):
        for number in numbers:
            if not 1 <= number <= count:
                raise BadInput(where, f"photo {number}", f"a number from 1 to {count}", "count the photos in the order given")
