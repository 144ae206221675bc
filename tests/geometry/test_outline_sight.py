"""What two networks see of a sample's opening: the whole of it, coarsely, and its corners, closely."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from vision.geometry.camera import camera_prior
from vision.geometry.corner_sight import Corners
from vision.geometry.outline_sight import UNIT_PX, between, drawn, drawn_clues
from vision.geometry.trace_frame import Squared, squared
from vision.photo.intake import read_photo
from vision.settings import Settings

Array = NDArray[np.float64]
SAMPLE = Path(__file__).resolve().parents[2] / "sample_images" / "room5_four_cards_plumb.jpg"


@pytest.fixture(scope="module")
def square() -> Squared:
    """A sample, turned."""
    photo = read_photo("sample", SAMPLE.read_bytes(), Settings().intake)
    found = squared(photo.pixels, camera_prior(photo.width, photo.height, photo.focal_35mm, Settings().camera))
    assert found is not None
    return found


@pytest.fixture(scope="module")
def true(square: Squared) -> Array:
    """Its opening's true corners, px of the turned picture."""
    return square.from_photo(np.array(json.loads(SAMPLE.with_suffix(".json").read_text())["opening"]["corners_px"]))


def mirrored(square: Squared, corners: Array) -> tuple[Squared, Array]:
    """The picture with left and right exchanged, and its corners."""
    wide = square.small.shape[1]
    depth = np.array([wide - 1 - square.depth[0], square.depth[1]])
    flipped = np.ascontiguousarray(square.small[:, ::-1])
    return replace(square, small=flipped, depth=depth), np.array([wide - 1, 0]) + corners[[1, 0, 3, 2]] * np.array([-1, 1])


def test_the_opening_is_drawn_where_it_is(square: Squared, true: Array) -> None:
    """Inside is told from outside nearly everywhere, the corners are within three cells, and the true outline fits best."""
    of = drawn(square, has_head=True)
    mask = np.zeros(of.inside.shape, np.uint8)
    cv2.fillPoly(mask, [np.round(of.cells(true)).astype(np.int32)], (1,))

    clues = drawn_clues(of, true[None] + np.array([0.0, 40.0, -40.0])[:, None, None])

    assert np.mean((of.inside > 0.5) == (mask > 0)) > 0.98
    assert np.linalg.norm(of.outline() - true, axis=1).max() < 3 * UNIT_PX
    for name in ("drawn: corners", "drawn: edges", "drawn: curb", "drawn: head"):
        assert clues[name][0] > clues[name][1:].max() + 0.5
    assert clues["drawn: beside what is inside"].argmin() == 0


def test_without_a_head_walls_go_up_along_their_edges(square: Squared, true: Array) -> None:
    """The upper corners lie on the walls' edges, high up; clues of the head are nothing."""
    of = drawn(square, has_head=False)

    tops = of.tops(true[:2])
    clues = drawn_clues(of, true[None])

    for k, (foot, top) in enumerate(((true[0], true[3]), (true[1], true[2]))):
        at_true = foot + (top - foot) * (tops[k, 1] - foot[1]) / (top[1] - foot[1])
        assert tops[k, 1] < foot[1] - 200
        assert abs(tops[k, 0] - at_true[0]) < 12
    assert clues["drawn: head"] == pytest.approx([0.0])


def test_corners_are_seen_near_rough_ones(square: Squared, true: Array) -> None:
    """From 15 px of the small picture off, the likeliest place of each corner is the true one to 10 px at 12 MP."""
    corners = Corners(square)

    for k, off in enumerate(((11, -9), (-12, 8), (9, 12), (-10, -11))):
        place, share = corners.places(k, true[k] + np.array(off), 3)[0]
        assert np.linalg.norm(place - true[k]) < 2.5
        assert share > 0.3


def test_corners_of_the_true_outline_say_more_than_any_beside_it(square: Squared, true: Array) -> None:
    """An outline 4 px of the small picture (16 px at 12 MP) to any side."""
    away = np.array([(0, 0), (4, 0), (-4, 0), (0, 4), (0, -4)])[:, None]

    clues = Corners(square).clues(true[None] + away, has_head=True)

    for name in ("corners", "corners: fainter one"):
        assert clues[name][0] > clues[name][1:].max() + 1.0
    assert clues["corners: walls"][0] > clues["corners: walls"][1:3].max()
    assert clues["corners: curb"][0] > clues["corners: curb"][3:].max()


def test_right_and_left_are_seen_alike(square: Squared, true: Array) -> None:
    """The mirrored picture gives the mirrored corners the same clues to within half a cell's resampling."""
    other, corners = mirrored(square, true)

    one, two = Corners(square).clues(true[None], has_head=True), Corners(other).clues(corners[None], has_head=True)

    for name in ("corners", "corners: walls", "corners: curb", "corners: head"):
        assert one[name] == pytest.approx(two[name], abs=0.4)


def test_a_corner_outside_of_the_picture_is_asked_about_without_a_word(square: Squared) -> None:
    """Windows beyond the border are empty: no likely place, and clues that are finite."""
    far = np.array([(-400.0, 3000.0), (3000.0, 3000.0), (3000.0, -900.0), (-400.0, -900.0)])

    clues = Corners(square).clues(far[None], has_head=True)

    assert clues["corners"][0] < -4
    assert all(np.isfinite(v).all() for v in clues.values())


def test_values_between_cells_are_linear_and_end_at_the_border() -> None:
    """A plane is met exactly; beyond the last cell its value stays."""
    y, x = np.mgrid[:5, :7].astype(np.float64)

    assert between(2 * x + 3 * y, np.array([[1.25, 2.5], [0.0, 0.0]])) == pytest.approx([10.0, 0.0])
    assert between(x, np.array([[99.0, 1.0], [-5.0, 1.0]])) == pytest.approx([6.0, 0.0], abs=0.01)
