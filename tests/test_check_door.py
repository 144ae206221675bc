"""The one door with a kind of door, on painted photos."""

from __future__ import annotations

import html
from dataclasses import replace
from typing import Any

import pytest

from tests.geometry.scenery import Shot, picture
from tests.test_check import ROOM, SHEETS, answer, plumb, readings, request
from vision.check import BadInput, CheckRequest, Entry, TapeFacts, check, sheet_html, sheet_pdf, to_json
from vision.report.sheet_walls import walls_drawing
from vision.settings import OrderSettings, Settings
from vision.tape.readings import SecondSet

KIT = {"kit_min": "1350 mm", "kit_max": "1450 mm", "grid": "1 mm"}


def asked(slips_mm: dict[str, float] | None = None, **changes: Any) -> CheckRequest:
    of = picture(SHEETS, Shot((2640, 3520)))
    facts = {"tape": readings(slips_mm), "plumb_lines": (plumb(of),), "cards": ("letter@0+-0.3=215.9x279.4mm+-0.2",)}
    return request(of, **(facts | changes))


def levelled(left: str = "plumb", right: str = "plumb", slips_mm: dict[str, float] | None = None, **changes: Any) -> TapeFacts:
    """The room's lengths with a level of 72 in at both walls and on the curb."""
    facts = readings(slips_mm)
    levels = (Entry("plumb_left", left), Entry("plumb_right", right), Entry("curb_level", "level"))
    return replace(facts, entries=(*facts.entries, *levels), level_length="72 in", **changes)


def given(data: dict[str, Any]) -> dict[str, float]:
    return {size["name"]: size["value_mm"] for size in data["order"]["door"]["sizes"] if size["status"] == "given"}


def test_good_readings_give_the_sizes_of_the_kind() -> None:
    """1400 mm make a header and a track an eighth of an inch shorter, down to whole millimetres, and the order is ready."""
    data = answer(asked(door="sliding-kit", hardware=KIT))

    assert data["order"]["status"] == "ready"
    assert given(data) == {"kit_from": 1400.0, "kit_to": 1400.0, "header_length": 1396.0, "track_length": 1396.0}


def test_an_inch_on_a_width_withholds_what_is_made_of_it() -> None:
    """A suspect top width withholds the header and the kit's range, not the track."""
    data = answer(asked({"width_top": 25.4}, door="sliding-kit", hardware=KIT))

    assert data["order"]["status"] == "hold"
    assert set(given(data)) == {"track_length"}


def test_a_photo_without_a_vertical_leaves_glass_without_a_width() -> None:
    """Leans unknown: held to level both walls, the panel withheld."""
    cards = ("letter@0+-0.3=215.9x279.4mm+-0.2",)
    data = answer(request(picture(SHEETS), tape=readings(), cards=cards, door="panel-and-door"))

    assert "level-both-walls" in {reason["code"] for reason in data["order"]["reasons"]}
    assert not any(name.endswith("width") for name in given(data))


def test_a_level_gives_the_walls_that_the_photo_has_not() -> None:
    """With both walls levelled by hand the same photo gives the panel its widths, and the order sheet shows the walls."""
    cards = ("letter@0+-0.3=215.9x279.4mm+-0.2",)
    report = check(request(picture(SHEETS), tape=levelled(), cards=cards, door="panel-and-door"))
    data = to_json(report)

    assert "level-both-walls" not in {reason["code"] for reason in data["order"]["reasons"]}
    assert {"panel_width", "door_width"} <= set(given(data))
    assert walls_drawing(report, 142.0, 122.0) is not None


@pytest.mark.parametrize("walls", ["plumb", "1/32 in out over 72 in"])
def test_walls_levelled_by_hand_lift_the_hold(walls: str) -> None:
    """A photo without a vertical, and both walls levelled as it asks: the rectangle is the tape's too, and the order is ready."""
    of = picture(replace(SHEETS, plumb_x_mm=None), Shot((2640, 3520)))
    tape = levelled(walls, walls)
    data = answer(asked(photos=(("room3.jpg", of.data),), tape=tape, plumb_lines=()))

    assert "plumb_rectangle" in data["not_measured"]
    assert data["order"]["reasons"] == []
    assert data["order"]["status"] == "ready"


def test_a_level_that_contradicts_the_photo_withholds_what_hangs_on_the_walls() -> None:
    """An inch of lean that the photo's plumb line does not see: no widths of glass, but heights."""
    data = answer(asked(tape=levelled(right="1 in into"), door="panel-and-door"))

    assert data["readings"]["plumb_right"]["verdict"] == "suspect"
    assert {name.split("_")[1] for name in given(data)} == {"height"}


def test_without_a_photo_the_tape_alone_makes_no_sizes() -> None:
    """Readings that close and a level: the walls are drawn, every size is withheld for want of a second witness."""
    report = check(CheckRequest((), levelled(), door="panel-and-door"))
    data = to_json(report)

    assert given(data) == {}
    assert {reason["code"] for reason in data["order"]["reasons"]} == {"no-second-witness"}
    assert walls_drawing(report, 142.0, 122.0) is not None
    assert b"not seen" in sheet_html(report).encode()


def test_where_the_second_witness_is_waived_readings_that_close_give_sizes() -> None:
    """And those that do not close give none."""
    waived = Settings(order=OrderSettings(tape_alone_may_order=True))
    good, bad = (
        to_json(check(CheckRequest((), levelled(slips_mm={"width_top": slip}), door="sliding-kit", hardware=KIT), waived))
        for slip in (0.0, 60.0)
    )
    assert good["order"]["status"] == "ready"
    assert given(good)["track_length"] == 1396.0
    assert given(bad) == {}


def test_sizes_are_made_from_the_smallest_of_two_sets() -> None:
    """A second reading of the bottom width 2 mm shorter makes the track 2 mm shorter, not 1."""
    second = SecondSet((Entry("width_bottom", "1398 mm"),), by="B")
    data = answer(asked(tape=replace(readings(), second=(second,)), door="sliding-kit", hardware=KIT))

    assert given(data)["track_length"] == 1394.0


def test_readings_that_differ_withhold_only_what_is_made_from_them() -> None:
    """Two bottom widths 6 mm apart: the track waits and the order is held; the header, cut from the top width, does not."""
    second = SecondSet((Entry("width_bottom", "1394 mm"),), by="B")
    data = answer(asked(tape=replace(readings(), second=(second,)), door="sliding-kit", hardware=KIT))
    sizes = {size["name"]: size for size in data["order"]["door"]["sizes"]}

    assert data["order"]["status"] == "hold"
    assert "readings-differ" in {reason["code"] for reason in data["order"]["reasons"]}
    assert sizes["track_length"]["because"] == ["readings-differ"]
    assert sizes["kit_from"]["because"] == ["readings-differ"]
    assert sizes["header_length"]["status"] == "given"


def test_page_and_report_say_which_of_two_readings_sizes_use() -> None:
    """Both texts, the mean that is shown and the smallest that governs, on the sheet and in the report."""
    second = SecondSet((Entry("width_bottom", "1398 mm"),), by="B")
    asked_for = asked(tape=replace(readings(), second=(second,)), door="sliding-kit", hardware=KIT)
    report = check(asked_for)
    page, data = sheet_html(report), to_json(report)

    assert "read as '1400 mm', '1398 mm'; table and drawing show their mean" in html.unescape(page)
    assert "sizes are made from the smallest, '1398 mm' (1398.0 mm)" in html.unescape(page)
    assert "the bottom width, written '1398 mm', the smallest of 2 readings" in html.unescape(page)
    assert data["order"]["governing_reading"] == "width_bottom"
    assert data["readings"]["width_bottom"]["texts"] == ["1400 mm", "1398 mm"]
    assert data["readings"]["width_bottom"]["smallest_text"] == "1398 mm"


@pytest.mark.parametrize(
    ("changes", "named"),
    [
        ({"door": "revolving"}, "door"),
        ({"door": "mirror", "hardware": {"gap": "5 mm"}}, "hardware sheet"),
        ({"hardware": {}}, "hardware sheet"),
    ],
)
def test_a_kind_or_sheet_that_cannot_be_read_comes_before_the_photo(changes: dict[str, Any], named: str) -> None:
    """BadInput naming it, although the photo is not one either."""
    with pytest.raises(BadInput) as refused:
        check(CheckRequest(photos=(("room3.jpg", b"not a picture"),), **changes))
    assert named in refused.value.where


def test_what_is_no_picture_gives_an_order_sheet_without_sizes() -> None:
    """The page says hold and why, and no size."""
    report = check(CheckRequest(photos=(("room3.jpg", b"not a picture"),), tape=readings(), door="sliding-kit"))

    assert report.order.door is not None
    assert {size.value_mm for size in report.order.door.sizes} == {None}
    assert sheet_pdf(report).startswith(b"%PDF")


def test_without_a_kind_the_order_is_as_it_was() -> None:
    """No key is added."""
    assert "door" not in answer(request(picture(ROOM)))["order"]
