"""Corners that are stated to be good to a few pixels: a trim beside the opening's edge is told from it, or nothing is said."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from tests.geometry.painted import Edge, Line, as_jpeg, picture_of
from tests.geometry.scenery import Colour, Patch, Picture, Shot, Wall, four_cards, picture
from vision.check import CheckRequest, check, to_json
from vision.geometry.camera import camera_prior
from vision.geometry.edges import EdgePoints
from vision.geometry.look import Look, look
from vision.geometry.observe import observe_outline
from vision.geometry.reach import asked_of_corners_px, corner_reach_px, usual_reach_px
from vision.geometry.rivals import remedy_for
from vision.geometry.rough_outline import outline_strips, rough_outline
from vision.photo.intake import read_photo
from vision.settings import CARD_KINDS, Settings

Array = NDArray[np.float64]
SETTINGS = Settings()
WIDTH, HEIGHT, TRIM_MM, WITHIN_PX = 1400.0, 1950.0, 12.0, 3.0
SHOT = Shot(size=(2268, 3024))
"""a trim of 12 mm is 10.2 px wide in it"""
SIDEWAYS = np.array([(1, 0), (-1, 0), (-1, 1), (1, 1)])
"""from each corner of the outer border toward the same one of the inner border, px"""
BORDERS = {"inner": (0.0, -1), "outer": (TRIM_MM, 1)}
"""how far (mm) each lies outside the opening, and which way (along SIDEWAYS) the other one lies"""
ENDS = {"left": (0, 3), "right": (1, 2), "curb": (0, 1), "head": (3, 2)}
TRIMS: dict[str, tuple[Colour, Colour, Colour]] = {
    "between": ((196, 192, 182), (92, 98, 104), (140, 145, 145)),
    "brown": ((196, 192, 182), (92, 98, 104), (150, 120, 90)),
    "white": ((196, 192, 182), (92, 98, 104), (235, 235, 232)),
    "dark on white": ((196, 192, 182), (180, 170, 165), (120, 118, 110)),
}
ROWS, COLUMNS, AT = 900, 240, 100.0


@cache
def trimmed() -> Picture:
    """An opening with a trim left, right and above, as clear against the wall as against the inside."""
    t, colour = TRIM_MM, TRIMS["between"][2]
    left = Patch((-t / 2, (HEIGHT + t) / 2), (t, HEIGHT + t), colour)
    right = replace(left, centre=(WIDTH + t / 2, (HEIGHT + t) / 2))
    above = Patch((WIDTH / 2, HEIGHT + t / 2), (WIDTH + 2 * t, t), colour)
    return picture(Wall(WIDTH, HEIGHT, patches=(left, right, above, *four_cards(WIDTH, HEIGHT))), SHOT)


def border_px(name: str) -> Array:
    out = BORDERS[name][0]
    return SHOT.to_px(np.array([(-out, 0), (WIDTH + out, 0), (WIDTH + out, HEIGHT + out), (-out, HEIGHT + out)]))


def marked(name: str, off_px: float = 2.8) -> Array:
    """Corners of this border, each so far off toward the other one."""
    return border_px(name) + off_px * BORDERS[name][1] * SIDEWAYS


def looked(corners: Array, within: float | None) -> Look:
    photo = read_photo("trim.jpg", trimmed().data, SETTINGS.intake)
    kinds = (CARD_KINDS["id-1"],)
    return look(photo, kinds, corners, (), (), number=1, has_head=True, settings=SETTINGS, corners_within_px=within)


@pytest.mark.parametrize("border", BORDERS)
def test_a_trim_is_refused_and_told_apart_where_the_corners_are_stated_to_be_good(border: str) -> None:
    """From the same marks: two lines as clear along three edges, and with 3 px stated each edge of the marked border to 1 px."""
    _, rivals = rough_outline(looked(marked(border), None).marks, SETTINGS.edges)
    assert set(rivals) == {"left", "right", "head"}
    seen = looked(marked(border), WITHIN_PX)
    curves, rivals = rough_outline(seen.marks, SETTINGS.edges)
    assert not rivals
    for name, ends in ENDS.items():
        points = observe_outline(seen, name, *curves[name], SETTINGS.edges)
        assert points is not None
        a, b = border_px(border)[list(ends)]
        normal = np.array([a[1] - b[1], b[0] - a[0]]) / np.linalg.norm(b - a)
        assert float(np.abs((points.points_px - a) @ normal).max()) < 1.0, name


def answer(corners: Array, within: float | None) -> dict[str, Any]:
    four = tuple((float(x), float(y)) for x, y in corners)
    return to_json(
        check(CheckRequest((("trim.jpg", trimmed().data),), cards=("id-1@0+-0.3",), corners=(four,), corners_within_px=within))  # type: ignore[arg-type]
    )


def test_a_check_says_to_how_many_pixels_and_then_measures_better() -> None:
    """Without a statement it takes a place between, doubts it and asks for 2 or 3 px; with it the marked border is measured."""
    unsure = answer(marked("outer"), None)
    asked = [f["next"] for f in unsure["notes"] if f["code"] == "edge-hidden"]
    assert len(asked) == 3
    ways = [f"{px} pixels, and state that they are good to {px} pixels (corners-within)" for px in (2, 3)]
    assert all(any(way in text for way in ways) for text in asked)
    sure = answer(marked("outer"), WITHIN_PX)
    assert not [f for f in sure["findings"] + sure["notes"] if f["code"] == "edge-hidden"]
    size, before = (a["sizes"]["width_middle"] for a in (sure, unsure))
    assert abs(size["value_mm"] - (WIDTH + 2 * TRIM_MM)) < min(3 * size["u_mm"], TRIM_MM)
    assert size["u_mm"] < 0.7 * before["u_mm"]


# --- one edge of a 12 megapixel photo


def one_edge(pixels: NDArray[np.uint8], marks: tuple[float, float], within: float | None) -> Look:
    """A look at the left edge between two marks (x at the foot and at the top)."""
    corners = np.array([(marks[0], ROWS - 40.0), (marks[0] + 500, ROWS - 40.0), (marks[1] + 500, 40.0), (marks[1], 40.0)])
    prior = camera_prior(3024, 4032, 26.0, SETTINGS.camera)
    wider = corner_reach_px(1.0, within, SETTINGS.edges) - usual_reach_px(1.0, SETTINGS.edges)
    strips = outline_strips(pixels, corners, 40 + max(int(np.ceil(wider)), 0), has_head=True)
    return Look(1, "edge.jpg", 3024, 4032, 1.0, prior, corners, {"left": strips["left"]}, (), (), corners_within_px=within)


def seen_edge(seen: Look) -> EdgePoints | None:
    assert seen.corners_px is not None
    curves, _ = rough_outline(seen.marks, SETTINGS.edges)
    return observe_outline(seen, "left", *curves["left"], SETTINGS.edges) if "left" in curves else None


@pytest.mark.parametrize("border", [0.0, 10.0], ids=["outer", "inner"])
@pytest.mark.parametrize("name", TRIMS)
def test_either_border_of_a_trim_is_measured_right_from_marks_within_what_is_stated(name: str, border: float) -> None:
    """A trim 10 px wide, 3 px stated: from marks 2 px off the marked border to a pixel, from 2.8 px that border or nothing."""
    wall, inside, colour = TRIMS[name]
    pixels = as_jpeg(picture_of(Edge(wall, inside, AT, line=Line(1, 10.0, colour)), rows=ROWS, columns=COLUMNS))
    for a, b in ((1, 1), (-1, -1), (1, -1), (0, 0)):
        near, far = (seen_edge(one_edge(pixels, (AT + border + px * a, AT + border + px * b), WITHIN_PX)) for px in (2.0, 2.8))
        assert near is not None
        for points in (near, far):
            assert points is None or float(np.abs(points.points_px[:, 0] - AT - border).max()) < 1.0, (a, b)


@pytest.mark.parametrize("off", [9.0, -9.0])
def test_an_edge_further_off_than_is_stated_is_not_taken(off: float) -> None:
    """Marks 9 px beside a lone clear edge, said to be good to 3: nothing there; without the statement it is found."""
    pixels = as_jpeg(picture_of(Edge(*TRIMS["between"][:2], AT), rows=ROWS, columns=COLUMNS))
    assert seen_edge(one_edge(pixels, (AT + off, AT + off), WITHIN_PX)) is None
    assert seen_edge(one_edge(pixels, (AT + off, AT + off), None)) is not None


@pytest.mark.parametrize("off", [36.0, -36.0])
def test_corners_that_are_further_off_than_usual_may_be_stated_too(off: float) -> None:
    """Marks 36 px beside a lone edge: found where 40 px are stated, and only then."""
    pixels = as_jpeg(picture_of(Edge(*TRIMS["between"][:2], AT), rows=ROWS, columns=COLUMNS))
    points = seen_edge(one_edge(pixels, (AT + off, AT + off), 40.0))
    assert points is not None
    assert float(np.abs(points.points_px[:, 0] - AT).max()) < 1.0
    assert seen_edge(one_edge(pixels, (AT + off, AT + off), None)) is None


def test_strips_are_as_wide_as_the_corners_are_off() -> None:
    """40 px stated, 48 sought: strips wider by the 34.5 px more; what is stated to be better keeps the usual strip."""
    wide, usual, close = (looked(border_px("outer"), within).outline["left"].pixels.shape[1] for within in (40.0, None, 1.0))
    assert wide - usual == 2 * 35
    assert close == usual


def test_the_pixels_asked_for_depend_on_how_near_the_other_line_is() -> None:
    """Lines 30 px apart: 4 pixels are asked for; 8 px apart 2, and never less than 1."""
    assert [asked_of_corners_px(far) for far in ([30.0], [30.0, 8.0], [2.0])] == [4, 2, 1]
    assert "to 1 pixel, and state that they are good to 1 pixel (corners-within)" in remedy_for([4.0])


def test_too_few_pixels_are_named_as_what_may_hide_an_edge() -> None:
    """Corners ten pixels off that are said to be good to two: the first thing to do is to state more."""
    of = picture(Wall(WIDTH, HEIGHT, patches=four_cards(WIDTH, HEIGHT)), SHOT)
    off = np.array(of.corners_px()) + 12.0
    corners = tuple((float(x), float(y)) for x, y in off)
    asked = CheckRequest(photos=(("a.jpg", of.data),), corners=(corners,), corners_within_px=1.0)  # type: ignore[arg-type]
    problem = to_json(check(asked))["cannot_measure"]
    assert (problem["code"], "within 1 pixels of its corners" in problem["found"]) == ("edge-hidden", True)
    assert problem["remedy"].startswith("state more pixels for how well the corners are marked (corners-within)")
