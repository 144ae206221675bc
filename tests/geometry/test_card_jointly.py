"""What is seen to be a card before a pattern: its sides are found together where each by itself is led astray."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from tests.geometry.scenery import Patch, Picture, Shot, Wall, picture
from tests.geometry.test_further import ID_1_MM, SETTINGS, look_of
from vision.geometry import agreeing
from vision.geometry.card_jointly import _shape
from vision.geometry.card_seen import jointly_refined, refine_card
from vision.geometry.cards import CardCandidate, parse_cards
from vision.geometry.look import BESIDE_CARD_PX, CardLook, card_strips
from vision.geometry.seeing import see_photo
from vision.geometry.seen import Demands, SeenPhoto
from vision.settings import CARD_KINDS

Array = NDArray[np.float64]
ID_1 = CARD_KINDS["id-1"]
AT = (1640.0, 1300.0)
DEMANDS = Demands(parse_cards(("id-1",), None, SETTINGS.cards), True, None, {}, (), 0.0)
STRIPE, WALL = (226, 178, 150), (96, 88, 80)


def box(wide: float, high: float) -> Array:
    """A rectangle (4, 2) about its middle."""
    return np.array([[-wide, -high], [wide, -high], [wide, high], [-wide, high]]) / 2


def test_a_shape_is_as_likely_as_it_is_near_to_a_kinds() -> None:
    """A bank card either way up best; what has another aspect or is askew is none."""
    right = _shape(box(*ID_1_MM), [ID_1], 0.0)
    assert right == pytest.approx(0.0, abs=1e-6)
    assert _shape(box(*ID_1_MM[::-1]), [ID_1], 0.0) == pytest.approx(0.0, abs=1e-6)
    assert right > _shape(box(ID_1_MM[0] * 1.02, ID_1_MM[1]), [ID_1], 0.0) > -np.inf
    assert _shape(box(ID_1_MM[0] * 1.1, ID_1_MM[1]), [ID_1], 0.0) == -np.inf
    assert _shape(box(*ID_1_MM) @ np.array([[1.0, 0.0], [0.1, 1.0]]), [ID_1], 0.0) == -np.inf


def striped() -> Picture:
    """A card as dark as the ground of striped paper behind it, the stripes steep and clearer than it is."""
    stripes = [Patch((AT[0] + x, AT[1]), (9.0, 700.0), STRIPE, turn_deg=8.0) for x in range(-160, 161, 32)]
    card = Patch(AT, ID_1_MM, (70, 78, 92), turn_deg=2.0, radius_mm=3.18)
    return picture(Wall(wall=WALL, patches=(*stripes, card)), Shot((2640, 3520)))


@pytest.fixture(scope="module")
def before_stripes() -> tuple[SeenPhoto, Picture, Array]:
    """The photo seen, the picture, and the card's true corners (4, 2) px."""
    of = striped()
    seen = replace(look_of(of), cards=(), odd=(), by_size=(), near=(), sheets=())
    return see_photo(seen, 1, DEMANDS, SETTINGS), of, of.shot.to_px(Patch(AT, ID_1_MM, turn_deg=2.0).corners())


def looked_at(of: Picture, rough: Array, *, likely: bool = True) -> CardLook:
    """The card as the finder would hand it on."""
    strips = card_strips(of.pixels, rough, BESIDE_CARD_PX)
    return CardLook(CardCandidate(rough, False, ID_1, False, chance=0.99 if likely else 0.4), strips, ends=False)


@pytest.mark.parametrize("off", [(0.0, 0.0), (3.0, -2.0), (-2.0, 3.0)])
def test_a_card_before_stripes_is_found_by_its_shape(
    off: tuple[float, float], before_stripes: tuple[SeenPhoto, Picture, Array]
) -> None:
    """Within a pixel and a half, where its sides by themselves make it no card at all."""
    photo, of, true = before_stripes
    card = looked_at(of, true + np.array(off))
    assert refine_card(replace(card, ends=True), photo, DEMANDS, SETTINGS) is None
    found = jointly_refined(card, photo, DEMANDS, SETTINGS)
    assert found is not None
    assert np.abs(found[1] - true).max() < 1.5


def test_what_is_not_seen_to_be_a_card_is_not_sought_so(before_stripes: tuple[SeenPhoto, Picture, Array]) -> None:
    """Courses in a shape are to be had before any pattern."""
    photo, of, true = before_stripes
    assert jointly_refined(looked_at(of, true, likely=False), photo, DEMANDS, SETTINGS) is None


@pytest.mark.parametrize(
    ("scales", "kept"),
    [([1.0, 1.3, 1.01], [0, 2]), ([1.0, 1.3], []), ([1.0], [0]), ([], []), ([1.0, 2.0, 1.3, 1.31], [2, 3])],
)
def test_of_those_that_look_like_references_most_of_one_scale_are_taken(
    scales: list[float], kept: list[int], before_stripes: tuple[SeenPhoto, Picture, Array], monkeypatch: pytest.MonkeyPatch
) -> None:
    """None where no two agree, but the only one."""
    photo, of, true = before_stripes
    looks = [looked_at(of, true) for _ in scales]
    found = {id(look): (look, true, (None,) * 4) for look in looks}
    units = iter(scales)
    monkeypatch.setattr(agreeing, "jointly_refined", lambda look, *_: found[id(look)])
    monkeypatch.setattr(agreeing, "mm_per_unit", lambda *_: next(units))
    seen = replace(photo, look=replace(photo.look, cards=tuple(looks)))
    assert [r[0] for r in agreeing.likely_cards(seen, DEMANDS, SETTINGS)] == [looks[k] for k in kept]
