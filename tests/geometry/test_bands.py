"""A bead or joint of a third colour along an edge widens the edge's doubt; two surfaces that meet do not."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tests.geometry.painted import Edge, Line, as_jpeg, picture_of
from vision.geometry.bands import band_px
from vision.geometry.profiles import profiles
from vision.geometry.strips import take_strip

ROWS, BLUR_PX, BLOCKS, HALF_PX = 300, 1.0, 30, 12.0
PINK, GREY, DARK, GREEN = (160, 118, 128), (138, 134, 126), (60, 58, 50), (105, 160, 150)
BEAD = Edge(PINK, DARK, line=Line(1, 3.0, GREY))
"""as bright as the face and as grey as the alcove: luma changes where the bead ends, colour where it begins"""
PLAIN = {"light and dark": Edge(PINK, DARK), "equal grey": Edge((200, 120, 120), GREEN), "grey": Edge((200, 200, 200), DARK)}


def band(edge: Edge, seed: int) -> float:
    """The band seen along this edge moved by part of a pixel, through JPEG, from its true place."""
    drawn = replace(edge, at=edge.at + 0.1 * seed)
    pixels = as_jpeg(picture_of(drawn, rows=ROWS, blur_px=BLUR_PX, seed=seed))
    ends = [np.array([float(drawn.x(np.array([y]), ROWS)[0]), y]) for y in (0.0, ROWS - 1.0)]
    strip = take_strip(pixels, ends[0], ends[1], 30)
    curve = drawn.x(np.arange(strip.lines) + strip.start, ROWS)
    return band_px(profiles(strip, curve, (8, strip.lines - 8), BLOCKS, HALF_PX), np.zeros(BLOCKS), BLUR_PX)


@pytest.mark.parametrize("seed", range(4))
def test_a_bead_is_about_as_wide_as_it_was_painted(seed: int) -> None:
    """Three pixels within one: colours are stored at half the resolution."""
    assert abs(band(BEAD, seed) - 3.0) < 1.0


@pytest.mark.parametrize("edge", PLAIN.values(), ids=PLAIN.keys())
@pytest.mark.parametrize("seed", range(4))
def test_two_surfaces_that_meet_have_none(edge: Edge, seed: int) -> None:
    """Exactly nothing is added to the doubt of a plain edge."""
    assert band(edge, seed) == 0.0


@pytest.mark.parametrize("seed", range(4))
def test_a_bead_that_shows_only_where_it_lies_in_shade_is_seen_there(seed: int) -> None:
    """The grey bead of before in the lowest third, above it one of the face's own colour: the whole edge's median is silent."""
    shown, hidden = (
        as_jpeg(picture_of(edge, rows=ROWS, blur_px=BLUR_PX, seed=seed)) for edge in (BEAD, Edge(PINK, DARK, at=BEAD.at))
    )
    third = 2 * ROWS // 3
    pixels = np.concatenate([hidden[:third], shown[third:]])
    ends = [np.array([float(BEAD.x(np.array([y]), ROWS)[0]), y]) for y in (0.0, ROWS - 1.0)]
    strip = take_strip(pixels, ends[0], ends[1], 30)
    p = profiles(strip, BEAD.x(np.arange(strip.lines) + strip.start, ROWS), (8, strip.lines - 8), BLOCKS, HALF_PX)
    assert abs(band_px(p, np.zeros(BLOCKS), BLUR_PX) - 3.0) < 1.2
