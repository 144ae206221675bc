"""Candidate outlines of lines and of what networks see, and how all clues of them are weighed."""

from __future__ import annotations

import json
import math
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from tests.geometry.test_trace_plane import CURB, HEAD, LEFT, RIGHT, Colour, box, quad_of, view_with
from vision.geometry.arris_sight import reduced
from vision.geometry.camera import camera_prior
from vision.geometry.corner_sight import Corners
from vision.geometry.outline_sight import Drawn, drawn
from vision.geometry.trace_beside import beside, with_beside
from vision.geometry.trace_choice import SAME_PX, Choice, Sights, agreed, alike, candidates, chosen, of_lines
from vision.geometry.trace_frame import squared
from vision.geometry.trace_lines import Line, View, view_of
from vision.geometry.trace_proposals import from_corners, from_edges
from vision.geometry.trace_quads import Quad, outlined, with_edge
from vision.geometry.trace_sight import Edges
from vision.geometry.trace_weights import OUTLINE
from vision.photo.intake import read_photo
from vision.settings import Settings

Array = NDArray[np.float64]
SAMPLE = Path(__file__).resolve().parents[2] / "sample_images" / "room5_four_cards_plumb.jpg"
TRIM: Colour = (110, 140, 70)
WIDE = 4
"""px of the small picture; a trim of 16 px at 12 MP"""


def trimmed() -> View:
    """The opening with a trim on the face beside both walls and above the head; it stands on nothing."""
    trim = ([(LEFT - WIDE, CURB), (LEFT, CURB), (LEFT, HEAD), (LEFT - WIDE, HEAD - WIDE)], TRIM)
    other = ([(RIGHT + WIDE, CURB), (RIGHT, CURB), (RIGHT, HEAD), (RIGHT + WIDE, HEAD - WIDE)], TRIM)
    return view_with(trim, other, (box(LEFT - WIDE, HEAD - WIDE, RIGHT + WIDE, HEAD), TRIM))


def moved(quad: Quad, by: float) -> Quad:
    """The outline with walls and head so many px further out."""
    quad = with_edge(with_edge(quad, "left", Line(quad.left.at - by, 0.0)), "right", Line(quad.right.at + by, 0.0))
    return with_edge(quad, "head", Line(quad.head[0].line.at - by, 0.0))


@pytest.fixture(scope="module")
def sights() -> Sights:
    """A sample, turned."""
    photo = read_photo("sample", SAMPLE.read_bytes(), Settings().intake)
    prior = camera_prior(photo.width, photo.height, photo.focal_35mm, Settings().camera)
    square = squared(photo.pixels, prior)
    assert square is not None
    scale = math.hypot(photo.width, photo.height) / Settings().camera.reference_diagonal_px
    return Sights(square, reduced(photo.pixels, prior, scale), has_head=True)


@pytest.fixture(scope="module")
def true(sights: Sights) -> Array:
    """Its opening's true corners, px of the turned picture."""
    return sights.square.from_photo(np.array(json.loads(SAMPLE.with_suffix(".json").read_text())["opening"]["corners_px"]))


def nearest(outlines: Array, true: Array) -> float:
    """Worst corner of the nearest of some outlines, px of the small picture."""
    return float(np.linalg.norm(outlines - true, axis=2).max(axis=1).min())


def test_both_borders_of_a_trim_are_put_up_all_round() -> None:
    """From a trim's outer border the candidates hold the inner one on all three sides at once, and the other way round."""
    view = trimmed()
    inner = quad_of(view)
    outer = moved(inner, WIDE)

    for start, end in ((outer, inner), (inner, outer)):
        found = with_beside(view, [start], 1)
        assert min(np.abs(one.corners(view) - end.corners(view)).max() for one in found) < 1.0


def test_lines_beside_an_edge_are_told_with_their_side() -> None:
    """The trim's outer border lies outside of the walls."""
    view = trimmed()

    lines = beside(view, quad_of(view))

    for name in ("left", "right"):
        assert [one.inward for one in lines[name] if one.inward < 0] == pytest.approx([-WIDE], abs=1.0)


def test_lines_through_corners_cross_there_again() -> None:
    """An outline of which only the corners are known, with and without a head."""
    view = trimmed()
    corners = np.array([(60.0, 171.0), (201.0, 168.0), (199.0, 42.0), (57.0, 40.0)])

    assert outlined(view, corners, has_head=True).corners(view) == pytest.approx(corners)
    assert outlined(view, corners, has_head=False).corners(view)[:2] == pytest.approx(corners[:2])
    assert not outlined(view, corners, has_head=False).head


def test_lines_corners_and_edges_each_put_up_the_sample_s_outline(sights: Sights, true: Array) -> None:
    """Each way of proposing finds it by itself; the coarse drawing alone is not as near as what comes of it."""
    of, corners = drawn(sights.square, has_head=True), Corners(sights.square)
    by_corners = from_corners(of, corners)
    by_edges = from_edges(sights.square, true[None] + 4.0, Edges(sights.picture), has_head=True)

    assert nearest(of_lines(view_of(sights.square), has_head=True), true) < SAME_PX
    assert nearest(by_corners[1:], true) < SAME_PX
    assert nearest(by_edges, true) < SAME_PX
    assert nearest(by_corners[:1], true) < 10.0


def test_every_clue_has_its_weight_and_no_weight_is_left_over(sights: Sights, true: Array) -> None:
    """The names in the table of weights are the clues and the constant; all are finite, with and without a head."""
    for has_head in (True, False):
        corners, clues = candidates(Sights(sights.square, sights.picture, has_head), true[None])

        assert set(OUTLINE) == {*clues, ""}
        assert {len(c) for c in clues.values()} == {len(corners)}
        assert all(np.isfinite(c).all() for c in clues.values())
    assert len({len(models) for models in OUTLINE.values()}) == 1


def test_without_lines_of_its_own_the_sample_s_outline_is_the_likeliest(sights: Sights, true: Array) -> None:
    """What networks propose is enough here; shares of all candidates and of none are one."""
    choices, none = chosen(*candidates(sights, np.zeros((0, 4, 2))), OUTLINE)

    assert sum(c.share for c in choices) + none == pytest.approx(1.0)
    assert np.linalg.norm(choices[0].corners - true, axis=1).max() < SAME_PX
    assert alike(choices)[0]


def test_what_is_drawn_the_wrong_way_round_is_no_candidate(sights: Sights, monkeypatch: pytest.MonkeyPatch) -> None:
    """Corners are drawn each by itself; where they are no outline, and no lines are seen, there is nothing to choose from."""
    monkeypatch.setattr(Drawn, "outline", lambda _: np.full((4, 2), 50.0))
    monkeypatch.setattr(Corners, "places", lambda *_: [])

    corners, clues = candidates(sights, np.zeros((0, 4, 2)))

    assert corners.shape == (0, 4, 2)
    assert clues == {}


def test_the_confidence_is_what_every_model_gives_the_outline_and_what_is_alike() -> None:
    """Of three models the second thinks of another outline: its share decides."""
    right = quad_of(trimmed()).corners(trimmed())
    shares = ((0.6, 0.2, 0.5), (0.3, 0.1, 0.4), (0.1, 0.6, 0.1))
    choices = [Choice(right + by, np.array(s)) for by, s in zip((0.0, 0.5, 30.0), shares, strict=True)]

    assert choices[0].share == pytest.approx(1.3 / 3)
    assert alike(choices) == [True, True, False]
    assert agreed(choices) == pytest.approx(0.3)
