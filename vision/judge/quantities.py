"""Numbers of the hardware: '3/16 in', '3/16 in over 72 in', '80 lb', '2500 kg/m3', exact and in one unit each.

length -> mm, slope -> mm/m, mass -> kg, density -> kg/m3
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Literal

from vision.errors import BadInput
from vision.units import MM_PER

Dimension = Literal["length", "slope", "mass", "density"]

UNITS: dict[Dimension, str] = {"length": "mm", "slope": "mm/m", "mass": "kg", "density": "kg/m3"}
"""What each dimension is kept in."""

KG_PER: dict[str, Fraction] = {"kg": Fraction(1), "lb": Fraction(45359237, 100_000_000)}
"""Exact kilograms per unit (the pound is 0.45359237 kg by definition)."""

EXAMPLES: dict[Dimension, str] = {
    "length": "3/16 in or 5 mm",
    "slope": "3/16 in over 72 in, or 2.6 mm/m",
    "mass": "80 lb or 36 kg",
    "density": "2500 kg/m3",
}

_NUMBER = r"(?:(\d+)(?:[ -](\d+)/(\d+))?|(\d+)/(\d+)|(\d+\.\d+))"
_AMOUNT = re.compile(rf"{_NUMBER} ?(mm/m|mm|cm|m|in|ft|kg/m3|kg|lb)")


def parse_quantity(text: str, dimension: Dimension, *, where: str) -> float:
    """The value in the unit of its dimension (UNITS); BadInput naming `where` for any other text."""
    words = " ".join(text.split())
    try:
        value = _slope(words) if dimension == "slope" else _plain(words, dimension)
    except (ValueError, ZeroDivisionError):
        remedy = "write a number and its unit"
        raise BadInput(where, repr(text), f"a {dimension} such as {EXAMPLES[dimension]}", remedy) from None
    return float(value)


def _slope(words: str) -> Fraction:
    rise, over, run = words.partition(" over ")
    if not over:
        value, unit = _amount(words)
        if unit != "mm/m":
            raise ValueError(words)
        return value
    return 1000 * _plain(rise, "length") / _plain(run, "length")


def _plain(words: str, dimension: Dimension) -> Fraction:
    value, unit = _amount(words)
    if dimension == "length" and unit in MM_PER:
        return value * MM_PER[unit]
    if dimension == "mass" and unit in KG_PER:
        return value * KG_PER[unit]
    if dimension == "density" and unit == "kg/m3":
        return value
    raise ValueError(words)


def _amount(words: str) -> tuple[Fraction, str]:
    match = _AMOUNT.fullmatch(words)
    if match is None:
        raise ValueError(words)
    whole, top, bottom, numerator, denominator, decimal, unit = match.groups()
    if decimal is not None:
        return Fraction(decimal), unit
    if whole is None:
        return Fraction(int(numerator), int(denominator)), unit
    part = Fraction(int(top), int(bottom)) if top is not None else Fraction(0)
    return int(whole) + part, unit
