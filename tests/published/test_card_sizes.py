"""Published sizes of the reference cards.

ISO/IEC 7810 ID-1: 85.60 x 53.98 mm, thickness 0.76 mm, corner radius 2.88 to 3.48 mm; the limits of an unused card, 85.47 to
85.72 and 53.92 to 54.03 mm, are from memory. ISO 216: A4 is 210 x 297 mm, +-2 mm between 150 and 600 mm.
ANSI/ASME Y14.1 size A: 8-1/2 x 11 in; trimming +-1/16 in is from memory.
"""

from __future__ import annotations

import math

import pytest

from tests.tolerances import EXACT
from vision.settings import CARD_KINDS


@pytest.mark.parametrize(
    ("kind", "width_mm", "height_mm"), [("id-1", 85.60, 53.98), ("a4", 210.0, 297.0), ("letter", 8.5 * 25.4, 11 * 25.4)]
)
def test_cards_have_their_published_size(kind: str, width_mm: float, height_mm: float) -> None:
    """Nominal sides, in mm."""
    assert (CARD_KINDS[kind].width_mm, CARD_KINDS[kind].height_mm) == pytest.approx((width_mm, height_mm), rel=EXACT)


@pytest.mark.parametrize(
    ("kind", "width_range", "height_range"),
    [("id-1", 85.72 - 85.47, 54.03 - 53.92), ("a4", 4.0, 4.0), ("letter", 25.4 / 8, 25.4 / 8)],
)
def test_cards_are_trusted_within_the_limits_of_their_standard(kind: str, width_range: float, height_range: float) -> None:
    """Anywhere between the limits: range over root twelve (JCGM 100, 4.3.7)."""
    card = CARD_KINDS[kind]
    expected = (width_range / math.sqrt(12), height_range / math.sqrt(12))
    assert (card.width_sd_mm, card.height_sd_mm) == pytest.approx(expected, rel=EXACT)


def test_a_bank_card_has_its_published_thickness_and_corners() -> None:
    """0.76 mm thick, corner radius inside 2.88 to 3.48 mm."""
    card = CARD_KINDS["id-1"]
    assert card.thickness_mm == pytest.approx(0.76, rel=EXACT)
    assert 2.88 <= card.corner_radius_mm <= 3.48


def test_kinds_differ_enough_in_shape_to_be_told_apart() -> None:
    """A4 is one to root two (ISO 216); letter is 9 % squarer; a bank card is longer than either."""
    a4, letter, card = (CARD_KINDS[kind].width_mm / CARD_KINDS[kind].height_mm for kind in ("a4", "letter", "id-1"))
    assert abs(a4 * math.sqrt(2) - 1) < 0.5 / 210
    assert letter / a4 > 1.08
    assert 1 / card < a4
