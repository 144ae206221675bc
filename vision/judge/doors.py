"""Kinds of opening and door as data (doors.toml), and the user's hardware sheet laid over them.

A hardware sheet is a flat table: `name`, and any of the keys of a kind, its opening, its glass and [common]; each either
"3/16 in" or {value = "3/16 in", source = "sheet 4, page 2"}. Every number remembers how far it may be trusted and whose it is.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files
from typing import Any, Literal, cast, get_args

from vision.errors import BadInput, nearest
from vision.judge.door_keys import FORMS, NUMBERS, OPENINGS, Form, taken_by
from vision.judge.quantities import UNITS, Dimension, parse_quantity

Trust = Literal[
    "published",
    "published, from memory",
    "common practice",
    "common practice, from memory",
    "our default",
    "hardware sheet",
]
BUILT_IN = "built in"
SIDES = ("left", "right")
SHEET_WORDS = ("name", "glass", "hinge_wall")
"""keys of a hardware sheet that are words, not numbers"""
LEAST_AND_MOST = (
    ("kit_min", "kit_max"), ("door_min", "door_max"), ("screen_min", "screen_max"), ("width_min", "width_max"),
    ("height_min", "height_max"),
)  # fmt: skip


@dataclass(frozen=True)
class Number:
    """One number of a kind of door: `value` in `unit` (mm, mm/m, kg or kg/m3), `text` as written, and whose it is."""

    key: str
    value: float
    unit: str
    text: str
    trust: Trust
    source: str = ""
    usual: str = ""
    owner: str = BUILT_IN

    @property
    def label(self) -> str:
        """How far to trust it, in words: 'common practice, no source', 'published: IRC P2708.1.1'."""
        if self.trust == "hardware sheet":
            return f"{self.owner}, {self.source}" if self.source else self.owner
        if self.trust.startswith("published"):
            return f"{self.trust}: {self.source}"
        if self.trust == "common practice":
            return "common practice, no source"
        return f"{self.trust}; {self.source}" if self.source else self.trust


@dataclass(frozen=True)
class Reminder:
    """Something to keep in mind, with its source; it decides nothing."""

    text: str
    trust: Trust
    source: str


@dataclass(frozen=True)
class Door:
    """One kind of door with every number that holds for it, the hardware sheet's first."""

    kind: str
    title: str
    form: Form
    opening: str
    glass: str | None
    """nominal thickness, a key of the glass table; None where no glass is ordered"""
    plumb: bool
    """whether the glass stands plumb between the walls, so that their leans must be known"""
    numbers: Mapping[str, Number]
    questions: tuple[str, ...]
    reminders: tuple[Reminder, ...]
    hinge_wall: str | None = None
    """left or right as the user chose, None for the better wall"""
    hardware: str | None = None
    """name of the hardware sheet, None without one"""
    stated: tuple[tuple[str, str], ...] = ()
    """what the hardware sheet chose in words: glass, hinge wall"""

    def has(self, key: str) -> bool:
        """Whether this number is known."""
        return key in self.numbers

    def value(self, key: str) -> float:
        """The number in its unit; KeyError where it is not known."""
        return self.numbers[key].value

    def said(self, key: str) -> str:
        """The number with its label: '3/16 in (common practice, no source)'."""
        number = self.numbers[key]
        return f"{number.text} ({number.label})"


def kinds() -> tuple[str, ...]:
    """Names of the kinds, in the order of the data."""
    return tuple(_data()["kinds"])


def choose_door(kind: str, hardware: Mapping[str, object] | None = None, *, where: str = "hardware sheet") -> Door:
    """The kind of this name under this hardware sheet; BadInput naming what does not belong."""
    data = _data()
    if kind not in data["kinds"]:
        raise BadInput("door", repr(kind), f"one of {', '.join(kinds())}", "name one of the kinds")
    sheet = dict(hardware or {})
    own = data["kinds"][kind]
    glass = _word(sheet, "glass", tuple(data["glass"]), where) or own.get("glass")
    opening = own["opening"]
    tables = (data["common"], data["glass"].get(glass, {}), data["openings"][opening], own)
    numbers = {key: _built_in(key, raw) for table in tables for key, raw in table.items() if key in NUMBERS}
    name = sheet.get("name", "your hardware sheet")
    if not isinstance(name, str):
        raise BadInput(where, f"name = {name!r}", "a text in quotes", "put the name in quotes")
    for key, raw in sheet.items():
        if key not in SHEET_WORDS:
            numbers[key] = _from_sheet(key, raw, name, where)
    _hold_taken(sheet, own, glass, where)
    _in_order(numbers, where)
    texts = (data["openings"][opening], own)
    return Door(
        kind=kind,
        title=own["title"],
        form=own["form"],
        opening=opening,
        glass=glass,
        plumb=own.get("plumb", True),
        numbers=numbers,
        questions=tuple(text for table in texts for text in table.get("questions", ())),
        reminders=tuple(Reminder(**one) for table in texts for one in table.get("reminders", ())),
        hinge_wall=_word(sheet, "hinge_wall", SIDES, where),
        hardware=name if hardware else None,
        stated=tuple((key.replace("_", " "), str(sheet[key])) for key in ("glass", "hinge_wall") if key in sheet),
    )


def _hold_taken(sheet: Mapping[str, object], own: Mapping[str, Any], glass: str | None, where: str) -> None:
    """BadInput for a key that this kind of door makes nothing of: whoever wrote it expects that it counts."""
    taken = taken_by(cast(Form, own["form"]), glass=glass is not None, plumb=own.get("plumb", True))
    for key in sheet:
        if key not in taken:
            needed = f"what it uses: {', '.join(sorted(taken))}"
            remedy = "leave it out, or name the kind of door that it belongs to"
            raise BadInput(where, f"{key}, of which a {own['title']} makes nothing", needed, remedy)


def _in_order(numbers: Mapping[str, Number], where: str) -> None:
    """BadInput where a least is more than its most: nothing could fit."""
    for least, most in LEAST_AND_MOST:
        if least in numbers and most in numbers and numbers[least].value > numbers[most].value:
            found = f"{least} = {numbers[least].text!r} and {most} = {numbers[most].text!r}"
            raise BadInput(where, found, f"{least} not above {most}", "exchange or correct them")


def chosen_door(kind: str | None, hardware: Mapping[str, object] | None) -> Door | None:
    """The door that was asked for, or None; BadInput for a hardware sheet without a kind of door."""
    if kind is not None:
        return choose_door(kind, hardware)
    if hardware is not None:
        raise BadInput("hardware sheet", "no kind of door", f"one of {', '.join(kinds())}", "name the kind of door as well")
    return None


def hardware_from_toml(text: str, *, where: str = "hardware sheet") -> dict[str, object]:
    """A hardware sheet's table; BadInput for text that is not TOML. What it holds is read by choose_door."""
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        remedy = 'write lines such as gap_strike = "5 mm"'
        raise BadInput(where, f"text that is not TOML: {error}", "a hardware sheet in TOML", remedy) from error


def _word(sheet: Mapping[str, object], key: str, allowed: tuple[str, ...], where: str) -> str | None:
    value = sheet.get(key)
    if value is not None and (not isinstance(value, str) or value not in allowed):
        raise BadInput(where, f"{key} = {value!r}", f"one of {', '.join(allowed)}", f"correct {key}")
    return value


def _from_sheet(key: str, raw: object, name: str, where: str) -> Number:
    if key not in NUMBERS:
        known = (*SHEET_WORDS, *NUMBERS)
        remedy = nearest(key, known, "correct or leave out this key")
        raise BadInput(where, f"the key {key!r}", f"one of {', '.join(known)}", remedy)
    table = {str(k): v for k, v in (raw if isinstance(raw, Mapping) else {"value": raw}).items()}
    words = {k: v for k, v in table.items() if k in ("value", "source") and isinstance(v, str)}
    if words.keys() != table.keys() or "value" not in words:
        example = f'{key} = "3/16 in" or {key} = {{value = "3/16 in", source = "page 2"}}'
        raise BadInput(where, f"{key} = {raw!r}", "a text with its unit", f"write it like {example}")
    made = _number(key, {**words, "trust": "hardware sheet"}, f"{where}, {key}")
    return replace(made, owner=name)


def _built_in(key: str, raw: Mapping[str, str]) -> Number:
    return _number(key, raw, f"doors.toml, {key}")


def _number(key: str, raw: Mapping[str, str], where: str) -> Number:
    dimension: Dimension = NUMBERS[key].dimension
    value = parse_quantity(raw["value"], dimension, where=where)
    if value <= 0 and not NUMBERS[key].may_be_zero:
        raise BadInput(where, repr(raw["value"]), "more than nothing", "correct the number")
    trust = cast(Trust, raw["trust"])
    return Number(key, value, UNITS[dimension], raw["value"], trust, raw.get("source", ""), raw.get("usual", ""))


@cache
def _data() -> dict[str, Any]:
    """doors.toml, read once and checked whole: a mistake in it is a defect and shows at the first use."""
    data = tomllib.loads(files("vision.judge").joinpath("doors.toml").read_text("utf-8"))
    _check(data)
    return data


def _check(data: Mapping[str, Any]) -> None:
    """ValueError for a table that is not described, a number without a trust label, a published one without its source."""
    if set(data) != {"common", "glass", "openings", "kinds"} or set(data["openings"]) != set(OPENINGS):
        raise ValueError("doors.toml: tables")
    words = {"title", "form", "opening", "glass", "plumb", "questions", "reminders"}
    tables = {"common": data["common"], **data["glass"], **data["openings"], **data["kinds"]}
    for name, table in tables.items():
        for key, raw in table.items():
            if key in words:
                continue
            if key not in NUMBERS or raw["trust"] not in get_args(Trust)[:-1] or set(raw) - {"value", "trust", "source", "usual"}:
                raise ValueError(f"doors.toml: {name}.{key}")
            if raw["trust"].startswith("published") and not raw.get("source"):
                raise ValueError(f"doors.toml: {name}.{key} has no source")
            _built_in(key, raw)
    for name, kind in data["kinds"].items():
        needed = FORMS[cast(Form, kind["form"])]
        if kind["opening"] not in OPENINGS or kind.get("glass") not in {None, *data["glass"]} or not needed <= set(kind):
            raise ValueError(f"doors.toml: kinds.{name}: {sorted(needed - set(kind))}")
