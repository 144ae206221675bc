"""Questions: notation, suspicious sets, unusual sizes. They hold nothing."""

from __future__ import annotations

import pytest

from tests.judge.taped import GOOD, taped
from vision.errors import QUESTION_CODES
from vision.judge.questions import ask
from vision.judge.signatures import written
from vision.judge.verdicts import Question

WIDTHS = ("width_top", "width_middle", "width_bottom")
HEIGHTS = {"height_left": "76", "height_right": "76"}
CASES: dict[str, dict[str, str]] = {
    "sixteenths-as-decimals": {"width_top": "59.13"},
    "feet-and-inches": {"width_top": "56", "height_left": "6' 6"},
    "round-readings": dict.fromkeys(WIDTHS, "59 1/2") | {"height_left": "76", "height_right": "75"},
    "identical-readings": dict.fromkeys(WIDTHS, "59 5/16") | HEIGHTS,
    "nominal-size": {"width_top": "60"},
    "unusual-size": {"width_top": "142.2"},
    "curb-fall": {"width_top": "56 1/16", "curb_fall": "1/8 outside low over 4"},
}


def questions(readings: dict[str, str], **facts: object) -> tuple[Question, ...]:
    one = taped(readings, **facts)
    lengths = {name: written(length) for name, length in one.lengths.items()}
    levels = {name: level.value_mm for name, level in one.levels.items()}
    return ask(lengths, levels, one.over_mm, {name: r.spread_mm for name, r in one.repeats.items()})


@pytest.mark.parametrize("code", CASES)
def test_each_question_is_asked_for_its_reason(code: str) -> None:
    """A sheet that gives cause for one question gets it, in words that end in something to do."""
    asked = [question for question in questions(CASES[code]) if question.code == code]
    assert len(asked) == 1
    assert asked[0].ask


def test_every_question_is_tested() -> None:
    """The closed list of codes is the cases above and the third reading."""
    assert set(CASES) | {"third-reading"} == QUESTION_CODES


def test_good_readings_raise_no_question() -> None:
    """Sixteenths, different from one another, of usual size."""
    assert questions(GOOD | {"plumb_left": "1/16 into over 72", "curb_fall": "1/4 inside low over 4"}) == ()


@pytest.mark.parametrize("text", ["4’ 8 1/4”", "4' 8 1/4\"", "4′ 8 1/4″", "4 ft 8 1/4 in", "4 Feet 8 1/4", "4' 8 1/4''"])
def test_feet_are_feet_in_whatever_type_they_are_written(text: str) -> None:
    """Straight, curly and true signs and words: a set of nothing but feet and inches is asked nothing about them."""
    asked = questions({"width_top": text, "width_middle": "4 ft 8 1/4 in", "height_left": "6' 6 1/16"})
    assert "feet-and-inches" not in {question.code for question in asked}


def test_two_primes_are_inches() -> None:
    """56'' beside 6' 6 is inches and is asked about, in good English."""
    asked = [q for q in questions({"width_top": "56''", "height_left": "6’ 6"}) if q.code == "feet-and-inches"]
    assert [q.readings for q in asked] == [("width_top",)]
    assert "the top width is written \"56''\"" in asked[0].text


@pytest.mark.parametrize(("second", "asked"), [("59 13/16", False), ("59 7/8", True), ("59 15/16", False)])
def test_a_third_reading_is_asked_for_between_a_sixteenth_and_an_eighth(second: str, asked: bool) -> None:
    """Up to 1/16 they agree, over 1/8 they differ, which is a finding."""
    found = questions({"width_top": "59 3/4"}, second=[{"readings": {"width_top": second}}])
    assert ("third-reading" in {question.code for question in found}) == asked


@pytest.mark.parametrize(
    ("readings", "code"),
    [
        ({"width_top": "58", "width_bottom": "60"}, "unusual-size"),
        ({"plumb_left": "2 into over 72"}, "unusual-size"),
        ({"height_left": "40"}, "unusual-size"),
        ({"width_top": "59.5"}, None),
        ({"width_top": "5' 6", "height_left": "6' 6"}, None),
        ({"width_top": "60", "width_bottom": "59 7/8"}, None),
    ],
)
def test_limits_have_two_sides(readings: dict[str, str], code: str | None) -> None:
    """Beyond a limit something is asked, within it nothing."""
    assert {question.code for question in questions(readings)} == ({code} if code else set())


def test_a_set_in_centimetres_is_round_by_its_millimetres() -> None:
    """142.0 cm and its like are multiples of 10 mm."""
    texts = {"width_top": "142 cm", "width_bottom": "141 cm", "diagonal_rising": "244 cm"}
    texts |= {"height_left": "200 cm", "height_right": "199 cm"}
    assert "round-readings" in {question.code for question in questions(texts)}


def test_a_question_has_a_code_of_the_list() -> None:
    """Another one is a defect."""
    with pytest.raises(ValueError, match="unknown code"):
        Question("something", (), "text", "ask")


@pytest.mark.parametrize(("second", "asked"), [("59 5/16", True), ("59 1/4", False)])
def test_equal_widths_are_not_asked_about_where_another_set_has_others(second: str, asked: bool) -> None:
    """A second set with other numbers was read, not written several times; one with the same numbers says nothing about it."""
    found = questions(CASES["identical-readings"], second=[{"readings": {"width_top": second}}])
    assert ("identical-readings" in {question.code for question in found}) == asked
