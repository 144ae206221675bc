"""Whether a patch is a thing of its own or a field of a pattern: do the lines of its sides end at its corners?"""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from tests.geometry.scenery import Patch, bank_card
from tests.geometry.test_further import PLAIN, photo_of
from vision.geometry.ends import ends_at_corners, going_on, longer

PURPLE, PALE, JOINT = (150, 110, 160), (200, 198, 200), (165, 160, 158)
TILE_PX, JOINT_PX = 40, 3
BOX = np.array([[160, 320], [280, 320], [280, 240], [160, 240]], dtype=float)
"""three tiles by two"""
Pixels = NDArray[np.uint8]


def mosaic(seed: int = 3, grain: float = 4.0) -> Pixels:
    """Tiles of two colours at random, 3 x 2 of them purple within a ring of pale ones."""
    rng = np.random.default_rng(seed)
    purple = rng.random((14, 14)) < 0.5
    purple[5:9, 3:8] = False
    purple[6:8, 4:7] = True
    out = np.empty((14 * TILE_PX, 14 * TILE_PX, 3))
    for (i, j), dark in np.ndenumerate(purple):
        out[i * TILE_PX : (i + 1) * TILE_PX, j * TILE_PX : (j + 1) * TILE_PX] = PURPLE if dark else PALE
    for k in range(15):
        at = slice(max(k * TILE_PX - 1, 0), k * TILE_PX + JOINT_PX - 1)
        out[at], out[:, at] = JOINT, JOINT
    return np.clip(out + rng.normal(0, grain, out.shape), 0, 255).astype(np.uint8)


def with_card(pixels: Pixels, corners: NDArray[np.float64], colour: tuple[int, int, int]) -> Pixels:
    (x0, y1), (x1, y0) = corners[0].astype(int), corners[2].astype(int)
    out = pixels.copy()
    out[y0:y1, x0:x1] = colour
    return out


@pytest.mark.parametrize("seed", range(6))
def test_a_field_of_a_mosaic_does_not_end_at_its_corners(seed: int) -> None:
    """Three tiles by two of one colour, of which all four neighbours are of another: the joints go on."""
    assert not ends_at_corners(mosaic(seed), BOX)


@pytest.mark.parametrize("seed", range(6))
def test_a_card_on_a_mosaic_ends_at_its_corners(seed: int) -> None:
    """It covers the joints and stands askew to their places."""
    at = BOX + np.array([13.0, 17.0])
    pixels = with_card(mosaic(seed), at, (40, 40, 44))
    assert ends_at_corners(pixels, at)


def test_a_card_with_one_side_along_a_joint_is_still_one() -> None:
    """That joint goes on at both ends of the side, and of its other sides none does."""
    at = BOX + np.array([13.0, 0.0])
    at[:2, 1] += 12.0
    on = going_on(with_card(mosaic(), at, (40, 40, 44)), at)
    assert on[2].any()
    assert ends_at_corners(with_card(mosaic(), at, (40, 40, 44)), at)


def test_grain_alone_is_no_line() -> None:
    """A faint patch on a grainy wall: what lies beyond its corners is noise."""
    rng = np.random.default_rng(5)
    pixels = np.clip(rng.normal(150, 9, (560, 560, 3)), 0, 255)
    pixels[240:320, 160:280] += 8
    assert not going_on(np.clip(pixels, 0, 255).astype(np.uint8), BOX).any()


def fields(centre: tuple[float, float], tile_mm: tuple[float, float]) -> tuple[Patch, ...]:
    """Tiles of two colours with joints, two by two of one colour amid others: as large together as a bank card."""
    (x, y), (w, h) = centre, tile_mm
    rng = np.random.default_rng(8)
    out = [Patch(centre, (10 * w, 10 * h), (150, 146, 140))]
    for i in range(10):
        for j in range(10):
            near = 3 <= i <= 6 and 3 <= j <= 6
            dark = (4 <= i <= 5 and 4 <= j <= 5) if near else rng.random() < 0.5
            at = (x + (i - 4.5) * w, y + (j - 4.5) * h)
            out.append(Patch(at, (w - 1.5, h - 1.5), (120, 84, 130) if dark else (205, 203, 206)))
    return tuple(out)


@pytest.mark.parametrize("share", [1.0, 0.8])
def test_tiles_of_two_colours_are_no_bank_cards(share: float) -> None:
    """Neither of a card's own size nor of its shape alone; the true card is found beside them."""
    tile = (85.6 * share / 2, 53.98 * share / 2)
    photo, of = photo_of(PLAIN, *fields((1700.0, 500.0), tile))
    assert [c.used for c in photo.cards] == [True]
    assert np.abs(photo.cards[0].corners_px - of.shot.to_px(PLAIN.corners())).max() < 1.5


def test_the_same_patch_alone_is_a_card() -> None:
    """What rules it out is the wall round it."""
    photo, _ = photo_of(PLAIN, bank_card(1700.0, 500.0, (120, 84, 130)))
    assert len(photo.cards) == 2


def test_what_goes_on_past_a_side_on_both_of_its_neighbours_is_part_of_something_longer() -> None:
    """The upper half of a plate: its sides go on downward, its lower line ends."""
    pixels = with_card(np.full((560, 560, 3), 150, np.uint8), BOX, (220, 220, 216))
    upper = BOX - np.array([[0, 40.0], [0, 40.0], [0, 0], [0, 0]])
    pixels[276:283, 160:280] = (170, 170, 168)
    assert longer(going_on(pixels, upper)).tolist() == [True, False, False, False]
    assert not ends_at_corners(pixels, upper)
    assert not longer(going_on(pixels, BOX)).any()
