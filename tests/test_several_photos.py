"""Several photos in one check: copies, photos of another opening, and which picture belongs to which photo."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from tests.geometry.scenery import Picture, Shot, Wall, four_cards, picture
from vision.check import CheckRequest, check, to_json
from vision.report.record import Report

WIDTH, HEIGHT = 1400.0, 1950.0
ROOM = Wall(WIDTH, HEIGHT, patches=four_cards(WIDTH, HEIGHT))
FLAT = ("id-1@0+-0.3",)
"""the painted cards have no thickness"""


def room(width: float, height: float, cards: int = 4) -> Picture:
    return picture(Wall(width, height, patches=four_cards(width, height)[:cards]))


def of(*pictures: Picture, names: tuple[str, ...] = ()) -> Report:
    named = names or tuple(f"{'abcd'[k]}.jpg" for k in range(len(pictures)))
    photos = tuple((name, one.data) for name, one in zip(named, pictures, strict=True))
    corners = tuple(one.corners_px(5.0, seed=k) for k, one in enumerate(pictures))
    return check(CheckRequest(photos=photos, corners=corners, cards=FLAT))  # type: ignore[arg-type]


def found(report: Report) -> list[tuple[str, str]]:
    return [(f["code"], f["text"]) for f in to_json(report)["findings"]]


def sizes(report: Report) -> dict[str, Any]:
    return dict(to_json(report)["sizes"])


def test_a_copy_is_no_second_witness() -> None:
    """The same bytes three times: sizes and uncertainties of one, and each copy is named."""
    one = picture(ROOM)
    once, thrice = of(one), of(one, one, one)
    assert sizes(thrice) == sizes(once)
    copies = [text for code, text in found(thrice) if code == "no-second-witness"]
    assert len(copies) == 2
    assert "Photo 2 (b.jpg) is the same file as photo 1" in copies[0]
    assert not [code for code, _ in found(once) if code == "no-second-witness"]


def test_a_photo_whose_cards_tell_another_width_is_left_out() -> None:
    """15 % wider: the first photo is measured as by itself, the order holds, and no card of the other photo is used."""
    one, other = picture(ROOM), room(1.15 * WIDTH, HEIGHT, cards=2)
    report = of(one, other)
    (said,) = [text for code, text in found(report) if code == "cards-disagree"]
    assert said.startswith("b.jpg was left out: by its cards the opening is about 16")
    alone, together = sizes(of(one)), sizes(report)
    assert {n: s["value_mm"] for n, s in together.items()} == pytest.approx({n: s["value_mm"] for n, s in alone.items()}, abs=0.5)
    cards = to_json(report)["cards"]
    assert [(c["photo"], c["used"]) for c in cards] == [(1, True)] * 4 + [(2, False)] * 2
    assert to_json(report)["order"]["status"] == "hold"


def test_a_photo_of_other_proportions_is_left_out() -> None:
    """As wide and 15 % higher: the cards agree, the outline does not."""
    report = of(picture(ROOM), room(WIDTH, 1.15 * HEIGHT))
    (said,) = [text for code, text in found(report) if code == "unexplained"]
    assert said == "b.jpg was left out: its opening is 0.62 times as wide as high, that of a.jpg 0.72 times."


@pytest.mark.parametrize("wider", [1.04, 1.15])
def test_two_openings_are_told_apart_where_they_contradict_each_other(wider: float) -> None:
    """Four cards in either: nothing is measured together, and what is said is not that a card stands off the wall."""
    data = to_json(of(picture(ROOM), room(wider * WIDTH, HEIGHT)))
    assert data["sizes"] == {}
    assert data["cannot_measure"]["code"] == "unexplained"
    assert "by itself" in data["cannot_measure"]["found"]
    assert "a.jpg" in data["cannot_measure"]["found"]
    assert "b.jpg" in data["cannot_measure"]["found"]


def test_pictures_belong_to_the_photos_that_were_measured() -> None:
    """The first photo is no picture: what was measured is drawn into the second, and so are its cards."""
    one = picture(ROOM, Shot())
    corners = (None, one.corners_px(5.0))
    photos = (("bad.jpg", b"not a picture"), ("room3.jpg", one.data))
    report = check(CheckRequest(photos=photos, corners=corners, cards=FLAT))  # type: ignore[arg-type]
    assert [report.number_of(k) for k in range(len(report.photos))] == [2]
    geometry = report.geometry_of(0)
    assert geometry is not None
    off = np.abs(geometry.edges_px["left"][0] - np.array(one.corners_px()[0])).max()
    assert off < 3.0
