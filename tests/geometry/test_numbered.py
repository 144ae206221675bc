"""Facts stated by number where a card of that number is not found."""

from __future__ import annotations

from types import SimpleNamespace
from typing import cast

import numpy as np
import pytest

from vision.geometry.cards import CardCandidate, parse_cards
from vision.geometry.look import CardLook
from vision.geometry.numbered import missing_numbers, with_any_number
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
