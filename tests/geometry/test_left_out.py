"""Points of an edge that the smooth curve leaves out."""

from __future__ import annotations

import numpy as np
import pytest

from vision.geometry.left_out import EITHER, left_out_px, wander_px

ALONG = np.linspace(-1, 1, 41)
STRAIGHT = np.zeros(3)


def doubt(x0: np.ndarray, used: np.ndarray) -> float:
    return left_out_px(ALONG, x0, STRAIGHT, used)


def test_nothing_left_out_adds_nothing() -> None:
    """No odd point, no doubt."""
    assert doubt(np.zeros(41), np.ones(41, dtype=bool)) == 0.0


def test_a_run_to_one_side_at_one_end_adds_what_it_would_move_the_curve_by() -> None:
    """A fifth at one end 1 px off: the curve through all of it ends about there, and it is that or nothing."""
    x0 = np.where(ALONG > 0.6, 1.0, 0.0)
    assert EITHER * 0.6 < doubt(x0, ALONG <= 0.6) < EITHER * 1.2


def test_scattered_points_to_both_sides_add_little() -> None:
    """Their curve is the same."""
    x0 = np.where(np.arange(41) % 4 == 0, np.where(np.arange(41) % 8 == 0, 1.0, -1.0), 0.0)
    assert doubt(x0, x0 == 0) < 0.15


@pytest.mark.parametrize("far", [5.0, np.nan])
def test_what_is_far_off_or_unseen_is_something_else(far: float) -> None:
    """A bottle's edge says nothing about the wall's."""
    assert doubt(np.where(ALONG > 0.6, far, 0.0), ALONG <= 0.6) == 0.0


EVERY = np.ones(41, dtype=bool)


def wandering(x0: np.ndarray, sd: float = 0.05) -> float:
    coefficients = np.polyfit(ALONG, x0, 2)
    return wander_px(ALONG, x0, np.full(41, sd), coefficients, EVERY)


def test_an_edge_that_scatters_as_its_points_say_does_not_wander() -> None:
    """Mean over 200 draws of white noise: a fifth of the noise at most."""
    rng = np.random.default_rng(5)
    assert np.mean([wandering(0.05 * rng.standard_normal(41)) for _ in range(200)]) < 0.01


def test_more_noise_than_stated_is_not_taken_for_wandering() -> None:
    """The scatter of neighbours tells it."""
    rng = np.random.default_rng(6)
    assert np.mean([wandering(0.2 * rng.standard_normal(41)) for _ in range(200)]) < 0.06


def test_an_edge_whose_last_fifth_turns_away_is_in_doubt_at_its_end() -> None:
    """As where a rounding takes the light of the head otherwise. The curve takes most of the turn, so a quarter of it is told."""
    turned = np.clip((ALONG - 0.6) * 5, 0, 1) * 2.0
    end = np.polyval(np.polyfit(ALONG, turned, 2), 1.0)
    assert 0.2 * end < wandering(turned) < end


@pytest.mark.parametrize("length", [0.2, 0.5])
def test_for_errors_that_run_on_along_the_edge_the_ends_doubt_is_no_smaller_than_half_their_error(length: float) -> None:
    """Rms over 300 drawn edges; at a tenth of the edge (0.2 of its two) the two are alike."""
    rng = np.random.default_rng(7)
    root = np.linalg.cholesky(np.exp(-np.abs(ALONG[:, None] - ALONG) / length) + 1e-9 * np.eye(41))
    drawn = [root @ rng.standard_normal(41) for _ in range(300)]
    ends = np.sqrt(np.mean([np.polyval(np.polyfit(ALONG, x0, 2), 1.0) ** 2 for x0 in drawn]))
    told = np.sqrt(np.mean([wandering(x0) ** 2 for x0 in drawn]))
    assert 0.5 * ends < told < 1.2 * ends


def test_a_short_side_is_not_cut_up() -> None:
    """Two or three points a piece would say nothing."""
    few = np.arange(20)
    assert wander_px(ALONG[few], ALONG[few] ** 3, np.full(20, 0.01), np.zeros(3), EVERY[:20]) == 0.0
