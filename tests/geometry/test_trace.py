"""The outline found without corners: right and sure, or asked for."""

from __future__ import annotations

import dataclasses
import json
from pathlib import Path

import numpy as np
import pytest

from tests.benchmarks.outline import tried, worst_corner
from tests.geometry.alcove import Alcove, photo_of, true_corners
from vision.errors import CannotMeasure
from vision.geometry.on_its_side import outline_of
from vision.geometry.trace import Outline, require_corners, trace
from vision.photo.intake import Photo
from vision.settings import Settings

SETTINGS = Settings()
SAMPLES = Path(__file__).resolve().parent.parent.parent / "sample_images"
NEAR_PX = 5.0
"""px of a 3 megapixel photo; 10 px at 12 MP, what the tracing promises where it is sure"""


def traced(alcove: Alcove, seed: int = 1) -> tuple[Outline, float]:
    """The outline, and its worst corner in px."""
    outline = trace(photo_of(alcove, seed), 1, has_head=alcove.head, settings=SETTINGS)
    best = outline.corners_px if outline.corners_px is not None else outline.candidates[0]
    return outline, worst_corner(best, true_corners(alcove), has_head=alcove.head)


@pytest.mark.parametrize(
    "alcove",
    [
        Alcove(),
        Alcove(tub=True, height_mm=1500.0),
        Alcove(face=(80, 70, 60), side=(200, 200, 205), back=(180, 190, 200), curb=(60, 60, 60)),
        Alcove(turn_deg=(5.0, 14.0, -1.0)),
        Alcove(width_mm=1400.0),
    ],
    ids=["curb", "tub", "dark face", "from the side", "wide"],
)
def test_a_clear_outline_is_found(alcove: Alcove) -> None:
    """An alcove that differs from its wall face is found to 10 px, with confidence."""
    outline, worst = traced(alcove)
    assert outline.by == "program"
    assert outline.corners_px is not None
    assert worst < NEAR_PX


def test_without_a_head_the_walls_are_followed_out_of_the_picture() -> None:
    """An opening that runs on to the ceiling has its upper corners on the walls' edges inside the picture."""
    outline, worst = traced(Alcove(head=False))
    assert outline.corners_px is not None
    assert outline.corners_px.min() > 0
    assert worst < NEAR_PX


def test_a_curtain_rod_is_said_and_not_taken_for_the_head() -> None:
    """A rod under the head leaves the outline where it is and is a finding."""
    outline, worst = traced(Alcove(rod_mm=28.0))
    assert outline.corners_px is not None
    assert worst < NEAR_PX
    assert [f.code for f in outline.findings] == ["edge-hidden"]


def test_an_old_frame_is_not_measured_as_the_opening() -> None:
    """A frame along both walls is named and the corners are asked for."""
    outline, _ = traced(Alcove(frame_mm=30.0))
    assert outline.corners_px is None
    assert "frame" in outline.doubt


def test_an_old_frame_seen_from_beside_is_no_pair_of_side_walls() -> None:
    """A frame is as wide on both sides wherever the camera stands."""
    outline, _ = traced(Alcove(frame_mm=30.0, eye=0.38))
    assert outline.corners_px is None
    assert "frame" in outline.doubt


@pytest.mark.parametrize("deep", [180.0, 226.0])
def test_shallow_side_walls_are_no_old_frame(deep: float) -> None:
    """Two side walls of one colour, each seen as wide as the camera is beside it, are not called a frame."""
    outline, _ = traced(Alcove(deep_mm=deep, eye=0.43))
    assert "frame" not in outline.doubt


def test_what_is_not_in_the_picture_is_asked_for() -> None:
    """A bare wall and an alcove of one colour end as needs-corners, never as an outline."""
    grey = (160, 160, 160)
    bare = Photo("bare.jpg", "0", np.full((2016, 1512, 3), 160, np.uint8), 26.0)
    flat = photo_of(Alcove(face=grey, side=grey, back=grey, soffit=grey))
    for photo in (bare, flat):
        outline = trace(photo, 1, has_head=True, settings=SETTINGS)
        with pytest.raises(CannotMeasure, match="no corners") as refused:
            require_corners(outline, photo.name)
        assert refused.value.code == "needs-corners"


def test_a_curb_that_cannot_be_told_is_asked_for_with_candidates() -> None:
    """Where the curb's top and front have one colour its front edge is in doubt, and the candidates are listed."""
    outline, _ = traced(Alcove(curb_top=(150, 148, 150)))
    assert outline.corners_px is None
    assert outline.candidates
    with pytest.raises(CannotMeasure, match=r"candidates: \(1\) \d+,\d+"):
        require_corners(outline, "alcove.jpg")


def test_marked_corners_are_taken_as_they_are() -> None:
    """A person's corners are not second-guessed."""
    corners = np.array([[1.0, 9.0], [9.0, 9.0], [9.0, 1.0], [1.0, 1.0]])
    outline = outline_of(photo_of(Alcove()), 2, corners, has_head=True, settings=SETTINGS)
    assert outline.by == "person"
    assert outline.photo == 2
    assert require_corners(outline, "x") is corners


def test_the_limit_of_confidence_decides() -> None:
    """The same outline is asked for where the settings want more confidence than it has."""
    strict = dataclasses.replace(SETTINGS, trace=dataclasses.replace(SETTINGS.trace, confidence=1.0))
    outline = trace(photo_of(Alcove()), 1, has_head=True, settings=strict)
    assert outline.corners_px is None
    assert len(outline.candidates) >= 1


@pytest.mark.parametrize("name", ["room4_tub_sheet_on_tile", "room8_open_to_ceiling"])
def test_sample_photos_are_found(name: str) -> None:
    """A tub and an opening without a head are found in path-traced photos to 10 px at 12 MP."""
    path = SAMPLES / f"{name}.json"
    one = tried(path, json.loads(path.read_text()))
    assert one is not None
    assert one.verdict == "found"
