"""What a reading should have been, if it went wrong in a known way: from the number as written to other numbers.

Each function takes a reading as written and gives the true lengths (mm) that this slip would have turned into it.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from vision.tape.notation import DENOMINATORS, Length
from vision.tape.tokens import says_feet
from vision.units import MM_PER

UPSIDE_DOWN = {"0": "0", "1": "1", "6": "9", "8": "8", "9": "6"}
EIGHTH = Fraction(1, 8)


@dataclass(frozen=True)
class Written:
    """A length as written: `whole` and `part` of its number in `unit` ("in" where it was written in feet and inches, `feet`)."""

    text: str
    value_mm: float
    unit: str
    whole: int
    part: Fraction
    feet: bool = False

    def with_number(self, whole: int, part: Fraction | None = None) -> float:
        """mm of another number in the same unit; a light or strong mark is kept."""
        return self.with_value(Fraction(whole) + (self.part if part is None else part))

    def with_value(self, number: Fraction) -> float:
        """mm of another number in the same unit; a light or strong mark is kept."""
        mark = self.value_mm - float((self.whole + self.part) * MM_PER[self.unit])
        return float(number * MM_PER[self.unit]) + mark


def written(length: Length) -> Written:
    """A length as its number in the unit it was written in."""
    unit = length.unit if length.unit in MM_PER else "mm"
    number = length.exact_mm / MM_PER[unit]
    whole = int(number)
    return Written(length.text, length.value_mm, unit, whole, number - whole, says_feet(length.text))


Signature = Callable[[Written], Iterator[float]]


def transposed(one: Written) -> Iterator[float]:
    """Any two digits of the whole number changed over; no leading zero."""
    digits = str(one.whole)
    for i in range(len(digits)):
        for j in range(i + 1, len(digits)):
            if digits[i] != digits[j]:
                changed = list(digits)
                changed[i], changed[j] = digits[j], digits[i]
                if changed[0] != "0":
                    yield one.with_number(int("".join(changed)))


def digits_of(pairs: tuple[str, ...]) -> Signature:
    """One digit taken for another one of its pair."""

    def signature(one: Written) -> Iterator[float]:
        digits = str(one.whole)
        for i, digit in enumerate(digits):
            for pair in pairs:
                if digit in pair:
                    other = pair[1 - pair.index(digit)]
                    yield one.with_number(int(digits[:i] + other + digits[i + 1 :]))

    return signature


def upside_down(one: Written) -> Iterator[float]:
    """All digits turned, in the opposite order."""
    digits = str(one.whole)
    if all(digit in UPSIDE_DOWN for digit in digits):
        turned = "".join(UPSIDE_DOWN[digit] for digit in reversed(digits))
        if turned != digits and turned[0] != "0":
            yield one.with_number(int(turned))


def _is_tick(one: Written) -> bool:
    """Whether the number ends in a fraction that a tape has (13/100 is none)."""
    return bool(one.part) and one.part.denominator in DENOMINATORS


def far_side(one: Written) -> Iterator[float]:
    """The fraction f was 1 - f."""
    if _is_tick(one) and one.part != Fraction(1, 2):
        yield one.with_number(one.whole, 1 - one.part)


def long_tick(one: Written) -> Iterator[float]:
    """1/8 and 3/8, 5/8 and 7/8."""
    if one.part in (EIGHTH, 5 * EIGHTH):
        yield one.with_number(one.whole, one.part + 2 * EIGHTH)
    if one.part in (3 * EIGHTH, 7 * EIGHTH):
        yield one.with_number(one.whole, one.part - 2 * EIGHTH)


def half_fraction(one: Written) -> Iterator[float]:
    """The fraction was twice, or half, what was written."""
    if _is_tick(one):
        yield one.with_number(one.whole, one.part / 2)
        if one.part < Fraction(1, 2):
            yield one.with_number(one.whole, one.part * 2)


def sixteenths(one: Written) -> Iterator[float]:
    """The decimals are a number of sixteenths: 59.13 for 59-13/16, 59.3 for 59-3/16."""
    found = sixteenths_meant(one)
    if found is not None:
        yield one.with_number(one.whole, Fraction(found, 16))


def sixteenths_meant(one: Written) -> int | None:
    """How many sixteenths the decimals of an inch reading may be; None where they cannot be any."""
    match = re.search(r"\d[.,](\d{1,2})(?!\d)", one.text)
    if one.unit != "in" or match is None or match[1].startswith("0"):
        return None
    count = int(match[1])
    return count if 1 <= count <= 15 and Fraction(count, 10 ** len(match[1])) % Fraction(1, 16) != 0 else None


def run_together(one: Written) -> Iterator[float]:
    """5'6 written 56, 5'10 written 510: the first digit is feet, what follows inches."""
    digits = str(one.whole)
    if len(digits) in (2, 3) and digits[0] != "0" and int(digits[1:]) < 12 and not one.feet:
        yield one.with_number(12 * int(digits[0]) + int(digits[1:]))


def tenths(one: Written) -> Iterator[float]:
    """5.6 ft written 5'6: the inches were tenths of a foot."""
    if one.feet and one.unit == "in":
        feet, inches = divmod(one.whole + one.part, 12)
        if inches:
            yield one.with_value(12 * feet + Fraction(12, 10) * inches)


SIGNATURES: dict[str, Signature] = {
    "transposed": transposed, "upside-down": upside_down, "far-side": far_side, "long-tick": long_tick,
    "half-fraction": half_fraction, "sixteenths": sixteenths, "run-together": run_together, "tenths": tenths,
}  # fmt: skip
