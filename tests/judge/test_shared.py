"""Differences that exceed a reading's own smallest visible slip, although nothing contradicts."""

from __future__ import annotations

import pytest

from tests.judge.openings import base_order
from tests.judge.simulation import speaks, world
from tests.judge.taped import taped as read
from tests.judge.test_compare import ALL, SIZES, judge, photo_of, tape_of
from vision.judge.compare import compare
from vision.judge.shared import shared_notes
from vision.judge.verdicts import Comparison

SCALE, ALIKE = 0.0012, 0.0035
"""sd of the photo's scale, and by what share of themselves all readings are longer: 2.9 sd, which contradicts nothing"""


def compared(wrong: dict[str, float] | None = None) -> Comparison:
    """All readings longer by the same share, and these by so many mm besides."""
    alike = {name: ALIKE * SIZES[name] + (wrong or {}).get(name, 0.0) for name in ALL}
    return judge(photo_of(scale=SCALE), tape_of(alike))


def test_a_difference_that_others_share_agrees_with_a_note() -> None:
    """8.6 mm on a diagonal where 7.3 would show in it alone: less than one is its own, and that is said; nothing is held."""
    comparison = compared()
    diagonal = comparison.readings["diagonal_rising"]
    assert diagonal.difference_mm is not None
    assert diagonal.smallest_visible_slip_mm is not None
    assert diagonal.own_mm is not None
    (note,) = shared_notes(comparison)

    assert diagonal.verdict == "agrees"
    assert diagonal.difference_mm > diagonal.smallest_visible_slip_mm > diagonal.own_mm
    assert not speaks(comparison)
    assert note.is_note
    assert f"{diagonal.difference_mm:+.1f} mm ({diagonal.smallest_visible_slip_mm:.1f} mm would show" in note.text
    assert f"{diagonal.own_mm:+.1f} mm are its own" in note.text
    assert "width" not in note.text


@pytest.mark.parametrize("name", ["height_left", "width_top"])
def test_a_difference_beyond_what_could_stay_unseen_does_not_agree(name: str) -> None:
    """More than both smallest visible slips, and nothing contradicts: it alone cannot be told, and nothing is named."""
    comparison = compared({name: 4.0})
    one = comparison.readings[name]

    assert one.is_beyond
    assert {other: verdict.verdict for other, verdict in comparison.readings.items() if verdict.verdict != "agrees"} == {
        name: "cannot tell"
    }
    assert not speaks(comparison)
    assert name.replace("_", " ") not in "".join(note.text for note in shared_notes(comparison))


def test_what_differs_too_much_to_agree_is_measured_again() -> None:
    """The order does not say that a mistake would not show: it says by how much the reading differs."""
    comparison = compared({"height_left": 4.0})
    order = base_order(read({name: f"{mm:.0f} mm" for name, mm in SIZES.items()}), comparison, None, has_head=True)
    reason = order.reasons[0]

    assert reason.code == "no-second-witness"
    assert "the left height by +11.0 mm" in reason.text
    assert "vouch" not in reason.text
    assert "measure again" in reason.next
    assert reason.next.endswith("the left height.")


def test_readings_that_fit_have_no_note() -> None:
    """Nothing exceeds anything."""
    assert shared_notes(judge(photo_of(), tape_of())) == ()
    assert shared_notes(compare(None, tape_of(), {})) == ()


def test_what_is_its_own_is_found_beside_a_suspect_reading() -> None:
    """A slip elsewhere is no share of a good reading's own."""
    comparison = judge(photo_of(), tape_of({"width_top": 25.4}))

    assert comparison.readings["width_top"].verdict == "suspect"
    assert comparison.readings["height_left"].own_mm == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("layout", ["2 bank cards, corners", "4 bank cards", "4 A4 measured"])
def test_clean_checks_seldom_lose_a_verdict_by_it(layout: str) -> None:
    """With references around the opening a clean reading differs by more than both in less than one check in a hundred."""
    checks = [check for check, _ in world(layout, 7).draws(300)]

    assert sum(any(one.is_beyond and not one.explanations for one in check.readings.values()) for check in checks) <= 6
