"""The photo against the tape, on records made by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tests.tolerances import EXACT
from vision.gaussian import Gaussian
from vision.judge.compare import compare
from vision.judge.verdicts import Comparison
from vision.settings import JudgeSettings
from vision.tape.readings import READING_NAMES

INCH = 25.4
SIZES = dict(zip(READING_NAMES, (1428.0, 1429.0, 1427.0, 1990.0, 1991.0, 2449.0, 2450.0), strict=True))
ALL = READING_NAMES
WIDTHS = ALL[:3]


def photo_of(names: tuple[str, ...] = ALL, *, own: float = 1.0, scale: float = 0.001) -> Gaussian:
    """A photo with an error of its own in each size (mm) and a common relative one."""
    mean = np.array([SIZES[name] for name in names])
    return Gaussian(names, mean, {"edges": own * np.eye(len(names)), "card size": scale * mean[:, None]})


def tape_of(wrong: dict[str, float] | None = None, names: tuple[str, ...] = ALL) -> Gaussian:
    """Readings that are right but for these amounts (mm), each good to 1.2 mm."""
    mean = np.array([SIZES[name] + (wrong or {}).get(name, 0.0) for name in names])
    return Gaussian(names, mean, {"placement": 1.2 * np.eye(len(names))})


def judge(photo: Gaussian | None, taped: Gaussian, *, scale_refused: bool = False) -> Comparison:
    return compare(photo, taped, {name: f"as written: {name}" for name in taped.names}, scale_refused=scale_refused)


def verdicts(comparison: Comparison) -> dict[str, str]:
    return {name: verdict.verdict for name, verdict in comparison.readings.items()}


def codes(comparison: Comparison) -> list[str]:
    return [finding.code for finding in comparison.findings]


def test_readings_that_fit_agree() -> None:
    """Nothing wrong: all agree, nothing is explained, nothing found."""
    comparison = judge(photo_of(), tape_of())
    assert set(verdicts(comparison).values()) == {"agrees"}
    assert comparison.findings == ()
    assert all(not verdict.explanations for verdict in comparison.readings.values())


def test_both_testimonies_are_in_the_verdict() -> None:
    """Values, uncertainties and their difference, tape minus photo, stand side by side."""
    verdict = judge(photo_of(), tape_of({"width_top": 2.0})).readings["width_top"]
    assert verdict.text == "as written: width_top"
    assert (verdict.tape_mm, verdict.photo_mm, verdict.difference_mm) == pytest.approx((1430.0, 1428.0, 2.0), rel=EXACT)
    assert verdict.u_tape_mm == pytest.approx(1.2, rel=EXACT)
    assert verdict.u_photo_mm == pytest.approx(np.hypot(1.0, 1.428), rel=EXACT)


@pytest.mark.parametrize("name", ALL)
@pytest.mark.parametrize("inch", [INCH, -INCH])
def test_one_reading_an_inch_off_is_suspect_alone(name: str, inch: float) -> None:
    """Long or short, the one wrong reading is named, the others still agree."""
    comparison = judge(photo_of(), tape_of({name: inch}))
    assert {n for n, v in verdicts(comparison).items() if v == "suspect"} == {name}
    assert {v for n, v in verdicts(comparison).items() if n != name} == {"agrees"}
    assert comparison.findings == ()


def test_a_suspect_reading_comes_with_its_amount() -> None:
    """The slip is put at an inch, give or take."""
    explanations = judge(photo_of(), tape_of({"width_top": INCH})).readings["width_top"].explanations
    assert [(e.code, e.readings) for e in explanations] == [("slip", ("width_top",))]
    assert abs(explanations[0].amount_mm - INCH) < explanations[0].u_amount_mm
    assert "top width reads 1 in" in explanations[0].text


def test_two_wrong_readings_are_both_named_and_nobody_else() -> None:
    """A width long and a height short: two suspects."""
    comparison = judge(photo_of(), tape_of({"width_top": INCH, "height_left": -2 * INCH}))
    assert {n for n, v in verdicts(comparison).items() if v == "suspect"} == {"width_top", "height_left"}


def test_three_widths_may_be_suspect_together() -> None:
    """The same inch on all widths, heights and diagonals good: the widths as a group."""
    comparison = judge(photo_of(), tape_of(dict.fromkeys(WIDTHS, INCH)))
    assert {n for n, v in verdicts(comparison).items() if v == "suspect"} == set(WIDTHS)
    explanation = comparison.readings["width_top"].explanations[0]
    assert (explanation.code, explanation.readings) == ("constant", WIDTHS)
    assert "alike read" in explanation.text


def test_three_widths_alone_an_inch_off_leave_the_scale_in_doubt() -> None:
    """Without heights the same inch cannot be told from a wrong card, so nobody is blamed."""
    comparison = judge(photo_of(WIDTHS), tape_of(dict.fromkeys(WIDTHS, INCH), WIDTHS))
    assert codes(comparison) == ["scale-in-doubt"]
    assert set(verdicts(comparison).values()) == {"cannot tell"}


@pytest.mark.parametrize(
    "names", [ALL, ALL[:5], WIDTHS, ("width_top", "height_left"), ("width_top", "width_bottom", "height_left")]
)
@pytest.mark.parametrize("wrong", ["factor", "constant"])
def test_what_touches_every_reading_alike_is_the_scale(names: tuple[str, ...], wrong: str) -> None:
    """A factor or a constant on all readings never blames one."""
    added = {name: 0.025 * SIZES[name] if wrong == "factor" else 1.5 * INCH for name in names}
    comparison = judge(photo_of(names), tape_of(added, names))
    assert codes(comparison) == ["scale-in-doubt"]
    assert set(verdicts(comparison).values()) == {"cannot tell"}
    assert comparison.findings[0].next


def test_a_unit_mix_up_is_put_in_doubt_as_one() -> None:
    """All readings 2.54 times too long: a wrong unit is among what looks alike; which one, the known slips say."""
    comparison = judge(photo_of(), tape_of({name: 1.54 * size for name, size in SIZES.items()}))
    assert codes(comparison) == ["scale-in-doubt"]
    assert "2.54 times" in comparison.findings[0].text
    assert "a wrong unit" in comparison.findings[0].text


def test_a_wrong_scale_and_a_slip_still_blame_nobody() -> None:
    """Whatever else remains, a scale in doubt leaves every reading undecided."""
    added = {name: 0.025 * size for name, size in SIZES.items()}
    added["height_left"] += 4 * INCH
    comparison = judge(photo_of(), tape_of(added))
    assert codes(comparison) == ["scale-in-doubt"]
    assert set(verdicts(comparison).values()) == {"cannot tell"}


def test_three_different_mistakes_are_unexplained() -> None:
    """No one or two mistakes explain it: every reading is undecided, and the finding says so."""
    comparison = judge(photo_of(), tape_of({"width_top": 3 * INCH, "height_left": -4 * INCH, "diagonal_rising": 5 * INCH}))
    assert codes(comparison) == ["unexplained"]
    assert set(verdicts(comparison).values()) == {"cannot tell"}
    assert all(not verdict.explanations for verdict in comparison.readings.values())


def test_where_all_readings_are_far_shorter_the_card_is_asked_about() -> None:
    """Not by one factor, as with a wrong tilt beside the wrong scale; where one reading is not, the tape is asked about."""
    wrong = {name: -size * (0.40 + 0.01 * k) for k, (name, size) in enumerate(SIZES.items())}
    (finding,) = judge(photo_of(), tape_of(wrong)).findings
    assert finding.code == "unexplained"
    assert "every reading is shorter than the photo has it, by 40 to 46 %" in finding.text
    assert "card-corners" in finding.next
    (finding,) = judge(photo_of(), tape_of({n: v for n, v in wrong.items() if n != "width_top"})).findings
    assert "every reading" not in finding.text


def test_two_readings_that_differ_are_named_together_where_the_scale_is_loose() -> None:
    """With a loose scale either of two widths may be the wrong one: both undecided, both explained, no finding."""
    names = ("width_top", "width_bottom")
    comparison = judge(photo_of(names, scale=0.02), tape_of({"width_top": INCH}, names))
    assert set(verdicts(comparison).values()) == {"cannot tell"}
    assert comparison.findings == ()
    for name in names:
        assert ("slip", (name,)) in [(e.code, e.readings) for e in comparison.readings[name].explanations]


def test_one_of_three_widths_is_a_rival_of_all_three() -> None:
    """Where a constant on the widths and a slip of one of them explain as well, the good ones are not blamed."""
    names = (*WIDTHS, "height_left", "height_right")
    far = Gaussian(
        names,
        photo_of(names).mean,
        {"edges": np.diag([1.0, 1.0, 1.0, 12.0, 12.0]), "card size": photo_of(names).mean[:, None] * 0.01},
    )
    for amount in np.linspace(8.0, 40.0, 17):
        comparison = judge(far, tape_of({"width_top": amount}, names))
        assert {n for n, v in verdicts(comparison).items() if v == "suspect"} <= {"width_top"}


def test_a_single_reading_cannot_be_told_from_the_scale() -> None:
    """One reading against the photo: it contradicts, and nobody can say which is wrong."""
    comparison = judge(photo_of(("width_top",)), tape_of({"width_top": INCH}, ("width_top",)))
    assert codes(comparison) == ["scale-in-doubt"]
    assert verdicts(comparison) == {"width_top": "cannot tell"}
    verdict = comparison.readings["width_top"]
    assert verdict.smallest_visible_common_slip_mm == verdict.smallest_visible_slip_mm


def test_readings_without_a_counterpart_cannot_be_told() -> None:
    """A size that the photo lacks leaves its reading undecided with empty photo fields; the others are judged."""
    comparison = judge(photo_of(WIDTHS), tape_of())
    missing = comparison.readings["height_left"]
    assert missing.verdict == "cannot tell"
    assert (missing.photo_mm, missing.u_photo_mm, missing.difference_mm) == (None, None, None)
    assert (missing.smallest_visible_slip_mm, missing.smallest_visible_common_slip_mm) == (None, None)
    assert verdicts(comparison)["width_top"] == "agrees"
    assert tuple(comparison.readings) == ALL


def test_without_a_photo_every_reading_is_undecided() -> None:
    """The tape is still shown."""
    comparison = judge(None, tape_of())
    assert set(verdicts(comparison).values()) == {"cannot tell"}
    assert comparison.readings["width_top"].tape_mm == pytest.approx(1428.0, rel=EXACT)


def test_without_readings_nothing_is_judged() -> None:
    """An empty tape record gives an empty comparison."""
    assert judge(photo_of(), Gaussian((), np.zeros(0), {})) == Comparison({})


def test_the_smallest_visible_slip_is_the_formula() -> None:
    """s_i = 4.13 / sqrt((C^-1)_ii) where nothing is wrong, and s_g of the worst group that holds the reading."""
    photo, taped = photo_of(), tape_of()
    M = np.linalg.inv(taped.minus(photo).covariance)
    verdict = judge(photo, taped).readings["height_left"]
    assert verdict.smallest_visible_slip_mm == pytest.approx(4.13 / np.sqrt(M[3, 3]), rel=EXACT)
    heights = np.isin(np.arange(7), [3, 4]).astype(float)
    common = [
        4.13 / np.sqrt(heights @ M @ heights),
        4.13 / np.sqrt(np.ones(7) @ M @ np.ones(7)),
        photo.mean[3] * 4.13 / np.sqrt(photo.mean @ M @ photo.mean),
    ]
    assert verdict.smallest_visible_common_slip_mm == pytest.approx(max(common), rel=EXACT)


def test_a_suspect_is_no_witness_for_the_others() -> None:
    """The other readings' smallest visible slip is that of a set without the suspect."""
    wrong = judge(photo_of(), tape_of({"width_top": INCH})).readings
    rest = tuple(name for name in ALL if name != "width_top")
    without = judge(photo_of(rest), tape_of(None, rest)).readings
    for name in rest:
        assert wrong[name].smallest_visible_slip_mm == pytest.approx(without[name].smallest_visible_slip_mm, rel=1e3 * EXACT)


def test_a_photo_that_cannot_see_half_an_inch_confirms_nothing() -> None:
    """A rough photo leaves all readings undecided, though nothing contradicts."""
    comparison = judge(photo_of(own=6.0), tape_of())
    assert set(verdicts(comparison).values()) == {"cannot tell"}
    assert comparison.findings == ()


def test_a_loose_scale_confirms_nothing_though_single_slips_would_show() -> None:
    """Where a common slip of the limit would stay hidden, no reading agrees."""
    comparison = judge(photo_of(scale=0.01), tape_of())
    assert all(v.smallest_visible_slip_mm < INCH / 2 < v.smallest_visible_common_slip_mm for v in comparison.readings.values())
    assert set(verdicts(comparison).values()) == {"cannot tell"}


def test_a_factor_that_the_photo_cannot_see_leaves_nobody_agreeing() -> None:
    """2.5 % too long beside a scale of 2 %: nothing contradicts, and nothing is confirmed."""
    comparison = judge(photo_of(scale=0.02), tape_of({name: 0.025 * size for name, size in SIZES.items()}))
    assert set(verdicts(comparison).values()) == {"cannot tell"}
    assert comparison.findings == ()


def test_the_slip_limit_is_a_setting() -> None:
    """With a limit of 1/8 in no reading agrees: that is beyond any photo."""
    strict = compare(photo_of(), tape_of(), {}, replace(JudgeSettings(), slip_limit_mm=INCH / 8))
    assert set(verdicts(strict).values()) == {"cannot tell"}


def test_a_tape_that_measured_the_card_is_counted_once() -> None:
    """A shared source of error cancels in the difference, so a stretched tape is seen by neither and blames nobody."""
    stretch = 0.004
    names = ALL
    mean = np.array([SIZES[name] for name in names])
    photo = Gaussian(names, mean, {"edges": np.eye(7), "tape": stretch * mean[:, None]})
    taped = Gaussian(names, mean, {"placement": 1.2 * np.eye(7), "tape": stretch * mean[:, None]})
    shared = judge(photo, taped).readings["width_top"].smallest_visible_common_slip_mm
    other_tape = replace(photo, sources={"edges": photo.sources["edges"], "other tape": photo.sources["tape"]})
    apart = judge(other_tape, taped).readings["width_top"].smallest_visible_common_slip_mm
    assert shared is not None
    assert apart is not None
    assert shared < 0.5 * apart


def test_with_the_scale_refused_no_reading_is_suspect() -> None:
    """The shape may still contradict; the reading is then undecided, with its explanation kept."""
    photo = photo_of().with_source("scale", photo_of().mean[:, None])
    comparison = judge(photo, tape_of({"width_top": INCH}), scale_refused=True)
    assert set(verdicts(comparison).values()) == {"cannot tell"}
    assert comparison.readings["width_top"].explanations[0].code == "slip"
    good = judge(photo, tape_of({name: 0.3 * size for name, size in SIZES.items()}), scale_refused=True)
    assert set(verdicts(good).values()) == {"cannot tell"}
    assert good.findings == ()


def test_the_order_of_readings_does_not_matter() -> None:
    """The same readings in another order get the same verdicts."""
    turned = ALL[::-1]
    one = judge(photo_of(), tape_of({"width_top": INCH}))
    other = judge(photo_of(turned), tape_of({"width_top": INCH}, turned))
    for name in ALL:
        assert one.readings[name].verdict == other.readings[name].verdict
        assert one.readings[name].smallest_visible_slip_mm == pytest.approx(
            other.readings[name].smallest_visible_slip_mm, rel=1e3 * EXACT
        )


def test_no_number_is_ever_infinite_or_not_a_number() -> None:
    """Also where nearly everything is in doubt, the smallest visible slips are finite."""
    for wrong in ({}, {"width_top": INCH}, {"width_top": 3 * INCH, "height_left": -4 * INCH, "diagonal_rising": 5 * INCH}):
        for verdict in judge(photo_of(scale=0.02), tape_of(wrong)).readings.values():
            assert verdict.smallest_visible_slip_mm is not None
            assert np.isfinite([verdict.smallest_visible_slip_mm, verdict.smallest_visible_common_slip_mm]).all()
