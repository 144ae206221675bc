"""Readings of one length, taken more than once."""

from __future__ import annotations

import numpy as np
import pytest

from tests.tolerances import EXACT
from vision.settings import Settings
from vision.tape.instrument import tape_sd_mm
from vision.tape.readings import Taped, facts_from_mapping, read_tape

INCH = 25.4
TAPE = Settings().tape


def taped(first: dict[str, str], *second: dict[str, object], **facts: object) -> Taped:
    return read_tape(facts_from_mapping({"unit": "in", "readings": first, "second": list(second), **facts}))


def test_a_mean_keeps_the_error_of_its_tape() -> None:
    """Twenty readings of one tape leave the tape's own error where it was; what differs from reading to reading shrinks."""
    again = [{"readings": {"width_top": "56"}} for _ in range(19)]
    one, many = taped({"width_top": "56"}).gaussian, taped({"width_top": "56"}, *again).gaussian
    assert many.budget("width_top")["tape"] == pytest.approx(tape_sd_mm("us", 56 * INCH), rel=EXACT)
    assert many.budget("width_top")["reading resolution"] == pytest.approx(
        one.budget("width_top")["reading resolution"] / np.sqrt(20), rel=EXACT
    )


def test_the_place_of_a_length_does_not_average_out_in_one_hand() -> None:
    """Of the placement only the part that changes from reading to reading does."""
    repeat, common = TAPE.placement_repeat_sd_mm, np.sqrt(TAPE.placement_sd_mm**2 - TAPE.placement_repeat_sd_mm**2)
    budget = taped({"width_top": "56"}, {"readings": {"width_top": "56"}}).gaussian.budget("width_top")
    assert budget["placement"] == pytest.approx(np.sqrt(common**2 + repeat**2 / 2), rel=EXACT)


def test_another_hand_and_another_tape_are_independent() -> None:
    """Two people with two tapes share neither placement nor tape."""
    budget = taped({"width_top": "56"}, {"by": "second", "tape": "us", "readings": {"width_top": "56"}}).gaussian.budget(
        "width_top"
    )
    assert budget["placement"] == pytest.approx(TAPE.placement_sd_mm / np.sqrt(2), rel=EXACT)
    assert budget["tape"] == pytest.approx(tape_sd_mm("us", 56 * INCH) / 2, rel=EXACT)
    assert budget["tape 2"] == pytest.approx(budget["tape"], rel=EXACT)


def test_a_combined_uncertainty_is_never_larger_than_that_of_the_first_reading() -> None:
    """A repeat that agrees can only help."""
    one = taped({"width_top": "56"}).gaussian.u("width_top")
    for second in ({}, {"by": "B"}, {"tape": "class-3"}, {"by": "B", "tape": "class-1"}):
        assert taped({"width_top": "56"}, {**second, "readings": {"width_top": "56"}}).gaussian.u("width_top") < one


def test_readings_of_one_tape_are_not_measured_with_two() -> None:
    """Both tapes are held side by side where there are two; a further set without `tape` is by the same one."""
    for further, both in (({"tape": "us"}, True), ({}, False), ({"by": "second"}, False)):
        (finding,) = taped({"width_top": "59 3/4"}, {**further, "readings": {"width_top": "60"}}).findings
        assert ("both tapes" in finding.next) == both
    (level,) = taped(
        {"plumb_left": "1/4 in out over 72 in"}, {"tape": "us", "readings": {"plumb_left": "2 in out over 72 in"}}
    ).findings
    assert "tapes" not in level.next


def test_repeats_an_eighth_apart_pass_and_further_apart_are_a_finding() -> None:
    """59-3/4 and 59-7/8 are one length, 59-3/4 and 59-15/16 are measured again: readings-differ."""
    near = taped({"width_top": "59 3/4"}, {"tape": "us", "readings": {"width_top": "59 7/8"}})
    far = taped({"width_top": "59 3/4"}, {"tape": "us", "readings": {"width_top": "59 15/16"}})
    assert near.findings == ()
    assert [finding.code for finding in far.findings] == ["readings-differ"]
    assert "'59 15/16'" in far.findings[0].text


def test_readings_that_differ_are_worth_less() -> None:
    """Half their distance is added as a source of its own."""
    far = taped({"width_top": "59"}, {"tape": "us", "readings": {"width_top": "60"}})
    assert far.gaussian.budget("width_top")["repeats that differ"] == pytest.approx(INCH / 2, rel=EXACT)


def test_the_smallest_reading_is_kept_for_the_order() -> None:
    """An order must not exceed the smallest of them, whatever the mean is."""
    one = taped({"width_top": "59 3/4", "width_bottom": "60"}, {"by": "B", "readings": {"width_top": "59 7/8"}})
    assert one.smallest_mm == pytest.approx({"width_top": 59.75 * INCH, "width_bottom": 60 * INCH}, rel=EXACT)
    assert one.smallest_mm["width_top"] < one.gaussian.value("width_top") < 59.875 * INCH


def test_the_largest_reading_is_kept_for_what_must_cover() -> None:
    """The largest of both sets, whichever it stands in, and a single reading as it is."""
    one = taped({"width_top": "59 3/4", "width_bottom": "60"}, {"by": "B", "readings": {"width_top": "59 7/8"}})
    other = taped({"width_top": "59 7/8"}, {"by": "B", "readings": {"width_top": "59 3/4"}})
    assert one.largest_mm == pytest.approx({"width_top": 59.875 * INCH, "width_bottom": 60 * INCH}, rel=EXACT)
    assert other.largest_mm["width_top"] == pytest.approx(59.875 * INCH, rel=EXACT)
    assert one.gaussian.value("width_top") < one.largest_mm["width_top"]


def test_a_second_set_may_bring_readings_that_the_first_has_not() -> None:
    """They stand beside those of the first set."""
    assert taped({"width_top": "56"}, {"by": "B", "readings": {"height_left": "78"}}).names == ("width_top", "height_left")
