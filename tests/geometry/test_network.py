"""That a network gives each window its own answer, however many it is asked about."""

from __future__ import annotations

import numpy as np
import pytest

from vision.geometry import network
from vision.geometry.reference_sight import HIGH, REFERENCE, WIDE


@pytest.mark.parametrize("many", [1, network.MOST_AT_ONCE, network.MOST_AT_ONCE + 1, 2 * network.MOST_AT_ONCE + 3])
def test_many_windows_are_answered_as_each_by_itself(many: int) -> None:
    """In their order, to what single precision leaves."""
    windows = np.random.default_rng(many).normal(0, 0.3, (many, 4, HIGH, WIDE)).astype(np.float32)
    told = REFERENCE(windows)
    assert told.shape == (many, 9)
    for k in {0, many // 2, many - 1}:
        assert np.abs(told[k] - REFERENCE(windows[k : k + 1])[0]).max() < 1e-4
