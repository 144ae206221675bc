"""Ready or hold."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tests.tolerances import EXACT
from vision.errors import CannotMeasure, Finding
from vision.gaussian import Gaussian
from vision.judge.order import decide_order
from vision.judge.verdicts import Comparison, Explanation, Order, ReadingVerdict
from vision.judge.words import ALL_AGAIN
from vision.settings import OrderSettings

INCH = 25.4
LIMIT = 1000 * (3 / 16) / 72
"""mm/m; 3/16 in over 72 in"""
TAPED = {"width_top": 1430.0, "width_middle": 1429.0, "width_bottom": 1428.0, "height_left": 1990.0, "height_right": 1991.0}
PLUMB = {"lean_left": (0.4, 0.4), "lean_right": (-0.8, 0.4), "taper": (0.4, 0.5), "plumb_rectangle": (1427.0, 1.0)}


def taped(names: tuple[str, ...] = tuple(TAPED)) -> Gaussian:
    return Gaussian(names, np.array([TAPED[n] for n in names], dtype=float), {"placement": np.eye(len(names))})


def walls(**changes: tuple[float, float] | None) -> Gaussian:
    """Plumb walls but for these values and standard deviations; None leaves one out."""
    values = {name: value for name, value in {**PLUMB, **changes}.items() if value is not None}
    return Gaussian(tuple(values), np.array([v for v, _ in values.values()]), {"edges": np.diag([u for _, u in values.values()])})


def comparison(
    names: tuple[str, ...] = tuple(TAPED), *, findings: tuple[Finding, ...] = (), **changed: ReadingVerdict
) -> Comparison:
    return Comparison({name: changed.get(name, verdict(name)) for name in names}, findings)


def verdict(name: str, said: str = "agrees", *, explained: bool = False, photo: bool = True, slip: float = 6.0) -> ReadingVerdict:
    explanations = (Explanation("slip", (name,), 25.4, 2.0, f"{name} reads 1 in long"),) if explained else ()
    seen = (TAPED[name], 1.0, 0.0) if photo else (None, None, None)
    slips = (slip, slip) if photo else (None, None)
    return ReadingVerdict(name, "56 1/4", TAPED[name], 1.2, *seen, said, *slips, explanations)  # type: ignore[arg-type]


def order(
    judged: Comparison | None = None,
    readings: Gaussian | None = None,
    seen: Gaussian | None = None,
    *,
    has_head: bool = True,
    photo_taken: bool = True,
    smallest: float | None = 1428.0,
    findings: tuple[Finding, ...] = (),
    cannot_measure: CannotMeasure | None = None,
    at_mm: dict[str, float] | None = None,
    height_mm: float | None = None,
) -> Order:
    return decide_order(
        comparison() if judged is None else judged,
        taped() if readings is None else readings,
        walls() if seen is None else seen,
        has_head=has_head,
        photo_taken=photo_taken,
        smallest_width_photo_mm=smallest,
        findings=findings,
        cannot_measure=cannot_measure,
        at_mm=at_mm,
        height_mm=height_mm,
        settings=OrderSettings(),
    )


def codes(decided: Order) -> list[str]:
    return [reason.code for reason in decided.reasons]


def test_everything_well_is_ready() -> None:
    """All readings given and agreeing, walls plumb: ready, with nothing left to do."""
    assert order() == Order("ready", 1428.0, (), (), governing_reading="width_bottom")


def test_the_smallest_width_governs() -> None:
    """Not the mean, not the middle."""
    assert order().governing_width_mm == pytest.approx(1428.0, rel=EXACT)


def test_no_readings_hold() -> None:
    """A photo alone never makes an order."""
    decided = order(Comparison({}), taped(()))
    assert (decided.status, codes(decided), decided.governing_width_mm) == ("hold", ["no-readings"], None)


@pytest.mark.parametrize("missing", list(TAPED))
def test_each_width_and_height_is_needed_under_a_head(missing: str) -> None:
    """A missing reading holds and is asked for by name."""
    names = tuple(name for name in TAPED if name != missing)
    decided = order(comparison(names), taped(names))
    assert codes(decided) == ["readings-missing"]
    assert decided.next[0].startswith("Measure the ")


def test_heights_are_not_needed_without_a_head() -> None:
    """Open above: the three widths are enough."""
    names = ("width_top", "width_middle", "width_bottom")
    assert order(comparison(names), taped(names), has_head=False).status == "ready"


def test_a_suspect_reading_holds_and_is_to_be_repeated() -> None:
    """The reading, as written, its explanation and the call to make."""
    decided = order(comparison(height_left=verdict("height_left", "suspect", explained=True)))
    assert codes(decided) == ["suspect-reading"]
    assert "left height" in decided.reasons[0].text
    assert "'56 1/4'" in decided.reasons[0].text
    assert decided.next[0].endswith("and to read out twice: the left height.")
    assert decided.governing_width_mm == pytest.approx(1428.0, rel=EXACT)


def test_no_width_governs_while_one_is_suspect() -> None:
    """A suspect width may be the smallest, so no width is given."""
    assert order(comparison(width_top=verdict("width_top", "suspect", explained=True))).governing_width_mm is None


def test_readings_named_together_hold_as_one_reason() -> None:
    """Either may be wrong: both are to be measured again."""
    both = {n: verdict(n, "cannot tell", explained=True) for n in ("width_top", "width_bottom")}
    decided = order(comparison(**both))
    assert codes(decided) == ["suspect-reading"]
    assert "top width and bottom width" in decided.next[0]


def test_readings_beyond_the_photo_have_no_second_witness() -> None:
    """Nothing contradicts, but a slip would not have shown: more cards, or a second person."""
    decided = order(comparison(**{n: verdict(n, "cannot tell", slip=20.0) for n in TAPED}))
    assert codes(decided) == ["no-second-witness"]
    assert "20.0 mm" in decided.reasons[0].text


def test_a_reading_without_counterpart_has_no_second_witness() -> None:
    """The photo shows nothing to hold it against."""
    decided = order(comparison(height_left=verdict("height_left", "cannot tell", photo=False)))
    assert codes(decided) == ["no-second-witness"]
    assert "left height" in decided.reasons[0].text


def test_a_reading_that_was_never_judged_holds() -> None:
    """A reading without a verdict is not taken for a good one."""
    assert codes(order(comparison(tuple(TAPED)[:4]))) == ["no-second-witness"]


def test_widths_without_a_height_are_asked_for_it() -> None:
    """With nothing above, the photo needs to know where a width was taken."""
    names = ("width_top", "width_middle", "width_bottom")
    unseen = {n: verdict(n, "cannot tell", photo=False) for n in names}
    decided = order(comparison(names, **unseen), taped(names), has_head=False)
    assert codes(decided) == ["no-second-witness"]
    assert "how far above the curb" in decided.next[0]


def test_without_a_head_heights_and_diagonals_are_the_tapes_alone() -> None:
    """No photo of such an opening could be held against them, so none is asked for; under a head one is."""
    unseen = {n: verdict(n, "cannot tell", photo=False) for n in ("height_left", "height_right")}
    assert order(comparison(**unseen), has_head=False).status == "ready"
    assert codes(order(comparison(**unseen))) == ["no-second-witness"]


def test_heights_that_nobody_states_are_asked_for_once() -> None:
    """Widths whose place is not known, and what the lean takes from them, need the same answer."""
    names = ("width_top", "width_middle", "width_bottom")
    unseen = {n: verdict(n, "cannot tell", photo=False) for n in names}
    decided = order(comparison(names, **unseen), taped(names), has_head=False, smallest=None)
    assert codes(decided) == ["no-second-witness", "rectangle-too-narrow"]
    assert len(decided.next) == 1


def test_a_long_reading_is_called_the_dangerous_way() -> None:
    """Glass cut to a reading that is long does not go in."""
    long = verdict("width_top", "suspect", explained=True)
    short = replace(long, explanations=(replace(long.explanations[0], amount_mm=-25.4),))
    assert "dangerous" in order(comparison(width_top=long)).reasons[0].text
    assert "dangerous" not in order(comparison(width_top=short)).reasons[0].text


def test_a_finding_that_covers_the_readings_is_said_once() -> None:
    """Scale in doubt leaves every reading undecided; the order has that one reason."""
    finding = Finding("scale-in-doubt", "all readings are long", "Check the card.")
    undecided = {n: verdict(n, "cannot tell", explained=True) for n in TAPED}
    assert codes(order(comparison(findings=(finding,), **undecided), findings=(finding,))) == ["scale-in-doubt"]


def test_findings_hold_unless_they_say_that_they_do_not() -> None:
    """A finding of the photo or of the comparison is a reason; one without weight is not."""
    holding = Finding("cards-disagree", "two cards differ", "Measure the cards.")
    harmless = Finding("no-metadata", "no focal length", "Send the original file.", holds=False)
    decided = order(comparison(findings=(holding,)), findings=(harmless, holding))
    assert codes(decided) == ["cards-disagree"]
    assert decided.next == ("Measure the cards.",)


def test_unknown_lean_asks_for_a_level() -> None:
    """Equal widths do not show a lean that both walls share."""
    decided = order(seen=walls(lean_left=None, lean_right=None, plumb_rectangle=None))
    assert codes(decided) == ["level-both-walls"]
    assert decided.next[0].startswith("Level both walls")
    assert codes(order(seen=Gaussian((), np.zeros(0), {}))) == ["level-both-walls"]


@pytest.mark.parametrize(
    ("name", "code"), [("lean_left", "lean-over-limit"), ("lean_right", "lean-over-limit"), ("taper", "taper-over-limit")]
)
@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_a_wall_beyond_the_limit_holds(name: str, code: str, sign: float) -> None:
    """3/16 in over 72 in is the limit for each wall and for the taper, either way."""
    decided = order(seen=walls(**{name: (sign * 1.2 * LIMIT, 0.1)}))
    assert codes(decided) == [code]
    assert "cannot be shown" not in decided.reasons[0].text


@pytest.mark.parametrize("name", ["lean_left", "lean_right", "taper"])
def test_an_uncertain_wall_is_not_called_out_of_plumb(name: str) -> None:
    """A small value with a large uncertainty is not shown to be within the limit, which is another thing."""
    decided = order(seen=walls(**{name: (0.2, LIMIT)}))
    assert "cannot be shown" in decided.reasons[0].text
    assert "plumb line" in decided.next[0]


@pytest.mark.parametrize("name", ["lean_left", "lean_right", "taper"])
def test_a_wall_whose_direction_is_not_shown_is_no_fact(name: str) -> None:
    """Beyond the limit as it is, but less than what it is uncertain by: it is levelled first, and nobody decides about it."""
    unsure, shown = (order(seen=walls(**{name: (2.3 * LIMIT, u * LIMIT)})) for u in (1.6, 1.1))
    assert codes(unsure) == codes(shown)
    assert "cannot be shown" in unsure.reasons[0].text
    assert "by hand" in unsure.next[0]
    assert "cannot be shown" not in shown.reasons[0].text
    assert "decide" in shown.next[0]


def test_two_standard_deviations_are_added_before_the_limit() -> None:
    """|value| + 2u just inside is ready, just outside is not."""
    assert order(seen=walls(lean_left=(LIMIT - 1.0, 0.499))).status == "ready"
    assert order(seen=walls(lean_left=(LIMIT - 1.0, 0.501))).status == "hold"


def test_equal_widths_between_walls_that_lean_alike_are_too_narrow() -> None:
    """The plumb rectangle is 3/8 in under the smallest width: hold."""
    decided = order(seen=walls(plumb_rectangle=(1428.0 - 3 / 8 * INCH, 1.0)))
    assert codes(decided) == ["rectangle-too-narrow"]
    assert "3/8 in" in decided.reasons[0].text


def test_the_plumb_rectangle_may_be_three_sixteenths_narrower() -> None:
    """Up to the limit it is ready."""
    assert order(seen=walls(plumb_rectangle=(1428.0 - 0.99 * 3 / 16 * INCH, 1.0))).status == "ready"
    assert order(seen=walls(plumb_rectangle=(1428.0 - 1.01 * 3 / 16 * INCH, 1.0))).status == "hold"


def test_a_rectangle_that_is_not_known_holds() -> None:
    """With known leans but no rectangle the condition fails, it is not skipped."""
    assert codes(order(seen=walls(plumb_rectangle=None))) == ["rectangle-too-narrow"]
    assert codes(order(smallest=None)) == ["rectangle-too-narrow"]


def test_a_photo_that_cannot_be_measured_is_the_reason() -> None:
    """Its code and remedy come first; readings that are missing are still asked for; nothing is said of walls unseen."""
    failed = CannotMeasure("cards", "card-missing", found="no card", needed="one card", remedy="put a card up")
    unseen = {n: verdict(n, "cannot tell", photo=False) for n in TAPED}
    decided = order(comparison(**unseen), seen=Gaussian((), np.zeros(0), {}), smallest=None, cannot_measure=failed)
    assert (decided.status, codes(decided)) == ("hold", ["card-missing"])
    assert decided.next == ("Put a card up.",)
    empty = order(Comparison({}), taped(()), cannot_measure=failed)
    assert codes(empty) == ["card-missing", "no-readings"]


def test_actions_are_listed_once_in_the_order_of_the_reasons() -> None:
    """Two findings with the same remedy make one action."""
    first = Finding("cards-disagree", "two cards differ", "Take the photo again.")
    second = replace(first, code="blur", text="the photo is blurred")
    assert order(findings=(first, second)).next == ("Take the photo again.",)


def test_readings_in_doubt_are_measured_again_in_one_step() -> None:
    """Two suspect readings and what the readings alone had found make one step, for what photo and tape together name."""
    alone = Finding("readings-do-not-close", "they do not close", "Ask whoever measured to measure again: all of them.")
    suspect = {name: verdict(name, "suspect", explained=True) for name in ("width_middle", "height_left")}
    decided = order(comparison(**suspect), findings=(alone,))
    assert codes(decided) == ["readings-do-not-close", "suspect-reading", "suspect-reading"]
    assert len(decided.next) == 1
    assert decided.next[0].endswith("the middle width and left height.")
    assert order(findings=(alone,)).next == (alone.next,)


def test_readings_that_nothing_explains_are_measured_again_in_one_step() -> None:
    """All of them, with a second tape: what the readings alone ask for is in it."""
    alone = Finding("readings-do-not-close", "they do not close", "Ask whoever measured to measure again: all of them.")
    undecided = {n: verdict(n, "cannot tell") for n in TAPED}
    decided = order(comparison(findings=(Finding("unexplained", "they contradict", ALL_AGAIN),), **undecided), findings=(alone,))
    assert decided.next == (ALL_AGAIN,)


def test_walls_that_are_not_known_are_levelled_in_one_step() -> None:
    """Unknown leans and a taper that cannot be shown ask for the same level; so do three that cannot be shown."""
    unknown = order(seen=walls(lean_left=None, lean_right=None, plumb_rectangle=None, taper=(0.2, LIMIT)))
    assert codes(unknown) == ["level-both-walls", "taper-over-limit"]
    assert len(unknown.next) == 1
    unsure = order(seen=walls(lean_left=(0.2, LIMIT), lean_right=(0.2, LIMIT), taper=(0.2, LIMIT)))
    assert codes(unsure) == ["taper-over-limit", "lean-over-limit", "lean-over-limit"]
    assert len(unsure.next) == 1
    assert "both walls" in unsure.next[0]


def test_another_photo_is_asked_for_once() -> None:
    """Where readings need a better photo, the walls only say what it should have besides."""
    blind = {"height_left": verdict("height_left", "cannot tell", slip=30.0)}
    decided = order(comparison(**blind), seen=walls(lean_left=None, lean_right=None, plumb_rectangle=None))
    assert codes(decided) == ["no-second-witness", "level-both-walls"]
    assert sum("he photo again" in step for step in decided.next) == 1
    assert "plumb line in the plane of the opening for the next photo" in decided.next[1]


def test_without_a_photo_none_is_spoken_of() -> None:
    """What the walls' lean is not known from: no photo, instead of a photo that tells it badly."""
    unknown = walls(lean_left=None, lean_right=None, plumb_rectangle=None)
    for taken in (True, False):
        text = next(r.text for r in order(seen=unknown, photo_taken=taken).reasons if r.code == "level-both-walls")
        assert ("there is no photo" in text) != taken
        assert ("nothing in the photo" in text) == taken


def test_without_the_heights_of_the_widths_these_are_asked_for() -> None:
    """The plumb rectangle is known and the photo's widths are not: no further plumb line helps."""
    (reason,) = order(smallest=None).reasons
    assert reason.code == "rectangle-too-narrow"
    assert "height" in reason.next
    assert "plumb line" not in reason.next


def test_a_photo_that_a_finding_asks_for_is_only_improved_upon() -> None:
    """Who has to take it again anyway is told what to do for it, not to take it again once more."""
    finding = Finding("card-plane", "card 1 is inside the outline", "Tape it beside the opening and take the photo again.")
    blind = {"height_left": verdict("height_left", "cannot tell", slip=30.0)}
    decided = order(comparison(**blind), findings=(finding,))
    assert codes(decided) == ["card-plane", "no-second-witness"]
    assert decided.next[1] == "For that photo put a reference card near each corner. Or have a second person measure."


def test_each_reason_says_who_does_what_next() -> None:
    """Nothing is held without an action."""
    worst = order(
        comparison(
            width_top=verdict("width_top", "suspect", explained=True),
            height_left=verdict("height_left", "cannot tell", photo=False),
        ),
        seen=walls(lean_left=(9.0, 1.0), taper=(-9.0, 1.0), plumb_rectangle=(1400.0, 1.0)),
    )
    assert codes(worst) == ["suspect-reading", "no-second-witness", "taper-over-limit", "lean-over-limit", "rectangle-too-narrow"]
    assert all(reason.text and reason.next.endswith(".") for reason in worst.reasons)


@pytest.mark.parametrize(
    ("slip", "common", "said"),
    [
        (8.0, 30.0, "a mistake of up to 1-3/16 in (30.0 mm) would not show"),
        (8.0, 13780.0, "a mistake that they share, as a wrong unit, would not show, however large; one in a single reading "
                       "of up to 5/16 in (8.0 mm) would not either"),
        (5000.0, 13780.0, "no mistake would show, however large"),
    ],
)  # fmt: skip
def test_a_slip_larger_than_the_reading_is_said_in_words(slip: float, common: float, said: str) -> None:
    """Nobody reads a height 45 feet long."""
    blind = replace(verdict("height_left", "cannot tell", slip=slip), smallest_visible_common_slip_mm=common)
    (reason,) = [one for one in order(comparison(height_left=blind)).reasons if "vouch" in one.text]
    assert reason.text == f"the photo cannot vouch for the left height: {said}"
