"""What the judge says about an amount."""

from __future__ import annotations

import pytest

from vision.judge.words import Shown, factor_explanation, length_explanation, way_of
from vision.names import plain_names


def test_long_and_short_are_said_in_words() -> None:
    """The sentence says which way, how much, and for which reading."""
    assert length_explanation(["height_left"], -12.7, 1.0) == (
        "the left height reads 1/2 in (12.7 mm, give or take 2.0 mm at 95 %) short"
    )
    assert "top width and middle width alike read 1/2 in" in length_explanation(["width_top", "width_middle"], 12.7, 1.0)


def test_all_readings_are_not_listed_one_by_one() -> None:
    """What touches everything is said in two words."""
    text = length_explanation(["width_top", "height_left"], 12.7, 1.0, everything=True)
    assert text.startswith("all readings alike are 1/2 in")


def test_a_factor_is_said_as_it_is() -> None:
    """How many times too long all readings are, and how well that is known."""
    assert factor_explanation(1.025, 0.002) == "all readings are 1.025 times what the photo says (give or take 0.004 at 95 %)"


@pytest.mark.parametrize("amount_mm", [25.4, 304.8, -76.2, 100.0])
def test_which_slip_it_may_be_is_said_elsewhere(amount_mm: float) -> None:
    """An inch, a foot, a tape's case: only the catalogue, which tries every slip, says what fits."""
    text = length_explanation(["width_top"], amount_mm, 1.0)
    assert not [word for word in ("fits", "mark", "case") if word in text]


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
    assert length_explanation((name,), amount_mm, 0.5).endswith(way)


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
