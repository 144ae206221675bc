"""Hostile files: mutants of our own photos and other odd files; each must end as a row, in bounded memory."""

from __future__ import annotations

import hashlib
import resource
import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image, ImageOps

from api.engine import PoolExecutor, outcomes
from api.screening import look_at
from tests.benchmarks import screening_hostile as own
from tests.benchmarks.scene_files import FOLDERS, ROOT, Scene, scenes
from tests.benchmarks.screening_faults import SEED, as_file
from tests.benchmarks.screening_tally import off_sds
from vision.check import GOOD, ScreenRequest

TIMEOUT_S, AHEAD = 120.0, 2
"""seconds a photo, and photos handed out ahead of each worker"""


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


def hostile(count: int, more: Path | None, workers: int) -> None:
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
    with PoolExecutor(workers, TIMEOUT_S) as executor:
        for request, outcome in outcomes(own.look_and_weigh, jobs(), executor, AHEAD * workers):
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
