"""Renders the twelfth rooms: showers, tubs, doorways, window recesses and niches as people photograph them.

python -m tests.benchmarks.scenes.twelfth_rooms --out FOLDER/twelfth --variant cuda_ad_rgb --samples 32 --per-pass 4 --part 1/3
python -m tests.benchmarks.scenes.twelfth_rooms --only twelfth_four_03 --scale 0.15 --samples 8 --out FOLDER/look --overlay

--seed N --rooms M draws other rooms; their names carry the seed.
"""

from __future__ import annotations

import argparse
import gc
import json
import sys
import time
from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path

import cv2
import drjit as dr
import mitsuba as mi
import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[3] / "sample_images"))

from studio.camera import Camera
from studio.shapes import Builder
from studio.shot import smaller
from studio.things import hang_plumb_line

from . import twelfth_phone as phones
from .twelfth_inside import clutter, furnish
from .twelfth_lamps import light
from .twelfth_plan import SEED, Deal, Plan, deals, plan
from .twelfth_refs import hang
from .twelfth_shell import build_shell
from .twelfth_truth import drawn_over, plumb, prove, readings, truth

ATTEMPTS = 12
BOUNCES = 7
BRIGHTEST = 9.0  # a path adds at most this many times the middle brightness: several times white, no fireflies
HIDDEN_EDGE, HIDDEN_CARD, ASTRAY_MM = 0.1, 0.45, 0.02


def main() -> None:
    options = _options()
    mi.set_variant(options.variant)
    mi.set_log_level(mi.LogLevel.Error)
    options.out.mkdir(parents=True, exist_ok=True)
    part, parts = (int(v) for v in options.part.split("/"))
    chosen = [deal for index, deal in enumerate(deals(options.seed, options.rooms)) if index % parts == part - 1]
    if options.only:
        chosen = [deal for deal in deals(options.seed, options.rooms) if deal.name in options.only]
    waiting: list[Future[None]] = []
    with ThreadPoolExecutor(2) as darkroom:
        for deal in chosen:
            if options.missing and (options.out / f"{deal.name}.readings.toml").exists():
                continue
            while len([w for w in waiting if not w.done()]) > 2:
                time.sleep(0.2)
            made, scene = _built(deal, options)
            camera = smaller(made.camera, options.scale)
            linear = None if options.prove else _exposed(scene, camera, options, deal)
            del scene
            gc.collect()
            if linear is not None:
                waiting.append(darkroom.submit(_finish, made, camera, linear, options))
    for done in waiting:
        done.result()


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description="Renders the twelfth rooms with their truth.")
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--variant", default="llvm_ad_rgb")
    parser.add_argument("--samples", type=int, default=32)
    parser.add_argument("--per-pass", type=int, default=4)
    parser.add_argument("--part", default="1/1", help="K/N: every Nth room from the Kth")
    parser.add_argument("--scale", type=float, default=1.0)
    parser.add_argument("--only", nargs="*", default=[], metavar="NAME")
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--rooms", type=int, default=32)
    parser.add_argument("--prove", action="store_true", help="shoot the rays that prove the truth, render nothing")
    parser.add_argument("--overlay", action="store_true", help="also write NAME.truth.png with the truth drawn in")
    parser.add_argument("--missing", action="store_true", help="leave out rooms that are there")
    return parser.parse_args()


def _built(deal: Deal, options: argparse.Namespace) -> tuple[Plan, mi.Scene]:
    """The first attempt whose truth the rays confirm and in which little is hidden."""
    px = 0.6 if options.prove else float(np.clip(2.0 * options.scale, 0.6, 1.8))
    for attempt in range(ATTEMPTS):
        made = plan(deal, attempt, px)
        if made is None:
            print(f"{deal.name}: attempt {attempt}, not all in the picture", flush=True)
            continue
        scene = assemble(made)
        proof = prove(made, scene)
        words = ", ".join(f"{name} {value:.4f}" for name, value in proof.items())
        print(f"{deal.name}: {deal.kind}, {deal.edge}, {deal.scheme}; {words}", flush=True)
        astray = proof["face"] > ASTRAY_MM or proof["card"] > ASTRAY_MM or proof["inside wrong"] + proof["card wrong"] > 0
        if not astray and proof["edge hidden"] <= HIDDEN_EDGE and proof["card hidden"] <= HIDDEN_CARD:
            return made, scene
        print(f"{deal.name}: attempt {attempt} dropped", flush=True)
    raise RuntimeError(f"{deal.name}: no room in {ATTEMPTS} attempts")


def assemble(made: Plan) -> mi.Scene:
    deal, build = made.deal, Builder()
    build_shell(build, made.shell)
    for ref in made.refs:
        hang(build, ref)
    line = plumb(made)
    if line is not None:
        hang_plumb_line(build, line)
    furnish(build, made.shell, deal.scheme, deal.stream(20, made.attempt))
    rng = deal.stream(21, made.attempt)
    for thing, at in clutter(made.shell, made.refs, made.camera, rng):
        thing.make(build, at, rng)
    light(build, made.shell, deal.scheme, made.camera, deal.stream(22, made.attempt))
    return mi.load_dict({"type": "scene", **build.shapes})


def _exposed(scene: mi.Scene, camera: Camera, options: argparse.Namespace, deal: Deal) -> np.ndarray:
    started = time.monotonic()
    integrator = mi.load_dict({"type": "path", "max_depth": BOUNCES, "rr_depth": 5})
    total = [dr.zeros(mi.Float, camera.width * camera.height) for _ in range(3)]
    passes = max(1, options.samples // options.per_pass)
    first = int(deal.stream(30).integers(1 << 30))
    glance = smaller(camera, 220 / max(camera.width, camera.height))
    seen = np.stack([np.array(c) for c in _pass(scene, integrator, glance, (16, first - 1), 1e6)]).mean(axis=0) / 16
    cap = BRIGHTEST * float(np.exp(np.log(np.clip(seen, 1e-4 * np.percentile(seen, 95), None)).mean()))
    for number in range(passes):
        more = _pass(scene, integrator, camera, (options.per_pass, first + number), cap)
        total = [t + part for t, part in zip(total, more, strict=True)]
        dr.eval(*total)
    picture = np.stack([np.array(t) for t in total], axis=1) / (passes * options.per_pass)
    print(f"{deal.name}: {time.monotonic() - started:.0f} s", flush=True)
    return picture.reshape(camera.height, camera.width, 3).astype(np.float32)


def _pass(scene: mi.Scene, integrator: mi.Integrator, camera: Camera, draw: tuple[int, int], cap: float) -> list[mi.Float]:
    count, seed = draw
    rays_wanted = camera.width * camera.height * count
    sampler = mi.load_dict({"type": "independent", "sample_count": count})
    sampler.seed(dr.opaque(mi.UInt32, seed), rays_wanted)
    pixel = dr.arange(mi.UInt32, rays_wanted) // count
    jitter = sampler.next_2d()
    u = mi.Float(pixel % camera.width) + jitter.x - 0.5
    v = mi.Float(pixel // camera.width) + jitter.y - 0.5
    way = dr.normalize(mi.Vector3f(*camera.directions(u, v)))
    rays = mi.RayDifferential3f(mi.Point3f(*(float(p) for p in camera.position_mm)), way)
    colour, _, _ = integrator.sample(scene, sampler, rays)
    sound = [dr.select(dr.isfinite(c), dr.clip(c, 0, cap), 0) for c in (colour.x, colour.y, colour.z)]
    return [dr.block_sum(c, count) for c in sound]


def _finish(made: Plan, camera: Camera, linear: np.ndarray, options: argparse.Namespace) -> None:
    rng = made.deal.stream(31)
    phone = phones.draw_phone(rng, made.deal.scheme)
    upright = phones.develop(linear, phone, rng, options.scale)
    facts, base = truth(made, camera), options.out / made.deal.name
    base.with_suffix(".jpg").write_bytes(phones.jpeg(upright, phone, made.equivalent_mm))
    base.with_suffix(".json").write_text(json.dumps(facts, indent=1, separators=(",", ": ")) + "\n")
    if options.overlay:
        cv2.imwrite(f"{base}.truth.png", drawn_over(upright, facts))
    base.with_suffix(".readings.toml").write_text(readings(made))


if __name__ == "__main__":
    main()
