"""What the judge's answers are made into, once the known slips are named."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests import made
from tests.judge.openings import base_order, photo, tape
from tests.judge.taped import closed
from vision.errors import Finding
from vision.judge.closure import close_tape
from vision.judge.compare import judge
from vision.judge.order import decide_order
from vision.judge.verdicts import Comparison, Order, Slip
from vision.judge.words import ALL_AGAIN
from vision.judging import asking, closing, explained, odd_sizes, only_slip
from vision.settings import Settings

SWAPPED = {"Wb": "78 11/16", "Wm": "78 11/16", "Wt": "78 11/16", "Hl": "55 3/16", "Hr": "55 3/16"}
TRUTH = {"Wb": 55.1875, "Wm": 55.125, "Wt": 55.1875, "Hl": 78.6875, "Hr": 78.6875}
SLIP = Slip("width-for-height", ("width_top", "height_left"), True, 1.0, "swapped.", "Which of the two is the width?")


def swapped() -> tuple[Comparison, Order]:
    """Widths and heights in one another's place: the comparison as it goes out, and the order."""
    settings, one = Settings(), tape(SWAPPED)
    closure = close_tape(one.everything, one.at_mm, one.over_mm, None)
    judgement = judge(photo(one, TRUTH), one.gaussian, one.texts, settings.judge)
    only = only_slip(explained(judgement, closure, one, settings)[0])
    comparison = asking(judgement.comparison, only)
    order = decide_order(
        comparison, one.gaussian, None, has_head=True, smallest_width_photo_mm=None, findings=(), cannot_measure=None, slip=only
    )
    return comparison, order


def test_a_known_slip_in_several_readings_explains_what_no_single_ones_do() -> None:
    """One reason, which does not say that nothing explains it, and the slip is asked about before all is measured again."""
    comparison, order = swapped()
    (finding,) = comparison.findings

    assert finding.code == "unexplained"
    assert "one known slip alone explains it" in finding.text
    assert "no one or two" not in finding.text
    assert order.reasons[0].next == finding.next
    assert finding.next.startswith("First ask about the top width")
    assert "Which of the two is the width?" in finding.next
    assert finding.next.lower().endswith(ALL_AGAIN.lower())


def test_a_width_that_the_known_slip_is_in_does_not_govern() -> None:
    """None of the widths is one, so none is given as the smallest; without such a slip it is."""
    comparison, order = swapped()
    one = tape(SWAPPED)

    assert order.governing_width_mm is None
    assert base_order(one, comparison, None).governing_width_mm is not None


def test_what_nothing_explains_stays_unexplained() -> None:
    """Without a known slip the finding says what it said."""
    comparison = Comparison({}, (Finding("unexplained", "they contradict", ALL_AGAIN),))

    assert asking(comparison, None) is comparison
    assert asking(replace(comparison, findings=()), SLIP).findings == ()


def test_readings_that_the_tape_alone_cannot_explain_ask_about_the_slip_first() -> None:
    """Four readings off in four ways do not close; a slip that explains them is asked about."""
    off = {
        "width_bottom": "55", "width_middle": "47 11/16", "width_top": "60", "height_left": "76", "height_right": "70",
        "diagonal_rising": "89 5/8", "diagonal_falling": "100",
    }  # fmt: skip
    closure = closed(off)
    assert closure.adjusted is not None
    assert closure.adjusted.doubt.kind == "unexplained"

    (finding,) = closing(closure, SLIP)
    assert finding.code == "readings-do-not-close"
    assert finding.next.startswith("First ask about")
    assert closing(closure, None) == closure.findings


@pytest.mark.parametrize("name", ["width_top", "height_left"])
@pytest.mark.parametrize(("mm", "said"), [(41.0, True), (199.0, True), (201.0, False), (5990.0, False), (6500.0, True)])
def test_a_size_that_no_opening_has_is_a_finding(name: str, mm: float, said: bool) -> None:
    """A card said to be five metres behind the opening makes it 41 mm wide: the scale is in doubt, not the tape alone."""
    whole = made.opening()
    mean = whole.quantities.mean.copy()
    mean[whole.quantities.names.index(name)] = mm
    odd = replace(whole, quantities=replace(whole.quantities, mean=mean))
    found = odd_sizes(odd, Settings())

    assert [one.code for one in found] == (["scale-in-doubt"] if said else [])
    assert all(f"{mm:.0f} mm" in one.text and "card offset" in one.next for one in found)
    assert odd_sizes(replace(odd, scale_refused=True), Settings()) == ()
    assert odd_sizes(None, Settings()) == ()


def test_readings_that_do_not_close_are_measured_again_as_the_comparison_asks() -> None:
    """Where all readings are to be measured again after a question, the tape's own finding asks for nothing else."""
    alone = Finding("readings-do-not-close", "they do not close", "Measure two of them again.")
    comparison, _ = swapped()
    order = decide_order(
        comparison,
        tape(SWAPPED).gaussian,
        None,
        has_head=True,
        smallest_width_photo_mm=None,
        findings=(alone,),
        cannot_measure=None,
    )

    assert order.reasons[0].code == "readings-do-not-close"
    assert order.reasons[0].next == comparison.findings[0].next
