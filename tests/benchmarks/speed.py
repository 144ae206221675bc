"""How long a whole check takes, as a multiple of Pillow's decoding of the same file, where the time goes, and the peak memory.

    python -m tests.benchmarks.speed [--repeats 5] [SCENE ...]

Both are measured in turn in one process after start-up, in processor time of one thread, the best of each. No absolute times:
they are the machine's. Peak memory is that of a process of its own that does one check; over the limit the program ends with 1.
"""

from __future__ import annotations

import argparse
import io
import resource
import subprocess
import sys
import time
from collections import defaultdict
from collections.abc import Callable
from pathlib import Path
from typing import Any

import cv2
from PIL import Image

import vision.check
import vision.geometry.adjustment
import vision.geometry.card_seen
import vision.geometry.further
import vision.geometry.lines_meant
import vision.geometry.look
import vision.geometry.measure
import vision.geometry.seeing
from tests.benchmarks.scene_files import OPTIONS, scenes
from vision.check import check

MOST_MIB = 700.0
"""the program's promise for a 12 MP photo"""
STAGES: dict[str, tuple[tuple[Any, str], ...]] = {
    "read": ((vision.check, "read_photo"),),
    "find cards": (
        (vision.geometry.look, "find_cards_and_cut"),
        (vision.geometry.look, "cards_by_size"),
    ),
    "outline": (
        (vision.geometry.lines_meant, "rough_courses"),
        (vision.geometry.look, "sights"),
        (vision.geometry.seeing, "observe_outline"),
        (vision.geometry.seeing, "observe_plumb"),
        (vision.geometry.measure, "observe_outline"),
    ),
    "card sides": (
        (vision.geometry.card_seen, "observe_card"),
        (vision.geometry.further, "observe_card"),
        (vision.geometry.measure, "observe_card"),
    ),
    "adjust": ((vision.geometry.adjustment.Problem, "solve"),),
}
"""what each column counts: functions that do not call each other, where they are looked up"""


def timed(name: str, function: Callable[..., Any], spent: dict[str, float]) -> Callable[..., Any]:
    """The function, with its processor time added up."""

    def measured(*args: Any, **named: Any) -> Any:
        start = time.process_time()
        try:
            return function(*args, **named)
        finally:
            spent[name] += time.process_time() - start

    return measured


def watch(spent: dict[str, float]) -> None:
    """Count the time of every stage from now on."""
    for name, places in STAGES.items():
        for owner, attribute in places:
            setattr(owner, attribute, timed(name, getattr(owner, attribute), spent))


def peak_mib(scene: str) -> float:
    """Largest memory of a process that does this one check."""
    ran = subprocess.run(
        [sys.executable, "-m", "tests.benchmarks.speed", "--peak", scene], check=True, capture_output=True, text=True
    )
    return float(ran.stdout)


def print_own_peak(scene: str) -> None:
    """One check in this process, then its peak memory in MiB."""
    (one,) = scenes([scene])
    check(one.request(0, OPTIONS[0]))
    status = Path("/proc/self/status")  # getrusage would count the parent's memory before the child's program was loaded
    lines = status.read_text().splitlines() if status.exists() else []
    peak = next((float(line.split()[1]) for line in lines if line.startswith("VmHWM:")), None)
    print((peak or resource.getrusage(resource.RUSAGE_SELF).ru_maxrss) / 1024)


def main() -> int:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("scenes", nargs="*")
    parser.add_argument("--repeats", type=int, default=5, help="of which the best counts")
    parser.add_argument("--peak", help=argparse.SUPPRESS)
    options = parser.parse_args()
    if options.peak:
        print_own_peak(options.peak)
        return 0
    cv2.setNumThreads(1)
    spent: dict[str, float] = defaultdict(float)
    watch(spent)
    print(
        f"{'scene':28} {'MP':>5} {'check/decode':>12}  " + " ".join(f"{n:>10}" for n in (*STAGES, "rest")) + f" {'peak MiB':>9}"
    )
    worst = 0.0
    for scene in scenes(options.scenes):
        data, request = scene.photo.read_bytes(), scene.request(0, OPTIONS[0])
        decode, whole, shares = float("inf"), float("inf"), dict.fromkeys(STAGES, 0.0)
        for _ in range(options.repeats + 1):  # the first warms up: none is quicker cold
            start = time.process_time()
            Image.open(io.BytesIO(data)).load()
            decode = min(decode, time.process_time() - start)
            spent.clear()
            start = time.process_time()
            check(request)
            took = time.process_time() - start
            if took < whole:
                whole, shares = took, {n: spent[n] for n in STAGES}
        peak = peak_mib(scene.name)
        worst = max(worst, peak)
        parts = [*shares.values(), whole - sum(shares.values())]
        size = scene.truth["image"]["width"] * scene.truth["image"]["height"] / 1e6
        cells = " ".join(f"{p / decode:10.1f}" for p in parts)
        print(f"{scene.name:28} {size:5.1f} {whole / decode:12.1f}  {cells} {peak:9.0f}", flush=True)
    print("all columns between MP and peak are multiples of the decoding; stages in the order in which they run")
    return int(worst > MOST_MIB)


if __name__ == "__main__":
    raise SystemExit(main())
