"""The characters of a reading -> tokens: numbers, fractions, signs and words, each with its place in the text.

The text is never normalised: that would turn 56¼ into 561/4. Only 0 to 9 are digits.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from vision.errors import BadInput

Mark = Literal["", "light", "strong"]

MAX_CHARACTERS = 40
"""a reading is a dozen characters; more is something else pasted in"""

UNIT_WORDS: dict[str, str] = {
    **dict.fromkeys(("mm", "millimetre", "millimetres", "millimeter", "millimeters"), "mm"),
    **dict.fromkeys(("cm", "centimetre", "centimetres", "centimeter", "centimeters"), "cm"),
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), "m"),
    **dict.fromkeys(("in", "inch", "inches"), "in"),
    **dict.fromkeys(("ft", "foot", "feet"), "ft"),
}

MARK_WORDS: dict[str, Mark] = {
    **dict.fromkeys(("light", "scant", "shy", "bare", "minus"), "light"),
    **dict.fromkeys(("strong", "heavy", "full", "fat", "plus"), "strong"),
}
"""What is said of a length that falls a little short of its mark, or passes it (common practice, no source)."""

VULGAR: dict[str, tuple[int, int]] = {
    "¼": (1, 4), "½": (1, 2), "¾": (3, 4), "⅛": (1, 8), "⅜": (3, 8), "⅝": (5, 8), "⅞": (7, 8), "⅓": (1, 3),
    "⅔": (2, 3), "⅕": (1, 5), "⅖": (2, 5), "⅗": (3, 5), "⅘": (4, 5), "⅙": (1, 6), "⅚": (5, 6),
}  # fmt: skip

Kind = Literal["number", "vulgar", "inch", "foot", "slash", "dash", "plus", "word", "end"]

_PATTERN = re.compile(
    r"""(?P<number>[0-9]+(?:[.,][0-9]+)*)
      | (?P<vulgar>[¼½¾⅛⅜⅝⅞⅓⅔⅕⅖⅗⅘⅙⅚])
      | (?P<inch>["″”“]|['′’‘]{2})
      | (?P<foot>['′’‘])
      | (?P<slash>[/⁄∕])
      | (?P<dash>[-‐‑‒–—−])
      | (?P<plus>\+)
      | (?P<word>[A-Za-z]+\.?)""",
    re.VERBOSE,
)


@dataclass(frozen=True)
class Token:
    """One piece of the text; `at` is the position of its first character, counted from 1."""

    kind: Kind
    text: str
    at: int


@dataclass(frozen=True)
class Number:
    """A number as written: its value, how many decimals, the denominator of its fraction (1 without), where it starts."""

    value: Fraction
    decimals: int
    denominator: int
    at: int


def tokenise(text: str, where: str) -> tuple[Token, ...]:
    """Cut a reading into tokens, closed by one of kind "end". Raises BadInput at a character that no reading has."""
    if len(text) > MAX_CHARACTERS:
        found = f"{len(text)} characters, beginning {text[:12]!r}"
        raise BadInput(where, found, f"at most {MAX_CHARACTERS}", "write one length only", position=MAX_CHARACTERS + 1)
    tokens: list[Token] = []
    at = 0
    while at < len(text):
        if text[at].isspace():
            at += 1
            continue
        match = _PATTERN.match(text, at)
        if match is None:
            raise _strange(text, at, where)
        tokens.append(Token(match.lastgroup, match.group(), at + 1))  # type: ignore[arg-type]
        at = match.end()
    tokens.append(Token("end", "", len(text.rstrip()) + 1))
    return tuple(tokens)


def says_feet(text: str, where: str = "reading") -> bool:
    """Whether a reading that can be cut into tokens has a foot sign or a word for feet, in whatever type."""
    signs = tokenise(text, where)
    return any(t.kind == "foot" or (t.kind == "word" and UNIT_WORDS.get(t.text.rstrip(".").lower()) == "ft") for t in signs)


def _strange(text: str, at: int, where: str) -> BadInput:
    character = text[at]
    if character.isdigit():
        needed, remedy = "the digits 0 to 9", "type the number again with plain digits"
    elif character in ".,":
        needed, remedy = "digits on both sides of a decimal sign", "write 0.5 in, not .5 in"
    else:
        needed, remedy = "digits, a fraction, a unit, light or strong", "correct or leave out this character"
    return BadInput(where, f"{character!r} at character {at + 1} of {text!r}", needed, remedy, position=at + 1)
