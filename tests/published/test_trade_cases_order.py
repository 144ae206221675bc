"""The invented cases of the trade (common practice; twelve openings and some seeds): what may be ordered from each.

Numbers are those of the cases. Where our verdict differs from the trade's words (accept, repeat, hold, quote only), the test
says why. Here only the order is looked at; what the readings say about themselves is tested with the tape.
"""

from __future__ import annotations

import pytest

from tests.judge.openings import INCH, codes, door_of, ordered, photo, sizes_in, tape, walls
from tests.tolerances import EXACT, PRINTED
from vision.judge.quantities import KG_PER

LB = float(KG_PER["lb"])
CLEAN = {"Wb": "28 1/16", "Wm": "28 1/16", "Wt": "28", "Hl": "76", "Hr": "76", "D1": "81", "D2": "81"}
IN_SCALE = {"sd_mm": 0.15 * INCH, "scale_sd": 0.01}
"""a photo that is good to 0.15 in along an edge and to one part in a hundred in scale, as in the cases"""


def test_case_1_a_clean_single_door_gives_its_cut_size() -> None:
    """Smallest 28 makes a door of 27-5/8 by 75-5/8, 71 to 74 lb, on two hinges; accepted there by two sets of readings, here
    because a photo with four cards would have shown half an inch."""
    taped = tape(CLEAN)
    order = ordered("hinged-door", taped, photo(taped), walls(0.0, 1 / 16))
    pane = door_of(order).panes[0]

    assert (order.status, order.governing_width_mm) == ("ready", pytest.approx(28 * INCH, rel=EXACT))
    assert sizes_in(order) == {"door_width": pytest.approx(27.625, rel=EXACT), "door_height": pytest.approx(75.625, rel=EXACT)}
    assert (pane.mass_low_kg / LB, pane.mass_kg / LB) == (
        pytest.approx(71, abs=PRINTED("71")), pytest.approx(74, abs=PRINTED("74")),
    )  # fmt: skip
    assert (pane.hinges, door_of(order).hinge_wall) == (2, "left")


def test_case_1_with_a_photo_of_proportions_only_has_no_second_witness() -> None:
    """With the case's own photo (W/H to 1 %) we hold, for half an inch would not have shown in it; the trade accepts by two
    sets of readings, which the photo does not replace."""
    taped = tape(CLEAN)
    order = ordered("hinged-door", taped, photo(taped, **IN_SCALE), walls(0.0, 1 / 16))

    assert set(codes(order)) == {"no-second-witness"}
    assert sizes_in(order) == {"door_width": None, "door_height": None}


def test_case_2_one_burnt_inch_withholds_the_sizes() -> None:
    """The middle width is to be measured again; no width governs although the smallest, 59-3/4, would not change."""
    taped = tape({"Wb": "59 7/8", "Wm": "60 13/16", "Wt": "59 3/4", "Hl": "58", "Hr": "58"})
    order = ordered("tub-sliding-kit", taped, photo(taped, {"Wm": 59.8125}), walls(0.0, 0.0))

    assert (order.governing_width_mm, codes(order)[0]) == (None, "suspect-reading")
    assert sizes_in(order)["kit_from"] is None


def test_case_3_all_widths_burnt_gives_no_size() -> None:
    """Widths an inch long together (true 59-3/4): every one suspect where the photo's scale is good, and nothing is given."""
    taped = tape({"Wb": "60 3/4", "Wm": "60 3/4", "Wt": "60 11/16", "Hl": "58", "Hr": "58", "D1": "83 1/4", "D2": "83 1/4"})
    seen = photo(taped, {"Wb": 59.75, "Wm": 59.75, "Wt": 59.6875})
    order = ordered("tub-sliding-kit", taped, seen, walls(0.0, 1 / 16))

    assert order.status == "hold"
    assert order.governing_width_mm is None
    assert set(sizes_in(order).values()) == {None}


def test_case_4_a_case_that_was_not_added_gives_no_size() -> None:
    """Widths three inches short beside a photo that has only proportions: suspect together or the scale in doubt, held either
    way, and the header is not cut to 56-3/4."""
    taped = tape({"Wb": "56 3/4", "Wm": "56 13/16", "Wt": "56 3/4", "Hl": "60", "Hr": "60"})
    seen = photo(taped, {"Wb": 59.75, "Wm": 59.8125, "Wt": 59.75}, **IN_SCALE)
    order = ordered("tub-sliding-kit", taped, seen, walls(0.0, 0.0))

    assert order.status == "hold"
    assert sizes_in(order)["header_length"] is None


CASE_5 = {"Wb": "47 15/16", "Wm": "47 11/16", "Wt": "47 7/16", "Hl": "76", "Hr": "76", "D1": "89 5/8", "D2": "89 13/16"}


def test_case_5_good_readings_and_a_wall_beyond_the_limit() -> None:
    """Governing 47-7/16, hinges on the left, the right edge would be tapered; 7/16 is over 3/8, so the order is held for a
    decision and the panel's width is withheld."""
    taped = tape(CASE_5)
    order = ordered("panel-and-door", taped, photo(taped), walls(1 / 16, 7 / 16))
    door = door_of(order)

    assert order.governing_width_mm == pytest.approx(47.4375 * INCH, rel=EXACT)
    assert door.hinge_wall == "left"
    assert [hold.code for hold in door.holds] == ["lean-over-limit"]
    assert door.holds[0].limit is not None
    assert door.holds[0].limit.text == "3/8 in over 72 in"
    assert "the right wall leans into" in door.holds[0].text
    assert [size.name for size in door.sizes if size.withheld] == ["door_width", "panel_width_bottom", "panel_width_top"]


def test_case_5_as_a_framed_kit_needs_its_take_up() -> None:
    """A framed unit with 7/16 take-up or more takes it: with the usual 3/8 it is held, with half an inch each side only the
    lean limit of this kind is left to decide."""
    taped = tape(CASE_5)
    kit = {"kit_min": "44 in", "kit_max": "48 in"}
    usual = ordered("sliding-kit", taped, photo(taped), walls(1 / 16, 7 / 16), hardware=kit)
    wide = {**kit, "take_up": "5/8 in", "lean_limit": "1/2 in over 72 in"}
    roomy = ordered("sliding-kit", taped, photo(taped), walls(1 / 16, 7 / 16), hardware=wide)

    assert "take-up-exceeded" in codes(usual)
    assert roomy.status == "ready"
    assert (sizes_in(roomy)["header_length"], sizes_in(roomy)["track_length"]) == (
        pytest.approx(47.4375 - 0.125, rel=EXACT), pytest.approx(47.9375 - 0.125, rel=EXACT),
    )  # fmt: skip


def test_case_6_equal_widths_between_racked_walls_are_asked_for_plumb() -> None:
    """Three equal widths and unknown leans: held to level both walls, and no glass size is given."""
    taped = tape({"Wb": "35 15/16", "Wm": "35 15/16", "Wt": "35 15/16", "Hl": "76", "Hr": "76", "D1": "84 1/4", "D2": "83 15/16"})
    order = ordered("hinged-door", taped, photo(taped), None)

    assert "level-both-walls" in codes(order)
    assert door_of(order).sizes[0].withheld == ("level-both-walls",)


def test_case_6_with_the_answer_no_wall_hinged_glass_is_sized() -> None:
    """Left 3/8 in, right 3/8 out: neither wall may carry hinges, a rectangle would be 3/8 tight, and nothing is given."""
    taped = tape({"Wb": "35 15/16", "Wm": "35 15/16", "Wt": "35 15/16", "Hl": "76", "Hr": "76"})
    order = ordered("hinged-door", taped, photo(taped), walls(3 / 8, -3 / 8))

    assert "hinge-wall" in codes(order)
    assert "lean-over-limit" in codes(order)
    assert {value for name, value in sizes_in(order).items() if "width" in name} == {None}


def test_case_7_a_transposed_height_gives_no_height() -> None:
    """The right height is suspect: widths may be ordered by, heights may not."""
    taped = tape(
        {"Wb": "59 7/8", "Wm": "59 7/8", "Wt": "59 7/8", "Hl": "76 1/4", "Hr": "67 1/4", "D1": "96 15/16", "D2": "96 15/16"}
    )
    order = ordered("panel-and-door", taped, photo(taped, {"Hr": 76.25}), walls(0.0, 0.0))

    assert "suspect-reading" in codes(order)
    assert sizes_in(order)["panel_height"] is None
    assert sizes_in(order)["panel_width"] is not None


def test_case_8_a_metric_transposition_gives_no_width() -> None:
    """1244 between 1424 and 1422 is suspect, so the smallest is not taken for the governing width."""
    taped = tape({"Wb": "1424", "Wm": "1244", "Wt": "1422", "Hl": "1902", "Hr": "1902", "D1": "2375", "D2": "2376"}, unit="mm")
    order = ordered("sliding-kit", taped, photo(taped, {"Wm": 1423 / INCH}), walls(0.0, 0.0))

    assert order.governing_width_mm is None
    assert sizes_in(order)["kit_from"] is None
    assert sizes_in(order)["header_length"] is not None


def test_case_9_feet_and_inches_run_together_give_no_size_until_read_again() -> None:
    """Typed 56, seen 66: nothing is given; typed 5' 6 the smallest is 66."""
    heights = {"Hl": "72", "Hr": "72"}
    typed = tape({"Wb": "56", "Wm": "56 1/8", "Wt": "56 1/16", **heights, "D1": "97 11/16", "D2": "97 11/16"})
    held = ordered("sliding-kit", typed, photo(typed, {"Wb": 66, "Wm": 66.125, "Wt": 66.0625}), walls(0.0, 0.0))
    again = tape({"Wb": "5' 6", "Wm": "5' 6 1/8", "Wt": "5' 6 1/16", **heights, "D1": "97 11/16", "D2": "97 11/16"})
    kit = {"kit_min": "64 in", "kit_max": "68 in"}
    given = ordered("sliding-kit", again, photo(again), walls(0.0, 0.0), hardware=kit)

    assert sizes_in(held)["kit_from"] is None
    assert (given.status, sizes_in(given)["kit_from"]) == ("ready", pytest.approx(66, rel=EXACT))


def test_case_10_sixteenths_as_a_decimal_withhold_the_size() -> None:
    """59.13 beside 59-13/16 in the photo: the bottom width is suspect and 59-1/8 is not ordered by."""
    taped = tape({"Wb": "59.13", "Wm": "59 3/4", "Wt": "59 13/16", "Hl": "76", "Hr": "76"})
    order = ordered("panel-and-door", taped, photo(taped, {"Wb": 59.8125}), walls(0.0, 0.0))

    assert "suspect-reading" in codes(order)
    assert sizes_in(order)["panel_width"] is None


def test_case_11_round_numbers_with_a_card_good_to_an_inch_are_no_order() -> None:
    """60 and 76 throughout, the card's scale to 0.8 in: quote only there, here on hold for want of a second witness."""
    taped = tape({"Wb": "60", "Wm": "60", "Wt": "60", "Hl": "76", "Hr": "76"})
    order = ordered("sliding-kit", taped, photo(taped, sd_mm=0.4 * INCH, scale_sd=0.0067), walls(0.0, 0.0))

    assert set(codes(order)) >= {"no-second-witness"}
    assert set(sizes_in(order).values()) == {None}


def test_case_12_a_card_in_the_wrong_plane_blames_no_reading_and_gives_no_size() -> None:
    """All sizes 1.375 times the tape's: the scale is in doubt, no reading is suspect, nothing is given."""
    taped = tape({"Wb": "59 3/4", "Wm": "59 3/4", "Wt": "59 3/4", "Hl": "76", "Hr": "76"})
    seen = photo(taped, {"Wb": 82.2, "Wm": 82.2, "Wt": 82.2, "Hl": 104.5, "Hr": 104.5})
    order = ordered("sliding-kit", taped, seen, walls(0.0, 0.0))

    assert "suspect-reading" not in codes(order)
    assert set(sizes_in(order).values()) == {None}


def test_seed_a_the_smaller_of_two_tapes_gives_the_size() -> None:
    """59-3/4 and 59-7/8 by two tapes, 59-13/16 in the mean, are both accepted and the smaller one is ordered by."""
    taped = tape({"Wb": "59 7/8", "Wm": "59 13/16", "Wt": "59 7/8", "Hl": "76", "Hr": "76"})
    kit = {"kit_min": "56 in", "kit_max": "60 in"}
    order = ordered("sliding-kit", taped, photo(taped), walls(0.0, 0.0), hardware=kit, smallest_in={"Wm": 59.75})

    assert (order.status, sizes_in(order)["kit_from"]) == ("ready", pytest.approx(59.75, rel=EXACT))


def test_seed_b_heavy_glass_is_held_for_its_weight() -> None:
    """35-7/8 by 80 in half-inch glass is 129 lb there for the opening and 128 lb here for the door that is cut from it, over the
    120 of three hinges."""
    taped = tape({"Wb": "35 7/8", "Wm": "35 7/8", "Wt": "35 7/8", "Hl": "80", "Hr": "80"})
    order = ordered("hinged-door", taped, photo(taped), walls(0.0, 0.0), hardware={"glass": "1/2 in"})
    pane = door_of(order).panes[0]
    opening = 35.875 * 80 / 144 * 6.5

    assert opening == pytest.approx(129, abs=2 * PRINTED("129"))
    assert pane.mass_kg / LB == pytest.approx(128, abs=PRINTED("128"))
    assert (pane.hinges, pane.people) == (None, 3)
    assert "hinge-load" in codes(order)


def test_seed_c_width_and_height_swapped_give_no_size() -> None:
    """60 by 76 entered as 76 by 60: the photo contradicts every one of them and nothing is given."""
    taped = tape({"Wb": "76", "Wm": "76", "Wt": "76", "Hl": "60", "Hr": "60", "D1": "96 13/16", "D2": "96 13/16"})
    seen = photo(taped, {"Wb": 60, "Wm": 60, "Wt": 60, "Hl": 76, "Hr": 76})
    order = ordered("sliding-kit", taped, seen, walls(0.0, 0.0))

    assert order.status == "hold"
    assert set(sizes_in(order).values()) == {None}


def test_seed_e_a_kit_must_take_the_largest_width_too() -> None:
    """Range 56 to 60, widths 59-3/4 to 60-1/8: held, for the largest exceeds the range."""
    taped = tape({"Wb": "59 3/4", "Wm": "60", "Wt": "60 1/8", "Hl": "76", "Hr": "76"})
    kit = {"kit_min": "56 in", "kit_max": "60 in"}
    order = ordered("sliding-kit", taped, photo(taped), walls(-3 / 16, -3 / 16), hardware=kit)

    assert codes(order) == ["kit-range"]


def test_seed_f_a_light_reading_counts_a_thirty_second_less() -> None:
    """59-3/4 light is 59-23/32 here, where the page goes down to the next sixteenth; on our grid the size is the same."""
    taped = tape({"Wb": "59 3/4 light", "Wm": "59 7/8", "Wt": "59 7/8", "Hl": "76", "Hr": "76"})
    order = ordered("sliding-kit", taped, photo(taped), walls(0.0, 0.0), hardware={"kit_min": "56 in", "kit_max": "60 in"})

    assert order.governing_width_mm == pytest.approx((59 + 23 / 32) * INCH, rel=EXACT)
    assert sizes_in(order)["track_length"] == pytest.approx(59 + 11 / 16 - 1 / 8, rel=EXACT)


def test_seed_g_an_opening_under_the_clear_way_is_held() -> None:
    """A single door in 21-3/4 leaves less than the 22 in of the code; the building authority decides, not the program."""
    taped = tape({"Wb": "21 3/4", "Wm": "21 3/4", "Wt": "21 3/4", "Hl": "76", "Hr": "76"})
    order = ordered("hinged-door", taped, photo(taped), walls(0.0, 0.0))
    way = next(hold for hold in door_of(order).holds if hold.code == "clear-way")

    assert way.limit is not None
    assert (way.limit.text, way.limit.label) == ("22 in", "published: IRC P2708.1.1")
    assert way.decides == "the local building authority"


def test_seed_h_a_shortened_blade_gives_no_size() -> None:
    """Two inches on everything: with a good scale the photo sees a constant, the scale is in doubt, and nothing is given."""
    taped = tape({"Wb": "61 3/4", "Wm": "61 3/4", "Wt": "61 3/4", "Hl": "74", "Hr": "74", "D1": "95 5/8", "D2": "95 5/8"})
    truth = {"Wb": 59.75, "Wm": 59.75, "Wt": 59.75, "Hl": 72, "Hr": 72, "D1": 93.6, "D2": 93.6}
    order = ordered("sliding-kit", taped, photo(taped, truth), walls(0.0, 0.0))

    assert order.status == "hold"
    assert set(sizes_in(order).values()) == {None}


@pytest.mark.parametrize(
    ("kind", "widths", "hardware", "name", "inches"),
    [
        ("hinged-door", "28", {}, "door_width", 27 + 5 / 8),
        ("sliding-panels", "59 3/4", {}, "sliding_panel_width", 30 + 5 / 8),
        ("panel-and-door", "47 7/16", {"door_width": "28 in"}, "panel_width", 18 + 15 / 16),
        ("mirror", "47 7/16", {}, "piece_width", 47 + 3 / 16),
        ("ceiling-panel", "47 7/16", {}, "piece_width", 47 + 3 / 16),
    ],
)
def test_worked_sizes_of_the_trade(kind: str, widths: str, hardware: dict[str, str], name: str, inches: float) -> None:
    """28 makes a door of 27-5/8, 59-3/4 two panels of 30-5/8, 47-7/16 beside a 28 in door a panel of 18-15/16."""
    taped = tape({"Wb": widths, "Wm": widths, "Wt": widths, "Hl": "76", "Hr": "76"})
    order = ordered(kind, taped, photo(taped), walls(0.0, 0.0), hardware=hardware)

    assert sizes_in(order)[name] == pytest.approx(inches, rel=EXACT)
