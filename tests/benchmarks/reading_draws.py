"""Readings drawn for a photo that was measured once: how often the judge names a good one, and how often the one that is wrong.

A reading is the true size with the errors of the tape's own model (tape/readings.py): where the tape ran (1 mm), and the error
of the tape itself, the same for all, unless lengths of the card were measured with it (it then moves photo and readings alike
and cancels); written to the nearest 1/16 in and read as any. The mistake is an inch, long and short, on each reading in turn.
"""

from __future__ import annotations

import math
import zlib
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass

import numpy as np
from threadpoolctl import threadpool_limits

from tests.benchmarks.scene_records import Record
from tests.judge.simulation import INCH, speaks, suspects
from vision.gaussian import Array
from vision.judge.verdicts import Comparison
from vision.settings import Settings
from vision.tape.readings import READING_NAMES, TAPE_SOURCE, Entry, TapeFacts, read_tape
from vision.units import inches_text

MOST_CLEAN = 0.02
"""share of clean checks that may name anything (issue 3)"""
LEAST_ALONE = 0.95
"""share of mistakes of an inch that must be named alone, where there is a measured sheet or two references (issue 3)"""


@dataclass(frozen=True)
class Draws:
    """How the draws of one scene ended; counts, `count` draws each of clean readings and of readings with one mistake."""

    record: Record
    count: int
    readings: int
    clean_named: int
    clean_suspect: int
    alone: int
    with_rivals: int
    other: int
    scale: int

    @property
    def must_name_alone(self) -> bool:
        """A measured sheet or at least two references in the plane."""
        scene = self.record.scene
        return scene.references >= 2 or (scene.references == 1 and scene.lengths_stated)

    @property
    def failures(self) -> list[str]:
        """Which of the issue's limits this scene breaks."""
        out = ["names clean ones"] if self.clean_named > MOST_CLEAN * self.count else []
        out += ["another alone"] if self.other else []
        if self.must_name_alone and self.alone < LEAST_ALONE * self.count:
            out.append("not alone")
        return out


def _taped(record: Record, sizes: Array, names: Sequence[str], rng: np.random.Generator) -> Array:
    """Readings of these true sizes (mm) with the tape's errors, unwritten yet."""
    own = read_tape(_facts(sizes, names)).gaussian
    off = rng.normal(0.0, Settings().tape.placement_sd_mm, len(names))
    assert record.shape is not None
    if TAPE_SOURCE not in record.shape.sources:
        off = off + own.sources[TAPE_SOURCE][:, 0] * rng.uniform(-math.sqrt(3.0), math.sqrt(3.0))
    return np.asarray(sizes + off)


def _facts(sizes: Array, names: Sequence[str]) -> TapeFacts:
    return TapeFacts(tuple(Entry(name, inches_text(float(mm))) for name, mm in zip(names, sizes, strict=True)))


def _judged(record: Record, sizes: Array, names: Sequence[str]) -> Comparison:
    facts = _facts(sizes, names)
    return record.judged(read_tape(facts).gaussian, {entry.name: entry.text for entry in facts.entries})


def draws(record: Record, count: int) -> Draws | None:
    """Judge `count` sets of clean readings and as many with one mistake; None where the photo has nothing to say."""
    true = record.scene.true()
    names = [n for n in READING_NAMES if record.shape is not None and n in record.shape.names and n in true]
    if not names:
        return None
    sizes = np.array([true[n] for n in names])
    rng = np.random.default_rng(zlib.crc32(f"readings of {record.scene.name}".encode()))
    clean_named = clean_suspect = alone = with_rivals = other = scale = 0
    with threadpool_limits(limits=1):
        for k in range(count):
            clean = _judged(record, _taped(record, sizes, names, rng), names)
            clean_named += speaks(clean)
            clean_suspect += bool(suspects(clean))
            wrong = names[k % len(names)]
            slip = np.array([n == wrong for n in names]) * INCH * (1.0 if (k // len(names)) % 2 else -1.0)
            judged = _judged(record, _taped(record, sizes, names, rng) + slip, names)
            named = suspects(judged)
            alone += named == {wrong}
            with_rivals += not named and not judged.findings and bool(judged.readings[wrong].explanations)
            other += bool(named - {wrong})
            scale += not named and bool(judged.findings)
    return Draws(record, count, len(names), clean_named, clean_suspect, alone, with_rivals, other, scale)


def all_draws(records: Sequence[Record], count: int, processes: int) -> list[Draws]:
    """The draws of every photo that has something to say."""
    with ProcessPoolExecutor(processes) as pool:
        return [one for one in pool.map(draws, records, [count] * len(records), chunksize=4) if one is not None]


def _line(label: str, of: Sequence[Draws], failures: str = "") -> str:
    clean, wrong = (100 / max(1, sum(d.count for d in of)),) * 2
    shares = (
        clean * sum(d.clean_named for d in of),
        clean * sum(d.clean_suspect for d in of),
        wrong * sum(d.alone for d in of),
        wrong * sum(d.with_rivals for d in of),
        wrong * sum(d.scale for d in of),
        wrong * sum(d.other for d in of),
    )
    return f"{label:40} " + " ".join(f"{s:10.1f}" for s in shares) + f"  {failures}"


def table(of: Sequence[Draws]) -> list[str]:
    """Lines: every scene, every layout, and how many scenes keep the limits; shares in percent."""
    heads = ("clean:named", "suspect", "inch:alone", "rivals", "scale?", "another")
    lines = [f"{'readings drawn, % of ' + str(of[0].count if of else 0):40} " + " ".join(f"{h:>10}" for h in heads)]
    lines += [
        _line(
            f"{d.record.scene.name[:27]:27} {d.record.scene.layout:11}{'' if d.must_name_alone else '-'}",
            [d],
            ", ".join(d.failures),
        )
        for d in of
    ]
    for layout in sorted({d.record.scene.layout for d in of}):
        lines.append(_line(f"all {layout}", [d for d in of if d.record.scene.layout == layout]))
    rooms = [d for d in of if d.record.scene.is_room]
    if rooms:
        lines.append(_line("all random rooms", rooms))
    lines.append(_line("all", of))
    lines.append(
        f"limits of issue 3: clean at most {100 * MOST_CLEAN:g} named, an inch named alone in {100 * LEAST_ALONE:g} (not asked"
        " where there is a -: one reference without measured lengths, or none in the plane), another never"
    )
    broken = [d for d in of if d.failures]
    lines.append(f"{len(of) - len(broken)} of {len(of)} scenes keep them all")
    return lines
