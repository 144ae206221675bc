"""Which of two lines is the edge, by odds, on made-up windows and courses."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from vision.geometry.arris_sight import COLUMNS, HALF, ROWS, UNIT_PX, Sight
from vision.geometry.locate import Course
from vision.geometry.parallax import Told
from vision.geometry.strips import Strip
from vision.geometry.which_line import SURE, TAIL, Taken, by_edge, own_line, taken

Array = NDArray[np.float64]
LENGTH, AT, REACH = 1000, 500.0, 18.0
"""px: an upright edge at AT, and how far rough corners may be off; the photo's scale is 1"""


def strip() -> Strip:
    """Scan lines along the edge; their pixels are not looked at."""
    first = np.full(LENGTH, int(AT) - 40, dtype=np.int64)
    return Strip(False, 0, first, np.zeros((LENGTH, 81, 3), np.uint8))


def sight(*peaks: tuple[float, float], none: float = 0.02) -> Sight:
    """Rows that all have these shares at these columns inside of the line; what is left lies anywhere."""
    shares = np.full((ROWS, COLUMNS + 1), (1 - none - sum(s for _, s in peaks)) / COLUMNS)
    for column, share in peaks:
        low = int(np.floor(column))
        shares[:, HALF + low] += share * (1 - column + low)
        shares[:, HALF + low + 1] += share * (column - low)
    shares[:, COLUMNS] = none
    ends = np.array([[AT, LENGTH - 100.0], [AT, 100.0]])
    return Sight(ends, np.array([UNIT_PX, 0.0]), shares)


def course(*others: tuple[float, float]) -> Course:
    """An edge followed at AT, and lines so many px inside of it with these shares of its score."""
    away = tuple(np.full(LENGTH, px) for px, _ in others)
    return Course(np.full(LENGTH, AT), None, away, tuple(share for _, share in others))


def result(one: Course, what: Sight, told: Told | None = None) -> Taken:
    """Where the edge is taken."""
    return taken(one, told, strip(), what, scale=1.0, within_px=REACH)


def test_of_two_lines_as_likely_the_middle_is_taken() -> None:
    """Half of their distance is in doubt, as a rival's was before."""
    found = result(course((10.0, 1.0)), sight((0.0, 0.45), (4.0, 0.45)))

    assert found.shift.mean() == pytest.approx(5.0, abs=1.2)
    assert found.doubt_px == pytest.approx(5.0, abs=0.6)
    assert found.apart_px == pytest.approx(10.0, abs=0.5)


def test_the_line_that_looks_like_the_arris_is_taken() -> None:
    """Although the other one is as clear: and it is as uncertain as the odds leave it."""
    found = result(course((10.0, 1.0)), sight((4.0, 0.95)))

    assert found.likeliest.mean() == pytest.approx(10.0)
    assert found.odds > SURE
    assert 8.0 < found.shift.mean() < 10.0
    assert 1.0 < found.doubt_px < 4.0


def test_what_looks_like_nothing_leaves_it_to_clearness() -> None:
    """With the same shares everywhere the clearer line has more of the odds, and that is all."""
    found = result(course((10.0, 0.6)), sight())

    assert found.likeliest.mean() == 0.0
    assert 0.4 < found.odds < SURE


def test_parallax_counts_beside_the_network() -> None:
    """What it tells is likelier than without it."""
    told = Told(np.full(LENGTH, 10.0), 1.0, "inner", 10.0)
    two = course((10.0, 1.0))
    without, with_it = (result(two, sight((0.0, 0.45), (4.0, 0.45)), t) for t in (None, told))

    assert without.shift.mean() < 6.0
    assert with_it.shift.mean() > 7.5


def test_a_line_far_from_the_marks_is_hardly_the_edge() -> None:
    """25 px off where rough corners are good to 15 and some: the one at the marks is kept, and it is still thought of."""
    found = result(course((25.0, 1.0)), sight((0.0, 0.45), (10.0, 0.45)))

    assert found.likeliest.mean() == 0.0
    assert found.odds > 0.9


def test_an_unlikely_line_is_never_further_off_than_the_tail_allows() -> None:
    """A normal law with the mixture's own sd would hold what is left of the odds for impossible."""
    found = result(course((10.0, 0.35)), sight((0.0, 0.9), (4.0, 0.02)))

    assert found.odds > SURE
    assert found.doubt_px * TAIL >= 10.0 - found.shift.mean() - 0.5


def test_the_networks_own_line_counts_where_none_was_followed() -> None:
    """Six columns inside, where no course runs."""
    found = result(course(), sight((6.0, 0.95)))

    assert found.likeliest.mean() == pytest.approx(6 * UNIT_PX, abs=0.5)
    assert own_line(sight((6.0, 0.95)), UNIT_PX / REACH) == pytest.approx([6.0, 6.0])


def test_only_edges_that_are_seen_are_asked_for() -> None:
    """An edge without a window is left to what was done before."""
    edges = {"left": (course((10.0, 1.0)), (100.0, 900.0)), "curb": (course(), (100.0, 900.0))}

    found = by_edge(edges, {}, {"left": strip(), "curb": strip()}, {"left": sight((4.0, 0.95))}, scale=1.0, within_px=REACH)

    assert list(found) == ["left"]
