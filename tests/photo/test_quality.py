"""Blur, light and noise of made pictures, and what a file says of its past."""

from __future__ import annotations

import io

import cv2
import numpy as np
import pytest
from PIL import Image

from vision.errors import CannotMeasure
from vision.photo.provenance import read_provenance
from vision.photo.quality import quality_of


def boxes(sd_px: float) -> np.ndarray:
    """Upright and level edges of 12 MP, blurred."""
    picture = np.full((4032, 3024, 3), 90, np.uint8)
    for k in range(8):
        picture[300 + 400 * k : 500 + 400 * k, 200 + 300 * k : 400 + 300 * k] = 200
    return np.asarray(cv2.GaussianBlur(picture, (0, 0), sd_px))


@pytest.mark.parametrize("sd_px", [1.5, 3.0, 6.0])
def test_blur_is_measured(sd_px: float) -> None:
    """The blur that was made is found again."""
    # 15 %: pixels and differences over two of them blur by a third of a pixel each, and the fit is on a few scales only
    assert quality_of(boxes(sd_px)).blur_px == pytest.approx(sd_px, rel=0.15)


def test_motion_blurs_one_direction() -> None:
    """A shake sideways of 20 px has the sd of an even spread of that width across upright edges only."""
    shaken = cv2.filter2D(boxes(1.0), -1, np.full((1, 21), 1 / 21, np.float32))
    found = quality_of(np.asarray(shaken))

    # up to twice: an even spread has a flat top, and slopes compared at the crest take it for a wider Gaussian
    assert found.blur_px is not None
    assert found.motion is not None
    assert 0.85 < found.blur_px / (20 / 12**0.5) < 2.0
    assert found.motion > 3


def test_noise_is_measured() -> None:
    """The sd of noise in flat places is found again."""
    rng = np.random.default_rng(5)
    noisy = np.clip(boxes(1.5) + rng.normal(0, 6, (4032, 3024, 1)), 0, 255).astype(np.uint8)

    # 15 %: rounding to codes, clipping, and the edges in the tiles
    assert quality_of(noisy).noise == pytest.approx(6.0, rel=0.15)


@pytest.mark.parametrize("sd", [0.0, 1.0, 4.0, 10.0])
def test_a_blank_picture_has_no_blur(sd: float) -> None:
    """Grey, with noise or without, as large as a phone's photo at half its size: no edge, so no number."""
    noisy = np.clip(128 + np.random.default_rng(2).normal(0, sd, (2000, 1500, 1)), 0, 255) + np.zeros(3)
    found = quality_of(noisy.astype(np.uint8), reduced=True)
    assert (found.blur_px, found.motion) == (None, None)


def test_edges_in_strong_noise_are_edges() -> None:
    """The limit for noise does not hide what stands out of it."""
    noisy = np.clip(boxes(1.5) + np.random.default_rng(3).normal(0, 15, (4032, 3024, 1)), 0, 255).astype(np.uint8)
    assert quality_of(noisy).blur_px is not None


def test_a_tiny_picture_has_a_quality() -> None:
    """One pixel is no error."""
    assert quality_of(np.zeros((1, 1, 3), np.uint8)).light == 0


def test_the_quality_of_a_jpeg_is_read_from_its_tables() -> None:
    """The usual scale of the standard's tables is found again."""
    for quality in (30, 60, 90):
        out = io.BytesIO()
        Image.new("RGB", (64, 64)).save(out, "JPEG", quality=quality)
        found = read_provenance("a", out.getvalue()).quality
        # 2: the tables are rounded to whole numbers
        assert found == pytest.approx(quality, abs=2)


def test_a_file_changed_after_it_was_taken_has_a_trace() -> None:
    """EXIF times that differ are a trace of editing, equal ones are none."""
    for changed, traces in (("2026:03:14 10:21:35", 0), ("2026:03:15 09:00:00", 1)):
        exif = Image.Exif()
        exif[0x0132] = changed
        exif.get_ifd(0x8769)[0x9003] = "2026:03:14 10:21:35"
        out = io.BytesIO()
        Image.new("RGB", (64, 64)).save(out, "JPEG", exif=exif)
        assert len(read_provenance("a", out.getvalue()).traces) == traces


def test_bytes_without_a_header_are_no_image() -> None:
    """The refusal names the file."""
    with pytest.raises(CannotMeasure, match=r"notes\.txt"):
        read_provenance("notes.txt", b"abc")
