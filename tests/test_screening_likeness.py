"""What a patch looks like decides whether a screening takes it for a reference, before and after what its surround says."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from tests.geometry.scenery import LETTER_MM, Patch, Picture, Wall, picture
from vision.geometry import reference_sight
from vision.geometry.cards import LIKELY, NOTHING_LIKE, CardFacts, parse_cards
from vision.geometry.reference_sight import HIGH, WIDE
from vision.photo.intake import read_reduced
from vision.screening_estimate import References
from vision.screening_sight import references_at_reduced_scale
from vision.settings import Settings

Array = NDArray[np.float64]
NONE_STATED: CardFacts = parse_cards((), None, Settings().cards)
WHITE, GREY, DARK = (225, 225, 222), (140, 140, 138), (40, 40, 44)
SHEET = Patch((-200.0, 1000.0), LETTER_MM, GREY)
ON_TWO_PAINTS = Wall(wall=WHITE, patches=(Patch((-308.0, 1000.0), (216.0, 900.0), DARK), SHEET))
"""a grey sheet whose left half is on a dark board and its right half on a white wall"""
PLAIN = Wall(wall=WHITE, patches=(SHEET,))


class Always:
    """A network to which every patch looks alike."""

    def __init__(self, chance: float) -> None:
        self.told = np.concatenate([[np.log(chance / (1 - chance))], np.zeros(8)])

    def __call__(self, windows: Array) -> Array:
        """One answer a window."""
        assert windows.shape[1:] == (4, HIGH, WIDE)
        return np.tile(self.told, (len(windows), 1))


def found_in(seen: Picture) -> References:
    """What a screening finds in a picture whose outline is marked."""
    small = read_reduced("a", seen.data, Settings().intake, 2016)
    return references_at_reduced_scale(small, np.array(seen.corners_px()), NONE_STATED, Settings(), head=True)


@pytest.mark.parametrize(
    ("wall", "chance", "sure"),
    [
        (PLAIN, 0.5, True),
        (PLAIN, NOTHING_LIKE - 0.01, False),
        (ON_TWO_PAINTS, 0.5, False),
        (ON_TWO_PAINTS, LIKELY + 0.01, True),
    ],
)
def test_what_looks_like_one_needs_no_even_surround(
    wall: Wall, chance: float, sure: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """And what looks like none is not helped by it; what is left open is told by the surround."""
    monkeypatch.setattr(reference_sight, "REFERENCE", Always(chance))
    assert bool(found_in(picture(wall)).sure) == sure


def test_what_looks_like_none_stays_in_doubt(monkeypatch: pytest.MonkeyPatch) -> None:
    """A person is asked about it; it is not left out."""
    monkeypatch.setattr(reference_sight, "REFERENCE", Always(NOTHING_LIKE / 2))
    assert found_in(picture(PLAIN)).doubtful
