"""What the photo itself says of an outline that was found in the reduced picture."""

from __future__ import annotations

import numpy as np
import pytest

from tests.geometry.alcove import Alcove, photo_of
from vision.geometry import trace as tracing
from vision.geometry.trace import TWICE_ODDS, _refined, trace
from vision.photo.intake import Photo
from vision.settings import Settings


@pytest.mark.parametrize(
    ("wide", "twice"), [(0, []), (12, ["left"]), (40, [])], ids=["none", "first course", "further than a rough corner is off"]
)
def test_a_wall_beside_which_another_line_is_as_clear_is_told(wide: int, twice: list[str]) -> None:
    """At 12 MP: the wall's edge lies a strip of another colour further out than the outline; no other edge has such a line."""
    pixels = np.empty((4032, 3024, 3), np.uint8)
    pixels[:] = 120, 120, 115
    pixels[1000:3400, 800:2200] = 200, 200, 190
    pixels[1000:3400, 800 : 800 + wide] = 60, 70, 80
    left, right, head, curb = 799.5 + wide, 2199.5, 999.5, 3399.5
    corners = np.array([(left, curb), (right, curb), (right, head), (left, head)])

    fine, found = _refined(Photo("a", "", pixels, 26.0), corners, ("left", "right", "curb", "head"), Settings())

    assert found == twice
    assert np.abs(fine - corners).max() < 2.5  # courses are told to a pixel at either end, and two of them cross


def test_an_edge_is_refined_no_further_than_it_is_searched_for() -> None:
    """At 3 MP an edge is sought 4 px round the outline: a clearer line 8 px under the curb is another one."""
    pixels = np.empty((2016, 1512, 3), np.uint8)
    pixels[:] = 120, 120, 115
    pixels[500:1700, 400:1100] = 132, 130, 124
    pixels[1708:] = 20, 20, 20
    left, right, head, curb = 399.5, 1099.5, 499.5, 1699.5
    corners = np.array([(left, curb), (right, curb), (right, head), (left, head)])

    fine, _ = _refined(Photo("a", "", pixels, 26.0), corners, ("left", "right", "curb", "head"), Settings())

    assert np.abs(fine - corners).max() < 4.5  # the search, and half a pixel of its grid


def test_a_line_as_clear_as_an_edge_takes_from_its_odds(monkeypatch: pytest.MonkeyPatch) -> None:
    """The confidence falls by the odds of such a line and the doubt names the edge."""
    photo, settings = photo_of(Alcove()), Settings()
    alone = trace(photo, 1, has_head=True, settings=settings)
    fine = alone.corners_px
    assert fine is not None
    assert alone.confidence is not None
    monkeypatch.setattr(tracing, "_refined", lambda *_: (fine, ["left"]))

    doubted = trace(photo, 1, has_head=True, settings=settings)

    assert doubted.confidence == pytest.approx(alone.confidence / (alone.confidence + TWICE_ODDS * (1 - alone.confidence)))
    assert "left wall" in doubted.doubt
