"""Renders the fourth family of random rooms; see README.md beside this file.

python -m tests.benchmarks.scenes.fourth_rooms --out FOLDER/fourth --pages FOLDER --variant cuda_ad_rgb
"""

from __future__ import annotations

import argparse
import json
import time
from collections.abc import Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path

from PIL import Image

from .fourth_base import Array, record, run, smaller
from .fourth_finish import finish, jpeg
from .fourth_plan import Lot, lots

ORIGIN = (
    "rendered for this project with Mitsuba 3 by tests/benchmarks/scenes/fourth_rooms.py from this seed and attempt; "
    "no real place"
)
DRAWN_AGAIN: dict[str, int] = {
    "fourth_sheet_01": 1, "fourth_sheet_06": 2, "fourth_opposite_04": 3, "fourth_opposite_06": 2, "fourth_four_02": 1,
    "fourth_four_03": 6, "fourth_four_04": 1, "fourth_four_06": 3, "fourth_letters_01": 1, "fourth_letters_02": 3,
    "fourth_letters_06": 3, "fourth_ours_01": 4, "fourth_ours_05": 3, "fourth_ours_07": 2, "fourth_ours_06": 1,
}  # fmt: skip
"""What --screen found: the attempt that stayed, of the rooms whose first did not."""


def main() -> None:
    import mitsuba as mi

    options = _options()
    mi.set_variant(options.variant)
    mi.set_log_level(mi.LogLevel.Error)
    options.out.mkdir(parents=True, exist_ok=True)
    wanted = [lot for lot in lots() if not options.names or any(lot.name.endswith(n) for n in options.names)]
    wanted = wanted[options.share[0] :: options.share[1]]
    with ThreadPoolExecutor(2) as darkroom:
        jobs: list[Future[None]] = []
        for job in _all(wanted, options, darkroom):
            jobs.append(job)
        for job in jobs:
            job.result()


def _all(wanted: list[Lot], options: argparse.Namespace, darkroom: ThreadPoolExecutor) -> Iterator[Future[None]]:
    from . import fourth_shoot as shoot
    from .fourth_draw import Drawn, draw
    from .fourth_screen import faults, steps

    begun = time.monotonic()
    for number, lot in enumerate(wanted, 1):
        started = time.monotonic()
        stop = begun + options.until * number / len(wanted)
        attempt = DRAWN_AGAIN.get(lot.name, 0)
        while True:
            drawn: Drawn = draw(lot, attempt, options.pages)
            scene = shoot.assemble(drawn)
            proof = shoot.prove(drawn, scene)
            print(f"{lot.name} stands after {time.monotonic() - started:.0f} s", flush=True)
            if not options.screen or (options.screen_names and not lot.name.endswith(tuple(options.screen_names))):
                break
            small = smaller(drawn.shot.camera, options.screen)
            linear, _, _ = shoot.expose(scene, small, 16, drawn.shot.seed + 7 * attempt, 4)
            preview = finish(linear, drawn.phone, drawn.shot.seed, options.screen)
            looks = steps(preview, shoot.lines(drawn), options.screen)
            why = faults(looks, proof.covered)
            if not why or attempt >= 14:
                break
            print(f"{lot.name} attempt {attempt}: {'; '.join(why)}", flush=True)
            attempt += 1
        if not options.screen_only:
            camera = smaller(drawn.shot.camera, options.scale)
            linear, lost, taken = shoot.expose(scene, camera, options.samples, drawn.shot.seed, options.per_pass, stop)
            yield darkroom.submit(_write, drawn, camera, linear, options)
        else:
            lost, taken = 0.0, 0
            Image.fromarray(preview).save(options.out / f"{lot.name}.preview.jpg", quality=88)
        hidden = ", ".join(f"{k} {v:.0%}" for k, v in proof.covered.items() if v > 0.005)
        print(
            f"{lot.name} attempt {attempt} {time.monotonic() - started:.0f} s: "
            f"worst {proof.worst_mm:.4f} mm, wrong {proof.wrong}, "
            f"corners {shoot.crossing(drawn):.1e}, no number {lost:.1e}, samples {taken}; "
            f"covered: {hidden or 'nothing'}; {drawn.shot.note}",
            flush=True,
        )


def _write(drawn, camera, linear: Array, options: argparse.Namespace) -> None:  # type: ignore[no-untyped-def]
    from .fourth_screen import steps
    from .fourth_shoot import lines

    upright = finish(linear, drawn.phone, drawn.shot.seed, options.scale)
    photo = jpeg(upright, drawn.phone, drawn.shot.equivalent_mm)
    facts = record.truth(drawn.shot, camera)
    facts["origin"] = ORIGIN
    facts["opening"]["edge_taken"] = drawn.edge_taken
    facts["layout"], facts["attempt"] = drawn.lot.layout, drawn.attempt
    if drawn.lot.layout == "ours":
        facts["note"] += "; a card's size_mm is its black frame, outer edge to outer edge"
    run.write(options.out, drawn.shot.name, photo, facts, record.readings(drawn.shot))
    looks = steps(upright, lines(drawn), options.scale)
    faint = {k: (round(v.step, 1), round(v.seen, 2)) for k, v in looks.items() if v.step < 12 or v.seen < 0.8}
    print(json.dumps({drawn.shot.name: {"MB": round(len(photo) / 1e6, 2), "faint": faint}}), flush=True)


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description="Renders the fourth family of random rooms with their truth.")
    parser.add_argument("names", nargs="*", metavar="NAME", help="ends of room names; none: all")
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--pages", type=Path, required=True, help="folder with ours_a4.png and ours_letter.png")
    parser.add_argument("--variant", default="llvm_ad_rgb")
    parser.add_argument("--samples", type=int, default=40)
    parser.add_argument("--per-pass", type=int, default=4)
    parser.add_argument("--scale", type=float, default=1.0)
    parser.add_argument("--screen", type=float, default=0.0, help="draw again what a preview of this scale does not show")
    parser.add_argument("--screen-only", action="store_true")
    parser.add_argument(
        "--until", type=float, default=1e9, help="seconds for all rooms; shared out evenly, later passes fall away"
    )
    parser.add_argument("--screen-names", nargs="*", default=[], help="ends of the names that --screen looks at; none: all")
    parser.add_argument("--share", type=int, nargs=2, default=(0, 1), metavar=("I", "N"), help="every Nth room from the Ith")
    return parser.parse_args()


if __name__ == "__main__":
    main()
