"""Readings of one length, taken more than once, combined with what they share and what they do not.

The tape's own error is common to all readings of one tape and does not average out; neither does the place where that length
runs. What differs from reading to reading (the mark read, the hand) does. Another tape brings its own tape error, another
person an own placement. The weights of a mean are those of the parts that differ; all sources go through the same mean.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from vision.errors import Finding
from vision.gaussian import Array, Gaussian
from vision.names import plain_names
from vision.settings import Settings
from vision.tape.facts import ALL_NAMES, LENGTH_NAMES
from vision.tape.instrument import TapeClass, tape_sd_mm
from vision.tape.levels import Level
from vision.tape.notation import Length
from vision.units import inches_text

TAPE_SOURCE = "tape"
"""name of the source that a photo shares whose card was measured with the same tape: one variable, + = tape reads long"""
ROUNDING_MM = 1e-6
"""mm; an eighth that comes out of the arithmetic a hair larger is still an eighth"""
OUT_OF_PLANE = frozenset({"curb_fall"})
"""readings that say nothing about the figure in the plane of the opening"""


@dataclass(frozen=True)
class Reading:
    """One reading read: `length` or `level`, the set it came from (0 the first), its tape, and whose hand it was."""

    name: str
    text: str
    number: int = 0
    tape: TapeClass = "us"
    tape_source: str = TAPE_SOURCE
    hand: str = ""
    length: Length | None = None
    level: Level | None = None
    at_mm: float | None = None

    @property
    def value_mm(self) -> float:
        """mm; signed for a level."""
        one = self.length or self.level
        assert one is not None
        return one.value_mm

    @property
    def step_mm(self) -> float:
        """mm; the step it was read to."""
        one = self.length or self.level
        assert one is not None
        return one.resolution_mm


@dataclass(frozen=True)
class Repeated:
    """All readings of one length, mm in the order of the sets, and as written."""

    values_mm: tuple[float, ...]
    texts: tuple[str, ...]

    @property
    def smallest_mm(self) -> float:
        """mm; the smallest of them."""
        return min(self.values_mm)

    @property
    def largest_mm(self) -> float:
        """mm; the largest of them."""
        return max(self.values_mm)

    @property
    def smallest_text(self) -> str:
        """As written; the reading that sizes are made from."""
        return self.texts[self.values_mm.index(self.smallest_mm)]

    @property
    def spread_mm(self) -> float:
        """mm; largest less smallest."""
        return self.largest_mm - self.smallest_mm


@dataclass(frozen=True)
class Combined:
    """One value per name (mm, in the order of ALL_NAMES), the repeats, and where they contradict each other."""

    gaussian: Gaussian
    repeats: Mapping[str, Repeated]
    findings: tuple[Finding, ...]
    apart: frozenset[str] = frozenset()
    """names whose readings differ by more than two tapes may"""


def combine(readings: Sequence[Reading], settings: Settings) -> Combined:
    """One Gaussian over the names that lie in the plane of the opening."""
    kept = [r for r in readings if r.name not in OUT_OF_PLANE]
    names = tuple(name for name in ALL_NAMES if any(r.name == name for r in kept))
    if not kept:
        return Combined(Gaussian((), np.zeros(0), {}), {}, ())
    rows = sorted(kept, key=lambda r: (ALL_NAMES.index(r.name), r.number))
    sources = _sources(rows, settings)
    varying = sum((f**2).sum(axis=1) for name, f in sources.items() if name != _WHERE)
    mean, weights = np.array([r.value_mm for r in rows]), np.zeros((len(names), len(rows)))
    for j, row in enumerate(rows):
        weights[names.index(row.name), j] = 1.0 / varying[j]
    weights /= weights.sum(axis=1, keepdims=True)
    combined = {name: _compact(weights @ f) for name, f in sources.items() if name != _WHERE}
    if _WHERE in sources:
        combined["placement"] = _compact(np.hstack([combined["placement"], weights @ sources[_WHERE]]))
    repeats = {name: _repeated(name, rows) for name in names if sum(r.name == name for r in rows) > 1}
    apart = {name: one for name, one in repeats.items() if one.spread_mm > settings.order.differ_limit_mm + ROUNDING_MM}
    if apart:
        doubt = np.array([[apart[name].spread_mm / 2 if name in apart else 0.0] for name in names])
        combined["repeats that differ"] = np.diag(doubt[:, 0])[:, doubt[:, 0] > 0]
    found = tuple(_differ(name, one, len({r.tape_source for r in rows if r.name == name})) for name, one in apart.items())
    return Combined(Gaussian(names, weights @ mean, combined), repeats, found, frozenset(apart))


_WHERE = "place of the length"
"""the part of the placement that all readings of one length by one hand share; becomes part of "placement" """


def _sources(rows: Sequence[Reading], settings: Settings) -> dict[str, Array]:
    """Factors of the single readings, mm, one row each."""
    n, tape = len(rows), settings.tape
    lengths = np.array([r.length is not None for r in rows])
    sources: dict[str, Array] = {}
    for source in dict.fromkeys(r.tape_source for r in rows):
        mine = [[tape_sd_mm(r.tape, r.value_mm) if r.length and r.tape_source == source else 0.0] for r in rows]
        sources[source] = np.array(mine)
    sources["reading resolution"] = np.diag([r.step_mm for r in rows]) / math.sqrt(12.0)
    pairs = [(r.name, r.hand) for r in rows]
    shared = [pair for pair in dict.fromkeys(pairs) if pairs.count(pair) > 1]
    own = np.where(lengths, tape.placement_sd_mm, settings.level.contact_sd_mm)
    if shared:
        part = [tape.placement_sd_mm if r.length else settings.level.contact_sd_mm for r in rows]
        repeat = min(1.0, tape.placement_repeat_sd_mm / tape.placement_sd_mm)
        is_shared = np.array([pair in shared for pair in pairs])
        own = np.where(is_shared, own * repeat, own)
        where = np.array(
            [[p * math.sqrt(1 - repeat**2) if pair == s else 0.0 for s in shared] for p, pair in zip(part, pairs, strict=True)]
        )
        sources[_WHERE] = where
    sources["placement"] = np.diag(own)
    marked = np.array([bool(r.length and r.length.mark) for r in rows])
    if marked.any():
        sources["mark"] = np.diag(marked * tape.mark_shift_mm / math.sqrt(3.0))[:, marked]
    levels = np.array([_level_sd_mm(r, settings) for r in rows])
    if levels.any():
        sources["level"] = np.diag(levels)[:, levels > 0]
    assert all(f.shape[0] == n for f in sources.values())
    return sources


def _level_sd_mm(reading: Reading, settings: Settings) -> float:
    """mm; accuracy of the level over the length it was read over (a straightedge for bow has none)."""
    if reading.level is None or reading.name.startswith("bow"):
        return 0.0
    over = reading.level.over_mm if reading.level.over_mm is not None else settings.level.default_length_mm
    return settings.level.accuracy_sd_mm_per_m * over / 1000.0


def _compact(factor: Array) -> Array:
    """The factor without columns of zeros (at least one column stays, so that a shared source keeps its variable)."""
    used = np.any(factor != 0.0, axis=0)
    return np.asarray(factor[:, used] if used.any() else factor[:, :1])


def _repeated(name: str, rows: Sequence[Reading]) -> Repeated:
    mine = [r for r in rows if r.name == name]
    return Repeated(tuple(r.value_mm for r in mine), tuple(r.text for r in mine))


def _differ(name: str, one: Repeated, tapes: int) -> Finding:
    """What to do depends on whether there is more than one tape (or level) to hold against another."""
    words = plain_names([name])
    texts = ", ".join(repr(text) for text in one.texts)
    fact = f"the readings of the {words} differ: {texts}, {inches_text(one.spread_mm)} ({one.spread_mm:.1f} mm) apart"
    how = "with both tapes side by side, and read it out twice"
    if tapes == 1 or name not in LENGTH_NAMES:
        how = "without looking at the list, and read it out twice"
    return Finding("readings-differ", fact, f"Measure the {words} again {how}.")
