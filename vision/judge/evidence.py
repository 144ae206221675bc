"""Which readings may carry a size, and what the walls do within a limit.

A size is withheld while anything that it is made from is in doubt: a reading that is missing, suspect or has no second
witness, walls whose lean is not known, or a finding about the check as a whole.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from vision.gaussian import Gaussian
from vision.judge.figure import LEANS, STATIONS, Wall
from vision.judge.verdicts import Comparison, Order
from vision.judge.words import Shown

HEIGHTS = ("height_left", "height_right")
VERTICALS = ("plumb_left", "plumb_right", "curb_level")
"""level readings that speak about the leans"""
WALL_CODES = frozenset({"lean-over-limit", "taper-over-limit", "rectangle-too-narrow", "level-both-walls"})
"""reasons about walls: they do not touch a reading"""
DIFFER = "readings-differ"
"""the readings of one length contradict each other: what is made from it waits, nothing else"""
READING_CODES = frozenset({"suspect-reading", "readings-missing", "no-readings", "no-second-witness", DIFFER})
"""reasons about single readings, which each reading's own verdict repeats"""
NOT_CLOSED = "readings-do-not-close"
"""a contradiction among the readings: all of them are in doubt until it is told which"""

State = Literal["within", "over", "unsure"]


@dataclass(frozen=True)
class Evidence:
    """What ordering takes from the check: readings (mm) with their verdicts, and what is known of the walls.

    `walls` holds those of lean_left, lean_right and curb_level (mm/m), bow_left and bow_right (mm) that are known, from photo
    or level. `at_mm` says at what height above the curb a width was taken; `height_mm` is a stated height of the glass.
    """

    comparison: Comparison
    readings: Gaussian
    walls: Gaussian | None
    at_mm: Mapping[str, float]
    has_head: bool
    height_mm: float | None
    base: Order
    smallest_mm: Mapping[str, float] = field(default_factory=dict)
    """the smallest reading of a length that was read more than once: sizes are made from it, not from the mean"""
    largest_mm: Mapping[str, float] = field(default_factory=dict)
    """the largest reading of a length that was read more than once: what must cover has to reach it"""
    apart: frozenset[str] = frozenset()
    """names whose repeated readings differ by more than two tapes may"""
    elsewhere: frozenset[str] = frozenset()
    """widths that were not taken where their names say"""
    coverage: float = 2.0
    """standard deviations added before a value is held against a limit (95 %)"""
    shown: Shown = field(default_factory=Shown)
    """what the photo has already"""
    trusting: bool = False
    """doubt no reading that is there: what would follow if all of them held"""

    @property
    def lengths(self) -> Gaussian:
        """The readings that sizes are made from: the smallest of each length, with the uncertainty of the whole."""
        names, mean = self.readings.names, self.readings.mean
        smallest = [min(value, self.smallest_mm.get(name, value)) for name, value in zip(names, mean, strict=True)]
        return Gaussian(names, np.array(smallest, dtype=np.float64), self.readings.sources)

    def doubts(self, names: Iterable[str], *, leans: bool = False) -> tuple[str, ...]:
        """Codes that speak against a size made from these readings (and, with `leans`, from both walls' leans).

        A level reading that contradicts puts the leans in doubt, whoever they are from.
        """
        if self.trusting:
            return ("readings-missing",) if set(names) - set(self.readings.names) else ()
        codes = [reason.code for reason in self.base.reasons if reason.code not in WALL_CODES | READING_CODES]
        if any(self._contradicts(name) for name in self.comparison.readings):  # found where: the readings' own verdicts say it
            codes = [code for code in codes if code != NOT_CLOSED]
        unwitnessed = bool(codes) or any(r.code in ("no-second-witness", "suspect-reading") for r in self.base.reasons)
        for name in names:
            codes.extend(self._doubt(name, unwitnessed))
        if leans and any(self._contradicts(name) for name in VERTICALS):
            codes.append("suspect-reading")
        if leans and self.apart & set(VERTICALS):
            codes.append(DIFFER)
        if leans and (self.walls is None or not set(LEANS) <= set(self.walls.names)):
            codes.append("level-both-walls")
        return unique(codes)

    def _doubt(self, name: str, unwitnessed: bool) -> tuple[str, ...]:
        if name not in self.readings.names:
            return ("readings-missing",)
        verdict = self.comparison.readings.get(name)
        if verdict is None:
            return ("no-second-witness",)
        if self._contradicts(name):
            return ("suspect-reading",)
        if name in self.apart:
            return (DIFFER,)
        if name in self.elsewhere:
            return ("readings-missing",)
        return ("no-second-witness",) if verdict.verdict == "cannot tell" and unwitnessed else ()

    def _contradicts(self, name: str) -> bool:
        """Whether a reading is suspect, or among those of which one must be wrong."""
        verdict = self.comparison.readings.get(name)
        if verdict is None:
            return False
        return verdict.verdict == "suspect" or (verdict.verdict == "cannot tell" and bool(verdict.explanations))

    def smallest(self, names: Iterable[str]) -> float | None:
        """The smallest of these readings, mm; None where none is there."""
        return min((self.lengths.value(name) for name in names if name in self.readings.names), default=None)

    def largest(self, names: Iterable[str]) -> float | None:
        """The largest of these readings, mm, of each length the largest that was read; None where none is there."""
        known = [name for name in names if name in self.readings.names]
        return max(
            (max(value, self.largest_mm.get(name, value)) for name in known for value in [self.readings.value(name)]),
            default=None,
        )

    def width_95_mm(self) -> float:
        """95 % of the smallest width, mm."""
        widths = [name for name in STATIONS if name in self.readings.names]
        return self.coverage * self.readings.u(min(widths, key=self.lengths.value))

    def glass_height(self) -> tuple[float | None, tuple[str, ...]]:
        """Height for glass (mm): the smaller height reading, and never more than a stated one; with the doubts about it."""
        read = self.smallest(HEIGHTS)
        if read is None and not self.has_head and self.height_mm is not None:
            return self.height_mm, self.doubts(())
        known = [value for value in (read, self.height_mm) if value is not None]
        return (min(known) if read is not None else None), self.doubts(HEIGHTS)

    def height_over_curb(self) -> float:
        """Any height (mm) that is known, for leans over the height; six feet where none is."""
        known = [self.smallest(HEIGHTS), self.height_mm, self.at_mm.get("width_top")]
        return next((value for value in known if value is not None), 72 * 25.4)

    def state(self, wall: Wall, limit: float) -> State:
        """A lean against a limit, both as ratios: shown to be within, over, or neither."""
        if abs(wall.value) > limit * (1 + 1e-9):
            return "over"
        return "within" if abs(wall.value) + self.coverage * wall.u <= limit * (1 + 1e-9) else "unsure"


def unique(codes: Iterable[str]) -> tuple[str, ...]:
    """Each code once, in the order in which it came."""
    return tuple(dict.fromkeys(codes))


def acceptance_limit(limit: float, u: float, coverage: float = 2.0) -> float:
    """Where a value must stay below so that the true one keeps an upper limit: guard band w = coverage * u.

    Guarded acceptance as in JCGM 106:2012, 8.3.2; with coverage 2 the chance that a value at the acceptance limit is beyond
    the limit is 2.3 %.
    """
    return limit - coverage * u
