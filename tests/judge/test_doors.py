"""Kinds of door as data, and the hardware sheet laid over them."""

from __future__ import annotations

import pytest

from tests.tolerances import EXACT
from vision.errors import BadInput
from vision.judge.door_keys import NUMBERS
from vision.judge.doors import _data, choose_door, chosen_door, hardware_from_toml, kinds
from vision.judge.quantities import Dimension, parse_quantity

INCH = 25.4


@pytest.mark.parametrize(
    ("text", "dimension", "value"),
    [
        ("3/16 in", "length", 4.7625), ("1-1/2 in", "length", 38.1), ("2 1/2 in", "length", 63.5), ("5 mm", "length", 5.0),
        ("0.5mm", "length", 0.5), ("1 ft", "length", 304.8),
        ("3/16 in over 72 in", "slope", 1000 / 384), ("2.6 mm/m", "slope", 2.6),
        ("80 lb", "mass", 36.2873896), ("36.5 kg", "mass", 36.5), ("2500 kg/m3", "density", 2500.0),
    ],
)  # fmt: skip
def test_a_quantity_is_exact(text: str, dimension: Dimension, value: float) -> None:
    """Fractions and units become one number in the unit of the dimension."""
    assert parse_quantity(text, dimension, where="gap") == pytest.approx(value, rel=EXACT)


@pytest.mark.parametrize(
    ("text", "dimension"),
    [
        ("3/16", "length"), ("80 lb", "length"), ("3/0 in", "length"), ("-1 in", "length"), ("1e3 mm", "length"), ("", "mass"),
        ("3/16 in over 0 in", "slope"), ("3/16 in", "slope"), ("3/16 in over 72 in over 2 in", "slope"), ("5 mm", "density"),
    ],
)  # fmt: skip
def test_what_is_no_quantity_is_refused_with_an_example(text: str, dimension: Dimension) -> None:
    """A missing or wrong unit, a division by nothing, a sign: refused, naming the key."""
    with pytest.raises(BadInput, match=r"gap_strike.*such as"):
        parse_quantity(text, dimension, where="gap_strike")


@pytest.mark.parametrize("kind", kinds())
def test_every_number_of_every_kind_says_how_far_to_trust_it(kind: str) -> None:
    """A label for each, a source for each published one, and nobody but the program as owner."""
    for number in choose_door(kind).numbers.values():
        assert number.owner == "built in"
        assert number.label
        assert (number.trust.startswith("published")) <= bool(number.source)


def test_a_hardware_sheet_overrules_and_is_named() -> None:
    """Its number takes the built-in one's place and remembers whose it is; the others stay."""
    door = choose_door("hinged-door", {"name": "hinge sheet", "gap_strike": {"value": "5 mm", "source": "page 2"}})

    assert door.said("gap_strike") == "5 mm (hinge sheet, page 2)"
    assert door.value("gap_strike") == pytest.approx(5.0, rel=EXACT)
    assert door.said("gap_hinge") == "3/16 in (common practice, from memory)"
    assert door.hardware == "hinge sheet"
    assert choose_door("hinged-door").hardware is None


def test_another_glass_brings_its_own_hinge_limits() -> None:
    """Half-inch glass on two hinges ends at 26 in, three-eighths at 28 in."""
    assert choose_door("hinged-door").value("two_hinges_width") == pytest.approx(28 * INCH, rel=EXACT)
    assert choose_door("hinged-door", {"glass": "1/2 in"}).value("two_hinges_width") == pytest.approx(26 * INCH, rel=EXACT)
    assert not choose_door("hinged-door", {"glass": "1/4 in"}).has("two_hinges_width")


@pytest.mark.parametrize(
    "sheet",
    [
        {"gap_stroke": "5 mm"}, {"gap_strike": 5}, {"gap_strike": "5"}, {"gap_strike": {"value": "5 mm", "page": "2"}},
        {"gap_strike": {"source": "2"}}, {"glass": "2 in"}, {"hinge_wall": "both"}, {"name": 3}, {"door_width": "0 in"},
        {"hinge_wall": ["left"]},
    ],
)  # fmt: skip
def test_a_hardware_sheet_with_something_else_in_it_is_refused(sheet: dict[str, object]) -> None:
    """Unknown keys, numbers without unit, words that are not on the list."""
    with pytest.raises(BadInput, match="hardware sheet"):
        choose_door("hinged-door", sheet)


def test_a_misspelt_key_is_answered_with_the_one_that_is_meant() -> None:
    """The long list is there, and the nearest key of it is what to write; where none is near, only the list."""
    with pytest.raises(BadInput, match=r"gap_strik.*; write gap_strike if that is meant$"):
        choose_door("hinged-door", {"gap_strik": "5 mm"})
    with pytest.raises(BadInput, match=r"; correct or leave out this key$"):
        choose_door("hinged-door", {"colour": "white"})


def test_a_least_above_its_most_is_refused() -> None:
    """A kit from 60 to 56 in fits nothing; equal ends are allowed."""
    with pytest.raises(BadInput, match=r"kit_min = '60 in' and kit_max = '56 in'.*exchange"):
        choose_door("sliding-kit", {"kit_min": "60 in", "kit_max": "56 in"})
    assert choose_door("sliding-kit", {"kit_min": "60 in", "kit_max": "60 in"}).has("kit_max")


@pytest.mark.parametrize(
    ("kind", "key", "text"),
    [
        ("panel-and-door", "panel_width", "24 in"), ("panel-and-door", "gap_strike", "5 mm"), ("hinged-door", "kit_min", "20 in"),
        ("sliding-kit", "gap_hinge", "5 mm"), ("window", "glass_tolerance", "1 mm"), ("window", "lean_square", "1 mm/m"),
        ("mirror", "diagonal_limit", "5 mm"), ("sliding-kit", "hinge_wall", "left"), ("ceiling-panel", "panel_width", "24 in"),
    ],
)  # fmt: skip
def test_a_key_that_the_kind_makes_nothing_of_is_refused(kind: str, key: str, text: str) -> None:
    """It would change no number and yet stand on the order sheet as if it had; the message says what the kind uses."""
    with pytest.raises(BadInput, match=rf"{key}, of which a .* makes nothing.*grid"):
        choose_door(kind, {key: text})


@pytest.mark.parametrize("kind", kinds())
def test_a_kind_takes_every_number_that_it_has_of_its_own(kind: str) -> None:
    """What stands in its table may be overruled, with the same text."""
    own = _data()["kinds"][kind]
    sheet = {key: own[key]["value"] for key in own if key in NUMBERS}
    assert choose_door(kind, sheet or None).kind == kind


def test_an_unknown_kind_is_refused_with_the_list() -> None:
    """The kinds are named."""
    with pytest.raises(BadInput, match="hinged-door, panel-and-door"):
        choose_door("revolving")


def test_a_hardware_sheet_needs_a_kind_of_door() -> None:
    """Without one there is nothing for its numbers to overrule."""
    assert chosen_door(None, None) is None
    with pytest.raises(BadInput, match="no kind of door"):
        chosen_door(None, {})


def test_text_that_is_not_toml_is_refused() -> None:
    """The sheet's text is read as TOML, and what is none is named."""
    assert hardware_from_toml('gap_strike = "5 mm"') == {"gap_strike": "5 mm"}
    with pytest.raises(BadInput, match="not TOML"):
        hardware_from_toml("gap_strike = = 5")
