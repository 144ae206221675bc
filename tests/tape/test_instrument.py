"""What a tape can be trusted to."""

from __future__ import annotations

import math

import pytest

from tests.tolerances import EXACT
from vision.errors import BadInput
from vision.tape.instrument import control_scale_sd, tape_class, tape_sd_mm, tolerance_mm

INCH = 25.4


@pytest.mark.parametrize("tape", ["us", "class-1", "class-2", "class-3"])
def test_the_sd_is_that_of_an_error_anywhere_within_the_limit(tape: str) -> None:
    """Rectangular: limit over root three."""
    name = tape_class(tape)
    assert tape_sd_mm(name, 1420.0) == pytest.approx(tolerance_mm(name, 1420.0) / math.sqrt(3), rel=EXACT)


def test_a_us_tape_steps_at_six_feet_whatever_the_rounding() -> None:
    """Six feet computed from inches is still six feet."""
    six_feet = sum([INCH / 16] * (72 * 16))
    assert tolerance_mm("us", six_feet) == pytest.approx(INCH / 32, rel=EXACT)
    assert tolerance_mm("us", six_feet + 0.01) == pytest.approx(INCH / 16, rel=EXACT)


def test_a_length_of_whole_metres_is_not_rounded_up_by_rounding_noise() -> None:
    """2000 mm counts as two metres, 2000.1 mm as three."""
    assert tolerance_mm("class-2", 2000.0 + 1e-10) == pytest.approx(0.9, rel=EXACT)
    assert tolerance_mm("class-2", 2000.1) == pytest.approx(1.1, rel=EXACT)


def test_a_control_length_takes_over_the_tapes_relative_error_at_two_metres() -> None:
    """The limit at 2 m per length, as rectangular."""
    assert control_scale_sd("class-2") == pytest.approx(0.9 / 2000.0 / math.sqrt(3), rel=EXACT)


def test_better_classes_have_smaller_limits() -> None:
    """Class 1 is better than class 2, class 2 than class 3, at every length of an opening."""
    for length in (300.0, 1420.0, 1990.0, 2445.0):
        assert tolerance_mm("class-1", length) < tolerance_mm("class-2", length) < tolerance_mm("class-3", length)


def test_an_unknown_class_is_refused_by_name() -> None:
    """The classes that there are, are listed."""
    with pytest.raises(BadInput, match="class-1, class-2, class-3"):
        tape_class("class-4")


def test_a_length_beyond_the_table_is_a_programming_error() -> None:
    """No tolerance is made up for a length that the table does not hold."""
    with pytest.raises(ValueError, match="no tolerance"):
        tolerance_mm("us", 20_000.0)
