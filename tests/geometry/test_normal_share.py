"""The table of the normal distribution against scipy's."""

from __future__ import annotations

import numpy as np
from scipy.special import ndtr

from vision.geometry.normal_share import normal_share


def test_the_table_is_right_between_its_entries_and_beyond_its_ends() -> None:
    """To 2e-9, which is the curvature's part between two entries."""
    z = np.concatenate([np.random.default_rng(3).normal(0, 4, 20_000), [-40.0, -8.5, 0.0, 8.5, 40.0, np.inf, -np.inf]])
    assert np.abs(normal_share(z) - ndtr(z)).max() < 2e-9


def test_what_is_not_a_number_stays_so() -> None:
    """A fit that has run away is seen by its cost."""
    assert np.isnan(normal_share(np.array([[np.nan]]))).all()
