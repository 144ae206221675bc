"""Verticals on painted photos, through the one door: joints, levels, the curb, gravity, and what the order makes of them."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest

from tests.geometry.scenery import Patch, Picture, Shot, picture
from tests.photo.test_gravity import note
from tests.test_check import FAR, FLAT, HEIGHT, ROOM, WIDTH, answer, codes, plumb, readings, reasons, request
from vision.check import Entry, MarkedLine, PlumbLine, TapeFacts, check

TILED = replace(ROOM, tiles_mm=150.0, plumb_x_mm=None)
LEVEL_MM, WIDE_MM, LEVEL_X = 1219.2, 50.0, 1490.0
LEVEL = Patch((LEVEL_X, 900.0), (WIDE_MM, LEVEL_MM), (200, 190, 40))
LYING = Patch((700.0, 300.0), (LEVEL_MM, WIDE_MM), (200, 190, 40))
SHARP = Shot(size=(2016, 2688))
"""half of 12 MP each way would be 2016 x 1512; a level's ends need the pixels"""
TAG_MAKER_NOTE, EXIF_IFD = 0x927C, 0x8769


def line(of: Picture, kind: str, a: tuple[float, float], b: tuple[float, float], **more: Any) -> MarkedLine:
    """A line between two places on the wall (mm), clicked four pixels off."""
    (ax, ay), (bx, by) = of.shot.to_px(np.array([a, b]))
    return MarkedLine(1, kind, ((float(ax) + 4, float(ay) - 4), (float(bx) - 4, float(by) + 4)), **more)


def joints(of: Picture) -> tuple[MarkedLine, ...]:
    """Two upright joints beside the opening and a level one above it."""
    places = (((-150, 300), (-150, 1600)), ((1500, 300), (1500, 1600)), ((100, 2100), (1300, 2100)))
    return tuple(line(of, "grout", a, b) for a, b in places)


def assert_plumb(data: dict[str, Any]) -> None:
    """Walls painted plumb and a curb painted level come out so within what is stated."""
    for side in ("left", "right"):
        wall = data["walls"][side]
        assert abs(wall["lean_mm_per_m"]) < FAR * wall["u_lean_mm_per_m"]


def test_joints_give_the_leans() -> None:
    """grout, with the leans' budget in the JSON adding up."""
    of = picture(TILED)
    data = answer(request(of, lines=joints(of)))
    assert data["walls"]["vertical"] == "grout"
    assert_plumb(data)
    for side in ("left", "right"):
        wall = data["walls"][side]
        squares = sum(v * v for v in wall["lean_budget_mm_per_m"].values())
        assert squares == pytest.approx(wall["u_lean_mm_per_m"] ** 2, abs=1e-9)
        assert 1.5 < wall["lean_budget_mm_per_m"]["vertical, grout"] < 1.7
    assert "level_budget_mm_per_m" in data["curb"]


@cache
def with_level(lying: bool, *, measured: bool) -> dict[str, Any]:
    of = picture(replace(ROOM, covers=(LYING if lying else LEVEL,), plumb_x_mm=None), SHARP)
    low, left = 900 - LEVEL_MM / 2, 700 - LEVEL_MM / 2
    ends = ((left, 325), (left + LEVEL_MM, 325)) if lying else ((1465, low + LEVEL_MM), (1465, low))
    stated = {"length_mm": LEVEL_MM, "offset_mm": 0.0, "offset_sd_mm": 0.3} if measured else {}
    return answer(request(of, lines=(line(of, "level", *ends, **stated),)))


@pytest.mark.parametrize("lying", [False, True])
@pytest.mark.parametrize("measured", [False, True])
def test_a_level_gives_the_leans(lying: bool, measured: bool) -> None:
    """Standing or lying, with or without a length; u is little over its own."""
    data = with_level(lying, measured=measured)
    assert (data["walls"]["vertical"], codes(data)) == ("level", set())
    assert_plumb(data)
    assert data["walls"]["left"]["lean_budget_mm_per_m"]["vertical, level"] == pytest.approx(1.0, rel=0.05)


@pytest.mark.parametrize("lying", [False, True])
def test_a_level_of_known_length_is_a_reference(lying: bool) -> None:
    """The sizes along it are stated better, and right."""
    plain, measured = (with_level(lying, measured=m)["sizes"] for m in (False, True))
    names = ("width_top", "width_middle", "width_bottom") if lying else ("height_left", "height_right")
    for name in names:
        true = WIDTH if lying else HEIGHT
        assert measured[name]["u_mm"] < 0.9 * plain[name]["u_mm"]
        assert abs(measured[name]["value_mm"] - true) < FAR * measured[name]["u_mm"]
        assert measured[name]["budget_mm"]["level length"] > 0


def test_a_level_whose_length_is_wrong_is_found_and_set_aside() -> None:
    """Stated 25 mm too long: cards-disagree, the sizes are those of the cards, and it stays a vertical."""
    of = picture(replace(ROOM, covers=(LYING,), plumb_x_mm=None), SHARP)
    left = 700 - LEVEL_MM / 2
    stated = {"length_mm": LEVEL_MM + 25, "length_sd_mm": 1.0, "offset_mm": 0.0, "offset_sd_mm": 0.3}
    data = answer(request(of, lines=(line(of, "level", (left, 325), (left + LEVEL_MM, 325), **stated),)))
    assert "cards-disagree" in codes(data)
    plain = with_level(True, measured=False)["sizes"]["width_middle"]
    assert data["sizes"]["width_middle"]["value_mm"] == pytest.approx(
        plain["value_mm"], abs=0.35 * plain["u_mm"]
    )  # edges were first sought by it, so sides of cards are seen up to 0.3 px elsewhere
    assert data["walls"]["vertical"] == "level"


def test_a_line_that_is_not_there_is_a_finding() -> None:
    """On plain paint there is nothing to follow: edge-hidden, and no lean."""
    of = picture(replace(ROOM, plumb_x_mm=None))
    data = answer(request(of, lines=(line(of, "grout", (1600, 500), (1600, 1500)),)))
    assert "edge-hidden" in codes(data)
    assert "vertical" not in data["walls"]


def test_the_curb_said_to_be_level_is_a_weak_vertical() -> None:
    """Leans with 3 mm/m and more, the curb's own level refused, and the walls still to be levelled."""
    data = answer(request(picture(replace(ROOM, plumb_x_mm=None)), level_curb=True, tape=readings()))
    assert data["walls"]["vertical"] == "curb"
    assert data["walls"]["left"]["u_lean_mm_per_m"] > 3.0
    assert data["not_measured"]["curb_level"]["code"] == "no-vertical"
    assert "level_mm_per_m" not in data["curb"]
    assert "level-both-walls" in reasons(data)
    assert {"lean-over-limit", "rectangle-too-narrow"} & reasons(data) == set()


def with_gravity(of: Picture, turned_mm_per_m: float = 0.0) -> bytes:
    """The file with the maker note that a phone held so would have written, this much out of true."""
    import cv2

    R = cv2.Rodrigues(np.radians(of.shot.turn_deg))[0] @ np.diag([1.0, -1.0, -1.0])
    x, y, z = -R @ np.array([turned_mm_per_m / 1000, 1.0, 0.0])
    # stored upright (orientation 1): down = (-gy, -gx, -gz)
    return of.with_tags({TAG_MAKER_NOTE: note((-y, -x, -z))})


def test_gravity_in_the_file_is_used_unasked() -> None:
    """Leans with 8 mm/m, none of which the order takes for a verdict on a wall."""
    of = picture(replace(ROOM, plumb_x_mm=None))
    data = answer(request(of, photos=(("room3.jpg", with_gravity(of)),), tape=readings()))
    assert data["walls"]["vertical"] == "gravity"
    assert_plumb(data)
    assert data["walls"]["left"]["u_lean_mm_per_m"] == pytest.approx(8.0, rel=0.05)
    assert abs(data["walls"]["left"]["lean_mm_per_m"]) < 1.0  # the vector is exact here, to its fifth digit
    assert "level-both-walls" in reasons(data)
    assert {"lean-over-limit", "rectangle-too-narrow"} & reasons(data) == set()


def test_plumb_readings_count_beside_gravity() -> None:
    """Both walls levelled by hand stand in for a photo that only knows which way is up."""
    of = picture(replace(ROOM, plumb_x_mm=None))
    levels = tuple(Entry(f"plumb_{side}", "plumb over 72 in") for side in ("left", "right"))
    tape = TapeFacts(entries=(*readings().entries, *levels))
    data = answer(request(of, photos=(("room3.jpg", with_gravity(of)),), tape=tape))
    assert "level-both-walls" not in reasons(data)


def test_a_joint_that_was_marked_as_a_plumb_line_is_asked_about() -> None:
    """no-vertical, with its number, and the order on hold; a string before the same tiles is not asked about."""
    of = picture(replace(TILED, plumb_x_mm=900.0))
    (joint, *_), string = joints(of), plumb(of)
    data = answer(request(of, plumb_lines=(string, PlumbLine(1, joint.line)), tape=readings()))
    (finding,) = (f for f in data["findings"] if f["code"] == "no-vertical")
    assert finding["text"].startswith("Plumb line 2, as followed in room3.jpg, looks like ")
    assert "no-vertical" in reasons(data)
    assert data["order"]["status"] == "hold"
    assert "no-vertical" not in codes(answer(request(of, plumb_lines=(string,))))


def test_what_was_followed_is_drawn_by_its_name() -> None:
    """Plumb line, level and joints, each where it is in the photo."""
    of = picture(replace(TILED, covers=(LYING,), plumb_x_mm=900.0), SHARP)
    left = 700 - LEVEL_MM / 2
    level = line(of, "level", (left, 325), (left + LEVEL_MM, 325))
    report = check(request(of, plumb_lines=(plumb(of),), lines=(*joints(of), level)))
    assert report.opening is not None
    drawn = report.opening.photos[0].verticals_px
    assert set(drawn) == {"plumb line 1", "joint 1", "joint 2", "joint 3", "level 1"}
    foot = of.shot.to_px(np.array([(900.0, 0.1 * HEIGHT)]))[0]
    assert np.abs(drawn["plumb line 1"][1] - foot).max() < 40  # the outermost block ends before the clicked point
    assert abs(drawn["plumb line 1"][1][0] - foot[0]) < 1.0


def test_a_plumb_line_that_gravity_contradicts_is_a_finding() -> None:
    """Three degrees between them; within a degree there is none, and each is listed with how far it is off."""
    of = picture(ROOM)
    for turned, expected in ((0.0, False), (50.0, True)):
        data = answer(request(of, photos=(("room3.jpg", with_gravity(of, turned)),), plumb_lines=(plumb(of),)))
        assert data["walls"]["vertical"] == "several"
        assert ("cue-disagrees" in codes(data)) is expected
        off = {v["name"]: v["off_mm_per_m"] for v in data["walls"]["verticals"]}
        assert off["gravity of photo 1"] == pytest.approx(turned, abs=3.0)


def test_a_door_line_is_told_with_what_it_costs() -> None:
    """60 mm behind the wall face: the same widths, more doubt, lines of its own in the budget, and the side walls unseen."""
    of = picture(ROOM)
    plain, behind = (answer(request(of, cards=FLAT, door_line_mm=d)) for d in (None, (60.0, None)))
    assert plain["door_line"] == {}
    assert behind["door_line"]["depth_mm"] == 60.0
    assert behind["door_line"]["left"] == {"flare_mm_per_m": 0.0, "u_flare_mm_per_m": pytest.approx(10.0), "seen": False}
    for name, size in behind["sizes"].items():
        assert size["value_mm"] == pytest.approx(plain["sizes"][name]["value_mm"], abs=1e-6)
        assert size["u_mm"] > plain["sizes"][name]["u_mm"]
        assert sum(v * v for v in size["budget_mm"].values()) == pytest.approx(size["u_mm"] ** 2, abs=1e-9)
    assert behind["sizes"]["width_middle"]["budget_mm"]["side walls"] == pytest.approx(0.6 * 2**0.5, rel=1e-6)
