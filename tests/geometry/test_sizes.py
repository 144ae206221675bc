"""The opening's parameters -> the quantities of the contract."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.tolerances import EXACT, LINEAR
from vision.gaussian import Gaussian
from vision.geometry.opening import OTHERS, PROPORTIONS, SIZES
from vision.geometry.sizes import (
    RECTANGLE_GRID,
    Array,
    corners,
    plumb_rectangle,
    size_functions,
    wall_x,
    width_heights,
    with_free_scale,
)

INCH = 25.4
AT = {"width_top": 1965.0, "width_middle": 995.0, "width_bottom": 25.0}
SLOPE, BOW = st.floats(-0.02, 0.02), st.floats(-15, 15)
OPENINGS = st.builds(
    lambda *v: np.array(v), st.floats(400, 3500), SLOPE, BOW, SLOPE, BOW, st.floats(600, 3500), SLOPE, SLOPE
)  # fmt: skip


def opening(**changes: float) -> Array:
    names = ("width", "left_slope", "left_bow", "right_slope", "right_bow", "height", "head_slope", "gravity")
    usual = dict.fromkeys(names, 0.0) | {"width": 1420.0, "height": 1990.0}
    return np.array([(usual | changes)[n] for n in names])


def values(o: Array, *, has_head: bool = True, gravity: bool = True) -> dict[str, float]:
    return {n: f(o) for n, f in size_functions(AT, has_head, 1990.0, gravity).items()}


@given(OPENINGS)
@settings(deadline=None)
def test_taper_is_the_sum_of_the_leans(o: Array) -> None:
    """taper = -(lean left + lean right), whatever the opening and gravity."""
    v = values(o)
    assert v["taper"] == pytest.approx(-(v["lean_left"] + v["lean_right"]), abs=EXACT)


@given(OPENINGS)
@settings(deadline=None)
def test_rack_is_half_the_difference_of_the_leans_and_the_level(o: Array) -> None:
    """rack = (lean left - lean right)/2 + curb level."""
    v = values(o)
    assert v["rack"] == pytest.approx((v["lean_left"] - v["lean_right"]) / 2 + v["curb_level"], abs=EXACT)


@given(OPENINGS)
@settings(deadline=None)
def test_taper_and_rack_need_no_vertical(o: Array) -> None:
    """They do not change with gravity."""
    turned = o.copy()
    turned[7] += 0.01
    assert values(o)["taper"] == values(turned)["taper"]
    assert values(o)["rack"] == values(turned)["rack"]


@given(OPENINGS)
@settings(deadline=None)
def test_proportions_are_those_of_the_sizes(o: Array) -> None:
    """Each is a ratio of sizes that are given as well."""
    v = values(o)
    assert v["width_over_height"] == pytest.approx(v["width_middle"] / ((v["height_left"] + v["height_right"]) / 2), rel=EXACT)
    assert v["top_over_bottom_width"] == pytest.approx(v["width_top"] / v["width_bottom"], rel=EXACT)
    assert v["left_over_right_height"] == pytest.approx(v["height_left"] / v["height_right"], rel=EXACT)


def test_a_plain_rectangle_is_what_it_is() -> None:
    """All by hand: 1420 x 1990."""
    v = values(opening())
    assert [v[n] for n in SIZES[:3]] == pytest.approx([1420.0] * 3, rel=EXACT)
    assert [v[n] for n in SIZES[3:5]] == pytest.approx([1990.0] * 2, rel=EXACT)
    assert [v[n] for n in SIZES[5:7]] == pytest.approx([math.hypot(1420, 1990)] * 2, rel=EXACT)
    assert v["plumb_rectangle"] == pytest.approx(1420.0, rel=EXACT)
    assert [v[n] for n in OTHERS if n != "plumb_rectangle"] == pytest.approx([0.0] * 8, abs=EXACT)


def test_every_quantity_has_its_place() -> None:
    """With a head and a vertical nothing of the contract is left out."""
    assert set(values(opening())) == {*SIZES, *PROPORTIONS, *OTHERS}


def test_without_a_vertical_there_is_no_lean() -> None:
    """Lean of each wall, level of the curb and the plumb rectangle are left out, taper and rack stay."""
    gone = set(values(opening())) - set(values(opening(), gravity=False))
    assert gone == {"lean_left", "lean_right", "curb_level", "plumb_rectangle"}


def test_without_a_head_there_is_no_height() -> None:
    """Heights, diagonals and what rests on them are left out."""
    gone = set(values(opening())) - set(values(opening(), has_head=False))
    assert gone == {*SIZES[3:], "curb_against_head", "width_over_height", "left_over_right_height"}


def test_leans_are_positive_into_the_opening() -> None:
    """Tops leaning toward each other: both leans positive, the taper negative."""
    v = values(opening(left_slope=0.002, right_slope=-0.001))
    assert (v["lean_left"], v["lean_right"], v["taper"]) == pytest.approx((2.0, 1.0, -3.0), abs=EXACT)


def test_rack_is_positive_with_the_tops_to_the_right() -> None:
    """Both walls leaning right by 2 mm/m against a level curb."""
    v = values(opening(left_slope=0.002, right_slope=0.002))
    assert (v["rack"], v["lean_left"], v["lean_right"], v["taper"]) == pytest.approx((2.0, 2.0, -2.0, 0.0), abs=EXACT)


def test_bows_are_positive_into_the_opening() -> None:
    """Either wall bent toward the other."""
    v = values(opening(left_bow=3.0, right_bow=-4.0))
    assert (v["bow_left"], v["bow_right"]) == pytest.approx((3.0, 4.0), abs=EXACT)
    assert v["width_middle"] == pytest.approx(1420 - 7.0, abs=EXACT)


def test_a_curb_that_rises_to_the_right_is_positive() -> None:
    """Walls square to such a curb both lean to the left."""
    v = values(opening(gravity=0.003))
    assert v["curb_level"] == pytest.approx(3.0, abs=EXACT)
    assert (v["lean_left"], v["lean_right"]) == pytest.approx((-3.0, 3.0), abs=EXACT)


def test_the_level_of_a_curb_by_hand() -> None:
    """A curb whose right end is 4.26 mm higher over 1420 mm, walls plumb: level 3 mm/m, leans 0, rack 3."""
    # in the curb's frame plumb walls, and gravity's up, lean to the right by the curb's own slope
    v = values(opening(left_slope=0.003, right_slope=0.003, gravity=0.003))
    assert (v["curb_level"], v["lean_left"], v["lean_right"], v["rack"]) == pytest.approx((3.0, 0.0, 0.0, 3.0), abs=EXACT)


def test_against_head_is_positive_where_the_height_grows_to_the_right() -> None:
    """2 mm/m over 1420 mm is 2.84 mm between the heights."""
    v = values(opening(head_slope=0.002))
    assert v["curb_against_head"] == pytest.approx(2.0, abs=EXACT)
    assert v["height_right"] - v["height_left"] == pytest.approx(2.84, abs=EXACT)


def test_both_walls_leaning_alike_leave_equal_widths_and_a_narrower_plumb_rectangle() -> None:
    """Three equal widths; 3/8 in over the height makes the rectangle 3/8 in narrower (METHOD.md, section 5)."""
    slope = 0.375 * INCH / 1990.0
    v = values(opening(left_slope=slope, right_slope=slope))
    assert v["width_top"] == pytest.approx(v["width_bottom"], abs=EXACT)
    assert v["width_middle"] == pytest.approx(v["width_bottom"], abs=EXACT)
    assert v["plumb_rectangle"] == pytest.approx(1420.0 - 0.375 * INCH, abs=EXACT)


@pytest.mark.parametrize(
    ("changes", "narrower_mm"),
    [
        ({"left_slope": 0.002}, 3.98),
        ({"left_slope": -0.002}, 0.0),
        ({"right_slope": -0.002, "left_slope": 0.001}, 5.97),
        ({"left_bow": 3.0}, 3.0),
        ({"left_bow": -3.0}, 0.0),
        ({"left_bow": 3.0, "right_bow": -2.0}, 5.0),
        ({"left_slope": 0.002, "right_slope": 0.002, "gravity": 0.002}, 0.0),
    ],
)
def test_the_plumb_rectangle_by_hand(changes: dict[str, float], narrower_mm: float) -> None:
    """The innermost point of each wall decides; walls along gravity cost nothing but its cosine."""
    expected = (1420.0 - narrower_mm) / math.hypot(1.0, changes.get("gravity", 0.0))
    assert plumb_rectangle(opening(**changes), 1990.0) == pytest.approx(expected, abs=EXACT * 1420)


@given(OPENINGS)
@settings(deadline=None, max_examples=40)
def test_no_plumb_rectangle_is_wider_than_the_narrowest_width(o: Array) -> None:
    """It fits between the walls at every height, where the heights are those that it is sampled at."""
    y = np.linspace(0, o[5], RECTANGLE_GRID)
    narrowest = float((wall_x(o, y, "right", o[5]) - wall_x(o, y, "left", o[5])).min())
    assert plumb_rectangle(o, float(o[5])) <= narrowest * (1 + EXACT) + EXACT


@given(OPENINGS)
@settings(deadline=None, max_examples=40)
def test_the_corners_lie_on_both_their_edges(o: Array) -> None:
    """Top corners are on the wall's chord and on the head."""
    bl, br, tr, tl = corners(o)
    assert bl == pytest.approx([0, 0], abs=EXACT)
    assert br == pytest.approx([o[0], 0], rel=EXACT)
    for corner, foot, slope in ((tl, 0.0, o[1]), (tr, o[0], o[3])):
        assert corner[0] == pytest.approx(foot + slope * corner[1], rel=EXACT, abs=EXACT)
        assert corner[1] == pytest.approx(o[5] + o[6] * corner[0], rel=EXACT)


def test_widths_are_taken_near_the_ends_and_half_way() -> None:
    """25 mm from curb and head, and at half the height, unless a reading says where."""
    assert width_heights(1990.0, 25.0, {}) == {"width_top": 1965.0, "width_middle": 995.0, "width_bottom": 25.0}
    assert width_heights(1990.0, 25.0, {"width_top": 1829.0})["width_top"] == 1829.0


def test_a_free_scale_leaves_the_shape() -> None:
    """Ratios of sizes keep their uncertainty to first order, sizes lose theirs."""
    sizes = Gaussian(("a", "b"), np.array([1000.0, 2000.0]), {"edges": np.array([[1.0, 0.0], [0.5, 1.0]])})
    free = with_free_scale(sizes)
    gradient = np.array([1 / 2000.0, -1000.0 / 2000.0**2])
    before, after = (float(gradient @ record.covariance @ gradient) for record in (sizes, free))
    assert after == pytest.approx(before, rel=LINEAR)
    assert free.u("a") == pytest.approx(1000.0, rel=LINEAR)
