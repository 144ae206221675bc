"""What the judge says about an amount."""

from __future__ import annotations

import pytest

from vision.judge.words import Shown, factor_explanation, length_explanation, plain_names, way_of


@pytest.mark.parametrize(
    ("amount", "said"),
    [
        (25.4, "one-inch mark"), (-25.4, "an inch taken off"), (304.8, "foot mark"), (-304.8, "foot mark"), (100.0, "10 cm mark"),
        (-101.0, "10 cm taken off"), (-76.2, "case not added"), (82.0, "case added although"), (-64.0, "case not added"),
    ],
)  # fmt: skip
def test_a_known_amount_is_labelled(amount: float, said: str) -> None:
    """Within 3.29 standard deviations of a known amount the mistake that makes it is offered."""
    assert said in length_explanation(["width_top"], amount, 1.0, reach=3.29)


def test_an_amount_that_fits_nothing_gets_no_label() -> None:
    """Half an inch is nothing in particular."""
    assert "fits" not in length_explanation(["width_top"], 12.7, 1.0, reach=3.29)


def test_exact_amounts_are_named_before_the_range_of_cases() -> None:
    """Where an uncertain amount fits several, the exact ones come first."""
    text = length_explanation(["width_top"], 92.0, 4.0, reach=3.29)
    assert text.index("10 cm") < text.index("tape case")


def test_long_and_short_are_said_in_words() -> None:
    """The sentence says which way, how much, and for which reading."""
    assert length_explanation(["height_left"], -12.7, 1.0, reach=3.29) == (
        "the left height reads 1/2 in (12.7 mm, give or take 2.0 mm) short"
    )
    assert "top width and middle width alike read 1/2 in" in length_explanation(
        ["width_top", "width_middle"], 12.7, 1.0, reach=3.29
    )


def test_all_readings_are_not_listed_one_by_one() -> None:
    """What touches everything is said in two words."""
    text = length_explanation(["width_top", "height_left"], 12.7, 1.0, reach=3.29, everything=True)
    assert text.startswith("all readings alike are 1/2 in")


@pytest.mark.parametrize(
    ("factor", "said"),
    [
        (25.4, "millimetres taken for inches"), (2.54, "centimetres taken for inches"),
        (10.0, "millimetres taken for centimetres"),
        (1 / 25.4, "inches taken for millimetres"), (1 / 2.54, "inches taken for centimetres"),
        (0.1, "centimetres taken for millimetres"),
    ],
)  # fmt: skip
def test_a_factor_between_units_is_labelled(factor: float, said: str) -> None:
    """A mixed-up unit is recognised by its factor, either way round."""
    assert said in factor_explanation(factor, 0.001 * factor, reach=3.29)


def test_another_factor_gets_no_label() -> None:
    """2.5 % is no unit."""
    assert factor_explanation(1.025, 0.002, reach=3.29) == "all readings are 1.025 times what the photo says (give or take 0.004)"


def test_names_are_plain_words() -> None:
    """Readings are called what people call them."""
    assert plain_names(["width_top"]) == "top width"
    assert plain_names(["width_top", "width_middle", "height_left"]) == "top width, middle width and left height"


@pytest.mark.parametrize(
    ("name", "amount_mm", "way"),
    [
        ("width_top", 5.0, "long"), ("height_left", -5.0, "short"), ("plumb_left", 5.0, "too far into the opening"),
        ("bow_right", -5.0, "too far out of the opening"), ("curb_level", 5.0, "too high on the right"),
        ("curb_level", -5.0, "too high on the left"),
    ],
)  # fmt: skip
def test_a_level_reading_is_off_in_its_own_direction(name: str, amount_mm: float, way: str) -> None:
    """Only lengths are long or short."""
    assert way_of(name, amount_mm) == way
    assert length_explanation((name,), amount_mm, 0.5, reach=3.29).endswith(way)


@pytest.mark.parametrize(
    ("shown", "plumb", "wanted"),
    [
        (Shown(), False, "with a reference card near each corner of the opening"),
        (Shown(), True, "with a plumb line in it and a reference card near each corner of the opening"),
        (Shown(vertical=True), True, "with a reference card near each corner of the opening"),
        (Shown(cards_all_round=True), True, "with a plumb line in it"),
        (Shown(cards_all_round=True, vertical=True), True, "from nearer, straight on and in even light"),
    ],
)
def test_nobody_is_asked_for_what_the_photo_has(shown: Shown, plumb: bool, wanted: str) -> None:
    """Cards all round and something vertical are asked for only where they are missing."""
    assert shown.again(plumb=plumb) == f"Take the photo again {wanted}"
