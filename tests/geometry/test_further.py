"""Cards that only their size tells, beside one that is told by itself."""

from __future__ import annotations

import numpy as np
import pytest

from tests.geometry.scenery import Patch, Picture, Wall, bank_card, picture
from vision.geometry import by_shape
from vision.geometry.cards import parse_cards
from vision.geometry.look import Look, look
from vision.geometry.not_used import dropped_patches
from vision.geometry.reference_sight import Likeness
from vision.geometry.seeing import see_photo
from vision.geometry.seen import Demands, SeenPhoto
from vision.photo.intake import Photo
from vision.settings import CARD_KINDS, Settings

SETTINGS = Settings()
ID_1_MM = (85.6, 53.98)
WALL = (176, 170, 160)
WHITE, BLACK = (236, 236, 232), (30, 30, 34)
PLAIN = bank_card(-120, 1500, BLACK)
AT = (1660.0, 400.0)


def printed(at: tuple[float, float] = AT, size: tuple[float, float] = ID_1_MM) -> tuple[Patch, ...]:
    """A white card whose lower half is darker than the wall, up to its sides."""
    (x, y), (w, h) = at, size
    return Patch(at, size, WHITE, radius_mm=3.18), Patch((x, y - h / 4), (w, h / 2), BLACK, radius_mm=3.0)


def look_of(of: Picture) -> Look:
    photo = Photo("room.jpg", "0", of.pixels, of.shot.focal_35mm)
    return look(photo, (CARD_KINDS["id-1"],), np.array(of.corners_px()), (), (), number=1, has_head=True, settings=SETTINGS)


def photo_of(*patches: Patch) -> tuple[SeenPhoto, Picture]:
    of = picture(Wall(wall=WALL, patches=patches))
    demands = Demands(parse_cards(("id-1",), None, SETTINGS.cards), True, None, {}, (), 0.0)
    return see_photo(look_of(of), 1, demands, SETTINGS), of


def test_a_card_in_two_colours_is_found_beside_a_plain_one() -> None:
    """Half lighter and half darker than the wall; right to 1.5 px, as it is painted without a shadow, which a card has."""
    photo, of = photo_of(PLAIN, *printed())
    assert [c.used for c in photo.cards] == [True, True]
    off = photo.cards[1].corners_px - of.shot.to_px(Patch(AT, ID_1_MM).corners())
    assert np.abs(off).max() < 1.5


def test_cards_are_numbered_from_left_to_right_whichever_way_they_were_found() -> None:
    """The plain one, found first, stands to the right here."""
    photo, _ = photo_of(bank_card(1660, 1500, BLACK), *printed((-130.0, 400.0)))
    middles = [float(c.corners_px[:, 0].mean()) for c in photo.cards]
    assert [c.number for c in photo.cards] == [1, 2]
    assert middles == sorted(middles)


def test_without_a_card_that_is_told_by_itself_size_tells_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """No scale, no size; unless it is told by what it looks like, which is left out here."""
    monkeypatch.setattr(by_shape, "likenesses", lambda _levels, quads: [Likeness(0.02, quad) for quad in quads])
    photo, _ = photo_of(*printed())
    assert photo.cards == ()


@pytest.mark.parametrize("factor", [0.93, 1.08])
def test_what_is_of_another_size_is_no_card(factor: float) -> None:
    """Seven hundredths off are more than a first view may be."""
    photo, _ = photo_of(PLAIN, *printed(size=(ID_1_MM[0] * factor, ID_1_MM[1] * factor)))
    assert len(photo.cards) == 1


def test_what_lies_inside_the_outline_or_across_it_is_not_taken_by_its_size() -> None:
    """There is no wall face there to be stuck to."""
    width = picture(Wall(patches=())).wall.width_mm
    for x in (width / 2, width):
        photo, _ = photo_of(PLAIN, *printed((x, 900.0)))
        assert len(photo.cards) == 1


def test_a_patch_between_two_surfaces_is_no_card() -> None:
    """A band of another colour passes behind it: what is round a card is one wall."""
    band = Patch((1660.0, 400.0), (85.6, 400.0), (70, 90, 120))
    photo, _ = photo_of(PLAIN, band, *printed())
    assert len(photo.cards) == 1


def in_bands(at: tuple[float, float] = AT) -> tuple[Patch, ...]:
    """A card of four colours side by side, lighter than the wall, darker and nearly of its tone, so that on two of its sides the
    mean step is next to nothing."""
    (x, y), (w, h) = at, ID_1_MM
    colours = ((226, 222, 214), (120, 110, 104), (214, 214, 206), (126, 128, 116))
    bands = (Patch((x + (k - 1.5) * w / 4, y), (w / 4, h), colour) for k, colour in enumerate(colours))
    return (Patch(at, ID_1_MM, colours[0], radius_mm=3.18), *bands)


def test_a_card_in_bands_is_sought_piece_by_piece() -> None:
    """Each of its sides shows in its pieces, whatever their colours."""
    photo, of = photo_of(PLAIN, *in_bands())
    assert [c.used for c in photo.cards] == [True, True]
    off = photo.cards[1].corners_px - of.shot.to_px(Patch(AT, ID_1_MM).corners())
    assert np.abs(off).max() < 1.5


def with_a_stripe(from_top: float, high: float) -> tuple[Patch, ...]:
    """A card hardly lighter than the wall with a black stripe `high` mm high, `from_top` mm below its upper border."""
    (x, y), (w, h) = AT, ID_1_MM
    return Patch(AT, ID_1_MM, (200, 196, 188), radius_mm=3.18), Patch((x, y + h / 2 - from_top - high / 2), (w, high), BLACK)


def test_a_stripe_near_its_border_is_not_taken_for_the_border() -> None:
    """The stripe is clearer than the border and leads the search by size astray; made as large as it is, the card is seen."""
    photo, of = photo_of(PLAIN, *with_a_stripe(5.0, 8.0))
    assert [c.used for c in photo.cards] == [True, True]
    off = photo.cards[1].corners_px - of.shot.to_px(Patch(AT, ID_1_MM).corners())
    assert np.abs(off).max() < 1.5


def test_a_square_plate_with_a_rocker_is_no_card() -> None:
    """A light switch is as wide as a card is long, and from its upper edge to its rocker's lower one as high as a card."""
    plate, rocker = Patch(AT, (86.0, 86.0), (214, 212, 206)), Patch((AT[0], AT[1] + 1.0), (60.0, 60.0), (196, 194, 188))
    photo, _ = photo_of(PLAIN, plate, rocker)
    assert len(photo.cards) == 1


@pytest.mark.parametrize(("chance", "named"), [(0.95, 1), (0.3, 0)])
def test_what_looks_like_a_card_and_is_of_another_size_is_said(
    chance: float, named: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Eight hundredths too large beside a plain one, and of two colours: not used, and named where it looks like a card."""
    monkeypatch.setattr(by_shape, "likenesses", lambda _levels, quads: [Likeness(chance, quad) for quad in quads])
    photo, of = photo_of(PLAIN, *printed(size=(ID_1_MM[0] * 1.08, ID_1_MM[1] * 1.08)))
    assert len(photo.cards) == 1
    patches = dropped_patches([photo], SETTINGS)
    assert len(patches) == named
    for patch in patches:
        assert np.abs(patch.corners_px.mean(axis=0) - of.shot.to_px(np.array([AT]))[0]).max() < 3.0
