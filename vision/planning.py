"""Before the visit: what a planned photo would resolve, which slips of the tape it would show, and which change would help most.

After a check the same estimate says why a reading could not be told, and what to change.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from vision.errors import BadInput
from vision.gaussian import Gaussian
from vision.geometry.measure import Measured
from vision.geometry.opening import SIZES, WIDTHS
from vision.geometry.places import at_corners, kind_words, parse_reference, spoken
from vision.geometry.plan import Expected, PlannedCard, PlannedShot, expect, far_enough, shot_of
from vision.geometry.plan_tilts import both_tilts
from vision.geometry.seen import Demands
from vision.judge.compare import compare
from vision.judge.verdicts import Comparison, ReadingVerdict
from vision.names import plain_names
from vision.report.plan_drawing import draw_plan
from vision.settings import CARD_KINDS, Settings
from vision.tape.instrument import control_scale_sd, tape_class
from vision.tape.notation import parse_length
from vision.tape.readings import Entry, TapeFacts, read_tape
from vision.units import inches_text

STEPS_NEARER = (0.8, 0.9)
"""shares of the distance that are tried"""
SOURCES = {
    "card size": "how well the references' size is known",
    "card plane": "how well the references' depth is known",
    "edge bias, cards": "how sharply the edges of so small references can be seen",
    "edge noise": "how sharply the edges of so small references can be seen",
    "edge bias, opening": "how sharply the edges of the opening can be seen",
    "corners marked": "corners that stand for an edge that cannot be followed",
    "focal length": "the unknown focal length",
    "lens": "the unknown bend of the lens",
    "principal point": "the unknown centre of the lens",
}
"""what a source of uncertainty means, in words"""
TILTS = (
    "A check would most likely refuse this photo (tilt-two-ways): the references show {found}. What is said here holds only "
    "where it does not. References further apart, or larger ones, tell the tilts apart."
)


@dataclass(frozen=True)
class PlanRequest:
    """What is asked: lengths in any notation, references as in `vision.geometry.places`.

    `focal_35mm` None: the file will carry no focal length. `unit` of lengths that name none.
    """

    width: str
    height: str
    references: tuple[str, ...]
    distance: str = "2.4 m"
    focal_35mm: float | None = 26.0
    head: bool = True
    plumb_line: bool = False
    unit: str | None = None


@dataclass(frozen=True)
class Change:
    """One thing to do otherwise, with the largest u of the widths (mm) before and after."""

    text: str
    before_mm: float
    after_mm: float

    def __str__(self) -> str:
        return f"{self.text}: {self.before_mm:.1f} mm becomes {self.after_mm:.1f} mm"


@dataclass(frozen=True)
class Plan:
    """What the shot would give, the smallest visible slip of each reading alone and in common (mm), and what would help."""

    shot: PlannedShot
    expected: Expected
    slips: Mapping[str, ReadingVerdict]
    changes: tuple[Change, ...]
    warnings: tuple[str, ...] = ()
    """why such a photo may not be measured at all"""


def plan(request: PlanRequest, settings: Settings = Settings()) -> Plan:  # noqa: B008 (frozen)
    """Estimate a shot. Raises BadInput for text that cannot be read, and where opening or references are not in the picture."""
    shot = _shot(request, settings)
    expected = _expected(shot, request, settings)
    names = [n for n in WIDTHS if n in expected.quantities.names]
    before = _worst(expected.quantities, names)
    changes = tuple(
        sorted(
            (Change(text, before, after) for text, after in _outcomes(shot, names, settings)), key=lambda change: change.after_mm
        )
    )
    worth = tuple(c for c in changes if c.after_mm < settings.plan.worth_saying * before)
    warnings = () if (both := both_tilts(shot, settings)) is None else (TILTS.format(found=both),)
    return Plan(shot, expected, _slips(expected.quantities, settings), worth, warnings)


def _expected(shot: PlannedShot, request: PlanRequest, settings: Settings) -> Expected:
    """What the shot would give; a distance from where not everything is in the picture is refused with one that does."""
    try:
        return expect(shot, settings)
    except BadInput as problem:
        if problem.where != "distance":
            raise
        back = far_enough(replace(shot, distance_mm=max(shot.distance_mm, settings.plan.least_distance_mm)), settings)
        found = f"{request.distance!r}, {problem.found.split(', ', 1)[1]}"
        needed = f"about {math.ceil(back.distance_mm / 50) / 20:.2f} m with this lens"
        raise BadInput("distance", found, needed, problem.remedy) from None


def _shot(request: PlanRequest, settings: Settings) -> PlannedShot:
    def length(where: str, text: str) -> float:
        return parse_length(text, where=where, unit=request.unit, decimal_comma=False, settings=settings.tape).value_mm

    width, height = length("width", request.width), length("height", request.height)
    for where, text, mm in (("width", request.width, width), ("height", request.height, height)):
        least, most = settings.plan.opening_mm
        if not least <= mm <= most:
            needed = f"a {where} of an opening, {least:.0f} to {most:.0f} mm"
            raise BadInput(where, f"{text!r}, {mm:.0f} mm", needed, "check the digits and the unit")
    if request.focal_35mm is not None and not 10 <= request.focal_35mm <= 200:
        raise BadInput("focal", f"{request.focal_35mm:g} mm", "10 to 200 mm (35 mm equivalent)", "look at the phone's data sheet")
    return PlannedShot(
        width_mm=width,
        height_mm=height,
        distance_mm=length("distance", request.distance),
        cards=tuple(c for text in request.references for c in parse_reference(text, width, height, settings)),
        focal_35mm=request.focal_35mm,
        has_head=request.head,
        plumb_line=request.plumb_line,
        control_scale_sd=control_scale_sd(tape_class("us")),
    )


def _slips(quantities: Gaussian, settings: Settings) -> Mapping[str, ReadingVerdict]:
    """The judge's verdict on readings that agree exactly: what slip of each would have shown."""
    sizes = quantities.select([n for n in SIZES if n in quantities.names])
    entries = tuple(Entry(n, inches_text(sizes.value(n))) for n in sizes.names)
    taped = read_tape(TapeFacts(entries), settings)
    exact = Gaussian(taped.gaussian.names, sizes.select(taped.gaussian.names).mean, taped.gaussian.sources)
    return compare(sizes, exact, taped.texts, settings.judge).readings


def _worst(quantities: Gaussian, names: Sequence[str]) -> float:
    return max(quantities.u(n) for n in names)


def _outcomes(shot: PlannedShot, names: Sequence[str], settings: Settings) -> Iterator[tuple[str, float]]:
    """Each change that can be made, with the largest u of these sizes after it."""
    for text, changed in _changes(shot, settings):
        try:
            after = expect(changed, settings).quantities
        except BadInput:
            continue
        yield text, _worst(after, [n for n in names if n in after.names])


def _changes(shot: PlannedShot, settings: Settings) -> Iterator[tuple[str, PlannedShot]]:
    """Other arrangements, knowing more about the references, and another place to stand."""
    opening = (shot.width_mm, shot.height_mm)
    now, first = spoken(shot.cards, opening), shot.cards[0]
    for count in (2, 4):
        cards = at_corners(first, count, opening, settings)
        text = spoken(cards, opening)
        if len(shot.cards) <= count and text != now:
            yield (
                f"{text} instead of {spoken(shot.cards, opening, with_kind=False)}",
                far_enough(replace(shot, cards=cards), settings),
            )
    for name, count in (("sheet", 2), ("quarter", 4)):
        card = _measured(PlannedCard(replace(first.spec, kind=CARD_KINDS[name], size_mm=None), (0.0, 0.0)), settings)
        cards = at_corners(card, count, opening, settings)
        if all(c.spec.kind.name != name for c in shot.cards):
            yield f"{spoken(cards, opening)}, measured, instead of {now}", far_enough(replace(shot, cards=cards), settings)
    unmeasured = [c for c in shot.cards if c.spec.size_mm is None and c.spec.kind.name != "id-1"]
    if unmeasured:
        cards = tuple(_measured(c, settings) for c in shot.cards)
        what = kind_words(unmeasured[0].spec.kind, len(unmeasured))
        yield f"two sides of the {what} measured to {settings.plan.control_sd_mm:g} mm", replace(shot, cards=cards)
    if any(c.spec.offset_mm is None for c in shot.cards):
        cards = tuple(_flat(c, settings) for c in shot.cards)
        words = f"the references checked to lie flat on the wall face (state their depth to {settings.plan.flat_sd_mm:g} mm)"
        yield words, replace(shot, cards=cards)
    if shot.focal_35mm is None:
        yield "the original file, which carries the focal length", replace(shot, focal_35mm=settings.camera.default_focal_35mm)
    for share in STEPS_NEARER:
        nearer = shot.distance_mm * share
        words = f"the photo taken from {nearer / 1000:.1f} m instead of {shot.distance_mm / 1000:.1f} m"
        yield words, replace(shot, distance_mm=nearer, camera=None, size_px=None)


def _measured(card: PlannedCard, settings: Settings) -> PlannedCard:
    """With both sides measured; a small frame has the control lengths of the uncut page."""
    kind, sd = card.spec.kind, settings.plan.control_sd_mm
    if kind.control_mm is not None:
        sd *= max(kind.width_mm / kind.control_mm[0], kind.height_mm / kind.control_mm[1])
    if card.spec.size_mm is not None or kind.name == "id-1":
        return card
    return replace(card, spec=replace(card.spec, size_mm=(kind.width_mm, kind.height_mm), size_sd_mm=sd))


def _flat(card: PlannedCard, settings: Settings) -> PlannedCard:
    """With its depth stated as that of a card lying on the wall face."""
    if card.spec.offset_mm is not None:
        return card
    depth = -card.spec.kind.thickness_mm
    return replace(card, spec=replace(card.spec, offset_mm=depth, offset_sd_mm=settings.plan.flat_sd_mm))


def advise(measured: Measured, comparison: Comparison, demands: Demands, settings: Settings) -> str | None:
    """After a check: why some readings could not be told, and what to change; None where the photo's u was not the cause.

    Readings that a contradiction touches are not meant. What a change would give is taken in proportion to what this photo gave,
    where that was worse than planned.
    """
    limit = settings.judge.slip_limit_mm
    blind = [
        v.name
        for v in comparison.readings.values()
        if v.name in measured.opening.quantities.names
        and v.verdict == "cannot tell"
        and not v.explanations
        and _hidden_mm(v) > limit
        and (v.u_photo_mm or 0.0) > v.u_tape_mm
    ]
    shot = shot_of(measured.solution, measured.assembly, measured.opening, demands)
    if not blind or shot is None:
        return None
    real = measured.opening.quantities
    worst = max(blind, key=real.u)
    budget = real.budget(worst)
    cause = SOURCES.get(max(budget, key=lambda s: budget[s]))
    try:
        planned = expect(shot, settings).quantities
    except BadInput:
        return None
    worse = max(1.0, real.u(worst) / planned.u(worst))
    outcomes = [(text, after * worse) for text, after in _outcomes(shot, [worst], settings)]
    text, after = min(outcomes, key=lambda o: o[1], default=("", np.inf))
    if after > settings.plan.worth_saying * real.u(worst):
        return None
    change = Change(text, real.u(worst), after)
    why = f"What limits the {plain_names([worst])} here is {cause}. " if cause else ""
    return f"{why}Take the photo again with {change} (one standard deviation)."


def _hidden_mm(verdict: ReadingVerdict) -> float:
    """The largest slip of a reading, its own or one that all of a kind share, that would not have shown."""
    return max(verdict.smallest_visible_slip_mm or 0.0, verdict.smallest_visible_common_slip_mm or 0.0)


def plan_json(made: Plan) -> dict[str, Any]:
    """A plan as plain data. Numbers are unrounded, never NaN; `u_` are standard deviations."""
    quantities, at = made.expected.quantities, made.expected.at_mm
    sizes: dict[str, Any] = {}
    for name in SIZES:
        if name in quantities.names:
            verdict = made.slips[name]
            sizes[name] = {"value_mm": quantities.value(name), "u_mm": quantities.u(name), "budget_mm": quantities.budget(name)}
            sizes[name] |= {"at_mm": at[name]} if name in at else {}
            sizes[name] |= {
                "smallest_visible_slip_mm": verdict.smallest_visible_slip_mm,
                "smallest_visible_common_slip_mm": verdict.smallest_visible_common_slip_mm,
                "vouched_for": verdict.verdict == "agrees",
            }
    walls = ("lean_left", "lean_right", "taper", "rack")
    return {
        "format": 1,
        "opening": {"width_mm": made.shot.width_mm, "height_mm": made.shot.height_mm, "head": made.shot.has_head},
        "distance_mm": made.shot.distance_mm,
        "references": [
            {"kind": c.spec.kind.name, "centre_mm": list(c.centre_mm), "sides_mm": list(c.sides_mm)} for c in made.shot.cards
        ],
        "sizes": sizes,
        "walls": {f"u_{name}_mm_per_m": quantities.u(name) for name in walls if name in quantities.names},
        "warnings": list(made.warnings),
        "changes": [{"text": c.text, "before_mm": c.before_mm, "after_mm": c.after_mm} for c in made.changes],
    }


def plan_png(made: Plan) -> bytes:
    """A plan as a drawing: the opening from the front with the references to scale, and what each size would be known to."""
    quantities = made.expected.quantities
    u_mm = {n: quantities.u(n) for n in SIZES if n in quantities.names}
    slips = {n: _hidden_mm(v) for n, v in made.slips.items()}
    vouched = {n: v.verdict for n, v in made.slips.items()}
    notes = [str(change) for change in made.changes[:2]]
    return draw_plan(made.shot, made.expected.at_mm, u_mm, slips, verdicts=vouched, notes=notes)
