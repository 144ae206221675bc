"""An edge that cannot be followed stands as its corners were marked: what it carries is rough, the rest is measured as ever."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest

from tests.geometry.scenery import Patch, Picture, Shot, Wall, four_cards, picture
from vision.check import CheckRequest, Report, check, overlay_jpeg, to_json, walls_png
from vision.geometry.marked import OFF_SHARE
from vision.geometry.reach import BEYOND_STATED
from vision.settings import Settings

WIDTH, HEIGHT = 1400.0, 1950.0
SHOT = Shot(size=(1980, 2640))
TOWEL, MAT = Patch((20, 975), (520, 1900), (150, 120, 100)), Patch((700, 10), (1360, 300), (120, 110, 90))
"""over all of the left edge, and over all of the curb, their own borders far away from it"""
FLAT = ("id-1@0+-0.3",)


CARDS = tuple(replace(c, centre=(min(c.centre[0], c.centre[0] * 3), c.centre[1])) for c in four_cards(WIDTH, HEIGHT))
"""those on the left far enough from the opening that the towel leaves them free"""


def room(*covers: Patch) -> Picture:
    return picture(Wall(WIDTH, HEIGHT, patches=CARDS, covers=covers), SHOT)


def asked(of: Picture, *, off_px: float = 6.0, **more: Any) -> CheckRequest:
    return CheckRequest(photos=(("room6.jpg", of.data),), corners=(of.corners_px(off_px),), cards=FLAT, **more)  # type: ignore[arg-type]


@cache
def report(*covers: Patch) -> Report:
    return check(asked(room(*covers)))


def hidden(data: dict[str, Any]) -> list[str]:
    return [f["text"] for f in data["findings"] if f["code"] == "edge-hidden"]


def test_nothing_is_taken_as_marked_where_all_edges_are_seen() -> None:
    """No finding, and no line in any budget."""
    data = to_json(report())
    assert hidden(data) == []
    assert all("corners marked" not in size["budget_mm"] for size in data["sizes"].values())


def test_a_hidden_wall_costs_the_widths() -> None:
    """The left edge is said to be as marked: widths are rough by it, and within that; the right wall is as good as ever."""
    data, whole = to_json(report(TOWEL)), to_json(report())
    (text,) = hidden(data)
    assert "along the left" in text
    assert data["order"]["status"] == "hold"
    for name in ("width_top", "width_middle", "width_bottom"):
        size = data["sizes"][name]
        assert size["budget_mm"]["corners marked"] > 0.4 * size["u_mm"]
        assert abs(size["value_mm"] - WIDTH) < 3 * size["u_mm"]
    assert data["walls"]["right"]["u_bow_mm"] < 1.2 * whole["walls"]["right"]["u_bow_mm"]
    assert data["not_measured"]["bow_left"]["code"] == "edge-hidden"
    assert "bow_left" not in data["walls"].get("left", {})


def test_a_hidden_curb_costs_the_heights_and_not_the_widths() -> None:
    """Where the curb is only moves the height at which a width is taken."""
    data, whole = to_json(report(MAT)), to_json(report())
    assert "along the curb" in hidden(data)[0]
    assert data["sizes"]["height_left"]["budget_mm"]["corners marked"] > 5
    for name in ("width_top", "width_middle"):
        size = data["sizes"][name]
        assert size["u_mm"] < 1.3 * whole["sizes"][name]["u_mm"]
        assert abs(size["value_mm"] - WIDTH) < 3 * size["u_mm"]


def test_corners_that_are_stated_to_be_good_make_it_less_rough() -> None:
    """In proportion to what is stated; and marking more closely is not asked for again."""
    usual = to_json(report(TOWEL))
    close = to_json(check(asked(room(TOWEL), off_px=1.0, corners_within_px=3.0)))
    scale = np.hypot(*SHOT.size) / 5040
    part = [d["sizes"]["width_middle"]["budget_mm"]["corners marked"] for d in (usual, close)]
    assert part[0] / part[1] == pytest.approx(Settings().edges.search_px / BEYOND_STATED * scale / 3.0, rel=0.05)
    asks = [next(f["next"] for f in d["findings"] if f["code"] == "edge-hidden") for d in (usual, close)]
    assert ["corners-within" in a for a in asks] == [True, False]


def test_the_stated_sd_is_the_share_of_what_marks_may_be_off() -> None:
    """In pixels, as the finding has it."""
    scale = np.hypot(*SHOT.size) / 5040
    expected = OFF_SHARE * Settings().edges.search_px / BEYOND_STATED * scale
    assert f"standard deviation of {expected:.0f} pixels" in hidden(to_json(report(TOWEL)))[0]


def test_two_hidden_edges_are_refused() -> None:
    """edge-hidden, with both names."""
    refused = to_json(report(TOWEL, MAT))["cannot_measure"]
    assert refused["code"] == "edge-hidden"
    assert all(name in refused["found"] for name in ("left", "curb"))


def test_the_pictures_show_what_was_not_seen() -> None:
    """The edge is dashed in the photo, and has no curve among the walls."""
    of = report(TOWEL)
    assert of.opening is not None
    assert of.opening.photos[0].marked == {"left"}
    assert set(of.opening.wall_shapes) == {"right"}
    assert overlay_jpeg(of, 0) != overlay_jpeg(report(), 0)
    assert walls_png(of) is not None
