"""Thirty-two rooms by a tenth hand, who has not seen the program: photographs with exact truth.

python -m tests.benchmarks.scenes.tenth_rooms --out FOLDER/tenth --variant cuda_ad_rgb --samples 32 --per-pass 4 --part 1/3
"""

from __future__ import annotations

import argparse
import json
import time
from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import mitsuba as mi
import numpy as np

from sample_images.studio import record, trace
from sample_images.studio.camera import Camera
from sample_images.studio.shapes import Builder
from sample_images.studio.shot import Expected, smaller
from sample_images.studio.surfaces import plain
from sample_images.studio.things import hang_plumb_line

from . import tenth_plan, tenth_raster
from .tenth_plan import NAMES, SEED, Room
from .tenth_things import Reference, clutter, furnish_behind, hang
from .tenth_walls import Finishes, raise_walls, weigh

ATTEMPTS = 40
MOST_HIDDEN = 0.1  # of an edge
READINGS = ("width_top", "width_middle", "width_bottom", "height_left", "height_right", "diagonal_rising", "diagonal_falling")
ORIGIN = "rendered for this project with Mitsuba 3 by tests/benchmarks/scenes/tenth_rooms.py; no real place"
PARTS = "face side soffit back niche biscuit grout nose trim silicone stone wood base riser tray floor ceiling walls dado"


def build(room: Room, finish: Finishes) -> mi.Scene:
    """Everything in the room, ready for rays."""
    made, rng = Builder(), np.random.default_rng([room.seed, 4])
    raise_walls(made, room.site, finish)
    furnish_behind(made, room.site, finish, rng)
    taken = [_keep_clear(card) for card in room.references]
    for card in room.references:
        hang(made, card)
    if room.plumb_line:
        hang_plumb_line(made, room.plumb_line)
    clutter(made, room.site, taken, rng, finish)
    light(made, room)
    return mi.load_dict({"type": "scene", **made.shapes})


def light(build: Builder, room: Room) -> None:
    """Lamps of one of six moods; what lies behind a wet opening or a wardrobe has its own."""
    site, rng = room.site, np.random.default_rng([room.seed, 3])
    w, top = site.opening.width_mm, site.ceiling_y - 6
    warm, day, cool = np.array([1.0, 0.8, 0.58]), np.array([1.0, 0.96, 0.9]), np.array([0.82, 0.92, 1.06])
    strength = {"panels": 11.0, "warm and cool": 7.0, "downlights": 3.0, "flash": 2.0}.get(room.mood, 2.5)
    tint = warm if room.mood == "warm and cool" or rng.random() < 0.25 else day
    for x, z in ((w / 2 - rng.uniform(200, 700), 1400.0), (w / 2 + rng.uniform(200, 700), rng.uniform(1700, 2500))):
        if z == 1400.0 or room.mood == "panels":
            build.lamp((x, top, z), (0, -1, 0), (420, 420), tuple((1.0 if room.mood == "panels" else 1.7) * strength * tint))
            weigh(build, 1.0 if room.mood in ("panels", "warm and cool", "downlights") else 0.4)
    if room.mood.startswith("daylight") or room.mood == "warm and cool":
        left = room.mood == "daylight left" or (room.mood == "warm and cool" and rng.random() < 0.5)
        x = 3 - site.beyond_mm[0] if left else w + site.beyond_mm[1] - 3
        build.lamp((x, site.floor_y + 1500, rng.uniform(1500, 2300)), (1 if left else -1, 0, 0), (1000, 1200), tuple(4.5 * cool))
        weigh(build, 1.5)
    if room.mood == "downlights":
        count = int(rng.integers(2, 5))
        for k in range(count):
            x = (k + 0.5) / count * (w + 900) - 450
            _spot(build, (x, top, rng.uniform(170, 260)), (x, site.floor_y, 240.0), 7.5e5 * warm, 42)
    if room.mood == "flash":
        at = room.camera.position_mm + np.array([22.0, 30.0, 0.0])
        _spot(build, tuple(at), (w / 2, site.opening.height_mm / 2, 0.0), 4.5e6 * day, 60)
    if site.behind in ("shower", "tub", "wardrobe"):
        y = site.opening.height_mm - 12 if site.lowered else top
        glow = rng.choice([6.0, 12.0, 20.0]) * (warm if rng.random() < 0.5 else day)
        build.lamp((w / 2 + 40, y, -site.depth_mm * 0.5), (0, -1, 0), (240, 240), tuple(glow))
        weigh(build, 0.3)


def _spot(build: Builder, at: tuple, target: tuple, power: np.ndarray, half_deg: float) -> None:
    up = [0.0, 0.0, 1.0] if abs(at[0] - target[0]) < 1 else [0.0, 1.0, 0.0]
    place = mi.ScalarTransform4f().look_at(list(at), list(target), up)
    glow = {"type": "rgb", "value": [float(p) for p in power]}
    build.add({"type": "spot", "to_world": place, "intensity": glow, "cutoff_angle": half_deg, "beam_width": 0.55 * half_deg})
    weigh(build, 1.2 if half_deg > 50 else 0.4)


def _keep_clear(card: Reference) -> tuple[float, float, float, float]:
    low, high = card.outline().min(axis=0) - 25, card.outline().max(axis=0) + 25
    return float(low[0]), float(high[0]), float(low[1]), float(high[1])


def faults(room: Room, scene: mi.Scene) -> list[str]:
    """What the rays say against the truth: hidden corners, edges, cards, or an edge that is not where it should be."""
    found, o, camera = [], room.site.opening, room.camera
    middle = np.array([*o.corners.mean(axis=0), 0.0])
    for name, edge in o.edges(61).items():
        points = np.column_stack([edge, np.zeros(len(edge))])
        inward = {"left": [1.5, 0, 0], "right": [-1.5, 0, 0], "curb": [0, 1.5, 0], "head": [0, -1.5, 0]}[name]
        landed = trace.where_pixels_land(scene, camera, camera.project(points[1:-1] + inward))
        line = np.zeros(59, bool) if room.plumb_line is None else np.abs(points[1:-1, 0] - room.plumb_line.x_mm) < 12
        hidden = (landed[:, 2] > 1.0) & ~(line & (name in ("head", "curb")))
        if hidden.mean() > MOST_HIDDEN:
            found.append(f"{name} hidden for {hidden.mean():.0%}")
        outside = trace.where_pixels_land(scene, camera, camera.project(points[1:-1] - np.array(inward) * 2))
        if name != "curb" and (np.abs(outside[:, 2]) > 18).mean() > MOST_HIDDEN:
            found.append(f"{name}: {np.abs(outside[:, 2]).max():.0f} mm from the face beside it")
    corners = np.column_stack([o.corners, np.zeros(4)])
    inside = corners + 3.0 * np.sign(middle - corners) * [1, 1, 0]
    if (trace.where_pixels_land(scene, camera, camera.project(inside))[:, 2] > 2).any():
        found.append("a corner is hidden")
    for number, card in enumerate(room.references, 1):
        flat = _rim(card, 12, 0.94)
        landed = trace.where_pixels_land(scene, camera, camera.project(card.points(flat)))
        if np.linalg.norm(landed - card.points(flat), axis=1).max() > 1.2:
            found.append(f"reference {number} is covered")
    return found


def _rim(card: Reference, count: int, part: float) -> np.ndarray:
    """Places round a card, close to its sides."""
    t = np.linspace(-0.88, 0.88, count)
    one = np.full(count, part)
    places = [np.stack(p, 1) for p in ((t, one), (t, -one), (one, t), (-one, t))]
    return np.concatenate([*places, np.zeros((1, 2))]) * np.array(card.size_mm) / 2


def settle(name: str) -> tuple[Room, list[str]]:
    """The first attempt whose truth the rays bear out."""
    said: list[str] = []
    for attempt in range(ATTEMPTS):
        room = tenth_plan.plan(name, attempt)
        if room is None:
            said.append("does not fit")
            continue
        scene = build(room, dict.fromkeys(PARTS.split(), plain((0.5, 0.5, 0.5))))
        wrong = faults(room, scene)
        if not wrong:
            return room, said
        said.append("; ".join(wrong))
    raise RuntimeError(f"{name}: no attempt came out right: {said}")


def truth(room: Room, camera: Camera, said: list[str]) -> tuple[dict[str, Any], str]:
    """The studio's record of this room, and the tape readings."""
    site = room.site
    words = f"{room.edge}: the side walls' surfaces, carried forward into the plane of the wall face; base: {site.base}"
    if site.overhang_mm:
        words += f", whose top stands {site.overhang_mm:.0f} mm in front of that plane: the curb line is on its top, in the plane"
    shot = SimpleNamespace(
        title=f"Tenth rooms, {room.name[6:].replace('_', ' ')}", seed=room.seed, opening=site.opening, cards=room.references,
        plumb_line=room.plumb_line, options=room.options, expected=Expected(None), readings=READINGS, slips_mm={},
        note=f"{site.behind} behind, {room.edge}, {site.base}, {room.mood}", room=SimpleNamespace(bullnose_mm=0, bead_mm=0),
    )  # fmt: skip
    facts = record.truth(shot, camera)  # type: ignore[arg-type]
    facts["opening"]["edge_taken"] = words
    for fact, card in zip(facts["cards"], room.references, strict=True):
        fact["edges_px"] = {n: camera.project(card.points(p)).round(4).tolist() for n, p in card.sides().items()}
    facts |= {
        "layout": room.layout, "seed": SEED, "origin": ORIGIN,
        "made": {
            "attempt": room.attempt, "because": said, "edge": room.edge, "behind": site.behind, "base": site.base,
            "light": room.mood, "overhang_mm": round(site.overhang_mm, 1), "equivalent_mm": round(room.equivalent_mm, 1),
        },
    }  # fmt: skip
    return facts, record.readings(shot)  # type: ignore[arg-type]


def finish(room: Room, camera: Camera, linear: np.ndarray, said: list[str], out: Path) -> None:
    upright = tenth_raster.photograph(linear, room.phone, room.seed)
    (out / f"{room.name}.jpg").write_bytes(tenth_raster.jpeg(upright, room.phone, room.equivalent_mm))
    write_truth(room, camera, said, out)


def write_truth(room: Room, camera: Camera, said: list[str], out: Path) -> None:
    facts, tape = truth(room, camera, said)
    (out / f"{room.name}.json").write_text(json.dumps(facts, indent=1, separators=(",", ": ")) + "\n")
    (out / f"{room.name}.readings.toml").write_text(tape)


def main() -> None:
    options = _options()
    mi.set_variant(options.variant)
    mi.set_log_level(mi.LogLevel.Error)
    trace.BOUNCES = 6
    part, parts = (int(n) for n in options.part.split("/"))
    names = [n for k, n in enumerate(NAMES) if k % parts == part - 1 and (not options.only or n in options.only)]
    waiting: list[Future[None]] = []
    with ThreadPoolExecutor(3) as darkroom:  # develops while the next room is traced
        for name in names:
            if options.missing and (options.out / f"{name}.json").exists():
                continue
            started = time.monotonic()
            room, said = settle(name)
            camera = smaller(room.camera, options.scale)
            if options.truth_only:
                write_truth(room, camera, said, options.out)
            else:
                scene = build(room, tenth_plan.finishes(room))
                linear = trace.expose(scene, camera, options.samples, room.seed % 100000, options.per_pass)
                waiting.append(darkroom.submit(finish, room, camera, linear, said, options.out))
            print(
                f"{name}: {time.monotonic() - started:.0f} s, attempt {room.attempt}, {room.edge}, {room.site.behind}", flush=True
            )
        for done in waiting:
            done.result()


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description="Renders the tenth author's rooms with their truth.")
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--variant", default="llvm_ad_rgb", help="Mitsuba variant, cuda_ad_rgb or llvm_ad_rgb")
    parser.add_argument("--samples", type=int, default=32, help="light paths per pixel")
    parser.add_argument("--per-pass", type=int, default=4, help="of these at a time: fewer need less memory")
    parser.add_argument("--part", default="1/1", help="I/N: every Nth room")
    parser.add_argument("--only", nargs="*", default=[], metavar="NAME", choices=NAMES)
    parser.add_argument("--scale", type=float, default=1.0, help="smaller pictures for a trial")
    parser.add_argument("--truth-only", action="store_true", help="rays and truth, no picture")
    parser.add_argument("--missing", action="store_true", help="leave out what is there")
    options = parser.parse_args()
    options.out.mkdir(parents=True, exist_ok=True)
    return options


if __name__ == "__main__":
    main()
