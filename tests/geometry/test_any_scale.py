"""Sheets of which no patch is seen and no scale is told: faint paper under strips of tape."""

from __future__ import annotations

import numpy as np

from tests.geometry.scenery import LETTER_MM, Patch, Picture, Shot, Wall, picture
from tests.geometry.test_further import SETTINGS
from vision.geometry.any_scale import sheets_at_any_scale
from vision.geometry.camera import camera_prior
from vision.geometry.cards import CardCandidate
from vision.geometry.start import view_of_rectangle
from vision.settings import CARD_KINDS, CardKind

PAPER, TAPE = (203, 201, 194), (90, 96, 110)
AT = (1680.0, 900.0)
LETTER = (CARD_KINDS["letter"],)


def taped(at: tuple[float, float] = AT) -> tuple[Patch, ...]:
    """Paper a little lighter than the wall, with two strips of tape above and one below."""
    (x, y), (w, h) = at, LETTER_MM
    strips = [(x - 0.3 * w, y + h / 2), (x + 0.3 * w, y + h / 2), (x, y - h / 2)]
    return Patch(at, LETTER_MM, PAPER, turn_deg=1.0), *(Patch(s, (18.0, 48.0), TAPE) for s in strips)


def found_in(of: Picture, kinds: tuple[CardKind, ...] = LETTER) -> list[CardCandidate]:
    corners = np.array(of.corners_px())
    view = view_of_rectangle(corners, camera_prior(*of.shot.size, 26.0, SETTINGS.camera), has_head=True)
    return sheets_at_any_scale(of.pixels, (view, corners), kinds)


def test_a_faint_taped_sheet_is_among_what_is_found() -> None:
    """To a few pixels, so that its sides can be followed."""
    of = picture(Wall(patches=taped()), Shot(noise=0.012))
    true = of.shot.to_px(taped()[0].corners())
    assert min(float(np.abs(c.corners_px - true).max()) for c in found_in(of)) < 3.0


def test_nothing_is_found_on_an_empty_wall() -> None:
    """Grain has no lines."""
    assert found_in(picture(Wall(), Shot(noise=0.012))) == []


def test_bank_cards_are_not_sought_at_any_scale() -> None:
    """A wall has too many rectangles of their size."""
    of = picture(Wall(patches=(Patch(AT, (85.6, 53.98), (40, 40, 44)),)))
    assert found_in(of, (CARD_KINDS["id-1"],)) == []


def test_an_outline_that_no_plane_shows_is_no_error() -> None:
    """Wild corners have no width: nothing is sought."""
    of = picture(Wall(), Shot(noise=0.012))
    view = view_of_rectangle(np.array(of.corners_px()), camera_prior(*of.shot.size, 26.0, SETTINGS.camera), has_head=True)
    assert sheets_at_any_scale(of.pixels, (view, np.full((4, 2), np.nan)), LETTER) == []
