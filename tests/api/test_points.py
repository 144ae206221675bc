"""Pixel positions as typed."""

from __future__ import annotations

import pytest

from api import points
from api.request import Options, from_options
from vision.check import TapeFacts
from vision.errors import BadInput


@pytest.mark.parametrize(("photos", "needed"), [(1, "1, the only photo"), (2, "a number from 1 to 2")])
def test_a_mark_in_a_photo_that_is_not_there_is_refused_by_how_many_there_are(photos: int, needed: str) -> None:
    """The third of one or two."""
    given = tuple((f"{n}.jpg", b"") for n in range(photos))
    with pytest.raises(BadInput) as refused:
        from_options(given, TapeFacts(), Options(plumb_lines=("3: 1,1 2,9",)))
    assert (refused.value.found, refused.value.needed) == ("photo 3", needed)


def test_four_corners_are_read_in_their_order() -> None:
    """The four points come out as typed, with decimals and whatever spaces."""
    expected = ((820.0, 3010.5), (2260.0, 3000.0), (2250.0, 900.0), (830.0, 910.0))

    assert expected == points.opening_corners(" 820,3010.5  2260 , 3000 2250,900\t830,910 ")


def test_a_dash_means_no_corners() -> None:
    """`-` stands for a photo without corners."""
    assert points.opening_corners("-") is None


def test_a_plumb_line_is_of_the_first_photo_unless_it_says_otherwise() -> None:
    """The prefix names the photo; without it the first one is meant."""
    line = ((120.0, 80.0), (118.0, 2900.0))

    assert (1, line) == points.plumb_line("120,80 118,2900")
    assert (2, line) == points.plumb_line("2: 120,80 118,2900")


def test_card_corners_carry_their_kind_and_photo() -> None:
    """Photo, kind and four points are told apart, also for a custom kind with an offset."""
    corners = ((1.0, 4.0), (3.0, 4.0), (3.0, 1.0), (1.0, 1.0))

    assert (1, "id-1", corners) == points.card_corners("id-1 1,4 3,4 3,1 1,1")
    assert (3, "400x300mm@20", corners) == points.card_corners("3:400x300mm@20 1,4 3,4 3,1 1,1")


@pytest.mark.parametrize("text", ["820,3010 2260,3000 2250,900", "820,3010", "", "1,1 2,2 3,3 4,4 5,5"])
def test_a_wrong_number_of_corners_is_counted_in_the_error(text: str) -> None:
    """The error says how many points were found and how many were needed."""
    with pytest.raises(BadInput, match=f"found {len(text.split())} points in .* needed 4 points"):
        points.opening_corners(text)


@pytest.mark.parametrize(("text", "position"), [("820,3010 abc,5", 10), ("820 3010", 1), ("1,2;3,4", 1), ("1,2 3,nan", 5)])
def test_the_first_wrong_character_is_named(text: str, position: int) -> None:
    """The error carries the position of the first thing that is no point."""
    with pytest.raises(BadInput) as caught:
        points.opening_corners(text)

    assert position == caught.value.position


def test_card_corners_without_a_kind_are_refused() -> None:
    """Four points alone do not say what card they belong to."""
    with pytest.raises(BadInput, match="no kind of card"):
        points.card_corners("1,4 3,4 3,1 1,1")


def test_the_same_point_twice_is_no_outline() -> None:
    """A repeated corner or a plumb line of one point is refused."""
    with pytest.raises(BadInput, match="the same point twice"):
        points.opening_corners("1,1 1,1 2,2 3,3")
    with pytest.raises(BadInput, match="the same point twice"):
        points.plumb_line("1,1 1,1")
