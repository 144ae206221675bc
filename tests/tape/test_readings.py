"""The set of readings: from a file to a joint uncertainty."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tests.tolerances import EXACT
from vision.errors import BadInput
from vision.settings import Settings
from vision.tape.instrument import tape_sd_mm
from vision.tape.readings import READING_NAMES, Entry, TapeFacts, facts_from_mapping, facts_from_toml, read_tape

FILE = """
unit = "in"
tape = "class-2"
control_tape = "other"
height = "6' 8\\""

[readings]
height_left = "78 1/8"
width_top = { text = "56 1/4 light", at = "72 in" }
width_bottom = "56"
"""


def test_a_readings_file_is_read_as_written() -> None:
    """Every key arrives where it belongs, readings in the fixed order."""
    facts = facts_from_toml(FILE)
    assert facts.entries == (
        Entry("width_top", "56 1/4 light", "72 in"),
        Entry("width_bottom", "56"),
        Entry("height_left", "78 1/8"),
    )
    assert (facts.unit, facts.tape, facts.control_tape, facts.height) == ("in", "class-2", "other", "6' 8\"")
    assert not facts.decimal_comma


def test_readings_keep_text_height_and_value() -> None:
    """What was typed stays beside what was read; a height typed with a width is kept in mm."""
    taped = read_tape(facts_from_toml(FILE))
    assert taped.names == ("width_top", "width_bottom", "height_left")
    assert taped.texts["width_top"] == "56 1/4 light"
    assert taped.at_mm == {"width_top": pytest.approx(72 * 25.4, rel=EXACT)}
    assert taped.height_mm == pytest.approx(80 * 25.4, rel=EXACT)
    assert taped.gaussian.value("width_top") == pytest.approx(56.25 * 25.4 - 25.4 / 32, rel=EXACT)
    assert not taped.shares_control_tape


def test_the_uncertainty_of_a_reading_is_tape_resolution_placement_and_mark() -> None:
    """The budget names each source, and the squares add up."""
    taped = read_tape(facts_from_toml(FILE))
    budget = taped.gaussian.budget("width_top")
    assert budget == pytest.approx(
        {
            "tape": tape_sd_mm("class-2", taped.gaussian.value("width_top")),
            "reading resolution": 25.4 / 16 / math.sqrt(12),
            "placement": 1.0,
            "mark": 25.4 / 32 / math.sqrt(3),
        },
        rel=EXACT,
    )
    assert taped.gaussian.budget("width_bottom")["mark"] == 0.0
    assert taped.gaussian.u("width_top") ** 2 == pytest.approx(sum(sd**2 for sd in budget.values()), rel=EXACT)


def test_one_tape_is_one_variable_for_all_readings() -> None:
    """The tape's error is common: one column, all of one sign."""
    taped = read_tape(facts_from_toml(FILE))
    factor = taped.gaussian.sources["tape"]
    assert factor.shape == (3, 1)
    assert np.all(factor > 0)
    assert taped.gaussian.covariance[0, 1] == pytest.approx(float(factor[0, 0] * factor[1, 0]), rel=EXACT)


def test_readings_without_a_mark_have_no_such_source() -> None:
    """No word, no line in the budget."""
    taped = read_tape(TapeFacts((Entry("width_top", "1428 mm"),)))
    assert set(taped.gaussian.sources) == {"tape", "reading resolution", "placement"}
    assert taped.shares_control_tape


def test_no_readings_are_an_empty_record() -> None:
    """A check without a tape is no error."""
    taped = read_tape(facts_from_toml(""))
    assert taped.names == ()
    assert taped.gaussian.covariance.shape == (0, 0)
    assert read_tape(TapeFacts()).names == ()


def test_placement_is_a_setting() -> None:
    """The placement term comes from the settings handed in."""
    facts = TapeFacts((Entry("width_top", "1428 mm"),))
    assert read_tape(facts, Settings()).gaussian.budget("width_top")["placement"] == pytest.approx(1.0, rel=EXACT)


def test_all_seven_names_are_readings() -> None:
    """Each of the seven sizes can be taped."""
    facts = facts_from_mapping({"unit": "in", "readings": dict.fromkeys(reversed(READING_NAMES), "56")})
    assert tuple(entry.name for entry in facts.entries) == READING_NAMES


def test_a_value_of_none_is_as_good_as_absent() -> None:
    """JSON null in the facts means not stated."""
    facts = facts_from_mapping(
        {"unit": None, "tape": None, "height": None, "readings": {"width_top": {"text": "56 in", "at": None}}}
    )
    assert facts == TapeFacts((Entry("width_top", "56 in"),))


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("unit = 3", "unit = 3"),
        ('unit = "furlong"', "furlong"),
        ('units = "in"', "'units'"),
        ('decimal_comma = "yes"', "decimal_comma"),
        ('tape = "class-9"', "class-9"),
        ('tape = ""', "''"),
        ('control_tape = ""', "''"),
        ("tape = 2", "tape = 2"),
        ('control_tape = "maybe"', "maybe"),
        ("height = 80", "height = 80"),
        ("readings = 3", "readings = 3"),
        ('[readings]\nwidth_upper = "56 in"', "width_upper"),
        ("[readings]\nwidth_top = 56.25", "reading width_top"),
        ('[readings]\nwidth_top = {at = "72 in"}', "reading width_top"),
        ('[readings]\nwidth_top = {text = "56 in", hight = "72 in"}', "'hight'"),
        ('[readings]\nwidth_top = {text = 56, at = "72 in"}', "text = 56"),
        ('[readings]\nheight_left = {text = "78 in", at = "72 in"}', "reading height_left"),
        ('[readings\nwidth_top = "56 in"', "line 1"),
        ('unit = "in"\nwidth_top = 56 1/4', "line 2"),
    ],
)
def test_a_readings_file_with_something_wrong_is_refused_by_name(text: str, named: str) -> None:
    """Whatever does not belong is named in the error."""
    with pytest.raises(BadInput) as error:
        facts_from_toml(text, where="room3.toml")
    assert named in str(error.value)


@pytest.mark.parametrize(
    ("facts", "where"),
    [
        (TapeFacts((Entry("width_top", "56 1/4"),)), "reading width_top"),
        (TapeFacts((Entry("width_top", "56 in", "tall"),)), "reading width_top, at"),
        (TapeFacts((), height="0 in"), "height"),
        (TapeFacts((Entry("width_top", "56 in"), Entry("width_top", "57 in"))), "reading width_top"),
        (TapeFacts((), tape="class-9"), "tape"),
        (TapeFacts((), control_tape="mine"), "control_tape"),  # type: ignore[arg-type]
    ],
)
def test_a_reading_that_cannot_be_read_is_named(facts: TapeFacts, where: str) -> None:
    """The error says which entry it was."""
    with pytest.raises(BadInput) as error:
        read_tape(facts)
    assert error.value.where == where
