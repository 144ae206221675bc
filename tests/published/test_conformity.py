"""Guard bands against JCGM 106:2012, and published numbers of glass and building codes that ordering rests on."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import gamma, norm

from tests.judge.openings import door_of, ordered, photo, tape, walls
from tests.tolerances import EXACT, PRINTED
from vision.judge.doors import choose_door
from vision.judge.evidence import acceptance_limit
from vision.judge.glass import masses


@pytest.mark.parametrize(("coverage", "percent"), [(2.0, "2.3"), (1.645, "5.0")])
def test_a_value_at_the_acceptance_limit_is_beyond_the_limit_as_rarely_as_printed(coverage: float, percent: str) -> None:
    """Guard band w = 2u leaves 2.3 %, w = 1.645u leaves 5 % (JCGM 106:2012, 8.3.2; ISO 14253-1)."""
    accepted = acceptance_limit(10.0, 0.3, coverage)

    assert 100 * norm.sf((10.0 - accepted) / 0.3) == pytest.approx(float(percent), abs=PRINTED(percent))


def test_the_ball_bearings_are_accepted_up_to_the_printed_limit() -> None:
    """JCGM 106:2012, 9.5.4: motion error at most 2 um, prior Gamma(4, 1/4), u 0.25 um; up to 1.67 um the risk is 0.1 %."""
    accepted = acceptance_limit(2.0, 0.25, coverage=(2.0 - 1.67) / 0.25)
    true = np.linspace(2.0, 8.0, 20_001)
    falsely = np.trapezoid(gamma.pdf(true, 4, scale=0.25) * norm.cdf((accepted - true) / 0.25), true)

    assert accepted == pytest.approx(1.67, abs=PRINTED("1.67"))
    assert 100 * falsely == pytest.approx(0.1, abs=PRINTED("0.10"))


def test_the_gap_of_a_door_is_accepted_with_its_guard_band() -> None:
    """What is left of a gap is the acceptance limit of JCGM 106:2012, 8.3.2: the gap less the glass less 2u of the tape."""
    taped = tape({"Wb": "28", "Wm": "28", "Wt": "28", "Hl": "76", "Hr": "76"})
    room = door_of(ordered("hinged-door", taped, photo(taped), walls(0.0, 0.0, sd=1e-9))).sizes[0].room

    assert room is not None
    expected = acceptance_limit(room.gap_mm - room.glass_mm, taped.gaussian.u("width_bottom"))
    assert room.left_mm == pytest.approx(expected, abs=1e-6), "the level's sd of 1e-9 mm/m is left in"


@pytest.mark.parametrize(("thickness_mm", "kg_per_m2"), [(6, 15), (8, 20), (10, 25), (12, 30)])
def test_glass_weighs_what_its_density_says(thickness_mm: int, kg_per_m2: float) -> None:
    """2500 kg/m3 (EN 572-1) is 2.5 kg for each square metre and millimetre."""
    door = choose_door("hinged-door", {"thickness": f"{thickness_mm} mm"})

    assert masses(1.0, door) == pytest.approx((kg_per_m2, kg_per_m2), rel=EXACT)


@pytest.mark.parametrize(
    ("glass", "low", "high"),
    [("3/16 in", "2.4", "2.6"), ("1/4 in", "3.1", "3.25"), ("3/8 in", "4.9", "5.1"), ("1/2 in", "6.1", "6.5")],
)
def test_a_nominal_thickness_is_weighed_both_ways(glass: str, low: str, high: str) -> None:
    """Pounds a square foot by inches and by millimetres, as usual tables have them (arithmetic on 2500 kg/m3)."""
    door = choose_door("hinged-door", {"glass": glass})
    found = [kg / 0.45359237 for kg in masses(0.3048**2, door)]

    assert found[0] == pytest.approx(float(low), abs=PRINTED(low))
    assert found[1] == pytest.approx(float(high), abs=PRINTED(high))


def test_the_clear_way_is_a_reminder_with_its_source() -> None:
    """22 in (IRC P2708.1.1) for every kind of shower door, and for nothing else."""
    for kind, way in (("hinged-door", True), ("sliding-kit", True), ("tub-screen", False), ("mirror", False)):
        door = choose_door(kind)
        assert door.has("clear_way") == way
        if way:
            assert door.said("clear_way") == "22 in (published: IRC P2708.1.1)"
            assert any("open outward" in reminder.text and "IRC P2708.1" in reminder.source for reminder in door.reminders)
