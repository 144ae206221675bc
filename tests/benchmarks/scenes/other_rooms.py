"""A second family of random rooms, drawn with another taste than rooms.py, to see whether what was made on those carries over.

python -m tests.benchmarks.scenes.other_rooms --out FOLDER --variant cuda_ad_rgb                    # as in other_rooms.sha256
python -m tests.benchmarks.scenes.other_rooms --layout four --number 2 --samples 16 --scale 0.2     # a quick look at one

Studio, truth and file writing are rooms.py's; geometry, finishes, light, cards, things and camera are those of other_*.py.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from dataclasses import dataclass, replace
from pathlib import Path

import cv2
import drjit as dr
import mitsuba as mi
import numpy as np

FOLDER = Path(__file__).resolve().parent
sys.path[:0] = [str(FOLDER), str(FOLDER.parents[2] / "sample_images")]

import other_cards  # noqa: E402
import other_draws as draws  # noqa: E402
import other_light  # noqa: E402
import other_things  # noqa: E402
import room_things  # noqa: E402
import rooms  # noqa: E402
from other_build import build_world  # noqa: E402
from studio import develop, record, trace  # noqa: E402
from studio.camera import Camera  # noqa: E402
from studio.shot import Expected, Shot, smaller  # noqa: E402
from studio.things import hang_plumb_line  # noqa: E402

GROUP, SEED = "other", 3157
ROOMS = 8
TRIAL = 500  # pixels, the height of a picture that is traced only to count paths
ORIGIN = "rendered for this project with Mitsuba 3 by tests/benchmarks/scenes/other_rooms.py from this seed; no real place"
EDGE_TAKEN = "the arris: where the flat of the wall face ends"
NUMBERED = {"shower": "shower", "tub": "bath", "door": "doorway", "window": "window"}
BURNT = 3.0
"""times the median radiance: what is brighter than this and than the cards may burn out"""


@dataclass(frozen=True)
class Drawn:
    """A random room: the shot, its light, and what belongs to it alone."""

    shot: Shot
    light: other_light.Light
    layout: str
    quality: int
    edge_taken: str


def drawn(base: int, layout: str, number: int) -> Drawn:
    """Room number (from 1) of a layout; the same seed always gives the same room."""
    order = rooms.LAYOUTS.index(layout)
    seed, kinds = base * 1000 + order * 100 + number, draws.recipe(base, order, number)
    rng = np.random.default_rng([seed, 11, 1913])
    opening = draws.opening(rng, kinds.opening)
    world, words = draws.world(rng, opening, kinds)
    cards, look = _cards(rng, layout, opening, world.rim_mm)
    options = other_cards.options(cards, rng)
    camera, claimed = draws.camera(rng, opening, world, cards, kinds.oblique)
    place = other_light.Place(opening, world, camera.position_mm)
    light = other_light.KINDS[kinds.light](rng, place)
    lamps = light.lamps + other_light.behind(rng, place, kinds.light)
    world = replace(world, lamps=lamps, hole=light.hole, mirrored=light.mirrored)
    things = other_things.clutter(rng, opening, world, camera.position_mm, cards)
    line = room_things.plumb_line(rng, opening) if kinds.plumb_line else None
    shot = Shot(
        rooms.name_of(GROUP, layout, number),
        f"Room {500 + 100 * order + number} {NUMBERED[kinds.opening]}",
        seed,
        opening,
        world,
        camera,
        cards,
        Expected(None),
        options,
        plumb_line=line,
        furnish=lambda build: [thing.make(build) for thing in things] and None,
        development=draws.development(rng, light.hue, camera.height > camera.width),
        equivalent_mm=claimed,
        note=f"{look}; {words}; {light.word}; {', '.join(t.word for t in things) or 'nothing about'}; every reading is right",
    )
    return Drawn(shot, light, layout, int(rng.integers(rooms.QUALITY[0], rooms.QUALITY[1] + 1)), _edge_taken(world))


def _cards(rng: np.random.Generator, layout: str, opening: draws.Opening, rim: float) -> tuple[tuple, str]:
    first = int(rng.integers(2))
    opposite = (rooms.CORNERS[first], rooms.CORNERS[first + 2])
    if layout == "sheet":
        kind, side = str(rng.choice(["a4", "letter"])), str(rng.choice(["left", "right"]))
        return other_cards.sheets(rng, opening, (kind,), ((side, "middle"),), rim)
    if layout == "letters":
        return other_cards.sheets(rng, opening, ("letter", "letter"), opposite, rim)
    return other_cards.bank_cards(rng, opening, rooms.CORNERS if layout == "four" else opposite, rim)


def _edge_taken(world: draws.World) -> str:
    """Where the truth's edge lies, in words."""
    if world.ease_mm:
        shape = "chamfer" if world.chamfer else "rounding"
        return f"{EDGE_TAKEN} and a {shape} of {world.ease_mm:.2f} mm begins; the readings were taken to the same lines"
    if world.rim is not None:
        return f"the outer corner of a rim {world.rim_mm:.1f} mm wide (trim or lining) that is flush with the wall face"
    return EDGE_TAKEN


def assemble(room: Drawn) -> tuple[mi.Scene, np.ndarray]:
    """The scene about the middle of the opening, and that middle."""
    shot = room.shot
    centre = np.array([*np.round(shot.opening.corners.mean(axis=0)), 0.0])
    build = rooms.CentredBuilder(centre)
    build_world(build, shot.room, shot.opening)  # type: ignore[arg-type]
    for ball in room.light.balls:
        ball.make(build)
    for card in shot.cards:
        other_cards.hang(build, card)  # type: ignore[arg-type]
    if shot.plumb_line:
        hang_plumb_line(build, shot.plumb_line)
    shot.furnish(build)
    return mi.load_dict({"type": "scene", **build.shapes}), centre


def expose(room: Drawn, samples: int, scale: float, per_pass: int) -> np.ndarray:
    """The linear picture; prints how well the truth agrees with the renderer."""
    started, shot = time.monotonic(), room.shot
    scene, centre = assemble(room)
    worst, said = rooms.hidden(shot, scene, centre)
    camera = smaller(shot.camera, scale)
    eye = replace(camera, position_mm=camera.position_mm - centre)
    lost = broken_paths(scene, smaller(eye, TRIAL / eye.height), shot.seed)
    linear = trace.expose(scene, eye, samples, shot.seed, per_pass)
    print(
        f"{shot.name}: {time.monotonic() - started:.0f} s, truth against the renderer {worst:.4f} mm; "
        f"covered: {said or 'nothing'}; light paths without a value {lost:.2%}",
        flush=True,
    )
    return linear


def broken_paths(scene: mi.Scene, eye: Camera, seed: int) -> float:
    """The share of light paths that come back as no number; trace.expose would count each as white. One path a pixel."""
    integrator = mi.load_dict({"type": "path", "max_depth": trace.BOUNCES, "rr_depth": 5})
    count = eye.width * eye.height
    sampler = mi.load_dict({"type": "independent", "sample_count": 1})
    sampler.seed(seed, count)
    pixel = dr.arange(mi.UInt32, count)
    way = eye.directions(mi.Float(pixel % eye.width), mi.Float(pixel // eye.width))
    start = mi.Point3f(*(float(p) for p in eye.position_mm))
    colour, _, _ = integrator.sample(scene, sampler, mi.RayDifferential3f(start, dr.normalize(mi.Vector3f(*way))))
    return float(np.mean(~np.isfinite(np.array(colour)).all(axis=0)))


def metered_stops(linear: np.ndarray, camera: Camera, shot: Shot) -> float:
    """What the exposure gains when lamps, panes and sun may burn out but no card does, as someone who taps a card gets it."""
    light = linear.mean(axis=2)
    on_cards = np.zeros(light.shape, np.uint8)
    for card in shot.cards:
        cv2.fillPoly(on_cards, [np.round(camera.project(card.outline())).astype(np.int32)], 1)
    most = max(BURNT * float(np.median(light)), 1.1 * float(np.percentile(light[on_cards > 0], 95)))
    held = linear * np.minimum(1.0, most / np.maximum(light, 1e-9))[..., None]
    return float(np.log2(develop.exposure_factor(held.astype(np.float32)) / develop.exposure_factor(linear)))


def finish(room: Drawn, linear: np.ndarray, scale: float, out: Path) -> None:
    """Develops the photo and writes it with its truth and the readings."""
    shot = room.shot
    camera = smaller(shot.camera, scale)
    stops = metered_stops(linear, camera, shot)
    upright = develop.develop(linear, replace(shot.development, exposure=shot.development.exposure + stops), shot.seed)
    photo = rooms.jpeg(upright, shot.development, shot.equivalent_mm, room.quality)
    truth = {**record.truth(shot, camera), "origin": ORIGIN, "layout": room.layout}
    truth["opening"]["edge_taken"] = room.edge_taken
    (out / f"{shot.name}.jpg").write_bytes(photo)
    (out / f"{shot.name}.json").write_text(json.dumps(truth, indent=1, separators=(",", ": ")) + "\n")
    (out / f"{shot.name}.readings.toml").write_text(record.readings(shot))
    print(f"{shot.name}: {len(photo) / 2**20:.2f} MiB at quality {room.quality}; {shot.note}", flush=True)


def main() -> None:
    """The command line."""
    parser = argparse.ArgumentParser(description="Renders the second family of random rooms with their truth.")
    parser.add_argument("--seed", type=int, default=SEED, help="below 4000")
    parser.add_argument("--layout", choices=rooms.LAYOUTS, action="append", help="only this one; repeatable")
    parser.add_argument("--number", type=int, action="append", help="only this room of each layout, from 1; repeatable")
    parser.add_argument("--variant", default="llvm_ad_rgb", help="Mitsuba variant, cuda_ad_rgb or llvm_ad_rgb")
    parser.add_argument("--samples", type=int, default=48, help="light paths per pixel")
    parser.add_argument("--per-pass", type=int, default=4, help="of these at a time: fewer need less memory")
    parser.add_argument("--scale", type=float, default=1.0, help="smaller pictures for a trial")
    parser.add_argument("--out", type=Path, default=Path("out"))
    options = parser.parse_args()
    mi.set_variant(options.variant)
    mi.set_log_level(mi.LogLevel.Error)
    options.out.mkdir(parents=True, exist_ok=True)
    for layout in options.layout or rooms.LAYOUTS:
        for number in options.number or range(1, ROOMS + 1):
            room = drawn(options.seed, layout, number)
            finish(room, expose(room, options.samples, options.scale, options.per_pass), options.scale, options.out)


if __name__ == "__main__":
    main()
