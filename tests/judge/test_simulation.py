"""The judge by simulation, small: the goals of the benchmark beside it, with the slack that few draws need."""

from __future__ import annotations

import numpy as np
import pytest

from tests.judge.layouts import LAYOUTS, photo_sizes
from tests.judge.simulation import (
    INCH,
    constant,
    factor,
    in_doubt_of_scale,
    nobody_agrees,
    one_slip,
    own_slips,
    share,
    speaks,
    suspects,
    touched,
    two_slips,
    world,
)
from tests.tolerances import EXACT, SAMPLED

DRAWS = 300
CELLS = [("1 bank card beside", 3), ("1 A4 nominal beside", 5), ("1 A4 measured beside", 7), ("4 bank cards", 7)]
STRONG = CELLS[2:]


@pytest.mark.parametrize(("layout", "readings"), CELLS)
def test_a_clean_check_seldom_names_anything(layout: str, readings: int) -> None:
    """At most two checks in a hundred speak without cause."""
    assert share(speaks(check) for check, _ in world(layout, readings).draws(DRAWS)) <= 0.02 + SAMPLED(0.02, DRAWS)


@pytest.mark.parametrize(("layout", "readings"), CELLS)
def test_the_smallest_visible_slip_is_noticed_four_times_in_five(layout: str, readings: int) -> None:
    """A slip of its stated size is noticed with a power of 0.75 to 0.85."""
    of = world(layout, readings)
    power = share(speaks(check) for check, _ in of.draws(DRAWS, one_slip(sizes=own_slips(of))))
    assert 0.75 - SAMPLED(0.8, DRAWS) <= power <= 0.85 + SAMPLED(0.8, DRAWS)


@pytest.mark.parametrize(("layout", "readings"), STRONG)
def test_an_inch_is_pinned_on_the_right_reading(layout: str, readings: int) -> None:
    """With seven readings and good references the wrong one alone is named, 95 times in a hundred."""
    draws = world(layout, readings).draws(DRAWS, one_slip(INCH))
    assert share(suspects(check) == touched(check, added) for check, added in draws) >= 0.95 - SAMPLED(0.95, DRAWS)


@pytest.mark.parametrize(("layout", "readings"), CELLS)
def test_two_slips_do_not_bring_a_good_reading_into_disrepute(layout: str, readings: int) -> None:
    """A good reading is blamed once in a hundred at most."""
    draws = world(layout, readings).draws(DRAWS, two_slips(INCH, INCH))
    assert share(bool(suspects(check) - touched(check, added)) for check, added in draws) <= 0.01 + SAMPLED(0.01, DRAWS)


@pytest.mark.parametrize(("layout", "readings"), CELLS)
def test_a_common_factor_is_put_down_to_the_scale(layout: str, readings: int) -> None:
    """Readings 1.025 times too long: scale-in-doubt, and not one of them is called good."""
    checks = [check for check, _ in world(layout, readings).draws(DRAWS, factor(1.025))]
    assert share(in_doubt_of_scale(check) for check in checks) >= 0.95 - SAMPLED(0.95, DRAWS)
    assert share(nobody_agrees(check) for check in checks) == 1.0


@pytest.mark.parametrize(("layout", "readings"), CELLS)
def test_a_common_inch_never_blames_a_reading(layout: str, readings: int) -> None:
    """An inch on all readings: not once is one of them suspect."""
    assert not any(suspects(check) for check, _ in world(layout, readings).draws(DRAWS, constant(INCH)))


@pytest.mark.parametrize("layout", LAYOUTS)
def test_the_model_of_the_adjustment_gives_sizes_of_one_photo(layout: str) -> None:
    """Named sources, strongly correlated sizes, and no negative variance beyond rounding."""
    photo = photo_sizes(layout)
    assert np.linalg.eigvalsh(photo.covariance).min() > -EXACT
    assert {"edges", "card size", "card offset", "focal length", "lens", "bow"} <= set(photo.sources)
    assert photo.covariance[3, 4] > 0.2 * photo.sd[3] * photo.sd[4]


def test_references_around_the_opening_are_better_than_beside_it() -> None:
    """Four cards give every size better than one beside the opening."""
    assert np.all(photo_sizes("4 bank cards").sd < photo_sizes("1 bank card beside").sd)


def test_a_card_measured_with_a_long_tape_makes_every_size_long() -> None:
    """The tape's variable has the same sign in both records, so that it cancels in their difference."""
    of = world("4 A4 measured", 7)
    photo, taped = of.photo.sources["tape"], of.taped.sources["tape"]
    assert np.all(photo > 0)
    assert np.all(np.abs(taped - photo) < taped)
