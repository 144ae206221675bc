"""The neutral record."""

from __future__ import annotations

import numpy as np
import pytest

from tests.tolerances import EXACT, LINEAR, SAMPLED_SD
from vision.gaussian import Array, Gaussian


@pytest.fixture
def record() -> Gaussian:
    """Three sizes with two sources."""
    rng = np.random.default_rng(2)
    return Gaussian(("a", "b", "c"), np.array([3.0, 4.0, 12.0]), {"one": rng.normal(size=(3, 2)), "two": rng.normal(size=(3, 1))})


def test_the_covariance_is_the_sum_over_the_sources(record: Gaussian) -> None:
    """Each source adds F F'."""
    one, two = record.sources["one"], record.sources["two"]
    assert record.covariance == pytest.approx(one @ one.T + two @ two.T, rel=EXACT)
    assert record.sd == pytest.approx(np.sqrt(np.diag(record.covariance)), rel=EXACT)


def test_the_budget_adds_up_to_the_uncertainty(record: Gaussian) -> None:
    """Squares by source sum to u squared, for each quantity."""
    for name in record.names:
        assert sum(sd**2 for sd in record.budget(name).values()) == pytest.approx(record.u(name) ** 2, rel=EXACT)


def test_selecting_keeps_values_and_correlations_in_the_order_asked(record: Gaussian) -> None:
    """Rows and columns follow the names."""
    picked = record.select(["c", "a"])
    assert picked.names == ("c", "a")
    assert picked.mean == pytest.approx([12.0, 3.0], rel=EXACT)
    assert picked.covariance == pytest.approx(record.covariance[np.ix_([2, 0], [2, 0])], rel=EXACT)


def test_propagation_agrees_with_drawn_values(record: Gaussian) -> None:
    """A linear function of draws scatters as the propagated record says, correlation included."""
    draws = 20_000
    rng = np.random.default_rng(5)
    sample = record.mean + sum(rng.standard_normal((draws, f.shape[1])) @ f.T for f in record.sources.values())
    jacobian = np.array([[1.0, -1.0, 0.0], [0.5, 0.5, 2.0]])
    propagated = record.propagate(jacobian, ("x", "y"), jacobian @ record.mean)
    whitened = np.linalg.solve(np.linalg.cholesky(propagated.covariance), (sample @ jacobian.T - propagated.mean).T)
    assert np.cov(whitened) == pytest.approx(np.eye(2), abs=2 * SAMPLED_SD(draws))


def test_propagation_takes_the_jacobian_of_a_function(record: Gaussian) -> None:
    """A bent function's spread is that of its tangent, to first order in a small uncertainty."""
    small = Gaussian(record.names, record.mean, {s: 1e-4 * f for s, f in record.sources.items()})

    def length(x: Array) -> float:
        return float(np.sqrt(x @ x))

    gradient = record.mean / length(record.mean)
    stated = small.propagate(gradient[None, :], ("length",), np.array([length(record.mean)]))
    columns = np.hstack(list(small.sources.values())).T
    differences = [(length(record.mean + f) - length(record.mean - f)) / 2 for f in columns]
    assert stated.u("length") == pytest.approx(float(np.linalg.norm(differences)), rel=LINEAR)


def test_a_shared_source_enters_a_difference_once_with_its_sign() -> None:
    """The same tape in both cancels, other sources add."""
    tape = Gaussian(("a",), np.array([10.0]), {"tape": np.array([[2.0]]), "placement": np.array([[1.0]])})
    photo = Gaussian(("a",), np.array([9.0]), {"tape": np.array([[1.5]]), "edges": np.array([[3.0]])})
    difference = tape.minus(photo)
    assert difference.value("a") == pytest.approx(1.0, rel=EXACT)
    assert difference.budget("a") == pytest.approx({"tape": 0.5, "placement": 1.0, "edges": 3.0}, rel=EXACT)
    assert difference.sources["edges"][0, 0] == pytest.approx(-3.0, rel=EXACT)


def test_a_record_less_itself_is_nothing(record: Gaussian) -> None:
    """Complete correlation leaves no value and no uncertainty."""
    nothing = record.minus(record)
    assert nothing.mean == pytest.approx(np.zeros(3), abs=EXACT)
    assert nothing.covariance == pytest.approx(np.zeros((3, 3)), abs=EXACT)


def test_a_difference_follows_the_names_of_the_first(record: Gaussian) -> None:
    """The other record may hold more and in another order."""
    wider = Gaussian(("c", "x", "a"), np.array([1.0, 2.0, 3.0]), {"other": np.eye(3)})
    difference = record.select(["a", "c"]).minus(wider)
    assert difference.names == ("a", "c")
    assert difference.mean == pytest.approx([0.0, 11.0], abs=EXACT)


def test_one_more_source_widens(record: Gaussian) -> None:
    """An independent source adds its variance; its name must be new."""
    wider = record.with_source("three", np.ones((3, 1)))
    assert wider.covariance == pytest.approx(record.covariance + 1.0, rel=EXACT)
    with pytest.raises(ValueError, match="there already"):
        wider.with_source("three", np.ones((3, 1)))


def test_an_empty_record_is_allowed() -> None:
    """No quantities, no covariance."""
    empty = Gaussian((), np.zeros(0), {})
    assert empty.covariance.shape == (0, 0)
    assert empty.sd.shape == (0,)


@pytest.mark.parametrize(
    ("names", "mean", "factor", "said"),
    [
        (("a", "a"), [1.0, 2.0], np.eye(2), "repeat"),
        (("a", "b"), [1.0], np.eye(2), "mean has shape"),
        (("a", "b"), [1.0, 2.0], np.eye(3), "source 'edges' has shape"),
        (("a", "b"), [1.0, 2.0], np.ones(2), "source 'edges' has shape"),
        (("a", "b"), [1.0, np.nan], np.eye(2), "mean is not finite"),
        (("a", "b"), [1.0, 2.0], np.full((2, 1), np.inf), "not finite"),
    ],
)
def test_a_record_that_does_not_fit_together_is_refused(
    names: tuple[str, ...], mean: list[float], factor: Array, said: str
) -> None:
    """Shapes, names and finiteness are checked when it is made."""
    with pytest.raises(ValueError, match=said):
        Gaussian(names, np.array(mean), {"edges": factor})


def test_an_unknown_name_is_a_key_error(record: Gaussian) -> None:
    """Asking for a quantity that is not there names it."""
    with pytest.raises(KeyError, match="depth"):
        record.value("depth")


def test_shared_sources_of_different_width_are_refused(record: Gaussian) -> None:
    """The same name must mean the same variables."""
    other = Gaussian(record.names, record.mean, {"two": np.ones((3, 2))})
    with pytest.raises(ValueError, match="shared source 'two'"):
        record.minus(other)
