"""The readings of one opening: from what was typed to lengths and levels with a joint uncertainty.

Each length's error is the sum of

    tape                one unit variable for all readings of one tape, its limit taken as rectangular
    reading resolution  q / sqrt(12) each (JCGM 100, F.2.2.1)
    placement           where the tape ran, each
    mark                how much "light" or "strong" meant, where such a word is there

and a level's or straightedge's that of its own: level (its accuracy), reading resolution, placement. Readings of the same
length are combined first (vision/tape/repeats.py).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from vision.errors import BadInput, Finding
from vision.gaussian import Gaussian
from vision.settings import Settings
from vision.tape.facts import (
    ALL_NAMES,
    LENGTH_NAMES,
    READING_NAMES,
    Entry,
    SecondSet,
    TapeFacts,
    facts_from_mapping,
    facts_from_toml,
    in_order,
)
from vision.tape.instrument import TapeClass, tape_class
from vision.tape.levels import LEVEL_NAMES, Level, read_level
from vision.tape.notation import Length, parse_length
from vision.tape.repeats import TAPE_SOURCE, Reading, Repeated, combine

__all__ = [
    "ALL_NAMES",
    "LENGTH_NAMES",
    "LEVEL_NAMES",
    "READING_NAMES",
    "TAPE_SOURCE",
    "Entry",
    "SecondSet",
    "TapeFacts",
    "Taped",
    "facts_from_mapping",
    "facts_from_toml",
    "read_tape",
]

HEIGHT_MM = (100.0, 6000.0)
"""mm; heights that an opening may be stated to have: less leaves no room for three widths, more no door has (by judgement)"""


@dataclass(frozen=True)
class Taped:
    """The tape's testimony.

    `gaussian` (mm) is over `names`, the lengths; `everything` also holds the level readings that lie in the plane of the
    opening, signed amounts in mm over `over_mm`. `at_mm` holds the widths taken at a stated height. `lengths` and `texts`
    are those of the first set that has the reading, `repeats` all readings of a length that was read more than once.
    """

    names: tuple[str, ...]
    lengths: Mapping[str, Length]
    texts: Mapping[str, str]
    at_mm: Mapping[str, float]
    gaussian: Gaussian
    tape: TapeClass
    shares_control_tape: bool
    height_mm: float | None
    everything: Gaussian
    levels: Mapping[str, Level] = field(default_factory=dict)
    repeats: Mapping[str, Repeated] = field(default_factory=dict)
    findings: tuple[Finding, ...] = ()
    apart: frozenset[str] = frozenset()
    """names whose repeated readings differ by more than two tapes may"""

    @property
    def over_mm(self) -> dict[str, float]:
        """Lengths (mm) that level readings were read over, where stated."""
        return {name: level.over_mm for name, level in self.levels.items() if level.over_mm is not None}

    @property
    def recorded(self) -> dict[str, str]:
        """Readings as written that lie out of the plane of the opening: they are kept, and take no part in the figure."""
        return {name: _in_words(level) for name, level in self.levels.items() if name not in self.everything.names}

    @property
    def smallest_mm(self) -> dict[str, float]:
        """Each length (mm) by its smallest reading: the one that an order must not exceed."""
        return self._means | {name: one.smallest_mm for name, one in self.repeats.items() if name in self.gaussian.names}

    @property
    def largest_mm(self) -> dict[str, float]:
        """Each length (mm) by its largest reading: the one that what must cover has to reach."""
        return self._means | {name: one.largest_mm for name, one in self.repeats.items() if name in self.gaussian.names}

    @property
    def _means(self) -> dict[str, float]:
        return dict(zip(self.gaussian.names, map(float, self.gaussian.mean), strict=True))


def read_tape(facts: TapeFacts, settings: Settings = Settings()) -> Taped:  # noqa: B008 (frozen)
    """Read all entries; raises BadInput naming the first one that cannot be read. No entries give an empty record."""
    tape = tape_class(facts.tape)
    if facts.control_tape not in ("same", "other"):
        raise BadInput("control_tape", repr(facts.control_tape), '"same" or "other"', "say which tape measured the card")
    readings = [
        reading
        for number, one in enumerate((SecondSet(facts.entries, facts.by), *facts.second))
        for reading in _set(facts, one, number, tape, settings)
    ]
    combined = combine(readings, settings)
    first = {reading.name: reading for reading in reversed(readings)}
    everything = combined.gaussian
    names = tuple(name for name in everything.names if name in LENGTH_NAMES)
    height = None if facts.height is None else opening_height(facts, facts.height, settings)
    return Taped(
        names=names,
        lengths={name: first[name].length for name in names},  # type: ignore[misc]
        texts={name: first[name].text for name in everything.names},
        at_mm={name: at for name in names if (at := first[name].at_mm) is not None},
        gaussian=everything.select(names) if names else Gaussian((), everything.mean[:0], {}),
        tape=tape,
        shares_control_tape=facts.control_tape == "same",
        height_mm=height,
        everything=everything,
        levels={name: level for name in LEVEL_NAMES if name in first and (level := first[name].level) is not None},
        repeats=combined.repeats,
        findings=combined.findings,
        apart=combined.apart,
    )


def opening_height(facts: TapeFacts, text: str, settings: Settings) -> float:
    """A stated height of the opening, mm; BadInput for one that no opening has."""
    height = _length(facts, text, "height", settings).value_mm
    low, high = HEIGHT_MM
    if not low <= height <= high:
        raise BadInput("height", f"{text!r}, {height:.0f} mm", f"{low:.0f} to {high:.0f} mm", "check the digits and the unit")
    return height


def _as_written(entry: Entry) -> str:
    """The text, with the direction and length of a level reading where they were stated apart: '1/16 out over 72 in'."""
    over = None if entry.over is None else f"over {entry.over}"
    return " ".join(part for part in (entry.text, entry.way, over) if part)


def _in_words(level: Level) -> str:
    """As written, with its direction where that was stated apart."""
    if any(word in level.text for word in ("low", "high", "level")) or not level.value_mm:
        return level.text
    return f"{level.text} {'inside' if level.value_mm > 0 else 'outside'} low"


def _set(facts: TapeFacts, one: SecondSet, number: int, tape: TapeClass, settings: Settings) -> list[Reading]:
    """The readings of one set. A set by somebody else, or with another tape, does not share what differs."""
    whose = f"set {number + 1}, " if number else ""
    other_tape = one.tape != "same"
    source = f"{TAPE_SOURCE} {number + 1}" if other_tape else TAPE_SOURCE
    used = tape_class(one.tape) if other_tape else tape
    hand = one.by or facts.by or ""
    readings = []
    for entry in in_order(one.entries):
        where = f"{whose}reading {entry.name}"
        length, level, at_mm = None, None, None
        if entry.name in LEVEL_NAMES:
            level = _level(facts, entry, settings)
        else:
            length = _length(facts, entry.text, where, settings)
            at_mm = None if entry.at is None else _length(facts, entry.at, f"{where}, at", settings).value_mm
        readings.append(
            Reading(
                entry.name,
                _as_written(entry),
                number=number,
                tape=used,
                tape_source=source,
                hand=hand,
                length=length,
                level=level,
                at_mm=at_mm,
            )
        )
    return readings


def _level(facts: TapeFacts, entry: Entry, settings: Settings) -> Level:
    return read_level(
        entry.name,
        entry.text,
        entry.way,
        entry.over,
        level_length=facts.level_length,
        parse=lambda text, where: _length(facts, text, where, settings),
        zero_step_mm=settings.tape.metric_resolution_mm if facts.unit in ("mm", "cm", "m") else settings.tape.us_resolution_mm,
    )


def _length(facts: TapeFacts, text: str, where: str, settings: Settings) -> Length:
    return parse_length(text, where=where, unit=facts.unit, decimal_comma=facts.decimal_comma, settings=settings.tape)
