"""Cards that the picture's border cuts: found, named, and never measured by."""

from __future__ import annotations

import numpy as np
import pytest

from tests.geometry.prints import Print
from tests.geometry.scenery import A4_MM, LETTER_MM, Patch, Picture, Shot, Wall, picture
from tests.geometry.test_finder import KINDS, candidates, seen
from vision.check import CardCorners, CheckRequest, Report, check
from vision.geometry.cut import LEAST_SEEN, beyond, border_sides, cut_cards
from vision.settings import CARD_KINDS

WHOLE = Patch((1650, 900), LETTER_MM)
CUT = {"left": (-600.0, 900.0), "right": (2040.0, 500.0), "bottom": (400.0, -800.0), "top": (400.0, 2700.0)}
"""middles of letter sheets that run out of the picture on that side"""
HALF = Shot(size=(1980, 2640))


def checked(of: Picture, cards: tuple[str, ...] = ("a4", "letter")) -> Report:
    return check(CheckRequest((("room.jpg", of.data),), cards=cards, corners=(of.corners_px(6),)))  # type: ignore[arg-type]


@pytest.mark.parametrize("turn_deg", [0.0, 6.0])
@pytest.mark.parametrize("border", CUT)
def test_a_sheet_cut_by_a_border_is_found_beside_a_whole_one(border: str, turn_deg: float) -> None:
    """Its border is named, its kind too where its whole side tells, and it is no card of the photo."""
    of = picture(Wall(patches=(WHOLE, Patch(CUT[border], LETTER_MM, turn_deg=turn_deg))))
    cut = seen(of).cut
    assert [c.border for c in cut] == [border]
    assert "letter" in cut[0].kind
    assert len(candidates(of)) == 1


IN_CORNER = {("left", "bottom"): (-650.0, -800.0), ("right", "top"): (2060.0, 2720.0)}
"""middles of letter sheets that run out of the picture over a corner of it"""


def over_corner(borders: tuple[str, str], turn_deg: float = 0.0, sides: tuple[float, float] = LETTER_MM) -> Patch:
    return Patch(IN_CORNER[borders], sides, turn_deg=turn_deg)


@pytest.mark.parametrize("turn_deg", [0.0, 5.0])
@pytest.mark.parametrize("borders", IN_CORNER)
def test_a_sheet_cut_by_a_corner_of_the_picture_is_found_beside_a_whole_one(borders: tuple[str, str], turn_deg: float) -> None:
    """No side of it is whole: both borders are named, and it is no card of the photo."""
    of = picture(Wall(patches=(WHOLE, over_corner(borders, turn_deg))))
    inside = of.shot.to_px(over_corner(borders, turn_deg).corners())
    w, h = of.shot.size
    assert sum(0 < x < w and 0 < y < h for x, y in inside) == 1, "one corner of the sheet is in the picture"
    cut = seen(of).cut
    assert [set(c.border.split(" and ")) for c in cut] == [set(borders)]
    assert "letter" in cut[0].kind
    assert len(candidates(of)) == 1


def test_a_sheet_over_the_corner_is_said_and_alone_it_is_a_refusal() -> None:
    """Beside a whole one a finding that holds nothing; alone card-cut with what to do."""
    both = checked(picture(Wall(patches=(WHOLE, over_corner(("left", "bottom"))))))
    assert both.opening is not None
    said = [f for f in both.opening.findings if f.code == "card-cut"]
    assert [(f.holds, "borders of the picture" in f.text) for f in said] == [(False, True)]
    alone = checked(picture(Wall(patches=(over_corner(("left", "bottom")),)))).cannot_measure
    assert alone is not None
    assert (alone.code, "step back" in alone.remedy) == ("card-cut", True)


def test_what_is_larger_than_any_card_in_the_corner_is_none() -> None:
    """A cabinet: two straight sides at right angles, but half a metre of it is seen."""
    x, y = IN_CORNER[("left", "bottom")]
    of = picture(Wall(patches=(WHOLE, Patch((x - 142, y - 110), (900.0, 900.0)))))
    assert seen(of).cut == ()


def test_tiles_in_the_corner_are_no_cards() -> None:
    """A tile cut by two borders differs from its joints, not from the wall: there is one in every corner here."""
    of = picture(Wall(patches=(WHOLE,), tiles_mm=230.0))
    assert seen(of).cut == ()


def test_the_whole_sheet_measures_and_the_cut_one_is_said() -> None:
    """card-cut is a finding that holds nothing, and the sizes are those of the photo without it, within their uncertainty."""
    both, alone = (checked(picture(Wall(patches=p))) for p in ((WHOLE, Patch(CUT["left"], LETTER_MM)), (WHOLE,)))
    assert both.opening is not None
    assert alone.opening is not None
    said = [f for f in both.opening.findings if f.code == "card-cut"]
    assert [f.holds for f in said] == [False]
    assert "left border" in said[0].text
    width, other = (r.opening.quantities.value("width_middle") for r in (both, alone) if r.opening)
    assert abs(width - other) < both.opening.quantities.u("width_middle")


def test_a_photo_whose_only_sheet_is_cut_is_refused() -> None:
    """card-cut, with what to do."""
    problem = checked(picture(Wall(patches=(Patch(CUT["right"], LETTER_MM),)))).cannot_measure
    assert problem is not None
    assert problem.code == "card-cut"
    assert "step back" in problem.remedy


def test_an_a4_sheet_cut_to_the_shape_of_letter_is_not_taken_for_letter() -> None:
    """Of its 297 mm 271 are in the picture: with 210 that is Letter's aspect to a thousandth."""
    of = picture(Wall(patches=(WHOLE, Patch((400.0, -741.0), A4_MM))))
    inside = of.shot.to_px(Patch((400.0, -741.0), A4_MM).corners())
    share = (of.pixels.shape[0] - inside[:, 1].min()) / np.ptp(inside[:, 1])
    assert share == pytest.approx(210 * LETTER_MM[1] / LETTER_MM[0] / 297, abs=0.02)
    assert len(candidates(of)) == 1
    assert [c.border for c in seen(of).cut] == ["bottom"]


def test_a_marked_card_beyond_the_border_is_refused() -> None:
    """Corners that a person marks outside the picture: card-cut, with the border."""
    of = picture(Wall(patches=(WHOLE,)))
    corners = tuple((float(x), float(y)) for x, y in of.shot.to_px(Patch(CUT["left"], LETTER_MM).corners()))
    marked = CardCorners(1, "letter", corners)  # type: ignore[arg-type]
    request = CheckRequest((("room.jpg", of.data),), cards=("letter",), corners=(of.corners_px(),), card_corners=(marked,))
    problem = check(request).cannot_measure
    assert problem is not None
    assert (problem.code, "left border" in problem.found) == ("card-cut", True)


def test_a_printed_frame_cut_by_the_border_is_named_and_the_others_carry_on() -> None:
    """Its target is inside, its frame's edge is not."""
    others = (Print("quarter", 2, (1510.0, 1830.0)), Print("quarter", 3, (-110.0, 120.0)))
    of = picture(Wall(prints=(Print("sheet", 0, (-555.0, 900.0)), *others)), HALF)
    report = checked(of, ("sheet", "quarter=176x196mm+-0.3"))
    assert report.opening is not None
    assert "card-cut" in {f.code for f in report.opening.findings}
    assert sum(c.used for c in report.opening.cards) == 2


def test_tiles_cut_by_the_border_are_no_cards() -> None:
    """Tiles of nearly A4's height all round: they differ from their joints, not from what surrounds them."""
    of = picture(Wall(patches=(WHOLE,), tiles_mm=300.0))
    assert seen(of).cut == ()


def test_patches_in_a_row_along_a_border_are_tiles() -> None:
    """Three letter-sized ones one above the other are no cards; two that are a metre apart are."""
    x, y = CUT["left"]
    near = [Patch((x, y + k * (LETTER_MM[1] + 8)), LETTER_MM) for k in (-1, 0, 1)]
    far = [Patch((x, y + k * 600), LETTER_MM) for k in (-1, 1)]
    assert seen(picture(Wall(patches=(WHOLE, *near)))).cut == ()
    assert [c.border for c in seen(picture(Wall(patches=(WHOLE, *far)))).cut] == ["left", "left"]


def drawn(borders: tuple[str, ...], lines: str, size: tuple[int, int] = (700, 600)) -> tuple[np.ndarray, np.ndarray]:
    """A bright patch of 208 px at the left border, or over the lower left corner, on a grey wall, with dark lines along its
    sides, which end at its corners (rim) or go on (joints; row: only those along the course); and its corners."""
    high, wide = size
    low = high - 1 if "bottom" in borders else 400
    quad = np.array([(0.0, low), (150.0, low), (150.0, low - 208.0), (0.0, low - 208.0)])
    pixels = np.full((high, wide, 3), 120, np.uint8)
    x, top, bottom = 150, low - 208, low
    pixels[top : bottom + 1, : x + 1] = 230
    across, up = (slice(0, x + 3) if lines == "rim" else slice(0, wide)), slice(max(top - 3, 0), bottom + 3)
    for y in (top, bottom):
        pixels[max(y - 2, 0) : y + 3, across] = 40
    pixels[up if lines != "joints" else slice(0, high), x - 2 : x + 3] = 40
    return pixels, quad


@pytest.mark.parametrize("borders", [("left",), ("left", "bottom")])
@pytest.mark.parametrize(("lines", "found"), [("rim", 1), ("joints", 0), ("row", 0)])
def test_a_patch_whose_lines_go_on_beyond_its_corners_is_a_tile(borders: tuple[str, ...], lines: str, found: int) -> None:
    """Joints of a grid, or of courses in a bond, go on beyond a tile's corners; a card's rim ends there."""
    pixels, quad = drawn(borders, lines)
    along = border_sides(quad[None], pixels.shape[1], pixels.shape[0], 3.0)
    letter = CARD_KINDS["letter"]

    def fits(scale: float, tolerance: float) -> bool:
        return abs(scale * 208 / letter.width_mm - 1) < tolerance

    cut = cut_cards(pixels, (quad[None], (quad * (1, -1))[None], along), [letter], fits, 0.03)
    assert [set(c.border.split(" and ")) for c in cut] == [set(borders)] * found


def test_patches_beside_each_other_at_a_corner_of_the_picture_are_tiles() -> None:
    """One over the corner and one right above it: nobody hangs two cards so close, whatever is seen of either."""
    pixels, quad = drawn(("left", "bottom"), "rim")
    above = quad - (0, 220)
    pixels[260:475, :151] = pixels[485:700, :151]
    both = np.stack([quad, above])
    along = border_sides(both, pixels.shape[1], pixels.shape[0], 3.0)

    def fits(scale: float, tolerance: float) -> bool:
        return abs(scale * 208 / 215.9 - 1) < tolerance

    assert cut_cards(pixels, (both, both * (1, -1), along), [CARD_KINDS["letter"]], fits, 0.03) == []


@pytest.mark.parametrize(("tiles", "found"), [(0, 1), (2, 1), (3, 0)])
def test_beside_many_tiles_of_its_size_a_patch_at_the_border_is_one_more(tiles: int, found: int) -> None:
    """Of three tiles the joints go on; then a patch whose joints cannot be seen is no card either, wherever it is."""
    (joined, quad), (alone, _) = drawn(("left",), "joints"), drawn(("left",), "rim")
    pixels = np.vstack([alone, *[joined] * tiles])
    quads = np.stack([quad + np.array([0.0, k * joined.shape[0]]) for k in range(tiles + 1)])
    along = border_sides(quads, pixels.shape[1], 100_000, 3.0)
    letter = CARD_KINDS["letter"]

    def fits(scale: float, tolerance: float) -> bool:
        return abs(scale * 208 / letter.width_mm - 1) < tolerance

    cut = cut_cards(pixels, (quads, quads * (1, -1), along), [letter], fits, 0.03)
    assert [float(c.corners_px[:, 1].mean()) for c in cut] == [float(quad[:, 1].mean())] * found


def test_of_a_card_nearly_outside_nothing_is_said() -> None:
    """Under a quarter of a side nobody can tell what it is; a corner just inside is inside."""
    quad = np.array([(0.0, 300.0), (40.0, 300.0), (40.0, 92.0), (0.0, 92.0)])
    plane = quad * (1, -1)
    along = np.zeros((1, 4, 4), dtype=bool)
    along[0, 3, 0] = True
    pixels = np.full((400, 400, 3), 90, np.uint8)
    pixels[92:301, :41] = 230
    letter = CARD_KINDS["letter"]

    def fits(scale: float, tolerance: float) -> bool:
        return abs(scale * 208 / letter.width_mm - 1) < tolerance

    assert cut_cards(pixels, (quad[None], plane[None], along), KINDS, fits, 0.03) == []
    assert 40 * letter.width_mm / 208 < LEAST_SEEN * letter.height_mm
    assert beyond(quad + 100, 500, 500) is None
