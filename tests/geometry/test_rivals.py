"""Two lines along an edge that are nearly as clear as each other."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tests.geometry.scenery import Patch, Picture, Wall, bank_card, picture
from vision.errors import CannotMeasure
from vision.geometry.cards import parse_cards
from vision.geometry.look import look
from vision.geometry.rivals import Beside, rival_findings
from vision.geometry.seeing import see_photo
from vision.geometry.seen import Demands, SeenPhoto
from vision.photo.intake import Photo
from vision.settings import CARD_KINDS, Settings

SETTINGS = Settings()
TRIM = (146, 148, 146)
HEIGHT_MM, WIDTH_MM = 1950.0, 1400.0


def trimmed(wide_mm: float) -> Picture:
    """An opening with a trim of this width, between wall and alcove in tone, along its left edge, on the wall's side."""
    trim = Patch((-wide_mm / 2, HEIGHT_MM / 2), (wide_mm, HEIGHT_MM), TRIM)
    return picture(Wall(patches=(trim, bank_card(1660, 1500, (30, 30, 34)))))


def photo_of(of: Picture, left_px: float = 0.0, *, by_looks: bool = True) -> SeenPhoto:
    """As seen from corners of which those of the left edge were marked so many pixels too far to the left.

    `by_looks`: with what the network sees along the edges.
    """
    photo = Photo("room.jpg", "0", of.pixels, of.shot.focal_35mm)
    corners = np.array(of.corners_px()) - np.array([[left_px, 0], [0, 0], [0, 0], [left_px, 0]])
    seen = look(photo, (CARD_KINDS["id-1"],), corners, (), (), number=1, has_head=True, settings=SETTINGS)
    seen = seen if by_looks else replace(seen, sights={})
    demands = Demands(parse_cards(("id-1",), None, SETTINGS.cards), True, None, {}, (), 0.0)
    return see_photo(seen, 1, demands, SETTINGS)


def off_px(photo: SeenPhoto, of: Picture) -> float:
    """Mean error of the left edge's points, px, positive to the right."""
    ends = of.shot.to_px(of.wall.corners()[[0, 3]])
    points = photo.outline["left"].points_px
    order = np.argsort(ends[:, 1])
    return float(np.mean(points[:, 0] - np.interp(points[:, 1], ends[order, 1], ends[order, 0])))


def test_a_trim_is_taken_in_its_middle_with_half_its_width_in_doubt() -> None:
    """Twelve millimetres are six pixels of this small photo; the borders are as clear, so the error is one stated sd."""
    of = trimmed(12.0)
    photo = photo_of(of, 3.0)
    doubt = photo.outline["left"].bias_sd_px
    assert 2.0 < doubt < 5.0
    assert abs(off_px(photo, of)) < 1.2 * doubt
    assert photo.outline["left"].finish_px > 2.0


def test_what_was_taken_in_the_middle_is_said() -> None:
    """One sentence for the edge, which holds nothing by itself, and how to tell more."""
    (finding,) = rival_findings([photo_of(trimmed(12.0), 3.0).beside])
    assert finding.code == "edge-hidden"
    assert "along the left" in finding.text
    assert not finding.holds


def test_a_strip_of_which_one_border_was_taken_is_said() -> None:
    """Once a photo, with all its edges and which border it was; it holds nothing."""
    nothing = np.zeros(3)
    strip = {n: Beside(nothing, nothing, 0.5, 0.0, "inner") for n in ("left", "right", "head")}
    (finding,) = rival_findings([strip])
    assert finding.text.startswith("A strip runs along the left, the right and the head. ")
    assert "its inner border was taken" in finding.text
    assert not finding.holds
    (finding,) = rival_findings([{"left": Beside(nothing, nothing, 0.5, 0.0, "outer")}])
    assert "along the left. " in finding.text
    assert "its outer border was taken" in finding.text


def test_two_lines_far_apart_are_asked_about() -> None:
    """Half of 24 mm would be worth no number, where nothing tells which of them looks like the arris."""
    with pytest.raises(CannotMeasure, match="nearly as clear along the left"):
        photo_of(trimmed(24.0), 6.0, by_looks=False)


def test_of_two_lines_far_apart_the_likelier_is_taken_with_its_doubt() -> None:
    """Painted flat, a trim looks like a side wall at an angle: what is left of the other border's odds holds it within 3 sds."""
    of = trimmed(24.0)
    photo = photo_of(of, 6.0)

    assert abs(off_px(photo, of)) < 3.0 * photo.outline["left"].bias_sd_px
    assert photo.outline["left"].bias_sd_px < 8.0


def test_an_edge_without_another_line_is_not_moved() -> None:
    """The wall meets the opening: no rival, no doubt."""
    of = picture(Wall(patches=(bank_card(1660, 1500, (30, 30, 34)),)))
    photo = photo_of(of)
    assert photo.beside == {}
    assert abs(off_px(photo, of)) < 0.3
