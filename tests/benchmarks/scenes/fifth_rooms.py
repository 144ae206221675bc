"""Renders the fifth family of random rooms; see "Fifth random rooms" in the README beside this file.

python -m tests.benchmarks.scenes.fifth_rooms --out FOLDER/fifth --variant cuda_ad_rgb --screen 0.3 --part 1/3
python -m tests.benchmarks.scenes.fifth_rooms --out /tmp/try --scale 0.125 --samples 8 --layout four --number 2
"""

from __future__ import annotations

import argparse
import json
import os
import time
import traceback
from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path
from typing import TYPE_CHECKING, Any

import mitsuba as mi
import numpy as np

from . import fifth_phone as phone
from .fifth_draws import LAYOUTS, SEED, Plan, plan, rooms

if TYPE_CHECKING:
    from .fifth_studio import Picture
    from .fifth_trace import Scene

ATTEMPTS = 14
SCREEN_SAMPLES = 24
DRAWN_AGAIN = {"fifth_sheet_02": 3}  # attempt to begin with, found by --screen; see the README


def main() -> None:
    options = _options()
    mi.set_variant(options.variant)
    mi.set_log_level(mi.LogLevel.Error)
    began = time.monotonic()
    wanted = [(layout, number) for layout, number in _wanted(options) if not _done(options.out, f"fifth_{layout}_{number:02d}")]
    waiting: list[Future[None]] = []
    with ThreadPoolExecutor(2) as darkroom:
        for index, (layout, number) in enumerate(wanted):
            share = (options.until - (time.monotonic() - began)) / (len(wanted) - index)
            try:
                _room(layout, number, options, time.monotonic() + share, darkroom, waiting)
            except Exception:
                print(f"fifth_{layout}_{number:02d}: FAILED\n{traceback.format_exc()}", flush=True)
            while len([job for job in waiting if not job.done()]) > 2:
                time.sleep(0.2)
    for job in waiting:
        if job.exception():
            print(f"FAILED while developing: {job.exception()!r}", flush=True)
    print(f"all: {time.monotonic() - began:.0f} s for {len(wanted)} rooms", flush=True)


def _room(
    layout: str, number: int, options: argparse.Namespace, until: float, darkroom: ThreadPoolExecutor, waiting: list[Future[None]]
) -> None:
    from studio.shot import smaller

    from .fifth_trace import expose

    began = time.monotonic()
    scene, made = _passed(layout, number, options)
    if options.prove:
        return
    name = scene.plan.name
    ready = time.monotonic()
    seen = smaller(scene.camera, options.scale)
    linear, taken, bad = expose(scene, seen, options.samples, options.per_pass, until)
    print(
        f"{name}: {ready - began:.0f} s to prepare, {time.monotonic() - ready:.0f} s for {taken} samples, no number {bad:.1e}",
        flush=True,
    )
    waiting.append(darkroom.submit(_finish, scene, seen, linear, made | {"samples": taken}, options))


def _passed(layout: str, number: int, options: argparse.Namespace) -> tuple[Scene, dict[str, Any]]:
    """The first attempt whose edges and cards can be seen, and for the truth: its proof and why those before were dropped."""
    from studio.shot import smaller

    from .fifth_proof import FAINTEST, faint, prove
    from .fifth_trace import compose, expose

    again: list[str] = []
    for attempt in range(DRAWN_AGAIN.get(f"fifth_{layout}_{number:02d}", 0), ATTEMPTS):
        drawn = plan(layout, number, attempt, options.seed)
        try:
            scene = compose(drawn)
        except ValueError as error:
            again.append(f"attempt {attempt}: {error}")
            print(f"{drawn.name}: drawn again, {again[-1]}", flush=True)
            continue
        proof = prove(scene)
        print(f"{drawn.name}: attempt {attempt}, {drawn.corner.kind}, {drawn.light}, {scene.words}; {proof.words()}", flush=True)
        if proof.wrong:
            print(f"{drawn.name}: THE TRUTH IS NOT WHAT IS BUILT, {proof.wrong} rays", flush=True)
        why = proof.complaint()
        if not why and options.screen:
            small = smaller(scene.camera, options.screen)
            linear, _, _ = expose(scene, small, SCREEN_SAMPLES, SCREEN_SAMPLES)
            rng = np.random.default_rng([drawn.seed, 41])
            upright = phone.develop(linear, phone.drawn(rng), rng, options.screen).astype(np.float32)
            steps = faint(scene, small, upright)
            why = ", ".join(f"{name} {step:.1f}" for name, step in steps.items() if step < FAINTEST)
            print(f"{drawn.name}: faintest {min(steps, key=lambda name: steps[name])} {min(steps.values()):.1f}", flush=True)
        if not why:
            made = {
                "attempt": attempt,
                "drawn_again": again,
                "rays_worst_mm": round(proof.worst_mm, 5),
                "rays_wrong": proof.wrong,
            }
            return scene, made
        again.append(f"attempt {attempt}: {why}")
        print(f"{drawn.name}: drawn again, {again[-1]}", flush=True)
    raise RuntimeError(f"fifth_{layout}_{number:02d}: none of {ATTEMPTS} attempts can be seen")


def _finish(scene: Scene, seen: Any, linear: Picture, made: dict[str, Any], options: argparse.Namespace) -> None:
    from studio import record

    from .fifth_truth import shot_of, truth

    rng = np.random.default_rng([scene.plan.seed, 41])
    how = phone.drawn(rng)
    upright = phone.develop(linear, how, rng, options.scale)
    photo, quality = phone.jpeg(upright, how, scene.equivalent_mm)
    shot = shot_of(scene)
    facts = truth(scene, shot, seen)
    facts["made"] = made | {"jpeg_quality": quality}
    name = scene.plan.name
    _write(options.out / f"{name}.json", (json.dumps(facts, indent=1, separators=(",", ": ")) + "\n").encode())
    _write(options.out / f"{name}.readings.toml", record.readings(shot).encode())
    _write(options.out / f"{name}.jpg", photo)  # last: where it stands the room is whole
    print(f"{name}: {len(photo) / 1e6:.2f} MB at quality {quality}", flush=True)


def _write(path: Path, data: bytes) -> None:
    part = path.with_suffix(path.suffix + f".part{os.getpid()}")
    part.write_bytes(data)
    part.replace(path)


def _done(out: Path, name: str) -> bool:
    return (out / f"{name}.jpg").exists()


def _wanted(options: argparse.Namespace) -> list[tuple[str, int]]:
    found = [(layout, n) for layout, n in rooms() if options.layout in (None, layout) and options.number in (None, n)]
    if options.names:
        found = [(layout, n) for layout, n in found if f"fifth_{layout}_{n:02d}" in options.names]
    part, parts = (int(word) for word in options.part.split("/"))
    return found[part - 1 :: parts]


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description="Renders the fifth family of random rooms with their truth.")
    known = [f"fifth_{layout}_{n:02d}" for layout, n in rooms()]
    parser.add_argument("names", nargs="*", metavar="NAME", help="fifth_<layout>_<NN>; none: all")
    parser.add_argument("--layout", choices=list(LAYOUTS))
    parser.add_argument("--number", type=int)
    parser.add_argument("--part", default="1/1", metavar="K/N", help="every Nth room, beginning with the Kth")
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--variant", default="llvm_ad_rgb")
    parser.add_argument("--samples", type=int, default=36)
    parser.add_argument("--per-pass", type=int, default=4)
    parser.add_argument("--scale", type=float, default=1.0)
    parser.add_argument(
        "--screen", type=float, default=0.0, metavar="SCALE", help="look at a preview first, draw faint rooms again"
    )
    parser.add_argument("--prove", action="store_true", help="rays only, no pictures")
    parser.add_argument("--until", type=float, default=1e9, metavar="SECONDS", help="for all rooms of this process")
    options = parser.parse_args()
    for name in options.names:
        if name not in known:
            parser.error(f"no room {name}; found are {known[0]} to {known[-1]}")
    options.out.mkdir(parents=True, exist_ok=True)
    return options


__all__ = ["Plan", "main"]

if __name__ == "__main__":
    main()
