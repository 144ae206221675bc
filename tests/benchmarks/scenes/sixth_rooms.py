"""Forty rooms by a sixth author, drawn from one seed: photos, truth and readings. See README.md, "Sixth random rooms".

python -m tests.benchmarks.scenes.sixth_rooms --pages PAGES --out FOLDER/sixth --variant cuda_ad_rgb
python -m tests.benchmarks.scenes.sixth_rooms --layout four --number 2 --scale 0.2 --samples 8 --out /tmp/sixth
"""

from __future__ import annotations

import argparse
import json
import time
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import mitsuba as mi
import numpy as np

from tests.benchmarks.scenes.sixth_plan import LAYOUTS, SEED, Plan, plan, seed

MOST_ATTEMPTS = 30
NOTE = "sixth family: drawn by someone who had seen neither the program nor any other family's code"
ARRIS = {
    "cut": "where the flat of the wall face ends: sharp, the reveal begins with 8 mm of raw tile",
    "square": "the border toward the opening of a trim {0:.1f} mm wide that is flush with the wall face",
    "mitred": "where the flat of the wall face ends; a mitred joint of 0.9 mm runs back and inward from there",
    "caulk": "where the flat of the wall face ends: sharp; a bead of sealant stands 2.4 mm into the opening 5 mm behind it",
    "eased": "where the flat of the wall face ends and an easing of {0:.1f} mm radius begins",
    "bead": "where the flat of the wall face ends and a plastered bead of {0:.1f} mm radius begins",
    "bullnose": "where the flat of the wall face ends and the rounding of {0:.1f} mm radius begins",
    "quarter": "where the flat of the wall face ends and a quarter-round trim of {0:.1f} mm radius begins",
}


def main() -> None:
    options = _options()
    mi.set_variant(options.variant)
    mi.set_log_level(mi.LogLevel.Error)
    options.out.mkdir(parents=True, exist_ok=True)
    started = time.monotonic()
    part, parts = (int(n) for n in options.part.split("/"))
    rooms = [(layout, number + 1) for layout, count in LAYOUTS.items() for number in range(count)]
    for index, (layout, number) in enumerate(rooms):
        wanted = options.layout in (None, layout) and options.number in (None, number) and index % parts == part - 1
        if not wanted or (options.out / f"sixth_{layout}_{number:02d}.readings.toml").exists():
            continue
        if options.until is not None and time.monotonic() - started > options.until:
            print("no new room: the time given is over")
            break
        _room(layout, number, options)


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--pages", type=Path, help="folder of large_a4.png and large_letter.png, for the layout large")
    parser.add_argument("--variant", default="llvm_ad_rgb")
    parser.add_argument("--samples", type=int, default=30)
    parser.add_argument("--per-pass", type=int, default=2)
    parser.add_argument("--layout", choices=list(LAYOUTS))
    parser.add_argument("--number", type=int)
    parser.add_argument("--scale", type=float, default=1.0)
    parser.add_argument("--part", default="1/1", metavar="I/N", help="every Nth room from the Ith")
    parser.add_argument("--until", type=float, metavar="SECONDS", help="start no new room after so long")
    return parser.parse_args()


def _room(layout: str, number: int, options: argparse.Namespace) -> None:
    """Draws a room until an attempt has everything in sight, and makes its picture."""
    from tests.benchmarks.scenes import sixth_trace as trace

    dropped: list[str] = []
    for attempt in range(MOST_ATTEMPTS):
        begun = time.monotonic()
        drawn = plan(layout, number, attempt)
        if drawn is None:
            dropped.append(f"attempt {attempt}: no camera has all in its picture")
            continue
        scene, said = _built(drawn, options.pages)
        proof = trace.prove(scene, drawn)
        if proof.fails:
            dropped.append(f"attempt {attempt}: {proof.fails}")
            print(f"{drawn.name}: {dropped[-1]}, drawn again", flush=True)
            continue
        said |= {"attempt": attempt, "dropped": dropped, "proof": proof.text(), **drawn.dealt}
        prepared = time.monotonic() - begun
        _photograph(drawn, scene, said, options)
        taken = time.monotonic() - begun
        print(f"{drawn.name}: {proof.text()}; {prepared:.1f} s to prepare, {taken:.1f} s in all", flush=True)
        return
    raise SystemExit(f"{layout} {number}: nothing in {MOST_ATTEMPTS} attempts: {dropped}")


def _built(drawn: Plan, pages: Path | None) -> tuple[Any, dict[str, Any]]:
    from tests.benchmarks.scenes import sixth_cards, sixth_light, sixth_things, sixth_walls
    from tests.benchmarks.scenes.sixth_studio import hang_plumb_line
    from tests.benchmarks.scenes.sixth_stuff import Site

    site = Site()
    sixth_walls.build_walls(site, drawn, sixth_walls.looks(drawn))
    said: dict[str, Any] = dict(sixth_cards.hang(site, drawn, pages))
    said["clutter"], said["not_references"] = sixth_things.furnish(site, drawn)
    line = sixth_things.plumb_line(drawn)
    if line:
        hang_plumb_line(site, line)
    said["light_is"] = sixth_light.light(site, drawn)
    return mi.load_dict({"type": "scene", **site.shapes}), said


def _photograph(drawn: Plan, scene: Any, said: dict[str, Any], options: argparse.Namespace) -> None:
    from tests.benchmarks.scenes import sixth_phone, sixth_trace
    from tests.benchmarks.scenes.sixth_studio import record, smaller

    camera = smaller(drawn.camera, options.scale)
    number = int(np.random.default_rng(seed(drawn.layout, drawn.number, drawn.attempt)).integers(2**20))
    light, lost = sixth_trace.expose(scene, camera, options.samples, number, options.per_pass)
    upright, how = sixth_phone.develop(light, drawn)
    photo, quality = sixth_phone.jpeg(upright, drawn, int(str(how["quality"])))
    if lost:
        print(f"{drawn.name}: {lost:.2e} of the light paths came back as no number", flush=True)
    said |= {"phone": {**how, "quality": quality}, "samples": options.samples, "paths_lost": lost}
    shot = _shot(drawn, number)
    facts = record.truth(shot, camera)
    facts["origin"] = "rendered for this project with Mitsuba 3 by tests/benchmarks/scenes/sixth_rooms.py; no real place"
    facts["opening"]["edge_taken"] = ARRIS[drawn.dealt["arris"]].format(drawn.arris_mm)
    facts |= {"layout": drawn.layout, "focal_equivalent_mm": drawn.equivalent_mm, "made": said}
    (options.out / f"{drawn.name}.jpg").write_bytes(photo)
    (options.out / f"{drawn.name}.json").write_text(json.dumps(facts, indent=1) + "\n")
    (options.out / f"{drawn.name}.readings.toml").write_text(record.readings(shot))


def _shot(drawn: Plan, number: int) -> Any:
    """What the studio's record asks of a shot."""
    from tests.benchmarks.scenes.sixth_things import plumb_line

    expected = SimpleNamespace(status=None, suspect=(), reasons=(), findings=(), cannot_measure=None)
    names = ("width_top", "width_middle", "width_bottom", "height_left", "height_right", "diagonal_rising", "diagonal_falling")
    return SimpleNamespace(
        title=f"Room {SEED % 100 + drawn.number} {drawn.dealt['kind']}", seed=number, note=NOTE, opening=drawn.opening,
        cards=drawn.references, plumb_line=plumb_line(drawn), options=drawn.options, expected=expected,
        room=SimpleNamespace(bullnose_mm=0.0, bead_mm=0.0), slips_mm={}, readings=names,
    )  # fmt: skip


if __name__ == "__main__":
    main()
