"""What screening finds, what it costs, and that hostile files end as rows.

    python -m tests.benchmarks.screening faults  [--folder DIR ...]   recall, false "ask again", wrong numbers called good
    python -m tests.benchmarks.screening hostile [--mutants 2000] [--more DIR]   mutants of our own photos, and other odd files
    python -m tests.benchmarks.screening cost    [--folder DIR ...]   processor time as a multiple of Pillow's decode

Faults are made in steps from path-traced photos with truth. One costs accuracy where the check's u doubles, its true error
passes three u, or it refuses; only there it has to be found: by a reason that was not given before the fault was made.
"""

from __future__ import annotations

import argparse
import hashlib
import io
import resource
import signal
import time
import zlib
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image, ImageOps

from api.engine import PoolExecutor, outcomes
from api.screening import look_at
from tests.benchmarks import screening as own
from tests.benchmarks.scene_files import FOLDERS, ROOT, Scene, scenes
from tests.benchmarks.screening_faults import FAULTS, SEED, Fault, as_file
from tests.benchmarks.screening_warps import Made
from vision import screening
from vision.check import AGAIN, GOOD, OwnTracer, ScreenRequest, Settings, screen
from vision.geometry.cards import parse_cards
from vision.photo.intake import read_photo
from vision.screening_sight import measured_sight

SETTINGS = Settings()
WORKERS, TIMEOUT_S, AHEAD = 2, 120.0, 4


@dataclass(frozen=True)
class Screened:
    """What is said, and of the check at these corners: u of the middle width (mm) and its true error in u, None if refused.

    `told_sds` is the true error of the size that was told, in its u.
    """

    verdict: str
    codes: frozenset[str]
    u_mm: float | None
    off_sds: float | None
    told_sds: float | None

    def worse_than(self, before: Screened) -> bool:
        """u doubles, the error passes three u, or the check refuses."""
        return self.u_mm is None or before.u_mm is None or self.u_mm > 2 * before.u_mm or (self.off_sds or 0) > 3


def screened(scene: Scene, data: bytes, made: Made | None = None) -> Screened:
    """One photo with its own rough corners, moved as the picture is; the check itself where the screening has not asked it."""
    asked = scene.request(0, "as stated")
    rough = np.array(asked.corners[0])
    corners = tuple((float(x), float(y)) for x, y in (rough if made is None else made.at(rough)))
    said = screen(ScreenRequest("photo.jpg", data, corners, asked.cards, asked.head), SETTINGS)
    band = said.band
    if said.verdict == AGAIN or band is None or band.how != "measured":
        cards = parse_cards(asked.cards, None, SETTINGS.cards)
        photo = read_photo("photo.jpg", data, SETTINGS.intake)
        band = measured_sight(photo, np.array(corners), cards, SETTINGS, head=asked.head).band
    codes = frozenset(r.code for r in said.reasons)
    off = None if band is None else off_sds(band.width_mm, band.u_width_mm, scene)
    told = None if said.band is None else off_sds(said.band.width_mm, said.band.u_width_mm, scene)
    return Screened(said.verdict, codes, None if band is None else band.u_width_mm, off, told)


def off_sds(width_mm: float, u_mm: float, scene: Scene) -> float:
    """How far a width is off the nearest of the true ones, in its u."""
    return min(abs(width_mm - v) for n, v in scene.true().items() if n.startswith("width")) / u_mm


@dataclass
class Tally:
    """What came of all photos of all scenes so far."""

    costs: Counter[str] = field(default_factory=Counter)
    found: Counter[str] = field(default_factory=Counter)
    named: Counter[str] = field(default_factory=Counter)
    made: Counter[str] = field(default_factory=Counter)
    good: int = 0
    again: list[str] = field(default_factory=list)
    told: int = 0
    wrong: list[str] = field(default_factory=list)
    told_wrong: list[str] = field(default_factory=list)

    def size(self, name: str, one: Screened) -> None:
        """A size that was told, or none."""
        self.told += one.told_sds is not None
        if (one.told_sds or 0) > 3:
            self.told_wrong.append(f"{name}: {one.told_sds:.1f} u")
            self.wrong += [name] if one.verdict == GOOD else []

    def fault(self, fault: Fault, before: Screened, after: Screened) -> None:
        """One fault made in one good photo."""
        self.made[fault.name] += 1
        self.named[fault.name] += bool(after.codes & fault.codes)
        worse = after.worse_than(before)
        seen = after.verdict != GOOD and bool(after.codes - before.codes)
        self.costs[fault.name] += worse
        self.found[fault.name] += worse and seen
        if worse and not seen:
            print(f"   missed: {fault.name}, {after.verdict}, u {after.u_mm}, {after.off_sds} u off", flush=True)

    def print(self) -> None:
        """The table."""
        share = len(self.again) / max(self.good, 1)
        print(
            f"{self.good} photos that the check measures: {len(self.again)} asked for again ({share:.1%}; limit 3 %) {self.again}"
        )
        for name, made in self.made.items():
            n = self.costs[name]
            print(
                f"{name:14s} made {made:3d}, its own reason given {self.named[name]:3d}, costs accuracy in {n:3d}, "
                f"found in {self.found[name]:3d}" + (f" ({self.found[name] / n:.0%})" if n else "")
            )
        n, found = self.costs.total(), self.found.total()
        print(f"all faults: cost accuracy in {n}, found in {found} ({found / max(n, 1):.1%}; at least 95 %)")
        print(f"a wrong number called good to measure: {len(self.wrong)} (must be 0) {self.wrong}")
        print(f"sizes told, also rough ones: {self.told}, beyond 3 u: {len(self.told_wrong)} {self.told_wrong}")


def faults(folders: list[Path], most: int) -> None:
    """Prints recall for each fault, how often its own reason is given, and what was called good though it was wrong.

    Scenes come in an order drawn by their names; broken off, it prints what there is.
    """
    tally = Tally()
    chosen = [s for s in scenes((), folders) if not folders or s.photo.parent in folders]
    try:
        for scene in sorted(chosen, key=lambda s: zlib.crc32(s.name.encode()))[:most]:
            _with_faults(scene, tally)
    except KeyboardInterrupt:
        print("broken off")
    tally.print()


def _with_faults(scene: Scene, tally: Tally) -> None:
    raw = scene.photo.read_bytes()
    with Image.open(io.BytesIO(raw)) as image:
        exif = image.info.get("exif")
        pixels = np.asarray(ImageOps.exif_transpose(image).convert("RGB"))
    before = screened(scene, raw)
    print(f"{scene.name}: {before.verdict}, u {before.u_mm}, {before.off_sds} u off, {sorted(before.codes)}", flush=True)
    tally.size(scene.name, before)
    if before.u_mm is None:
        return
    tally.good += 1
    tally.again += [scene.name] if before.verdict == AGAIN else []
    for fault in FAULTS:
        made = fault.made(pixels, scene)
        if made is None:
            continue
        after = screened(scene, as_file(made.pixels, exif, fault.quality, made), made)
        tally.fault(fault, before, after)
        tally.size(f"{scene.name}, {fault.name}", after)


def mutants(count: int, folder: Path) -> Iterator[tuple[ScreenRequest, Scene]]:
    """Seeded changes of our photos: bytes flipped, pieces cut out, doubled or swapped, heads that lie.

    Of each of the five kinds one in ten at full size, three in ten at a third of it, which reaches the same code in less time,
    the rest at a fifth, which ends after the picture's quality. One in five has its outline marked, so that broken pixels also
    reach the check's adjustment.
    """
    rng = np.random.default_rng(SEED)
    rooms = scenes((), (folder,)) if folder not in FOLDERS else [s for s in scenes() if s.photo.parent == folder]
    smaller = {times: [_reduced(room, times) for room in rooms] for times in (3, 5)}
    for number in range(count):
        which = int(rng.integers(len(rooms)))
        room, kind, times = rooms[which], MUTATIONS[number % len(MUTATIONS)], SIZES[number // len(MUTATIONS) % len(SIZES)]
        asked = room.request(0, "as stated")
        data, scale = bytearray(asked.photos[0][1] if times == 1 else smaller[times][which]), 1 / times
        kind(data, rng)
        marked = tuple(((x + 0.5) * scale - 0.5, (y + 0.5) * scale - 0.5) for x, y in asked.corners[0] or ())
        corners = marked if rng.random() < 0.2 else None
        yield ScreenRequest(f"mutant {number}", bytes(data), corners, asked.cards, asked.head), room


def _flipped(data: bytearray, rng: np.random.Generator) -> None:
    for at in rng.integers(0, len(data), rng.integers(1, 40)):
        data[at] = rng.integers(0, 256)


def _ended(data: bytearray, rng: np.random.Generator) -> None:
    del data[int(rng.integers(2, len(data))) :]


def _cut_out(data: bytearray, rng: np.random.Generator) -> None:
    a, b = sorted(int(x) for x in rng.integers(2, len(data), 2))
    del data[a : min(b, a + 5000)]


def _head_lies(data: bytearray, rng: np.random.Generator) -> None:
    for at in rng.integers(2, 700, rng.integers(1, 12)):
        data[at] = rng.integers(0, 256)


def _doubled(data: bytearray, rng: np.random.Generator) -> None:
    a = int(rng.integers(2, len(data) - 2000))
    data[a:a] = data[a : a + int(rng.integers(1, 2000))]


MUTATIONS = (_flipped, _ended, _cut_out, _head_lies, _doubled)
SIZES = (1, 3, 5, 5, 3, 5, 5, 3, 5, 5)
"""how many times smaller; each turn of all kinds has one of them"""


def _reduced(room: Scene, times: int) -> bytes:
    with Image.open(room.photo) as image:
        upright = ImageOps.exif_transpose(image).convert("RGB")
        return as_file(np.asarray(upright.reduce(times)), image.info.get("exif"))


def look_and_weigh(request: ScreenRequest) -> tuple[dict[str, Any], float]:
    """One photo in a worker: its row, and the most memory (MiB) that the worker has held so far."""
    return look_at(request), resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def hostile(count: int, more: Path | None) -> None:
    """Prints how mutants and other odd files end, the memory of parent and workers, and sizes that a broken file made wrong."""
    rooms: dict[str, Scene] = {}

    def jobs() -> Iterator[ScreenRequest]:
        for request, room in mutants(count, ROOT / "sample_images"):
            rooms[request.name] = room
            yield request
        for path in sorted(more.rglob("*")) if more else ():
            if path.is_file():
                yield ScreenRequest(path.name, path.read_bytes())

    ends, wrong = Counter[str](), Counter[str]()
    rows, heaviest, began = 0, 0.0, time.monotonic()
    with PoolExecutor(WORKERS, TIMEOUT_S) as executor:
        for request, outcome in outcomes(own.look_and_weigh, jobs(), executor, AHEAD):
            rows += 1
            if rows % 100 == 0:
                print(f"... {rows} after {time.monotonic() - began:.0f} s", flush=True)
            if isinstance(outcome, BaseException):
                ends[f"process ended: {type(outcome).__name__}"] += 1
                print("ended", request.name, repr(outcome)[:200], flush=True)
                continue
            row, peak = outcome
            heaviest = max(heaviest, peak)
            assert row["sha256"] == hashlib.sha256(request.data).hexdigest()
            assert row["verdict"] == GOOD or row["reasons"]
            ends[", ".join([row["verdict"], *worst(row)])] += 1
            off = row_off_sds(row, rooms.get(request.name))
            if off is not None:
                wrong[f"{row['verdict']}, {row['band']['how']}: {'beyond' if off > 3 else 'within'} 3 u"] += 1
                if off > 3:
                    print(f"wrong: {request.name} of {rooms[request.name].name}, {row['verdict']}, {off:.1f} u", flush=True)
    for end, n in ends.most_common():
        print(f"{n:6d}  {end}")
    print("sizes of mutants against the truth: " + ("; ".join(f"{k} {n}" for k, n in sorted(wrong.items())) or "none given"))
    parent = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"{rows} files, {rows} rows; peak memory {parent:.0f} MiB here, {heaviest:.0f} MiB in the largest worker")


def worst(row: dict[str, Any]) -> list[str]:
    """The first of the gravest reasons, if there is one."""
    return [r["code"] for r in sorted(row["reasons"], key=lambda r: r["level"] != "again")][:1]


def row_off_sds(row: dict[str, Any], room: Scene | None) -> float | None:
    """How far the width of a row is off the nearest true one, in its u; None where there is none."""
    if room is None or "band" not in row:
        return None
    return off_sds(float(row["band"]["width_mm"]), float(row["band"]["u_width_mm"]), room)


STAGES = {
    "fields": "read_provenance",
    "reduced": "read_reduced",
    "quality": "quality_of",
    "references": "references_at_reduced_scale",
    "estimate": "estimated_sight",
    "full": "read_photo",
    "measure": "measured_sight",
}
"""stage -> the function of `vision/screening.py` that it is; the outline is the tracer's"""


class Clock:
    """Processor seconds of each stage of one screening, and the tracer beside it."""

    def __init__(self) -> None:
        self.spent: Counter[str] = Counter()

    def timed(self, stage: str, function: Callable[..., Any]) -> Callable[..., Any]:
        def run(*args: Any, **kwargs: Any) -> Any:
            began = time.process_time()
            try:
                return function(*args, **kwargs)
            finally:
                self.spent[stage] += time.process_time() - began

        return run


def spent_on(request: ScreenRequest, *, traced: bool) -> tuple[str, Counter[str]]:
    """The verdict, and seconds by stage; "all" is the whole screening."""
    clock, kept = Clock(), {name: getattr(screening, name) for name in STAGES.values()}
    try:
        for stage, name in STAGES.items():
            setattr(screening, name, clock.timed(stage, kept[name]))
        tracer = clock.timed("outline", OwnTracer(SETTINGS, request.head)) if traced else None
        done = clock.timed("all", screen)(request, SETTINGS, tracer)
    finally:
        for name, function in kept.items():
            setattr(screening, name, function)
    return done.verdict, clock.spent


def cost(folders: list[Path], most: int) -> None:
    """Prints what a screening costs in decodes of the same file by Pillow, stage by stage, without and with a traced outline.

    The least of three turns of each, in turn with the decode, since other work on the machine slows all of them.
    """
    columns = ("all", "fields", "reduced", "quality", "outline", "references", "estimate", "full", "measure")
    print(f"{'decodes of the file':28s} {'decode':>8s} " + " ".join(f"{c:>10s}" for c in columns))
    ratios: dict[tuple[bool, str], list[float]] = {}
    seconds: dict[bool, list[float]] = {}
    for scene in scenes((), folders)[:most]:
        asked = scene.request(0, "as stated")
        data = asked.photos[0][1]
        request = ScreenRequest("p", data, None, asked.cards, asked.head)
        for traced in (False, True):
            decode, turns = [], []
            for _ in range(3):
                began = time.process_time()
                Image.open(io.BytesIO(data)).load()
                decode.append(time.process_time() - began)
                turns.append(spent_on(request, traced=traced))
            verdict = turns[0][0]
            least = {c: min(t[1][c] for t in turns) / min(decode) for c in columns}
            ratios.setdefault((traced, verdict), []).append(least["all"])
            seconds.setdefault(traced, []).append(min(t[1]["all"] for t in turns))
            row = " ".join(f"{least[c]:10.2f}" for c in columns)
            print(
                f"{scene.name[:20]:20s} {'traced' if traced else 'alone':7s} {1e3 * min(decode):5.0f} ms {row}  {verdict}",
                flush=True,
            )
    for (traced, verdict), of in sorted(ratios.items()):
        print(f"{_how(traced)}, {verdict}: {len(of)} photos, median {np.median(of):.1f} decodes")
    for traced, spent in sorted(seconds.items()):
        every = [r for (t, _), of in ratios.items() if t == traced for r in of]
        print(
            f"{_how(traced)}: {len(spent) / sum(spent):.2f} photos a second and core; in decodes of Pillow median "
            f"{np.median(every):.1f}, mean {np.mean(every):.1f}, {min(every):.1f} to {max(every):.1f} (aim 3)"
        )


def _how(traced: bool) -> str:
    return "with a tracer" if traced else "without"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("what", choices=("faults", "hostile", "cost"))
    parser.add_argument("--folder", action="append", type=Path, default=[], help="more scenes; repeatable")
    parser.add_argument("--mutants", type=int, default=2000)
    parser.add_argument("--more", type=Path, help="a folder of odd files, such as Tests/images of Pillow's source archive")
    parser.add_argument("--most", type=int, default=12, help="of the scenes, for faults and cost")
    asked = parser.parse_args()
    signal.signal(signal.SIGINT, signal.default_int_handler)  # also where a shell has started this in the background
    if asked.what == "faults":
        faults(asked.folder, asked.most)
    elif asked.what == "hostile":
        hostile(asked.mutants, asked.more)
    else:
        cost(asked.folder, asked.most)


if __name__ == "__main__":
    main()
