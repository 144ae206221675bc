"""The truth and the readings of a twelfth room, and the rays that prove it."""

from __future__ import annotations

from typing import Any

import cv2
import drjit as dr
import mitsuba as mi
import numpy as np
from studio.camera import Camera
from studio.record import ORIGIN, inches, opening_facts
from studio.things import PlumbLine

from .twelfth_choice import matt
from .twelfth_plan import Plan
from .twelfth_refs import SIDES, Ref
from .twelfth_shell import Shell

LICENCE = "made for this project, same licence as the project"
RIM_MM = 0.3
READING_MM = 0.2  # on top of the rounding to a sixteenth of an inch
MEASURED_SD_MM = 0.15
TITLES = {"shower": "shower", "tub": "tub", "doorway": "doorway", "window": "window recess", "niche": "niche"}
READINGS = ("width_top", "width_middle", "width_bottom", "height_left", "height_right", "diagonal_rising", "diagonal_falling")


def title(plan: Plan) -> str:
    return f"Room {plan.deal.number} {TITLES[plan.deal.kind]}"


def plumb(plan: Plan) -> PlumbLine | None:
    if plan.plumb_x is None:
        return None
    tone = ((0.03, 0.03, 0.03), (0.8, 0.55, 0.05), (0.75, 0.1, 0.2))[plan.deal.number // 2 % 3]
    top = plan.shell.opening.height_mm + plan.shell.side.outer_mm + 45
    return PlumbLine(plan.plumb_x, top, 45.0, matt(tone), z_mm=4.0, thickness_mm=1.8)


def truth(plan: Plan, camera: Camera) -> dict[str, Any]:
    opening, deal = plan.shell.opening, plan.deal
    line = plumb(plan)
    pointed = None
    if line is not None:
        pointed = np.round(camera.project(line.ends()) + deal.stream(8).uniform(-5, 5, (2, 2)), 0)
    flat = {name: np.column_stack([p, np.zeros(len(p))]) for name, p in opening.edges().items()}
    return {
        "scene": title(plan),
        "seed": deal.seed,
        "layout": deal.layout,
        "origin": ORIGIN,
        "licence": LICENCE,
        "note": f"{deal.layout}: drawn at random; every reading is right",
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
        "opening": opening_facts(opening, camera, f"the arris: {plan.shell.side.words}"),
        "sizes_mm": {name: round(value, 4) for name, value in opening.sizes().items()},
        "widths_at_mm": {name: round(value, 4) for name, value in opening.heights_of_widths().items()},
        "cards": [_card(number, ref, camera) for number, ref in enumerate(numbered(plan, camera), 1)],
        "edges_px": {name: _rounded(camera.project(points), 4) for name, points in flat.items()},
        "plumb_line_px": None if pointed is None else pointed.tolist(),
        "expected": {"status": None, "suspect": [], "reasons": [], "findings": []},
        "command_options": _options(plan, camera, pointed),
        "made": {
            "kind": deal.kind,
            "edge": deal.edge,
            "light": deal.scheme,
            "attempt": plan.attempt,
            "prints": [ref.looks for ref in numbered(plan, camera)],
            "tape": [ref.tape for ref in numbered(plan, camera)],
        },
    }


def numbered(plan: Plan, camera: Camera) -> list[Ref]:
    """Left to right in the picture, as cards are numbered."""
    return sorted(plan.refs, key=lambda ref: tuple(camera.project(ref.outline()).mean(axis=0)))


def _card(number: int, ref: Ref, camera: Camera) -> dict[str, Any]:
    return {
        "number": number,
        "kind": ref.kind,
        "size_mm": _rounded(np.array(ref.size_mm), 4),
        "offset_mm": round(-ref.front_z, 4),
        "corners_px": _rounded(camera.project(ref.outline()), 4),
        "edges_px": {name: _rounded(camera.project(ref.side(a, b)), 4) for name, a, b in SIDES},
    }


def _options(plan: Plan, camera: Camera, pointed: np.ndarray | None) -> list[str]:
    """Bank cards by their standard; sheets as a steel rule gave their sides; all of them stated to lie in the plane."""
    refs = numbered(plan, camera)
    rng = plan.deal.stream(9)
    out: list[str] = []
    if refs[0].kind == "id-1":
        out += ["--card", "id-1@0+-0.5"]
    else:
        for number, ref in enumerate(refs, 1):
            mark = f"#{number}" if len(refs) > 1 else ""
            a, b = (round(float(side + rng.normal(0, MEASURED_SD_MM)), 1) for side in ref.size_mm)
            out += ["--card", f"{ref.kind}{mark}@0+-0.5={a:g}x{b:g}mm+-{MEASURED_SD_MM:g}"]
    if pointed is not None:
        out += ["--plumb-line", " ".join(f"{x:g},{y:g}" for x, y in pointed)]
    return out


def readings(plan: Plan) -> str:
    rng = plan.deal.stream(10)
    sizes = plan.shell.opening.sizes()
    lines = [f"# {title(plan)}", 'unit = "in"', "", "[readings]"]
    lines += [f'{name} = "{inches(sizes[name] + rng.uniform(-READING_MM, READING_MM))}"' for name in READINGS]
    return "\n".join(lines) + "\n"


def _rounded(values: np.ndarray, digits: int) -> list:
    return list(np.round(np.asarray(values, float), digits).tolist())


def landed(scene: mi.Scene, camera: Camera, points: np.ndarray) -> np.ndarray:
    """Where the rays through the pixels of these points meet the scene."""
    pixels = camera.project(points)
    u, v = mi.Float(pixels[:, 0]), mi.Float(pixels[:, 1])
    start = mi.Point3f(*(float(p) for p in camera.position_mm))
    hit = scene.ray_intersect(mi.Ray3f(start, dr.normalize(mi.Vector3f(*camera.directions(u, v)))))
    return np.array(hit.p).T


def prove(plan: Plan, scene: mi.Scene) -> dict[str, float]:
    """How far rays miss what the truth says (mm), and the worst share hidden of an edge, of a card, of its sides."""
    camera, shell = plan.camera, plan.shell
    outside: list[np.ndarray] = []
    wrong, hidden = 0, 0.0
    for name, line in shell.opening.edges(160).items():
        away = {"left": (-1, 0), "right": (1, 0), "curb": (0, -1), "head": (0, 1)}[name]
        line = line[2:-2]
        out = np.column_stack([line + 0.35 * np.array(away), np.zeros(len(line))])
        into = np.column_stack([line - 0.35 * np.array(away), np.zeros(len(line))])
        got, got_in = landed(scene, camera, out), landed(scene, camera, into)
        miss = np.linalg.norm(got - out, axis=1)
        before = got[:, 2] > 0.6
        hidden = max(hidden, float(before.mean()))
        outside.append(miss[~before])
        behind = got_in[:, 2] < _depth_at(shell, name, 0.35)
        wrong += int((~behind & ~before).sum())
    card_off, card_hidden, card_past = _prove_cards(plan, scene)
    return {
        "face": float(np.concatenate(outside).max()),
        "inside wrong": float(wrong),
        "edge hidden": hidden,
        "card": card_off,
        "card hidden": card_hidden,
        "card wrong": card_past,
    }


def _depth_at(shell: Shell, name: str, inward: float) -> float:
    """The profile's depth at a little less than this, so that a ray which slants in still passes."""
    profile = shell.lower if name == "curb" else shell.side.profile
    if profile[-1, 0] < inward:
        return -0.02
    return float(np.interp(0.4 * inward, profile[:, 0], profile[:, 1])) + 1e-4


def _prove_cards(plan: Plan, scene: mi.Scene) -> tuple[float, float, float]:
    """Worst miss within a rim (mm), worst share of a side or front that is hidden, rays past a rim that meet the card."""
    off, hidden, past = 0.0, 0.0, 0
    t, zero = np.linspace(0.1, 0.9, 30), np.zeros(30)
    for ref in plan.refs:
        ex, ey = RIM_MM / np.array(ref.size_mm)
        for a, b, da, db in ((t, zero, 0, ey), (t, zero + 1, 0, -ey), (zero, t, ex, 0), (zero + 1, t, -ex, 0)):
            within, beyond = ref.points(a + da, b + db), ref.points(a - da, b - db)
            miss = np.linalg.norm(landed(scene, plan.camera, within) - within, axis=1)
            hidden = max(hidden, float((miss > 0.06).mean()))
            off = max(off, float(miss[miss < 0.06].max(initial=0)))
            past += int((np.linalg.norm(landed(scene, plan.camera, beyond) - beyond, axis=1) < 0.06).sum())
        u, v = (w.ravel() for w in np.meshgrid(np.linspace(0.03, 0.97, 20), np.linspace(0.03, 0.97, 20)))
        points = ref.points(u, v)
        got = landed(scene, plan.camera, points)
        hidden = max(hidden, float((got[:, 2] > points[:, 2] + 3).mean()) * 10)
    return off, hidden, float(past)


def drawn_over(upright: np.ndarray, facts: dict[str, Any]) -> np.ndarray:
    """The photo with thin lines of the truth: outline red, cards green, corners circled."""
    out = np.ascontiguousarray(upright[..., ::-1])
    for points in facts["edges_px"].values():
        cv2.polylines(out, [_fixed(points)], False, (40, 40, 255), 1, cv2.LINE_AA, 4)
    for card in facts["cards"]:
        cv2.polylines(out, [_fixed(card["corners_px"])], True, (60, 230, 60), 1, cv2.LINE_AA, 4)
    for x, y in facts["opening"]["corners_px"]:
        cv2.circle(out, (round(x), round(y)), 7, (255, 120, 0), 1, cv2.LINE_AA)
    return out


def _fixed(points: list) -> np.ndarray:
    return np.round(np.array(points) * 16).astype(np.int32)
