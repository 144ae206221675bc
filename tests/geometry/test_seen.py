"""What a card implies in the first view."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest
from numpy.typing import NDArray

from vision.geometry.camera import Camera
from vision.geometry.cards import CardSpec
from vision.geometry.seen import SeenCard, SeenPhoto, opening_width_by
from vision.geometry.start import PlaneView
from vision.settings import CARD_KINDS

Array = NDArray[np.float64]
WIDTH_MM, HEIGHT_MM, DISTANCE_MM, F_PX = 1500.0, 1900.0, 2000.0, 2700.0
LETTER = CARD_KINDS["letter"]
UNIT_MM = 700.0
"""of the first view, which knows no scale"""


def seen_from_the_front(points: Array, depth_mm: float) -> Array:
    """Pixels (n, 2) of points (n, 2) mm on a plane so far behind the opening's; the camera is before its middle."""
    return np.array([2000.0, 1500.0]) + F_PX * (points - (WIDTH_MM / 2, HEIGHT_MM / 2)) * (1, -1) / (DISTANCE_MM + depth_mm)


@pytest.mark.parametrize("depth_mm", [-60.0, 0.0, 55.0, 960.0])
def test_a_card_behind_the_plane_tells_the_same_width(depth_mm: float) -> None:
    """To a thousandth, whatever its stated depth; taken for one on the plane, that at 960 mm would make it half as wide again."""
    outline = np.array([(0, 0), (WIDTH_MM, 0), (WIDTH_MM, HEIGHT_MM), (0, HEIGHT_MM)], dtype=float)
    a, b = LETTER.width_mm / 2, LETTER.height_mm / 2
    card = np.array([(800 - a, 1000 - b), (800 + a, 1000 - b), (800 + a, 1000 + b), (800 - a, 1000 + b)])
    origin = np.array([-WIDTH_MM / 2, HEIGHT_MM / 2, DISTANCE_MM]) / UNIT_MM
    view = PlaneView(np.diag([1.0, -1.0, -1.0]), origin, Camera(np.eye(3), np.zeros(3), F_PX, 2000.0, 1500.0, 0.0, 0.0))
    photo = SeenPhoto(cast(Any, SimpleNamespace()), view, seen_from_the_front(outline, 0.0), {}, ())
    spec = CardSpec(LETTER, 1, depth_mm, 2.0, None, None)
    seen = SeenCard(1, 1, cast(Any, SimpleNamespace()), spec, seen_from_the_front(card, depth_mm), (None,) * 4)
    assert opening_width_by(seen, photo) == pytest.approx(WIDTH_MM, rel=1e-3)
