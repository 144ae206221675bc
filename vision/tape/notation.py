"""A length as people write it -> exact millimetres, by our own grammar.

    reading = [mark] length [mark]               one mark at most, before or after the unit
    length  = whole feet ["-"] inches [inch]     4' 8-1/4", 4 ft 8 1/4 in, 4'-8"
            | number [unit]                      56 1/4, 56-1/4", 56.25 in, 1428 mm, 1.428 m
    number  = whole | decimal | fraction | whole [" " | "-"] fraction

A number without a unit takes the default unit; inches after feet need none. Every refusal names the reading and the
first wrong character, counted from 1.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from typing import NoReturn

from vision.errors import BadInput
from vision.settings_tape import TapeSettings
from vision.tape.tokens import MARK_WORDS, UNIT_WORDS, VULGAR, Mark, Number, Token, tokenise
from vision.units import MM_PER

DENOMINATORS = (2, 4, 8, 16, 32, 64)
"""what inch tapes and rules are divided into"""

EXAMPLE = "write one length, for example 56-1/4 in or 1428 mm"


@dataclass(frozen=True)
class Length:
    """One length as read.

    `exact_mm` is the length as written; `value_mm` is where the tape stood: the same, moved by a light or strong mark.
    `resolution_mm` is the step it was read to. `unit` is the unit it was written in ("in" for feet and inches).
    """

    text: str
    value_mm: float
    exact_mm: Fraction
    resolution_mm: float
    mark: Mark
    unit: str


def parse_length(
    text: str,
    *,
    where: str,
    unit: str | None = None,
    decimal_comma: bool = False,
    settings: TapeSettings = TapeSettings(),  # noqa: B008 (frozen)
) -> Length:
    """Read one length exactly.

    `where` names the reading in errors ("reading width_top"); `unit` (mm, cm, m, in, ft) is used where the text has none.
    Raises BadInput with the position of the first wrong character.
    """
    if unit is not None and unit not in MM_PER:
        raise BadInput(where, f"the default unit {unit!r}", f"one of {', '.join(MM_PER)}", "correct the default unit")
    return _Reader(text, where, unit=unit, decimal_comma=decimal_comma, settings=settings).read()


class _Reader:
    """Walks once over the tokens of one text; `next` is the token to be looked at."""

    def __init__(self, text: str, where: str, *, unit: str | None, decimal_comma: bool, settings: TapeSettings) -> None:
        self.text, self.where = text, where
        self.default_unit, self.decimal_comma, self.settings = unit, decimal_comma, settings
        self.tokens = tokenise(text, where)
        self.next = 0
        self.mark: Mark = ""

    def read(self) -> Length:
        self._mark_word()
        start = self._peek()
        first = self._number()
        if self._peek().kind == "foot" or UNIT_WORDS.get(self._word()) == "ft":
            exact, step, unit = self._from_feet(first)
        else:
            exact, step, unit = self._single(first)
        self._mark_word()
        self._mark_sign()
        if self._peek().kind != "end":
            self._refuse(self._peek(), "nothing more after the reading", EXAMPLE)
        self._check_limits(exact, start)
        shift = {"": 0.0, "light": -1.0, "strong": 1.0}[self.mark] * self.settings.mark_shift_mm
        return Length(self.text, float(exact) + shift, exact, step, self.mark, unit)

    # --- lengths

    def _from_feet(self, feet: Number) -> tuple[Fraction, float, str]:
        unit = self._take()
        self._mark_word()
        dash = self._peek().kind == "dash" and self._peek(1).kind in ("number", "vulgar")
        if not dash and self._peek().kind not in ("number", "vulgar"):
            self._no_fraction_of(feet, "ft")
            return feet.value * MM_PER["ft"], self._step(feet, "ft"), "ft"
        if feet.decimals or feet.denominator != 1:
            self._refuse(unit, "whole feet before inches", "write 4' 8-1/4\" or the whole length in inches")
        if dash:
            self._take()
        number = self._peek()
        inches = self._number()
        self._mark_word()
        if self._peek().kind in ("inch", "foot", "word") and self._unit_here() != "in":
            self._refuse(self.tokens[self.next - 1], "inches after feet", "write 4' 8-1/4\"")
        if inches.value >= 12:
            self._refuse(number, "fewer than 12 inches after feet", "carry the foot, or write the whole length in inches")
        return feet.value * MM_PER["ft"] + inches.value * MM_PER["in"], self._step(inches, "in"), "in"

    def _single(self, number: Number) -> tuple[Fraction, float, str]:
        self._mark_word()
        unit = self._unit_here() or self.default_unit
        if unit is None:
            remedy = "write the unit behind the number (in, mm, cm, m, ft), or state a default unit"
            self._refuse(self._peek(), "a unit", remedy)
        self._no_fraction_of(number, unit)
        return number.value * MM_PER[unit], self._step(number, unit), unit

    def _unit_here(self) -> str | None:
        """The unit at this place, taken; None where no word and no inch or foot sign stands here."""
        token = self._peek()
        if token.kind not in ("inch", "foot", "word"):
            return None
        unit = {"inch": "in", "foot": "ft"}.get(token.kind) or UNIT_WORDS.get(self._word())
        if unit is None:
            self._refuse(token, "a unit (in, ft, mm, cm, m), light or strong", "correct or leave out this word")
        self._take()
        return unit

    def _step(self, number: Number, unit: str) -> float:
        """mm: decimals by the last digit; inches by 1/16 or the finer fraction written; other whole numbers 1 mm."""
        if number.decimals:
            return float(MM_PER[unit] / 10**number.decimals)
        if unit in ("in", "ft"):
            return min(self.settings.us_resolution_mm, float(MM_PER["in"] / number.denominator))
        return self.settings.metric_resolution_mm

    # --- numbers

    def _number(self) -> Number:
        token = self._peek()
        if token.kind == "vulgar" or (token.kind == "number" and self._peek(1).kind == "slash"):
            return self._fraction(Fraction(0), token)
        if token.kind == "dash":
            self._refuse(token, "a length greater than zero", "a minus sign before the number is not a reading; measure again")
        if token.kind != "number":
            self._refuse(token, "a number in the digits 0 to 9", EXAMPLE)
        self._take()
        whole, decimals = self._decimal(token)
        ahead = 1 if self._peek().kind == "dash" else 0
        is_fraction = self._peek(ahead).kind == "vulgar" or (
            self._peek(ahead).kind == "number" and self._peek(ahead + 1).kind == "slash"
        )
        if not is_fraction:
            return Number(whole, decimals, 1, token.at)
        if decimals:
            self._refuse(self._peek(ahead), "either decimals or a fraction", "write 56.25 or 56-1/4")
        self.next += ahead
        return self._fraction(whole, token)

    def _fraction(self, whole: Fraction, start: Token) -> Number:
        """The fraction that stands here, added to `whole`."""
        first = self._take()
        last = first
        if first.kind == "vulgar":
            top, bottom = VULGAR[first.text]
        else:
            self._take()
            if self._peek().kind != "number":
                self._refuse(self._peek(), "a denominator after the slash", "write a fraction such as 1/4")
            last = self._take()
            for token in (first, last):
                if not token.text.isdigit():
                    self._refuse(token, "whole numbers in a fraction", "write a fraction such as 1/4")
            top, bottom = int(first.text), int(last.text)
        if bottom not in DENOMINATORS:
            needed = f"a denominator that a tape has ({', '.join(map(str, DENOMINATORS))})"
            self._refuse(last, needed, "read the tape to one of its marks")
        if top >= bottom:
            self._refuse(first, "a numerator smaller than the denominator", "write 1-1/4 for five quarters")
        return Number(whole + Fraction(top, bottom), 0, bottom, start.at)

    def _decimal(self, token: Token) -> tuple[Fraction, int]:
        """Value and count of decimals of a number token."""
        signs = [i for i, character in enumerate(token.text) if character in ".,"]
        if not signs:
            return Fraction(int(token.text)), 0
        at = Token("number", token.text[signs[-1]], token.at + signs[-1])
        if len(signs) > 1:
            self._refuse(at, "one decimal sign", "leave out signs between thousands")
        if at.text == "," and not self.decimal_comma:
            whole, part = token.text.split(",")
            remedy = f"write {whole}.{part}, or state decimal_comma = true"
            if len(part) == 3:  # as large numbers are written
                remedy = f"write {whole}{part} if the comma parts thousands; if it begins decimals, state decimal_comma = true"
            self._refuse(at, "a decimal point (the decimal comma is switched off)", remedy)
        whole, part = re.split("[.,]", token.text)
        if at.text == "." and self.decimal_comma and len(part) == 3 and self._may_be_thousands(int(whole + part)):
            self._refuse(at, "a comma before decimals (the decimal comma is on)", "write 1428 mm or 1,428 m")
        return Fraction(int(whole + part), 10 ** len(part)), len(part)

    def _may_be_thousands(self, number: int) -> bool:
        """Whether a point may part thousands: such a length can be; 1402 m is none, so 1.402 m has a point before decimals."""
        token = self._peek()
        signs = {"inch": "in", "foot": "ft", "word": UNIT_WORDS.get(self._word())}
        unit = signs.get(token.kind) or self.default_unit
        return unit is None or number * MM_PER[unit] <= self.settings.max_reading_mm

    # --- marks and limits

    def _mark_word(self) -> None:
        mark = MARK_WORDS.get(self._word())
        if mark is not None:
            self._set_mark(mark)

    def _mark_sign(self) -> None:
        """A trailing + or -; a dash right behind a whole number may be an unfinished fraction and is refused."""
        token = self._peek()
        if token.kind == "dash" and re.fullmatch(r"[0-9]+", self.tokens[self.next - 1].text) and not self._after_slash():
            self._refuse(token, "a fraction after the dash", "finish the fraction, or write light instead of the dash")
        if token.kind in ("plus", "dash"):
            self._set_mark("strong" if token.kind == "plus" else "light")

    def _after_slash(self) -> bool:
        return self.next >= 2 and self.tokens[self.next - 2].kind == "slash"

    def _set_mark(self, mark: Mark) -> None:
        if self.mark:
            self._refuse(self._peek(), "one mark, light or strong", "leave one of the two out")
        self.mark = mark
        self._take()

    def _no_fraction_of(self, number: Number, unit: str) -> None:
        if number.denominator != 1 and unit != "in":
            start = next(t for t in self.tokens if t.at == number.at)
            self._refuse(
                start, f"decimals where the unit is {unit}", "fractions belong to inches; write the inch sign or decimals"
            )

    def _check_limits(self, exact: Fraction, start: Token) -> None:
        if exact <= 0:
            self._refuse(start, "a length greater than zero", "measure again and write the reading")
        if exact > Fraction(self.settings.max_reading_mm):
            limit = f"at most {self.settings.max_reading_mm / 1000:g} m"
            self._refuse(start, limit, "check the digits and the unit")

    # --- the walk

    def _peek(self, ahead: int = 0) -> Token:
        return self.tokens[min(self.next + ahead, len(self.tokens) - 1)]

    def _word(self) -> str:
        """The word at this place in lower case without its full stop; empty where none stands here."""
        token = self._peek()
        return token.text.rstrip(".").lower() if token.kind == "word" else ""

    def _take(self) -> Token:
        token = self._peek()
        self.next += 1
        return token

    def _refuse(self, token: Token, needed: str, remedy: str) -> NoReturn:
        what = "the end of the text" if token.kind == "end" else repr(token.text)
        found = f"{what} at character {token.at} of {self.text!r}"
        raise BadInput(self.where, found, needed, remedy, position=token.at)
