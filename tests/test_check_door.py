"""The one door with a kind of door, on painted photos."""

from __future__ import annotations

from typing import Any

import pytest

from tests.geometry.scenery import picture
from tests.test_check import ROOM, SHEETS, answer, plumb, readings, request
from vision.check import BadInput, CheckRequest, check, sheet_pdf

KIT = {"kit_min": "1350 mm", "kit_max": "1450 mm", "grid": "1 mm"}


def asked(slips_mm: dict[str, float] | None = None, **changes: Any) -> CheckRequest:
    of = picture(SHEETS)
    facts = {"tape": readings(slips_mm), "plumb_lines": (plumb(of),), "cards": ("letter@0+-0.3=215.9x279.4mm+-0.2",)}
    return request(of, **facts, **changes)


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
