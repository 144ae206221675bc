"""The report as one record, and as the JSON of format 1."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from vision.errors import CannotMeasure, Finding
from vision.gaussian import Gaussian
from vision.geometry.opening import PROPORTIONS, QUANTITIES, SIZES, CardSeen, Opening, PhotoGeometry
from vision.geometry.trace import Outline
from vision.judge.closure import Closure
from vision.judge.verdicts import Comparison, Explanation, Order, Question, ReadingVerdict, Reason, Slip
from vision.photo.intake import Photo
from vision.report.closure_record import closure_json
from vision.report.door_record import door_json
from vision.report.finite import refuse_non_finite
from vision.tape.repeats import Repeated

FORMAT = 1

WALL_KEYS = {"taper": "taper_mm_per_m", "rack": "rack_mm_per_m", "plumb_rectangle": "plumb_rectangle_mm"}
"""Quantity -> key under `walls`; its standard deviation is the same key with `u_` before it."""
CURB_KEYS = {"curb_level": "level_mm_per_m", "curb_against_head": "against_head_mm_per_m"}
"""Quantity -> key under `curb`."""
SCALED = frozenset((*SIZES, "plumb_rectangle", "bow_left", "bow_right"))
"""Quantities in millimetres: none of them leaves the program where the photo's scale is refused."""


NO_PHOTO = CannotMeasure(
    "intake",
    "no-second-witness",
    found="no photo",
    needed="a photo of the opening with a reference card in it",
    remedy="take one, or have a second person measure",
)
"""why nothing is measured where the readings are checked alone"""


@dataclass(frozen=True)
class Report:
    """One check, complete: what the photos said, how each reading was judged, ready or hold."""

    opening: Opening | None
    comparison: Comparison
    findings: tuple[Finding, ...]
    """all of them, with the notes: the opening's, the comparison's and those of single photos"""
    order: Order
    cannot_measure: CannotMeasure | None
    photos: tuple[Photo, ...] = ()
    settings_note: Mapping[str, str] | None = None
    closure: Closure = field(default_factory=Closure)
    slips: tuple[Slip, ...] = ()
    questions: tuple[Question, ...] = ()
    height_mm: float | None = None
    """the stated height of the opening, for drawings where nothing was measured"""
    repeats: Mapping[str, Repeated] = field(default_factory=dict)
    """all readings of each length that was read more than once"""
    recorded: Mapping[str, str] = field(default_factory=dict)
    """readings that have no part in the plane of the opening (the curb's fall front to back), as written"""
    outlines: tuple[Outline, ...] = ()
    """of each photo that could be read: the corners as marked, or as the program found them"""
    refused_cards: tuple[CardSeen, ...] = ()
    """where nothing could be measured: the cards that were seen all the same, none of them used"""
    numbers: tuple[int, ...] = ()
    """of `photos`, in the order in which they were given; empty where none is missing among them"""

    def number_of(self, photo_index: int) -> int:
        """The number (from 1) under which one of `photos` was given."""
        return self.numbers[photo_index] if self.numbers else photo_index + 1

    def geometry_of(self, photo_index: int) -> PhotoGeometry | None:
        """What was measured in one of `photos`; None where that is nothing."""
        seen = self.opening.photos if self.opening is not None else ()
        return next((one for one in seen if one.number == self.number_of(photo_index)), None)

    @property
    def notes(self) -> tuple[Finding, ...]:
        """What is worth saying and holds nothing, each once."""
        return tuple(dict.fromkeys(finding for finding in self.findings if finding.is_note))

    @property
    def cards(self) -> tuple[CardSeen, ...]:
        """The cards that were seen, by number."""
        return self.opening.cards if self.opening else self.refused_cards


def to_json(report: Report) -> dict[str, Any]:
    """The report as plain data, format 1. Numbers are unrounded, never NaN.

    Every top-level key but `cannot_measure` is always there. A quantity is either given with its standard deviation or
    listed in `not_measured`; where nothing could be measured, each one is listed with the reason of the whole (that there is
    no photo, where there is none). Where the scale is refused `photo_mm` of a reading stands with a standard deviation as large
    as itself: the photo then testifies by shape, and gives no size.
    Raises ValueError where a number is not finite: that is a defect of the program, not of the photo.
    """
    known = outward(report.opening) or Gaussian((), np.zeros(0), {})
    data: dict[str, Any] = {
        "format": FORMAT,
        "outline": [_outline(one) for one in report.outlines],
        "cards": [_card(card) for card in report.cards],
        "sizes": _sizes(known, report.opening.at_mm if report.opening else {}),
        "proportions": {name: _pair(known, name, "value", "u") for name in PROPORTIONS if name in known.names},
        "walls": _walls(known, report.opening),
        "curb": _keyed(known, CURB_KEYS) | _budget(known, "curb_level", "level_budget_mm_per_m"),
        "door_line": _door_line(report.opening),
        "not_measured": _not_measured(report, known),
        "readings": {n: _reading(verdict, report.repeats.get(n)) for n, verdict in report.comparison.readings.items()},
        "recorded": dict(report.recorded),
        "closure": closure_json(report.closure),
        "slips": [_slip(slip) for slip in report.slips],
        "questions": [{**vars(question), "readings": list(question.readings)} for question in report.questions],
        "findings": [_coded(finding) for finding in report.findings if not finding.is_note],
        "notes": [_coded(note) for note in report.notes],
        "unseen": list(report.opening.unseen) if report.opening else [],
        "order": _order(report.order),
    }
    if report.cannot_measure is not None:
        data["cannot_measure"] = report.cannot_measure.as_dict()
    refuse_non_finite(data, "report")
    return data


def known_quantities(opening: Opening | None) -> tuple[str, ...]:
    """Names of the quantities that this opening gives to the outside, in the order of QUANTITIES."""
    if opening is None:
        return ()
    there = set(opening.quantities.names)
    return tuple(name for name in QUANTITIES if name in there and not (opening.scale_refused and name in SCALED))


def outward(opening: Opening | None) -> Gaussian | None:
    """The record of the quantities that this opening gives to the outside; None without one."""
    return None if opening is None else opening.quantities.select(known_quantities(opening))


def _card(card: CardSeen) -> dict[str, Any]:
    return {
        **({} if card.used else {"why_not_used": card.why}),
        "number": card.number,
        "photo": card.photo,
        "kind": card.kind,
        "corners_px": [[float(x), float(y)] for x, y in card.corners_px],
        "offset_mm": float(card.offset_mm) + 0.0,  # no -0.0
        "u_offset_mm": float(card.u_offset_mm),
        "used": bool(card.used),
    }


def _outline(one: Outline) -> dict[str, Any]:
    data: dict[str, Any] = {"photo": one.photo, "by": one.by}
    if one.corners_px is not None:
        data["corners_px"] = one.corners_px.tolist()
    if one.confidence is not None:
        data |= {"confidence": float(one.confidence), "candidates_px": [c.tolist() for c in one.candidates]}
    return data


def _pair(known: Gaussian, name: str, value_key: str, u_key: str) -> dict[str, float]:
    return {value_key: known.value(name), u_key: known.u(name)}


def _sizes(known: Gaussian, at_mm: Mapping[str, float]) -> dict[str, Any]:
    sizes: dict[str, Any] = {}
    for name in SIZES:
        if name in known.names:
            size: dict[str, Any] = _pair(known, name, "value_mm", "u_mm")
            if name.startswith("width"):
                size["at_mm"] = float(at_mm[name])
            sizes[name] = size | {"budget_mm": known.budget(name)}
    return sizes


def _keyed(known: Gaussian, keys: Mapping[str, str]) -> dict[str, float]:
    out: dict[str, float] = {}
    for name, key in keys.items():
        if name in known.names:
            out |= _pair(known, name, key, f"u_{key}")
    return out


def _walls(known: Gaussian, opening: Opening | None) -> dict[str, Any]:
    walls: dict[str, Any] = {}
    for side in ("left", "right"):
        one: dict[str, Any] = _keyed(known, {f"lean_{side}": "lean_mm_per_m", f"bow_{side}": "bow_mm"})
        one |= _budget(known, f"lean_{side}", "lean_budget_mm_per_m")
        shape = opening.wall_shapes.get(side) if opening and not opening.scale_refused else None
        if shape is not None:
            columns = zip(shape.at_mm, shape.value_mm, shape.u_mm, strict=True)
            one["shape"] = [{"at_mm": float(y), "value_mm": float(v), "u_mm": float(u)} for y, v, u in columns]
            one["shape_against"] = shape.against
        if one:
            walls[side] = one
    walls |= _keyed(known, WALL_KEYS)
    if opening is not None and opening.vertical is not None:
        walls["vertical"] = opening.vertical
        walls["verticals"] = [
            {k: v if isinstance(v, str) else float(v) for k, v in vars(one).items()} for one in opening.verticals
        ]
    return walls


def _budget(known: Gaussian, name: str, key: str) -> dict[str, Any]:
    return {key: known.budget(name)} if name in known.names else {}


def _door_line(opening: Opening | None) -> dict[str, Any]:
    """The stated door line with how the side walls go back to it; empty where the sizes are those at the arrises."""
    if opening is None or opening.door_line is None:
        return {}
    line = opening.door_line
    sides = {
        side: {"flare_mm_per_m": flare, "u_flare_mm_per_m": u, "seen": side in line.seen}
        for side, (flare, u) in line.flares.items()
    }
    return {"depth_mm": float(line.depth_mm), "u_depth_mm": float(line.u_depth_mm), **sides}


def _not_measured(report: Report, known: Gaussian) -> dict[str, Any]:
    stated = report.opening.not_measured if report.opening else {}
    out: dict[str, Any] = {}
    for name in QUANTITIES:
        if name in known.names:
            continue
        reason = stated.get(name, report.cannot_measure or (NO_PHOTO if report.opening is None else None))
        if reason is not None:
            out[name] = reason.as_dict()
    return out


def _reading(verdict: ReadingVerdict, repeated: Repeated | None) -> dict[str, Any]:
    again = (
        {}
        if repeated is None
        else {"texts": list(repeated.texts), "smallest_mm": float(repeated.smallest_mm), "smallest_text": repeated.smallest_text}
    )
    return {
        **again,
        "text": verdict.text,
        "tape_mm": float(verdict.tape_mm),
        "u_tape_mm": float(verdict.u_tape_mm),
        "photo_mm": _number(verdict.photo_mm),
        "u_photo_mm": _number(verdict.u_photo_mm),
        "difference_mm": _number(verdict.difference_mm),
        "verdict": verdict.verdict,
        "smallest_visible_slip_mm": _number(verdict.smallest_visible_slip_mm),
        "smallest_visible_common_slip_mm": _number(verdict.smallest_visible_common_slip_mm),
        "explanations": [_explanation(one) for one in verdict.explanations],
    }


def _explanation(one: Explanation) -> dict[str, Any]:
    return {
        "code": one.code,
        "readings": list(one.readings),
        "amount_mm": float(one.amount_mm),
        "u_amount_mm": float(one.u_amount_mm),
        "text": one.text,
    }


def _slip(slip: Slip) -> dict[str, Any]:
    """Without an amount where no known slip fits."""
    data = {key: value for key, value in vars(slip).items() if key != "amount_mm"} | {"readings": list(slip.readings)}
    return data if slip.amount_mm is None else data | {"amount_mm": float(slip.amount_mm)}


def _coded(item: Finding | Reason) -> dict[str, str]:
    return {"code": item.code, "text": item.text, "next": item.next}


def _order(order: Order) -> dict[str, Any]:
    data: dict[str, Any] = {
        "status": order.status,
        "reasons": [_coded(reason) for reason in order.reasons],
        "next": list(order.next),
    }
    if order.governing_width_mm is not None:
        data["governing_width_mm"] = float(order.governing_width_mm)
    if order.governing_reading is not None:
        data["governing_reading"] = order.governing_reading
    if order.door is not None:
        data["door"] = door_json(order.door)
    return data


def _number(value: float | None) -> float | None:
    return None if value is None else float(value)
