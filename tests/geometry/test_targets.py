"""Our printed frames in painted photos: found by their targets, measured on their edges, never used half hidden in silence."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image

from tests.geometry.painted import encoded, light
from tests.geometry.prints import Print
from tests.geometry.scenery import A4_MM, Patch, Picture, Shot, Wall, picture
from tests.geometry.test_finder import seen
from vision.check import CheckRequest, Report, check
from vision.errors import BadInput
from vision.geometry.cards import parse_card, parse_cards
from vision.geometry.edges import observe_edge
from vision.geometry.look import SIDE_CORNERS
from vision.geometry.seeing import see_photo
from vision.geometry.seen import Demands, SeenPhoto
from vision.settings import CARD_KINDS, Settings
from vision.settings_cards import PRINT_SCALE_SD

SETTINGS = Settings()
WIDTH, HEIGHT = 1400.0, 1950.0
HALF = Shot(size=(1980, 2640))
"""0.68 px per mm; a 12 megapixel photo from 2.4 m has 1.26"""
MEASURED = ("sheet=186x216mm+-0.3", "quarter=176x196mm+-0.3")
THREE_SD = 3.0
"""a right program fails once in 370 sizes, and these scenes are always the same"""
EDGE_PX = 0.05
"""half of the bias sd that the adjustment allows each end of an edge"""
FOUR = tuple(
    Print("quarter", number, at)
    for number, at in (
        (1, (-110.0, HEIGHT - 120)),
        (2, (WIDTH + 110, HEIGHT - 120)),
        (3, (-110.0, 120.0)),
        (4, (WIDTH + 110, 120.0)),
    )
)
SHEET = Print("sheet", 0, (WIDTH + 190, 900.0))


def checked(of: Picture, cards: tuple[str, ...] = MEASURED) -> Report:
    return check(CheckRequest((("room.jpg", of.data),), cards=cards, corners=(of.corners_px(6),)))  # type: ignore[arg-type]


def assert_sizes(report: Report, most_u_mm: float) -> None:
    """Every size within three of its sds, and the widths known this well."""
    assert report.opening is not None, report.cannot_measure
    found = report.opening.quantities
    true = {"width_top": WIDTH, "width_middle": WIDTH, "width_bottom": WIDTH, "height_left": HEIGHT, "height_right": HEIGHT}
    for name, value in true.items():
        assert abs(found.value(name) - value) < THREE_SD * found.u(name), name
    assert found.u("width_middle") < most_u_mm


def test_four_small_frames_measure_the_opening() -> None:
    """Printed a little too large, with the control lengths of the uncut page typed in, the widths come out to a few mm."""
    scale = (1.004, 1.007)
    printed = tuple(Print(p.kind, p.number, p.centre, 2.0, scale) for p in FOUR)
    report = checked(picture(Wall(prints=printed), HALF), (f"quarter={176 * scale[0]:.2f}x{196 * scale[1]:.2f}mm+-0.3",))

    assert_sizes(report, 2.8)
    assert report.opening is not None
    assert [c.kind for c in report.opening.cards] == ["quarter"] * 4


@pytest.mark.parametrize("turn_deg", [0.0, 85.0, 184.0, -93.0])
def test_the_large_frame_may_hang_any_way_up(turn_deg: float) -> None:
    """Its target says which way is up, so its sides are not mixed up."""
    report = checked(picture(Wall(prints=(Print("sheet", 0, (WIDTH + 200, 900.0), turn_deg),)), HALF))

    assert_sizes(report, 5.0)


def test_a_print_that_was_not_measured_carries_the_printers_tolerance() -> None:
    """Most of the u of a width is then the printer's, four frames from one printer sharing it."""
    report = checked(picture(Wall(prints=FOUR), HALF), ("quarter",))

    assert_sizes(report, 1.1 * PRINT_SCALE_SD * WIDTH)
    assert report.opening is not None
    budget = report.opening.quantities.budget("width_middle")
    assert budget["card size"] > 0.9 * report.opening.quantities.u("width_middle")


def test_without_any_statement_frames_and_only_frames_are_found() -> None:
    """The paper, A4 itself, and the frame's window are no cards of their own."""
    wall = Wall(prints=(SHEET,), patches=(Patch((SHEET.centre[0], SHEET.centre[1] - 28.5), A4_MM),))
    cards = [c.candidate for c in seen(picture(wall, HALF)).cards]

    assert [(c.kind.name, c.target) for c in cards if c.kind] == [("sheet", 0)]


def test_a_frame_is_nothing_where_only_other_kinds_are_stated() -> None:
    """Stated kinds are the only ones sought."""
    assert seen(picture(Wall(prints=FOUR), HALF), [CARD_KINDS["id-1"]]).cards == ()


def seen_with_frames(wall: Wall, shot: Shot, shoulder: float = 0.0) -> SeenPhoto:
    """The stored picture as far as its cards are observed; `shoulder`: light x is stored as x (1 + s) / (1 + s x)."""
    of = picture(wall, shot)
    stored = np.asarray(Image.open(io.BytesIO(of.data)).convert("RGB"))
    if shoulder:
        x = light(tuple(np.arange(256.0)))  # type: ignore[arg-type]
        stored = encoded(x * (1 + shoulder) / (1 + shoulder * x))[stored]
    demands = Demands(parse_cards([], None, SETTINGS.cards), True, None, {}, (), 0.0)
    return see_photo(seen(Picture(wall, shot, stored)), 1, demands, SETTINGS)


@pytest.mark.parametrize("size", [(1320, 1760), (1980, 2640)])
def test_edges_of_frames_are_seen_where_they_are(size: tuple[int, int]) -> None:
    """No frame looks larger or smaller than it is, also where its ring is four pixels wide."""
    printed = tuple(Print(p.kind, p.number, p.centre, turn) for p, turn in zip(FOUR, (3.0, -2.0, 1.0, 91.0), strict=True))
    shot = Shot(size=size)
    outward = []
    for card in seen_with_frames(Wall(prints=printed), shot).cards:
        true = shot.to_px(next(p for p in printed if p.number == card.look.candidate.target).frame_mm())
        for side in card.sides:
            assert side is not None
            outward.append(min((distances(side.points_px, true, k) for k in range(4)), key=abs))

    assert len(outward) == 16
    assert abs(np.mean(outward)) < EDGE_PX
    assert np.abs(outward).max() < 3 * EDGE_PX


@pytest.mark.parametrize("shoulder", [0.7, 2.0])
def test_a_phones_tones_make_no_frame_smaller(shoulder: float) -> None:
    """White grows over ink where light is stored more brightly than sRGB has it; how much, the ring's thickness tells."""
    seen_photo = seen_with_frames(Wall(prints=FOUR), HALF, shoulder)
    outward, plain = [], []
    for card in seen_photo.cards:
        true = HALF.to_px(next(p for p in FOUR if p.number == card.look.candidate.target).frame_mm())
        for k, side in enumerate(card.sides):
            assert side is not None
            outward.append(min((distances(side.points_px, true, j) for j in range(4)), key=abs))
            ends = card.look.candidate.corners_px[list(SIDE_CORNERS[k])]
            alone = observe_edge(
                (strip := card.look.strips[k]), strip.of_polyline(ends), strip.extent(*ends), scale=0.5, settings=SETTINGS.edges,
                line_sides=(), trim=(4.0, 4.0), most_px=5.0,
            )  # fmt: skip
            assert alone is not None
            plain.append(min((distances(alone.points_px, true, j) for j in range(4)), key=abs))

    assert len(outward) == 16
    assert np.mean(plain) < -2 * EDGE_PX
    assert abs(np.mean(outward)) < EDGE_PX
    assert np.abs(outward).max() < 3 * EDGE_PX


def distances(points: np.ndarray, corners: np.ndarray, k: int) -> float:
    """Mean distance of points outside side k of a quadrilateral, px."""
    a, b = corners[k], corners[(k + 1) % 4]
    normal = np.array([b[1] - a[1], a[0] - b[0]]) / np.linalg.norm(b - a)
    if normal @ (corners.mean(axis=0) - a) > 0:
        normal = -normal
    return float(((points - a) @ normal).mean())


def test_a_frame_with_a_covered_edge_is_set_aside_and_listed() -> None:
    """The others carry the sizes; it stays in the list, not used."""
    over = (Patch((-110 - 39, HEIGHT - 120), (30, 60), (170, 150, 120)),)
    report = checked(picture(Wall(prints=FOUR, covers=over), HALF))

    assert_sizes(report, 3.0)
    assert report.opening is not None
    assert [c.used for c in report.opening.cards].count(False) == 1


def test_a_lone_frame_with_a_covered_edge_is_refused() -> None:
    """With what hides it and what to do."""
    over = (Patch((SHEET.centre[0], SHEET.centre[1] - 108), (160, 50), (170, 150, 120)),)
    report = checked(picture(Wall(prints=(SHEET,), covers=over), HALF))

    assert report.cannot_measure is not None
    assert report.cannot_measure.code == "edge-hidden"
    assert "printed frame of card 1" in report.cannot_measure.found


def test_a_covered_target_is_refused_or_held() -> None:
    """A frame whose number cannot be read is no card; its white window may be taken for one, which then makes the order wait."""
    over = (Patch(SHEET.centre, (60, 60), (170, 150, 120)),)
    report = checked(picture(Wall(prints=(SHEET,), covers=over), HALF), ())

    if report.opening is None:
        assert report.cannot_measure is not None
        assert report.cannot_measure.code in ("card-missing", "tilt-two-ways")
    else:
        assert any(f.code == "card-plane" and f.holds for f in report.opening.findings)


def test_a_strip_of_tape_over_a_corner_does_no_harm() -> None:
    """A quarter of two edges is hidden; the rest is straight."""
    corner = (SHEET.centre[0] - 93, SHEET.centre[1] + 108)
    report = checked(picture(Wall(prints=(SHEET,), covers=(Patch(corner, (70, 25), (214, 205, 178), 45.0),)), HALF))

    assert_sizes(report, 6.0)


def test_control_lengths_of_the_uncut_page_become_sides() -> None:
    """176 x 196 mm on the page are 78 x 88 mm on each frame, with their share of the sd; a frame's own sides are taken too."""
    page, own = parse_card("quarter=177x197mm+-0.4", SETTINGS.cards), parse_card("quarter=78.2x88.1mm+-0.2", SETTINGS.cards)

    assert page.size_mm == pytest.approx((177 * 78 / 176, 197 * 88 / 196))
    assert page.size_sd_mm == pytest.approx(0.4 * 88 / 196)
    assert (own.size_mm, own.size_sd_mm) == ((78.2, 88.1), 0.2)


def test_other_control_lengths_are_refused() -> None:
    """With both lengths that would fit."""
    with pytest.raises(BadInput, match="176 x 196 mm"):
        parse_card("quarter=100x100mm", SETTINGS.cards)
