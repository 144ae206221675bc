"""Plans as one asks for them, and what a check advises when it could not tell."""

from __future__ import annotations

import io
import json
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest
from PIL import Image

from tests.test_samples import FOLDER, answer, request
from vision.check import PlanRequest, check, plan, plan_json, plan_png
from vision.errors import BadInput
from vision.planning import Change, Plan
from vision.report.drawing import CARD
from vision.settings import Settings
from vision.tape.readings import facts_from_toml

SETTINGS = Settings()
ONE = PlanRequest("56 in", "78 in", ("id-1 left-middle",))
FOUR = replace(ONE, references=("id-1 left-top right-bottom right-top left-bottom",), plumb_line=True)


@cache
def planned(request: PlanRequest) -> Plan:
    return plan(request, SETTINGS)


@cache
def data(request: PlanRequest) -> dict[str, Any]:
    return plan_json(planned(request))


def test_opposite_corners_are_proposed_instead_of_one_card_beside() -> None:
    """In the words that one would use, with what it brings."""
    texts = [str(change) for change in planned(ONE).changes]
    assert any(t.startswith("two bank-size cards at opposite corners instead of one beside the wall: ") for t in texts)
    assert all(t.endswith(" mm") for t in texts)


def test_one_small_card_is_warned_of_where_both_tilts_fit() -> None:
    """A bank card beside the wall would usually be refused, a sheet or four cards would not; the warning says why."""
    (warning,) = data(ONE)["warnings"]
    assert "tilt-two-ways" in warning
    assert "1422 or" in warning
    assert data(FOUR)["warnings"] == []
    assert data(replace(ONE, references=("letter left-middle",)))["warnings"] == []


def test_what_helps_most_stands_first() -> None:
    """By what is left, each change worth saying, all from the same state."""
    changes = planned(ONE).changes
    assert [c.after_mm for c in changes] == sorted(c.after_mm for c in changes)
    assert {c.before_mm for c in changes} == {max(data(ONE)["sizes"][f"width_{w}"]["u_mm"] for w in ("top", "middle", "bottom"))}
    assert all(c.after_mm < SETTINGS.plan.worth_saying * c.before_mm for c in changes)


def test_a_change_that_is_made_brings_what_was_said() -> None:
    """Two cards at opposite corners, planned, have the u that the change promised."""
    said = next(c for c in planned(ONE).changes if c.text.startswith("two bank-size cards"))
    made = data(replace(ONE, references=("id-1 left-top right-bottom",)))
    assert max(made["sizes"][f"width_{w}"]["u_mm"] for w in ("top", "middle", "bottom")) == pytest.approx(said.after_mm, rel=1e-6)


def test_measuring_an_unmeasured_sheet_is_proposed() -> None:
    """Paper is cut to 2 mm, and that is the largest error of a sheet."""
    texts = [c.text for c in planned(replace(ONE, references=("letter right-middle",))).changes]
    assert "two sides of the Letter sheet measured to 0.3 mm" in texts
    measured = planned(replace(ONE, references=("letter=215.9x279.4mm+-0.3 right-middle",))).changes
    assert not any("measured to" in c.text for c in measured)


def test_nothing_is_proposed_where_nothing_helps_much() -> None:
    """Four measured frames of flat paper near the corners are about as good as it gets."""
    frames = "quarter=176x196mm+-0.3 left-top right-bottom right-top left-bottom"
    assert planned(replace(FOUR, references=(frames,))).changes == ()


def test_flat_paper_is_proposed_instead_of_bank_cards() -> None:
    """A bank card's own shadow hides its edge. Four of them are worth nearly as much: then the unknown depth is what counts."""
    two = planned(replace(FOUR, references=("id-1 left-top right-bottom",)))
    texts = [c.text for c in two.changes]
    assert any(
        t.startswith("four printed small sheets near the corners, measured, instead of two bank-size cards") for t in texts
    )
    frames = planned(replace(FOUR, references=("quarter=176x196mm+-0.3 left-top right-bottom right-top left-bottom",)))
    assert frames.expected.quantities.u("width_top") < planned(FOUR).expected.quantities.u("width_top")


def test_a_slip_that_shows_is_vouched_for() -> None:
    """vouched_for is what the judge would say of a reading that agrees: own and common slip within the limit."""
    frames = replace(FOUR, references=("quarter=176x196mm+-0.3 left-top right-bottom right-top left-bottom",))
    for request_ in (ONE, FOUR, frames):
        for size in data(request_)["sizes"].values():
            hidden = max(size["smallest_visible_slip_mm"], size["smallest_visible_common_slip_mm"])
            assert size["vouched_for"] == (hidden <= SETTINGS.judge.slip_limit_mm)
    assert not data(ONE)["sizes"]["width_top"]["vouched_for"]
    assert data(frames)["sizes"]["width_top"]["vouched_for"]


def test_no_plan_shows_an_eighth() -> None:
    """The tape alone is not that certain."""
    assert all(s["smallest_visible_slip_mm"] > 25.4 / 8 for s in data(FOUR)["sizes"].values())


def test_budgets_add_up_and_nothing_is_nan() -> None:
    """The squares of a budget are the square of u, and the whole is JSON."""
    for size in data(FOUR)["sizes"].values():
        assert sum(v * v for v in size["budget_mm"].values()) == pytest.approx(size["u_mm"] ** 2, abs=1e-9)
    assert json.loads(json.dumps(data(FOUR), allow_nan=False)) == data(FOUR)


def test_leans_are_planned_with_a_plumb_line_only() -> None:
    """As after a check; taper and rack always."""
    assert set(data(ONE)["walls"]) == {"u_taper_mm_per_m", "u_rack_mm_per_m"}
    assert {"u_lean_left_mm_per_m", "u_lean_right_mm_per_m"} <= set(data(FOUR)["walls"])


@pytest.mark.parametrize(
    ("change", "where"),
    [
        ({"width": "56"}, "width"),
        ({"height": "tall"}, "height"),
        ({"distance": "-2 m"}, "distance"),
        ({"distance": "1.2 m"}, "distance"),
        ({"focal_35mm": 4.0}, "focal"),
        ({"references": ()}, "references"),
        ({"references": ("id-1 somewhere",)}, "reference 'id-1 somewhere'"),
    ],
)
def test_what_cannot_be_planned_is_refused_by_its_place(change: dict[str, Any], where: str) -> None:
    """Text that says no length, a distance from where it does not fit, a place that is none."""
    with pytest.raises(BadInput) as refused:
        plan(replace(ONE, **change), SETTINGS)
    assert refused.value.where == where


@pytest.mark.parametrize("distance", ["5 mm", "0.3 m", "1.2 m", "1.6 m"])
def test_a_distance_that_is_too_short_is_refused_with_one_that_does(distance: str) -> None:
    """However short it is: what is needed is enough, and a fifth less is not."""
    with pytest.raises(BadInput) as refused:
        plan(replace(ONE, distance=distance), SETTINGS)
    assert distance in refused.value.found
    needed = float(refused.value.needed.split()[1])

    assert plan(replace(ONE, distance=f"{needed} m"), SETTINGS).expected is not None
    with pytest.raises(BadInput):
        plan(replace(ONE, distance=f"{0.8 * needed} m"), SETTINGS)


def test_the_drawing_shows_the_references_to_scale() -> None:
    """A picture with as many coloured outlines as references; the largest change is written below."""
    pixels = np.asarray(Image.open(io.BytesIO(plan_png(planned(FOUR)))).convert("RGB")).astype(int)
    card = np.all(np.abs(pixels - CARD) < 12, axis=-1)
    halves = [card[:650, :500], card[:650, 500:], card[650:, :500], card[650:, 500:]]
    assert all(half.sum() > 100 for half in halves)
    assert plan_png(planned(ONE)) != plan_png(planned(FOUR))


def test_a_check_that_cannot_tell_says_why_and_what_to_change() -> None:
    """Room 3: the sheet's size is what limits the diagonals, and more sheets round the opening would help."""
    reasons = [r for r in answer("room3_sheet_beside", 0)["order"]["reasons"] if r["code"] == "no-second-witness"]
    assert len(reasons) == 1
    assert "the references' size" in reasons[0]["next"]
    assert " becomes " in reasons[0]["next"]
    assert reasons[0]["next"].endswith("Or have a second person measure.")


def test_advice_is_silent_where_the_photo_was_not_the_cause() -> None:
    """Room 10 tells everything: with one reading an inch long that is the cause of the hold, so nothing is advised."""
    asked = request("room10_two_sheets_plumb", 0)
    readings = (
        (FOLDER / "room10_two_sheets_plumb.readings.toml")
        .read_text()
        .replace('width_middle = "55 1/8"', 'width_middle = "56 1/8"')
    )
    report = check(replace(asked, tape=facts_from_toml(readings)), SETTINGS)
    assert {r.code for r in report.order.reasons} == {"readings-do-not-close", "suspect-reading"}
    assert not any(" becomes " in r.next for r in report.order.reasons)


def test_a_change_reads_as_a_sentence() -> None:
    """Before and after to a tenth."""
    assert str(Change("two cards at opposite corners instead of one beside the wall", 4.61, 1.18)) == (
        "two cards at opposite corners instead of one beside the wall: 4.6 mm becomes 1.2 mm"
    )


@pytest.mark.parametrize("side", ["width", "height"])
@pytest.mark.parametrize("text", ["1 mm", "4 mm", "199 mm", "6.1 m"])
def test_what_is_no_opening_is_not_planned(side: str, text: str) -> None:
    """The side that was typed is named, with what an opening measures."""
    with pytest.raises(BadInput, match="check the digits and the unit") as refused:
        plan(replace(ONE, **{side: text}), SETTINGS)
    assert refused.value.where == side
    assert "200 to 6000 mm" in refused.value.needed
