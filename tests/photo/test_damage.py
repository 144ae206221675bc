"""Bytes of a JPEG that were changed on the way."""

from __future__ import annotations

import io
from contextlib import suppress
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from vision.errors import CannotMeasure
from vision.photo.damage import broken_row
from vision.photo.intake import read_photo
from vision.settings import IntakeSettings

SAMPLES = sorted((Path(__file__).parents[2] / "sample_images").glob("*.jpg"))
SETTINGS = IntakeSettings()


def read_or_none(name: str, data: bytes) -> NDArray[np.uint8] | None:
    """The pixels, or None where the file is refused as no whole picture."""
    with suppress(CannotMeasure):
        return read_photo(name, data, SETTINGS).pixels
    return None


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_a_whole_photo_is_read(path: Path) -> None:
    """Curbs, heads, joints and sheets are level lines too, but no camera sees them within one row."""
    assert broken_row(np.asarray(Image.open(path).convert("RGB"))) == 0


@pytest.mark.parametrize("thick", [1, 2])
def test_a_level_joint_right_across_breaks_nothing(thick: int) -> None:
    """A thin dark line begins with a row of blocks, in two rows of them by turns; where all below stays darker it is a break."""
    whole = np.full((240, 320, 3), 200, np.uint8)
    joint = whole.copy()
    for x in range(320):
        row = 96 if x < 200 else 104
        joint[row : row + thick, x] = 150
    assert broken_row(joint) == 0
    broken = whole.copy()
    broken[96:, :200], broken[104:, 200:] = 150, 150
    assert broken_row(broken) == 96


@pytest.mark.parametrize("seed", range(8))
def test_changed_bytes_are_told_unless_they_do_nothing(seed: int) -> None:
    """Twenty bytes of the picture's data changed: refused, or less than a fiftieth of the picture differs."""
    path = SAMPLES[seed % len(SAMPLES)]
    rng = np.random.default_rng(seed)
    data = bytearray(path.read_bytes())
    for at in rng.integers(len(data) // 10, len(data), 20):
        data[at] = rng.integers(0, 255)
    true = read_photo(path.name, path.read_bytes(), SETTINGS).pixels
    seen = read_or_none(path.name, bytes(data))
    if seen is not None:
        assert seen.shape == true.shape
        assert (np.abs(seen.astype(int) - true) > 16).any(axis=2).mean() < 0.02


def test_a_step_of_one_row_is_told_only_where_blocks_begin() -> None:
    """A drawing's ruled line may lie anywhere; a lens makes two rows of it."""
    pixels = np.full((400, 600, 3), 90, dtype=np.uint8)
    pixels[200:] = 140
    assert broken_row(pixels) == 200
    assert broken_row(np.roll(pixels, 3, axis=0)) != 200
    soft = pixels.copy()
    soft[199] = 110
    assert broken_row(soft) == 0
    assert broken_row(pixels[:7]) == 0


def test_a_sharp_edge_over_less_than_the_width_is_no_break() -> None:
    """A level head takes 55 % of the width; what was shifted from some block on has the rest a row of blocks earlier or later."""
    pixels = np.full((400, 600, 3), 90, dtype=np.uint8)
    pixels[200:, :330] = 140
    assert broken_row(pixels) == 0
    pixels[192:, 330:] = 140
    assert broken_row(pixels) == 200


def test_noise_is_no_break() -> None:
    """Noise of 30 codes steps in every row; a break of 80 codes still stands out of noise of 6."""
    noise = np.random.default_rng(1).normal(0, 30, (400, 600, 3))
    pixels = np.clip(110 + noise, 0, 255).astype(np.uint8)
    assert broken_row(pixels) == 0
    broken = 90 + noise / 5
    broken[200:] += 80
    assert broken_row(np.clip(broken, 0, 255).astype(np.uint8)) == 200


def test_steps_that_a_coarse_file_makes_are_no_break() -> None:
    """Two neighbours rounded apart by one unit of 80 / 8 codes each; a fine file has no such step."""
    pixels = np.full((400, 600, 3), 90, dtype=np.uint8)
    pixels[200:] = 110
    assert broken_row(pixels, 10.0) == 0
    assert broken_row(pixels, 0.4) == 200


def test_the_error_says_where() -> None:
    """Row, what is needed, what to do."""
    pixels = np.full((400, 600, 3), 90, dtype=np.uint8)
    pixels[200:] = 140
    out = io.BytesIO()
    Image.fromarray(pixels).save(out, format="JPEG", quality=95)
    with pytest.raises(CannotMeasure) as raised:
        read_photo("a.jpg", out.getvalue(), SETTINGS)
    assert "at row 200" in raised.value.found
    assert "original" in raised.value.remedy
