"""The one door: photos and readings in, a report out. The order of the stages; no arithmetic.

text  - tape/                  -> record of the readings (mm)
bytes - photo/ - geometry/     -> record of the opening (mm)
both  - judge/                 -> verdicts, ready or hold
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from threadpoolctl import threadpool_limits

from vision.errors import BadInput, CannotMeasure, Finding
from vision.gaussian import Array, Gaussian
from vision.geometry.cards import CardFacts, parse_card, parse_cards
from vision.geometry.look import Look, look
from vision.geometry.measure import measure
from vision.geometry.opening import Opening
from vision.geometry.seen import Demands
from vision.judge.closure import Closure, close_tape
from vision.judge.compare import Judgement, compare, judge
from vision.judge.order import decide_order
from vision.judge.plane_figure import Places
from vision.judge.questions import ask
from vision.judge.signatures import written
from vision.judge.slips import name_slips
from vision.judge.witnesses import overruled
from vision.photo.intake import Photo, read_photo
from vision.report.pictures import overlay_jpeg, rectified_png
from vision.report.record import Report, to_json
from vision.settings import Settings
from vision.tape.instrument import control_scale_sd
from vision.tape.notation import parse_length
from vision.tape.readings import Entry, Taped, TapeFacts, facts_from_mapping, facts_from_toml, read_tape
from vision.tape.sheet import facts_from_csv
from vision.units import inches_text

Point = tuple[float, float]
FourPoints = tuple[Point, Point, Point, Point]
SLOPES = ("taper", "rack", "lean_left", "lean_right", "curb_level")
JUDGED_WALLS = ("lean_left", "lean_right", "taper", "plumb_rectangle")


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
    head: bool = True
    height: str | None = None


def check(request: CheckRequest, settings: Settings = Settings()) -> Report:  # noqa: B008 (frozen)
    """Hold the readings against the photos.

    Raises BadInput for text that cannot be read, before any photo is opened. Whatever a photo does not allow is part of the
    report: `cannot_measure` where none of them could be used.
    """
    with threadpool_limits(limits=1):  # the matrices are small: more threads cost more than they give
        return _check(request, settings)


def _check(request: CheckRequest, settings: Settings) -> Report:
    """The stages in order."""
    if not request.photos and not request.tape.entries:
        raise BadInput(
            "photos", "none, and no readings", "a photo of the opening, or readings", "add the photo, the readings or both"
        )
    taped = read_tape(request.tape, settings)
    cards = parse_cards(request.cards, request.card_offset_mm, settings.cards)
    demands = _demands(request, taped, cards, settings)
    closure = close_tape(taped.everything, taped.at_mm, taped.over_mm, demands.height_mm, settings)
    sight = _look_at(request, cards, settings)
    opening, problem = None, sight.problem
    if sight.looks:
        try:
            opening = measure(sight.looks, demands, settings).opening
        except CannotMeasure as refused:
            problem = refused
    judgement, changed = _judge(request, opening, taped, closure, settings)
    comparison = judgement.comparison
    found = (*sight.findings, *(opening.findings if opening else ()), *taped.findings, *closure.findings, *changed)
    as_written = {name: written(length) for name, length in taped.lengths.items()}
    signed = {name: level.value_mm for name, level in taped.levels.items()}
    slips = name_slips(judgement, closure, taped.everything, as_written, signed, settings=settings)
    spreads = {name: one.spread_mm for name, one in taped.repeats.items()}
    questions = ask(as_written, signed, taped.over_mm, spreads, settings.questions)
    walls, smallest_width = _walls(opening, closure)
    order = decide_order(
        comparison,
        taped.gaussian,
        walls,
        has_head=request.head,
        smallest_width_photo_mm=smallest_width,
        findings=(*found, *comparison.findings),
        not_measured=tuple(opening.not_measured) if opening else (),
        cannot_measure=problem,
        smallest_mm=taped.smallest_mm,
        photo_taken=bool(request.photos),
        settings=settings.order,
    )
    findings = (*found, *comparison.findings)
    return Report(opening, comparison, findings, order, problem, sight.photos, closure=closure, slips=slips, questions=questions)


def _judge(
    request: CheckRequest, opening: Opening | None, taped: Taped, closure: Closure, settings: Settings
) -> tuple[Judgement, tuple[Finding, ...]]:
    """All readings held against the photo jointly; a verdict that further readings changed is a finding."""
    if opening is None:
        return judge(None, taped.everything, taped.texts, settings.judge), ()
    places = closure.adjusted.places if closure.adjusted else None
    judgement = _against(opening, taped, places, settings)
    if not taped.levels and not taped.repeats:
        return judgement, ()
    first = read_tape(replace(request.tape, second=()), settings)
    before = [compare(opening.shape, first.gaussian, first.texts, settings.judge, scale_refused=opening.scale_refused)]
    if taped.levels and taped.repeats:
        before.append(_against(opening, first, places, settings).comparison)
    return judgement, tuple(dict.fromkeys(f for one in before for f in overruled(one, judgement.comparison)))


def _against(opening: Opening, taped: Taped, places: Places | None, settings: Settings) -> Judgement:
    """All readings against the photo's sizes and slopes."""
    return judge(
        _testimony(opening), taped.everything, taped.texts, settings.judge,
        scale_refused=opening.scale_refused, places=places, level=settings.level,
    )  # fmt: skip


def _testimony(opening: Opening) -> Gaussian | None:
    """The photo's sizes as the judge may have them, with its slopes (and bows, where the scale stands)."""
    if opening.shape is None:
        return None
    names = SLOPES if opening.scale_refused else (*SLOPES, "bow_left", "bow_right")
    return opening.shape.joined(opening.quantities.select([n for n in names if n in opening.quantities.names]))


def _walls(opening: Opening | None, closure: Closure) -> tuple[Gaussian | None, float | None]:
    """Leans, taper and plumb rectangle with the smallest width: the photo's, or the tape's where the photo has no vertical."""
    if opening is not None and "lean_left" in opening.quantities.names:
        return opening.quantities.select([n for n in JUDGED_WALLS if n in opening.quantities.names]), opening.smallest_width_mm
    figure = None if closure.findings else closure.figure
    if figure is not None and {"lean_left", "lean_right"} <= set(figure.names):
        widths = [figure.value(n) for n in figure.names if n.startswith("width")]
        return figure.select([n for n in JUDGED_WALLS if n in figure.names]), min(widths, default=None)
    if opening is None:
        return None, None
    return opening.quantities.select([n for n in JUDGED_WALLS if n in opening.quantities.names]), opening.smallest_width_mm


@dataclass(frozen=True)
class _Sight:
    """All photos, decoded and looked at. `photos` holds those that decode, `looks` those that can be measured."""

    photos: tuple[Photo, ...]
    looks: tuple[Look, ...]
    findings: tuple[Finding, ...]
    problem: CannotMeasure | None


def _look_at(request: CheckRequest, cards: CardFacts, settings: Settings) -> _Sight:
    """Each photo once; one that cannot be used is a finding beside others, and an error alone."""
    marked = [(c.photo, parse_card(c.kind, settings.cards).kind, _points(c.corners)) for c in request.card_corners]
    photos: list[Photo] = []
    looks: list[Look] = []
    problems: list[CannotMeasure] = []
    for number, (name, data) in enumerate(request.photos, start=1):
        corners = request.corners[number - 1] if number <= len(request.corners) else None
        try:
            photos.append(read_photo(name, data, settings.intake))
            looks.append(
                look(
                    photos[-1],
                    cards.kinds,
                    None if corners is None else _points(corners),
                    [(kind, at) for where, kind, at in marked if where == number],
                    [_points(line.line) for line in request.plumb_lines if line.photo == number],
                    number=number,
                    has_head=request.head,
                    settings=settings,
                )
            )
        except CannotMeasure as problem:
            problems.append(problem)
    findings = tuple(Finding(p.code, f"One photo could not be used: {p.found}.", p.remedy) for p in problems)
    return _Sight(tuple(photos), tuple(looks), findings if looks else (), problems[0] if problems and not looks else None)


def _demands(request: CheckRequest, taped: Taped, facts: CardFacts, settings: Settings) -> Demands:
    """What the user states beside the photos."""
    height = taped.height_mm
    if request.height is not None:
        where = {"unit": request.tape.unit, "decimal_comma": request.tape.decimal_comma}
        height = parse_length(request.height, where="height", settings=settings.tape, **where).value_mm  # type: ignore[arg-type]
    share = control_scale_sd(taped.tape) if taped.shares_control_tape else 0.0
    return Demands(facts, request.head, height, dict(taped.at_mm), request.level_cards, share)


def _points(points: Sequence[Point]) -> Array:
    return np.array(points, dtype=np.float64)


__all__ = [
    "BadInput",
    "CannotMeasure",
    "CardCorners",
    "CheckRequest",
    "Entry",
    "PlumbLine",
    "Report",
    "Settings",
    "TapeFacts",
    "check",
    "facts_from_csv",
    "facts_from_mapping",
    "facts_from_toml",
    "inches_text",
    "overlay_jpeg",
    "rectified_png",
    "to_json",
]
