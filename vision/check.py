"""The one door: photos and readings in, a report out. The order of the stages; no arithmetic.

text  - tape/                  -> record of the readings (mm)
bytes - photo/ - geometry/     -> record of the opening (mm)
both  - judge/                 -> verdicts, ready or hold
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from threadpoolctl import threadpool_limits

from vision.errors import BadInput, CannotMeasure, Finding, one_not_used
from vision.gaussian import Array
from vision.geometry.cards import CardFacts, parse_cards, parse_marked
from vision.geometry.lines import LineFacts
from vision.geometry.look import Look, look
from vision.geometry.measure import Measured, Refused, measured_or_refused
from vision.geometry.on_its_side import outline_of
from vision.geometry.seen import Demands
from vision.geometry.trace import Outline, require_corners
from vision.judge.closure import close_tape
from vision.judge.doors import chosen_door, hardware_from_toml
from vision.judge.evidence import Evidence
from vision.judge.makeable import fitting_door
from vision.judge.order import decide_order
from vision.judge.ordering import order_door
from vision.judge.proposed import asking_about_the_outline
from vision.judge.shared import shared_notes
from vision.judge.width_places import elsewhere
from vision.judging import asking, closing, explained, judged, misplaced, odd_sizes, only_slip, ordering_walls, shown_by, taped_of
from vision.names import plain_names
from vision.photo.bars import bars_seen
from vision.photo.copies import once_each
from vision.photo.intake import Photo, read_photo, require_large_enough
from vision.planning import Plan, PlanRequest, advise, plan, plan_json, plan_png
from vision.report.candidates import candidates_png
from vision.report.pictures import overlay_jpeg, rectified_png
from vision.report.printed_card import print_card
from vision.report.record import Report, to_json
from vision.report.sheet_html import sheet_html
from vision.report.sheet_pdf import sheet_pdf
from vision.report.wall_plot import walls_png
from vision.screening import AGAIN, GOOD, ROUGH, OwnTracer, Screening, ScreenRequest, screen
from vision.screening_record import no_answer, screening_json, screening_svg
from vision.settings import Settings
from vision.tape.instrument import control_scale_sd
from vision.tape.readings import Entry, Taped, TapeFacts, facts_from_mapping, facts_from_toml
from vision.tape.sheet import facts_from_csv
from vision.units import inches_text, number_text, plus_minus

Point = tuple[float, float]
FourPoints = tuple[Point, Point, Point, Point]


@dataclass(frozen=True)
class PlumbLine:
    """Two rough points (px) on a plumb line in photo `photo` (from 1)."""

    photo: int
    line: tuple[Point, Point]


@dataclass(frozen=True)
class CardCorners:
    """A card marked by hand in photo `photo` (from 1): its kind and bottom-left, bottom-right, top-right, top-left (px)."""

    photo: int
    kind: str
    corners: FourPoints


@dataclass(frozen=True)
class MarkedLine:
    """Two rough points (px) on a joint between tiles ("grout") or along one long side of a spirit level ("level").

    A level may have a length, and a depth of its face behind the opening plane, each with its sd (mm; None: the usual one).
    A joint that runs back on a side wall ("back") names the wall, "left" or "right".
    """

    photo: int
    kind: str
    line: tuple[Point, Point]
    length_mm: float | None = None
    length_sd_mm: float | None = None
    offset_mm: float | None = None
    offset_sd_mm: float | None = None
    side: str | None = None


@dataclass(frozen=True)
class CheckRequest:
    """One check as asked for. Points are pixels of the upright photo, (0, 0) the centre of its top-left pixel."""

    photos: tuple[tuple[str, bytes], ...]
    tape: TapeFacts = field(default_factory=TapeFacts)
    cards: tuple[str, ...] = ()
    card_offset_mm: float | None = None
    card_corners: tuple[CardCorners, ...] = ()
    corners: tuple[FourPoints | None, ...] = ()
    plumb_lines: tuple[PlumbLine, ...] = ()
    level_cards: tuple[int, ...] = ()
    lines: tuple[MarkedLine, ...] = ()
    level_curb: bool = False
    door_line_mm: tuple[float, float | None] | None = None
    """depth behind the wall face of the plane to be measured, and its sd (None: the usual one)"""
    head: bool = True
    height: str | None = None
    door: str | None = None
    hardware: Mapping[str, object] | None = None
    corners_within_px: float | None = None
    """how well `corners` are marked, px of the full-size photo (None: 15); says nothing of corners that the program finds"""


def check(request: CheckRequest, settings: Settings = Settings()) -> Report:  # noqa: B008 (frozen)
    """Hold the readings against the photos.

    Raises BadInput for text that cannot be read, before any photo is opened. Whatever a photo does not allow is part of the
    report: `cannot_measure` where none of them could be used.
    """
    with threadpool_limits(limits=1):  # the matrices are small: more threads cost more than they give
        return _check(request, settings)


def _check(request: CheckRequest, settings: Settings) -> Report:
    """The stages in order."""
    _require_a_witness(request)
    taped = taped_of(request.tape, request.height, settings, has_head=request.head)
    door = fitting_door(chosen_door(request.door, request.hardware), taped.gaussian)
    cards = parse_cards(request.cards, request.card_offset_mm, settings.cards)
    demands = _demands(request, taped, cards, settings)
    closure = close_tape(taped.everything, taped.at_mm, taped.over_mm, demands.height_mm, settings)
    sight = _look_at(request, cards, settings)
    measured, refused = _measured(sight, demands, settings)
    opening, problem = measured.opening if measured else None, refused.problem if refused else None
    judgement, changed = judged(request.tape, taped, closure, opening, settings)
    seen = (*sight.findings, *(opening.findings if opening else ()), *odd_sizes(opening, settings))
    slips, questions = explained(judgement, closure, taped, settings)
    only = only_slip(slips)
    comparison = asking(judgement.comparison, only)
    findings = (*seen, *taped.findings, *closing(closure, only), *changed, *comparison.findings, *shared_notes(comparison))
    walls = ordering_walls(opening, closure)
    order = decide_order(
        comparison, taped.gaussian, walls.known, has_head=request.head, smallest_width_photo_mm=walls.smallest_width_mm,
        findings=findings, misplaced=misplaced(opening), cannot_measure=problem, square=walls.square, slip=only,
        advice=advise(measured, comparison, demands, settings) if measured else None, smallest_mm=taped.smallest_mm,
        photo_taken=bool(request.photos), shown=shown_by(opening), at_mm=taped.at_mm, height_mm=taped.height_mm,
        settings=settings.order,
    )  # fmt: skip
    if door is not None:
        known = (comparison, taped.gaussian, walls.known, taped.at_mm, request.head, None if request.head else demands.height_mm)
        astray = frozenset(elsewhere(taped.gaussian, taped.at_mm, taped.height_mm, settings.order))
        evidence = Evidence(*known, order, taped.smallest_mm, taped.largest_mm, taped.apart, astray, shown=shown_by(opening))
        order = order_door(door, evidence)
    order = asking_about_the_outline(order, comparison, [o.photo for o in sight.outlines if o.by == "program"])
    return Report(
        opening, comparison, findings, order, problem, sight.photos, closure=closure, slips=slips, questions=questions,
        height_mm=demands.height_mm, repeats=taped.repeats, outlines=sight.outlines, recorded=taped.recorded,
        refused_cards=refused.cards if refused else (), numbers=sight.numbers,
    )  # fmt: skip


def _require_a_witness(request: CheckRequest) -> None:
    if not request.photos and not request.tape.entries:
        needed = "a photo of the opening, or readings"
        raise BadInput("photos", "none, and no readings", needed, "add the photo, the readings or both")


def _measured(sight: _Sight, demands: Demands, settings: Settings) -> tuple[Measured | None, Refused | None]:
    """The opening as the photos have it, or why not; neither where there is no photo."""
    if not sight.looks:
        return None, None if sight.problem is None else Refused(sight.problem)
    outcome = measured_or_refused(sight.looks, demands, settings)
    return (None, outcome) if isinstance(outcome, Refused) else (outcome, None)


@dataclass(frozen=True)
class _Sight:
    """All photos, decoded and looked at: those that decode with their numbers, and the looks of those that can be measured."""

    photos: tuple[Photo, ...]
    numbers: tuple[int, ...]
    looks: tuple[Look, ...]
    findings: tuple[Finding, ...]
    problem: CannotMeasure | None
    outlines: tuple[Outline, ...] = ()


def _look_at(request: CheckRequest, cards: CardFacts, settings: Settings) -> _Sight:
    """Each photo once; one that cannot be used is a finding beside others, and an error alone."""
    marked = [(c.photo, parse_marked(c.kind, settings.cards), _points(c.corners)) for c in request.card_corners]
    photos: list[Photo] = []
    numbers: list[int] = []
    looks: list[Look] = []
    problems: list[tuple[str, CannotMeasure]] = []
    outlines: list[Outline] = []
    first, again = once_each(request.photos)
    for number, name, data in first:
        corners = request.corners[number - 1] if number <= len(request.corners) else None
        try:
            photo = read_photo(name, data, settings.intake)
            require_large_enough(name, (photo.width, photo.height), settings.intake)
            photos.append(photo)
            numbers.append(number)
            given = None if corners is None else _points(corners)
            outlines.append(outline_of(photos[-1], number, given, has_head=request.head, settings=settings))
            looks.append(
                look(
                    photos[-1],
                    cards.kinds,
                    require_corners(outlines[-1], name),
                    [(spec, at) for where, spec, at in marked if where == number],
                    [_points(line.line) for line in request.plumb_lines if line.photo == number],
                    number=number,
                    has_head=request.head,
                    settings=settings,
                    lines=[_line_facts(line) for line in request.lines if line.photo == number],
                    corners_within_px=None if given is None else request.corners_within_px,
                    by_person=given is not None,
                )
            )
        except CannotMeasure as problem:
            problems.append((name, problem))
    findings = tuple(one_not_used(*one) for one in problems)
    of_bars = [f for p in photos for f in bars_seen(p.name, p.bars)]
    found = (*(findings if looks else ()), *again, *(f for o in outlines for f in o.findings), *of_bars)
    worst = problems[0][1] if problems and not looks else None
    return _Sight(tuple(photos), tuple(numbers), tuple(looks), found, worst, tuple(outlines))


def _demands(request: CheckRequest, taped: Taped, facts: CardFacts, settings: Settings) -> Demands:
    """What the user states beside the photos."""
    share = control_scale_sd(taped.tape) if taped.shares_control_tape else 0.0
    line = request.door_line_mm
    door = None if line is None else (line[0], settings.depth.door_line_sd_mm if line[1] is None else line[1])
    return Demands(facts, request.head, taped.height_mm, dict(taped.at_mm), request.level_cards, share, request.level_curb, door)


def _line_facts(line: MarkedLine) -> LineFacts:
    level = (line.length_mm, line.length_sd_mm, line.offset_mm, line.offset_sd_mm)
    return LineFacts(line.kind, _points(line.line), *level, line.side)


def _points(points: Sequence[Point]) -> Array:
    return np.array(points, dtype=np.float64)


__all__ = [
    "AGAIN",
    "GOOD",
    "ROUGH",
    "BadInput",
    "CannotMeasure",
    "CardCorners",
    "CheckRequest",
    "Entry",
    "MarkedLine",
    "OwnTracer",
    "Plan",
    "PlanRequest",
    "PlumbLine",
    "Report",
    "ScreenRequest",
    "Screening",
    "Settings",
    "TapeFacts",
    "candidates_png",
    "check",
    "facts_from_csv",
    "facts_from_mapping",
    "facts_from_toml",
    "hardware_from_toml",
    "inches_text",
    "no_answer",
    "number_text",
    "overlay_jpeg",
    "plain_names",
    "plan",
    "plan_json",
    "plan_png",
    "plus_minus",
    "print_card",
    "rectified_png",
    "screen",
    "screening_json",
    "screening_svg",
    "sheet_html",
    "sheet_pdf",
    "to_json",
    "walls_png",
]
