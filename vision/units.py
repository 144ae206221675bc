"""The one pint registry, and lengths as text. Everything inside the program is mm, px and rad as float64."""

from __future__ import annotations

import math
from fractions import Fraction

import pint

UREG: pint.UnitRegistry[float] = pint.UnitRegistry()

MM_PER: dict[str, Fraction] = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "in": Fraction(254, 10),
    "ft": Fraction(3048, 10),
}
"""Exact millimetres per unit (the inch is 25.4 mm by definition; a test holds this table against the registry)."""

MM_PER_INCH = 25.4


def inches_text(value_mm: float, *, denominator: int = 16, down: bool = False) -> str:
    """Millimetres as inches with a reduced fraction, rounded to the nearest 1/`denominator`: 1428.75 -> '56-1/4 in'.

    With `down` a size to order is rounded toward zero instead: a length that is cut may never come out longer.
    """
    half = 1e-6 if down else 0.5
    ticks = math.floor(abs(value_mm) / MM_PER_INCH * denominator + half)
    whole, part = divmod(ticks, denominator)
    sign = "-" if value_mm < 0 and ticks else ""
    if part == 0:
        return f"{sign}{whole} in"
    fraction = Fraction(part, denominator)
    head = f"{whole}-" if whole else ""
    return f"{sign}{head}{fraction.numerator}/{fraction.denominator} in"


def lean_text(value_mm: float, *, denominator: int = 32) -> str:
    """How much something is off, without its sign; what is less than half a tick is said so, not as nothing: 'under 1/32 in'."""
    size = inches_text(abs(value_mm), denominator=denominator)
    return f"under 1/{denominator} in" if size == "0 in" and value_mm else size


def length_text(value_mm: float) -> str:
    """Both ways of saying a length: '56-1/4 in (1428.8 mm)'."""
    return f"{inches_text(value_mm)} ({value_mm:.1f} mm)"


MOST_DIGITS = 6
"""decimals; an uncertainty that is nothing in so many of them is none"""


def number_text(value: float, digits: int = 1, *, signed: bool = False) -> str:
    """With so many decimals, with its sign where asked for; what rounds to nothing has no sign."""
    text = f"{value:{'+' if signed else ''}.{digits}f}"
    return text.lstrip("+-") if not float(text) else text


def plus_minus(value: float, u: float, unit: str, *, digits: int = 1, signed: bool = False) -> str:
    """'1414.5 ± 4.1 mm', both with as many decimals (at least `digits`) as show some of `u`; the value alone where u is 0."""
    enough = next((d for d in range(digits, MOST_DIGITS + 1) if round(u, d) > 0), None)
    if enough is None:
        return f"{number_text(value, digits, signed=signed)} {unit}".rstrip()
    return f"{number_text(value, enough, signed=signed)} ± {u:.{enough}f} {unit}".rstrip()
