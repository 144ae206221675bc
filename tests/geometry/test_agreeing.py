"""Cards of which none is told by itself: two of one size tell each other."""

from __future__ import annotations

import numpy as np
import pytest

from tests.geometry.scenery import Patch, Picture, Shot, Wall, picture
from tests.geometry.test_further import ID_1_MM, SETTINGS, WALL, look_of, printed
from vision.geometry import agreeing, by_shape
from vision.geometry.agreeing import _groups
from vision.geometry.cards import parse_cards
from vision.geometry.reference_sight import Likeness
from vision.geometry.seeing import see_photo
from vision.geometry.seen import Demands, SeenPhoto

FIRST, SECOND = (-140.0, 1500.0), (1560.0, 400.0)


def photo_of(*patches: Patch) -> tuple[SeenPhoto, Picture]:
    of = picture(Wall(wall=WALL, patches=patches), Shot((2640, 3520)))
    demands = Demands(parse_cards(("id-1",), None, SETTINGS.cards), True, None, {}, (), 0.0)
    return see_photo(look_of(of), 1, demands, SETTINGS), of


def test_two_printed_cards_tell_each_other() -> None:
    """Half lighter and half darker than the wall, both; found to a pixel and a half, as painted ones have no shadow."""
    photo, of = photo_of(*printed(FIRST), *printed(SECOND))
    assert len(photo.used) == 2
    for card, at in zip(photo.cards, (FIRST, SECOND), strict=True):
        assert np.abs(card.corners_px - of.shot.to_px(Patch(at, ID_1_MM).corners())).max() < 1.5


@pytest.fixture
def looks_like_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever patches look like, it is no reference."""
    monkeypatch.setattr(by_shape, "likenesses", lambda _levels, quads: [Likeness(0.02, quad) for quad in quads])


@pytest.mark.usefixtures("looks_like_nothing")
def test_one_alone_tells_nothing() -> None:
    """No second one bears it out."""
    assert photo_of(*printed(FIRST))[0].cards == ()


def test_one_alone_that_looks_like_a_card_is_taken_for_one() -> None:
    """As a person would; that the scale rests on it is said (`alone.py`)."""
    photo, of = photo_of(*printed(FIRST))
    assert [c.look.by_look for c in photo.used] == [True]
    assert np.abs(photo.cards[0].corners_px - of.shot.to_px(Patch(FIRST, ID_1_MM).corners())).max() < 1.5


@pytest.mark.usefixtures("looks_like_nothing")
def test_two_of_another_size_tell_nothing() -> None:
    """A tenth apart: something else hangs on the wall, and which of them is the card nobody can say."""
    larger = (1.1 * ID_1_MM[0], 1.1 * ID_1_MM[1])
    assert photo_of(*printed(FIRST), *printed(SECOND, larger))[0].cards == ()


@pytest.mark.parametrize(
    ("scales", "groups"),
    [
        ([1.0, 1.01, 1.3], [[0, 1], [2]]),
        ([1.0], [[0]]),
        ([], []),
        ([1.0, 1.3, 1.29, 1.01], [[0, 3], [1, 2]]),
        ([1.0, 1.025, 1.05], [[0, 1, 2]]),
    ],
)
def test_groups_of_one_scale(scales: list[float], groups: list[list[int]]) -> None:
    """Each scale is in one group, the largest group first."""
    assert _groups(scales) == groups


@pytest.mark.parametrize(("others", "cards"), [(0, 0), (1, 0), (2, 1)])
def test_one_alone_that_leads_to_two_of_its_size_is_a_card(others: int, cards: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """What is sought by its size agrees on it of necessity: one is not enough."""
    monkeypatch.setattr(by_shape, "likenesses", lambda _levels, quads: [Likeness(0.02, quad) for quad in quads])
    photo, _ = photo_of(*printed(FIRST))
    demands = Demands(parse_cards(("id-1",), None, SETTINGS.cards), True, None, {}, (), 0.0)
    monkeypatch.setattr(agreeing, "further_cards", lambda _photo, found, *_: list(found) * others)
    assert len(agreeing.agreeing_cards(photo, demands, SETTINGS)) == cards
