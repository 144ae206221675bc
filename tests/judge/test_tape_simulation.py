"""The tape's simulation, small: the goals of the benchmark beside it, with the slack that few sheets need."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest

from tests.judge.random_errors import expected
from tests.judge.tape_worlds import LAYOUTS, SETS, Outcome, Sheet, is_named, outcome, sheet
from tests.tolerances import SAMPLED

SHEETS = 150


def drawn(kind: str, seed: int, sets: tuple[str, ...] = tuple(SETS)) -> Iterator[tuple[Sheet, Outcome]]:
    rng = np.random.default_rng(seed)
    done = 0
    while done < SHEETS:
        made = sheet(rng, kind, str(rng.choice(sets)), str(rng.choice(LAYOUTS)))
        if made is not None:
            done += 1
            yield made, outcome(made)


def test_clean_sheets_are_seldom_held_for_nothing() -> None:
    """At most two in a hundred contradict, alone or with the photo."""
    held = [said.tape_speaks or said.photo_speaks for _, said in drawn("none", 1)]
    assert np.mean(held) <= 0.02 + SAMPLED(0.02, SHEETS)


@pytest.mark.parametrize("kind", ["inch-kept", "wrong-foot", "transposed"])
def test_an_exact_slip_stands_at_the_top_of_the_list(kind: str) -> None:
    """With a photo it is seen and on the list nine times in ten; where a slip is named, it is this one nine times in ten."""
    said = [(of, result) for of, result in drawn(kind, 2) if result.photo_speaks]
    assert len(said) >= 0.95 * SHEETS
    named = [(of, result) for of, result in said if result.photo_slips[0].code != "none"]
    assert len(named) > SHEETS / 3
    assert np.mean([is_named(result.photo_slips, of) for of, result in named]) >= 0.9 - SAMPLED(0.9, len(named))
    listed = [any(is_named((slip,), of) for slip in result.photo_slips) for of, result in said]
    assert np.mean(listed) >= 0.9 - SAMPLED(0.9, len(said))


def test_the_tape_alone_sees_an_inch_where_it_has_checks_enough() -> None:
    """With diagonals and plumb an inch on a length is seen in four cases of five, whichever length it is on."""
    said = [result.tape_speaks for _, result in drawn("inch-kept", 3, ("seven and plumb", "all"))]
    assert np.mean(said) >= 0.8 - SAMPLED(0.8, SHEETS)


def test_what_is_in_no_catalogue_ends_as_no_known_slip() -> None:
    """Random errors of 3 to 30 mm, near a known amount or not, are given a name once in ten at most."""
    said = [result.photo_slips[0].code for _, result in drawn("random", 4) if result.photo_speaks]
    assert said
    assert said.count("none") >= (0.9 - SAMPLED(0.9, len(said))) * len(said)


def test_what_is_in_no_catalogue_is_not_named_by_the_tape_alone() -> None:
    """A random error that does not close is given a name once in ten at most, by the tape alone as well."""
    said = [result.tape_slips[0].code for _, result in drawn("random", 5) if result.tape_speaks]
    assert len(said) > SHEETS / 3
    assert said.count("none") >= (0.9 - SAMPLED(0.9, len(said))) * len(said)


def test_what_is_further_from_every_known_amount_than_its_uncertainty_is_hardly_ever_named() -> None:
    """Outside 2.58 sd of all that a known slip would show there, by photo and tape: at most one in a hundred."""
    far = []
    for of, result in drawn("random", 6):
        assert result.judgement.case is not None
        by = expected(of, result.judgement.case, alone=False)
        if result.photo_speaks and by is not None and not by.near:
            far.append(result.photo_slips[0].code == "none")
    assert len(far) > SHEETS / 4
    assert np.mean(far) >= 0.99 - SAMPLED(0.99, len(far))
