"""Rectangles of a stated size where a quadrilateral was found."""

from __future__ import annotations

import numpy as np
import pytest

from vision.geometry.shapes import as_large, mean_sides

SIZE = (85.6, 53.98)


def quad(width: float, height: float, turn_deg: float = 0.0) -> np.ndarray:
    turn = np.radians(turn_deg)
    box = np.array([[0, 0], [width, 0], [width, height], [0, height]])
    return np.asarray(box @ np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]]) + [700.0, 900.0])


def test_a_quadrilateral_of_the_size_stays() -> None:
    """One rectangle, where it is."""
    (only,) = as_large(quad(*SIZE, 3.0), SIZE)
    assert only == pytest.approx(quad(*SIZE, 3.0), abs=1e-9)


@pytest.mark.parametrize("turn", [0.0, -4.0])
def test_each_side_of_a_pair_keeps_its_place_once(turn: float) -> None:
    """5 mm too low: either the lower side or the upper one is right, and both rectangles have the size."""
    found = as_large(quad(SIZE[0], SIZE[1] - 5, turn), SIZE)
    assert len(found) == 2
    for one in found:
        assert [float(v) for v in mean_sides(one)] == pytest.approx(SIZE)
    low, high = sorted(found, key=lambda one: float(one[:, 1].mean()))
    before = quad(SIZE[0], SIZE[1] - 5, turn)
    assert low[2:] == pytest.approx(before[2:], abs=1e-9)
    assert high[:2] == pytest.approx(before[:2], abs=1e-9)


def test_where_both_are_off_there_are_four() -> None:
    """Any of four corners may be right."""
    assert len(as_large(quad(SIZE[0] + 4, SIZE[1] - 4), SIZE)) == 4
