"""Random rooms, fourteenth family: openings all over a small guest house and its outbuildings, half of them showers and tubs."""

from __future__ import annotations

import argparse
import gc
import time
from pathlib import Path
from typing import Any

import mitsuba as mi
import numpy as np
from PIL import Image

from sample_images.studio.camera import Camera
from sample_images.studio.run import write
from sample_images.studio.shapes import Builder
from sample_images.studio.shot import smaller
from sample_images.studio.surfaces import plain
from sample_images.studio.things import PlumbLine, hang_card, hang_plumb_line

from . import fourteenth_about as about
from . import fourteenth_cards as cards
from . import fourteenth_inside as inside
from . import fourteenth_light as light
from . import fourteenth_plan as plan
from . import fourteenth_shot as shot
from . import fourteenth_truth as truth
from .fourteenth_frame import build_hole

SEED = 714205386
LAYOUTS = ("sheet", "opposite", "four", "letters")
ATTEMPTS = 12


def names(seed: int, count: int) -> list[tuple[str, str, str]]:
    """Every room's name, layout and kind; layouts by turns, bathing and other openings by turns within each."""
    rng = np.random.default_rng([seed, 1])
    bath, other = list(plan.BATH_KINDS), list(plan.OTHER_KINDS)
    weights = np.array([0.38, 0.14, 0.26, 0.12, 0.1])
    found: list[tuple[str, str, str]] = []
    queue: list[str] = []
    for index in range(count):
        layout, number = LAYOUTS[index % 4], index // 4 + 1
        queue = queue or [str(k) for k in rng.permutation(other)]
        kind = str(rng.choice(bath, p=weights)) if (index // 4 + index) % 2 == 0 else queue.pop()
        mark = "fourteenth" if seed == SEED else f"fourteenth_{seed}"
        found.append((f"{mark}_{layout}_{number:02d}", layout, kind))
    return found


def attempt(name: str, layout: str, kind: str, *, seed: int, number: int, options: argparse.Namespace) -> bool:
    """Draws, builds, proves, and, if the proof holds, takes the picture and writes the three files."""
    started = time.monotonic()
    rng = np.random.default_rng([seed, 2, number])
    room = plan.draw_room(rng, name, seed, layout=layout, kind=kind)
    placed = cards.place_cards(rng, room)
    camera, equivalent = cards.place_camera(rng, room, placed)
    hole = room.hole
    beside = float(camera.position_mm[0])
    hole.reach = (min(hole.reach[0], beside - 250, room.taken[0][0] - 40), max(hole.reach[1], beside + 250))
    hole.reach = (min([hole.reach[0], *(t[0] - 30 for t in room.taken)]), max([hole.reach[1], *(t[2] + 30 for t in room.taken)]))
    while not hole.opening.head and hole.ceiling_y < 6000 and _ceiling_seen(room, camera):
        hole.ceiling_y += 80
    camera = smaller(camera, options.scale)
    hole.back = inside.back_of(room, rng, hole.edges["left"].inward[-1][2])
    build = Builder()
    build_hole(build, hole)
    inside.furnish(build, room, rng)
    about.surround(build, room, rng)
    light.shell(build, room, camera, rng)
    room.made["light"] = light.lights(build, room, camera, rng)
    for card in placed:
        hang_card(build, card)
    line = _plumb(rng, room)
    if line:
        hang_plumb_line(build, line)
    scene = mi.load_dict({"type": "scene", **build.shapes})
    trouble = truth.prove(room, scene, camera, placed)
    spent = time.monotonic() - started
    if trouble:
        print(
            f"{name}: drawn anew, {trouble} ({kind}, {room.made['foot']}, {room.made['edge']['left']}; {spent:.1f} s)", flush=True
        )  # type: ignore[index]
        return False
    facts, readings = truth.written(room, camera, placed, cards.options(rng, placed, camera), line)
    if not options.prove:
        _finish(name, facts, readings, scene=scene, camera=camera, equivalent=equivalent, rng=rng, options=options)
    print(
        f"{name}: {kind}, {room.made['edge']}, {room.made['light']}; built {spent:.1f} s, all {time.monotonic() - started:.0f} s",
        flush=True,
    )
    return True


def _ceiling_seen(room: plan.Room, camera: Camera) -> bool:
    """Where there is no head, the ceiling over the opening must be out of the picture."""
    x = np.array([-300.0, 0.0, room.hole.opening.width_mm, room.hole.opening.width_mm + 300])
    points = np.column_stack([x, np.full(4, room.hole.ceiling_y), np.full(4, -room.hole.depth)])
    return bool((camera.project(points)[:, 1] > -10).any())


def _plumb(rng: np.random.Generator, room: plan.Room) -> PlumbLine | None:
    """In two rooms of five; in the opening, from above the head."""
    if rng.random() > 0.4 or room.hole.goes_on or room.head_y < 500:
        return None
    x = float(rng.uniform(0.15, 0.85)) * room.hole.opening.width_mm
    return PlumbLine(
        x,
        room.head_y + room.flat + 25,
        max(40.0, 0.04 * room.head_y),
        plain(((0.7, 0.1, 0.05), (0.8, 0.8, 0.75))[rng.integers(2)]),
        24.0,
    )


def _finish(name: str, facts: dict, readings: str, **how: Any) -> None:
    options = how["options"]
    linear = shot.expose(how["scene"], how["camera"], options.samples, int(how["rng"].integers(2**20)), options.per_pass)
    picture, quality = shot.develop(linear, how["rng"])
    write(options.out, name, shot.jpeg(picture, quality, how["equivalent"]), facts, readings)
    if options.overlay:
        Image.fromarray(truth.drawn_over(picture, facts)).save(options.out / f"{name}.overlay.png")


def main() -> None:
    """The command line."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--variant", default="llvm_ad_rgb")
    parser.add_argument("--samples", type=int, default=32)
    parser.add_argument("--per-pass", type=int, default=4)
    parser.add_argument("--scale", type=float, default=1.0)
    parser.add_argument("--part", default="1/1", help="of how many parts this process does which, by index")
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--rooms", type=int, default=32)
    parser.add_argument("--only", help="one room by name")
    parser.add_argument("--missing", action="store_true", help="skips rooms whose truth is there")
    parser.add_argument("--overlay", action="store_true", help="writes the picture with the truth over it too")
    parser.add_argument("--prove", action="store_true", help="shoots the rays of the proof alone and writes nothing")
    options = parser.parse_args()
    options.out.mkdir(parents=True, exist_ok=True)
    mi.set_variant(options.variant)
    mi.set_log_level(mi.LogLevel.Error)
    part, parts = (int(v) for v in options.part.split("/"))
    for index, (name, layout, kind) in enumerate(names(options.seed, options.rooms)):
        wanted = name == options.only if options.only else index % parts == part - 1
        if not wanted or (options.missing and (options.out / f"{name}.json").exists()):
            continue
        for number in range(ATTEMPTS):
            try:
                done = attempt(name, layout, kind, seed=options.seed, number=index * 100 + number, options=options)
            except Exception as error:  # a room that fails must not stop the others
                print(f"{name}: {type(error).__name__}: {error}", flush=True)
                done = False
                if options.only:
                    raise
            gc.collect()
            if done:
                break


if __name__ == "__main__":
    main()
