"""The seventh family of random rooms: 32 photographs with their truth, from one seed.

python -m tests.benchmarks.scenes.seventh_rooms --out FOLDER/seventh --variant cuda_ad_rgb --samples 32 --per-pass 4 --part 1/3
"""

from __future__ import annotations

import argparse
import gc
import time
import traceback
from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path
from typing import Any

import mitsuba as mi
import numpy as np

FAMILY = "seventh"
ATTEMPTS = 12


def main() -> None:
    options = _options()
    mi.set_variant(options.variant)
    mi.set_log_level(mi.LogLevel.Error)
    options.out.mkdir(parents=True, exist_ok=True)
    from .seventh_draws import LAYOUTS  # needs a variant

    rooms = [(layout, n) for layout, count in LAYOUTS.items() for n in range(1, count + 1)]
    part, parts = (int(v) for v in options.part.split("/"))
    rooms = [r for i, r in enumerate(rooms) if i % parts == part - 1]
    rooms = [r for r in rooms if options.layout in (None, r[0]) and options.number in (None, r[1])]
    begun = time.monotonic()
    with ThreadPoolExecutor(1) as darkroom:
        waiting: list[Future[None]] = []
        for layout, number in rooms:
            name = f"{FAMILY}_{layout}_{number:02d}"
            if (options.out / f"{name}.readings.toml").exists():
                continue
            if options.until and time.monotonic() - begun > options.until:
                print(f"{name}: left for another run", flush=True)
                continue
            try:
                waiting.append(darkroom.submit(*_room(layout, number, options)))
            except Exception:  # one room that fails must not stop the others
                print(f"{name}: failed\n{traceback.format_exc()}", flush=True)
        for done in waiting:
            try:
                done.result()
            except Exception:
                print(traceback.format_exc(), flush=True)


def _room(layout: str, number: int, options: argparse.Namespace) -> tuple[Any, ...]:
    from studio.shot import smaller

    from . import seventh_phone, seventh_trace
    from .seventh_draws import draw_plan

    started, dropped = time.monotonic(), []
    for attempt in range(1, ATTEMPTS + 1):
        plan = draw_plan(layout, number, attempt)
        if plan is None:
            dropped.append("no camera has everything in its picture")
            continue
        scene = seventh_trace.assemble(plan)
        proof = seventh_trace.proof(scene, plan)
        if not proof.reason:
            break
        dropped.append(proof.reason)
    else:
        raise RuntimeError(f"no attempt will do: {dropped}")
    built = time.monotonic()
    camera = smaller(plan.camera, options.scale)
    linear = seventh_trace.expose(scene, camera, options.samples, options.per_pass, int(np.sum(plan.seed)))
    note = f"attempt {attempt}, {proof.text}"
    print(f"{plan.name}: built in {built - started:.0f} s, traced in {time.monotonic() - built:.0f} s; {note}", flush=True)
    made = {"attempt": attempt, "dropped": dropped, "samples": options.samples, "scale": options.scale, "rays": proof.text}
    del scene
    gc.collect()
    return seventh_phone.finish, plan, camera, linear, made, options.out


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description="Draws, renders and writes the seventh family.")
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--variant", default="llvm_ad_rgb")
    parser.add_argument("--samples", type=int, default=32)
    parser.add_argument("--per-pass", type=int, default=4)
    parser.add_argument("--part", default="1/1", help="I/N: every Nth room, from the Ith")
    parser.add_argument("--layout")
    parser.add_argument("--number", type=int)
    parser.add_argument("--scale", type=float, default=1.0)
    parser.add_argument("--until", type=float, help="seconds after which no further room is begun")
    return parser.parse_args()


if __name__ == "__main__":
    main()
