"""Errors that carry data."""

from __future__ import annotations

import pickle

import pytest

from vision.errors import CODES, RESERVED_CODES, BadInput, CannotMeasure, Finding, TapewitnessError

FIELDS = {"found": "one card", "needed": "two cards", "remedy": "put up another card"}


def test_bad_input_says_where_and_what() -> None:
    """The message names the input, what was found, what was needed and what to do."""
    error = BadInput("reading width_top", "'x'", "a digit", "write 56 1/4", position=3)
    assert str(error) == "reading width_top: found 'x'; needed a digit; write 56 1/4"
    assert (error.where, error.position) == ("reading width_top", 3)
    assert isinstance(error, TapewitnessError)


def test_cannot_measure_is_data_as_well_as_an_error() -> None:
    """Its five fields come back as plain text."""
    error = CannotMeasure("cards", "card-missing", **FIELDS)
    assert error.as_dict() == {"stage": "cards", "code": "card-missing", **FIELDS}


def test_cannot_measure_survives_the_way_to_another_process() -> None:
    """Pickled and unpickled it is the same."""
    error = CannotMeasure("cards", "card-missing", **FIELDS)
    assert pickle.loads(pickle.dumps(error)).as_dict() == error.as_dict()


def test_bad_input_survives_the_way_to_another_process() -> None:
    """Pickled and unpickled it says the same at the same place."""
    error = BadInput("reading width_top", "'x'", "a digit", "write 56 1/4", position=3)
    again = pickle.loads(pickle.dumps(error))
    assert (str(again), again.where, again.position) == (str(error), "reading width_top", 3)


def test_codes_are_a_closed_list() -> None:
    """An unknown code is a programming error, in a finding and in a failure alike."""
    with pytest.raises(ValueError, match="unknown code 'card-eaten'"):
        Finding("card-eaten", "text", "next")
    with pytest.raises(ValueError, match="unknown code 'card-eaten'"):
        CannotMeasure("cards", "card-eaten", **FIELDS)


def test_findings_hold_unless_they_say_otherwise() -> None:
    """Holding is the default."""
    assert Finding("blur", "text", "next").holds


def test_reserved_codes_are_codes() -> None:
    """What waits for a later version is on the list already."""
    assert RESERVED_CODES <= CODES
