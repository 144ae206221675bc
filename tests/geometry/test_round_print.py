"""A sheet and what is printed on it: the sheet's border counts, also where it is the fainter one."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tests.geometry.scenery import LETTER_MM, Patch, Picture, Shot, Wall, picture
from tests.geometry.test_further import SETTINGS
from vision.geometry.cards import parse_cards
from vision.geometry.look import look
from vision.geometry.outer import sheets_round
from vision.geometry.seeing import see_photo
from vision.geometry.seen import Demands, SeenPhoto
from vision.photo.intake import Photo
from vision.settings import CARD_KINDS

WALL, PAPER, INK, BLUE = (196, 192, 182), (222, 221, 218), (60, 60, 64), (70, 110, 160)
AT = (1680.0, 900.0)


def framed(at: tuple[float, float] = AT, margin_mm: float = 10.0, line_mm: float = 2.0) -> tuple[Patch, ...]:
    """A sheet with a thin dark frame printed near its border, which has nearly the sheet's proportions."""
    w, h = LETTER_MM
    a, b = w - 2 * margin_mm, h - 2 * margin_mm
    return Patch(at, LETTER_MM, PAPER), Patch(at, (a, b), INK), Patch(at, (a - 2 * line_mm, b - 2 * line_mm), PAPER)


def with_picture(at: tuple[float, float] = AT, margin_mm: float = 22.0) -> tuple[Patch, ...]:
    """A sheet with a picture that leaves a margin."""
    w, h = LETTER_MM
    return Patch(at, LETTER_MM, PAPER), Patch(at, (w - 2 * margin_mm, h - 2 * margin_mm), BLUE)


def photo_of(*patches: Patch, shot: Shot = Shot()) -> tuple[SeenPhoto, Picture]:  # noqa: B008 (frozen)
    of = picture(Wall(wall=WALL, patches=patches), shot)
    photo, kinds = Photo("room.jpg", "0", of.pixels, of.shot.focal_35mm), (CARD_KINDS["letter"],)
    seen = look(photo, kinds, np.array(of.corners_px()), (), (), number=1, has_head=True, settings=SETTINGS)
    demands = Demands(parse_cards(("letter",), None, SETTINGS.cards), True, None, {}, (), 0.0)
    return see_photo(replace(seen, by_size=()), 1, demands, SETTINGS), of


def assert_sheets(photo: SeenPhoto, of: Picture, *sheets: Patch) -> None:
    assert len(photo.cards) == len(sheets)
    for card, sheet in zip(photo.cards, sheets, strict=True):
        assert np.abs(card.corners_px - of.shot.to_px(sheet.corners())).max() < 1.0


@pytest.mark.parametrize("margin_mm", [8.0, 10.0, 16.0])
def test_a_frame_printed_on_a_sheet_is_not_the_sheet(margin_mm: float) -> None:
    """Its line is clearer than the sheet's border, and by its size the sheet would be a tenth larger."""
    sheet = framed(margin_mm=margin_mm)
    photo, of = photo_of(*sheet, shot=Shot((2640, 3520)))
    assert_sheets(photo, of, sheet[0])


def test_a_picture_printed_on_a_sheet_leads_to_the_sheet() -> None:
    """The finder sees the picture alone, which is of no kind."""
    sheet = with_picture()
    photo, of = photo_of(*sheet)
    assert_sheets(photo, of, sheet[0])


def test_a_picture_in_a_frame_does_not_contradict_a_sheet() -> None:
    """Another thing of a sheet's proportions, half as large again, with a border of one look."""
    sheet = Patch(AT, LETTER_MM, PAPER)
    w, h = (1.5 * v for v in LETTER_MM)
    frame = Patch((-260.0, 900.0), (w, h), (90, 70, 50)), Patch((-260.0, 900.0), (w - 90, h - 90), BLUE)
    photo, of = photo_of(sheet, *frame)
    used = [c for c in photo.cards if np.abs(c.corners_px - of.shot.to_px(sheet.corners())).max() < 1.0]
    assert len(used) == 1


def test_a_bare_sheet_has_none_round_it() -> None:
    """Wall is not paper: nothing ends there."""
    of = picture(Wall(wall=WALL, patches=(Patch(AT, LETTER_MM, PAPER),)))
    corners = of.shot.to_px(Patch(AT, LETTER_MM).corners())
    assert sheets_round(of.pixels, corners, Patch(AT, LETTER_MM).corners()) == []
