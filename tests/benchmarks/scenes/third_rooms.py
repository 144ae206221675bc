"""A third family of random rooms, one set `third`; see README.md beside this file.

python -m tests.benchmarks.scenes.third_rooms --out FOLDER/third --variant cuda_ad_rgb --samples 32 --per-pass 4
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from dataclasses import replace
from pathlib import Path
from typing import Any

import mitsuba as mi
import numpy as np

FOLDER = Path(__file__).resolve().parent
sys.path[:0] = [str(FOLDER), str(FOLDER.parents[2] / "sample_images")]

from studio import develop, record  # noqa: E402
from studio.camera import Camera  # noqa: E402
from studio.room import Finish, Room  # noqa: E402
from studio.shot import Development, Expected, Shot, smaller  # noqa: E402
from studio.surfaces import plain  # noqa: E402
from third_cards import Dress  # noqa: E402
from third_draws import LAYOUTS, SEED, camera_of, cards_of, deck, plan_of, plumb_of, taken_edge  # noqa: E402
from third_patterns import Rng, one_of  # noqa: E402
from third_plan import Plan  # noqa: E402
from third_shoot import Scene, assemble, balance_of, covered, developed, expose, faults, lamps_of, seen_steps  # noqa: E402
from third_things import furnish  # noqa: E402

WORDS = {"shower": "shower", "tub": "tub", "door": "doorway", "window": "window"}
DRAWN_AGAIN = {  # attempts as `--screen` found them
    "third_opposite_04": 1, "third_opposite_07": 2, "third_four_02": 2, "third_four_03": 2, "third_four_07": 2,
    "third_letters_05": 1,
}  # fmt: skip


def development_of(rng: Rng, plan: Plan, camera: Camera) -> Development:
    return Development(
        blur_px=float(rng.uniform(0.6, 1.0)),
        noise=float(rng.uniform(0.006, 0.018)),
        sharpening=float(rng.uniform(0.2, 0.7)),
        sharpening_px=float(rng.uniform(0.9, 1.4)),
        shading=float(rng.uniform(0.04, 0.18)),
        largest_bytes=3_500_000,
        white_balance=balance_of(rng, plan.lamps[0].rgb),
        orientation=one_of(rng, (1, 1, 6)) if camera.height > camera.width else 1,
    )


def note_of(plan: Plan, dresses: tuple[Dress, ...], light: str, cover: str) -> str:
    cards = ", ".join(d.words + (f" curled {d.curl_mm:.1f} mm" if d.curl_mm else "") for d in dresses)
    return (
        f"{len(dresses)} {dresses[0].card.kind}: {cards}; face {plan.face.words}, edge {plan.edge.words}, "
        f"below {plan.foot.words}, reveal {plan.reveal.words}, back {plan.back.words}; light {light}; "
        f"{'covering part of an edge: ' + cover if cover else 'nothing before the edges'}; every reading is right"
    )


def draw(layout: str, number: int, attempt: int | None = None) -> Scene | None:
    """Room `number` (from 1) of a layout; None where no camera of this attempt sees all of it."""
    name = f"third_{layout}_{number:02d}"
    attempt = DRAWN_AGAIN.get(name, 0) if attempt is None else attempt
    seed = SEED * 1000 + LAYOUTS.index(layout) * 100 + number
    rng = np.random.default_rng([seed, attempt])
    kind, face, light, plumb = deck(layout)[number - 1]
    plan = plan_of(rng, kind, face)
    dresses, options = cards_of(rng, plan, layout)
    seen = camera_of(rng, plan, dresses)
    if seen is None:
        return None
    camera, equivalent = seen
    x, z = camera.position_mm[0], camera.position_mm[2]
    plan = replace(
        plan, left_x=min(plan.left_x, x - 350), right_x=max(plan.right_x, x + 350), length=z + float(rng.uniform(300, 900))
    )
    if light == "backlit" and kind in ("shower", "tub"):
        plan = replace(plan, feature="blocks")
    plan = replace(plan, lamps=lamps_of(rng, plan, light, camera))
    line = plumb_of(rng, plan) if plumb else None
    cover = one_of(rng, ("", "", "", "towel", "bin", "mop"))
    development = development_of(rng, plan, camera)
    note = note_of(plan, dresses, light, cover)
    bare = Room(Finish(*([plain((0.5, 0.5, 0.5))] * 9)), ())
    title = f"Room {1100 + 10 * LAYOUTS.index(layout) + number} {WORDS[kind]}"
    shot = Shot(
        name, title, seed, plan.opening, bare, camera, tuple(d.card for d in dresses), Expected(None), tuple(options), line,
        furnish(plan, dresses, rng, cover), {}, development, note, equivalent,
    )  # fmt: skip
    return Scene(shot, plan, dresses, taken_edge(plan), layout, cover)


def facts(scene: Scene) -> dict[str, Any]:
    found = record.truth(scene.shot, scene.shot.camera)
    found["origin"] = (
        "rendered for this project with Mitsuba 3 by tests/benchmarks/scenes/third_rooms.py from this seed; no real place"
    )
    found["opening"]["edge_taken"] = scene.edge_taken
    return found | {"layout": scene.layout}


def screened(layout: str, number: int) -> tuple[Scene, int]:
    """The first attempt without faults on a half-size preview."""
    for attempt in range(25):
        scene = draw(layout, number, attempt)
        if scene is None:
            continue
        traced, camera = assemble(scene), smaller(scene.shot.camera, 0.5)
        hidden = covered(scene, traced)
        wrong = faults(hidden, {})
        if not wrong:
            linear, _ = expose(scene, traced, camera, 8, 8)
            wrong = faults(hidden, seen_steps(scene, camera, developed(scene, camera, linear)))
        print(f"{scene.shot.name} attempt {attempt}: {'; '.join(wrong) or 'good'}", flush=True)
        if not wrong:
            return scene, attempt
    raise SystemExit(f"no good room {layout} {number}")


def make(scene: Scene, options: argparse.Namespace) -> None:
    started, shot = time.monotonic(), scene.shot
    camera, traced = smaller(shot.camera, options.scale), assemble(scene)
    hidden = covered(scene, traced)
    linear, bad = expose(scene, traced, camera, options.samples, options.per_pass)
    picture = developed(scene, camera, linear)
    photo = develop.write_jpeg(picture, shot.development, shot.equivalent_mm)
    (options.out / f"{shot.name}.jpg").write_bytes(photo)
    (options.out / f"{shot.name}.json").write_text(json.dumps(facts(scene), indent=1, separators=(",", ": ")) + "\n")
    (options.out / f"{shot.name}.readings.toml").write_text(record.readings(shot))
    wrong = faults(hidden, seen_steps(scene, camera, picture)) + [
        f"{name} {100 * share:.0f}% hidden" for name, share in hidden.items() if share and (" " not in name or name[-1].isdigit())
    ]
    print(
        f"{shot.name}: {time.monotonic() - started:.0f} s, {len(photo) / 2**20:.2f} MiB, no number {bad:.1e}; {'; '.join(wrong)}",
        flush=True,
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("names", nargs="*", help="rooms such as third_four_03; none: all")
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--variant", default="llvm_ad_rgb")
    parser.add_argument("--samples", type=int, default=32)
    parser.add_argument("--per-pass", type=int, default=4)
    parser.add_argument("--scale", type=float, default=1.0)
    parser.add_argument("--screen", action="store_true", help="find the attempts again, do not use those noted")
    options = parser.parse_args()
    mi.set_variant(options.variant)
    mi.set_log_level(mi.LogLevel.Error)
    options.out.mkdir(parents=True, exist_ok=True)
    every = [(layout, number) for layout in LAYOUTS for number in range(1, 9)]
    for layout, number in every:
        if options.names and f"third_{layout}_{number:02d}" not in options.names:
            continue
        scene = screened(layout, number)[0] if options.screen else draw(layout, number)
        if scene is None:
            raise SystemExit(f"third_{layout}_{number:02d}: no camera")
        make(scene, options)


if __name__ == "__main__":
    main()
