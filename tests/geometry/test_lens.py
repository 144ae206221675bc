"""A wide lens's bend, roughly, from the outline; cards near the border of such a picture are found and measured with it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from tests.benchmarks.scene_files import Scene
from tests.benchmarks.scene_records import Job, measured
from vision.geometry.camera import CameraPrior, bendable, camera_prior
from vision.geometry.lens import bent, bent_prior, straightened
from vision.geometry.rough_outline import OUTLINE_CORNERS, RoughEdges, outline_strips
from vision.geometry.start import camera_of
from vision.geometry.strips import Strip
from vision.settings import Settings

SETTINGS = Settings().camera
WIDE = camera_prior(3024, 4032, 20.0, SETTINGS)
CORNERS = np.array([[620.0, 3350.0], [2450.0, 3290.0], [2380.0, 520.0], [540.0, 610.0]])
"""px of the straightened picture"""


def edges(k1: float, sag_px: float = 0.0) -> tuple[RoughEdges, dict[str, Strip]]:
    """The four edges of an opening through a lens of this term, each sagging by itself, as located."""
    lens = camera_of(replace(WIDE, k1=k1))
    corners = bent(CORNERS, lens)
    strips = outline_strips(np.zeros((4032, 3024, 3), dtype=np.uint8), corners, 40, has_head=True)
    curves: RoughEdges = {}
    for sign, (name, pair) in zip((1, -1, 1, 1), OUTLINE_CORNERS.items(), strict=True):
        a, b = CORNERS[list(pair)]
        t = np.linspace(-0.05, 1.05, 2001)[:, None]
        normal = np.array([b[1] - a[1], a[0] - b[0]]) / np.linalg.norm(b - a)
        points = bent(a + t * (b - a) + sign * sag_px * 4 * t * (1 - t) * normal, lens)
        strip = strips[name]
        lines, across = (points[:, 0], points[:, 1]) if strip.transposed else (points[:, 1], points[:, 0])
        order = np.argsort(lines)
        curves[name] = (
            np.interp(strip.start + np.arange(strip.lines), lines[order], across[order]),
            strip.extent(*corners[list(pair)]),
        )
    return curves, strips


@pytest.mark.parametrize("k1", [-0.15, -0.08, 0.08])
def test_the_bend_is_read_from_the_outline(k1: float) -> None:
    """Edges that a lens bends by up to 40 px tell its term to a tenth, where they sag by 2 px themselves."""
    assert bent_prior(WIDE, *edges(k1, sag_px=2.0), 1.0).k1 == pytest.approx(k1, rel=0.1)


def test_walls_that_bow_are_no_lens() -> None:
    """Four edges that sag by 3 mm, some one way and some the other, leave the camera as it was."""
    assert bent_prior(WIDE, *edges(0.0, sag_px=3.5), 1.0) == WIDE


@pytest.mark.parametrize("k1", [0.0, -0.12, 0.06])
def test_straightening_is_undone(k1: float) -> None:
    """Points come back to a millionth of a pixel, with or without a lens term."""
    lens = camera_of(replace(WIDE, k1=k1))
    assert straightened(bent(CORNERS, lens), lens) == pytest.approx(CORNERS, abs=1e-6)


def test_a_bent_start_is_no_knowledge() -> None:
    """The adjustment counts the term from none as before: only where it begins is another."""
    begun: CameraPrior = bent_prior(WIDE, *edges(-0.1), 1.0)
    assert replace(begun, k1=0.0) == WIDE
    assert bendable(camera_prior(3024, 4032, 26.0, SETTINGS), SETTINGS).k1_sd == WIDE.k1_sd


def test_four_cards_through_a_wide_lens_are_measured() -> None:
    """20 mm equivalent with k1 = -0.12: cards at the corners are bent out of their ratio by it, all four are used."""
    scene = Scene(Path("tests/benchmarks/scenes/wide_lens.jpg"))
    record = measured(Job(scene))
    assert record.refused is None
    assert all(abs(error) < 3 * u for error, u in record.errors().values())
    assert set(record.data["findings"]) <= {"edge-hidden"}  # the curb has little contrast, and a line runs beside it
