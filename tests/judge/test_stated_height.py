"""A height stated beside height readings, under a head and without one."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.judge.openings import INCH, tape
from tests.test_check_door import asked
from vision.check import check, to_json
from vision.judge.stated_height import height_findings
from vision.judging import taped_of
from vision.settings import Settings
from vision.tape.readings import facts_from_mapping

LIMIT_MM = INCH / 8


@pytest.mark.parametrize(
    ("stated_in", "has_head", "held"),
    [(76.0, True, False), (76.25, True, False), (76.375, True, False), (76.4, True, True), (75.875, True, False),
     (75.8, True, True), (40.0, True, True)],
)  # fmt: skip
def test_a_stated_height_must_lie_within_an_eighth_of_what_was_read(stated_in: float, has_head: bool, held: bool) -> None:
    """Between 76 and 76-1/4 in as read, an eighth beyond either."""
    readings = tape({"Wb": "48", "Hl": "76", "Hr": "76 1/4"}).gaussian
    found = height_findings(readings, stated_in * INCH, LIMIT_MM, has_head=has_head)

    assert [one.code for one in found] == (["readings-differ"] if held else [])
    assert all(one.holds and "76 in" in one.text for one in found)


def test_with_nothing_above_a_stated_height_that_differs_is_a_note() -> None:
    """It is where the glass ends, and need not be what was read: both are said, and nothing is held."""
    readings = tape({"Wb": "48", "Hl": "76", "Hr": "76 1/4"}).gaussian
    (note,) = height_findings(readings, 40.0 * INCH, LIMIT_MM, has_head=False)

    assert (note.code, note.is_note) == ("readings-differ", True)
    assert "40 in" in note.text
    assert "76 in" in note.text
    assert height_findings(readings, 76.0 * INCH, LIMIT_MM, has_head=False) == ()


def test_a_note_about_the_height_puts_no_reading_in_doubt() -> None:
    """Only the contradiction under a head withholds what the heights are made into."""
    facts = facts_from_mapping({"unit": "in", "readings": {"height_left": "76"}})

    assert taped_of(facts, "40 in", Settings(), has_head=False).apart == frozenset()
    assert taped_of(facts, "40 in", Settings(), has_head=True).apart == {"height_left", "height_right"}


def test_without_height_readings_or_a_stated_height_there_is_nothing_to_hold() -> None:
    """One of the two is no contradiction."""
    assert height_findings(tape({"Wb": "48"}).gaussian, 1000.0, LIMIT_MM, has_head=True) == ()
    assert height_findings(tape({"Hl": "76"}).gaussian, None, LIMIT_MM, has_head=True) == ()


def test_a_stated_height_that_contradicts_holds_the_order_and_withholds_heights() -> None:
    """40 in under a head that was read at 1950 mm: no reading is blamed, widths stay, the door's height is withheld."""
    plain, contradicted = (to_json(check(replace(asked(door="panel-and-door"), height=text))) for text in (None, "40 in"))
    sizes = {size["name"]: size["status"] for size in contradicted["order"]["door"]["sizes"]}

    assert plain["order"]["status"] == "ready"
    assert [reason["code"] for reason in contradicted["order"]["reasons"]] == ["readings-differ"]
    assert sizes["door_height"] == "withheld"
    assert sizes["door_width"] == "given"
