"""Coverage of the whole check on painted photos with exact truth, for each layout and all together (issue 4, "200 as pictures").

    python -m tests.benchmarks.painted_rooms --folder DIR [--scenes 200] [--processes 2] [--layout NAME ...]
    python -m tests.benchmarks.painted_rooms --folder DIR --write      tables/painted_rooms.txt from what DIR holds
    python -m tests.benchmarks.painted_rooms --picture LAYOUT NUMBER FILE      one photo, to look at

Everything that is known only within limits is drawn from the priors (edge_draws.py; how far arrises are eased, here), painted as
room_pictures.py says, and goes through the whole check as a file: finder, edges, adjustment. Rough corners are marked to 15 px at
12 MP; of eight photos one has 12 megapixels, two have 6, five have 3. Every scene is a file in DIR under the hash of what made
it, so that a run that was broken off goes on. A scene whose check is refused is counted by its code and is in no other column:
the user gets no size of it.

For each layout: share of the 95 % intervals that hold the truth over the seven sizes, and over everything stated, with the limits
that 99.9 % of the binomial counts keep (as if the cells were independent; within a scene they are not), and the mean squared
error with the whole covariance over its degrees of freedom with its own 99.9 % limits, which does not need that.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import math
import sys
import time
from collections import Counter
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image
from scipy import stats
from threadpoolctl import threadpool_limits

from tests.benchmarks.edge_draws import CONTROL_SD_MM, draw
from tests.benchmarks.edge_scenes import INDEPENDENT
from tests.benchmarks.edge_truth import HEIGHT_PX, LAYOUTS, WIDTH_PX, Array, Scene
from tests.benchmarks.room_pictures import Look, Rays, drawn_look, painted, photo_bytes
from vision.check import CheckRequest, PlumbLine, check
from vision.geometry.opening import SIZES
from vision.settings import Settings

HERE = Path(__file__).resolve().parent
ROOT = HERE.parent.parent
TABLE = HERE / "tables" / "painted_rooms.txt"
OWN = (
    "phone.py",
    "edge_pictures.py",
    "edge_kind_list.py",
    "edge_truth.py",
    "edge_draws.py",
    "room_pictures.py",
    "painted_rooms.py",
)
IN_TABLE = tuple(n for n in LAYOUTS if n != "2 letters measured opposite")
SIZES_PX = ((1512, 2016), (3024, 4032), (1512, 2016), (2160, 2880), (1512, 2016), (1512, 2016), (2160, 2880), (1512, 2016))
ROUGH_PX, STRING_PX = 15.0, 4.0
CERTAIN, NORMAL_95 = 0.999, 1.96


def made_by() -> str:
    """sha256 over path and bytes of every file of vision/ that was imported, and of the files here."""
    digest = hashlib.sha256()
    loaded = [Path(m.__file__) for n, m in sys.modules.items() if n.split(".")[0] == "vision" and m.__file__]
    for path in sorted({p.resolve() for p in loaded} | {HERE / n for n in OWN}):
        digest.update(path.relative_to(ROOT).as_posix().encode() + b"\0" + path.read_bytes())
    return digest.hexdigest()


def stated(scene: Scene, rng: np.random.Generator) -> tuple[str, ...]:
    """What the user types about the cards: kinds, and control lengths read to 0.3 mm where the layout has them measured."""
    out: dict[str, None] = {}
    for number, card in enumerate(scene.cards, 1):
        if card.spec.size_mm is None:
            out[card.kind.name] = None
        elif card.kind.control_mm is None or number == 1:
            share = np.array(card.kind.control_mm or card.sides_mm) / (card.kind.width_mm, card.kind.height_mm)
            lengths = np.array(card.sides_mm) * (share if card.kind.control_mm else 1.0) + rng.normal(0, CONTROL_SD_MM, 2)
            which = "" if card.kind.target else f"#{number}"
            out[f"{card.kind.name}{which}={lengths[0]:.2f}x{lengths[1]:.2f}mm+-{CONTROL_SD_MM}"] = None
    return tuple(out)


def made(layout: str, number: int) -> tuple[Scene, CheckRequest, Array]:
    """A scene, the check that is asked for, and the photo's pixels before JPEG; each number has its own seed."""
    rng = np.random.default_rng([7, list(LAYOUTS).index(layout), number])
    scene = draw(layout, rng)
    size = SIZES_PX[number % len(SIZES_PX)]
    look = eased(drawn_look(rng, {c.kind.name for c in scene.cards}), scene, rng)
    slope = scene.opening.gravity + rng.normal(0, Settings().cues.plumb_line_sd_mm_per_m / 1000)
    string = (rng.uniform(0.3, 0.7) * scene.opening.width, slope)
    pixels = painted(scene, look, size, string, rng)
    at = Rays(scene, size[0] / WIDTH_PX)
    o = scene.opening
    ends = np.array([o.wall("left", np.zeros(1))[0], o.wall("right", np.zeros(1))[0], _top(scene, "right"), _top(scene, "left")])
    turn, r = rng.uniform(0, 2 * np.pi, 4), ROUGH_PX * size[1] / HEIGHT_PX * np.sqrt(rng.random(4))
    rough = at.to_photo(ends) + np.stack([r * np.cos(turn), r * np.sin(turn)], axis=1)
    y = np.array([0.9, 0.12]) * o.height
    line = at.to_photo(np.column_stack([string[0] + slope * y, y, np.zeros(2)])) + rng.uniform(-1, 1, (2, 2)) * STRING_PX
    request = CheckRequest(
        photos=(("painted.jpg", photo_bytes(pixels, look)),),
        cards=stated(scene, rng),
        corners=(tuple((float(x), float(v)) for x, v in rough),),  # type: ignore[arg-type]  # four of them
        plumb_lines=(PlumbLine(1, tuple((float(x), float(v)) for x, v in line)),),  # type: ignore[arg-type]  # two of them
    )
    return scene, request, pixels


def eased(look: Look, scene: Scene, rng: np.random.Generator) -> Look:
    """The look with arrises eased by as much as the settings state, in the scene's own pixels (12 MP)."""
    distance = abs(float(Rays(scene, 1.0).centre[2]))
    sd_mm = Settings().edges.eased_px * distance / float(scene.camera.K[0, 0])
    arris, below = rng.normal(0, sd_mm, 2)
    return replace(look, eased_mm=(float(arris), float(below)))


def _top(scene: Scene, side: str) -> Array:
    top = scene.opening.top(side)
    return np.array([top[0], top[1], scene.opening.step / 2 * (1 if side == "left" else -1)])


def record(layout: str, number: int) -> dict[str, Any]:
    """Errors and stated sds of one scene, or why there are none."""
    with threadpool_limits(limits=1):
        scene, request, _ = made(layout, number)
        report = check(request)
    if report.opening is None:
        assert report.cannot_measure is not None
        return {"refused": report.cannot_measure.code}
    q = report.opening.quantities
    if "width_top" not in q.names:
        return {"refused": next(iter(p.code for p in report.opening.not_measured.values()), "scale")}
    true = scene.opening.quantities(scene.at_mm)
    errors = {n: [q.value(n) - true[n], q.u(n)] for n in q.names if n in true}
    rows = [q.names.index(n) for n in INDEPENDENT if n in errors]
    e, u = np.array([errors[q.names[i]] for i in rows]).T
    squared = float((e / u) @ np.linalg.solve(q.covariance[np.ix_(rows, rows)] / np.outer(u, u), e / u))
    return {"errors": errors, "squared": [squared, len(rows)], "findings": [f.code for f in report.findings]}


def _job(layout: str, number: int, to: Path) -> Path:
    part = to.with_suffix(".part")
    part.write_text(json.dumps(record(layout, number)))
    part.rename(to)
    return to


def _file(folder: Path, layout: str, number: int, by: str) -> Path:
    return folder / f"{by[:16]}_{layout.replace(' ', '-')}_{number:04d}.json"


def make(folder: Path, layouts: Sequence[str], scenes: int, processes: int) -> None:
    """All scenes that are not there yet."""
    folder.mkdir(parents=True, exist_ok=True)
    by, started = made_by(), time.monotonic()
    jobs = [(n, k, _file(folder, n, k, by)) for k in range(scenes) for n in layouts]
    jobs = [job for job in jobs if not job[2].exists()]
    with ProcessPoolExecutor(processes) as pool:
        for i, done in enumerate(pool.map(_job, *zip(*jobs, strict=True)) if jobs else (), 1):
            print(f"{i} of {len(jobs)} scenes, {time.monotonic() - started:.0f} s: {done.name}", flush=True)


def kept(folder: Path, layout: str, by: str) -> list[dict[str, Any]]:
    """Every scene of a layout that these sources have made."""
    return [json.loads(p.read_text()) for p in sorted(folder.glob(f"{by[:16]}_{layout.replace(' ', '-')}_????.json"))]


def share(name: str, errors: Sequence[Sequence[float]]) -> str:
    """Coverage of 95 % intervals with the counts' 99.9 % limits, and mean u over rms."""
    e, u = np.array(errors).T
    n = len(e)
    inside = int(np.sum(np.abs(e) <= NORMAL_95 * u))
    low, high = (int(stats.binom.ppf(p, n, 0.95)) for p in ((1 - CERTAIN) / 2, (1 + CERTAIN) / 2))
    word = "within" if low <= inside <= high else ("BELOW" if inside < low else "ABOVE")
    ratio = math.sqrt(float(np.mean((e / u) ** 2)))
    limits = f"{100 * low / n:.1f} to {100 * high / n:.1f}, {n} cells"
    return f"{name:28s} {100 * inside / n:6.1f} %  ({limits}) {word}; rms in sd {ratio:.2f}"


def lines(of: dict[str, list[dict[str, Any]]]) -> Iterator[str]:
    """The table."""
    for layout in (*of, "all layouts"):
        scenes = [r for n, rs in of.items() for r in rs if layout in (n, "all layouts")]
        good = [r for r in scenes if "errors" in r]
        refused = Counter(r["refused"] for r in scenes if "refused" in r)
        said = ", ".join(f"{code} {n}" for code, n in refused.most_common())
        yield ""
        yield f"{layout}: {len(scenes)} scenes, {len(scenes) - len(good)} refused{f' ({said})' if said else ''}"
        if not good:
            continue
        yield share("  seven sizes", [v for r in good for n, v in r["errors"].items() if n in SIZES])
        yield share("  everything stated", [v for r in good for v in r["errors"].values()])
        total, n = np.array([r["squared"] for r in good]).sum(axis=0)
        low, high = (float(stats.chi2.ppf(p, n)) / n for p in ((1 - CERTAIN) / 2, (1 + CERTAIN) / 2))
        word = "within" if low <= total / n <= high else ("BELOW" if total / n < low else "ABOVE")
        yield f"  squared error                {total / n:6.2f}    ({low:.2f} to {high:.2f}, {n:.0f} degrees) {word}"
    everything = [r for rs in of.values() for r in rs if "errors" in r]
    yield ""
    yield "each quantity, all layouts"
    for name in dict.fromkeys(n for r in everything for n in r["errors"]):
        yield share(f"  {name}", [r["errors"][name] for r in everything if name in r["errors"]])


def main() -> None:
    """Make what is missing, and print or write the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--folder", type=Path, help="keeps the scenes")
    parser.add_argument("--scenes", type=int, default=200, help="scenes of each layout")
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--layout", action="append", choices=list(LAYOUTS), help="only this one; repeatable")
    parser.add_argument("--write", action="store_true", help="write the table from what is there")
    parser.add_argument("--picture", nargs=3, metavar=("LAYOUT", "NUMBER", "FILE"), help="paint one photo and nothing else")
    options = parser.parse_args()
    if options.picture:
        layout, number, to = options.picture
        Image.fromarray(made(layout, int(number))[2]).save(to, quality=92)
        return
    if options.folder is None:
        parser.error("--folder is needed")
    layouts = options.layout or list(IN_TABLE)
    if not options.write:
        make(options.folder, layouts, options.scenes, options.processes)
    by = made_by()
    head = [f"Made by sources with sha256 {by}", "(tests/benchmarks/painted_rooms.py says what the columns are)"]
    text = [*head, *lines({n: kept(options.folder, n, by) for n in layouts})]
    print("\n".join(text))
    if options.write:
        TABLE.parent.mkdir(exist_ok=True)
        TABLE.write_text("\n".join(text) + "\n")


if __name__ == "__main__":
    main()
