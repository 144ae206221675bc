"""The truth beside each photo (JSON) and the tape readings (TOML)."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import numpy as np

from .camera import Camera
from .opening import Opening
from .shot import Shot

ORIGIN = "rendered for this project with Mitsuba 3 from the scene of this name in the render.py beside it; no real place"
LICENCE = "made for this project, same licence as the project"
TAPE_SPREAD_MM = 0.6  # placing and reading the tape, before rounding to a sixteenth
INCH = 25.4


def truth(shot: Shot, camera: Camera) -> dict[str, Any]:
    cards = _cards(shot, camera)
    line = None if shot.plumb_line is None else _rounded(camera.project(shot.plumb_line.ends()) + _rough(shot.seed), 0)
    options = list(shot.options)
    if line is not None:
        options += ["--plumb-line", " ".join(f"{x:g},{y:g}" for x, y in line)]
    expected = shot.expected
    return {
        "scene": shot.title,
        "seed": shot.seed,
        "origin": ORIGIN,
        "licence": LICENCE,
        "note": shot.note,
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
        "opening": _opening(shot, camera),
        "sizes_mm": {name: round(value, 4) for name, value in shot.opening.sizes().items()},
        "widths_at_mm": {name: round(value, 4) for name, value in _widths_at(shot).items()},
        "cards": cards,
        "edges_px": {name: _rounded(camera.project(_flat(points)), 4) for name, points in shot.opening.edges().items()},
        "plumb_line_px": line,
        "expected": {
            "status": expected.status,
            "suspect": list(expected.suspect),
            "reasons": list(expected.reasons),
            "findings": list(expected.findings),
            **({"cannot_measure": expected.cannot_measure} if expected.cannot_measure else {}),
        },
        "command_options": options,
    }


def readings(shot: Shot) -> str:
    """Tape readings in inches: true to a millimetre, rounded to a sixteenth, and the slips that the scene is about."""
    rng = np.random.default_rng([shot.seed, 5])
    sizes = shot.opening.sizes()
    lines = [f"# {shot.title}", 'unit = "in"', "", "[readings]"]
    for name in shot.readings:
        off = rng.uniform(-TAPE_SPREAD_MM, TAPE_SPREAD_MM)
        if name in sizes:
            lines.append(f'{name} = "{inches(sizes[name] + off + shot.slips_mm.get(name, 0.0))}"')
    return "\n".join(lines) + "\n"


def inches(value_mm: float) -> str:
    """'55 7/8': to the nearest sixteenth."""
    whole, part = divmod(round(value_mm / INCH * 16), 16)
    return f"{whole} {Fraction(part, 16)}" if part else str(whole)


def _widths_at(shot: Shot) -> dict[str, float]:
    return shot.opening.heights_of_widths(None if shot.opening.head else shot.opening.height_mm)


def opening_facts(opening: Opening, camera: Camera, edge_taken: str) -> dict[str, Any]:
    """What is true of an opening as this camera sees it, and in words along which line its sizes are taken."""
    found: dict[str, Any] = {
        "corners_px": _rounded(camera.project(_flat(opening.corners)), 4),
        "corners_mm": _rounded(opening.corners, 4),
        "head": opening.head,
        "lean_left_mm_per_m": opening.lean_left,
        "lean_right_mm_per_m": opening.lean_right,
        "bow_left_mm": opening.bow_left_mm,
        "bow_right_mm": opening.bow_right_mm,
        "curb_level_mm_per_m": opening.curb_level,
        "taper_mm_per_m": round(opening.taper, 6),
        "rack_mm_per_m": round(opening.rack, 6),
        "plumb_rectangle_mm": round(opening.plumb_rectangle_mm(), 4),
        "edge_taken": edge_taken,
    }
    if opening.head:
        found["curb_against_head_mm_per_m"] = round(opening.head_slope - opening.curb_level, 6)
    return found


def _opening(shot: Shot, camera: Camera) -> dict[str, Any]:
    found = opening_facts(shot.opening, camera, "the arris: where the flat of the wall face ends")
    if shot.room.bullnose_mm:
        found["edge_taken"] = (
            f"the line where the flat of the wall face ends and the rounding of {shot.room.bullnose_mm:g} mm radius begins; "
            "the side walls stand one radius further in on either side; the readings were taken to the same lines"
        )
    if shot.room.bead_mm:
        found["edge_taken"] = f"the outer corner of a metal bead {shot.room.bead_mm:g} mm wide that is flush with the wall face"
    return found


def _cards(shot: Shot, camera: Camera) -> list[dict[str, Any]]:
    """Numbered as the program numbers them: left to right by centre."""
    ordered = sorted(shot.cards, key=lambda card: tuple(camera.project(card.outline()).mean(axis=0)))
    found = []
    for number, card in enumerate(ordered, 1):
        corners = card.outline()
        t = np.linspace(0.08, 0.92, 25)[:, None]
        sides = {
            name: _rounded(camera.project(corners[a] + t * (corners[b] - corners[a])), 4)
            for name, a, b in (("bottom", 0, 1), ("right", 1, 2), ("top", 3, 2), ("left", 0, 3))
        }
        found.append(
            {
                "number": number,
                "kind": card.kind,
                "size_mm": _rounded(np.array(card.size_mm), 4),
                "offset_mm": round(-card.front_z_mm, 4),
                "corners_px": _rounded(camera.project(corners), 4),
                "edges_px": sides,
            }
        )
    return found


def _flat(points: np.ndarray) -> np.ndarray:
    return np.column_stack([points, np.zeros(len(points))])


def _rough(seed: int) -> np.ndarray:
    """A person points at the line to within a few pixels."""
    return np.random.default_rng([seed, 6]).uniform(-5, 5, (2, 2))


def _rounded(values: np.ndarray, digits: int) -> list:
    return np.round(np.asarray(values, float), digits).tolist()
