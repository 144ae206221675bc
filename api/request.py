"""From what was typed or sent to the request of one check. Both shells build it here, so both refuse the same things."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from api import points
from api.marked_once import require_once
from api.photo_facts import require_nothing_of_a_photo
from api.schemas_facts import Facts, LevelIn, PlumbLineIn
from vision.check import CardCorners, CheckRequest, MarkedLine, PlumbLine, TapeFacts, facts_from_mapping
from vision.errors import BadInput

LEVEL_MM, MOST_SD_MM, DEEPEST_MM = (200.0, 3000.0), 100.0, 500.0
FURTHEST_PX = 100_000.0
"""px from the picture's corner; no photo that is read is so large (its size is limited), so no point is meant there"""
"""mm; levels are 9 to 96 in long, curbs up to 8 in deep, and a level stands in the opening or on the wall round it"""
CORNERS_WITHIN_PX = (1.0, 40.0)
"""px; nobody marks a blurred corner better, and further off is another edge"""
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
    levels: Sequence[str] = ()
    grout: Sequence[str] = ()
    side_joints: Sequence[str] = ()
    level_curb: bool = False
    door_line: str | None = None
    head: bool = True
    height: str | None = None
    door: str | None = None
    hardware: Mapping[str, object] | None = None
    corners_within: float | None = None


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
        lines=(
            *(points.level(text) for text in options.levels),
            *(points.grout(text) for text in options.grout),
            *(points.side_joint(text) for text in options.side_joints),
        ),
        level_curb=options.level_curb,
        door_line_mm=None if options.door_line is None else points.door_line(options.door_line),
        head=options.head,
        height=options.height,
        door=options.door,
        hardware=options.hardware,
        corners_within_px=options.corners_within,
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
        lines=(
            *(_level(one) for one in facts.levels),
            *(_joint(one, "grout") for one in facts.grout_lines),
            *(_joint(one, "back", one.side) for one in facts.side_joints),
        ),
        level_curb=facts.level_curb,
        door_line_mm=None if facts.door_line is None else (facts.door_line, facts.door_line_sd),
        head=facts.head,
        height=facts.height,
        door=facts.door,
        hardware=facts.hardware,
        corners_within_px=facts.corners_within_px,
    )
    _hold_photo_numbers(request)
    return request


def _point(xy: Sequence[float]) -> points.Point:
    return (xy[0], xy[1])


def _level(one: LevelIn) -> MarkedLine:
    line = (_point(one.line[0]), _point(one.line[1]))
    return MarkedLine(one.photo, "level", line, one.length, one.length_sd, one.offset, one.offset_sd)


def _joint(one: PlumbLineIn, kind: str, side: str | None = None) -> MarkedLine:
    return MarkedLine(one.photo, kind, (_point(one.line[0]), _point(one.line[1])), side=side)


def _four(corners: Sequence[Sequence[float]]) -> points.FourPoints:
    a, b, c, d = (_point(xy) for xy in corners)
    return (a, b, c, d)


def _hold_photo_numbers(request: CheckRequest) -> None:
    """Refuse what belongs to a photo that is not there or is no size, and a request without any witness."""
    count = len(request.photos)
    if not count and not request.tape.entries:
        raise BadInput("photo", "no photo and no readings", "at least one of the two", "add a photo, readings, or both")
    if not count:
        require_nothing_of_a_photo(request)
    if len(request.corners) > count:
        raise BadInput(
            "corners",
            f"{len(request.corners)} sets of corners",
            f"at most one per photo ({count})",
            "give them in the order of the photos",
        )
    within, (least, most) = request.corners_within_px, CORNERS_WITHIN_PX
    if within is not None and not least <= within <= most:
        needed = f"{least:g} to {most:g} px"
        raise BadInput("corners within", f"{within:g} px", needed, "say how far off a corner may be in the full-size photo")
    for where, numbers in (
        ("plumb line", [one.photo for one in request.plumb_lines]),
        ("card corners", [one.photo for one in request.card_corners]),
        ("level or joint", [one.photo for one in request.lines]),
    ):
        for number in numbers:
            if not 1 <= number <= count:
                needed = f"a number from 1 to {count}" if count > 1 else "1, the only photo"
                raise BadInput(where, f"photo {number}", needed, "count the photos in the order given")
    for number in request.level_cards:
        if number < 1:
            remedy = "use the number drawn on the card in the picture"
            raise BadInput("level card", f"card number {number}", "numbers from 1", remedy)
    _hold_points(request)
    _hold_lines(request)
    require_once(request)


def _hold_points(request: CheckRequest) -> None:
    """Refuse points that lie in no picture whatever its size."""
    lines = [*(one.line for one in request.plumb_lines), *(one.line for one in request.lines)]
    sets = [*(one for one in request.corners if one), *(one.corners for one in request.card_corners), *lines]
    for x, y in (point for one in sets for point in one):
        if not max(abs(x), abs(y)) <= FURTHEST_PX:
            needed = "pixels of the upright photo"
            raise BadInput("points", f"{x:g},{y:g}", needed, "read the position off the photo in its full size")


def _hold_lines(request: CheckRequest) -> None:
    """Refuse lines of no length or of no use, and sizes and doubts that no level and no curb has."""
    if request.door_line_mm is None and any(one.kind == "back" for one in request.lines):
        needed = "a door line (door-line), to which the side walls are followed back by such joints"
        raise BadInput("side joint", "a joint on a side wall and no door line", needed, "state the door line, or leave it out")
    for one in request.lines:
        if one.line[0] == one.line[1]:
            raise BadInput("level or joint", "the same point twice", "two points apart", "give one near either end")
        if one.offset_mm is not None and not abs(one.offset_mm) <= DEEPEST_MM:
            needed = f"at most {DEEPEST_MM:g} mm either way"
            raise BadInput(
                "level", f"{one.offset_mm:g} mm behind the opening", needed, "give its face's depth in mm, or leave it out"
            )
        if one.length_mm is not None and not LEVEL_MM[0] <= one.length_mm <= LEVEL_MM[1]:
            needed = f"{LEVEL_MM[0]:g} to {LEVEL_MM[1]:g} mm"
            raise BadInput("level", f"a length of {one.length_mm:g} mm", needed, "give the level's whole length")
    deep = request.door_line_mm
    doubts = [sd for one in request.lines for sd in (one.length_sd_mm, one.offset_sd_mm)] + [deep[1] if deep else None]
    if any(sd is not None and not 0 < sd <= MOST_SD_MM for sd in doubts):
        raise BadInput("+-SD", "a doubt of nothing or too much", f"more than 0, at most {MOST_SD_MM:g} mm", "leave it out")
    if deep and abs(deep[0]) > DEEPEST_MM:
        needed = f"at most {DEEPEST_MM:g} mm"
        raise BadInput("door line", f"{deep[0]:g} mm behind the wall face", needed, "give its depth behind the wall face in mm")
