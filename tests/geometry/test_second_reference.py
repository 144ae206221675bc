"""A photo whose first reference does not hold is measured by a sheet that contradicts it, and that is said."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tests.geometry.scenery import LETTER_MM, Patch, Wall, picture
from vision.errors import CannotMeasure
from vision.geometry.cards import parse_cards
from vision.geometry.look import look
from vision.geometry.measure import measure_photo
from vision.geometry.seeing import see_photo
from vision.geometry.seen import Demands, SeenPhoto
from vision.photo.intake import Photo
from vision.settings import CARD_KINDS, Settings

SETTINGS = Settings()
WIDTH = 1400.0
MIRROR_MM = (1.03 * 1.7 * LETTER_MM[0], 1.7 * LETTER_MM[1])
"""nearly of a sheet's shape, three parts in a hundred too wide"""
DEMANDS = Demands(parse_cards(("letter@0+-0.3",), None, SETTINGS.cards), True, None, {}, (), 0.0)


def seen_with(second: bool) -> SeenPhoto:
    """A sheet and a mirror; the mirror was taken, the sheet is what else there is."""
    wall = Wall(WIDTH, 1950.0, patches=(Patch((1660.0, 900.0), LETTER_MM), Patch((-300.0, 1100.0), MIRROR_MM)))
    of = picture(wall)
    photo = Photo("room9.jpg", "0", of.pixels, of.shot.focal_35mm)
    corners = np.array(of.corners_px(4.0))
    seen = see_photo(
        look(photo, (CARD_KINDS["letter"],), corners, (), (), number=1, has_head=True, settings=SETTINGS), 1, DEMANDS, SETTINGS
    )
    mirror, sheet = seen.cards
    without = replace(sheet, used=False)
    return replace(seen, cards=(mirror, without), second=(replace(mirror, used=False), sheet) if second else ())


def test_what_contradicts_a_reference_that_does_not_hold_is_taken() -> None:
    """The mirror's sides have no sheet's ratio; by the sheet the opening is as wide as it is, and the order holds."""
    measured = measure_photo(seen_with(second=True), DEMANDS, SETTINGS)
    known = measured.opening.quantities
    assert abs(known.value("width_middle") - WIDTH) < 3 * known.u("width_middle")
    assert [(c.number, c.used) for c in measured.opening.cards] == [(1, False), (2, True)]
    (said,) = [f for f in measured.opening.findings if f.code == "card-kind"]
    assert said.text.startswith("Card 1 has no reference's shape, so card 2 was taken")
    assert said.holds


def test_without_anything_else_it_is_refused() -> None:
    """The first reason stands."""
    with pytest.raises(CannotMeasure) as refused:
        measure_photo(seen_with(second=False), DEMANDS, SETTINGS)
    assert refused.value.code == "card-kind"


@pytest.mark.parametrize(("card", "second"), [("letter@0", False), ("letter@0=215.9x279.4mm+-0.2", True)])
def test_a_sheet_that_contradicts_the_only_reference_is_heard(card: str, second: bool) -> None:
    """Something of a sheet's exact shape is taken by itself only where it was measured, that is where it is known to be one."""
    demands = replace(DEMANDS, cards=parse_cards((card,), None, SETTINGS.cards))
    seen = seen_as(demands)
    assert [c.used for c in seen.cards] == ([True] if second else [True, True])
    assert len(seen.second) == (2 if second else 0)
    if not second:
        with pytest.raises(CannotMeasure) as refused:
            measure_photo(seen, demands, SETTINGS)
        assert refused.value.code == "cards-disagree"


def test_a_dark_plate_does_not_contradict_a_sheet() -> None:
    """Before the same wall it has less than half of the sheet's light: paper is white."""
    seen = seen_as(DEMANDS, (120, 118, 112))
    (sheet,) = seen.cards
    assert sheet.used
    assert sheet.corners_px[:, 0].min() > seen.corners_px[:, 0].max()


def seen_as(demands: Demands, half_colour: tuple[int, int, int] = (246, 246, 243)) -> SeenPhoto:
    """One plain sheet that is found by its shape, and one of half the size that is found only round its print."""
    half = Patch((-300.0, 1100.0), (LETTER_MM[0] / 2, LETTER_MM[1] / 2), half_colour)
    of = picture(Wall(WIDTH, 1950.0, patches=(Patch((1660.0, 900.0), LETTER_MM), half)))
    photo = Photo("room9.jpg", "0", of.pixels, of.shot.focal_35mm)
    looked = look(
        photo, (CARD_KINDS["letter"],), np.array(of.corners_px(4.0)), (), (), number=1, has_head=True, settings=SETTINGS
    )
    small, whole = sorted(looked.cards, key=lambda c: float(np.ptp(c.candidate.corners_px[:, 1])))
    return see_photo(replace(looked, cards=(whole,), sheets=(small,)), 1, demands, SETTINGS)
