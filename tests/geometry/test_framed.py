"""Pictures in frames are no references."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from vision.geometry.framed import is_framed

Array = NDArray[np.float64]


def box(wide: float, high: float, at: tuple[float, float] = (0.0, 0.0)) -> Array:
    """A rectangle (4, 2) about its middle."""
    return np.array([[-wide, -high], [wide, -high], [wide, high], [-wide, high]]) / 2 + np.array(at)


PRINT = box(210.0, 270.0)


def test_a_print_in_the_middle_of_a_frame_is_framed() -> None:
    """With a mat of 70 mm all round."""
    assert is_framed(PRINT, np.array([box(350.0, 410.0)]))


@pytest.mark.parametrize(
    ("why", "other"),
    [
        ("itself", PRINT),
        ("its halo or a printed rim", box(216.0, 276.0)),
        ("a tile behind it, aside", box(400.0, 500.0, (40.0, 10.0))),
        ("a door far larger", box(800.0, 2000.0)),
        ("a panel with uneven margins", box(280.0, 600.0)),
        ("something beside it", box(350.0, 410.0, (600.0, 0.0))),
        ("something smaller", box(100.0, 140.0)),
    ],
)
def test_other_things_round_a_sheet_are_no_frames(why: str, other: Array) -> None:
    """Nothing but a larger patch about the same middle, with a margin as wide all round."""
    assert not is_framed(PRINT, np.array([other])), why


def test_nothing_there_frames_nothing() -> None:
    """An empty list of patches."""
    assert not is_framed(PRINT, np.zeros((0, 4, 2)))
