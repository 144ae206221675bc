"""Units and lengths as text."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import settings as profile
from hypothesis import strategies as st

from tests.tolerances import EXACT
from vision.units import MM_PER, MM_PER_INCH, UREG, inches_text, length_text, number_text, plus_minus


@pytest.mark.parametrize(
    ("unit", "name"), [("mm", "millimeter"), ("cm", "centimeter"), ("m", "meter"), ("in", "inch"), ("ft", "foot")]
)
def test_the_table_of_units_is_that_of_the_registry(unit: str, name: str) -> None:
    """Our exact factors equal the registry's."""
    assert float(MM_PER[unit]) == pytest.approx(UREG.Quantity(1.0, name).to("millimeter").magnitude, rel=EXACT)


def test_an_inch_is_25_4_millimetres() -> None:
    """By definition."""
    assert MM_PER["in"] * 10 == 254
    assert pytest.approx(float(MM_PER["in"]), rel=EXACT) == MM_PER_INCH


@pytest.mark.parametrize(
    ("mm", "text"),
    [
        (1428.75, "56-1/4 in"), (1422.4, "56 in"), (19.05, "3/4 in"), (0.0, "0 in"), (-25.4, "-1 in"), (-0.1, "0 in"),
        (1429.5, "56-1/4 in"), (1429.6, "56-5/16 in"), (25.39, "1 in"),
    ],
)  # fmt: skip
def test_inches_are_written_to_the_nearest_sixteenth_in_lowest_terms(mm: float, text: str) -> None:
    """Whole inches, a dash, a reduced fraction."""
    assert inches_text(mm) == text


def test_a_finer_step_can_be_asked_for() -> None:
    """A 32nd survives where 32nds are asked for."""
    assert inches_text(MM_PER_INCH / 32, denominator=32) == "1/32 in"


def test_both_ways_of_saying_a_length_stand_together() -> None:
    """Inches for the tape, millimetres beside them."""
    assert length_text(1428.75) == "56-1/4 in (1428.8 mm)"


@pytest.mark.parametrize(
    ("value", "u", "text"),
    [
        (1414.46, 4.06, "1414.5 ± 4.1 mm"), (-0.04, 0.3, "0.0 ± 0.3 mm"), (0.81, 0.04, "0.81 ± 0.04 mm"),
        (-0.5, 0.0042, "-0.500 ± 0.004 mm"), (0.0, 0.0, "0.0 mm"), (2.5, 1e-12, "2.5 mm"),
    ],
)  # fmt: skip
def test_an_uncertainty_is_never_shown_as_nothing(value: float, u: float, text: str) -> None:
    """As many digits as show some of it, no zero with a sign, and no ± where there is none."""
    assert plus_minus(value, u, "mm") == text


def test_a_signed_number_that_rounds_to_nothing_has_no_sign() -> None:
    """+0.3 and -0.3 have one, what is written 0.0 has none."""
    assert [number_text(x, signed=True) for x in (0.3, -0.3, 0.04, -0.04)] == ["+0.3", "-0.3", "0.0", "0.0"]


@profile(database=None, derandomize=True, deadline=None)
@given(ticks=st.integers(-64_000, 64_000))
def test_writing_inches_never_moves_a_length_by_more_than_half_a_step(ticks: int) -> None:
    """A length on a 64th is at most 1/32 in from the sixteenth written for it."""
    text = inches_text(ticks * MM_PER_INCH / 64).removesuffix(" in")
    sign = -1 if text.startswith("-") else 1
    whole, _, fraction = text.lstrip("-").rpartition("-") if "/" in text else (text.lstrip("-"), "", "0/1")
    top, bottom = (int(part) for part in fraction.split("/"))
    assert abs(sign * (int(whole or 0) + top / bottom) - ticks / 64) <= 1 / 32 + EXACT
