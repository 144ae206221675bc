"""Does a patch differ from what surrounds it alike on all its sides?"""

from __future__ import annotations

import numpy as np
import pytest

from vision.geometry.surround import CLEAR_STEP, MOST_UNEVEN, alike


def steps(*sizes: float) -> np.ndarray:
    return np.array([(s, 0.02 * s, 0.0) for s in sizes])


@pytest.mark.parametrize(
    ("sizes", "expected"),
    [
        ((0.05, 0.05, 0.06, 0.05), True),
        ((0.02, 0.05, 0.07, 0.05), False),  # a tile between joints: one side's step is under a third of another's
        ((0.15, 0.30, 0.53, 0.28), True),  # white paper before dark paint above and pale tiles below
        ((0.09, 0.30, 0.53, 0.28), False),  # no longer clear on all four
        ((0.15, 0.30, -0.53, 0.28), False),  # one side is darker than the wall
        ((0.001, 0.001, 0.001, 0.001), False),
    ],
)
def test_a_thing_of_its_own(sizes: tuple[float, ...], expected: bool) -> None:
    """Clear on all sides, of one colour, and about as large on each unless all are as clear as can be."""
    assert alike(steps(*sizes)) is expected


def test_where_all_sides_are_clear_begins_at_its_limit() -> None:
    """Just above it they may differ, just below they may not."""
    large = 2 * MOST_UNEVEN * CLEAR_STEP
    assert alike(steps(1.03 * CLEAR_STEP, large, large, large))
    assert not alike(steps(0.97 * CLEAR_STEP, large, large, large))
