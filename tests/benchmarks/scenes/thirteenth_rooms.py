"""The thirteenth family of random rooms: bathrooms of a small guest house and everything wet, and some other openings.

python -m tests.benchmarks.scenes.thirteenth_rooms --out FOLDER --variant cuda_ad_rgb --samples 32 --per-pass 4 --part 1/3
"""

from __future__ import annotations

import argparse
import gc
import io
import json
import time
import traceback
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import cv2
import mitsuba as mi
import numpy as np
from PIL import Image

from sample_images.studio import develop, record
from sample_images.studio.camera import Camera
from sample_images.studio.shapes import Builder
from sample_images.studio.shot import smaller
from sample_images.studio.things import PlumbLine, hang_card, hang_plumb_line

SEED = 718205936
LAYOUTS = ("sheet", "opposite", "four", "letters")
ATTEMPTS = 14
READINGS = ("width_top", "width_middle", "width_bottom", "height_left", "height_right", "diagonal_rising", "diagonal_falling")
MOST_HIDDEN = {"left": 0.4, "right": 0.4, "curb": 0.5, "head": 0.4}


@dataclass(frozen=True)
class Job:
    name: str
    seed: int
    number: int
    layout: str


@dataclass
class Room:
    """A room that has been drawn, built and proved."""

    job: Job
    plan: Any
    refs: Any
    camera: Camera
    mm: float
    scene: mi.Scene
    line: PlumbLine | None
    made: dict[str, object]


def jobs(seed: int, rooms: int) -> list[Job]:
    mark = "" if seed == SEED else f"_{seed}"
    found = []
    for k in range(rooms):
        layout, number = (LAYOUTS[k // 8 % 4], k % 8) if seed == SEED and rooms == 32 else (LAYOUTS[k % 4], k // 4)
        found.append(Job(f"thirteenth{mark}_{layout}_{number:02d}", seed, LAYOUTS.index(layout) * 100000 + number, layout))
    return found


def build(job: Job, attempt: int, tidy: bool) -> Room:
    """Draws everything, builds it and proves the truth; raises UnfitError where it cannot be."""
    from . import thirteenth_light as light
    from . import thirteenth_plan as plans
    from . import thirteenth_proof as proof
    from . import thirteenth_view as view
    from .thirteenth_clutter import Cluttered
    from .thirteenth_shell import Shell

    key = [job.seed, job.number, attempt]
    rng = np.random.default_rng(key)
    kind = plans.kind_of(np.random.default_rng([*key[:2], attempt // 5]))
    plan = plans.draw(rng, job.layout, kind)
    refs = view.references(rng, plan, job.layout)
    seen, mm = view.camera(rng, plan, refs)
    made = Builder()
    Shell(made, plan).all()
    worst = proof.prove(plan, mi.load_dict({"type": "scene", **made.shapes}), seen, refs)
    for card in refs.cards:
        hang_card(made, card)
    things = Cluttered(made, plan, np.random.default_rng([*key, 1]))
    inside = things.fill()
    around = things.dress(refs.rects())
    line = plumb_line(np.random.default_rng([*key, 2]), plan) if job.number % 2 == 0 else None
    if line:
        hang_plumb_line(made, line)
    clutter = [] if tidy else things.clutter()
    lights = light.Lamps(made, plan, seen, np.random.default_rng([*key, 3])).light()
    scene = mi.load_dict({"type": "scene", **made.shapes})
    hidden = proof.covered(plan, scene, seen, refs)
    for name, share in hidden.items():
        if share > MOST_HIDDEN.get(name, 0.0):
            raise plans.UnfitError(f"{name} is hidden: {share:.2f}")
    facts = {
        "kind": plan.kind, "bottom": plan.bottom, "head": plan.head, "edges": {k: p.name for k, p in plan.profiles.items()},
        "finishes": plan.names, "light": lights, "inside": inside, "around": around, "clutter": clutter, "attempt": attempt,
        "prints": list(refs.prints), "hidden": {k: round(v, 2) for k, v in hidden.items() if v}, "worst_mm": round(worst, 4),
    }  # fmt: skip
    return Room(job, plan, refs, seen, mm, scene, line, facts)


def plumb_line(rng: np.random.Generator, plan: Any) -> PlumbLine | None:
    from .thirteenth_surfaces import plain

    tall = plan.opening.height_mm
    if tall < 700 or plan.head == "soffit":
        return None
    rgb = ((0.8, 0.75, 0.6), (0.6, 0.1, 0.08), (0.1, 0.1, 0.1), (0.75, 0.6, 0.05))[int(rng.integers(4))]
    top = tall + float(rng.uniform(20, 70)) if plan.opening.head else 0.97 * tall
    return PlumbLine(
        float(rng.uniform(0.2, 0.8)) * plan.opening.width_mm, top, float(rng.uniform(0.1, 0.3)) * tall, plain(rgb), 6.0
    )


def drawn(job: Job) -> Room:
    """The first attempt that holds: with clutter, else without."""
    from .thirteenth_plan import UnfitError

    reasons = []
    for attempt in range(ATTEMPTS):
        for tidy in (False, True):
            try:
                return build(job, attempt, tidy)
            except UnfitError as why:
                reasons.append(f"{attempt}: {why}")
                if "hidden" not in str(why):
                    break
            finally:
                gc.collect()
    raise RuntimeError("no attempt held: " + "; ".join(reasons))


def truth(room: Room, seen: Camera) -> dict[str, Any]:
    plan, opening = room.plan, room.plan.opening
    words = {side: plan.profiles[side].taken for side in ("left", "right", "head", "curb")}
    taken = "; ".join(f"{side}: {text}" for side, text in words.items() if side != "head" or plan.head == "lintel")
    rounded = lambda values, digits=4: np.round(np.asarray(values, float), digits).tolist()  # noqa: E731
    flat = lambda points: np.column_stack([points, np.zeros(len(points))])  # noqa: E731
    at = opening.heights_of_widths(None if opening.head else opening.height_mm)
    options = list(room.refs.options)
    line = None
    if room.line:
        ends = seen.project(room.line.ends()) + np.random.default_rng([room.job.seed, room.job.number, 9]).uniform(-2, 2, (2, 2))
        line = rounded(ends, 0)
        options += ["--plumb-line", " ".join(f"{x:g},{y:g}" for x, y in line)]
    return {
        "scene": f"Room {room.job.number % 100000 + 1} {plan.kind}",
        "seed": room.job.seed,
        "layout": room.job.layout,
        "origin": record.ORIGIN.replace("render.py", "thirteenth_rooms.py"),
        "licence": record.LICENCE,
        "note": f"{room.job.layout}: drawn at random; every reading is right",
        "image": {"width": seen.width, "height": seen.height},
        "camera": {
            "f_px": round(seen.f_px, 5), "cx": round(seen.cx, 5), "cy": round(seen.cy, 5),
            "k1": round(seen.k1, 8), "k2": round(seen.k2, 8),
            "position_mm": rounded(seen.position_mm, 5), "rotation": rounded(seen.rotation, 10),
        },
        "opening": record.opening_facts(opening, seen, taken),
        "sizes_mm": {name: round(value, 4) for name, value in opening.sizes().items()},
        "widths_at_mm": {name: round(value, 4) for name, value in at.items()},
        "cards": [_card(number, card, seen, rounded) for number, card in enumerate(room.refs.cards, 1)],
        "edges_px": {name: rounded(seen.project(flat(points))) for name, points in opening.edges().items()},
        "plumb_line_px": line,
        "expected": {"status": None, "suspect": [], "reasons": [], "findings": []},
        "command_options": options,
        "made": room.made,
    }  # fmt: skip


def _card(number: int, card: Any, seen: Camera, rounded: Any) -> dict[str, Any]:
    corners, t = card.outline(), np.linspace(0.08, 0.92, 25)[:, None]
    sides = (("bottom", 0, 1), ("right", 1, 2), ("top", 3, 2), ("left", 0, 3))
    return {
        "number": number, "kind": card.kind, "size_mm": rounded(card.size_mm), "offset_mm": round(-card.front_z_mm, 4),
        "corners_px": rounded(seen.project(corners)),
        "edges_px": {name: rounded(seen.project(corners[a] + t * (corners[b] - corners[a]))) for name, a, b in sides},
    }  # fmt: skip


def tape(room: Room) -> str:
    rng = np.random.default_rng([room.job.seed, room.job.number, 5])
    sizes = room.plan.opening.sizes()
    lines = [f"# Room {room.job.number % 100000 + 1} {room.plan.kind}", 'unit = "in"', "", "[readings]"]
    for name in READINGS:
        off = rng.uniform(-record.TAPE_SPREAD_MM, record.TAPE_SPREAD_MM)
        if name in sizes:
            lines.append(f'{name} = "{record.inches(sizes[name] + off)}"')
    return "\n".join(lines) + "\n"


def photograph(room: Room, options: argparse.Namespace) -> str:
    """Traces, develops and writes one room; what was done in words."""
    from . import thirteenth_proof as proof
    from . import thirteenth_view as view

    job, seen = room.job, smaller(room.camera, options.scale)
    key = job.seed % 100003 * 7 + job.number
    linear = proof.expose(room.scene, seen, (options.samples, options.per_pass, key))
    rng = np.random.default_rng([job.seed, job.number, 4])
    dark = view.darkroom(rng)
    linear = np.minimum(linear, 3 * np.percentile(linear, 88))  # panes and lamps burn out
    cast = np.minimum(linear, np.percentile(linear, 97)).mean(axis=(0, 1))
    linear *= (cast.mean() / cast) ** rng.uniform(0.2, 0.75)  # as a phone balances what it sees
    upright = view.contrasted(develop.develop(linear, dark.how, key), dark.contrast)
    first = develop.write_jpeg(upright, dark.how, room.mm)
    with Image.open(io.BytesIO(first)) as opened:
        exif = opened.info.get("exif", b"")
    sink = io.BytesIO()
    Image.fromarray(upright).save(sink, "JPEG", quality=dark.quality, subsampling=dark.subsampling, optimize=True, exif=exif)
    facts = truth(room, seen)
    facts["made"] = {**room.made, "jpeg": dark.quality, "contrast": round(dark.contrast, 3), "noise": dark.how.noise}
    (options.out / f"{job.name}.jpg").write_bytes(sink.getvalue())
    (options.out / f"{job.name}.readings.toml").write_text(tape(room))
    (options.out / f"{job.name}.json").write_text(json.dumps(facts, indent=1, separators=(",", ": ")) + "\n")
    if options.overlay:
        overlay(upright, facts, options.out / f"{job.name}_overlay.png")
    return f"{room.plan.kind}, {room.made['edges']['left']}, worst {room.made['worst_mm']} mm, attempt {room.made['attempt']}"


def overlay(upright: np.ndarray, facts: dict[str, Any], path: Path) -> None:
    picture = upright[..., ::-1].copy()
    for points in [*facts["edges_px"].values(), *(side for card in facts["cards"] for side in card["edges_px"].values())]:
        line = np.round(np.array(points) * 16).astype(np.int32)
        cv2.polylines(picture, [line], False, (60, 60, 255), 1, cv2.LINE_AA, 4)
    for x, y in facts["opening"]["corners_px"]:
        cv2.circle(picture, (round(x), round(y)), 4, (0, 255, 0), 1, cv2.LINE_AA)
    cv2.imwrite(str(path), picture)


def main() -> None:
    options = _options()
    mi.set_variant(options.variant)
    mi.set_log_level(mi.LogLevel.Error)
    part, parts = (int(n) for n in options.part.split("/"))
    todo = [job for k, job in enumerate(jobs(options.seed, options.rooms)) if k % parts == part - 1]
    todo = [job for job in todo if (not options.only or job.name in options.only)]
    for job in todo:
        if options.missing and (options.out / f"{job.name}.json").exists():
            continue
        started = time.monotonic()
        try:
            room = drawn(job)
            built = time.monotonic() - started
            words = "" if options.prove else photograph(room, options)
            print(f"{job.name}: built {built:.1f} s, all {time.monotonic() - started:.1f} s; {words or room.made}", flush=True)
            del room
        except Exception as why:
            print(f"{job.name}: failed: {why}", flush=True)
            if not isinstance(why, RuntimeError) or options.prove:
                traceback.print_exc()
        gc.collect()


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description="Renders the thirteenth family of random rooms with their truth.")
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--variant", default="llvm_ad_rgb")
    parser.add_argument("--samples", type=int, default=32)
    parser.add_argument("--per-pass", type=int, default=4)
    parser.add_argument("--scale", type=float, default=1.0)
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--rooms", type=int, default=32)
    parser.add_argument("--part", default="1/1", help="K/N: every N-th room from the K-th")
    parser.add_argument("--only", action="append", help="rooms by name")
    parser.add_argument("--missing", action="store_true", help="leave out rooms that exist")
    parser.add_argument("--overlay", action="store_true", help="also a picture with the truth drawn over it")
    parser.add_argument("--prove", action="store_true", help="rays alone, no pictures")
    options = parser.parse_args()
    options.out.mkdir(parents=True, exist_ok=True)
    return options


if __name__ == "__main__":
    main()
