"""Cards found on painted walls, and told apart by their shape."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest

from tests.geometry.scenery import A4_MM, LETTER_MM, Patch, Picture, Shot, Wall, bank_card, four_cards, picture
from vision.geometry.by_shape import find_cards
from vision.geometry.camera import camera_prior
from vision.geometry.cards import CardCandidate
from vision.geometry.finder import WORKING_LONG_SIDE, find_quadrilaterals, reduced
from vision.geometry.look import Look, look
from vision.geometry.shapes import match_kind
from vision.geometry.start import view_of_rectangle
from vision.photo.intake import Photo
from vision.settings import CARD_KINDS, CardKind, Settings

SETTINGS = Settings()
KINDS = tuple(CARD_KINDS.values())
NEAR_PX = 4.0
"""what is found is rough: a pixel or two of the reduced picture"""


def seen(of: Picture, kinds: Sequence[CardKind] = KINDS) -> Look:
    photo = Photo("room.jpg", "0", of.pixels, of.shot.focal_35mm)
    corners = np.array(of.corners_px())
    return look(photo, kinds, corners, (), (), number=1, has_head=True, settings=SETTINGS)


def candidates(of: Picture) -> list[CardCandidate]:
    return [c.candidate for c in seen(of).cards]


def assert_found(of: Picture, kinds: Sequence[str]) -> None:
    """Each patch is found once, at its place, with its kind, and nothing else is."""
    found = candidates(of)
    places = {tuple(np.round(of.shot.to_px(p.corners()).mean(axis=0))): k for p, k in zip(of.wall.patches, kinds, strict=True)}
    assert len(found) == len(kinds), [(c.kind.name if c.kind else None, np.round(c.corners_px.mean(axis=0))) for c in found]
    for patch, kind in zip(of.wall.patches, kinds, strict=True):
        true = of.shot.to_px(patch.corners())
        off = [float(np.abs(c.corners_px - true).max()) for c in found]
        assert min(off) < NEAR_PX, places
        nearest = found[int(np.argmin(off))]
        assert nearest.kind is not None
        assert nearest.kind.name == kind


def test_one_sheet_beside_the_opening() -> None:
    """White paper on a painted wall."""
    assert_found(picture(Wall(patches=(Patch((1650, 900), LETTER_MM),))), ["letter"])


def test_white_paper_on_a_white_wall() -> None:
    """Twelve codes of difference are enough."""
    wall = Wall(wall=(228, 227, 224), patches=(Patch((1650, 900), LETTER_MM, (240, 240, 238)),))
    assert_found(picture(wall), ["letter"])


def test_four_bank_cards() -> None:
    """Dark, with rounded corners, one near each corner of the opening."""
    assert_found(picture(Wall(patches=four_cards())), ["id-1"] * 4)


def test_cards_of_mixed_kinds_are_told_apart() -> None:
    """A4, letter and a bank card in one picture."""
    patches = (Patch((-250, 900), A4_MM), Patch((1650, 900), LETTER_MM), bank_card(1560, 1500, (60, 60, 90)))
    assert_found(picture(Wall(patches=patches)), ["a4", "letter", "id-1"])


def test_a_turned_sheet_is_the_same_kind() -> None:
    """Lying on its side, its height runs along the bottom."""
    of = picture(Wall(patches=(Patch((1660, 900), LETTER_MM[::-1]),)))
    assert_found(of, ["letter"])
    assert candidates(of)[0].turned


def test_a_card_hung_askew_is_found() -> None:
    """Eight degrees off level."""
    assert_found(
        picture(Wall(patches=(Patch((1660, 900), LETTER_MM, turn_deg=8.0), bank_card(-110, 1400, (60, 60, 90), -8.0)))),
        ["letter", "id-1"],
    )


def test_cards_are_listed_left_to_right() -> None:
    """By centre, as they are numbered."""
    centres = [c.corners_px[:, 0].mean() for c in candidates(picture(Wall(patches=four_cards())))]
    assert centres == sorted(centres)


def test_tiles_are_not_taken_for_cards() -> None:
    """A wall of square tiles has none."""
    assert candidates(picture(Wall(tiles_mm=107.95))) == []


def test_a_card_on_tiles_is_found_among_them() -> None:
    """Joints round it do not hide a sheet."""
    wall = Wall(tiles_mm=152.4, patches=(Patch((1690, 900), LETTER_MM, (250, 250, 248)),))
    kinds = [c.kind.name for c in candidates(picture(wall)) if c.kind]
    assert "letter" in kinds


def test_only_stated_kinds_are_sought() -> None:
    """A letter sheet is nothing where bank cards alone are looked for."""
    of = picture(Wall(patches=(Patch((1650, 900), LETTER_MM),)))
    assert seen(of, [CARD_KINDS["id-1"]]).cards == ()


def test_an_empty_wall_has_no_card() -> None:
    """Nor has the opening itself."""
    assert candidates(picture(Wall())) == []


def test_what_would_make_the_opening_absurd_is_no_card() -> None:
    """A poster of A4's proportions, four times as large: the opening would be 350 mm wide or less."""
    wall = Wall(patches=(Patch((-330, 1000), (4.2 * 105.0, 4.2 * 148.5), (246, 246, 243)),))
    of = picture(wall, Shot(aim=(500.0, 960.0), distance_mm=3000.0))
    kinds = [c.kind.name for c in candidates(of) if c.kind]
    assert "id-1" not in kinds


def test_the_working_size_bounds_the_work() -> None:
    """A large picture is reduced for finding, a small one left as it is; factors go back to the photo's pixels."""
    large = np.zeros((3000, 4000, 3), dtype=np.uint8)
    small, factor = reduced(large)
    assert small.shape[:2] == (1500, 2000)  # by a whole factor where that is within a tenth of the working size
    assert factor == 2
    small, factor = reduced(np.zeros((2117, 2822, 3), dtype=np.uint8))
    assert max(small.shape[:2]) == WORKING_LONG_SIDE
    assert factor == pytest.approx(2822 / WORKING_LONG_SIDE)
    assert reduced(np.zeros((500, 400, 3), dtype=np.uint8))[1] == 1.0


def test_corners_found_on_a_reduced_picture_are_the_photos() -> None:
    """Pixel centres are kept: found on 4000 px, the corners are within two pixels of the reduced picture."""
    pixels = np.full((3000, 4000, 3), 120, dtype=np.uint8)
    pixels[1000:1800, 1500:2600] = 220
    true = np.array([(1499.5, 1799.5), (2599.5, 1799.5), (2599.5, 999.5), (1499.5, 999.5)])
    off = [float(np.abs(q - true).max()) for q in find_quadrilaterals(pixels)[0]]
    assert min(off) < NEAR_PX


def squared(width: float, height: float, skew: float = 0.0) -> np.ndarray:
    return np.array([(0, 0), (width, 0), (width + skew, height), (skew, height)], dtype=float)


@pytest.mark.parametrize(
    ("sides", "expected"),
    [
        ((85.6, 53.98), ("id-1", False)),
        ((53.98, 85.6), ("id-1", True)),
        ((210, 297), ("a4", False)),
        ((297, 210), ("a4", True)),
        ((215.9, 279.4), ("letter", False)),
        ((279.4, 215.9), ("letter", True)),
        ((214.0, 282.0), ("letter", False)),
        ((100, 100), None),
        ((100, 200), None),
    ],
)
def test_a_kind_is_known_by_its_aspect(sides: tuple[float, float], expected: tuple[str, bool] | None) -> None:
    """In any unit; a square is none of them."""
    match = match_kind(squared(*sides) / 700, KINDS, SETTINGS.cards.aspect_tolerance)
    assert (None if match is None else (match[0].name, match[1])) == expected


def test_what_has_no_right_angles_is_no_card() -> None:
    """A slanted quadrilateral of the right sides is refused, unless the corners are that rough."""
    slanted = squared(210, 297, skew=30)
    assert match_kind(slanted, KINDS, SETTINGS.cards.aspect_tolerance) is None
    assert match_kind(slanted, KINDS, SETTINGS.cards.aspect_tolerance, slack=0.1) is not None


def test_a_stated_kind_is_not_turned() -> None:
    """W is the side nearer the horizontal, as stated."""
    kind = CardKind("300x200mm", 300, 200, 0.5, 0.5, 0, 0, "stated by the user")
    assert match_kind(squared(300, 200), [kind], 0.035) == (kind, False)
    assert match_kind(squared(200, 300), [kind], 0.035) is None


def test_without_corners_cards_are_sought_square_on() -> None:
    """For listing only, and only where the picture is taken straight from the front."""
    of = picture(Wall(patches=(Patch((1650, 900), LETTER_MM),)), Shot(turn_deg=(0.0, 0.0, 0.0)))
    prior = camera_prior(*of.shot.size, 26.0, SETTINGS.camera)
    found = find_cards(of.pixels, KINDS, None, prior, SETTINGS)
    assert "letter" in [c.kind.name for c in found if c.kind]


def test_the_view_of_a_painted_wall_is_square() -> None:
    """The paint and our first view agree on what a right angle is."""
    of = picture(Wall(patches=(Patch((1650, 900), LETTER_MM),)))
    view = view_of_rectangle(np.array(of.corners_px()), camera_prior(*of.shot.size, 26.0, SETTINGS.camera), has_head=True)
    plane = view.on_plane(of.shot.to_px(of.wall.patches[0].corners()))
    sides = np.linalg.norm(np.roll(plane, -1, axis=0) - plane, axis=1)
    assert sides[0] / sides[1] == pytest.approx(215.9 / 279.4, rel=1e-9)
