"""What light that is cut off at full scale leaves open of where a side lies, against edges made here; and what is said of it."""

from __future__ import annotations

import io
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from scipy.special import ndtr

from tests.benchmarks.scene_files import Scene
from vision.check import check
from vision.geometry.alone import speaks_of_light
from vision.geometry.clipped import BURNT_OUT_BLURS, TOLD_TO, UNTOLD_FROM, burnt_blurs, cut_off
from vision.geometry.side_model import Levels

SAMPLE = Path(__file__).resolve().parents[2] / "sample_images" / "room10_two_sheets_plumb.jpg"


def levels(wall: float, *, face: float = 1.0) -> Levels:
    """A face at full scale beside a wall."""
    return Levels(np.full((3, 3), face), np.full((3, 3), wall), face_clipped=face >= 1.0, wall_clipped=wall >= 1.0)


@pytest.mark.parametrize("wall", [0.5, 0.65, 0.8])
def test_where_nothing_is_left_the_doubt_is_that_of_the_light(wall: float) -> None:
    """The middle of what is left of an edge of blur 1, found in it, over light of one to eight times full scale."""
    x = np.linspace(-8, 8, 160001)
    off = []
    for k in np.exp(np.linspace(0, np.log(8), 41)):
        seen = np.minimum(wall + (k - wall) * ndtr(-x), 1.0)
        off.append(x[np.argmin(np.abs(seen - (1 + wall) / 2))])
    assert burnt_blurs(levels(wall)) == pytest.approx(float(np.sqrt(np.mean(np.square(off)))), rel=1e-3)


def test_beside_a_dark_wall_the_rest_of_the_edge_tells() -> None:
    """And in between the doubt grows with the wall's light."""
    assert burnt_blurs(levels(0.5 * TOLD_TO)) == BURNT_OUT_BLURS
    doubts = [burnt_blurs(levels(a)) for a in np.linspace(TOLD_TO, UNTOLD_FROM, 7)]
    assert np.all(np.diff(doubts) > 0)


@pytest.mark.parametrize(("wall", "face", "said"), [(0.1, 1.0, False), (0.7, 1.0, True), (0.7, 0.9, False)])
def test_it_is_said_where_hardly_anything_is_left(wall: float, face: float, said: bool) -> None:
    """Not beside a dark wall, and not where nothing is cut off."""
    assert cut_off(levels(wall, face=face)) == said


def test_a_photo_twice_as_bright_is_doubted_and_right() -> None:
    """A sample of which all codes are doubled: its sheets seem 1.1 to 1.4 px too large. Sizes are within 2 sd, and it is said."""
    scene = Scene(SAMPLE)
    with Image.open(SAMPLE) as picture:
        exif = picture.getexif()
        bright = Image.fromarray(np.minimum(np.asarray(picture).astype(np.int64) * 2, 255).astype(np.uint8))
    data = io.BytesIO()
    bright.save(data, "JPEG", quality=92, exif=exif)
    request = replace(scene.request(0, "as stated"), photos=(("bright.jpg", data.getvalue()),))
    done = check(request)

    assert done.opening is not None
    known, true = done.opening.quantities, scene.true()
    off = [(known.value(n) - true[n]) / known.u(n) for n in true if n in known.names and n.startswith(("width", "height"))]
    assert len(off) == 5
    assert np.abs(off).max() < 2
    assert any(speaks_of_light(f) and not f.holds for f in done.findings)
