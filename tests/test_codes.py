"""Every code of the closed list is produced by some test, or waits for a later version."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from vision.errors import CODES, RESERVED_CODES

ROOT = Path(__file__).resolve().parent.parent
CHECK, CONSISTENCY, COMPARE = "tests/test_check.py", "tests/geometry/test_consistency.py", "tests/judge/test_compare.py"
ORDERING, TRADE = "tests/judge/test_ordering.py", "tests/published/test_trade_cases_order.py"
PRODUCED_BY: dict[str, tuple[str, str]] = {
    "card-missing": (CHECK, "test_a_photo_without_a_card_cannot_be_measured"),
    "card-kind": (CHECK, "test_a_statement_about_a_card_that_is_another_is_a_finding"),
    "card-plane": (CHECK, "test_a_card_inside_the_outline_carries_no_scale"),
    "cards-disagree": (CONSISTENCY, "test_two_that_contradict_each_other_are_refused"),
    "tilt-two-ways": (CONSISTENCY, "test_the_refusal_names_both_widths"),
    "scale-in-doubt": (COMPARE, "test_three_widths_alone_an_inch_off_leave_the_scale_in_doubt"),
    "unexplained": (COMPARE, "test_three_different_mistakes_are_unexplained"),
    "opening-cut": (CHECK, "test_an_opening_that_is_cut_off_is_refused"),
    "edge-hidden": (CHECK, "test_two_edges_that_are_not_there_are_refused"),
    "blur": (CHECK, "test_a_blurred_photo_is_refused"),
    "cue-disagrees": (CHECK, "test_verticals_that_contradict_each_other_are_a_finding"),
    "no-second-witness": (CHECK, "test_a_reading_without_a_counterpart_has_no_second_witness"),
    "no-readings": (CHECK, "test_without_readings_the_order_is_held"),
    "no-metadata": (CHECK, "test_without_metadata_four_sheets_carry_the_focal_length"),
    "not-an-image": (CHECK, "test_what_is_no_picture_cannot_be_measured_and_the_tape_is_judged_all_the_same"),
    "too-large": (CHECK, "test_too_large_a_file_cannot_be_measured"),
    "too-small": (CHECK, "test_a_picture_that_is_too_small_is_refused_as_such"),
    "needs-corners": (CHECK, "test_without_corners_they_are_asked_for"),
    "no-vertical": (CHECK, "test_everything_is_measured_of_a_good_photo"),
    "no-head": (CHECK, "test_without_head_and_height_no_width_is_measured"),
    "suspect-reading": (CHECK, "test_an_inch_on_one_reading_is_suspect_alone"),
    "readings-missing": (CHECK, "test_a_missing_reading_is_asked_for"),
    "lean-over-limit": (CHECK, "test_leaning_walls_are_held"),
    "taper-over-limit": (CHECK, "test_a_tapered_opening_is_held"),
    "rectangle-too-narrow": (CHECK, "test_leaning_walls_are_held"),
    "card-bent": ("tests/geometry/test_card_doubts.py", "test_a_sheet_that_bulges_is_said_to"),
    "card-cut": ("tests/geometry/test_cut.py", "test_a_photo_whose_only_sheet_is_cut_is_refused"),
    "readings-differ": ("tests/tape/test_repeats.py", "test_repeats_an_eighth_apart_pass_and_further_apart_are_a_finding"),
    "readings-do-not-close": ("tests/judge/test_closure.py", "test_three_widths_an_inch_long_do_not_close_with_the_diagonals"),
    "witness-overruled": ("tests/judge/test_witnesses.py", "test_a_verdict_that_is_lifted_is_said"),
    "level-both-walls": (CHECK, "test_leans_that_are_not_known_are_asked_for"),
    "taper-decision": (ORDERING, "test_a_leaning_wall_tapers_the_panel_beside_it"),
    "hinge-wall": (ORDERING, "test_the_chosen_hinge_wall_must_bear_hinges"),
    "hinge-load": (TRADE, "test_seed_b_heavy_glass_is_held_for_its_weight"),
    "door-width": (ORDERING, "test_a_door_beyond_its_widths_is_held"),
    "panel-width": (ORDERING, "test_a_panel_too_narrow_to_temper_is_held"),
    "clear-way": (TRADE, "test_seed_g_an_opening_under_the_clear_way_is_held"),
    "kit-range": (TRADE, "test_seed_e_a_kit_must_take_the_largest_width_too"),
    "take-up-exceeded": (TRADE, "test_case_5_as_a_framed_kit_needs_its_take_up"),
    "out-of-square": (ORDERING, "test_a_window_is_judged_by_its_diagonals"),
    "bow-over-limit": (ORDERING, "test_a_belly_beyond_an_eighth_is_held"),
    "curb-over-limit": (ORDERING, "test_a_curb_out_of_level_is_asked_about_then_held"),
    "gap-at-risk": (ORDERING, "test_a_gap_that_may_be_used_up_is_held"),
    "size-limits": (ORDERING, "test_sizes_that_no_opening_has_are_asked_about"),
    "number-missing": (ORDERING, "test_a_number_that_only_the_hardware_knows_is_asked_for"),
}
"""Code -> file and function"""

ADDED = frozenset(
    {
        "readings-do-not-close", "witness-overruled", "taper-decision", "hinge-wall", "hinge-load", "door-width", "panel-width",
        "clear-way", "kit-range", "take-up-exceeded", "out-of-square", "bow-over-limit", "curb-over-limit", "gap-at-risk",
        "size-limits", "number-missing", "too-small",
    }
)  # fmt: skip
"""codes that came after the first list"""
FIRST = """
card-missing card-kind card-plane card-bent card-cut cards-disagree tilt-two-ways scale-in-doubt unexplained opening-cut
edge-hidden blur cue-disagrees no-second-witness no-readings no-metadata not-an-image too-large needs-corners no-vertical no-head
suspect-reading readings-missing readings-differ lean-over-limit taper-over-limit rectangle-too-narrow level-both-walls
"""


def test_the_list_is_the_first_one_and_what_was_added_to_it() -> None:
    """No code is renamed or dropped, and none comes without a word in DEVELOPERS.md."""
    assert set(FIRST.split()) | ADDED == CODES
    text = (ROOT / "DEVELOPERS.md").read_text()
    assert not [code for code in ADDED if f"`{code}`" not in text]


def test_every_code_is_tested_or_reserved() -> None:
    """The table and the reserved ones are the whole list, and no code is in both."""
    assert set(PRODUCED_BY) | RESERVED_CODES == CODES
    assert set(PRODUCED_BY) & RESERVED_CODES == set()


@pytest.mark.parametrize("code", sorted(PRODUCED_BY))
def test_the_test_named_for_a_code_is_there_and_names_it(code: str) -> None:
    """The function exists, and its text holds the code."""
    file, name = PRODUCED_BY[code]
    text = (ROOT / file).read_text()
    bodies = {
        node.name: ast.get_source_segment(text, node) for node in ast.walk(ast.parse(text)) if isinstance(node, ast.FunctionDef)
    }
    assert name in bodies
    assert code in (bodies[name] or "")


SCREENING = ("settings_screen.py", "screening_reasons.py", "message.py")
"""the screening has a list of its own, SCREEN_CODES, which shares some codes with this one"""


def test_a_reserved_code_is_not_produced() -> None:
    """No module of the library but the list itself names it."""
    for path in (ROOT / "vision").rglob("*.py"):
        if path.name not in ("errors.py", *SCREENING):
            assert not [code for code in RESERVED_CODES if f'"{code}"' in path.read_text()], path.name
