"""What a screening costs: processor time as a multiple of Pillow's decode of the same file, by stage and by verdict."""

from __future__ import annotations

import io
import time
from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from PIL import Image

from tests.benchmarks.scene_files import scenes
from vision import screening
from vision.check import OwnTracer, ScreenRequest, Settings, screen

SETTINGS = Settings()
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


COLUMNS = ("all", "fields", "reduced", "quality", "outline", "references", "estimate", "full", "measure")
TURNS = 3
"""of which the least counts, in turn with the decode: other work on the machine slows all of them"""
CAMERA_NOISE, CAMERA_QUALITY, CAMERA_BYTES = 1.6, range(97, 79, -2), 3.5e6
"""codes, sd; JPEG qualities; bytes of 12 MP. A phone's file of 12 MP has 3 to 4 MB, a path-traced one 1.3 (common practice)"""


@dataclass(frozen=True)
class Cost:
    """One screening: of which file ("as rendered" or "camera-like"), with a tracer or without, what was said, its seconds by
    stage and those of a decode."""

    file: str
    traced: bool
    verdict: str
    spent: Mapping[str, float]
    decode: float

    @property
    def decodes(self) -> float:
        """The whole of it in decodes."""
        return self.spent["all"] / self.decode


def camera_like(data: bytes) -> bytes:
    """The picture with a phone's noise, at the highest quality at which 12 MP of it would take no more than a phone's file."""
    with Image.open(io.BytesIO(data)) as image:
        pixels, exif = np.asarray(image.convert("RGB")), image.info.get("exif", b"")
    noise = np.random.default_rng(1).normal(0.0, CAMERA_NOISE, pixels.shape)
    noisy = Image.fromarray(np.clip(np.round(pixels + noise), 0, 255).astype(np.uint8))
    for quality in CAMERA_QUALITY:
        out = io.BytesIO()
        noisy.save(out, "JPEG", quality=quality, exif=exif)
        if len(out.getvalue()) <= CAMERA_BYTES * pixels.shape[0] * pixels.shape[1] / 12.2e6:
            break
    return out.getvalue()


def cost(folders: list[Path], most: int) -> None:
    """Prints what a screening costs in decodes of the same file by Pillow, stage by stage, without and with a traced outline."""
    cv2.setNumThreads(1)
    print(f"{'decodes of the file':35s} {'MB':>4s} {'decode':>8s} " + " ".join(f"{c:>10s}" for c in COLUMNS))
    costs: list[Cost] = []
    for scene in scenes((), folders)[:most]:
        asked = scene.request(0, "as stated")
        rendered = asked.photos[0][1]
        for file, data in (("as rendered", rendered), ("camera-like", camera_like(rendered))):
            for traced in (False, True):
                one = _cost(file, ScreenRequest("p", data, None, asked.cards, asked.head), traced=traced)
                row = " ".join(f"{one.spent[c] / one.decode:10.2f}" for c in COLUMNS)
                words = f"{scene.name[:16]:16s} {file:11s} {'traced' if traced else 'alone':6s}"
                print(f"{words} {len(data) / 1e6:4.1f} {1e3 * one.decode:5.0f} ms {row}  {one.verdict}", flush=True)
                costs.append(one)
    _tell(costs)


def _cost(file: str, request: ScreenRequest, *, traced: bool) -> Cost:
    decode, turns = [], []
    for _ in range(TURNS):
        began = time.process_time()
        Image.open(io.BytesIO(request.data)).load()
        decode.append(time.process_time() - began)
        turns.append(spent_on(request, traced=traced))
    return Cost(file, traced, turns[0][0], {c: min(t[1][c] for t in turns) for c in COLUMNS}, min(decode))


def _tell(costs: list[Cost]) -> None:
    """Medians by kind of file, tracer and verdict, and photos a second."""
    for (file, traced), group in groupby(sorted(costs, key=lambda c: (c.file, c.traced)), key=lambda c: (c.file, c.traced)):
        of = list(group)
        every = [c.decodes for c in of]
        print(
            f"{file}, {_how(traced)}: {len(of) / sum(c.spent['all'] for c in of):.2f} photos a second and core; in decodes of "
            f"Pillow median {np.median(every):.1f}, mean {np.mean(every):.1f}, {min(every):.1f} to {max(every):.1f} (aim 3)"
        )
        for verdict in sorted({c.verdict for c in of}):
            alike = [c.decodes for c in of if c.verdict == verdict]
            print(f"    {verdict}: {len(alike)} photos, median {np.median(alike):.1f}, {min(alike):.1f} to {max(alike):.1f}")


def _how(traced: bool) -> str:
    return "with a tracer" if traced else "without"
