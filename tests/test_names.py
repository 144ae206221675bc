"""How readings and cards are called in what people read."""

from __future__ import annotations

from vision.names import cards_called, plain_names


def test_several_cards_are_cards() -> None:
    """One is a card, two and more are cards; none is never asked about."""
    assert cards_called([3]) == "card 3"
    assert cards_called([1, 2]) == "cards 1 and 2"
    assert cards_called([1, 2, 4]) == "cards 1, 2 and 4"


def test_readings_are_joined_as_in_speech() -> None:
    """A comma between the first ones and a word before the last."""
    assert plain_names(["width_top", "height_left", "curb_level"], last="or") == "top width, left height or level of the curb"
