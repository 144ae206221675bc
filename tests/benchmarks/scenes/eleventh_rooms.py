"""An eleventh set of random rooms, made without sight of the program or of the other sets.

python -m tests.benchmarks.scenes.eleventh_rooms --out FOLDER/eleventh --variant cuda_ad_rgb --samples 32 --per-pass 4 --part 1/3

SEED (eleventh_plan.py) makes everything: the same name always gives the same picture. Modules: grain, tiles, papers (patterns);
walls, shell, lamps (the room); refs, hung (cards); objects, clutter (furnishing); places, plan (what is drawn).
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path
from typing import Any

import mitsuba as mi
import numpy as np

from .eleventh_clutter import furnish
from .eleventh_lamps import set_lights
from .eleventh_plan import Photo, names, photo
from .eleventh_refs import card_truth, hang
from .eleventh_shell import build_behind, build_shell
from .eleventh_walls import build_wall

from studio import develop, record, trace  # isort: skip
from studio.camera import Camera  # isort: skip
from studio.room import Finish, Room  # isort: skip
from studio.shapes import Builder  # isort: skip
from studio.shot import Expected, Shot, smaller  # isort: skip
from studio.surfaces import plain  # isort: skip
from studio.things import hang_plumb_line  # isort: skip

EDGES = {
    "mitre": "the arris: where the flat of the wall face ends",
    "bead": "the outer corner of a trim that is flush with the wall face",
    "lining": "the outer corner of a lining whose edge is flush with the wall face",
    "casing": "the inner corner of the casing's front, which is the opening plane; the wall lies behind it",
    "round": "the line where the flat of the wall face ends and a rounding begins; the readings were taken to the same lines",
}
BRIGHTEST = (0.7, 1.6)
"""what a single path may add, in rooms where paper is at 0.1 or so, and where a window is in sight"""
SETTLED_MM = 1.2
"""mm; a ray that lands further from the point it was meant for met something else"""


def assemble(shot: Photo) -> tuple[mi.Scene, list[str]]:
    """The scene as it stands before the camera, and what clutter is in it."""
    build = Builder()
    rng = np.random.default_rng([shot.seed, 3])
    build_wall(build, shot.place)
    build_shell(build, shot.place)
    build_behind(build, shot.place, rng)
    for card in shot.cards:
        hang(build, card)
    if shot.plumb:
        hang_plumb_line(build, shot.plumb)
    clutter = furnish(build, shot.place, shot.guard(), rng)
    set_lights(build, shot.place, shot.light, shot.camera.position_mm)
    return mi.load_dict({"type": "scene", **build.shapes}), clutter


def truth(shot: Photo, camera: Camera, clutter: list[str]) -> dict[str, Any]:
    """The same keys as the samples', with the layout's name."""
    project = camera.project
    facts = record.truth(as_shot(shot), camera)
    facts["origin"] = (
        f"rendered for this project with Mitsuba 3 by {Path(__file__).name} beside the sets of scenes; no real place"
    )
    facts["opening"]["edge_taken"] = EDGES[shot.place.edge.kind]
    facts["cards"] = [card_truth(card, number, project) for number, card in enumerate(shot.cards, 1)]
    facts["layout"] = shot.layout
    facts["note"] = f"{shot.note}; about: {', '.join(clutter) or 'nothing'}"
    return facts


def as_shot(shot: Photo) -> Shot:
    """What the studio's record wants to know; the finishes are not read."""
    blank = plain((0.5, 0.5, 0.5))
    room = Room(Finish(*[blank] * 9), ())
    title = f"Room {shot.name.removeprefix('eleventh_').replace('_', ' ')} {shot.place.what}"
    opening = shot.place.opening
    return Shot(
        shot.name,
        title,
        shot.seed,
        opening,
        room,
        shot.camera,
        (),
        Expected(None),
        shot.options,
        plumb_line=shot.plumb,
        note=shot.note,
    )


def sight(shot: Photo, scene: mi.Scene) -> tuple[float, float, float]:
    """By the renderer's own rays: largest miss (mm) where no tape is, hidden share of the worst edge and of the worst card."""
    miss, hidden_edge, hidden_card = 0.0, 0.0, 0.0
    for name, edge in shot.place.opening.edges(60).items():
        out = {"left": (-0.4, 0), "right": (0.4, 0), "curb": (0, -0.4), "head": (0, 0.4)}[name]
        points = np.column_stack([edge + np.array(out), np.zeros(len(edge))])[1:-1]
        away = np.linalg.norm(trace.where_pixels_land(scene, shot.camera, shot.camera.project(points)) - points, axis=1)
        hidden_edge = max(hidden_edge, float(np.mean(away > SETTLED_MM)))
        miss = max(miss, float(away[away <= SETTLED_MM].max(initial=0.0)))
    u, v = (a.ravel() for a in np.meshgrid(np.linspace(-0.97, 0.97, 14), np.linspace(-0.94, 0.94, 14)))
    for card in shot.cards:
        points = card.points(u, v)
        away = np.linalg.norm(trace.where_pixels_land(scene, shot.camera, shot.camera.project(points)) - points, axis=1)
        hidden_card = max(hidden_card, float(np.mean(away > SETTLED_MM)))
        bare = (np.abs(u) < 0.5) & (np.abs(v) < 0.5) & (away <= SETTLED_MM)
        miss = max(miss, float(away[bare].max(initial=0.0)))
    return miss, hidden_edge, hidden_card


def take(name: str, options: argparse.Namespace, darkroom: ThreadPoolExecutor) -> Future[None] | None:
    """Builds, checks and traces one photograph; it is developed in the background."""
    started = time.monotonic()
    shot = photo(name)
    camera = smaller(shot.camera, options.scale)
    scene, clutter = assemble(shot)
    miss, edge, card = sight(shot, scene)
    found = f"{name}: misses {miss:.3f} mm, hidden: edge {edge:.0%}, card {card:.0%}"
    print(f"{found}; {shot.camera.position_mm[2]:.0f} mm; {shot.note}; {clutter}", flush=True)
    if edge > 0.1 or card > 0.02:
        print(f"{name}: TOO MUCH IS HIDDEN", flush=True)
    if options.build_only:
        return None
    trace.BRIGHTEST = BRIGHTEST[shot.place.what == "window"]
    linear = trace.expose(scene, camera, options.samples, shot.seed, options.per_pass)
    print(f"{name}: {time.monotonic() - started:.0f} s", flush=True)
    return darkroom.submit(_finish, shot, camera, (linear, clutter), options.out)


def _finish(shot: Photo, camera: Camera, exposed: tuple[np.ndarray, list[str]], out: Path) -> None:
    upright = develop.develop(exposed[0], shot.development, shot.seed)
    jpeg = develop.write_jpeg(upright, shot.development, shot.equivalent_mm)
    (out / f"{shot.name}.jpg").write_bytes(jpeg)
    facts = json.dumps(truth(shot, camera, exposed[1]), indent=1, separators=(",", ": "))
    (out / f"{shot.name}.json").write_text(facts + "\n")
    (out / f"{shot.name}.readings.toml").write_text(record.readings(as_shot(shot)))


def share(part: str) -> list[str]:
    """The names of the k-th of n shares, as "k/n"."""
    k, n = (int(v) for v in part.split("/"))
    if not 1 <= k <= n:
        raise ValueError(f"no part {part}")
    return names()[k - 1 :: n]


def main() -> None:
    """The command line."""
    parser = argparse.ArgumentParser(description="Renders the eleventh set of rooms with their truth.")
    parser.add_argument("names", nargs="*", metavar="NAME", help="of these photographs only")
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--variant", default="llvm_ad_rgb", help="Mitsuba variant, cuda_ad_rgb or llvm_ad_rgb")
    parser.add_argument("--samples", type=int, default=32, help="light paths per pixel")
    parser.add_argument("--per-pass", type=int, default=4, help="of these at a time")
    parser.add_argument("--scale", type=float, default=1.0, help="smaller pictures for a trial")
    parser.add_argument("--part", default="1/1", help="k/n: the k-th of n shares")
    parser.add_argument("--build-only", action="store_true", help="build and check the scenes, trace nothing")
    options = parser.parse_args()
    mi.set_variant(options.variant)
    mi.set_log_level(mi.LogLevel.Error)
    options.out.mkdir(parents=True, exist_ok=True)
    wanted = [name for name in share(options.part) if not options.names or name in options.names]
    with ThreadPoolExecutor(2) as darkroom:
        waiting = [take(name, options, darkroom) for name in wanted]
    for done in waiting:
        if done:
            done.result()


if __name__ == "__main__":
    sys.exit(main())
