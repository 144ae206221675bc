"""Several photos in one check: copies, photos of another opening, and which picture belongs to which photo."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from PIL import Image

from tests.geometry.scenery import Patch, Picture, Shot, Wall, as_file, four_cards, picture
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


def copy_of(one: Picture, times: float, focal_35mm: float | None, quality: int = 90) -> bytes:
    """The photo written again: smaller, with or without its focal length, by another coder."""
    size = (round(times * one.shot.size[0]), round(times * one.shot.size[1]))
    pixels = np.asarray(Image.fromarray(one.pixels).resize(size, Image.Resampling.LANCZOS), dtype=np.uint8)
    return as_file(pixels, focal_35mm, quality=quality)


@pytest.mark.parametrize(("times", "focal_35mm"), [(1.0, 26.0), (0.75, None)])
def test_a_copy_written_again_is_no_second_witness(times: float, focal_35mm: float | None) -> None:
    """Another file of the same picture sees the same shadows: it is left out by name, and no uncertainty falls."""
    one = picture(ROOM)
    corners = (one.corners_px(5.0), tuple((times * x, times * y) for x, y in one.corners_px(5.0, seed=1)))
    photos = (("a.jpg", one.data), ("b.jpg", copy_of(one, times, focal_35mm)))
    report = check(CheckRequest(photos=photos, corners=corners, cards=FLAT))  # type: ignore[arg-type]
    (said,) = [text for code, text in found(report) if code == "no-second-witness"]
    assert said.startswith("b.jpg was left out: it was taken from the same place as a.jpg")
    alone, together = sizes(of(one)), sizes(report)
    assert {n: s["u_mm"] for n, s in together.items()} == pytest.approx({n: s["u_mm"] for n, s in alone.items()}, rel=1e-6)


def test_a_photo_from_another_place_is_a_second_witness() -> None:
    """From a metre to the side: both are measured together, nothing is left out, and every uncertainty falls."""
    one, other = picture(ROOM), picture(ROOM, Shot(turn_deg=(1.0, 14.0, -0.5), seed=2))
    report = of(one, other)
    assert [code for code, _ in found(report) if code in ("no-second-witness", "unexplained", "cards-disagree")] == []
    alone, together = sizes(of(one)), sizes(report)
    assert [n for n in alone if together[n]["u_mm"] >= alone[n]["u_mm"]] == []
    assert {c["photo"] for c in to_json(report)["cards"] if c["used"]} == {1, 2}


def test_a_photo_without_a_reference_is_left_out() -> None:
    """Nothing else tells its opening from another one, so it may not bend the sizes; it is named, and the order holds."""
    one = picture(ROOM)
    report = of(one, picture(Wall(WIDTH, 1.05 * HEIGHT), Shot(turn_deg=(1.0, 8.0, -0.5), seed=2)))
    (said,) = [text for code, text in found(report) if code == "card-missing"]
    assert said.startswith("b.jpg was left out: no reference in it can be used")
    alone, together = sizes(of(one)), sizes(report)
    assert {n: s["value_mm"] for n, s in together.items()} == pytest.approx(
        {n: s["value_mm"] for n, s in alone.items()}, abs=1e-6
    )
    assert to_json(report)["order"]["status"] == "hold"


@pytest.mark.parametrize("first", [True, False])
def test_what_is_put_up_in_a_photo_that_is_left_out_is_left_out_with_it(first: bool) -> None:
    """A folded sheet beside another opening: it is no patch of the photo that is measured, whichever comes first."""
    folded = Patch((WIDTH + 260.0, 900.0), (215.9, 139.7 * 1.1))
    one, other = picture(ROOM), picture(Wall(1.2 * WIDTH, HEIGHT, patches=(*four_cards(1.2 * WIDTH, HEIGHT)[:1], folded)))
    report = of(one, other) if first else of(other, one)
    data = to_json(report)
    assert data["sizes"]["width_middle"]["value_mm"] == pytest.approx(WIDTH, abs=15.0)
    assert any("was left out" in text for _, text in found(report))


def test_a_file_that_is_no_photo_beside_a_good_one_is_named_in_what_to_do() -> None:
    """As a sentence, like every other thing to do."""
    room = picture(ROOM)
    photos = (("a.jpg", room.data), ("b.jpg", b""))
    (finding,) = check(CheckRequest(photos, corners=(room.corners_px(5.0),), cards=("id-1@0+-0.3",))).findings  # type: ignore[arg-type]
    assert finding.next == "Send the original photo file again (b.jpg)."
