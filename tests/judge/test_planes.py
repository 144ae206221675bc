"""A card off its plane as an explanation beside those of the readings."""

from __future__ import annotations

import numpy as np
import pytest

from tests.tolerances import EXACT
from vision.gaussian import Gaussian
from vision.judge.compare import compare
from vision.judge.planes import REACH_MM, PlaneDoubt, standing_off
from vision.judge.verdicts import Comparison
from vision.tape.readings import READING_NAMES

TRUE = np.array([1400.0, 1400.0, 1400.0, 2000.0, 2000.0, 2441.3, 2441.3])
EFFECT = dict(zip(READING_NAMES, (-0.14, -0.23, -0.31, -0.53, -0.33, -0.47, -0.50), strict=True))
"""mm for each mm that the card stands off; as two bank cards at opposite corners have it"""
CARD = PlaneDoubt(2, 50.0, 45.0, EFFECT)


def judged(added_mm: np.ndarray, photo_off_mm: float = 0.0, planes: tuple[PlaneDoubt, ...] = (CARD,)) -> Comparison:
    photo = Gaussian(READING_NAMES, TRUE + photo_off_mm * np.array([*EFFECT.values()]), {"edges": 2.0 * np.eye(7)})
    tape = Gaussian(READING_NAMES, TRUE + added_mm, {"placement": 1.0 * np.eye(7)})
    return compare(photo, tape, dict.fromkeys(READING_NAMES, ""), planes=planes)


def suspects(comparison: Comparison) -> set[str]:
    return {n for n, v in comparison.readings.items() if v.verdict == "suspect"}


def test_readings_are_not_blamed_for_a_card_off_its_plane() -> None:
    """Sizes as a card 60 mm off makes them: scale-in-doubt that names the card and nobody else."""
    comparison = judged(np.zeros(7), 60.0)
    assert suspects(comparison) == set()
    assert [f.code for f in comparison.findings] == ["scale-in-doubt"]
    assert "card 2 standing 60 mm" in comparison.findings[0].text  # beside 2 mm of the sizes, its own 50 +- 45 weighs nothing
    assert "into agreement; or else " in comparison.findings[0].text


def test_without_the_card_as_an_explanation_a_reading_would_be_blamed_or_the_scale_alone() -> None:
    """The same sizes with no card to doubt name no card."""
    assert "card 2" not in " ".join(f.text for f in judged(np.zeros(7), 60.0, ()).findings)


@pytest.mark.parametrize("name", READING_NAMES)
def test_a_single_inch_is_still_named_alone(name: str) -> None:
    """A slip of one reading is no pattern that a card off its plane makes."""
    assert suspects(judged(25.4 * np.array([n == name for n in READING_NAMES]))) == {name}


def test_the_distance_is_the_one_that_fits_readings_and_photo_together() -> None:
    """With the same weight on either side it is the mean of both."""
    found = standing_off([PlaneDoubt(1, 40.0, 1.0, {"a": -1.0})], ["a"], np.eye(1), np.array([20.0]))
    assert (found[0].off_mm, found[0].u_mm) == pytest.approx((30.0, 2**-0.5), rel=EXACT)


def test_no_card_is_taken_to_stand_further_off_than_anyone_would_overlook() -> None:
    """The distance ends at the limit, and what is left then counts."""
    found = standing_off([PlaneDoubt(1, 0.0, np.inf, {"a": -1.0})], ["a"], np.eye(1), np.array([150.0]))
    assert found[0].off_mm == REACH_MM
    assert found[0].left == pytest.approx(50.0**2, rel=EXACT)
