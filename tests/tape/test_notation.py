"""Lengths as people write them."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import settings as profile
from hypothesis import strategies as st

from tests.tolerances import EXACT
from vision.errors import BadInput
from vision.settings_tape import TapeSettings
from vision.tape.notation import DENOMINATORS, parse_length
from vision.units import MM_PER, inches_text

INCH = Fraction(254, 10)
SIXTEENTH = 25.4 / 16

SAME_LENGTH = (
    "56 1/4", "56-1/4", "56 - 1/4", '56-1/4"', "56-1/4 in", "56¼", "56 ¼ in", "56-¼", "56 1⁄4″", "56 1∕4 in.", "56 1/4 inches",
    "56 1/4 INCH", "56 1/4''", "4' 8-1/4", "4' 8-1/4\"", "4'8-1/4''", "4'-8 1/4\"", "4′ 8¼″", "4’ 8 1/4”", "4 ft 8 1/4 in",
    "4 feet 8-1/4 inches", "4 FT. 8 1/4", "4 ft - 8 1/4", " 56 1/4 ", "56 1/4", "56.25", "56.25 in", "4' 8.25\"",
)  # fmt: skip


def read(text: str, unit: str | None = None, *, decimal_comma: bool = False):
    return parse_length(text, where="reading width_top", unit=unit, decimal_comma=decimal_comma)


@pytest.mark.parametrize("text", SAME_LENGTH)
def test_every_way_of_writing_an_inch_reading_means_the_same_length(text: str) -> None:
    """56-1/4 in is 1428.75 mm however it is written, when inches are the default unit."""
    length = read(text, "in")
    assert length.exact_mm == Fraction(142875, 100)
    assert (length.text, length.unit, length.mark) == (text, "in", "")


@pytest.mark.parametrize("text", ["1428 mm", "142.8 cm", "1.428 m", "1428mm", "1428 millimetres", "1.428 METERS"])
def test_metric_readings_are_read_in_their_own_unit(text: str) -> None:
    """A metric unit in the text wins over inches as the default."""
    assert read(text, "in").exact_mm == 1428


def test_decimals_are_exact_not_rounded() -> None:
    """0.1 in is 2.54 mm as a fraction, with no trace of binary rounding."""
    assert read("0.1 in").exact_mm == Fraction(254, 100)


@pytest.mark.parametrize(
    ("default", "expected"), [("mm", 56), ("cm", 560), ("m", 5600), ("in", 56 * INCH), ("ft", 56 * 12 * INCH)]
)
def test_the_default_unit_serves_numbers_without_one(default: str, expected: Fraction) -> None:
    """A bare number takes the stated default unit."""
    number = "5.6" if default == "m" else "56"
    if default == "ft":
        number, expected = "5", 5 * 12 * INCH
    assert read(number, default).exact_mm == expected


@pytest.mark.parametrize(
    ("text", "step"),
    [
        ("56 in", SIXTEENTH), ("56 1/4 in", SIXTEENTH), ("56 3/32 in", 25.4 / 32), ("56 1/64 in", 25.4 / 64),
        ("4' 8\"", SIXTEENTH),
        ("4 ft", SIXTEENTH), ("56.25 in", 0.254), ("56.2 in", 2.54), ("142.8 cm", 1.0), ("142.85 cm", 0.1), ("1.428 m", 1.0),
        ("1428 mm", 1.0), ("142 cm", 1.0), ("1428.5 mm", 0.1), ("4.5 ft", 30.48),
    ],
)  # fmt: skip
def test_resolution_follows_what_was_written(text: str, step: float) -> None:
    """Inches are read to 1/16 or the finer fraction written, decimals to their last digit, whole metric numbers to 1 mm."""
    assert read(text).resolution_mm == pytest.approx(step, rel=EXACT)


@pytest.mark.parametrize("word", ["light", "scant", "shy", "bare", "minus", "Light", "SCANT"])
def test_a_light_reading_lies_a_32nd_below_its_mark(word: str) -> None:
    """A word for light lowers the value by 1/32 in and leaves the length as written alone."""
    length = read(f"56 1/4 {word}", "in")
    assert length.mark == "light"
    assert length.exact_mm == Fraction(142875, 100)
    assert length.value_mm == pytest.approx(1428.75 - 25.4 / 32, rel=EXACT)


@pytest.mark.parametrize("word", ["strong", "heavy", "full", "fat", "plus"])
def test_a_strong_reading_lies_a_32nd_above_its_mark(word: str) -> None:
    """A word for strong raises the value by 1/32 in."""
    length = read(f"59-3/4 {word}", "in")
    assert (length.mark, length.value_mm) == ("strong", pytest.approx(59.75 * 25.4 + 25.4 / 32, rel=EXACT))


@pytest.mark.parametrize(
    ("text", "mark"),
    [
        ("56 1/4 light in", "light"), ('56 1/4" light', "light"), ("light 56 1/4 in", "light"), ("56 1/4+", "strong"),
        ("56 1/4 in -", "light"), ('56-1/4"-', "light"), ("56 +", "strong"), ("4' 8 1/4 strong", "strong"),
        ("4' 8 1/4 strong in", "strong"), ("1428 mm strong", "strong"), ("4 ft light", "light"),
    ],
)  # fmt: skip
def test_the_mark_may_stand_before_or_after_the_unit(text: str, mark: str) -> None:
    """Words and trailing signs are found wherever people put them."""
    assert read(text, "in").mark == mark


def test_the_size_of_a_mark_is_a_setting() -> None:
    """Light moves by what the settings say."""
    quarter = replace(TapeSettings(), mark_shift_mm=2.0)
    assert parse_length("1428 mm light", where="r", settings=quarter).value_mm == pytest.approx(1426.0, rel=EXACT)


@pytest.mark.parametrize(
    ("text", "position"),
    [
        ("", 1), ("   ", 1), ("wide", 1), ("0", 1), ("0 in", 1), ("-5", 1), ("-56 1/4", 1), ("−5", 1), ("+5", 1), ("56-", 3),
        ("56 4/4", 4), ("56 5/4", 4), ("561/4", 1), ("56 1/0", 6), ("56 1/3", 6), ("56 1/10", 6), ("56 1/128", 6), ("56⅓", 3),
        ("56 1/4 mm", 1), ("56 ¼ cm", 1), ("1/2 ft", 1), ("56.5 1/4", 6), ("56.5¼", 5), ("1.5/4", 1), ("56 1/", 6), ("56 1/x", 6),
        ("nan", 1), ("inf", 1), ("1e9", 2), ("9**9", 2), ("0x10", 2), ("1_000", 2), ("142,8 cm", 4), ("1,428 mm", 2),
        ("1.2.3", 4),
        (".5 in", 1), ("5. in", 2), ("٥٦ in", 1), ("５６ in", 1), ("56²", 3), ("56 in 3", 7), ("5 6", 3), ("56 1/4 1/2", 8),
        ("56 in in", 7), ("4' 12", 4), ("4' 8\" 3", 7), ("4' 8 mm", 6), ("4' 8'", 5), ("4.5' 3", 4), ("1/2' 3", 4), ("56 yd", 4),
        ("11 m", 1), ("99999999999 mm", 1), ("56 light light", 10), ("56 light -", 10), ("light 56 strong", 10), ("56; 57", 3),
        ("56 1/4 about", 8), ("56\u200b", 3),
    ],
)  # fmt: skip
def test_what_is_no_reading_is_refused_at_its_first_wrong_character(text: str, position: int) -> None:
    """The error names the reading and the place, and says what to do."""
    with pytest.raises(BadInput) as error:
        read(text, "in")
    assert error.value.where == "reading width_top"
    assert error.value.position == position
    assert error.value.remedy


def test_a_number_without_a_unit_is_refused_when_there_is_no_default() -> None:
    """Without a default unit the place where the unit is missing is named."""
    with pytest.raises(BadInput, match="needed a unit") as error:
        read("56 1/4")
    assert error.value.position == 7


def test_fractions_are_refused_when_the_default_unit_is_metric() -> None:
    """56 1/4 with millimetres as the default is a mix-up, not 56.25 mm."""
    with pytest.raises(BadInput, match="fractions belong to inches"):
        read("56 1/4", "mm")


def test_feet_and_inches_need_no_default_unit() -> None:
    """The inches behind a foot mark are implied."""
    assert read("4' 8-1/4").exact_mm == Fraction(142875, 100)


def test_a_comma_that_is_switched_off_is_answered_with_both_ways_out() -> None:
    """The reading with a point, and the key that lets the comma stand."""
    with pytest.raises(BadInput) as refused:
        read("55,25", "in")
    assert refused.value.remedy == "write 55.25, or state decimal_comma = true"


def test_the_decimal_comma_is_read_when_switched_on() -> None:
    """142,8 cm is 1428 mm with the comma on, and a point before three digits is then refused as a thousands sign."""
    assert read("142,8 cm", decimal_comma=True).exact_mm == 1428
    assert read("142.8 cm", decimal_comma=True).exact_mm == 1428
    with pytest.raises(BadInput) as error:
        read("1.428 mm", decimal_comma=True)
    assert error.value.position == 2


@pytest.mark.parametrize(
    ("text", "unit", "mm"),
    [
        ("1.402", "m", 1402),
        ("1.402 m", "cm", 1402),
        ("142.875", "cm", 1428.75),
        ("56.125 in", None, 1425.575),
        ("4.875 ft", None, 1485.9),
    ],
)
def test_a_point_that_cannot_part_thousands_is_one_before_decimals(text: str, unit: str | None, mm: float) -> None:
    """With the comma on as well: nobody reads 1402 m off a tape."""
    assert float(read(text, unit, decimal_comma=True).exact_mm) == pytest.approx(mm)


@pytest.mark.parametrize(("text", "unit"), [("1.428", "mm"), ("1.428 mm", "m"), ("1.428", None)])
def test_a_point_that_may_part_thousands_is_still_asked_about(text: str, unit: str | None) -> None:
    """1.428 mm may be a millimetre or 1428 of them."""
    with pytest.raises(BadInput):
        read(text, unit, decimal_comma=True)


def test_a_text_that_is_far_too_long_is_refused_unread() -> None:
    """A pasted page is no reading."""
    with pytest.raises(BadInput, match="at most 40"):
        read("1" * 100_000, "in")


def test_an_unknown_default_unit_is_refused() -> None:
    """A default unit that is none of ours is named."""
    with pytest.raises(BadInput, match="furlong"):
        read("5", "furlong")


FRACTIONS = st.sampled_from(DENOMINATORS).flatmap(lambda d: st.tuples(st.integers(1, d - 1), st.just(d)))


@profile(database=None, derandomize=True, deadline=None)
@given(
    whole=st.integers(0, 390), fraction=FRACTIONS, sign=st.sampled_from([" ", "-"]), unit=st.sampled_from(["", '"', " in", "in."])
)
def test_text_to_millimetres_and_back_is_the_identity(whole: int, fraction: tuple[int, int], sign: str, unit: str) -> None:
    """A fraction of an inch survives reading, writing and reading again, exactly."""
    top, bottom = fraction
    length = read(f"{whole}{sign}{top}/{bottom}{unit}", "in")
    assert length.exact_mm == (whole + Fraction(top, bottom)) * INCH
    assert read(inches_text(length.value_mm, denominator=64)).exact_mm == length.exact_mm


@profile(database=None, derandomize=True, deadline=None)
@given(feet=st.integers(1, 30), inches=st.integers(0, 11), fraction=FRACTIONS)
def test_feet_and_inches_equal_the_same_length_in_inches(feet: int, inches: int, fraction: tuple[int, int]) -> None:
    """The foot is twelve inches, whatever stands behind it."""
    part = f"{fraction[0]}/{fraction[1]}"
    assert read(f"{feet}' {inches}-{part}\"").exact_mm == read(f"{12 * feet + inches} {part} in").exact_mm


@profile(database=None, derandomize=True, deadline=None)
@given(digits=st.integers(1, 9_999_999), decimals=st.integers(0, 4), unit=st.sampled_from(["mm", "cm", "m", "in", "ft"]))
def test_decimal_numbers_are_read_exactly_or_refused_as_too_long(digits: int, decimals: int, unit: str) -> None:
    """A decimal reading is its digits over a power of ten, times the unit."""
    text = str(digits).rjust(decimals + 1, "0")
    number = f"{text[:-decimals]}.{text[-decimals:]}" if decimals else text
    exact = Fraction(digits, 10**decimals) * MM_PER[unit]
    if exact > 10_000:
        with pytest.raises(BadInput, match="at most 10 m"):
            read(f"{number} {unit}")
    else:
        assert read(f"{number} {unit}").exact_mm == exact


@profile(database=None, derandomize=True, deadline=None, max_examples=400)
@given(text=st.lists(st.sampled_from("0123456789 /-'\".,¼½⅓+inftmcxlight⁄′″−٣\u00a0"), max_size=14).map("".join))
def test_any_text_is_read_as_a_positive_length_or_refused_with_a_place_inside_it(text: str) -> None:
    """No text of such characters crashes, gives nothing, or gives a length that is not positive."""
    try:
        length = read(text, "in")
    except BadInput as error:
        place = error.position or 0
    else:
        place = 1
        assert 0 < length.exact_mm <= 10_000
        assert length.resolution_mm > 0
    assert 1 <= place <= len(text) + 1


@pytest.mark.parametrize("text", ["1,402", "1,402 mm", "12,345"])
def test_the_remedy_for_a_comma_never_makes_another_number(text: str) -> None:
    """Three digits behind a comma are thousands as likely as decimals: without the sign it is the number that was meant."""
    with pytest.raises(BadInput) as refused:
        parse_length(text, where="reading", unit="mm")
    digits = text.removesuffix(" mm").replace(",", "")
    assert refused.value.remedy == (
        f"write {digits} if the comma parts thousands; if it begins decimals, state decimal_comma = true"
    )
    assert "." not in refused.value.remedy
