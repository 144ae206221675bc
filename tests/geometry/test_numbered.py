"""Facts stated by number where a card of that number is not found."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import cast

import numpy as np
import pytest

from vision.errors import CannotMeasure
from vision.geometry.cards import CardCandidate, parse_cards
from vision.geometry.look import CardLook
from vision.geometry.numbered import counted_without, miscounted, missing_numbers, require_on_the_wall, with_any_number
from vision.geometry.seen import Demands, SeenCard, SeenPhoto
from vision.settings import CARD_KINDS, Settings

STATED = ("letter#1@-0.1+-0.5=217.2x279.4mm+-0.15", "letter#2@-0.5+-0.5=216.6x280.6mm+-0.15")


def demands(*stated: str) -> Demands:
    return Demands(parse_cards(stated, None, Settings().cards), True, None, {}, (), 0.0)


def photo_of(kinds: list[str], stated: Demands) -> SeenPhoto:
    """A photo with cards of these kinds, numbered from 1, with what is stated for their numbers."""
    cards = []
    for number, name in enumerate(kinds, 1):
        kind = CARD_KINDS[name]
        look = CardLook(CardCandidate(np.zeros((4, 2)), kind=kind), ())
        spec, alone = stated.cards.facts_for(kind, number), stated.cards.measured_alone(kind, number)
        cards.append(SeenCard(number, 1, look, spec, np.zeros((4, 2)), (None,) * 4, alone=alone))
    return SeenPhoto(cast("object", SimpleNamespace()), None, np.zeros((4, 2)), {}, (), tuple(cards))  # type: ignore[arg-type]


def test_cards_that_are_all_found_keep_what_is_stated_for_their_numbers() -> None:
    """Nothing is in doubt."""
    stated = demands(*STATED)
    photo = photo_of(["letter", "letter"], stated)
    assert with_any_number([photo], stated) == [photo]


def test_a_lone_card_of_two_stated_may_be_either_of_them() -> None:
    """Means, and half of what the two differ by beside the stated sd."""
    stated = demands(*STATED)
    (card,) = with_any_number([photo_of(["letter"], stated)], stated)[0].cards
    assert card.spec.size_mm == pytest.approx((216.9, 280.0))
    assert card.spec.size_sd_mm == pytest.approx(np.hypot(0.15, 0.6))  # half of 280.6 less 279.4
    assert (card.spec.offset_mm, card.spec.offset_sd_mm) == pytest.approx((-0.3, np.hypot(0.5, 0.2)))
    assert card.alone


def test_a_card_of_another_kind_than_the_one_that_is_missing_keeps_its_facts() -> None:
    """The kind tells the two apart."""
    stated = demands(STATED[0], "a4#2=210.0x297.0mm+-0.15")
    photo = photo_of(["letter"], stated)
    assert with_any_number([photo], stated) == [photo]


def test_a_card_that_has_moved_up_to_number_one_gets_the_facts_of_the_only_number_of_its_kind() -> None:
    """Stated as the second, found as the first."""
    stated = demands(STATED[0], "a4#2=209.8x297.4mm+-0.15")
    (card,) = with_any_number([photo_of(["a4"], stated)], stated)[0].cards
    assert (card.spec.size_mm, card.spec.size_sd_mm) == ((209.8, 297.4), pytest.approx(0.15))


def test_what_is_stated_for_the_whole_kind_holds_where_a_number_says_nothing() -> None:
    """The offset of all, the size of the one."""
    stated = demands("letter@-0.2+-0.4", "letter#2=216.6x280.6mm+-0.15")
    (card,) = with_any_number([photo_of(["letter"], stated)], stated)[0].cards
    assert (card.spec.offset_mm, card.spec.offset_sd_mm) == (-0.2, pytest.approx(0.4))
    assert card.spec.size_mm == (216.6, 280.6)
    assert [s.number for s in missing_numbers(photo_of(["letter"], stated).cards, stated)] == [2]


def test_a_number_of_which_no_depth_is_stated_lies_on_the_wall() -> None:
    """A lone card that may be the one 22 mm in front of the wall or the other on it is half way, give or take as much."""
    stated = demands("letter#1@-22+-2=215.3x279.4mm+-0.3", "letter#2=214.9x279.1mm+-0.3")
    (card,) = with_any_number([photo_of(["letter"], stated)], stated)[0].cards
    on_wall = -CARD_KINDS["letter"].thickness_mm
    assert card.spec.offset_mm == pytest.approx((-22 + on_wall) / 2)
    assert card.spec.offset_sd_mm == pytest.approx(np.hypot(2.0, (22 + on_wall) / 2))


def test_facts_are_counted_without_what_turned_out_to_be_no_card() -> None:
    """Two are stated, three were found and the first of them was left out: the others move up."""
    stated = demands(*STATED)
    again = counted_without([photo_of(["letter"] * 3, stated)], {1}, stated)
    assert again is not None
    assert [c.number for c in again[0].cards] == [1, 2]
    assert [c.spec.size_mm for c in again[0].cards] == [(217.2, 279.4), (216.6, 280.6)]


@pytest.mark.parametrize("left_out", [set(), {3}, {1, 2}])
def test_facts_are_not_counted_anew_where_that_explains_nothing(left_out: set[int]) -> None:
    """Nothing was left out, or nothing is stated for it, or fewer cards are left than are stated."""
    stated = demands(*STATED)
    assert counted_without([photo_of(["letter"] * 3, stated)], left_out, stated) is None


def test_what_was_passed_over_is_said() -> None:
    """With its place in the picture."""
    stated = demands(*STATED)
    photo = photo_of(["letter"] * 3, stated)
    again = counted_without([photo], {1}, stated)
    assert again is not None
    found = miscounted([photo], again)
    assert (found.code, found.holds) == ("card-kind", False)
    assert "near (0, 0)" in found.text


def hanging(stated: Demands, inside: list[bool]) -> SeenPhoto:
    """Sheets of which those inside hang in the opening."""
    photo = photo_of(["letter"] * len(inside), stated)
    cards = tuple(replace(c, inside=i) for c, i in zip(photo.cards, inside, strict=True))
    return replace(photo, look=SimpleNamespace(name="room.jpg", number=1), cards=cards)  # type: ignore[arg-type]


def test_what_hangs_in_the_opening_is_none_of_two_that_are_stated_on_the_wall() -> None:
    """Bottles in a niche once were a bank card, and all sizes half of what they are."""
    stated = demands(*STATED)
    with pytest.raises(CannotMeasure) as refused:
        require_on_the_wall([hanging(stated, [True])], stated)
    assert refused.value.code == "card-missing"
    assert "1 more is not found" in refused.value.found


@pytest.mark.parametrize("inside", [[False], [True, False], [True, True]])
def test_one_on_the_wall_or_as_many_as_are_stated_are_heard(inside: list[bool]) -> None:
    """Whoever states two and hangs both in the opening has said so."""
    stated = demands(*STATED)
    require_on_the_wall([hanging(stated, inside)], stated)
