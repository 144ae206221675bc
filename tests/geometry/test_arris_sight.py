"""Where the network sees an arris, on a sample that it has been shown: that windows lie and are read as they should."""

from __future__ import annotations

import json
import math
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from vision.geometry.arris_sight import ALONG, COLUMNS, HALF, INWARD, OWN, UNIT_PX, Sight, reduced, sights
from vision.geometry.camera import camera_prior
from vision.geometry.rough_outline import OUTLINE_CORNERS
from vision.photo.intake import read_photo
from vision.settings import Settings

Array = NDArray[np.float64]
SAMPLE = Path(__file__).resolve().parents[2] / "sample_images" / "room5_four_cards_plumb.jpg"


@pytest.fixture(scope="module")
def pixels() -> NDArray[np.uint8]:
    """The sample's pixels."""
    return read_photo("sample", SAMPLE.read_bytes(), Settings().intake).pixels


@pytest.fixture(scope="module")
def corners() -> Array:
    """Its opening's true corners."""
    return np.array(json.loads(SAMPLE.with_suffix(".json").read_text())["opening"]["corners_px"])


def seen(pixels: NDArray[np.uint8], corners: Array) -> dict[str, Sight]:
    """What is seen along all four edges between these corners."""
    high, wide = pixels.shape[:2]
    scale = math.hypot(wide, high) / Settings().camera.reference_diagonal_px
    picture = reduced(pixels, camera_prior(wide, high, 26, Settings().camera), scale)
    return sights(picture, {n: corners[list(pair)] for n, pair in OUTLINE_CORNERS.items()})


def test_true_edges_are_seen_and_lines_beside_them_are_not(pixels: NDArray[np.uint8], corners: Array) -> None:
    """From rough corners 12 px off: the true line has more support than any four columns beside it."""
    for name, sight in seen(pixels, corners + np.array([[9, -7], [-8, 6], [7, 9], [-9, -6]])).items():
        true = sight.columns(corners[list(OUTLINE_CORNERS[name])])
        right, outside, inside = sight.support(np.array([true, true - 4, true + 4]))

        assert right > -0.7
        assert right > max(outside, inside) + 1.0


def test_columns_count_inward(pixels: NDArray[np.uint8], corners: Array) -> None:
    """A line 10 px further inside at 12 MP is four columns inside, for every edge; points give the same line back."""
    for name, sight in seen(pixels, corners).items():
        ends = corners[list(OUTLINE_CORNERS[name])]
        moved = ends + 4 * UNIT_PX * np.array(INWARD[name])

        assert np.allclose(sight.columns(moved), 4.0, atol=0.35)  # an edge that leans is not crossed at right angles
        assert np.allclose(sight.columns(sight.points(np.array([3.0, -2.0]))), [3.0, -2.0])


def test_a_smaller_copy_shows_the_same(pixels: NDArray[np.uint8], corners: Array) -> None:
    """At 0.4 of the size, where a column is a pixel."""
    whole = seen(pixels, corners)
    small = np.asarray(cv2.resize(pixels, None, fx=0.4, fy=0.4, interpolation=cv2.INTER_AREA), dtype=np.uint8)
    for name, sight in seen(small, (corners + 0.5) * 0.4 - 0.5).items():
        same = [s.shares[OWN, :COLUMNS].argmax(axis=1) for s in (sight, whole[name])]

        assert np.abs(same[0] - same[1]).mean() < 0.6


def test_threads_do_not_disturb_each_other(pixels: NDArray[np.uint8], corners: Array) -> None:
    """Four at once say what one says."""
    alone = seen(pixels, corners)
    with ThreadPoolExecutor(4) as executor:
        for together in executor.map(lambda _: seen(pixels, corners), range(4)):
            assert all(np.allclose(together[n].shares, alone[n].shares, atol=1e-4) for n in alone)


def test_rows_beyond_the_ends_hold_no_arris(pixels: NDArray[np.uint8], corners: Array) -> None:
    """Beyond the curb a wall's edge does not go on."""
    shares = seen(pixels, corners)["left"].shares

    assert shares[ALONG < -0.04, COLUMNS].mean() > 0.8
    assert shares[OWN, COLUMNS].mean() < 0.1
    assert abs(float(np.median(shares[OWN, :COLUMNS].argmax(axis=1))) - HALF) <= 1
