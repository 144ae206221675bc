"""More witnesses: level readings beside a photo, and verdicts that they change."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tests.judge.layouts import photo_sizes
from tests.judge.simulation import world
from tests.judge.taped import taped
from vision.gaussian import Gaussian
from vision.judge.compare import compare, judge
from vision.judge.plane_figure import Places
from vision.judge.verdicts import Comparison
from vision.judge.witnesses import overruled
from vision.tape.readings import READING_NAMES, facts_from_mapping, read_tape
from vision.units import inches_text

INCH = 25.4
AT = {"width_top": 1965.0, "width_middle": 995.0, "width_bottom": 25.0}
PLACES = Places(AT, {"plumb_left": 1828.8, "plumb_right": 1828.8}, 1990.0, 1420.0)


def with_plumb(left: str, right: str, of: Gaussian) -> Gaussian:
    texts = {name: inches_text(of.value(name)) for name in of.names}
    readings = taped(texts | {"plumb_left": f"{left} over 72", "plumb_right": f"{right} over 72"}).everything
    return replace(
        readings, mean=np.where(np.isin(readings.names, of.names), [*of.mean, *readings.mean[len(of.names) :]], readings.mean)
    )


def test_without_further_readings_nothing_changes() -> None:
    """With the seven lengths alone the joint judgement is the comparison, to the last digit."""
    of = world("4 bank cards", 7)
    for comparison, _ in of.draws(1):
        assert comparison.findings == ()
    plain, joint = (compare(of.photo, of.taped, {}), judge(of.photo, of.taped, {}, places=PLACES).comparison)
    for name in of.taped.names:
        assert plain.readings[name] == joint.readings[name]


def test_plumb_of_a_wall_without_a_vertical_in_the_photo_has_no_counterpart_but_is_checked() -> None:
    """The photo's taper answers for both walls together: one whose direction was turned is suspect or in doubt."""
    photo = photo_with_taper(0.0)
    good = judge(photo, with_plumb("plumb", "plumb", photo.select(READING_NAMES)), {}, places=PLACES).comparison
    wrong = judge(photo, with_plumb("1 1/2 into", "plumb", photo.select(READING_NAMES)), {}, places=PLACES).comparison
    assert {good.readings[n].verdict for n in ("plumb_left", "plumb_right")} == {"cannot tell"}
    assert good.readings["plumb_left"].photo_mm is None
    assert wrong.readings["plumb_left"].explanations


def photo_with_taper(mm_per_m: float) -> Gaussian:
    """A photo of four cards that also gives the taper, from its own widths."""
    sizes = photo_sizes("4 bank cards")
    J = np.zeros((1, 7))
    J[0, sizes.index("width_top")], J[0, sizes.index("width_bottom")] = 1000 / 1940, -1000 / 1940
    value = (sizes.value("width_top") - sizes.value("width_bottom")) * 1000 / 1940
    return sizes.joined(sizes.propagate(J, ["taper"], np.array([value + mm_per_m])))


def test_a_middle_height_is_expected_between_the_two_others() -> None:
    """It has a counterpart: the mean of both heights, with the straightness of head and curb in its uncertainty."""
    photo = photo_sizes("4 bank cards")
    texts = {name: inches_text(photo.value(name)) for name in READING_NAMES}
    one = taped(texts | {"height_middle": "78 3/8"}).everything
    verdict = judge(photo, one, {}, places=PLACES).comparison.readings["height_middle"]
    assert verdict.photo_mm == pytest.approx((photo.value("height_left") + photo.value("height_right")) / 2, abs=0.01)
    assert verdict.u_photo_mm is not None
    assert verdict.u_photo_mm > 3.0


def test_heights_that_the_photo_does_not_show_are_judged_through_the_figure() -> None:
    """With the head cut off, a diagonal that does not close is seen, and no unseen reading is called good."""
    photo = photo_sizes("4 bank cards").select(READING_NAMES[:3])
    texts = {name: inches_text(photo_sizes("4 bank cards").value(name)) for name in READING_NAMES}
    truth = judge(photo, taped(texts).everything, {}, places=PLACES)
    off = judge(photo, taped(texts | {"diagonal_rising": "99"}).everything, {}, places=PLACES)
    assert truth.doubt.kind == "none"
    assert off.doubt.kind == "together"
    assert {truth.comparison.readings[n].verdict for n in READING_NAMES[3:]} == {"cannot tell"}


def test_a_verdict_that_is_lifted_is_said() -> None:
    """witness-overruled: suspect with fewer witnesses, agrees with more."""
    of = world("4 bank cards", 7)
    slip = replace(of.taped, mean=of.truth + np.eye(7)[0] * INCH)
    before, after = compare(of.photo, slip, {}), compare(of.photo, replace(of.taped, mean=of.truth), {})
    assert [f.code for f in overruled(before, after)] == ["witness-overruled"]
    assert overruled(before, before) == ()
    assert overruled(after, after) == ()


@pytest.mark.parametrize("seed", range(4))
def test_adding_a_witness_never_lifts_a_suspicion_silently(seed: int) -> None:
    """Over drawn readings with slips: whatever is suspect by the lengths alone and agrees with plumb added has its finding."""
    rng = np.random.default_rng(seed)
    of = world("4 bank cards", 7, seed=seed)
    photo = photo_with_taper(0.0)
    for _ in range(40):
        slip = np.zeros(7)
        slip[rng.integers(7)] = rng.uniform(3.0, 12.0)
        drawn = replace(of.taped, mean=of.truth + rng.normal(0.0, 1.2, 7) + slip)
        before = compare(of.photo, drawn, {})
        with_level = with_plumb(f"{rng.integers(1, 8)}/8 into", "plumb", drawn)
        after = judge(photo, with_level, {}, places=PLACES).comparison
        said = {f.code for f in (*after.findings, *overruled(before, after))}
        for name in READING_NAMES:
            if (verdicts(before)[name], verdicts(after)[name]) == ("suspect", "agrees"):
                assert said


def test_a_second_set_never_lifts_a_suspicion_silently() -> None:
    """Over drawn second readings of widths, heights and diagonals with a slip: suspect becomes agrees only with its finding."""
    rng = np.random.default_rng(6)
    of = world("4 bank cards", 7, seed=5)
    lifted = 0
    for k, name in [*enumerate(READING_NAMES)] * 30:
        wrong = of.truth + np.eye(7)[k] * rng.uniform(6.0, 20.0)
        readings = {n: f"{v:.0f} mm" for n, v in zip(READING_NAMES, wrong, strict=True)}
        again = {name: f"{of.truth[k] + rng.uniform(-3.0, 8.0):.0f} mm"}
        facts = facts_from_mapping({"readings": readings, "second": [{"by": "B", "readings": again}]})
        first, both = read_tape(replace(facts, second=())), read_tape(facts)
        before, after = compare(of.photo, first.gaussian, {}), judge(of.photo, both.everything, {}).comparison
        said = {finding.code for finding in overruled(before, after)}
        for one in READING_NAMES:
            if (verdicts(before)[one], verdicts(after)[one]) == ("suspect", "agrees"):
                lifted += 1
                assert "witness-overruled" in said
    assert lifted > 0


def verdicts(of: Comparison) -> dict[str, str]:
    return {name: one.verdict for name, one in of.readings.items()}
