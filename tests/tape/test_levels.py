"""Readings of a level or straightedge, as people write them."""

from __future__ import annotations

import pytest

from tests.tolerances import EXACT
from vision.errors import BadInput
from vision.tape.readings import Taped, facts_from_mapping, read_tape

INCH = 25.4


def taped(readings: dict[str, object], **facts: object) -> Taped:
    return read_tape(facts_from_mapping({"unit": "in", "readings": readings, **facts}))


@pytest.mark.parametrize(
    ("name", "text", "inches", "over"),
    [
        ("plumb_left", "3/16 into over 72", 3 / 16, 72),
        ("plumb_left", '3/16" into the opening over 6 ft', 3 / 16, 72),
        ("plumb_right", "top leans out 1/4 over 72 in", -1 / 4, 72),
        ("plumb_right", "5 mm outward over 1800 mm", -5 / INCH, 1800 / INCH),
        ("plumb_right", "plumb over 48", 0.0, 48),
        ("plumb_right", "0 over 48", 0.0, 48),
        ("curb_level", "1/8 right high", 1 / 8, None),
        ("curb_level", "1/8 left low over 48", 1 / 8, 48),
        ("curb_level", "left end high 1/16", -1 / 16, None),
        ("curb_level", "level", 0.0, None),
        ("curb_fall", "1/4 inside low over 4", 1 / 4, 4),
        ("bow_left", "1/8 into", 1 / 8, None),
        ("bow_right", "1/8 out over 72", -1 / 8, 72),
    ],
)
def test_amount_direction_and_length_are_read(name: str, text: str, inches: float, over: float | None) -> None:
    """The sign follows the direction, the length the word over."""
    level = taped({name: text}).levels[name]
    assert level.value_mm == pytest.approx(inches * INCH, abs=EXACT)
    assert level.over_mm == (None if over is None else pytest.approx(over * INCH, rel=EXACT))


def test_direction_and_length_may_stand_apart() -> None:
    """A table with text, way and over says the same as one text."""
    apart = taped({"plumb_left": {"text": "3/16", "way": "into", "over": "72 in"}})
    assert apart.levels["plumb_left"].value_mm == taped({"plumb_left": "3/16 into over 72"}).levels["plumb_left"].value_mm


def test_a_direction_stated_apart_is_shown_with_the_reading() -> None:
    """Whoever reads the report sees '1/16 out over 72 in', not a bare 1/16."""
    apart = {"text": "1/16", "way": "out", "over": "72 in"}
    taped = read_tape(facts_from_mapping({"unit": "in", "readings": {"plumb_left": apart, "plumb_right": "1/8 into over 72"}}))
    assert dict(taped.texts) == {"plumb_left": "1/16 out over 72 in", "plumb_right": "1/8 into over 72"}


def test_the_level_s_own_length_serves_where_none_is_written() -> None:
    """`level_length` is said once for all plumb readings."""
    assert taped({"plumb_left": "1/8 into"}, level_length="48 in").over_mm == {"plumb_left": pytest.approx(48 * INCH, rel=EXACT)}


@pytest.mark.parametrize(
    ("name", "text", "needed"),
    [
        ("plumb_left", "3/16 over 72", "into"),
        ("plumb_left", "3/16 into", "length"),
        ("plumb_left", "3/16 into out over 72", "one"),
        ("curb_level", "1/8 into", ""),
        ("curb_level", "1/8", "right high"),
        ("plumb_left", "-3/16 into over 72", "greater than zero"),
        ("plumb_left", "about 3/16 into over 72", ""),
    ],
)
def test_what_is_missing_or_strange_is_refused_with_its_name(name: str, text: str, needed: str) -> None:
    """No direction, no length, two directions, words that mean nothing here."""
    with pytest.raises(BadInput) as caught:
        taped({name: text})
    assert name in caught.value.where
    assert needed in caught.value.needed


def test_a_level_reading_brings_the_level_s_error_and_not_the_tape_s() -> None:
    """Accuracy of the level over its length, resolution and contact."""
    budget = taped({"plumb_left": "3/16 into over 72", "width_top": "56"}).everything.budget("plumb_left")
    assert budget["tape"] == 0.0
    assert budget["level"] == pytest.approx(72 * INCH / 1000 / 3**0.5, rel=EXACT)
    assert budget["reading resolution"] == pytest.approx(INCH / 16 / 12**0.5, rel=EXACT)


def test_the_fall_of_the_curb_is_kept_but_is_no_part_of_the_figure() -> None:
    """Front to back lies outside the plane of the opening."""
    one = taped({"curb_fall": "1/4 inside low over 4", "width_top": "56"})
    assert one.everything.names == ("width_top",)
    assert one.levels["curb_fall"].value_mm == pytest.approx(INCH / 4, rel=EXACT)
