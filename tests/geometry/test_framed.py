"""Pictures in frames are no references."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from tests.geometry.scenery import Patch, Wall, bank_card, picture
from vision.geometry.by_shape import find_cards
from vision.geometry.camera import camera_prior
from vision.geometry.framed import is_framed
from vision.geometry.start import view_of_rectangle
from vision.settings import CARD_KINDS, Settings

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


DARK, LIGHT, MAT = (30, 30, 34), (205, 200, 190), (120, 90, 70)
AT = (1700.0, 1200.0)


def found(*behind: Patch) -> int:
    """How many bank cards are found where one hangs in front of these."""
    of = picture(Wall(patches=(*behind, bank_card(*AT, DARK))))
    corners, prior = np.array(of.corners_px()), camera_prior(*of.shot.size, of.shot.focal_35mm, Settings().camera)
    view = view_of_rectangle(corners, prior, has_head=True)
    cards = find_cards(of.pixels, (CARD_KINDS["id-1"],), (view, corners), prior, Settings())
    return sum(bool(np.abs(view.on_plane(c.corners_px).mean(axis=0)).max() > 0) for c in cards)


def test_a_card_in_the_middle_of_a_tile_is_found_and_in_the_middle_of_a_panel_it_is_a_picture() -> None:
    """A tile has others of its size beside it, a frame stands alone."""
    tiles = [Patch((AT[0] + 164 * i, AT[1] + 132 * k), (160.0, 128.0), LIGHT) for i in (-1, 0, 1) for k in (-1, 0, 1)]

    assert found() == 1
    assert found(*tiles) == 1
    assert found(Patch(AT, (160.0, 128.0), MAT)) == 0
