"""A frame printed near a card's border: the rim outside of it is found by its hue, and by nothing else."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import cv2
import numpy as np
import pytest

from vision.geometry.card_seen import rim_findings
from vision.geometry.look import card_strips
from vision.geometry.rim import rim_of

WALL, PURPLE, WHITE = (150, 158, 160), (168, 148, 196), (250, 250, 250)
FINE = 8
CARD = np.array([[60.0, 150.0], [128.0, 150.0], [128.0, 42.0], [60.0, 42.0]])
"""px, bottom left first; a bank card upright, 0.8 px a millimetre"""


def picture(rim_px: float, rim: tuple[int, int, int], wall: tuple[int, int, int] = WALL) -> np.ndarray:
    """A card with a white frame `rim_px` inside its border, colours as a file stores them (hue at half resolution)."""
    fine = np.full((200 * FINE, 190 * FINE, 3), wall, dtype=np.uint8)
    for inset, colour in ((0.0, rim), (rim_px, WHITE), (rim_px + 4.0, PURPLE)):
        low, high = ((CARD[3] + inset) * FINE).astype(int), ((CARD[1] - inset) * FINE).astype(int)
        cv2.rectangle(fine, low.tolist(), (high - 1).tolist(), colour, -1)
    small = cv2.GaussianBlur(cv2.resize(fine, None, fx=1 / FINE, fy=1 / FINE, interpolation=cv2.INTER_AREA), (0, 0), 0.8)
    _, data = cv2.imencode(".jpg", cv2.cvtColor(small, cv2.COLOR_RGB2BGR), [cv2.IMWRITE_JPEG_QUALITY, 92])
    return cv2.cvtColor(cv2.imdecode(data, cv2.IMREAD_COLOR), cv2.COLOR_BGR2RGB)


def rim_beside(pixels: np.ndarray, inset: float) -> np.ndarray | None:
    """What is found outside of corners that lie so far inside the card's."""
    corners = CARD + np.array([[1, -1], [-1, -1], [-1, 1], [1, 1]]) * inset
    found = rim_of(card_strips(pixels, corners, 18), corners)
    return None if found is None else found.corners_px


@pytest.mark.parametrize("inset", [3.0, 4.0, 6.0])
def test_a_rim_as_light_as_the_wall_is_found_by_its_hue(inset: float) -> None:
    """Corners within two pixels of the card's, whatever the width of the rim."""
    found = rim_beside(picture(inset, PURPLE), inset)
    assert found is not None
    assert np.abs(found - CARD).max() < 2.0


def test_a_card_followed_at_its_own_border_has_no_rim() -> None:
    """Nor has a frame round which nothing but the wall is seen."""
    assert rim_beside(picture(4.0, PURPLE), 0.0) is None
    assert rim_beside(picture(4.0, WALL), 4.0) is None


def test_a_line_beside_one_side_is_no_rim() -> None:
    """A coloured stripe along the left side alone."""
    pixels = picture(4.0, WALL).copy()
    pixels[30:160, 55:61] = PURPLE
    assert rim_beside(pixels, 4.0) is None


def test_a_card_read_by_a_frame_is_named_and_holds_nothing() -> None:
    """Its number, how far the border may be off, and what would be better; nothing is said of the other card."""
    cards = [SimpleNamespace(number=n, look=SimpleNamespace(by_rim=n == 2)) for n in (1, 2)]
    photo: Any = SimpleNamespace(used=cards)
    (found,) = rim_findings([photo])
    assert "border of card 2" in found.text
    assert "2.8 pixels at 95 %" in found.text
    assert (found.code, found.holds) == ("edge-hidden", False)
    assert found.next.startswith("For smaller uncertainties")
