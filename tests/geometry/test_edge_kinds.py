"""A few draws of the table of edge kinds (tests/benchmarks/edge_kinds.py): the generator is true, and the edges are as stated."""

from __future__ import annotations

import numpy as np
import pytest

from tests.benchmarks.edge_kind_list import ARRISES, CARDS
from tests.benchmarks.edge_kinds import Seen, many, rows
from tests.benchmarks.phone import demosaiced
from tests.tolerances import SAMPLED_SD
from vision.settings import EdgeSettings

DRAWS = 5
TRUE = ("light face, dark opening", "dark face, light opening", "equal grey", "sharpened", "noisy", "bead at the arris")
CLEAN = ("light face, dark opening", "noisy")
FLOAT32 = 1e-6
"""rounding of a few operations on numbers of order one"""


def worth(found: list[Seen]) -> tuple[float, float]:
    """rms of the errors and of the stated sds; every edge must be seen."""
    e, u = np.array([(s.error, s.sd) for s in found]).T
    return float(np.sqrt(np.mean(e**2))), float(np.sqrt(np.mean(u**2)))


@pytest.mark.parametrize("kind", TRUE)
def test_an_edge_of_the_opening_is_as_true_as_it_says(kind: str) -> None:
    """The root mean square error is no more than the stated one, to what so few draws allow, without any easing."""
    assert kind in ARRISES
    rms, stated = worth(many(kind, DRAWS, eased=False))
    assert rms <= stated * (1 + SAMPLED_SD(DRAWS))


@pytest.mark.parametrize("kind", CLEAN)
def test_a_clean_edge_is_trusted(kind: str) -> None:
    """A single step is not doubted for a second one, however noisy the picture is."""
    assert worth(many(kind, DRAWS, eased=False))[1] < 1.3 * EdgeSettings().bias_sd_px


@pytest.mark.parametrize("kind", ["white card on paint", "sheet on paint", "printed frame"])
def test_the_sides_of_a_card_are_as_true_as_they_say(kind: str) -> None:
    """Four sides a draw, with their shadow and flank."""
    assert kind in CARDS
    rms, stated = worth(many(kind, 2))
    assert rms <= stated * (1 + SAMPLED_SD(8))


def test_a_row_counts_what_is_not_seen_and_marks_what_is_off() -> None:
    """Twenty errors of two sds are a bias and a lack of coverage; a missing edge is counted apart."""
    off = [Seen("odd", 0.2 + 0.001 * k, 0.1) for k in range(20)]
    row = rows([*off, Seen("odd", np.nan, np.nan)])[0]
    assert (row.count, row.missing, row.biased, row.uncovered) == (20, 1, True, True)
    fair = rows([Seen("fair", 0.1 * (-1) ** k, 0.1) for k in range(20)])[0]
    assert (fair.biased, fair.uncovered) == (False, False)


def test_undoing_the_mosaic_moves_nothing() -> None:
    """A ramp of one hue comes back as it was, without grain, away from the picture's border."""
    ramp = np.linspace(0.2, 0.6, 40, dtype=np.float32)
    light = np.stack([np.tile(share * ramp, (30, 1)) for share in (1.0, 0.5, 0.8)], axis=-1)
    back = demosaiced(light, 0.0, np.random.default_rng(0))
    assert np.abs(back - light)[4:-4, 4:-4].max() < FLOAT32
