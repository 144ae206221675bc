"""The truth beside each photo of the ninth rooms, and the readings of the tape."""

from __future__ import annotations

from typing import Any

import numpy as np

from sample_images.studio import record
from sample_images.studio.camera import Camera

from .ninth_cards import numbered
from .ninth_plan import Plan, Reference

ORIGIN = "rendered for this project with Mitsuba 3 by ninth_rooms.py in tests/benchmarks/scenes; no real place"
LICENCE = "made for this project, same licence as the project"
SIDES = ("bottom", "right", "top", "left")
READINGS = ("width_top", "width_middle", "width_bottom", "height_left", "height_right", "diagonal_rising", "diagonal_falling")


def title(plan: Plan) -> str:
    return f"{plan.kind.capitalize()} of the ninth rooms, {plan.name.removeprefix('ninth_')}"


def truth(plan: Plan, camera: Camera, made: dict[str, Any]) -> dict[str, Any]:
    """All fields of a sample photograph, then layout and how it was made."""
    line = plumb_px(plan, camera)
    opening = plan.opening
    options = list(plan.options)
    if line is not None:
        options += ["--plumb-line", " ".join(f"{x:g},{y:g}" for x, y in line)]
    heights = opening.heights_of_widths(None if opening.head else opening.height_mm)
    return {
        "scene": title(plan),
        "seed": plan.number(),
        "origin": ORIGIN,
        "licence": LICENCE,
        "note": "; ".join(plan.note),
        "image": {"width": camera.width, "height": camera.height},
        "camera": {
            "f_px": round(camera.f_px, 5),
            "cx": round(camera.cx, 5),
            "cy": round(camera.cy, 5),
            "k1": round(camera.k1, 8),
            "k2": round(camera.k2, 8),
            "position_mm": _rounded(camera.position_mm, 5),
            "rotation": _rounded(camera.rotation, 10),
        },
        "opening": _opening(plan, camera),
        "sizes_mm": {name: round(value, 4) for name, value in sizes(plan).items()},
        "widths_at_mm": {name: round(value, 4) for name, value in heights.items()},
        "cards": [_card(card, camera, number) for number, card in enumerate(numbered(plan.references, camera), 1)],
        "edges_px": {name: _rounded(camera.project(_flat(points)), 4) for name, points in opening.edges().items()},
        "plumb_line_px": line,
        "expected": {"status": None, "suspect": [], "reasons": [], "findings": []},
        "command_options": options,
        "layout": plan.layout,
        "made": made,
    }


def sizes(plan: Plan) -> dict[str, float]:
    """The opening's own sizes; without a head the widths are at the heights that the asked height gives."""
    if plan.opening.head:
        return plan.opening.sizes()
    heights = plan.opening.heights_of_widths(plan.opening.height_mm)
    return {name: plan.opening.width_at(at) for name, at in heights.items()}


def readings(plan: Plan) -> str:
    """A careful tape: true to a millimetre, then rounded to a sixteenth or a millimetre."""
    rng = plan.rng(5)
    found = sizes(plan)
    lines = [f"# {title(plan)}", f'unit = "{plan.unit}"', "", "[readings]"]
    for name in READINGS:
        off = float(rng.uniform(-0.6, 0.6))
        if name in found:
            value = found[name] + off
            lines.append(f'{name} = "{round(value) if plan.unit == "mm" else record.inches(value)}"')
    return "\n".join(lines) + "\n"


def plumb_px(plan: Plan, camera: Camera) -> list | None:
    """Two points that a person set on the line, a few pixels off, both inside the picture."""
    if plan.plumb is None:
        return None
    top = plan.opening.corners[:, 1].max() - 20.0
    rough = plan.rng(6).uniform(-5, 5, (2, 2))
    return _rounded(camera.project(plan.plumb.ends(float(top))) + rough, 0)


def _opening(plan: Plan, camera: Camera) -> dict[str, Any]:
    r = plan.edge.radius
    found = record.opening_facts(plan.opening, camera, plan.edge.words())
    ends = {"left": r, "right": r, "curb": r if plan.four_sided else plan.curb_radius}
    if plan.opening.head:
        ends["head"] = r
    found["flat_ends_mm"] = ends
    return found


def _card(card: Reference, camera: Camera, number: int) -> dict[str, Any]:
    t = np.linspace(0.08, 0.92, 25)
    return {
        "number": number,
        "kind": card.kind,
        "size_mm": _rounded(np.array(card.size_mm), 4),
        "offset_mm": round(-card.mean_height, 4),
        "corners_px": _rounded(camera.project(card.corners()), 4),
        "edges_px": {side: _rounded(camera.project(card.side(side, t)), 4) for side in SIDES},
    }


def _flat(points: np.ndarray) -> np.ndarray:
    return np.column_stack([points, np.zeros(len(points))])


def _rounded(values: np.ndarray, digits: int) -> list:
    return np.round(np.asarray(values, float), digits).tolist()
