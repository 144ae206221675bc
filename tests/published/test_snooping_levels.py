"""Baarda (1968), data snooping: levels at significance 0.001 and power 0.80, as commonly printed: 3.29, 4.13, 17.07."""

from __future__ import annotations

import pytest
from scipy.stats import chi2, norm

from tests.tolerances import PRINTED
from vision.settings import JudgeSettings

JUDGE = JudgeSettings()


def test_the_critical_value_is_the_two_sided_quantile() -> None:
    """|w| > 3.29 once in a thousand."""
    assert norm.ppf(1 - JUDGE.significance / 2) == pytest.approx(JUDGE.w_critical, abs=PRINTED("3.29"))


def test_the_non_centrality_is_that_of_power_080() -> None:
    """delta0 = q(0.9995) + q(0.80) = 4.13, its square 17.07."""
    delta0 = norm.ppf(1 - JUDGE.significance / 2) + norm.ppf(0.80)
    assert delta0 == pytest.approx(JUDGE.delta0, abs=PRINTED("4.13"))
    assert delta0**2 == pytest.approx(17.07, abs=PRINTED("17.07"))


def test_one_more_column_must_earn_its_quantile() -> None:
    """The penalty of a column is the chi-square quantile of one degree of freedom."""
    assert chi2.ppf(1 - JUDGE.significance, 1) == pytest.approx(JUDGE.penalty, abs=PRINTED("10.83"))
