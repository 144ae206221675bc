"""Patches of nearly a reference's size at the scale of the others: light or a joint may have bent one side away."""

from __future__ import annotations

import numpy as np
import pytest

from vision.geometry.by_size import MOST_NEAR, near_a_size
from vision.geometry.camera import camera_prior
from vision.geometry.cards import CardCandidate
from vision.geometry.start import front_view
from vision.settings import CARD_KINDS, Settings

SETTINGS = Settings()
A4 = CARD_KINDS["a4"]
SIZE = np.array([A4.width_mm, A4.height_mm]) * 1.2
"""px, a photo that shows a millimetre by 1.2 px, straight on"""
VIEW = front_view(np.zeros((1, 2)), camera_prior(3024, 4032, 26.0, SETTINGS.camera))


def patch(x: float, y: float, scale: float = 1.0, corner: tuple[float, float] = (0.0, 0.0)) -> np.ndarray:
    """An upright sheet about a point, px, its bottom-right corner moved by so much."""
    half = SIZE * scale / 2
    corners = np.array([[x, y]]) + np.array([[-1, 1], [1, 1], [1, -1], [-1, -1]]) * half
    corners[1] += corner
    return corners


def candidate(corners: np.ndarray) -> CardCandidate:
    return CardCandidate(corners, False, A4, False)


TOLD = candidate(patch(600, 3000))


def near(
    *patches: np.ndarray, others: tuple[CardCandidate, ...] = (TOLD,), told: tuple[CardCandidate, ...] = (TOLD,)
) -> list[float]:
    """Where those that are taken lie, px across."""
    found = near_a_size(np.array(patches), others, told, VIEW, [A4])
    assert all(c.kind is A4 for c in found)
    return [round(float(c.corners_px[:, 0].mean())) for c in found]


def test_a_sheet_with_a_corner_bent_away_is_looked_at_again() -> None:
    """By 13 px across and 10 up, as glare did to one; the other three are right."""
    assert near(patch(2400, 800, corner=(-13.0, -10.0))) == [2397]


@pytest.mark.parametrize("scale", [0.85, 1.15])
def test_what_has_another_size_is_not(scale: float) -> None:
    """A sheet's shape fifteen per cent too small or too large is a tile or a picture."""
    assert near(patch(2400, 800, scale)) == []


def test_without_a_card_there_is_no_scale_and_nothing_near() -> None:
    """A size asks for a scale, and nothing else tells one."""
    assert near(patch(2400, 800), others=(), told=()) == []


def test_what_is_found_already_is_not_looked_at_twice() -> None:
    """Neither the card itself nor two patches of one place."""
    assert near(patch(600, 3000, corner=(3.0, 0.0)), patch(2400, 800), patch(2402, 801)) == [2400]


def test_no_more_than_a_few_are_looked_at() -> None:
    """Each costs a look at its four sides."""
    assert len(near(*(patch(300.0 + 320 * k, 800) for k in range(MOST_NEAR + 3)))) == MOST_NEAR
