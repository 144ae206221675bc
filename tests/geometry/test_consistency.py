"""Which cards carry the scale, whether they agree, and the other tilt."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from scipy import stats

from tests.benchmarks.edge_draws import draw, observe
from tests.benchmarks.edge_scenes import Outcome, adjust
from tests.benchmarks.edge_truth import LAYOUTS, SETTINGS, Scene
from vision.errors import CannotMeasure
from vision.geometry.adjustment import Solution
from vision.geometry.assemble import Assembly, assemble
from vision.geometry.card_doubts import card_doubts
from vision.geometry.consistency import choose_cards, require_one_tilt
from vision.geometry.seen import SeenPhoto
from vision.geometry.settle import Settled, settle_cards
from vision.settings import CARD_KINDS

FOUR, TWO, ONE = "4 id-1", "2 id-1 opposite corners", "1 id-1 beside"
SEEDS = range(40, 52)


@cache
def scene(layout: str, seed: int = 5) -> Scene:
    return draw(layout, np.random.default_rng(seed))


def with_wrong_size(layout: str, number: int, factor: float) -> Scene:
    """The same scene with one card printed too large, which nobody states."""
    made = scene(layout)
    cards = tuple(
        replace(c, sides_mm=(c.sides_mm[0] * factor, c.sides_mm[1] * factor)) if k == number else c
        for k, c in enumerate(made.cards, 1)
    )
    photo = observe(made.opening, made.camera, cards, np.random.default_rng(6))
    return replace(made, cards=cards, photo=photo)


def adjusted(made: Scene, photos: list[SeenPhoto] | None = None) -> tuple[Assembly, Solution]:
    assembly = assemble(photos or [made.photo], made.demands, SETTINGS)
    return assembly, assembly.problem.solve(assembly.start, assembly.camera_priors)


def settled(made: Scene) -> Settled:
    assembly, solution = adjusted(made)
    return settle_cards([made.photo], assembly, solution, lambda p: assemble(p, made.demands, SETTINGS), SETTINGS.doubts)


def changed(photo: SeenPhoto, number: int, **changes: object) -> SeenPhoto:
    cards = tuple(replace(c, **changes) if c.number == number else c for c in photo.cards)  # type: ignore[arg-type]
    return replace(photo, cards=cards)


def test_a_photo_without_a_card_is_refused() -> None:
    """card-missing, with what to do."""
    with pytest.raises(CannotMeasure) as refused:
        choose_cards([replace(scene(ONE).photo, cards=())])
    assert refused.value.code == "card-missing"


def test_good_cards_are_all_used() -> None:
    """Nothing is left out and the scale is not refused."""
    photos, refused, _ = choose_cards([scene(FOUR).photo])
    assert (len(photos[0].used), refused) == (4, False)


def test_a_card_of_unknown_plane_is_left_out_beside_others() -> None:
    """One seen inside the outline carries no scale where others do."""
    photos, refused, _ = choose_cards([changed(scene(TWO).photo, 2, inside=True)])
    assert ([c.number for c in photos[0].used], refused) == ([1], False)


def test_cards_of_unknown_plane_alone_refuse_the_scale() -> None:
    """Nothing but cards inside the outline: shape only."""
    photos, refused, _ = choose_cards([changed(scene(ONE).photo, 1, inside=True)])
    assert (len(photos[0].used), refused) == (1, True)


def test_a_stated_offset_makes_a_card_inside_usable() -> None:
    """Its plane is then known."""
    photo = scene(ONE).photo
    spec = replace(photo.cards[0].spec, offset_mm=55.0, offset_sd_mm=3.0)
    photos, refused, _ = choose_cards([changed(photo, 1, inside=True, spec=spec)])
    assert (len(photos[0].used), refused) == (1, False)


def test_what_only_looks_like_a_card_is_left_out_beside_three() -> None:
    """A patch that would make the opening a third wider is no card of that kind."""
    made = with_wrong_size(FOUR, 3, 1.35)
    photos, _, _ = choose_cards([made.photo])
    assert [c.number for c in photos[0].used] == [1, 2, 4]


def test_two_that_tell_quite_different_widths_are_refused() -> None:
    """Neither has more support than the other: cards-disagree."""
    with pytest.raises(CannotMeasure) as refused:
        choose_cards([with_wrong_size(TWO, 2, 1.35).photo])
    assert refused.value.code == "cards-disagree"


def test_a_card_marked_by_hand_outweighs_one_that_was_found() -> None:
    """Of two that disagree the stated one stays."""
    photo = with_wrong_size(TWO, 2, 1.35).photo
    look = photo.cards[1].look
    stated = replace(look, candidate=replace(look.candidate, stated=True))
    photos, _, _ = choose_cards([changed(photo, 2, look=stated)])
    assert [c.number for c in photos[0].used] == [2]


def test_scores_of_good_cards_are_those_of_chance() -> None:
    """Over ten scenes of four cards the squares of the scores average to about one, none beyond the limit."""
    made = (adjusted(scene(FOUR, seed)) for seed in range(20, 30))
    scores = np.array([doubt.score for assembly, solution in made for doubt in card_doubts(solution, assembly)])
    assert np.abs(scores).max() < SETTINGS.doubts.odd_card_sd
    low, high = stats.chi2(scores.size).ppf([0.0005, 0.9995]) / scores.size
    assert low < float(np.mean(scores**2)) < high


def test_a_card_that_contradicts_three_others_is_left_out() -> None:
    """Six percent too large: excluded, the others carry the opening, and it is within what is stated."""
    made = with_wrong_size(FOUR, 2, 1.06)
    kept = settled(made)
    assert [c.number for c in kept.photos[0].cards if not c.used] == [2]
    assert [(f.code, "card 2" in f.text.lower(), f.holds) for f in kept.findings] == [("cards-disagree", True, False)]
    sd = np.sqrt(np.diag(kept.solution.inverse()))[kept.solution.layout.opening.start]
    assert abs(kept.solution.state.opening[0] - made.opening.width) < 3.5 * sd


def with_end_astray(off_px: float) -> Scene:
    """One side of one of four cards followed into a joint at its far end: off by so much there, and not at the near one."""
    made = scene(FOUR)
    card = made.photo.cards[1]
    points = card.sides[3]
    assert points is not None
    d = points.points_px[-1] - points.points_px[0]
    normal = np.array([d[1], -d[0]]) / np.linalg.norm(d)
    astray = replace(points, points_px=points.points_px + np.outer(off_px * (points.along + 1) / 2, normal))
    sides = (*card.sides[:3], astray)
    return replace(made, photo=changed(made.photo, 2, sides=sides))


@pytest.mark.parametrize("off_px", [-2.5, 2.5])
def test_a_side_that_goes_astray_at_one_end_loses_its_weight(off_px: float) -> None:
    """It is loosened, no card is left out for it, and the opening is nearer to that of the good sides than with it as it was."""
    good, bad = settled(scene(FOUR)), settled(with_end_astray(off_px))
    as_it_was = adjusted(with_end_astray(off_px))[1]
    at = good.solution.layout.opening.start
    sd = np.sqrt(np.diag(good.solution.inverse()))[at : at + len(good.solution.state.opening)]
    moved, unmended = (
        np.abs(s.state.opening - good.solution.state.opening)[sd > 0] / sd[sd > 0] for s in (bad.solution, as_it_was)
    )
    side = bad.photos[0].cards[1].sides[3]
    assert side is not None
    assert side.bias_sd_px > 0.5
    assert all(c.used for c in bad.photos[0].cards)
    assert float(np.sqrt(np.mean(moved**2))) < 0.75 * float(np.sqrt(np.mean(unmended**2)))


def test_two_that_contradict_each_other_are_refused() -> None:
    """Nobody can tell which is wrong: cards-disagree."""
    made = with_wrong_size(TWO, 1, 1.12)
    with pytest.raises(CannotMeasure) as refused:
        settled(made)
    assert refused.value.code == "cards-disagree"


def test_cards_around_the_opening_leave_one_tilt() -> None:
    """The other tilt is not even tried."""
    made = scene(FOUR)
    require_one_tilt([made.photo], *adjusted(made))


@cache
def one_card(seed: int) -> Outcome:
    return adjust(scene(ONE, seed), with_checks=True)


def test_a_small_card_may_leave_two_tilts() -> None:
    """Of twelve scenes with one bank card some are refused as tilt-two-ways; those kept are within what they state."""
    outcomes = [one_card(seed) for seed in SEEDS]
    refused = [o for o in outcomes if o.two_tilts]
    assert 0 < len(refused) < 9
    for outcome in outcomes:
        if not outcome.two_tilts:
            assert float(np.abs(outcome.error / outcome.stated.sd).max()) < 4.5


def test_the_refusal_names_both_widths() -> None:
    """tilt-two-ways says what either tilt would mean and asks for a second card, or for the corners of one that hangs unseen."""
    made = next(scene(ONE, seed) for seed in SEEDS if one_card(seed).two_tilts)
    with pytest.raises(CannotMeasure) as refused:
        require_one_tilt([made.photo], *adjusted(made))
    assert refused.value.code == "tilt-two-ways"
    assert "second card" in refused.value.remedy
    assert "if one is there already, mark its corners with card-corners" in refused.value.remedy


def test_the_layouts_use_kinds_of_the_catalogue() -> None:
    """What the scenes are made of can be had."""
    assert {place.kind for places in LAYOUTS.values() for place in places} <= set(CARD_KINDS)


def test_what_was_chosen_by_a_scale_does_not_speak_for_it() -> None:
    """Two tell quite different widths; a third one that was sought at the second one's scale does not decide between them."""
    photo = with_wrong_size(FOUR, 2, 1.35).photo
    cards = {c.number: c for c in photo.cards}
    third = replace(cards[3], look=replace(cards[3].look, by_scale=True))
    with pytest.raises(CannotMeasure) as refused:
        choose_cards([replace(photo, cards=(cards[1], cards[2], third))])
    assert refused.value.code == "cards-disagree"
