"""The only tolerances that tests use, each with its reason."""

from __future__ import annotations

import math

EXACT = 1e-9
"""algebra in float64: rounding (1e-16) times condition numbers up to 1e6, relative or for numbers of order one"""

LINEAR = 1e-4
"""first order against true: a step of one part in a hundred leaves its square behind, relative"""


def SAMPLED(probability: float, draws: int) -> float:
    """Four standard deviations of a fraction counted in this many draws: a right program fails once in 16 000 runs."""
    return 4.0 * math.sqrt(probability * (1.0 - probability) / draws)


def SAMPLED_SD(draws: int) -> float:
    """Four standard deviations of a standard deviation taken from this many draws, relative."""
    return 4.0 / math.sqrt(2.0 * (draws - 1))


def PRINTED(text: str) -> float:
    """Half a unit in the last digit of a published number, as printed ("0.071" -> 0.0005)."""
    digits = text.lower().lstrip("+-").partition(".")[2]
    return 0.5 * 10.0 ** -len(digits) * (1 + EXACT)
