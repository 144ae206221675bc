"""The tape against itself: redundancy, w, the smallest slip, and plain words."""

from __future__ import annotations

import numpy as np
import pytest

from tests.judge.taped import GOOD, PLUMB, closed, taped
from tests.tolerances import EXACT, LINEAR
from vision.judge.adjust import BENT, FREE
from vision.judge.plane_figure import FIGURE_QUANTITIES, UNKNOWNS, Places, linear, quantities_of, readings_of
from vision.settings import JudgeSettings
from vision.settings_tape import LevelSettings

INCH = 25.4
X = np.array([1420.0, 2.0, -3.0, 1990.0, 1.5, 0.7, 1.0, -2.0, 0.5])
PLACES = Places(
    {"width_top": 1965.0, "width_middle": 995.0, "width_bottom": 25.0}, {"plumb_left": 1800.0, "bow_left": 1500.0}, 1990.0, 1420.0
)


def test_derivatives_of_the_figure_are_those_of_differences() -> None:
    """Every reading and every quantity by every unknown."""
    for function in (readings_of, quantities_of):
        names = list(function(X, PLACES))
        found = linear(function, X, PLACES, names)
        for k in range(len(UNKNOWNS)):
            step = np.zeros(len(UNKNOWNS))
            step[k] = 1e-3
            up, down = function(X + step, PLACES), function(X - step, PLACES)
            slopes = [(float(up[n].real) - float(down[n].real)) / 2e-3 for n in names]
            assert found.jacobian[:, k] == pytest.approx(slopes, abs=LINEAR)


def test_taper_rack_and_leans_obey_their_identities() -> None:
    """taper = -(lean left + lean right); rack = (lean left - lean right)/2 + curb level."""
    q = quantities_of(X, PLACES)
    assert q["taper"] == pytest.approx(-(q["lean_left"] + q["lean_right"]), abs=EXACT)
    assert q["rack"] == pytest.approx((q["lean_left"] - q["lean_right"]) / 2 + q["curb_level"], abs=EXACT)


def test_plumb_readings_are_the_difference_of_the_widths() -> None:
    """P left + P right = bottom width less top width over the same height (arithmetic of the trade)."""
    straight = np.array([1420.0, 2.0, -3.0, 1990.0, 0.0, 0.7, 0.0, 0.0, 0.0])
    over = {"plumb_left": 1940.0, "plumb_right": 1940.0}
    got = readings_of(straight, Places(PLACES.at_mm, over, 1990.0, 1420.0))
    assert got["plumb_left"] + got["plumb_right"] == pytest.approx(got["width_bottom"] - got["width_top"], abs=EXACT)


@pytest.mark.parametrize(
    ("names", "redundancy"),
    [
        (("width_top",), 0),
        (("width_top", "width_bottom", "height_left", "height_right"), 0),
        (("width_top", "width_bottom", "height_left", "height_right", "diagonal_rising"), 0),
        (("width_top", "width_bottom", "height_left", "height_right", "diagonal_rising", "diagonal_falling"), 1),
        (tuple(GOOD), 2),
        ((*GOOD, *PLUMB), 3),
    ],
)
def test_independent_checks_are_counted(names: tuple[str, ...], redundancy: int) -> None:
    """Six readings of five unknowns have one check; a middle width and the plumb of both walls add one each."""
    everything = GOOD | PLUMB
    assert closed({name: everything[name] for name in names}).redundancy == redundancy


def test_redundancies_and_those_of_the_bows_add_up() -> None:
    """Readings r_i = (cov(e) M)_ii and the bows' share of C together are the number of checks."""
    one = taped(GOOD | PLUMB)
    found = closed(GOOD | PLUMB)
    assert found.adjusted is not None
    case = found.adjusted.case
    bows = case.C - one.everything.covariance
    share = float(np.trace(bows @ case.precision()))
    assert sum(r.redundancy for r in found.readings.values()) + share == pytest.approx(3.0, abs=1e3 * EXACT)


def test_the_smallest_slip_is_4_13_over_the_root_of_m() -> None:
    """s_i = 4.13 u_i / sqrt(r_i) (Baarda), for a reading without a share in the tape's common error this is M_ii."""
    found = closed(GOOD | PLUMB)
    assert found.adjusted is not None
    M = found.adjusted.case.precision()
    for i, name in enumerate(found.adjusted.case.names):
        assert found.readings[name].smallest_slip_mm == pytest.approx(JudgeSettings().delta0 / np.sqrt(M[i, i]), rel=EXACT)


def test_good_readings_close_and_give_the_leans() -> None:
    """Leans agree with the plumb readings, 1/16 and 7/16 over 72 in, within their uncertainty."""
    found = closed(GOOD | PLUMB)
    assert found.findings == ()
    assert found.figure is not None
    for name, over_72 in (("lean_left", 1 / 16), ("lean_right", 7 / 16)):
        assert abs(found.figure.value(name) - 1000 * over_72 / 72) < 2 * found.figure.u(name)


def test_a_lean_is_not_given_without_a_level() -> None:
    """Taper and rack need no vertical, the lean of each wall does."""
    figure = closed(GOOD).figure
    assert figure is not None
    assert {"taper", "rack"} <= set(figure.names)
    assert not {"lean_left", "lean_right", "curb_level", "plumb_rectangle"} & set(figure.names)


def test_equal_widths_between_racked_walls_are_told_by_the_diagonals() -> None:
    """Diagonals 5/16 in apart are 3/8 in of rack over the height (TRADE of the walls: 2 W s / D)."""
    widths = dict.fromkeys(("width_bottom", "width_middle", "width_top"), "35 15/16")
    found = closed(
        widths | {"height_left": "76", "height_right": "76", "diagonal_rising": "84 1/4", "diagonal_falling": "83 15/16"}
    )
    assert found.findings == ()
    assert found.figure is not None
    assert found.figure.value("rack") * 76 * INCH / 1000 == pytest.approx(0.37 * INCH, abs=0.5 * 0.01 * INCH)


def test_with_one_check_no_reading_is_named() -> None:
    """It says that something is wrong and that it cannot be told what."""
    readings = {name: text for name, text in GOOD.items() if name != "width_middle"} | {"diagonal_rising": "90 5/8"}
    found = closed(readings)
    assert found.redundancy == 1
    assert "not which reading" in found.words[0]
    assert "cannot be told" in found.findings[0].text
    assert all(set(one.alike) == set(readings) - {one.name} for one in found.readings.values() if one.smallest_slip_mm)


def test_a_hidden_inch_is_said_with_what_would_show_it() -> None:
    """Without diagonals an inch in a height stays unseen; the remedy is one that works."""
    found = closed({name: GOOD[name] for name in ("width_bottom", "width_top", "height_left", "height_right", "diagonal_rising")})
    words = " ".join(found.words)
    assert "A one-inch slip in the" in words
    assert "measure the falling diagonal" in words
    assert closed({name: GOOD[name] for name in GOOD if name != "width_middle"}).readings["height_left"].smallest_slip_mm < INCH


def test_three_widths_an_inch_long_do_not_close_with_the_diagonals() -> None:
    """readings-do-not-close: widths agree with one another and with plumb, yet not with the diagonals."""
    found = closed(GOOD | PLUMB | {"width_bottom": "48 15/16", "width_middle": "48 11/16", "width_top": "48 7/16"})
    assert [finding.code for finding in found.findings] == ["readings-do-not-close"]


def test_a_large_slip_does_not_bend_the_figure_it_is_judged_by() -> None:
    """With nine inches off a height whose wall was plumbed, everything else still closes once it is left out."""
    found = closed(GOOD | PLUMB | {"height_right": "67", "curb_level": "level"})
    assert found.adjusted is not None
    assert [finding.code for finding in found.findings] == ["readings-do-not-close"]
    assert "height_right" in {found.adjusted.case.names[i] for i in found.adjusted.doubt.touched}


def test_the_uncertainty_of_the_figure_is_that_of_simulated_readings() -> None:
    """Over drawn readings and bows the adjusted figure scatters as stated: mean of the squared whitened errors is one."""
    rng = np.random.default_rng(4)
    one = taped(GOOD | PLUMB | {"curb_level": "level"})
    from vision.judge.adjust import adjust

    names, n = one.everything.names, 600
    level, judge = LevelSettings(), JudgeSettings(w_critical=99.0, significance=1e-300)
    root = np.linalg.cholesky(one.everything.covariance)
    x = X.copy()
    x[BENT] = 0.0
    errors = []
    for _ in range(n):
        true = x.copy()
        true[BENT] = rng.normal(0.0, level.straight_sd_mm, len(BENT))
        reading = linear(readings_of, true, PLACES, names).values + root @ rng.standard_normal(len(names))
        drawn = type(one.everything)(names, reading, one.everything.sources)
        found = adjust(drawn, x, PLACES, judge, level).quantities
        truth = quantities_of(true, PLACES)
        errors.append(
            [(found.value(q) - float(truth[q])) / found.u(q) for q in ("width_top", "height_left", "taper", "rack", "lean_left")]
        )
    assert np.mean(np.square(errors), axis=0) == pytest.approx(np.ones(5), abs=4 * np.sqrt(2 / n))
    assert len(FREE) + len(BENT) == len(UNKNOWNS)
    assert set(found.names) <= set(FIGURE_QUANTITIES)
