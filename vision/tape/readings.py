"""The set of readings of one opening: from a file or plain data to lengths with a joint uncertainty.

Each reading's error is the sum of

    tape                one unit variable for all of them: the same tape, its limit taken as rectangular
    reading resolution  q / sqrt(12) each (JCGM 100, F.2.2.1)
    placement           where the tape ran, each
    mark                how much "light" or "strong" meant, where such a word is there
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, cast

import numpy as np

from vision.errors import BadInput
from vision.gaussian import Array, Gaussian
from vision.settings import Settings, TapeSettings
from vision.tape.instrument import TapeClass, tape_class, tape_sd_mm
from vision.tape.notation import Length, parse_length
from vision.units import MM_PER

READING_NAMES = (
    "width_top", "width_middle", "width_bottom", "height_left", "height_right", "diagonal_rising", "diagonal_falling",
)  # fmt: skip
FACT_KEYS = ("unit", "decimal_comma", "tape", "control_tape", "height", "readings")

TAPE_SOURCE = "tape"
"""name of the source that a photo shares whose card was measured with the same tape: one variable, + = tape reads long"""


@dataclass(frozen=True)
class Entry:
    """One reading as typed; `at` is the height above the curb at which a width was taken, as typed."""

    name: str
    text: str
    at: str | None = None


@dataclass(frozen=True)
class TapeFacts:
    """The readings as typed, and what is known of the tape; nothing is read yet."""

    entries: tuple[Entry, ...] = ()
    unit: str | None = None
    decimal_comma: bool = False
    tape: str = "us"
    control_tape: Literal["same", "other"] = "same"
    height: str | None = None


@dataclass(frozen=True)
class Taped:
    """The tape's testimony. `gaussian` is in mm over `names`; `at_mm` holds the widths taken at a stated height."""

    names: tuple[str, ...]
    lengths: Mapping[str, Length]
    texts: Mapping[str, str]
    at_mm: Mapping[str, float]
    gaussian: Gaussian
    tape: TapeClass
    shares_control_tape: bool
    height_mm: float | None


def read_tape(facts: TapeFacts, settings: Settings = Settings()) -> Taped:  # noqa: B008 (frozen)
    """Read all entries; raises BadInput naming the first one that cannot be read. No entries give an empty record."""
    tape = tape_class(facts.tape)
    if facts.control_tape not in ("same", "other"):
        raise BadInput("control_tape", repr(facts.control_tape), '"same" or "other"', "say which tape measured the card")
    entries = _in_order(facts.entries)
    lengths = {entry.name: _length(facts, entry.text, f"reading {entry.name}", settings) for entry in entries}
    at_mm = {
        entry.name: _length(facts, entry.at, f"reading {entry.name}, at", settings).value_mm
        for entry in entries
        if entry.at is not None
    }
    height = None if facts.height is None else _length(facts, facts.height, "height", settings).value_mm
    return Taped(
        names=tuple(lengths),
        lengths=lengths,
        texts={entry.name: entry.text for entry in entries},
        at_mm=at_mm,
        gaussian=_gaussian(lengths, tape, settings.tape),
        tape=tape,
        shares_control_tape=facts.control_tape == "same",
        height_mm=height,
    )


def _length(facts: TapeFacts, text: str, where: str, settings: Settings) -> Length:
    return parse_length(text, where=where, unit=facts.unit, decimal_comma=facts.decimal_comma, settings=settings.tape)


def _in_order(entries: tuple[Entry, ...]) -> list[Entry]:
    """The entries in the order of READING_NAMES; BadInput for an unknown or repeated name, or `at` where none belongs."""
    names = [entry.name for entry in entries]
    for entry in entries:
        where = f"reading {entry.name}"
        if entry.name not in READING_NAMES:
            raise BadInput(where, f"the name {entry.name!r}", f"one of {', '.join(READING_NAMES)}", "correct the name")
        if names.count(entry.name) > 1:
            raise BadInput(where, "the same reading twice", "each reading once", "leave one of the two out")
        if entry.at is not None and not entry.name.startswith("width"):
            raise BadInput(where, "a height above the curb (at)", "at on widths only", "leave at out")
    return sorted(entries, key=lambda entry: READING_NAMES.index(entry.name))


def _gaussian(lengths: Mapping[str, Length], tape: TapeClass, settings: TapeSettings) -> Gaussian:
    """Joint uncertainty of the readings, mm; sources as named at the top of this module."""
    n = len(lengths)
    mean = np.array([length.value_mm for length in lengths.values()], dtype=np.float64)
    if n == 0:
        return Gaussian((), mean, {})
    steps = np.array([length.resolution_mm for length in lengths.values()])
    marked = np.array([bool(length.mark) for length in lengths.values()])
    sources: dict[str, Array] = {
        TAPE_SOURCE: np.array([[tape_sd_mm(tape, value)] for value in mean]),
        "reading resolution": np.diag(steps) / math.sqrt(12.0),
        "placement": np.eye(n) * settings.placement_sd_mm,
    }
    if marked.any():
        sources["mark"] = np.diag(marked * settings.mark_shift_mm / math.sqrt(3.0))[:, marked]
    return Gaussian(tuple(lengths), mean, sources)


def facts_from_toml(text: str, *, where: str = "readings file") -> TapeFacts:
    """Facts from the text of a readings file; BadInput for TOML that is none and for keys or types that do not belong."""
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        remedy = 'write lines such as width_top = "56 1/4" under [readings]'
        raise BadInput(where, f"text that is not TOML: {error}", "a readings file in TOML", remedy) from error
    return facts_from_mapping(data, where=where)


def facts_from_mapping(data: Mapping[str, object], *, where: str = "facts") -> TapeFacts:
    """Facts from plain data with the keys FACT_KEYS; BadInput naming the key that does not belong or has a wrong type."""
    for key in data:
        if key not in FACT_KEYS:
            raise BadInput(where, f"the key {key!r}", f"one of {', '.join(FACT_KEYS)}", "correct or leave out this key")
    unit = _text(data, "unit", where)
    if unit is not None and unit not in MM_PER:
        raise BadInput(where, f"unit = {unit!r}", f"one of {', '.join(MM_PER)}", "correct the unit")
    decimal_comma = data.get("decimal_comma", False)
    if not isinstance(decimal_comma, bool):
        raise BadInput(where, f"decimal_comma = {decimal_comma!r}", "true or false", "correct decimal_comma")
    tape = _text(data, "tape", where) or "us"
    control_tape = _text(data, "control_tape", where) or "same"
    if control_tape not in ("same", "other"):
        raise BadInput(where, f"control_tape = {control_tape!r}", '"same" or "other"', "say which tape measured the card")
    return TapeFacts(
        entries=_entries(data.get("readings"), where),
        unit=unit,
        decimal_comma=decimal_comma,
        tape=tape_class(tape, where=f"{where}, tape"),
        control_tape=cast(Literal["same", "other"], control_tape),
        height=_text(data, "height", where),
    )


def _text(data: Mapping[str, object], key: str, where: str) -> str | None:
    """A text value, None where it is absent or null."""
    value = data.get(key)
    if value is not None and not isinstance(value, str):
        raise BadInput(where, f"{key} = {value!r}", "a text in quotes", f"put the value of {key} in quotes")
    return value


def _entries(value: object, where: str) -> tuple[Entry, ...]:
    if value is None:
        return ()
    if not isinstance(value, Mapping):
        raise BadInput(where, f"readings = {value!r}", "a table of readings", "put the readings under [readings]")
    entries = tuple(_entry(str(name), item) for name, item in value.items())
    return tuple(_in_order(entries))


def _entry(name: str, value: object) -> Entry:
    where = f"reading {name}"
    if isinstance(value, str):
        return Entry(name, value)
    if not isinstance(value, Mapping):
        raise BadInput(where, repr(value), "a text in quotes", f'write {name} = "56 1/4"')
    for key in value:
        if key not in ("text", "at"):
            raise BadInput(where, f"the key {key!r}", "text and at", "correct or leave out this key")
    text = _text(value, "text", where)
    if text is None:
        raise BadInput(where, "no text", "the reading as written", f'write {name} = {{text = "56 1/4", at = "72 in"}}')
    return Entry(name, text, _text(value, "at", where))
