"""How far the sizes of several unmeasured cards of one kind may differ."""

from __future__ import annotations

import numpy as np
import pytest

from tests.benchmarks.scene_files import FOLDERS, OPTIONS, Scene
from tests.tolerances import EXACT
from vision.check import check
from vision.geometry.assemble import _alike_priors
from vision.settings_cards import CARD_KINDS

WITHIN_SDS = 3.3
"""a chance of one in a thousand a number"""


@pytest.mark.parametrize("n", [1, 2, 3])
@pytest.mark.parametrize("kind", ["a4", "letter"])
def test_unmeasured_sheets_share_half_of_their_variance(kind: str, n: int) -> None:
    """Each is as uncertain as the standard says, and any two have half of that in common."""
    of = CARD_KINDS[kind]
    priors = _alike_priors([2 * i for i in range(n)], of)
    information = np.zeros((2 * n, 2 * n))
    for prior in priors:
        row = np.zeros(2 * n)
        row[list(prior.columns)] = np.array(prior.coefficients) / prior.sd
        information += np.outer(row, row)
    covariance = np.linalg.inv(information)
    for k, sd in enumerate((of.width_sd_mm, of.height_sd_mm)):
        expected = sd**2 * (0.5 * np.eye(n) + 0.5 * np.ones((n, n)))
        assert covariance[k::2, k::2] == pytest.approx(expected, rel=EXACT)
    assert covariance[0::2, 1::2] == pytest.approx(np.zeros((n, n)), abs=EXACT)


@pytest.mark.parametrize("name", ["room10_two_sheets_plumb", "room7_leaning_walls", "bowed_wall"])
def test_two_sheets_that_nobody_measured_are_not_taken_for_twins(name: str) -> None:
    """Sheets that differ by 0.4 to 2.3 mm, nothing but their kind stated: every size, lean and proportion within what is said."""
    folder = next(f for f in FOLDERS if (f / f"{name}.jpg").exists())
    scene = Scene(folder / f"{name}.jpg")
    report = check(scene.request(0, OPTIONS[1]))
    assert report.opening is not None
    true, of = scene.true(), report.opening.quantities
    off = {n: (of.value(n) - true[n]) / of.u(n) for n in of.names if n in true}
    assert len(off) > 10
    assert {n: z for n, z in off.items() if abs(z) > WITHIN_SDS} == {}
