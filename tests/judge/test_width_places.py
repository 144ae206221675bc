"""Where widths were taken, and what an order makes of it."""

from __future__ import annotations

import pytest

from tests.judge.openings import base_order, judged, photo, tape
from tests.judge.test_order import TAPED, codes, order, taped
from vision.judge.door_records import DoorOrder
from vision.judge.doors import choose_door
from vision.judge.evidence import Evidence
from vision.judge.ordering import order_door
from vision.judge.width_places import elsewhere
from vision.settings import OrderSettings

WIDTHS = ("width_top", "width_middle", "width_bottom")
ONE_PLACE = dict.fromkeys(WIDTHS, 254.0)


@pytest.mark.parametrize(
    ("at_mm", "named"),
    [
        (ONE_PLACE, ("bottom width, middle width and top width",)),
        ({"width_top": 254.0}, ("top width, or",)),
        ({"width_bottom": 1900.0}, ("bottom width, or",)),
        ({"width_top": 25.0, "width_middle": 1000.0, "width_bottom": 1900.0}, ("bottom width, middle width and top width",)),
        ({"width_top": 700.0, "width_middle": 500.0, "width_bottom": 300.0}, ("bottom width, middle width and top width",)),
        ({"width_top": 1000.0, "width_middle": 500.0, "width_bottom": 300.0}, ("bottom width, middle width and top width",)),
    ],
)
def test_widths_that_leave_out_a_part_of_the_opening_hold(at_mm: dict[str, float], named: tuple[str, ...]) -> None:
    """All in one place, out of order, or within less than half of the height: readings-missing, with what to correct."""
    decided = order(at_mm=at_mm)

    assert (decided.status, codes(decided)) == ("hold", ["readings-missing"])
    assert "10 in" in decided.reasons[0].text or at_mm.get("width_top") != 254.0
    assert all(words in decided.next[0] for words in named)


@pytest.mark.parametrize(
    "at_mm",
    [
        {},
        {"width_top": 1829.0},
        {"width_top": 1500.0, "width_middle": 900.0, "width_bottom": 100.0},
        {"width_top": 1200.0, "width_bottom": 150.0},
    ],
)
def test_widths_one_above_the_other_hold_nothing(at_mm: dict[str, float]) -> None:
    """As usual, or where they were said to be taken."""
    assert order(at_mm=at_mm).status == "ready"


def test_a_stated_height_counts_where_none_was_read() -> None:
    """Without a head, and without height readings, the top width is held against the height of the glass."""
    names = WIDTHS
    for at, expected in ((254.0, ["readings-missing"]), (1800.0, [])):
        decided = order(readings=taped(names), has_head=False, at_mm={"width_top": at}, height_mm=1900.0)
        assert [code for code in codes(decided) if code != "no-second-witness"] == expected


def test_without_any_height_a_foot_must_lie_between_them() -> None:
    """Nobody knows how high the opening is, but ten inches and eleven are one place."""
    readings, settings = taped(WIDTHS), OrderSettings()

    assert elsewhere(readings, {"width_top": 280.0, "width_middle": 267.0, "width_bottom": 254.0}, None, settings)
    assert not elsewhere(readings, {"width_top": 700.0, "width_middle": 400.0, "width_bottom": 254.0}, None, settings)
    assert not elsewhere(readings, {"width_top": 254.0}, None, settings)
    assert not elsewhere(taped(("width_top", *tuple(TAPED)[3:])), {"width_top": 254.0}, None, settings)


def test_a_size_made_of_a_width_taken_elsewhere_is_withheld() -> None:
    """A header is as long as the top width, and nobody has taken that one; the track is given."""
    one = tape({"Wb": "55 1/8", "Wm": "55 1/8", "Wt": "55 1/8", "Hl": "78", "Hr": "78"})
    comparison = judged(one, photo(one))
    base = base_order(one, comparison, None)
    hardware = {"kit_min": "1350 mm", "kit_max": "1450 mm", "grid": "1 mm"}
    evidence = Evidence(comparison, one.gaussian, None, {}, True, None, base, elsewhere=frozenset({"width_top"}))
    door = order_door(choose_door("sliding-kit", hardware), evidence).door

    assert isinstance(door, DoorOrder)
    sizes = {size.name: size for size in door.sizes}
    assert sizes["header_length"].value_mm is None
    assert "readings-missing" in sizes["header_length"].withheld
    assert sizes["track_length"].value_mm is not None
