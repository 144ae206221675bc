"""What the user states about cards, by the grammar of CONTRACT.md."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.tolerances import EXACT
from vision.errors import BadInput
from vision.geometry.cards import CardCandidate, CardSpec, in_picture_order, parse_card, parse_cards
from vision.settings import CARD_KINDS, CardSettings

SETTINGS = CardSettings()
LETTER = CARD_KINDS["letter"]


def test_the_example_of_the_contract() -> None:
    """letter#2@55+-3=215.6x279.1mm+-0.3: number, offset, measured lengths, each with its sd."""
    assert parse_card("letter#2@55+-3=215.6x279.1mm+-0.3", SETTINGS) == CardSpec(LETTER, 2, 55.0, 3.0, (215.6, 279.1), 0.3)


@pytest.mark.parametrize("name", ["a4", "letter", "id-1"])
def test_a_named_kind_alone(name: str) -> None:
    """Nothing else is stated."""
    assert parse_card(name, SETTINGS) == CardSpec(CARD_KINDS[name])


def test_what_is_stated_without_an_sd_has_the_usual_one() -> None:
    """2 mm for an offset, 0.5 mm for measured lengths and for the sides of a stated kind (CONTRACT.md)."""
    spec = parse_card("a4@-0.1=209.8x297.5mm", SETTINGS)
    assert (spec.offset_mm, spec.offset_sd_mm, spec.size_mm, spec.size_sd_mm) == (-0.1, 2.0, (209.8, 297.5), 0.5)
    kind = parse_card("300x200mm", SETTINGS).kind
    assert (kind.width_mm, kind.height_mm, kind.width_sd_mm, kind.height_sd_mm) == (300.0, 200.0, 0.5, 0.5)


def test_a_stated_kind_may_have_its_own_sd() -> None:
    """WxHmm+-SD, with number and offset behind it; it has no thickness and no round corners."""
    spec = parse_card("300x200.5mm+-0.2#3@+12+-1", SETTINGS)
    assert (spec.number, spec.offset_mm, spec.offset_sd_mm) == (3, 12.0, 1.0)
    assert (spec.kind.width_sd_mm, spec.kind.thickness_mm, spec.kind.corner_radius_mm) == (0.2, 0.0, 0.0)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "another form"),
        ("a4 letter", "another form"),
        ("a4@", "another form"),
        ("a4@12+-", "another form"),
        ("a4#", "another form"),
        ("a4#-1", "another form"),
        ("a4#1.5", "another form"),
        ("letter=215x", "another form"),
        ("letter=215x279", "another form"),
        ("letter=215x279in", "another form"),
        ("letter@3=215.9x279.4mm+-", "another form"),
        ("letter#1#2", "another form"),
        ("letter@1e3", "another form"),
        ("A4", "another form"),
        ("-300x200mm", "another form"),
        ("a5", "kind 'a5'"),
        ("creditcard", "kind 'creditcard'"),
        ("a4+-0.2", "an uncertainty on a named kind"),
        ("a4#0", "card number 0"),
        ("a4@12+-0", "an uncertainty of 0"),
        ("a4=210x297mm+-0.0", "an uncertainty of 0"),
        ("300x200mm+-0", "an uncertainty of 0"),
        ("a4@12+-900", "an uncertainty of 900 mm"),
        ("letter=215.9x279.4mm+-40", "an uncertainty of 40 mm"),
        ("300x200mm+-21", "an uncertainty of 21 mm"),
        ("a4@5001", "5001 mm behind the opening"),
        ("a4@-99999", "-99999 mm behind the opening"),
        ("a4#" + "9" * 5000, "another form"),
        ("a4@" + "9" * 400, "another form"),
        ("letter=279.4x215.9mm", "measured sides of 279.4 x 215.9 mm"),
        ("letter=21.6x27.9mm", "measured sides of 21.6 x 27.9 mm"),
        ("0x0mm", "sides of 0 x 0 mm"),
        ("5x300mm", "sides of 5 x 300 mm"),
        ("300x30000mm", "sides of 300 x 30000 mm"),
    ],
)
def test_a_text_that_says_nothing_sensible_is_refused(text: str, said: str) -> None:
    """The error names the card as written, what is wrong with it, and what is needed."""
    with pytest.raises(BadInput) as refused:
        parse_card(text, SETTINGS)
    assert said in refused.value.found
    assert refused.value.where == f"card {text!r}"
    assert refused.value.remedy


@pytest.mark.parametrize("offset", [np.nan, np.inf, -np.inf, 1e9, 5000.1, -5000.1])
def test_an_offset_for_all_cards_that_no_card_has_is_refused(offset: float) -> None:
    """What is no number, or further from the opening than five metres, either way."""
    with pytest.raises(BadInput, match=r"card offset: found .* behind the opening; needed .* at most 5000"):
        parse_cards([], float(offset), SETTINGS)
    assert parse_cards([], float(np.copysign(5000.0, offset)), SETTINGS).default_offset_mm is not None


@given(st.text(max_size=40))
def test_any_text_is_read_or_refused(text: str) -> None:
    """Nothing but BadInput, and no number that is not one."""
    try:
        spec = parse_card(text, SETTINGS)
    except BadInput:
        return
    assert np.isfinite([v for v in (spec.offset_mm, spec.offset_sd_mm, spec.size_sd_mm) if v is not None]).all()


@given(st.integers(1, 60), st.floats(-500, 500).map(lambda v: round(v, 2)), st.floats(0.01, 50).map(lambda v: round(v, 2)))
def test_what_was_written_is_what_is_read(number: int, offset: float, sd: float) -> None:
    """Number and offset come back as written, to the digit."""
    spec = parse_card(f"id-1#{number}@{offset:.2f}+-{sd:.2f}", SETTINGS)
    assert (spec.number, spec.offset_mm, spec.offset_sd_mm) == (number, offset, sd)


def test_without_any_statement_the_named_kinds_are_sought() -> None:
    """No --card: a4, letter, id-1, and the frames that we print."""
    assert {k.name for k in parse_cards([], None, SETTINGS).kinds} == {"a4", "letter", "id-1", "sheet", "quarter"}


def test_stated_kinds_are_the_only_ones_sought() -> None:
    """Each once, numbered statements included."""
    facts = parse_cards(["letter#1@5", "letter#2@7", "300x200mm"], None, SETTINGS)
    assert [k.name for k in facts.kinds] == ["letter", "300x200mm"]


def test_a_statement_without_a_number_holds_for_all_of_its_kind() -> None:
    """And for no other kind."""
    facts = parse_cards(["letter@5+-1", "a4"], None, SETTINGS)
    assert facts.facts_for(LETTER, 7).offset_mm == 5.0
    assert facts.facts_for(CARD_KINDS["a4"], 7).offset_mm is None


def test_a_number_overrules_the_kind_field_by_field() -> None:
    """In whatever order they are given: its offset is its own, the measured lengths are those of the kind."""
    for texts in itertools.permutations(["letter@5=215.6x279.1mm", "letter#2@40+-3"]):
        facts = parse_cards(texts, None, SETTINGS)
        assert facts.facts_for(LETTER, 1) == CardSpec(LETTER, 1, 5.0, 2.0, (215.6, 279.1), 0.5)
        assert facts.facts_for(LETTER, 2) == CardSpec(LETTER, 2, 40.0, 3.0, (215.6, 279.1), 0.5)


def test_the_default_offset_holds_where_nothing_else_is_said() -> None:
    """--card-offset, overruled by a card's own."""
    facts = parse_cards(["letter", "a4@0"], 12.0, SETTINGS)
    assert facts.facts_for(LETTER, 1).offset_mm == 12.0
    assert facts.facts_for(CARD_KINDS["a4"], 1).offset_mm == 0.0


def test_a_card_measured_by_number_stands_alone() -> None:
    """It shares no size error; one of a measured kind does."""
    facts = parse_cards(["letter#2=215.6x279.1mm", "a4=209.8x297.5mm"], None, SETTINGS)
    assert facts.measured_alone(LETTER, 2)
    assert not facts.measured_alone(LETTER, 1)
    assert not facts.measured_alone(CARD_KINDS["a4"], 1)


def test_a_turned_card_shows_its_height_along_the_bottom() -> None:
    """Nominal sides as seen; without a kind there are none."""
    corners = np.zeros((4, 2))
    assert CardCandidate(corners, kind=LETTER).sides_mm == (215.9, 279.4)
    assert CardCandidate(corners, kind=LETTER, turned=True).sides_mm == (279.4, 215.9)


@pytest.mark.parametrize("turn_deg", range(-40, 41, 20))
def test_corners_come_in_the_order_of_the_picture(turn_deg: int) -> None:
    """Bottom-left, bottom-right, top-right, top-left, in whatever order they are given and however the card is turned."""
    square = np.array([(-100, 60), (100, 60), (100, -60), (-100, -60)], dtype=float)
    c, s = np.cos(np.radians(turn_deg)), np.sin(np.radians(turn_deg))
    turned = square @ np.array([[c, -s], [s, c]]) + [500, 400]
    for order in itertools.permutations(range(4)):
        assert in_picture_order(turned[list(order)]) == pytest.approx(turned, abs=EXACT)


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ("a4#1=210.8x298.3mm", "a4#1=211.7x297.5mm"),
        ("a4#1@5", "a4#1@6"),
        ("a4#1@5+-1", "a4#1@5+-2"),
        ("a4#1", "letter#1"),
        ("a4@5", "a4@0"),
        ("letter=215.6x279.1mm", "letter=217.5x277.8mm"),
        ("300x200mm+-1", "300x200mm+-2"),
    ],
)
def test_two_different_facts_about_one_card_are_refused(first: str, second: str) -> None:
    """Neither the last nor the first wins: both are named."""
    with pytest.raises(BadInput) as refused:
        parse_cards((first, "id-1", second), None, SETTINGS)
    assert repr(first) in refused.value.where
    assert repr(second) in refused.value.where


@pytest.mark.parametrize(
    "texts",
    [("a4#1=210.8x298.3mm", "a4#2=211.7x297.5mm"), ("a4@5", "a4#1@0"), ("a4@5", "a4=210.8x298.3mm"), ("a4@5", "a4@5"),
     ("a4", "letter"), ("a4#1@5", "a4#1=210.8x298.3mm")],
)  # fmt: skip
def test_facts_that_stand_beside_each_other_are_taken(texts: tuple[str, ...]) -> None:
    """Of other cards, of a kind and one of it, of depth and sides, or the same twice."""
    assert len(parse_cards(texts, None, SETTINGS).specs) == 2
