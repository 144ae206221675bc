"""What one check of one scene said, as plain data that can be kept: measured once, judged and tabulated as often as one likes.

A kept record belongs to the bytes of photo, truth and readings, of every file under vision/, and of the files here that say how
it was made; where one of them changes, the record is made again.
"""

from __future__ import annotations

import hashlib
import json
import os
import sys
import time
from collections.abc import Iterable, Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import cache, cached_property
from pathlib import Path
from typing import Any

import cv2
import numpy as np

import vision
from tests.benchmarks.scene_files import Scene
from tests.benchmarks.textbook import textbook_sizes
from vision.check import Report, check
from vision.gaussian import Gaussian
from vision.judge.compare import compare
from vision.judge.planes import PlaneDoubt
from vision.judge.verdicts import Comparison
from vision.judging import plane_doubts

MADE_BY = ("scene_files.py", "scene_records.py", "textbook.py")


@dataclass(frozen=True)
class Job:
    """One check: which scene, which draw of rough corners, which options."""

    scene: Scene
    draw: int = 0
    options: str = "as stated"


@dataclass(frozen=True)
class Record:
    """One check's answer. `data` holds what `_data` makes, plain enough for JSON."""

    job: Job
    data: Mapping[str, Any]

    @property
    def scene(self) -> Scene:
        return self.job.scene

    @property
    def refused(self) -> str | None:
        """Code of why nothing, or no size, could be measured."""
        return None if self.quantities is not None and "width_top" in self.quantities.names else str(self.data["refused"])

    @cached_property
    def quantities(self) -> Gaussian | None:
        """Everything stated, with the covariance by source."""
        return _gaussian(self.data["quantities"])

    @cached_property
    def shape(self) -> Gaussian | None:
        """The sizes as the judge gets them."""
        return _gaussian(self.data["shape"])

    def errors(self) -> dict[str, tuple[float, float]]:
        """Stated less true, and the stated sd, of everything that is stated and whose truth is known."""
        if self.quantities is None:
            return {}
        true, of = self.scene.true(), self.quantities
        return {n: (of.value(n) - true[n], of.u(n)) for n in of.names if n in true}

    def by_marks(self, name: str) -> bool:
        """True where marked corners stand for an edge that was not seen and make more than half of this quantity's sd."""
        of = self.quantities
        return of is not None and name in of.names and of.budget(name).get("corners marked", 0.0) > 0.5 * of.u(name)

    def textbook(self) -> dict[str, float]:
        """The textbook method's errors in mm."""
        true = self.scene.true()
        return {n: v - true[n] for n, v in self.data["textbook"].items() if n in true}

    def judged(self, taped: Gaussian, texts: Mapping[str, str]) -> Comparison:
        """These readings held against this photo, as the check does."""
        planes = tuple(PlaneDoubt(**one) for one in self.data["planes"])
        return compare(self.shape, taped, texts, scale_refused=bool(self.data["scale_refused"]), planes=planes)


def _gaussian(data: dict[str, Any] | None) -> Gaussian | None:
    if data is None:
        return None
    n = len(data["names"])
    sources = {name: np.array(factor, dtype=np.float64).reshape(n, -1) for name, factor in data["sources"].items()}
    return Gaussian(tuple(data["names"]), np.array(data["mean"], dtype=np.float64), sources)


def _plain(record: Gaussian | None) -> dict[str, Any] | None:
    if record is None:
        return None
    sources = {name: factor.tolist() for name, factor in record.sources.items()}
    return {"names": list(record.names), "mean": record.mean.tolist(), "sources": sources}


def _data(report: Report, scene: Scene) -> dict[str, Any]:
    opening, problem = report.opening, report.cannot_measure
    verdicts = report.comparison.readings
    return {
        "refused": problem.code if problem else "no scale",
        "scale_refused": opening is not None and opening.scale_refused,
        "quantities": _plain(opening.quantities if opening else None),
        "shape": _plain(opening.shape if opening else None),
        "planes": [dict(vars(one)) for one in plane_doubts(opening)] if opening else [],
        "status": report.order.status,
        "reasons": [reason.code for reason in report.order.reasons],
        "reason_texts": [reason.text for reason in report.order.reasons],
        "findings": [finding.code for finding in report.findings],
        "suspect": [name for name, verdict in verdicts.items() if verdict.verdict == "suspect"],
        "textbook": textbook_sizes(scene),
    }


# --- keeping


@cache
def _code() -> bytes:
    """Digest of the program and of what makes a record."""
    program = sorted(p for p in Path(vision.__file__).parent.rglob("*") if p.is_file() and p.suffix != ".pyc")
    digest = hashlib.sha256()
    for path in (*program, *(Path(__file__).with_name(name) for name in MADE_BY)):
        digest.update(path.name.encode() + b"\0" + hashlib.sha256(path.read_bytes()).digest())
    return digest.digest()


def _key(job: Job) -> str:
    digest = hashlib.sha256(_code())
    for suffix in (".jpg", ".json", ".readings.toml"):
        path = job.scene.photo.with_suffix(suffix)
        digest.update(hashlib.sha256(path.read_bytes() if path.exists() else b"").digest())
    digest.update(f"{job.draw} {job.options}".encode())
    return digest.hexdigest()


def measured(job: Job, cache_folder: Path | None = None) -> Record:
    """The record of this job, kept or made."""
    kept = None
    if cache_folder is not None:
        words = job.options.replace(" ", "-")
        kept = cache_folder / f"{job.scene.name}.{job.draw}.{words}.{_key(job)[:16]}.json"
        if kept.exists():
            return Record(job, json.loads(kept.read_text()))
    cv2.setNumThreads(1)
    data = _data(check(job.scene.request(job.draw, job.options)), job.scene)
    if kept is not None:
        part = kept.with_suffix(f".{os.getpid()}.part")
        part.write_text(json.dumps(data))
        part.replace(kept)  # a run that is broken off leaves no half record
    return Record(job, data)


def _plainly(job: Job, cache_folder: Path | None) -> Mapping[str, Any]:
    return measured(job, cache_folder).data


def all_measured(jobs: Sequence[Job], processes: int, cache_folder: Path | None = None) -> list[Record]:
    """The records of all jobs in their order; progress goes to standard error."""
    if cache_folder is not None:
        cache_folder.mkdir(parents=True, exist_ok=True)
    with ProcessPoolExecutor(processes) as pool:
        data = pool.map(_plainly, jobs, [cache_folder] * len(jobs))
        return [Record(job, one) for job, one in zip(jobs, _told(data, len(jobs)), strict=True)]


def _told(data: Iterable[Mapping[str, Any]], count: int) -> Iterator[Mapping[str, Any]]:
    started = time.monotonic()
    for number, one in enumerate(data, 1):
        print(f"\r{number} of {count} checks, {time.monotonic() - started:.0f} s", end="", file=sys.stderr, flush=True)
        yield one
    print(file=sys.stderr)
