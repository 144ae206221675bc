"""Text to millimetres and back is the identity."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from vision.tape.notation import parse_length
from vision.tape.readings import facts_from_mapping, read_tape
from vision.units import inches_text

SIXTEENTHS = st.integers(min_value=1, max_value=16 * 390)


@given(SIXTEENTHS)
def test_inches_come_back_as_written(ticks: int) -> None:
    """Every sixteenth up to ten metres: text, exact millimetres, text."""
    text = inches_text(float(Fraction(ticks, 16) * Fraction(254, 10)))
    length = parse_length(text, where="reading")
    assert length.exact_mm == Fraction(ticks, 16) * Fraction(254, 10)
    assert inches_text(length.value_mm) == text


@given(st.integers(min_value=1, max_value=99_999), st.sampled_from(["mm", "cm"]))
def test_metric_lengths_come_back_as_written(tenths: int, unit: str) -> None:
    """A tenth of the unit is kept, whatever float64 makes of it on the way."""
    text = f"{tenths // 10}.{tenths % 10} {unit}"
    if 0 < tenths * (10 if unit == "cm" else 1) / 10 <= 10_000:
        length = parse_length(text, where="reading")
        assert f"{length.value_mm / (10 if unit == 'cm' else 1):.1f} {unit}" == text


@given(SIXTEENTHS.filter(lambda ticks: ticks < 16 * 11), st.booleans(), st.sampled_from(["plumb_left", "plumb_right"]))
def test_level_readings_come_back_with_their_direction(ticks: int, into: bool, name: str) -> None:
    """Amount and sign survive the way through millimetres."""
    text = inches_text(float(Fraction(ticks, 16) * Fraction(254, 10)))
    way = "into" if into else "out"
    value = read_tape(facts_from_mapping({"readings": {name: f"{text} {way} over 72 in"}})).levels[name].value_mm
    assert (inches_text(abs(value)), value > 0) == (text, into)
