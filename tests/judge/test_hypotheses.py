"""What may be wrong: the columns and hypotheses that are looked at."""

from __future__ import annotations

import numpy as np
import pytest

from tests.tolerances import EXACT
from vision.judge.algebra import reduced_precision, whiten
from vision.judge.hypotheses import combinations_of, contains, contains_scale, explaining_columns, rank
from vision.tape.readings import READING_NAMES

SEVEN = READING_NAMES
PHOTO = np.array([1420.0, 1421.0, 1419.0, 1990.0, 1991.0, 2445.0, 2446.0])


def groups(names: tuple[str, ...]) -> list[tuple[str, tuple[str, ...]]]:
    """Code and members of the columns that touch more than one reading."""
    columns = explaining_columns(names, PHOTO[: len(names)])
    return [(c.code, tuple(names[i] for i in sorted(c.readings))) for c in columns if c.code != "slip"]


def test_seven_readings_have_seven_slips_a_factor_and_four_constants() -> None:
    """Constants on all, on the widths, on the heights and on the inside readings."""
    widths, heights, diagonals = SEVEN[:3], SEVEN[3:5], SEVEN[5:]
    assert groups(SEVEN) == [
        ("factor", SEVEN),
        ("constant", SEVEN),
        ("constant", widths),
        ("constant", (*widths, *diagonals)),
        ("constant", heights),
    ]
    assert len(explaining_columns(SEVEN, PHOTO)) == 12


def test_a_group_that_holds_every_reading_is_not_named_twice() -> None:
    """With widths only, the constant on the widths is the constant on all."""
    assert groups(SEVEN[:3]) == [("factor", SEVEN[:3]), ("constant", SEVEN[:3])]


def test_one_reading_is_no_group() -> None:
    """A group needs two members; a single reading has its slip only."""
    assert groups(("width_top",)) == []
    assert groups(("width_top", "height_left")) == [
        ("factor", ("width_top", "height_left")),
        ("constant", ("width_top", "height_left")),
    ]


def test_the_factor_is_the_photos_sizes() -> None:
    """A common factor adds to each reading in proportion to its size."""
    factor = next(c for c in explaining_columns(SEVEN, PHOTO) if c.code == "factor")
    assert factor.vector == pytest.approx(PHOTO, rel=EXACT)
    assert factor.is_scale


@pytest.mark.parametrize(("n", "largest"), [(1, 1), (2, 1), (3, 2), (7, 2)])
def test_a_hypothesis_always_leaves_something_to_check_where_it_can(n: int, largest: int) -> None:
    """Columns are fewer than readings; one where there is one reading only."""
    picks = combinations_of(explaining_columns(SEVEN[:n], PHOTO[:n]), n)
    assert max(len(pick) for pick in picks) == largest


def test_pairs_are_those_of_the_method() -> None:
    """Every pair of slips, a constant with one reading outside it, factor or all with any one reading; nothing else."""
    columns = explaining_columns(SEVEN, PHOTO)
    pairs = [pick for pick in combinations_of(columns, 7) if len(pick) == 2]
    slips, widths, inside, heights, scales = 21, 4, 2, 5, 2 * 7
    assert len(pairs) == slips + widths + inside + heights + scales
    for first, second in pairs:
        assert columns[first].code == "slip"
        if columns[second].code == "constant" and not columns[second].is_scale:
            assert not columns[first].readings & columns[second].readings


def test_what_is_left_over_is_the_quadratic_form() -> None:
    """The closed form for one and two columns equals d' M(A) d."""
    rng = np.random.default_rng(5)
    half = rng.normal(size=(7, 9))
    C, d = half @ half.T, rng.normal(size=7) * 5
    columns = explaining_columns(SEVEN, PHOTO)
    for hypothesis in rank(columns, whiten(C, np.column_stack([c.vector for c in columns])), whiten(C, d), 10.83, freedom=len(d)):
        A = np.column_stack([columns[i].vector for i in hypothesis.columns])
        assert hypothesis.left == pytest.approx(d @ reduced_precision(C, A) @ d, rel=1e3 * EXACT)
        assert hypothesis.cost == pytest.approx(hypothesis.left + 10.83 * len(hypothesis.columns), rel=EXACT)


def test_ranking_puts_the_cheapest_first() -> None:
    """An inch on the left height is best explained by a slip of the left height."""
    columns = explaining_columns(SEVEN, PHOTO)
    ranked = rank(columns, np.column_stack([c.vector for c in columns]), 25.4 * np.eye(7)[3], 10.83, freedom=7)
    assert ranked[0].touched == {3}
    assert [h.cost for h in ranked] == sorted(h.cost for h in ranked)


def test_two_constants_that_make_up_all_contain_the_scale() -> None:
    """Widths and the only height together explain a constant on all, so they cannot be told from it."""
    names = (*SEVEN[:3], "height_left")
    columns = explaining_columns(names, PHOTO[:4])
    widths = next(i for i, c in enumerate(columns) if c.code == "constant" and not c.is_scale)
    assert contains_scale(columns, (3, widths))
    assert not contains_scale(columns, (widths,))
    assert contains(columns, (3, widths), (widths,))


def test_a_single_reading_always_contains_the_scale() -> None:
    """One reading alone cannot be told from a wrong card."""
    assert contains_scale(explaining_columns(("width_top",), PHOTO[:1]), (0,))
