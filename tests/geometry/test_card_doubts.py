"""What a card may be instead, found in scenes where it is; and what is said of what cannot be seen."""

from __future__ import annotations

import numpy as np
import pytest

from tests.benchmarks.edge_draws import draw
from tests.benchmarks.edge_truth import LAYOUTS, SETTINGS
from tests.benchmarks.lying_cards import LIES, concluded, lied, outcome
from vision.errors import CannotMeasure
from vision.geometry.card_doubts import MOST_SD, card_doubts
from vision.geometry.measure import Measured
from vision.geometry.unseen import reaches

LETTERS, FOUR, SHEET = "2 letters measured opposite", "4 id-1", "1 letter measured beside"


def with_lie(layout: str, lie: str, step: float, seed: int = 1) -> Measured:
    rng = np.random.default_rng([7, list(LAYOUTS).index(layout), seed])
    return concluded(lied(draw(layout, rng), LIES[lie], step, rng))


def test_nothing_is_said_of_honest_cards() -> None:
    """No finding, and all four carry the opening."""
    opening = with_lie(FOUR, "nothing", 0.0).opening
    assert (opening.findings, [c.used for c in opening.cards]) == ((), [True] * 4)


@pytest.mark.parametrize(("lie", "step"), [("scale", 6.0), ("scale", -6.0), ("proud", 100.0)])
def test_one_of_four_cards_that_lies_is_named_and_left_out(lie: str, step: float) -> None:
    """The finding has its number, and the other three carry on."""
    opening = with_lie(FOUR, lie, step).opening
    assert [c.number for c in opening.cards if not c.used] == [1]
    assert any(f.code == "cards-disagree" and "Card 1 " in f.text for f in opening.findings)


@pytest.mark.parametrize(("lie", "step"), [("scale", 6.0), ("scale", 3.0), ("proud", 60.0)])
def test_of_two_sheets_that_contradict_nobody_can_tell_which(lie: str, step: float) -> None:
    """cards-disagree, with both numbers."""
    with pytest.raises(CannotMeasure) as refused:
        with_lie(LETTERS, lie, step)
    assert refused.value.code == "cards-disagree"
    assert "cards 1 and 2" in refused.value.found


def test_a_sheet_that_bulges_is_said_to() -> None:
    """card-bent, in millimetres near the true five."""
    findings = with_lie(LETTERS, "bulge", 5.0).opening.findings
    assert [f.code for f in findings] == ["card-bent"]
    assert "its face bulges by" in findings[0].text


def test_a_tilted_sheet_beside_the_opening_makes_it_crooked_and_that_is_said() -> None:
    """card-plane, though nothing else contradicts the only sheet."""
    assert "card-plane" in {f.code for f in with_lie(SHEET, "right off", 5.0, seed=2).opening.findings}


def test_of_a_single_card_it_is_said_that_nothing_shows_its_scale() -> None:
    """One sentence for the card, with what a per cent and ten millimetres do."""
    unseen = with_lie(SHEET, "nothing", 0.0).opening.unseen
    assert len(unseen) == 1
    assert "nothing else in the photo shows it" in unseen[0]


def test_of_several_cards_it_is_said_how_much_could_stay_unseen() -> None:
    """One sentence a card and one for all alike."""
    unseen = with_lie(FOUR, "nothing", 0.0).opening.unseen
    assert len(unseen) == 5
    assert "all cards are wrong alike" in unseen[-1]


def test_another_ratio_of_its_sides_is_spoken_of() -> None:
    """By how much it could be off unseen, beside other cards; for a card alone, what each per cent of it does."""
    several, alone = (with_lie(layout, "nothing", 0.0).opening.unseen[0] for layout in (FOUR, SHEET))
    assert "has sides in another ratio by less than" in several
    assert "each per cent in the ratio of its sides" in alone


@pytest.mark.parametrize("layout", [FOUR, LETTERS])
def test_a_lie_beyond_what_is_said_to_stay_unseen_is_shown(layout: str) -> None:
    """Of 20 cards a tenth too much of another size at most one stays within no word of the report (by its own limits)."""
    without_word = 0
    for seed in range(20):
        rng = np.random.default_rng([8, list(LAYOUTS).index(layout), seed])
        made, state = draw(layout, rng), rng.bit_generator.state
        honest = concluded(lied(made, LIES["nothing"], 0.0, rng))
        limit = reaches(honest.solution, honest.assembly, SETTINGS.doubts)[honest.assembly.models[1]]["size"]
        rng.bit_generator.state = state
        lying = lied(made, LIES["scale"], 110 * limit, rng)
        without_word += outcome(lying, LIES["scale"], 110 * limit)[0] in ("SILENT", "left out")
    assert without_word <= 1


def test_a_ratio_that_is_off_is_told_as_the_ratio_of_the_sides() -> None:
    """Of 279.4 mm 6 are folded away: the amount in the text is that of width over height, not half of it."""
    findings = with_lie(LETTERS, "folded", -6.0).opening.findings
    texts = [f.text for f in findings if "the ratio of its sides is off by" in f.text]
    assert texts
    told = float(texts[0].split("off by ")[1].split(" %")[0])
    assert told == pytest.approx(100 * 6 / 279.4, abs=0.4)


@pytest.mark.parametrize(("layout", "step", "far"), [(FOUR, -2.0, False), (SHEET, -7.0, True)])
def test_a_side_that_is_folded_away_is_said_and_only_a_far_one_holds(layout: str, step: float, far: bool) -> None:
    """card-bent, with the side that little rests on: 2 mm of a bank card among four hold nothing, 7 mm of the only sheet do."""
    sides = [f for f in with_lie(layout, "folded", step).opening.findings if "little rests on it" in f.text]
    assert [(f.code, f.holds) for f in sides[:1]] == [("card-bent", far)]


def test_what_a_photo_hardly_tells_is_not_told() -> None:
    """The tilt of a lone sheet rests on the opening alone: what is not told to a fifth has no score, whatever is left over."""
    made = with_lie(SHEET, "nothing", 0.0)
    for doubt in card_doubts(made.solution, made.assembly):
        assert doubt.sd <= MOST_SD[doubt.what] or (doubt.score, doubt.amount) == (0.0, 0.0)
    assert any(not np.isfinite(d.sd) for d in card_doubts(made.solution, made.assembly))


@pytest.mark.parametrize(("step", "seed"), [(1.5, 2), (2.0, 1)])
def test_a_card_that_contradicts_and_is_used_brings_a_doubt_as_large(step: float, seed: int) -> None:
    """Between 3.5 and 4.5 sd it is said and used; the sizes' sd grow so that what it moves them by is within two of them."""
    lying, honest = with_lie(FOUR, "scale", step, seed).opening, with_lie(FOUR, "nothing", 0.0, seed).opening
    assert any("It was used all the same, with a doubt as large as that." in f.text for f in lying.findings)
    for name in ("width_top", "width_bottom", "height_left", "height_right"):
        moved = abs(lying.quantities.value(name) - honest.quantities.value(name))
        assert lying.quantities.u(name) > 1.3 * honest.quantities.u(name)
        assert moved < 2 * lying.quantities.u(name)
