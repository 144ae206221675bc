"""What a level or a straightedge says, as people write it: an amount, a direction, and over which length.

    reading = amount way ["over" length]         3/16 into over 72 in;  1/8" left low;  plumb;  5 mm out over 1800 mm

Ways by reading: plumb and bow "into" or "out" (of the opening), curb level "left low", "right high" and so on, curb fall
"inside low" or "outside low". Signs: plumb + = top into the opening, bow + = middle into the opening, curb level + = right
end higher, curb fall + = lower on the inside (water runs in).
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from vision.errors import BadInput
from vision.tape.notation import Length
from vision.units import MM_PER

LEVEL_NAMES = ("plumb_left", "plumb_right", "curb_level", "curb_fall", "bow_left", "bow_right")

_INTO = {"into": 1, "inward": 1, "inwards": 1, "out": -1, "outward": -1, "outwards": -1}
_CURB = {"right high": 1, "left low": 1, "left high": -1, "right low": -1}
_FALL = {"inside low": 1, "outside high": 1, "inside high": -1, "outside low": -1}
WAYS: dict[str, dict[str, int]] = {
    "plumb_left": _INTO, "plumb_right": _INTO, "curb_level": _CURB, "curb_fall": _FALL, "bow_left": _INTO, "bow_right": _INTO,
}  # fmt: skip
NOTHING = frozenset({"plumb", "level", "straight", "none", "nil"})
"""words for an amount of zero"""
_NEEDS_OVER = frozenset({"plumb_left", "plumb_right"})
_ZERO = re.compile(r"0+(?:\.(?P<decimals>0+))?\s*(?P<unit>mm|cm|in|\"|″)?")

Parse = Callable[[str, str], Length]
"""text and where -> a length greater than zero"""


@dataclass(frozen=True)
class Level:
    """One reading of a level or straightedge.

    `value_mm` is signed (see above). `over_mm` is the length it was read over, None where none was stated (curb level:
    then the width; bow: the height). `resolution_mm` is the step of the amount.
    """

    text: str
    value_mm: float
    over_mm: float | None
    resolution_mm: float
    unit: str


def read_level(
    name: str, text: str, way: str | None, over: str | None, *, level_length: str | None, parse: Parse, zero_step_mm: float
) -> Level:
    """Read one. `way` and `over` may be stated apart; `level_length` is the length of the level where none is written.

    Raises BadInput for a missing direction of an amount that is not zero, for a direction that this reading does not have,
    and for a plumb reading without a length.
    """
    where = f"reading {name}"
    amount, _, tail = text.partition(" over ")
    if tail and over is not None:
        raise BadInput(where, "two lengths it was read over", "one", "leave one of them out")
    amount, sign = _direction(name, amount, way, where)
    length = tail or over or (level_length if name in _NEEDS_OVER else None)
    if length is None and name in _NEEDS_OVER:
        raise BadInput(
            where, f"{text!r}, an amount without its length", "the length it was read over", "write 3/16 into over 72 in"
        )
    over_mm = None if length is None else parse(length, f"{where}, over").value_mm
    zero = _ZERO.fullmatch(amount) if amount else None
    if amount == "" or zero:
        return Level(text, 0.0, over_mm, _zero_step(zero, zero_step_mm), "in")
    read = parse(amount, where)
    if sign == 0:
        ways = ", ".join(WAYS[name])
        raise BadInput(
            where, f"{text!r}, an amount without its direction", f"one of {ways}", f"write {amount} {next(iter(WAYS[name]))}"
        )
    return Level(text, sign * read.value_mm, over_mm, read.resolution_mm, read.unit)


def _direction(name: str, amount: str, way: str | None, where: str) -> tuple[str, int]:
    """The amount without its words, and its sign (0 where no direction is there)."""
    words = re.sub(r"\bof the opening\b|\bthe opening\b|\btop\b|\bleans\b|\bmiddle\b", " ", amount)
    rest = " ".join(words.split())
    signs = []
    for phrase, sign in WAYS[name].items():
        pattern = r"\b" + phrase.replace(" ", r"(?:\s+end|\s+is)?\s+") + r"\b"
        rest, count = re.subn(pattern, " ", rest, flags=re.IGNORECASE)
        signs += [sign] * count
    if way is not None:
        known = WAYS[name].get(" ".join(way.lower().split()))
        if known is None:
            raise BadInput(f"{where}, way", repr(way), f"one of {', '.join(WAYS[name])}", "correct the direction")
        signs.append(known)
    if len(signs) > 1:
        raise BadInput(where, f"{len(signs)} directions in {amount!r}", "one", "write one direction only")
    rest = " ".join(rest.split())
    if rest.lower() in NOTHING:
        rest = ""
    return rest, signs[0] if signs else 0


def _zero_step(zero: re.Match[str] | None, step_mm: float) -> float:
    """mm; the step of a zero: by its decimals and unit where it has any."""
    if zero is None or zero["unit"] not in ("mm", "cm"):
        return step_mm
    return float(MM_PER[zero["unit"]] / Fraction(10 ** len(zero["decimals"] or "")))
