"""How far the program is off on path-traced photos with exact truth, beside the textbook method on the same photos.

    python -m tests.benchmarks.accuracy [--folder DIR ...] [--draws 2] [--readings 100] [--defaults] [--cache DIR] [SCENE ...]
    python -m tests.benchmarks.accuracy --picture SCENE FILE

The committed scenes, and those of more folders (the random rooms: made as tests/benchmarks/scenes/README.md says, and held
against rooms.sha256). The textbook method refines one card's four corners, takes one homography, and is even given the
opening's true corners. Nothing here sets or tunes the program.

--draws N     N draws of rough corners a scene; the tables use the first, the rest shows how far the draw moves a size
--readings N  N draws of readings a scene, judged against the photo measured once
--defaults    the same scenes once more, with the kinds of card alone: the default priors must cover the rest
--cache DIR   keeps every answer, so that a run that was broken off goes on; whatever changes under vision/ is measured again
"""

from __future__ import annotations

import argparse
import io
from collections.abc import Iterable
from pathlib import Path

from PIL import Image

from tests.benchmarks.accuracy_conditions import OUT_OF_PLANE, conditions
from tests.benchmarks.accuracy_tables import against_the_issue, by_layout, by_scene, in_sds, movements, pooled
from tests.benchmarks.reading_draws import all_draws, table
from tests.benchmarks.scene_files import CLOSE, OPTIONS, Scene, differences, scenes
from tests.benchmarks.scene_records import Job, all_measured
from vision.check import check, overlay_jpeg

MOST_BYTES = 300_000
"""of the picture in the README"""


def parsed() -> argparse.Namespace:
    """The command line."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("scenes", nargs="*", metavar="SCENE", help="only these")
    parser.add_argument("--folder", action="append", type=Path, default=[], help="more scenes; repeatable")
    parser.add_argument("--draws", type=int, default=1, help="draws of the rough corners for each scene")
    parser.add_argument("--readings", type=int, default=0, help="draws of readings for each scene")
    parser.add_argument("--defaults", action="store_true", help="a second table with kinds of card alone")
    parser.add_argument("--close", action="store_true", help="further tables with corners marked within 3 px and so stated")
    parser.add_argument("--brief", action="store_true", help="without the lines of single scenes")
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--cache", type=Path, metavar="DIR", help="folder that keeps the answers")
    parser.add_argument(
        "--picture", nargs=2, metavar=("SCENE", "FILE"), help="write what the program saw of one scene, half size"
    )
    return parser.parse_args()


def jobs(found: Iterable[Scene], draws: int, defaults: bool, close: bool) -> list[Job]:
    """Every draw of every scene; with default priors one each, or only those that a condition asks for; `close` one each."""
    of = list(found)
    plain = [Job(scene, draw) for scene in of for draw in range(draws)] + [Job(scene, 0, CLOSE) for scene in of if close]
    return plain + [Job(scene, 0, OPTIONS[1]) for scene in of if defaults or scene.name in OUT_OF_PLANE]


def picture(scene: Scene, to: Path) -> None:
    """The photo with what was seen, as --pictures draws it, at half size and at most MOST_BYTES."""
    whole = Image.open(io.BytesIO(overlay_jpeg(check(scene.request(0, OPTIONS[0])), 0)))
    half = whole.resize((whole.width // 2, whole.height // 2), Image.Resampling.LANCZOS)
    for quality in range(90, 20, -5):
        out = io.BytesIO()
        half.save(out, format="JPEG", quality=quality, optimize=True)
        if out.tell() <= MOST_BYTES:
            to.write_bytes(out.getvalue())
            print(f"{to}: {half.width} x {half.height}, quality {quality}, {out.tell()} bytes")
            return
    raise SystemExit(f"{scene.name} does not fit {MOST_BYTES} bytes")


def show(title: str, lines: Iterable[str]) -> None:
    """One table under its title."""
    print(f"\n== {title}\n", *lines, sep="\n", flush=True)


def main() -> None:
    """Print the tables."""
    options = parsed()
    if options.picture:
        picture(scenes([options.picture[0]], options.folder)[0], Path(options.picture[1]))
        return
    for line in differences(options.folder):
        print(line)
    made = all_measured(
        jobs(scenes(options.scenes, options.folder), options.draws, options.defaults, options.close),
        options.processes,
        options.cache,
    )
    stated = [r for r in made if r.job.options == OPTIONS[0]]
    first = [r for r in stated if r.job.draw == 0]
    default = [r for r in made if r.job.options == OPTIONS[1]]
    if not options.brief:
        show("errors of each scene", by_scene(stated))
    show("errors by layout", by_layout(first))
    show("beside the figures of issue 3", against_the_issue(first))
    show("stated uncertainties", pooled(first))
    if options.draws > 1:
        show("two draws of the corners", movements(stated))
    if options.defaults:
        show("default priors: errors by layout", by_layout(default))
        show("default priors: errors in stated sds", in_sds(default))
        show("default priors: stated uncertainties", pooled(default))
    if options.close:
        close = [r for r in made if r.job.options == CLOSE]
        show("corners marked within 3 px, stated as 4: errors by layout", by_layout(close))
        show("corners marked within 3 px, stated as 4: stated uncertainties", pooled(close))
    drawn = []
    if options.readings:
        drawn = all_draws([*first, *(r for r in default if r.scene.name in OUT_OF_PLANE)], options.readings, options.processes)
        show("readings", table([d for d in drawn if d.record.job.options == OPTIONS[0]]))
    show("conditions", conditions([*first, *default], drawn))


if __name__ == "__main__":
    main()
