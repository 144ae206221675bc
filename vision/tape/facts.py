"""The readings as typed, and what is known of the tape: from a TOML text or plain data. Nothing is read yet."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal, cast

from vision.errors import BadInput, nearest
from vision.tape.instrument import tape_class
from vision.tape.levels import LEVEL_NAMES
from vision.units import MM_PER

READING_NAMES = (
    "width_top", "width_middle", "width_bottom", "height_left", "height_right", "diagonal_rising", "diagonal_falling",
)  # fmt: skip
"""readings that the photo gives by the same name"""
LENGTH_NAMES = (*READING_NAMES, "height_middle")
ALL_NAMES = (*LENGTH_NAMES, *LEVEL_NAMES)
FACT_KEYS = ("unit", "decimal_comma", "tape", "control_tape", "height", "level_length", "by", "readings", "second")
SET_KEYS = ("by", "tape", "readings")
ENTRY_KEYS = ("text", "at", "way", "over")


@dataclass(frozen=True)
class Entry:
    """One reading as typed; `at` is the height above the curb of a width, `way` and `over` belong to level readings."""

    name: str
    text: str
    at: str | None = None
    way: str | None = None
    over: str | None = None


@dataclass(frozen=True)
class SecondSet:
    """A further set of readings. `by` is who read it; `tape` "same", or the class of another tape."""

    entries: tuple[Entry, ...]
    by: str | None = None
    tape: str = "same"


@dataclass(frozen=True)
class TapeFacts:
    """The readings as typed, and what is known of the tape; nothing is read yet."""

    entries: tuple[Entry, ...] = ()
    unit: str | None = None
    decimal_comma: bool = False
    tape: str = "us"
    control_tape: Literal["same", "other"] = "same"
    height: str | None = None
    level_length: str | None = None
    by: str | None = None
    second: tuple[SecondSet, ...] = ()


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
    _hold_keys(data, FACT_KEYS, where)
    unit = _text(data, "unit", where)
    if unit is not None and unit not in MM_PER:
        raise BadInput(where, f"unit = {unit!r}", f"one of {', '.join(MM_PER)}", "correct the unit")
    decimal_comma = data.get("decimal_comma", False)
    if not isinstance(decimal_comma, bool):
        raise BadInput(where, f"decimal_comma = {decimal_comma!r}", "true or false", "correct decimal_comma")
    tape, control_tape = _text(data, "tape", where), _text(data, "control_tape", where)
    tape, control_tape = "us" if tape is None else tape, "same" if control_tape is None else control_tape
    if control_tape not in ("same", "other"):
        raise BadInput(where, f"control_tape = {control_tape!r}", '"same" or "other"', "say which tape measured the card")
    return TapeFacts(
        entries=_entries(data.get("readings"), where),
        unit=unit,
        decimal_comma=decimal_comma,
        tape=tape_class(tape, where=f"{where}, tape"),
        control_tape=cast(Literal["same", "other"], control_tape),
        height=_text(data, "height", where),
        level_length=_text(data, "level_length", where),
        by=_text(data, "by", where),
        second=_second(data.get("second"), where),
    )


def in_order(entries: Iterable[Entry]) -> list[Entry]:
    """The entries in the order of ALL_NAMES; BadInput for an unknown or repeated name, or a fact where none belongs."""
    entries = list(entries)
    names = [entry.name for entry in entries]
    for entry in entries:
        where = f"reading {entry.name}"
        if entry.name not in ALL_NAMES:
            remedy = nearest(entry.name, ALL_NAMES, "correct the name")
            raise BadInput(where, f"the name {entry.name!r}", f"one of {', '.join(ALL_NAMES)}", remedy)
        if names.count(entry.name) > 1:
            raise BadInput(where, "the same reading twice", "each reading once in a set", "put the other one under [[second]]")
        if entry.at is not None and not entry.name.startswith("width"):
            raise BadInput(where, "a height above the curb (at)", "at on widths only", "leave at out")
        if (entry.way, entry.over) != (None, None) and entry.name not in LEVEL_NAMES:
            raise BadInput(
                where, "a direction or a length it was read over", "them on level readings only", "leave way and over out"
            )
    return sorted(entries, key=lambda entry: ALL_NAMES.index(entry.name))


def _hold_keys(data: Mapping[str, object], known: tuple[str, ...], where: str) -> None:
    for key in data:
        if key not in known:
            remedy = nearest(key, known, "correct or leave out this key")
            raise BadInput(where, f"the key {key!r}", f"one of {', '.join(known)}", remedy)


def _text(data: Mapping[str, object], key: str, where: str) -> str | None:
    """A text value, None where it is absent or null."""
    value = data.get(key)
    if value is not None and not isinstance(value, str):
        raise BadInput(where, f"{key} = {value!r}", "a text in quotes", f"put the value of {key} in quotes")
    return value


def _second(value: object, where: str) -> tuple[SecondSet, ...]:
    if value is None:
        return ()
    if not isinstance(value, (list, tuple)) or not all(isinstance(one, Mapping) for one in value):
        raise BadInput(where, f"second = {value!r}", "a list of sets", "put each further set under [[second]]")
    sets = []
    for number, one in enumerate(value, 2):
        here = f"{where}, set {number}"
        _hold_keys(one, SET_KEYS, here)
        tape = _text(one, "tape", here)
        tape = "same" if tape is None else tape
        if tape != "same":
            tape_class(tape, where=f"{here}, tape")
        sets.append(SecondSet(_entries(one.get("readings"), here), _text(one, "by", here), tape))
    return tuple(sets)


def _entries(value: object, where: str) -> tuple[Entry, ...]:
    if value is None:
        return ()
    if not isinstance(value, Mapping):
        raise BadInput(where, f"readings = {value!r}", "a table of readings", "put the readings under [readings]")
    return tuple(in_order(_entry(str(name), item) for name, item in value.items()))


def _entry(name: str, value: object) -> Entry:
    where = f"reading {name}"
    if isinstance(value, str):
        return Entry(name, value)
    if not isinstance(value, Mapping):
        raise BadInput(where, repr(value), "a text in quotes", f'write {name} = "56 1/4"')
    _hold_keys(value, ENTRY_KEYS, where)
    text = _text(value, "text", where)
    if text is None:
        raise BadInput(where, "no text", "the reading as written", f'write {name} = {{text = "56 1/4", at = "72 in"}}')
    return Entry(name, text, _text(value, "at", where), _text(value, "way", where), _text(value, "over", where))
