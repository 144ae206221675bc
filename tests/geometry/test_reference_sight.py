"""Whether patches look like references: that windows lie and are read as they should, and what the network says of a sample that
it has been shown (how it does on rooms that it has not is told in `tests/benchmarks/reference_fit.py`)."""

from __future__ import annotations

import json
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from vision.geometry import reference_sight
from vision.geometry.cards import LIKELY, in_picture_order
from vision.geometry.finder import reduced
from vision.geometry.reference_sight import HIGH, INSIDE, WIDE, likenesses, pyramid, turned, window
from vision.photo.intake import read_photo
from vision.settings import Settings

Array = NDArray[np.float64]
SAMPLE = Path(__file__).resolve().parents[2] / "sample_images" / "room5_four_cards_plumb.jpg"
LYING = np.array([[200.0, 340.0], [420.0, 352.0], [424.0, 210.0], [206.0, 202.0]])
UPRIGHT = np.array([[300.0, 420.0], [404.0, 424.0], [410.0, 260.0], [304.0, 258.0]])
RED, GREY = (190, 40, 30), (120, 120, 120)


def painted(quad: Array) -> NDArray[np.uint8]:
    """A red patch on grey, its lower side (from corner 0 to 1) blue along a strip."""
    pixels = np.full((600, 700, 3), GREY, np.uint8)
    cv2.fillConvexPoly(pixels, np.rint(quad).astype(np.int32), RED)
    return pixels


@pytest.mark.parametrize("quad", [LYING, UPRIGHT])
def test_the_patch_fills_the_middle_of_its_window(quad: Array) -> None:
    """The longer side across, the colours outside of it the wall's, and all of it inside the picture."""
    seen = window(pyramid(painted(quad)), quad)
    x, y, (a, b) = WIDE // 2, HIGH // 2, INSIDE
    assert seen.shape == (HIGH, WIDE, 4)
    assert np.abs(seen[y - b // 2 + 2 : y + b // 2 - 2, x - a // 2 + 2 : x + a // 2 - 2, :3] - np.array(RED)).max() < 4
    for row, column in ((y, x - a // 2 - 3), (y, x + a // 2 + 3), (y - b // 2 - 3, x), (y + b // 2 + 3, x)):
        assert np.abs(seen[row, column, :3] - np.array(GREY)).max() < 4
    assert seen[..., 3].min() == 255


def test_beyond_the_picture_is_told() -> None:
    """A patch in a corner of the picture."""
    seen = window(pyramid(painted(LYING)), LYING - np.array([198.0, 200.0]))
    assert seen[0, 0, 3] == 0
    assert seen[HIGH // 2, WIDE // 2, 3] == 255


def test_the_longer_side_comes_first() -> None:
    """And a patch that lies stays as it is."""
    assert np.array_equal(turned(LYING), LYING)
    assert np.array_equal(turned(UPRIGHT), UPRIGHT[[1, 2, 3, 0]])


class Told:
    """A network that always says the same."""

    def __init__(self, odds: float, off: Array) -> None:
        self.told = np.concatenate([[odds], off.ravel()])

    def __call__(self, x: Array) -> Array:
        """One answer a window."""
        assert x.shape[1:] == (4, HIGH, WIDE)
        return np.tile(self.told, (len(x), 1))


@pytest.mark.parametrize("quad", [LYING, UPRIGHT])
@pytest.mark.parametrize("off", [0.0, 2.0])
def test_corners_come_back_in_the_patchs_order(quad: Array, off: float, monkeypatch: pytest.MonkeyPatch) -> None:
    """Two px of the window to the outside all round are a twentieth of the longer side, either end."""
    outward = off * np.array([[-1, 1], [1, 1], [1, -1], [-1, -1]])
    monkeypatch.setattr(reference_sight, "REFERENCE", Told(0.0, outward))
    (seen,) = likenesses(pyramid(painted(quad)), quad[None])
    assert seen.chance == pytest.approx(0.5)
    larger = np.sqrt(cv2.contourArea(seen.corners_px.astype(np.float32)) / cv2.contourArea(quad.astype(np.float32)))
    assert larger == pytest.approx(np.sqrt((1 + off / 20) * (1 + off / 14)), rel=0.02)
    assert np.abs(seen.corners_px - quad).max() < (1e-3 if off == 0 else 25.0)


def test_nothing_to_look_at() -> None:
    """No patches, no answers."""
    assert likenesses(pyramid(painted(LYING)), np.zeros((0, 4, 2))) == []


@pytest.fixture(scope="module")
def sample() -> tuple[NDArray[np.uint8], Array]:
    """The sample at working size and its four cards' true corners in it."""
    pixels, factor = reduced(read_photo("sample", SAMPLE.read_bytes(), Settings().intake).pixels)
    cards = json.loads(SAMPLE.with_suffix(".json").read_text())["cards"]
    return pixels, np.array([(in_picture_order(np.array(c["corners_px"])) + 0.5) / factor - 0.5 for c in cards])


def test_of_what_fills_the_picture_nothing_is_said() -> None:
    """Most of its window lies outside."""
    quad = np.array([[60.0, 560.0], [640.0, 560.0], [640.0, 60.0], [60.0, 60.0]])
    (seen,) = likenesses(pyramid(painted(quad)), quad[None])
    assert seen.chance is None


def chances(pixels: NDArray[np.uint8], quads: Array) -> list[float]:
    """Of patches that are in the picture with what surrounds them."""
    return [one.chance for one in likenesses(pyramid(pixels), quads) if one.chance is not None]


def test_cards_are_seen_and_the_wall_beside_them_is_not(sample: tuple[NDArray[np.uint8], Array]) -> None:
    """All four, and at none of the places one and a half of a card's lengths aside."""
    pixels, cards = sample
    told = chances(pixels, cards)
    assert len(told) == len(cards)
    assert min(told) > LIKELY
    assert max(chances(pixels, cards + 1.5 * (cards[:, 1:2] - cards[:, :1]))) < 0.5


def test_a_card_that_is_sought_beside_itself_is_led_back(sample: tuple[NDArray[np.uint8], Array]) -> None:
    """From corners a fourteenth of its length off, the network's are nearer."""
    pixels, cards = sample
    shift = np.array([0.05, 0.05]) * np.linalg.norm(cards[:, 1] - cards[:, 0], axis=1)[:, None]
    seen = likenesses(pyramid(pixels), cards + shift[:, None])
    before, after = (np.abs(np.array(q) - cards).mean() for q in (cards + shift[:, None], [s.corners_px for s in seen]))
    assert after < 0.8 * before


def test_threads_do_not_share_a_network(sample: tuple[NDArray[np.uint8], Array]) -> None:
    """Four threads at once say what one says."""
    pixels, cards = sample
    alone = chances(pixels, cards)
    with ThreadPoolExecutor(4) as pool:
        for some in pool.map(lambda _: chances(pixels, cards), range(8)):
            assert some == pytest.approx(alone, abs=1e-6)
