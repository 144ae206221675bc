"""Sizes to order, and the limits that hold them, kind by kind."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import replace

import numpy as np
import pytest

from tests.judge.openings import INCH, SHORT, codes, door_of, ordered, photo, sizes_in, suiting, tape, walls
from tests.tolerances import EXACT
from vision.errors import BadInput
from vision.gaussian import Array, Gaussian
from vision.judge.door_records import Gap
from vision.judge.doors import choose_door, kinds
from vision.judge.makeable import fitting_door
from vision.judge.verdicts import Order
from vision.tape.readings import Taped, facts_from_mapping, read_tape

PLUMB = {"Wb": "48", "Wm": "48", "Wt": "48", "Hl": "76", "Hr": "76"}
KIT = {"kit_min": "44 in", "kit_max": "48 in"}


def good(kind: str, taped: Taped | None = None, leans: Gaussian | None = None, **hardware: object) -> Order:
    of = tape(PLUMB) if taped is None else taped
    return ordered(kind, of, photo(of), walls(0.0, 0.0) if leans is None else leans, hardware=hardware or None)


def gaps(order: Order) -> dict[str, Gap]:
    return {gap.edge: gap for gap in door_of(order).gaps}


def tapered(top: str, **more: str) -> Taped:
    """48 in at the curb, `top` at 76 in, straight between."""
    middle = f"{(48 + float(top)) / 2}"
    return tape({"Wb": "48", "Wm": middle, "Wt": top, "Hl": "76", "Hr": "76", **more})


LEANING = tapered("47.75")
ALL_RIGHT = walls(0.0, 1 / 4, over_in=76)
"""the right wall alone makes the taper of LEANING, 1/4 in over 76 in"""


def test_a_leaning_wall_tapers_the_panel_beside_it() -> None:
    """Hinges on the plumb wall, the panel narrower at the top by what the wall leans, its door edge square."""
    order = good("panel-and-door", LEANING, ALL_RIGHT)
    pane = next(pane for pane in door_of(order).panes if pane.name == "panel")

    assert codes(order) == ["taper-decision"]
    assert (pane.tapered_edge, pane.square_edge, door_of(order).hinge_wall) == ("right", "left", "left")
    assert (pane.bottom_mm / INCH, pane.top_mm / INCH) == (pytest.approx(19.5, rel=EXACT), pytest.approx(19.25, rel=EXACT))
    assert {n: v for n, v in sizes_in(order).items() if n.startswith("panel_width")} == {
        "panel_width_bottom": pytest.approx(19.5, rel=EXACT),
        "panel_width_top": pytest.approx(19.25, rel=EXACT),
    }
    assert gaps(order)["right wall"].first_mm == pytest.approx(INCH / 8, abs=1e-6), "1/8 in all the way up"
    assert gaps(order)["right wall"].second_mm == pytest.approx(INCH / 8, abs=1e-6)


def test_the_mirrored_opening_gives_the_mirrored_panel() -> None:
    """With the left wall leaning the hinges are on the right and the left edge is tapered."""
    order = good("panel-and-door", LEANING, walls(1 / 4, 0.0, over_in=76))
    pane = next(pane for pane in door_of(order).panes if pane.name == "panel")

    assert (pane.tapered_edge, door_of(order).hinge_wall) == ("left", "right")
    assert (pane.bottom_mm / INCH, pane.top_mm / INCH) == (pytest.approx(19.5, rel=EXACT), pytest.approx(19.25, rel=EXACT))
    assert gaps(order)["left wall"].first_mm == pytest.approx(gaps(order)["left wall"].second_mm, abs=1e-6), "follows the wall"


def test_what_both_walls_lean_alike_comes_off_where_the_gap_cannot_bear_it() -> None:
    """Equal widths, both walls 1/8 in to the right over the height: a door 1/8 in narrower, and no gap under its share."""
    taped = tape({"Wb": "28", "Wm": "28", "Wt": "28", "Hl": "76", "Hr": "76"})
    order = good("hinged-door", taped, walls(1 / 8, -1 / 8, over_in=76))

    assert codes(order) == []
    assert sizes_in(order)["door_width"] == pytest.approx(27.625 - 1 / 8, rel=EXACT)
    assert min(min(g.first_mm, g.second_mm) for g in gaps(order).values() if "wall" in g.edge) >= 3 / 16 * INCH - 1e-6


def test_a_gap_that_may_be_used_up_is_held() -> None:
    """With a strike gap of 1/16 in the tape alone can use it up: held, with the budget in words."""
    order = good("hinged-door", tape({**PLUMB, "Wb": "28", "Wm": "28", "Wt": "28"}), gap_strike="1/16 in")

    assert codes(order) == ["gap-at-risk"]
    assert "too much" in order.reasons[0].text


@pytest.mark.parametrize("wide", ["28", "28 1/32"])
def test_the_sum_of_a_gap_at_risk_can_be_done_by_hand(wide: str) -> None:
    """Everything that enters it is said, the rounding where there is one: what is had less what may run against it."""
    widths = dict.fromkeys(("Wb", "Wm", "Wt"), wide)
    order = good("hinged-door", tape({**PLUMB, **widths}), gap_strike="0 mm")
    text = next(reason.text for reason in order.reasons if reason.code == "gap-at-risk")
    had, against = text.split("the glass may take")
    plus = [float(mm) for mm in re.findall(r"([0-9.]+) mm", had)]
    glass, tape_mm, shape, together, lean, over = (float(mm) for mm in re.findall(r"([0-9.]+) mm", against))

    assert ("rounded down" in had) == (wide != "28")
    assert len(plus) == (1 if wide == "28" else 2)
    assert together == pytest.approx(math.hypot(tape_mm, shape), abs=0.1)  # each is printed to 0.1
    assert glass + together + lean - sum(plus) == pytest.approx(over, abs=0.25)  # five numbers printed to 0.1


def test_a_slab_wider_than_any_is_held() -> None:
    """One door of 53 in is none: a doorway of 55 in has two, or the readings are another opening's."""
    sizes = {"Hl": "80", "Hr": "80", "D1": "97 1/8", "D2": "97 1/8"}
    wide = good("room-door", tape({"Wb": "55 1/8", "Wm": "55 1/8", "Wt": "55 1/8", **sizes}))
    usual = good("room-door", tape({"Wb": "38", "Wm": "38", "Wt": "38", **sizes, "D1": "88 9/16", "D2": "88 9/16"}))

    assert "size-limits" in codes(wide)
    assert "50 in" in next(reason.text for reason in wide.reasons if reason.code == "size-limits")
    assert "size-limits" not in codes(usual)


def test_the_chosen_hinge_wall_must_bear_hinges() -> None:
    """Hinges chosen for the wall that leans 7/32 in over 72 in: held as more than hinges take without shims."""
    taped = tapered("47.78125")
    order = good("panel-and-door", taped, walls(0.0, 7 / 32, over_in=76, sd=0.05), hinge_wall="right")

    assert "hinge-wall" in codes(order)


@pytest.mark.parametrize(
    ("right", "says"), [(1 / 32, "on the right wall, which leans less"), (3 / 4, "the right wall leans too much as well")]
)
def test_the_other_wall_is_advised_for_the_hinges_only_if_it_bears_them(right: float, says: str) -> None:
    """Hinges chosen for the left wall, which leans 3/4 in over 72 in: beyond what hinges take."""
    order = good("panel-and-door", leans=walls(3 / 4, right), hinge_wall="left")
    assert says in next(reason.next for reason in order.reasons if reason.code == "hinge-wall")


WIDE = {"Wb": "37", "Wm": "37", "Wt": "37", "Hl": "80", "Hr": "80"}


def test_what_the_door_would_weigh_is_said_while_its_size_is_withheld() -> None:
    """Widths of 37 in and leans not known: wider and heavier than the usual hinges take, and that need not wait."""
    order = ordered("hinged-door", tape(WIDE), photo(tape(WIDE)), None)
    said = {reason.code: reason.text for reason in order.reasons}
    assert sizes_in(order)["door_width"] is None
    assert {"level-both-walls", "door-width", "hinge-load"} <= set(said)
    assert said["door-width"].startswith("if the readings hold and the walls are plumb, the door is 36-5/8 in")


def test_nothing_is_said_ahead_of_a_width_in_question() -> None:
    """The photo sees 27 in where 37 in is written: what a door of 37 in would weigh is no matter."""
    order = ordered("hinged-door", tape(WIDE), photo(tape(WIDE), {"Wb": 27}), None)
    assert order.governing_width_mm is None
    assert not {"door-width", "hinge-load"} & set(codes(order))


def test_a_lean_that_cannot_be_shown_to_be_small_withholds_the_glass() -> None:
    """Plumb by eye, uncertain by measurement: level it, and no width until then."""
    order = good("hinged-door", tape({**PLUMB, "Wb": "28", "Wm": "28", "Wt": "28"}), walls(0.0, 0.0, sd=2.0))

    assert set(codes(order)) == {"lean-over-limit"}
    assert "cannot be shown" in order.reasons[0].text
    assert sizes_in(order)["door_width"] is None
    assert sizes_in(order)["door_height"] is not None


def test_unknown_leans_leave_header_and_track() -> None:
    """A header is cut to the width at its height whatever the walls do; a panel is not."""
    taped = tape(PLUMB)
    order = ordered("sliding-kit", taped, photo(taped), None, hardware=KIT)

    assert codes(order) == ["level-both-walls"]
    assert sizes_in(order)["header_length"] == pytest.approx(47.875, rel=EXACT)


def test_header_and_track_are_cut_from_their_own_widths() -> None:
    """Header by the top width, track by the bottom width, each an eighth short."""
    order = good("sliding-panels", tape({**PLUMB, "Wt": "47 7/8", "Wm": "47 15/16"}), walls(1 / 16, 1 / 16, over_in=76))

    assert sizes_in(order)["header_length"] == pytest.approx(47.75, rel=EXACT)
    assert sizes_in(order)["track_length"] == pytest.approx(47.875, rel=EXACT)


def test_a_number_that_only_the_hardware_knows_is_asked_for() -> None:
    """Panel height of sliding panels, range of a kit, width of a screen: withheld and asked for, never guessed."""
    for kind, key in (("sliding-panels", "panel_height"), ("sliding-kit", "kit_min"), ("fixed-screen", "panel_width")):
        held = next(hold for hold in door_of(good(kind)).holds if hold.code == "number-missing")
        assert key in held.next
    assert sizes_in(good("sliding-panels"))["sliding_panel_height"] is None
    assert sizes_in(good("sliding-panels", panel_height="70 in"))["sliding_panel_height"] == pytest.approx(70, rel=EXACT)


def test_panels_that_hardly_overlap_are_held() -> None:
    """An overlap under three quarters of an inch is a hold."""
    assert "panel-width" in codes(good("sliding-panels", overlap="1/2 in", panel_height="70 in"))


def test_a_screen_may_be_tapered_by_the_wall_that_holds_it() -> None:
    """The free edge stays plumb; the edge at the wall follows it; what is left must be a way in."""
    order = good("fixed-screen", LEANING, ALL_RIGHT, panel_width="24 in", hinge_wall="right")
    pane = door_of(order).panes[0]

    assert codes(order) == ["taper-decision"]
    assert (pane.bottom_mm / INCH, pane.top_mm / INCH) == (pytest.approx(24, rel=EXACT), pytest.approx(23.75, rel=EXACT))
    assert "clear-way" in codes(good("fixed-screen", panel_width="30 in"))


def test_a_tub_screen_has_its_own_widths() -> None:
    """30 to 36 in is usual; 24 is held."""
    rim = tape({**PLUMB, "Hl": "60", "Hr": "60"})
    assert "panel-width" in codes(good("tub-screen", rim, panel_width="24 in"))
    assert codes(good("tub-screen", rim, panel_width="32 in")) == []


@pytest.mark.parametrize(("falling", "held"), [("89 7/8", False), ("89 1/2", True)])
def test_a_window_is_judged_by_its_diagonals(falling: str, held: bool) -> None:
    """Within 1/4 in it is a rectangle, whatever is known of plumb; beyond, someone tells the supplier."""
    taped = tape({**PLUMB, "D1": "89 7/8", "D2": falling})
    order = ordered("window", taped, photo(taped), None)

    assert codes(order) == (["out-of-square"] if held else [])
    assert sizes_in(order)["piece_width"] == (None if held else pytest.approx(47.75, rel=EXACT))


def test_a_window_without_diagonals_asks_for_them() -> None:
    """Equal widths and heights do not make a rectangle."""
    assert "out-of-square" in codes(good("window"))


@pytest.mark.parametrize(("bow", "held"), [(3.0, False), (3.4, True)])
def test_a_belly_beyond_an_eighth_is_held(bow: float, held: bool) -> None:
    """Up to 1/8 in is sealed; more is scribed, filled, or the hinge moved."""
    assert ("bow-over-limit" in codes(good("panel-and-door", leans=walls(0.0, 0.0, bow_left=bow)))) == held


def test_walls_that_bow_alike_leave_less_room_for_a_plumb_edge() -> None:
    """Left wall 3 mm in, right wall 3 mm out at half height, equal widths: the strip is 3 mm narrower, and the door with it."""
    taped = tape({**PLUMB, "Wb": "28", "Wm": "28", "Wt": "28"})
    order = good("hinged-door", taped, walls(0.0, 0.0, bow_left=3.0, bow_right=-3.0))

    assert codes(order) == []
    assert sizes_in(order)["door_width"] == pytest.approx(27.5, rel=EXACT), "27.625 less 3 mm, down to a sixteenth"


def test_glass_above_the_top_width_is_narrower_where_the_walls_close_in() -> None:
    """With the top width taken at 60 in, a panel that goes to 76 in is narrower there, along the same line."""
    facts = {"unit": "in", "readings": {
        "width_bottom": {"text": "48", "at": "0.5 in"}, "width_middle": {"text": "47 15/16", "at": "30 in"},
        "width_top": {"text": "47 13/16", "at": "60 in"}, "height_left": "76", "height_right": "76",
    }}  # fmt: skip
    taped = read_tape(facts_from_mapping(facts))
    order = good("panel-and-door", taped, walls(0.0, 3 / 16 / 59.5 * 76, over_in=76))
    value = sizes_in(order)["panel_width_top"]

    assert value is not None
    assert value <= 47.8125 - 16 * (3 / 16) / 59.5 - 28.5
    assert value >= 47.8125 - 16 * (3 / 16) / 59.5 - 28.5 - 2 / 16


def test_the_widths_alone_show_a_belly() -> None:
    """A middle 3/16 in under the line between bottom and top is one."""
    assert "bow-over-limit" in codes(good("panel-and-door", tape({**PLUMB, "Wm": "47 13/16"})))


@pytest.mark.parametrize(("right", "code", "asked"), [("76", False, False), ("76 3/16", False, True), ("76 5/16", True, True)])
def test_a_curb_out_of_level_is_asked_about_then_held(right: str, code: bool, asked: bool) -> None:
    """Over 1/8 in it is a question, over 1/4 in a hold."""
    order = good("panel-and-door", tape({**PLUMB, "Hr": right}))

    assert ("curb-over-limit" in codes(order)) == code
    assert any("out of level" in question for question in door_of(order).questions) == asked


def test_the_gap_where_the_walls_come_closer_is_said() -> None:
    """A middle 1/16 in under the line from bottom to top: that much less is left at either wall, wherever the belly is."""
    order = good("hinged-door", tape({**PLUMB, "Wb": "28", "Wm": "27 15/16", "Wt": "28"}))
    for edge in ("left wall", "right wall"):
        gap = gaps(order)[edge]
        assert gap.middle_mm == pytest.approx((gap.first_mm + gap.second_mm) / 2 - INCH / 16, rel=EXACT)
        assert gap.least_mm == gap.middle_mm
    straight = good("hinged-door", tape({**PLUMB, "Wb": "28", "Wm": "28", "Wt": "28"}))
    assert gaps(straight)["left wall"].middle_mm is None


def test_a_sloping_curb_leaves_a_wedge_under_the_glass() -> None:
    """The bottom edge is level and clears the higher end."""
    order = good("panel-and-door", leans=walls(0.0, 0.0, curb_level=2.0))
    gap = gaps(order)["curb, under the door"]

    assert gap.second_mm == pytest.approx(3 / 8 * INCH, rel=EXACT)
    assert gap.first_mm == pytest.approx(3 / 8 * INCH + 0.002 * 28 * INCH, rel=EXACT)


def test_the_gap_above_is_what_the_height_leaves() -> None:
    """Under each end of the head: height less the gap below and the pane; without a head the top is free and no gap is given."""
    taped = tape({**PLUMB, "Hr": "76 1/8"})
    order = ordered("panel-and-door", taped, photo(taped), walls(0.0, 0.0), has_head=True)
    for made in door_of(order).panes:
        low, high = gaps(order)[f"curb, under the {made.name}"], gaps(order)[f"head, above the {made.name}"]
        for at_x, under, own, left in (
            (made.at_x_mm, low.first_mm, made.left_mm, high.first_mm),
            (made.at_x_mm + made.bottom_mm, low.second_mm, made.right_mm, high.second_mm),
        ):
            width = taped.gaussian.value("width_bottom")
            assert under + own + left == pytest.approx(76 * INCH + at_x / width * INCH / 8, rel=EXACT)
        assert min(high.first_mm, high.second_mm) >= 3 / 16 * INCH - 1e-6
    assert not any("head" in edge for edge in gaps(good("panel-and-door", taped)))


def test_sizes_that_no_opening_has_are_asked_about() -> None:
    """A width of 142 in in a shower is a wrong unit."""
    wide = {"Wb": "142 3/16", "Wm": "142 3/16", "Wt": "142 3/16", "Hl": "76", "Hr": "76"}
    assert "size-limits" in codes(good("sliding-kit", tape(wide), **KIT))


def test_a_door_beyond_its_widths_is_held() -> None:
    """36 in is the widest frameless door."""
    assert "door-width" in codes(good("hinged-door", tape({**PLUMB, "Wb": "40", "Wm": "40", "Wt": "40"})))


def test_a_panel_too_narrow_to_temper_is_held() -> None:
    """What is left beside the door is under 6 in; with less than nothing left the size is withheld."""
    narrow = good("panel-and-door", tape({**PLUMB, "Wb": "33", "Wm": "33", "Wt": "33"}))
    assert "panel-width" in codes(narrow)
    assert sizes_in(good("panel-and-door", tape({**PLUMB, "Wb": "28", "Wm": "28", "Wt": "28"})))["panel_width"] is None


def test_a_head_takes_a_gap_at_the_top() -> None:
    """Nothing above: the height less the gap below; under a head, less the gap at the top as well, which is asked about."""
    taped = tape({**PLUMB, "Wb": "28", "Wm": "28", "Wt": "28"})
    free = ordered("hinged-door", taped, photo(taped), walls(0.0, 0.0))
    under = ordered("hinged-door", taped, photo(taped), walls(0.0, 0.0), has_head=True)

    assert sizes_in(free)["door_height"] == pytest.approx(75.625, rel=EXACT)
    assert sizes_in(under)["door_height"] == pytest.approx(75.625 - 3 / 16, rel=EXACT)
    assert any("gap under the head" in question for question in door_of(under).questions)


def test_a_stated_height_caps_the_readings() -> None:
    """With a planned glass top lower than the readings the glass ends there."""
    taped = tape({**PLUMB, "Wb": "28", "Wm": "28", "Wt": "28"})
    assert sizes_in(ordered("hinged-door", taped, photo(taped), walls(0.0, 0.0), height_in=72))["door_height"] == pytest.approx(
        72 - 3 / 8, rel=EXACT
    )


def test_the_grid_may_be_millimetres() -> None:
    """The hardware sheet's grid is used, and it goes down."""
    size = door_of(good("hinged-door", tape({**PLUMB, "Wb": "28", "Wm": "28", "Wt": "28"}), grid="1 mm")).sizes[0]
    assert size.value_mm == pytest.approx(701.0, rel=EXACT)


def test_holds_are_reasons_with_who_decides() -> None:
    """Each hold of the door is a reason of the order, an action, and a person."""
    order = good("hinged-door", tape({**PLUMB, "Wb": "40", "Wm": "40", "Wt": "40"}), glass="1/2 in")

    assert order.status == "hold"
    assert len(door_of(order).holds) == len(order.reasons)
    for hold, reason in zip(door_of(order).holds, order.reasons, strict=True):
        assert (hold.code, hold.next) == (reason.code, reason.next)
        assert hold.decides in reason.text
        assert hold.limit is None or hold.limit.label in reason.text


def test_no_size_ever_exceeds_what_the_smallest_reading_allows() -> None:
    """Over random openings and kinds: panes with their gaps fit into every width as the tape has it, and heights likewise."""
    rng = np.random.default_rng(5)
    tried = given = 0
    for _ in range(400):
        left, right = rng.normal(0.0, 1.2, 2)
        wide, high = rng.integers(16 * 24, 16 * 60), rng.integers(16 * 62, 16 * 80)
        shape = -(left + right) * high / 16 / 1000
        widths = [wide, wide + round(16 * shape / 2) - rng.integers(0, 2), wide + round(16 * shape)]
        texts = {key: f"{w / 16}" for key, w in zip(("Wb", "Wm", "Wt"), widths, strict=True)}
        taped = tape({**texts, "Hl": f"{high / 16}", "Hr": f"{(high + rng.integers(-2, 3)) / 16}"})
        leans = walls(left, right, over_in=1000.0, sd=0.1)
        for kind in ("hinged-door", "panel-and-door", "ceiling-panel", "sliding-panels", "sliding-kit"):
            order = ordered(
                kind, taped, photo(taped), leans, hardware=suiting(kind, {"door_width": "22 in"}), has_head=tried % 2 == 0
            )
            tried += 1
            given += bool(door_of(order).panes)
            _fits(order, taped)
    assert given > tried / 10


EVERYTHING = {"door_width": "22 in", "panel_width": "24 in", "panel_height": "58 in", "kit_min": "16 in", "kit_max": "64 in"}


@pytest.mark.parametrize("kind", kinds())
def test_two_sets_never_give_more_than_the_smaller_of_each_reading_allows(kind: str) -> None:
    """For every kind of door: with any length read twice, panes and sizes fit into the smaller reading of each."""
    rng = np.random.default_rng(8)
    known = {key: text for key, text in EVERYTHING.items() if key in allowed(kind)}
    given = 0
    for _ in range(60):
        left, right = rng.normal(0.0, 0.6, 2)
        wide, high = int(rng.integers(16 * 24, 16 * 60)), int(rng.integers(16 * 62, 16 * 80))
        shape = -(left + right) * high / 16 / 1000
        diagonal = math.hypot(wide, high)
        first = {"Wb": wide, "Wm": wide + round(8 * shape), "Wt": wide + round(16 * shape), "Hl": high, "Hr": high}
        first |= {"D1": round(diagonal), "D2": round(diagonal)}
        second = {key: ticks + int(rng.integers(-2, 3)) for key, ticks in first.items() if rng.random() < 0.7}
        texts = [{SHORT[key]: f"{ticks / 16}" for key, ticks in one.items()} for one in (first, second)]
        facts = {"unit": "in", "readings": texts[0], "second": [{"by": "B", "readings": texts[1]}]}
        taped = read_tape(facts_from_mapping(facts))
        smallest = {key: min(ticks, second.get(key, ticks)) / 16 for key, ticks in first.items()}
        leans = walls(left, right, over_in=1000.0, sd=0.1)
        order = ordered(kind, taped, photo(taped), leans, hardware=known, smallest_in=smallest)
        given += any(size.value_mm is not None for size in door_of(order).sizes)
        _fits(order, replace(taped, gaussian=replace(taped.gaussian, mean=_means(taped, smallest))))
    assert given >= 10


def test_a_kit_must_reach_the_largest_reading_of_all() -> None:
    """Top read as 47 7/8 and again as 48: the range must end at 48, so a kit to 47 31/32 is too short though the mean fits."""
    rest = {"width_bottom": "47 3/4", "width_middle": "47 3/4", "height_left": "76", "height_right": "76"}
    again = [{"by": "B", "readings": {"width_top": "48"}}]
    taped = read_tape(facts_from_mapping({"unit": "in", "readings": {**rest, "width_top": "47 7/8"}, "second": again}))
    largest = {key: taped.largest_mm[name] / INCH for key, name in SHORT.items() if name in taped.largest_mm}
    short, long = {"kit_min": "44 in", "kit_max": "47 31/32 in"}, {"kit_min": "44 in", "kit_max": "49 in"}
    assert taped.apart == frozenset()
    assert taped.gaussian.value("width_top") < (47 + 31 / 32) * INCH
    assert "kit-range" in codes(ordered("sliding-kit", taped, photo(taped), ALL_RIGHT, hardware=short, largest_in=largest))
    assert "kit-range" not in codes(ordered("sliding-kit", taped, photo(taped), ALL_RIGHT, hardware=short)), "by the mean"
    order = ordered("sliding-kit", taped, photo(taped), ALL_RIGHT, hardware=long, largest_in=largest)
    assert sizes_in(order)["kit_to"] == pytest.approx(48.0, rel=EXACT)


def _means(taped: Taped, smallest_in: Mapping[str, float]) -> Array:
    """The smaller readings in place of the means, mm."""
    by_name = {SHORT[key]: inches * INCH for key, inches in smallest_in.items()}
    return np.array([by_name[name] for name in taped.gaussian.names])


def allowed(kind: str) -> tuple[str, ...]:
    """The keys of `EVERYTHING` that a hardware sheet for this kind may have."""
    return tuple(key for key in EVERYTHING if _takes(kind, key))


def _takes(kind: str, key: str) -> bool:
    try:
        choose_door(kind, {key: EVERYTHING[key]})
    except BadInput:
        return False
    return True


def _fits(order: Order, taped: Taped) -> None:
    value = taped.gaussian.value
    smallest = min(value(f"width_{place}") for place in ("bottom", "middle", "top"))
    door, tiny = door_of(order), 1e-6
    risky = "gap-at-risk" in codes(order)
    for share, place in ((0.0, "bottom"), (0.5, "middle"), (1.0, "top")):
        row = sum(pane.bottom_mm + share * (pane.top_mm - pane.bottom_mm) for pane in door.panes)
        if door.door.form in ("hinged", "panel-and-door"):
            own = sum(v for k, v in ((k, door.door.value(k)) for k in ("gap_hinge", "gap_strike", "gap_glass", "gap_panel")
                                     if door.door.has(k)))  # fmt: skip
            assert not door.panes or row + own <= value(f"width_{place}") + tiny
        assert row <= value(f"width_{place}") + tiny
    for pane in door.panes:
        assert pane.left_mm + pane.at_y_mm <= min(value("height_left"), value("height_right")) + tiny
    for gap in door.gaps:
        assert risky or gap.least_mm >= -tiny, gap
    sizes = {size.name: size.value_mm for size in door.sizes if size.value_mm is not None}
    assert sizes.get("header_length", 0.0) <= value("width_top") - INCH / 8 + tiny
    assert sizes.get("track_length", 0.0) <= value("width_bottom") - INCH / 8 + tiny
    assert 2 * sizes.get("sliding_panel_width", 0.0) <= smallest + 1.5 * INCH + tiny
    assert sizes.get("kit_from", 0.0) <= smallest + tiny


def test_a_lean_of_the_hinge_wall_comes_off_the_tapered_pane() -> None:
    """Left wall 1/8 in and right wall 1/4 in into the opening: the panel gives way below for the door to stand plumb."""
    taped = tape({"Wb": "48", "Wm": "47 13/16", "Wt": "47 5/8", "Hl": "76", "Hr": "76"})
    order = good("panel-and-door", taped, walls(1 / 8, 1 / 4, over_in=76))
    sizes = sizes_in(order)

    assert door_of(order).hinge_wall == "left"
    assert sizes["panel_width_bottom"] == pytest.approx(48 - 1 / 8 - 28.5, rel=EXACT)
    assert sizes["panel_width_top"] == pytest.approx(47.625 - 28.5, rel=EXACT)


def test_a_tall_door_needs_a_third_hinge_for_its_weight() -> None:
    """27-5/8 by 90 in weighs 88 lb: within the width of two hinges, over their 80 lb."""
    taped = tape({"Wb": "28", "Wm": "28", "Wt": "28", "Hl": "90 3/8", "Hr": "90 3/8"})
    assert door_of(good("hinged-door", taped)).panes[0].hinges == 3


def test_a_screen_is_never_wider_than_the_opening() -> None:
    """A chosen width of 60 in between walls 48 in apart is cut back to what goes in."""
    assert sizes_in(good("fixed-screen", panel_width="60 in"))["panel_width"] == pytest.approx(47.875, rel=EXACT)


def test_uncertain_leans_count_against_the_gap() -> None:
    """Both walls plumb within the limit, but by a level good to 0.9 mm/m only: what they may lean alike uses the gap up."""
    taped = tape({**PLUMB, "Wb": "28", "Wm": "28", "Wt": "28"})

    assert codes(good("hinged-door", taped, walls(0.0, 0.0, sd=0.3))) == []
    assert codes(good("hinged-door", taped, walls(0.0, 0.0, sd=0.9))) == ["gap-at-risk"]


@pytest.mark.parametrize(
    ("kind", "hardware", "missing"),
    [
        ("panel-and-door", {"door_width": "47.5 in"}, {"door_width", "panel_width"}),
        ("hinged-door", {"gap_top": "75.7 in"}, {"door_height"}),
        ("hinged-door", {"gap_hinge": "24 in", "gap_strike": "24 in"}, {"door_width"}),
        ("window", {"less_width": "47.9 in"}, {"piece_width"}),
        ("ceiling-panel", {"less_height": "75.99 in"}, {"piece_height"}),
        ("sliding-panels", {"header_less": "47.99 in", "panel_height": "70 in"}, {"header_length"}),
        ("fixed-screen", {"panel_width": "24 in", "gap_panel": "47.99 in"}, {"panel_width"}),
    ],
)
def test_a_size_of_nothing_is_withheld_and_holds(kind: str, hardware: dict[str, str], missing: set[str]) -> None:
    """What is left is nothing or less: no value, no pane of that size, and a reason that says who decides."""
    taped = tape({**PLUMB, "D1": "89 7/8", "D2": "89 7/8"})
    order = ordered(kind, taped, photo(taped), walls(0.0, 0.0), hardware=hardware, has_head=True)
    sizes = sizes_in(order)

    assert {name for name, value in sizes.items() if value is None} == missing
    assert order.status == "hold"
    assert {code for size in door_of(order).sizes for code in size.withheld} & set(codes(order))
    assert all(hold.decides in reason.text for hold, reason in zip(door_of(order).holds, order.reasons, strict=True))
    assert not any(min(p.bottom_mm, p.top_mm, p.left_mm) <= 0 for p in door_of(order).panes)


@pytest.mark.parametrize(
    ("kind", "hardware", "code"),
    [
        ("window", {"less_width": "43 in"}, "panel-width"),
        ("sliding-panels", {"side_allowance": "40 in", "panel_height": "70 in"}, "panel-width"),
        ("hinged-door", {"gap_bottom": "71 in"}, "size-limits"),
    ],
)
def test_a_piece_under_the_narrowest_panel_holds(kind: str, hardware: dict[str, str], code: str) -> None:
    """Whether it is drawn as a pane or not, and in height as in width."""
    taped = tape({**PLUMB, "D1": "89 7/8", "D2": "89 7/8"})
    order = ordered(kind, taped, photo(taped), walls(0.0, 0.0), hardware=hardware)

    assert any(reason.code == code and "narrowest" not in reason.text and "6 in" in reason.text for reason in order.reasons)


def test_a_size_without_a_reading_holds_although_nothing_else_does() -> None:
    """With nothing above the opening no height is asked for; the door's height is, and its absence is a reason."""
    taped = tape({"Wb": "28", "Wm": "28", "Wt": "28"})
    order = ordered("hinged-door", taped, photo(taped), walls(0.0, 0.0))

    assert sizes_in(order)["door_height"] is None
    assert codes(order) == ["readings-missing"]


@pytest.mark.parametrize(
    ("kind", "hardware"),
    [
        ("panel-and-door", {"gap_top": "80 in"}),
        ("window", {"less_width": "90 in"}),
        ("sliding-panels", {"side_allowance": "60 in"}),
        ("hinged-door", {"glass_tolerance": "7 in"}),
    ],
)
def test_hardware_as_large_as_the_opening_is_refused(kind: str, hardware: dict[str, str]) -> None:
    """A gap that leaves nothing of the opening is a wrong number, named with the room there is; a choice of width is not."""
    readings = tape(PLUMB).gaussian
    with pytest.raises(BadInput) as refused:
        fitting_door(choose_door(kind, hardware), readings)
    assert next(iter(hardware)) in refused.value.found
    assert " in (" in refused.value.needed

    assert fitting_door(choose_door("panel-and-door", {"door_width": "60 in"}), readings) is not None


def test_the_way_in_is_never_less_than_nothing() -> None:
    """Panels wider than the opening leave no way in, and the text says nothing of a negative one."""
    order = good("sliding-panels", overlap="47 in", side_allowance="6 in", panel_height="70 in")

    assert "the way in is 0 in" in next(r.text for r in order.reasons if r.code == "clear-way")
