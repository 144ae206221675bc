"""A photo without metadata that lies on its side is told as one."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from vision.errors import CannotMeasure
from vision.geometry.on_its_side import LYING, found_upright
from vision.geometry.trace import require_corners
from vision.photo.intake import Photo, read_reduced
from vision.settings import Settings

SAMPLES = Path(__file__).parents[2] / "sample_images"
SETTINGS = Settings()


def photo(name: str, quarters: int) -> Photo:
    """A sample at half its size, turned to the left by so many quarters and without its metadata."""
    data = (SAMPLES / f"{name}.jpg").read_bytes()
    small = read_reduced(name, data, SETTINGS.intake, SETTINGS.screen.reduced_long_side_px).photo
    return replace(small, pixels=np.ascontiguousarray(np.rot90(small.pixels, quarters)), focal_35mm=None, down=None)


@pytest.mark.parametrize("quarters", [1, 3])
@pytest.mark.parametrize("name", ["room5_four_cards_plumb", "room9_sheet_on_back_wall"])
def test_a_photo_on_either_side_is_told_as_one(name: str, quarters: int) -> None:
    """In the doubt, and in what to do about it before corners are marked."""
    found = found_upright(photo(name, quarters), 1, has_head=True, settings=SETTINGS)
    assert found.lies
    with pytest.raises(CannotMeasure) as raised:
        require_corners(found, "a.jpg")
    assert LYING in raised.value.found
    assert raised.value.remedy.startswith("send the original file, or turn the picture upright")


@pytest.mark.parametrize("name", ["room5_four_cards_plumb", "room6_one_wall_leans", "room4_tub_sheet_on_tile"])
def test_a_photo_that_stands_upright_is_not(name: str) -> None:
    """A portrait photo, one in doubt, and a landscape one."""
    assert not found_upright(photo(name, 0), 1, has_head=True, settings=SETTINGS).lies


def test_a_photo_whose_file_knows_its_lens_is_taken_as_it_is() -> None:
    """The same metadata says how the camera was held."""
    lying = replace(photo("room5_four_cards_plumb", 1), focal_35mm=26.0)
    assert not found_upright(lying, 1, has_head=True, settings=SETTINGS).lies
