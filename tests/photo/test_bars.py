"""Bars of one colour beside a photo: told with their sides, and told from what a camera sees and from damage."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from vision.errors import CannotMeasure
from vision.photo.bars import Bars, bars_of, bars_seen
from vision.photo.intake import read_photo, read_reduced
from vision.settings import IntakeSettings

SAMPLES = sorted((Path(__file__).parents[2] / "sample_images").glob("*.jpg"))
SETTINGS = IntakeSettings()
SPREAD = 0.02
"""share of the side; saving spreads an edge over up to 16 rows or columns"""


def room() -> NDArray[np.uint8]:
    """A lit wall over a darker floor, with grain."""
    rng = np.random.default_rng(2)
    pixels = np.full((800, 600, 3), 190.0) + np.linspace(-40, 40, 600)[:, None]
    pixels[555:] -= 80
    pixels[554] -= 30
    return np.clip(pixels + rng.normal(0, 3, pixels.shape), 0, 255).astype(np.uint8)


def padded(sides: tuple[int, int, int, int], colour: int) -> NDArray[np.uint8]:
    top, bottom, left, right = sides
    return np.pad(room(), ((top, bottom), (left, right), (0, 0)), constant_values=colour)


def as_file(pixels: NDArray[np.uint8], kind: str = "JPEG", **options: object) -> bytes:
    out = io.BytesIO()
    Image.fromarray(pixels).save(out, kind, **options)
    return out.getvalue()


@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
@pytest.mark.parametrize("colour", [0, 40, 128, 255], ids=["black", "dark", "grey", "white"])
@pytest.mark.parametrize("sides", [(60, 60, 0, 0), (64, 96, 0, 0), (0, 0, 75, 75)], ids=["any row", "rows of blocks", "beside"])
def test_bars_are_told_with_their_sides(sides: tuple[int, int, int, int], colour: int, kind: str) -> None:
    """Of any colour, whole and at half the size, also where they end with a row of blocks as broken pictures do."""
    data = as_file(padded(sides, colour), kind)
    rows, columns = 800 + sides[0] + sides[1], 600 + sides[2] + sides[3]
    true = np.array(sides) / (rows, rows, columns, columns)
    for photo in (read_photo("a", data, SETTINGS), read_reduced("a", data, SETTINGS, 450).photo):
        bars = photo.bars
        assert np.abs(np.array((bars.top, bars.bottom, bars.left, bars.right)) - true).max() < SPREAD


def test_a_clock_on_a_bar_leaves_it_one() -> None:
    """White signs over a fifth of a black bar's width."""
    pixels = padded((60, 60, 0, 0), 0)
    pixels[20:40, 30:150] = 240
    assert bars_of(pixels).top > 0


@pytest.mark.parametrize("colour", [0, 128, 255])
def test_one_bar_alone_is_none(colour: int) -> None:
    """A drawn floor is as plain and ends as level; where damage is looked for it may be one, but for a burnt-out ceiling."""
    one = padded((60, 0, 0, 0), colour)
    assert not bars_of(one)
    assert bool(bars_of(one, pairs=False)) == (colour < 255)


def test_a_drawn_wall_over_a_drawn_floor_are_no_bars() -> None:
    """Two colours across from each other are two things."""
    drawn = padded((60, 60, 0, 0), 180)
    drawn[-60:] = 70
    assert not bars_of(drawn)


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_a_photo_has_no_bars(path: Path) -> None:
    """Not as it is, and not lit so that a fifth of it is burnt out."""
    pixels = np.asarray(Image.open(path).convert("RGB"))
    for seen in (pixels, np.clip(pixels[::2, ::2] * 1.7, 0, 255).astype(np.uint8)):
        assert not bars_of(seen)


@pytest.mark.parametrize("sides", [(0, 200), (200, 200)], ids=["floor", "walls"])
def test_what_is_even_in_a_photo_has_grain(sides: tuple[int, int]) -> None:
    """A floor or two walls of a single colour, level to a row, are no bars with half a code of noise on them."""
    rng = np.random.default_rng(3)
    even = [np.round(rng.normal(60, 0.5, (rows, 600, 3))).astype(np.uint8) for rows in sides]
    assert not bars_of(np.vstack([even[0], room()[:500], even[1]]))


def test_a_bare_or_a_tiny_picture_has_no_bars() -> None:
    """Where all is plain nothing stands beside anything."""
    assert not bars_of(np.full((400, 300, 3), 90, np.uint8))
    assert not bars_of(np.zeros((5, 4, 3), np.uint8))


def test_a_break_within_a_picture_with_bars_is_still_damage() -> None:
    """At another row than where a bar ends: not-an-image."""
    pixels = padded((64, 64, 0, 0), 0).astype(np.int16)
    pixels[320:-64] -= 60
    with pytest.raises(CannotMeasure) as raised:
        read_photo("a.jpg", as_file(np.clip(pixels, 0, 255).astype(np.uint8), quality=95), SETTINGS)
    assert (raised.value.code, "at row 320" in raised.value.found) == ("not-an-image", True)


def test_what_is_said_names_sides_and_shares() -> None:
    """And that it is a screenshot or was edited; it holds. Without bars nothing is said."""
    assert bars_seen("a.jpg", Bars()) == []
    (finding,) = bars_seen("a.jpg", Bars(top=0.07, bottom=0.071))
    assert finding.text.startswith("a.jpg has bars of one colour at the top (7%) and the bottom (7%), as in a screenshot")
    assert (finding.code, finding.holds) == ("no-metadata", True)
    assert "no screenshot" in finding.next
    assert Bars(left=0.5).words == "a bar of one colour at the left (50%)"
