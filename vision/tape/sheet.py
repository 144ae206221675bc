"""Readings from a CSV text, in the orders in which people write them.

    a list       name, reading, further readings of the same length (second and third set)
    a table      a line of names, then one line of readings per set
    bare         no names: the readings in the order of BARE_ORDER, one line per set
    column       no names: one set in that order, one reading per line, a dash for one that was not taken

Lines `unit, in` and the like (keys of the readings file) may stand before. Cells are separated by commas, semicolons or tabs;
with a decimal comma by commas only where the numbers are in quotes. An empty cell, or a dash alone, is a reading not taken; a
line of empty cells is none.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Sequence

from vision.errors import BadInput, nearest
from vision.tape.facts import ALL_NAMES, TapeFacts, facts_from_mapping
from vision.tape.tokens import MARK_WORDS

BARE_ORDER = (
    "width_bottom", "width_middle", "width_top", "height_left", "height_right", "diagonal_rising", "diagonal_falling",
    "plumb_left", "plumb_right", "curb_level",
)  # fmt: skip
"""widths from the curb up, heights and diagonals from the left: the order in which an opening is gone round"""
SETTINGS = ("unit", "decimal_comma", "tape", "control_tape", "height", "level_length", "by")
SET_WORDS = ("by", "tape")
"""columns of a table that describe the set"""
_SHORT = {
    "w": "width", "h": "height", "d": "diagonal", "l": "left", "r": "right", "t": "top", "m": "middle", "b": "bottom",
    "mid": "middle", "low": "bottom", "up": "rising", "down": "falling", "level": "curb_level", "fall": "curb_fall",
}  # fmt: skip
_NUMBERED = {
    "w1": "width_bottom", "w2": "width_middle", "w3": "width_top", "h1": "height_left", "h2": "height_right",
    "h3": "height_middle", "d1": "diagonal_rising", "d2": "diagonal_falling", "p1": "plumb_left", "p2": "plumb_right",
    "l1": "curb_level", "l2": "curb_fall", "b1": "bow_left", "b2": "bow_right",
}  # fmt: skip
LEAST_IN_A_COLUMN = 5
"""lines; three widths and two heights, which is what an order needs: nobody writes one length down so often without its name"""
NOT_TAKEN = frozenset({"", "-", "–", "n/a"})

Row = list[str]


def facts_from_csv(text: str, *, where: str = "readings file") -> TapeFacts:
    """Facts from the text of a CSV file; BadInput naming the line that cannot be understood."""
    rows = _rows(text, where)
    facts: dict[str, object] = {}
    while rows and rows[0][1] and _key(rows[0][1][0]) in SETTINGS and len([c for c in rows[0][1] if c]) <= 2:
        line, cells = rows.pop(0)
        if _key(cells[0]) in facts:
            raise BadInput(f"{where}, line {line}", f"{cells[0]!r} a second time", "each setting once", "leave one of them out")
        facts[_key(cells[0])] = _setting(cells, f"{where}, line {line}")
    if not rows:
        return facts_from_mapping(facts, where=where)
    head = [reading_name(cell) for cell in rows[0][1]]
    if sum(name is not None for name in head) >= 2:
        sets = _table(rows, where)
    elif head[0] is not None or _is_title(rows[0][1]) or _begins_with_a_word(rows[0][1][0]):
        sets = _list(rows, where)
    elif len(rows) > 1 and all(len([c for c in cells if c]) == 1 for _, cells in rows):
        sets = [{"readings": _by_order(_column(rows, where), where)}]
    else:
        sets = [{"readings": _by_order(cells, f"{where}, line {line}")} for line, cells in rows]
    first = sets[0]
    facts |= {key: first[key] for key in ("by", "tape") if first.get(key)}
    facts["readings"] = first["readings"]
    facts["second"] = [{k: v for k, v in one.items() if v} for one in sets[1:] if one["readings"]]
    return facts_from_mapping(facts, where=where)


def reading_name(cell: str) -> str | None:
    """The reading that a cell names, however it is written ("Width top", "top width", "W3", "plumb left"); None for none."""
    key = _key(cell)
    if key in ALL_NAMES:
        return key
    if key in _NUMBERED:
        return _NUMBERED[key]
    words = [_SHORT.get(word, word) for word in key.split("_")]
    for candidate in (words, words[::-1]):
        if "_".join(candidate) in ALL_NAMES:
            return "_".join(candidate)
    single = "_".join(w for w in words if w != "curb")
    return single if single in ("curb_level", "curb_fall") else None


def _rows(text: str, where: str) -> list[tuple[int, Row]]:
    """Numbered lines with their cells, without empty lines and remarks."""
    lines = [(n, line) for n, line in enumerate(text.splitlines(), 1) if line.strip(" \t,;") and line.lstrip()[0] != "#"]
    body = [(n, line) for n, line in lines if _delimiter_of_setting(line) is None]
    commas = any(_says_decimal_comma(line) for _, line in lines)
    delimiter = next((one for one in "\t;" if any(one in line for _, line in body)), "")
    if not delimiter:
        delimiter = ";" if commas and not any(map(_is_parted_by_commas, (line for _, line in body))) else ","
        if delimiter == "," and commas:
            _hold_quoted(body, where)
    rows = []
    for number, line in lines:
        own = _delimiter_of_setting(line) or delimiter
        cells = next(csv.reader(io.StringIO(_keep_inches(line)), delimiter=own, skipinitialspace=True))
        rows.append((number, [cell.replace(_INCH, '"').strip() for cell in cells]))
    return rows


def _is_parted_by_commas(line: str) -> bool:
    """Whether a line without semicolons and tabs can only be cells between commas: a cell in quotes, or a word before a comma."""
    return bool(re.search(r'(^|,)\s*"', line)) or ("," in line and _begins_with_a_word(line))


def _hold_quoted(body: Sequence[tuple[int, str]], where: str) -> None:
    """BadInput for a name with a comma between digits behind it and no quotes: one number, or two, nobody can tell."""
    for number, line in body:
        if _begins_with_a_word(line) and '"' not in line and re.search(r"\d,\d", line):
            found = f"{line.strip()!r}, in which a comma may stand in a number or between two"
            needed = "semicolons between the cells, or numbers in quotes (the decimal comma is on)"
            raise BadInput(f"{where}, line {number}", found, needed, 'write: width top; 1402,5 or: width top,"1402,5"')


def _begins_with_a_word(cell: str) -> bool:
    """Whether a cell begins with a word that no reading begins with: it is meant as a name."""
    word = re.match(r"\s*([A-Za-z]+)", cell)
    return word is not None and word[1].lower() not in MARK_WORDS and cell.strip().lower() not in NOT_TAKEN


def _delimiter_of_setting(line: str) -> str | None:
    """What stands behind the key in a line such as `unit, in`, whatever separates the readings; None for any other line."""
    found = re.match(r"\s*(\w+)\s*([,;\t])", line)
    return found[2] if found and _key(found[1]) in SETTINGS and line.count(found[2]) == 1 else None


def _says_decimal_comma(line: str) -> bool:
    return bool(re.match(r"\s*decimal.comma\s*[,;\t]\s*(true|yes)\b", line, re.IGNORECASE))


_INCH = "\N{DOUBLE PRIME}"


def _keep_inches(line: str) -> str:
    """An inch sign after a digit or a fraction is no quotation mark, unless the cell is quoted as a whole."""
    return line if re.search(r'(^|[,;\t])\s*"', line) else re.sub(r'(?<=[0-9¼½¾⅛⅜⅝⅞])"', _INCH, line)


def _key(cell: str) -> str:
    return "_".join(re.findall(r"[a-z0-9]+", cell.lower()))


def _is_title(cells: Row) -> bool:
    return _key(cells[0]) in ("reading", "name", "what", "length")


def _setting(cells: Row, where: str) -> object:
    value = next((cell for cell in cells[1:] if cell), "")
    if _key(cells[0]) != "decimal_comma":
        return value
    if value.lower() not in ("true", "false", "yes", "no"):
        raise BadInput(where, f"decimal_comma, {value!r}", "yes or no", "correct decimal_comma")
    return value.lower() in ("true", "yes")


def _list(rows: Sequence[tuple[int, Row]], where: str) -> list[dict[str, object]]:
    """A name and its readings on each line; the k-th reading belongs to the k-th set."""
    if _is_title(rows[0][1]):
        rows = rows[1:]
    count = max((len(cells) - 1 for _, cells in rows), default=1)
    sets: list[dict[str, str]] = [{} for _ in range(max(1, count))]
    for line, cells in rows:
        name = _named(cells[0], f"{where}, line {line}")
        for number, cell in enumerate(cells[1:]):
            if cell.lower() in NOT_TAKEN:
                continue
            if name in sets[number]:
                raise BadInput(
                    f"{where}, line {line}", f"{cells[0]!r} a second time", "each name on one line", "put it on one line"
                )
            sets[number][name] = cell
    return [{"readings": one} for one in sets]


def _table(rows: Sequence[tuple[int, Row]], where: str) -> list[dict[str, object]]:
    """A line of names, then sets."""
    line, head = rows[0]
    names = [_key(cell) if _key(cell) in SET_WORDS else _named(cell, f"{where}, line {line}") for cell in head]
    if len(set(names)) != len(names):
        raise BadInput(f"{where}, line {line}", "a name twice", "each name once", "correct the line of names")
    sets: list[dict[str, object]] = []
    for number, cells in rows[1:]:
        if len(cells) > len(names):
            raise BadInput(f"{where}, line {number}", f"{len(cells)} cells", f"at most {len(names)}", "one cell under each name")
        pairs = [(n, cell) for n, cell in zip(names, cells, strict=False) if cell.lower() not in NOT_TAKEN]
        one: dict[str, object] = {n: cell for n, cell in pairs if n in SET_WORDS}
        sets.append(one | {"readings": {n: cell for n, cell in pairs if n not in SET_WORDS}})
    if not sets:
        raise BadInput(where, "a line of names only", "a line of readings under it", "add the readings")
    return sets


def _column(rows: Sequence[tuple[int, Row]], where: str) -> Row:
    """One reading on each line, as one set; so few may also be one length read several times, and are refused."""
    if len(rows) < LEAST_IN_A_COLUMN:
        found = f"{len(rows)} lines of one reading without a name: one length several times, or several lengths"
        remedy = "write the name in front, as in: width bottom, 28 1/16"
        raise BadInput(f"{where}, line {rows[0][0]}", found, "names, or all widths and heights", remedy)
    return [next(cell for cell in cells if cell) for _, cells in rows]


def _by_order(cells: Row, where: str) -> dict[str, str]:
    if len(cells) > len(BARE_ORDER):
        needed = f"at most {len(BARE_ORDER)}, in the order {', '.join(n.replace('_', ' ') for n in BARE_ORDER)}"
        raise BadInput(where, f"{len(cells)} readings without names", needed, "write the names in the first line")
    return {name: cell for name, cell in zip(BARE_ORDER, cells, strict=False) if cell.lower() not in NOT_TAKEN}


def _named(cell: str, where: str) -> str:
    name = reading_name(cell)
    if name is None:
        known = [n.replace("_", " ") for n in ALL_NAMES]
        raise BadInput(where, f"the name {cell!r}", f"one of {', '.join(known)}", nearest(cell, known, "correct the name"))
    return name
