"""Points of an edge that the smooth curve leaves out."""

from __future__ import annotations

import numpy as np
import pytest

from vision.geometry.left_out import EITHER, left_out_px

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
