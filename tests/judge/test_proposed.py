"""Whether a found outline is asked about first where the readings contradict it, and only there."""

from __future__ import annotations

import pytest

from vision.judge.proposed import asking_about_the_outline
from vision.judge.verdicts import Comparison, Order, ReadingVerdict, Reason

AGREED = Comparison({"width_top": ReadingVerdict("width_top", "1000 mm", 1000.0, 0.5, 1000.4, 1.0, -0.4, "agrees", 4.0, 5.0)})
SUSPECT = Comparison({"width_top": ReadingVerdict("width_top", "1025.4 mm", 1025.4, 0.5, 1000.4, 1.0, 25.0, "suspect", 4.0, 5.0)})
NEXT = "Measure the top width again."


def held(*codes: str) -> Order:
    """An order on hold for reasons of these codes."""
    return Order("hold", 1000.0, tuple(Reason(code, "text", "action") for code in codes), (NEXT,))


@pytest.mark.parametrize(
    ("order", "comparison", "proposed", "asked"),
    [
        (held("unexplained"), AGREED, [1], True),
        (held("taper-over-limit"), SUSPECT, [1], True),
        (held("taper-over-limit"), AGREED, [1], False),
        (held("unexplained"), SUSPECT, [], False),
    ],
)
def test_a_found_outline_is_asked_about_where_readings_contradict_it(
    order: Order, comparison: Comparison, proposed: list[int], asked: bool
) -> None:
    """First of all; marked corners and readings that agree leave the order as it is."""
    done = asking_about_the_outline(order, comparison, proposed)
    assert ("outline" in done.next[0]) == asked
    assert done.next[-1] == NEXT
    assert (done.status, done.reasons) == (order.status, order.reasons)


def test_of_several_photos_those_are_named() -> None:
    """The second and third of them here, in that order."""
    assert "photo 2, 3" in asking_about_the_outline(held("unexplained"), AGREED, [3, 2]).next[0]
