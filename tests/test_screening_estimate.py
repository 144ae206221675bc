"""A rough size from references found at reduced scale: all of them are found, and those that contradict each other are told."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from tests.benchmarks.scene_files import Scene
from vision.check import OwnTracer, ScreenRequest, screen
from vision.geometry.cards import CardCandidate
from vision.photo.intake import Photo, Reduced
from vision.screening_estimate import Estimate, References, estimated
from vision.settings import CARD_KINDS, Settings

ROOT = Path(__file__).resolve().parents[1]
OUTLINE = np.array([(800.0, 3000.0), (2200.0, 3000.0), (2200.0, 1000.0), (800.0, 1000.0)])
"""px of 3000 x 4000, straight on: what lies in its plane is seen at one scale"""


def test_four_small_cards_of_a_copy_are_all_found() -> None:
    """A bank-size card has 17 px across at 1008: a second look at twice the size finds the others, and no other things."""
    room = Scene(ROOT / "tests" / "benchmarks" / "scenes" / "messenger_copy.jpg")
    done = screen(ScreenRequest("copy.jpg", room.photo.read_bytes()), Settings(), OwnTracer(Settings()))

    assert done.references == ("id-1",) * 4
    assert done.band is not None
    assert done.band.how == "estimated"
    narrowest = min(v for n, v in room.true().items() if n.startswith("width"))
    assert abs(done.band.width_mm - narrowest) < done.band.u_width_mm  # it was nearly one u off with one card


def card(kind: str, x: float, y: float, px_per_mm: float) -> CardCandidate:
    """One beside the outline, straight on, its middle at x, y."""
    of = CARD_KINDS[kind]
    w, h = of.width_mm * px_per_mm / 2, of.height_mm * px_per_mm / 2
    corners = np.array([(x - w, y + h), (x + w, y + h), (x + w, y - h), (x - w, y - h)])
    return CardCandidate(corners, kind=of)


def estimate(*cards: CardCandidate) -> Estimate:
    small = Reduced(Photo("a.jpg", "0", np.zeros((1000, 750, 3), np.uint8), 26.0), 4.0, None)
    return estimated(small, OUTLINE, References(cards, (), 4.0), Settings(), head=True)


def test_references_that_agree_tell_one_size() -> None:
    """1400 px at 1 px a mm; a lone one says what it takes for granted, two say nothing of the kind."""
    alone, both = (
        estimate(card("letter", 400, 2000, 1.0)),
        estimate(card("letter", 400, 2000, 1.0), card("id-1", 2600, 2000, 1.0)),
    )
    for found in (alone, both):
        assert found.band is not None
        assert found.band.width_mm == pytest.approx(1400, rel=0.02)
        assert found.contradicted == ()
    assert alone.band is not None
    assert both.band is not None
    assert (alone.band.assumes, both.band.assumes) == ("letter", None)


def test_a_majority_outvotes_a_larger_thing_of_the_shape() -> None:
    """A towel of a sheet's proportions beside two cards that agree, neither of them as large as it is."""
    found = estimate(card("letter", 400, 2000, 2.0), card("id-1", 2600, 1200, 1.0), card("id-1", 2600, 2800, 1.0))
    assert found.band is not None
    assert found.band.width_mm == pytest.approx(1400, rel=0.02)
    assert found.contradicted == ()


@pytest.mark.parametrize(("times", "told"), [(1.25, True), (2.0, False)])
def test_two_that_contradict_each_other_are_told_with_both_widths(times: float, told: bool) -> None:
    """The size, where one is told, is as uncertain as they are apart; far apart none is told."""
    found = estimate(card("letter", 400, 2000, times), card("letter", 2600, 2000, 1.0))
    (reason,) = found.contradicted

    assert reason.code == "not-consistent"
    assert f"{1400 / times:.0f} mm" in reason.text
    assert "1400 mm" in reason.text
    assert (found.band is not None) == told
    if found.band is not None:
        assert found.band.width_mm - found.band.u_width_mm < 1400 / times * 1.01
        assert found.band.width_mm + found.band.u_width_mm > 1400 * 0.99
