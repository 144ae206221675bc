"""A reference that nothing else confirms: black plates, and kinds that nobody stated."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from tests.geometry.scenery import LETTER_MM, Patch, Picture, Wall, bank_card, picture
from tests.geometry.test_further import look_of
from vision.check import CardCorners, CheckRequest, ScreenRequest, Settings, check, screen, screening_json, to_json
from vision.geometry.alone import by_look_alone
from vision.geometry.cards import parse_cards
from vision.geometry.seeing import see_photo
from vision.geometry.seen import Demands, SeenPhoto
from vision.report.message import message_text
from vision.screening_record import message_facts

WIDTH, HEIGHT = 1400.0, 1950.0
AT = (1650.0, 900.0)
BLACK, GREY, WHITE = (28, 28, 30), (120, 120, 118), (240, 240, 236)


def room(*patches: Patch) -> Picture:
    return picture(Wall(WIDTH, HEIGHT, wall=(206, 202, 194), patches=patches))


def answer(of: Picture, *cards: str, marked: tuple[CardCorners, ...] = ()) -> dict[str, Any]:
    corners = (of.corners_px(5.0),)
    return to_json(check(CheckRequest((("room3.jpg", of.data),), cards=cards, corners=corners, card_corners=marked)))  # type: ignore[arg-type]


def guesses(data: dict[str, Any]) -> list[str]:
    return [f["text"] for f in data["findings"] if f["text"].startswith("Nobody stated")]


def test_a_black_plate_is_no_sheet_of_paper() -> None:
    """Letter's shape and as black as a screen: refused, with what it may be and what to do."""
    why = answer(room(Patch(AT, LETTER_MM, BLACK)), "letter")["cannot_measure"]
    assert (why["stage"], why["code"]) == ("cards", "card-kind")
    assert "as bright as the wall beside it" in why["found"]
    assert "card-corners" in why["remedy"]


def test_beside_cards_that_agree_with_it_a_black_sheet_may_be_one() -> None:
    """Its size is borne out by two bank cards."""
    of = room(Patch(AT, LETTER_MM, BLACK), bank_card(-120, 1500, WHITE), bank_card(1560, 300, WHITE))
    assert "cannot_measure" not in answer(of, "letter", "id-1")


@pytest.mark.parametrize("colour", [GREY, WHITE])
def test_a_sheet_of_grey_or_white_paper_is_one(colour: tuple[int, int, int]) -> None:
    """Grey paper before a light wall has a quarter of its light."""
    assert [c["used"] for c in answer(room(Patch(AT, LETTER_MM, colour)), "letter")["cards"]] == [True]


def test_a_black_sheet_that_was_marked_is_used() -> None:
    """Whoever marks it has seen it."""
    of = room(Patch(AT, LETTER_MM, BLACK))
    corners = of.shot.to_px(Patch(AT, LETTER_MM).corners())
    marked = CardCorners(1, "letter", tuple((float(x), float(y)) for x, y in corners))  # type: ignore[arg-type]
    assert [c["used"] for c in answer(of, "letter", marked=(marked,))["cards"]] == [True]


def test_a_kind_that_nobody_stated_is_said_to_be_taken_for_granted() -> None:
    """One sheet and no word of it: the order holds with the question; stated, there is none."""
    of = room(Patch(AT, LETTER_MM, WHITE))
    (text,) = guesses(answer(of))
    assert "Card 1 was taken for one of the kind letter, whose shape it has" in text
    assert guesses(answer(of, "letter")) == []


def test_two_cards_that_agree_need_no_word() -> None:
    """Each is the other's witness."""
    of = room(bank_card(-120, 1500, WHITE), bank_card(1560, 300, WHITE))
    assert guesses(answer(of)) == []


def test_a_screening_says_what_its_size_takes_for_granted() -> None:
    """In the row, and in the message where it tells a size; with stated kinds in neither."""
    of = room(Patch(AT, LETTER_MM, WHITE))
    unsaid, said = (screen(ScreenRequest("a.jpg", of.data, of.corners_px(5.0), cards)) for cards in ((), ("letter",)))
    assert screening_json(unsaid)["band"]["assumes"] == "letter"
    assert "assumes" not in screening_json(said)["band"]
    for one, there in ((unsaid, True), (said, False)):
        text = message_text(replace(message_facts(one, Settings()), verdict="rough"), 3)
        assert ("for a sheet of Letter paper (8 1/2 x 11 in); please tell us if it is something else" in text) is there


@pytest.mark.parametrize(("share", "said"), [(1.0, False), (0.4, True)])
def test_a_plate_smaller_than_paper_makes_the_camera_a_giant_s(share: float, said: bool) -> None:
    """The camera stands a metre above the curb; by a plate of Letter's shape, 0.4 times as large, two and a half."""
    w, h = LETTER_MM
    data = answer(room(Patch(AT, (share * w, share * h), WHITE)), "letter")
    found = [f["text"] for f in data["findings"] if f["code"] == "scale-in-doubt"]
    assert bool(found) is said
    if said:
        assert "above the curb, higher than a phone is held" in found[0]
        assert data["order"]["status"] == "hold"


@pytest.mark.parametrize(("share", "told"), [(1.0, True), (0.4, False)])
def test_a_screening_tells_no_size_by_one_reference_that_is_doubted(share: float, told: bool) -> None:
    """By the smaller plate the camera stood two and a half metres up."""
    w, h = LETTER_MM
    of = room(Patch(AT, (share * w, share * h), WHITE))
    row = screening_json(screen(ScreenRequest("a.jpg", of.data, of.corners_px(5.0), ("letter",))))
    assert ("band" in row) is told
    if not told:
        assert row["verdict"] != "good to measure"
        assert "not-consistent" in {r["code"] for r in row["reasons"]}


def seen_with(chances: tuple[float | None, ...], *, marked: bool = False) -> SeenPhoto:
    """Two bank cards in use with these chances that they are references."""
    of = room(bank_card(-120.0, 1500.0, BLACK), bank_card(1520.0, 400.0, BLACK))
    seen = look_of(of)
    demands = Demands(parse_cards(("id-1",), None, Settings().cards), True, None, {}, (), 0.0)
    photo = see_photo(seen, 1, demands, Settings())
    assert len(photo.used) == len(chances)
    cards = [
        replace(c, look=replace(c.look, candidate=replace(c.look.candidate, chance=chance, stated=marked)))
        for c, chance in zip(photo.cards, chances, strict=True)
    ]
    return replace(photo, cards=tuple(cards))


def test_what_looks_like_no_reference_and_is_all_there_is_is_doubted() -> None:
    """And held: its shape may be a switch's."""
    (found,) = by_look_alone([seen_with((0.02, 0.05))])
    assert (found.code, found.holds) == ("scale-in-doubt", True)
    assert found.text.startswith("Cards 1 and 2 have ")


@pytest.mark.parametrize(("chances", "marked"), [((0.02, 0.6), False), ((0.02, None), False), ((0.02, 0.05), True)])
def test_one_that_looks_like_a_reference_or_is_marked_bears_the_others_out(
    chances: tuple[float | None, ...], marked: bool
) -> None:
    """So does one of which nobody asked."""
    assert by_look_alone([seen_with(chances, marked=marked)]) == []


def test_a_single_one_that_was_taken_for_its_look_is_doubted() -> None:
    """Two such cards of one scale bear each other out."""
    photo = seen_with((0.95, 0.95))
    cards = tuple(replace(c, look=replace(c.look, by_look=True)) for c in photo.cards)
    assert by_look_alone([replace(photo, cards=cards)]) == []
    (found,) = by_look_alone([replace(photo, cards=cards[:1])])
    assert (found.code, found.holds) == ("scale-in-doubt", True)
    assert found.text.startswith("Card 1 hardly differs")
