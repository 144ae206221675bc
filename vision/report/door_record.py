"""The order for a kind of door as plain data: what is added under `order.door`. Numbers are unrounded."""

from __future__ import annotations

from typing import Any

from vision.judge.door_records import DoorOrder, Gap, Hold, OrderSize, Pane, Room
from vision.judge.doors import Number


def door_json(made: DoorOrder) -> dict[str, Any]:
    """Sizes given or withheld, panes, gaps, holds with their limits, questions, reminders, and every number with its owner."""
    data: dict[str, Any] = {
        "kind": made.door.kind,
        "title": made.door.title,
        "opening": made.door.opening,
        "sizes": [_size(size) for size in made.sizes],
        "panes": [_pane(pane) for pane in made.panes],
        "gaps": [_gap(gap) for gap in made.gaps],
        "holds": [_hold(hold) for hold in made.holds],
        "questions": list(made.questions),
        "reminders": [{"text": r.text, "trust": r.trust, "source": r.source} for r in made.door.reminders],
        "numbers": [number_json(number) for number in made.used],
    }
    if made.hinge_wall is not None:
        data["hinge_wall"] = made.hinge_wall
        data["either_wall"] = made.either_wall
    if made.door.hardware is not None:
        data["hardware"] = made.door.hardware
    return data


def number_json(number: Number) -> dict[str, Any]:
    """One number: as written, its value in its unit, how far to trust it, and whose it is."""
    return {
        "key": number.key,
        "text": number.text,
        "value": float(number.value),
        "unit": number.unit,
        "trust": number.trust,
        "source": number.source,
        "owner": number.owner,
    }


def _size(size: OrderSize) -> dict[str, Any]:
    data: dict[str, Any] = {
        "name": size.name,
        "status": "withheld" if size.value_mm is None else "given",
        "rule": size.rule,
        "because": list(size.withheld),
    }
    if size.value_mm is not None:
        data["value_mm"] = float(size.value_mm)
    if size.room is not None:
        data["room"] = _room(size.room)
    return data


def _room(room: Room) -> dict[str, float]:
    return {
        "gap_mm": float(room.gap_mm),
        "rounding_mm": float(room.rounding_mm),
        "glass_mm": float(room.glass_mm),
        "tape_95_mm": float(room.tape_95_mm),
        "shape_95_mm": float(room.shape_95_mm),
        "same_way_mm": float(room.same_way_mm),
        "left_mm": float(room.left_mm),
    }


def _pane(pane: Pane) -> dict[str, Any]:
    data: dict[str, Any] = {
        "name": pane.name,
        "thickness": pane.thickness,
        "bottom_mm": float(pane.bottom_mm),
        "top_mm": float(pane.top_mm),
        "left_mm": float(pane.left_mm),
        "right_mm": float(pane.right_mm),
        "area_m2": float(pane.area_m2),
        "mass_low_kg": float(pane.mass_low_kg),
        "mass_kg": float(pane.mass_kg),
        "people": pane.people,
    }
    if pane.tapered_edge is not None:
        data["tapered_edge"] = pane.tapered_edge
        data["square_edge"] = pane.square_edge
    if pane.hinges is not None:
        data["hinges"] = pane.hinges
    return data


def _gap(gap: Gap) -> dict[str, Any]:
    ends = {"edge": gap.edge, "ends": list(gap.ends), "first_mm": float(gap.first_mm), "second_mm": float(gap.second_mm)}
    return ends if gap.middle_mm is None else ends | {"middle_mm": float(gap.middle_mm)}


def _hold(hold: Hold) -> dict[str, Any]:
    data: dict[str, Any] = {"code": hold.code, "text": hold.text, "next": hold.next, "decides": hold.decides}
    if hold.limit is not None:
        data["limit"] = number_json(hold.limit)
    return data
