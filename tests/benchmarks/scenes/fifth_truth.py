"""The truth of a room in the samples' format, with the layout and what was drawn."""

from __future__ import annotations

from typing import Any

from .fifth_trace import Scene

from studio import record  # isort: skip
from studio.camera import Camera  # isort: skip
from studio.room import Finish, Room  # isort: skip
from studio.shot import Expected, Shot  # isort: skip
from studio.surfaces import plain  # isort: skip

ORIGIN = "rendered for this project with Mitsuba 3 from fifth_rooms.py; no real place"


def shot_of(scene: Scene) -> Shot:
    """What the studio's record needs; the studio's own room stands empty."""
    plan = scene.plan
    nothing = plain((0.5, 0.5, 0.5))
    return Shot(
        name=plan.name,
        title=f"Room {plan.seed % 89 + 10} {plan.place}",
        seed=plan.seed,
        opening=plan.opening,
        room=Room(Finish(*([nothing] * 9)), ()),
        camera=scene.camera,
        cards=tuple(item.card for item in scene.hung),
        expected=Expected(None),
        options=scene.options,
        plumb_line=scene.line,
        equivalent_mm=scene.equivalent_mm,
        note=f"{scene.words}; corner {plan.corner.kind}; light {plan.light}; no references: {', '.join(scene.decoys) or 'none'}",
    )


def truth(scene: Scene, shot: Shot, seen: Camera) -> dict[str, Any]:
    facts: dict[str, Any] = record.truth(shot, seen)
    plan = scene.plan
    facts["origin"] = ORIGIN
    facts["layout"] = plan.layout
    facts["place"] = plan.place
    facts["corner"] = plan.corner.kind
    facts["light"] = plan.light
    facts["not_references"] = list(scene.decoys)
    facts["opening"]["edge_taken"] = f"sides and head: {plan.corner.edge_taken}; below: {plan.base.edge_taken}"
    return facts
