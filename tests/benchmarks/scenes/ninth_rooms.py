"""Renders the ninth rooms: a family of test photographs drawn by an author who had not seen the program.

python -m tests.benchmarks.scenes.ninth_rooms --out FOLDER --variant cuda_ad_rgb --samples 32 --per-pass 4 --part 1/2
python -m tests.benchmarks.scenes.ninth_rooms --only ninth_four_03 --scale 0.2 --samples 8 --out /tmp/ninth
"""

from __future__ import annotations

import argparse
import json
import time
from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path

import mitsuba as mi
import numpy as np

from sample_images.studio.shot import smaller
from sample_images.studio.trace import expose

from . import ninth_truth as record
from .ninth_check import Verdict, check, in_picture
from .ninth_draws import PER_LAYOUT, draw
from .ninth_plan import LAYOUTS, Plan

MOST_ATTEMPTS = 12


def names() -> list[str]:
    return [f"ninth_{layout}_{number:02d}" for layout in LAYOUTS for number in range(1, PER_LAYOUT + 1)]


def settled(name: str) -> tuple[Plan, mi.Scene, Verdict, list[str], int]:
    """The first attempt in which nothing that matters is covered or outside the picture."""
    _, layout, number = name.split("_")
    dropped: list[str] = []
    for attempt in range(1, MOST_ATTEMPTS + 1):
        plan = draw(layout, int(number), attempt)
        faults = in_picture(plan)
        if not faults:
            from .ninth_scene import assemble

            scene = assemble(plan)
            verdict = check(plan, scene)
            if not verdict.faults:
                return plan, scene, verdict, dropped, attempt
            faults = verdict.faults
        dropped.append(f"attempt {attempt}: " + "; ".join(faults))
        print(f"{name}: {dropped[-1]}", flush=True)
    raise SystemExit(f"{name}: no attempt can be used")


def main() -> None:
    options = _options()
    mi.set_variant(options.variant)
    mi.set_log_level(mi.LogLevel.Error)
    options.out.mkdir(parents=True, exist_ok=True)
    part, parts = (int(v) for v in options.part.split("/"))
    chosen = [n for n in names() if not options.only or n in options.only][part - 1 :: parts]
    with ThreadPoolExecutor(1) as darkroom:
        waiting: list[Future] = []
        for name in chosen:
            if options.missing and (options.out / f"{name}.jpg").exists():
                continue
            for done in waiting[:-1]:
                done.result()
            waiting = [*waiting[-1:], _one(name, options, darkroom)]
        for done in waiting:
            done.result()


def _one(name: str, options: argparse.Namespace, darkroom: ThreadPoolExecutor) -> Future:
    started = time.monotonic()
    plan, scene, verdict, dropped, attempt = settled(name)
    ready = time.monotonic()
    camera = smaller(plan.camera, options.scale)
    made = {
        "attempt": attempt,
        "dropped": dropped,
        "samples": options.samples,
        "scale": options.scale,
        "rays": verdict.words(),
        "quality": plan.phone.quality,
        "kind": plan.kind,
        "light": plan.light,
        "seed_of_attempt": list(plan.seed),
        "equivalent_mm": plan.phone.equivalent_mm,
    }
    facts = record.truth(plan, camera, made)
    linear = np.zeros((8, 8, 3), np.float32)
    if not options.truth_only:
        linear = expose(scene, camera, options.samples, plan.number() % 100000, options.per_pass)
    print(f"{name}: set up {ready - started:.0f} s, traced {time.monotonic() - ready:.0f} s; {verdict.words()}", flush=True)
    return darkroom.submit(_write, plan, linear, facts, options)


def _write(plan: Plan, linear: np.ndarray, facts: dict, options: argparse.Namespace) -> None:
    from .ninth_develop import develop, write_jpeg

    if not options.truth_only:
        photo = write_jpeg(develop(linear, plan.phone, plan.number(), options.scale), plan.phone)
        (options.out / f"{plan.name}.jpg").write_bytes(photo)
    (options.out / f"{plan.name}.json").write_text(json.dumps(facts, indent=1, separators=(",", ": ")) + "\n")
    (options.out / f"{plan.name}.readings.toml").write_text(record.readings(plan))


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description="Renders the ninth rooms with their truth.")
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--variant", default="llvm_ad_rgb", help="Mitsuba variant, cuda_ad_rgb or llvm_ad_rgb")
    parser.add_argument("--samples", type=int, default=32, help="light paths a pixel")
    parser.add_argument("--per-pass", type=int, default=4, help="of these at a time")
    parser.add_argument("--part", default="1/1", help="i/n: every n-th room from the i-th on")
    parser.add_argument("--only", nargs="*", default=[], metavar="NAME", help="these rooms only")
    parser.add_argument("--scale", type=float, default=1.0, help="smaller pictures for a look")
    parser.add_argument("--missing", action="store_true", help="leave out rooms whose picture is there")
    parser.add_argument("--truth-only", action="store_true", help="no picture: checks, truth and readings")
    return parser.parse_args()


if __name__ == "__main__":
    main()
