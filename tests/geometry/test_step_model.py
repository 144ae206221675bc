"""The profile of an edge as the fit sees it: heights and derivatives."""

from __future__ import annotations

import numpy as np
import pytest

from vision.geometry.edge_shape import Shape
from vision.geometry.step_model import StepModel

V = np.linspace(-7, 7, 57)
ROOT = np.linspace(0.2, 1.0, 57)
STEP = 1e-6
CLOSE = 1e-8
"""central differences of a smooth function with this step are right to about 1e-9"""


def parameters(side: int) -> np.ndarray:
    return np.array([0.3, 1.2, 0.1, 0.9, -0.4, 2.5][: 6 if side else 4])


@pytest.mark.parametrize("side", [-1, 0, 1])
def test_residuals_are_those_of_the_shape(side: int) -> None:
    """Levels times the normalised profile, less the heights."""
    q, z = parameters(side), np.sin(V)
    shape = Shape(q[1], q[4], q[5], side) if side else Shape(q[1])
    expected = (q[2] + (q[3] - q[2]) * shape.step(V - q[0]) - z) * ROOT
    assert StepModel(V, z, ROOT, side).residuals(q) == pytest.approx(expected, abs=1e-12)


@pytest.mark.parametrize("side", [-1, 0, 1])
def test_derivatives_are_those_of_the_residuals(side: int) -> None:
    """Against central differences, parameter by parameter."""
    model, q = StepModel(V, np.zeros_like(V), ROOT, side), parameters(side)
    for k, step in enumerate(np.eye(len(q)) * STEP):
        by_difference = (model.residuals(q + step) - model.residuals(q - step)) / (2 * STEP)
        assert model.slopes(q)[:, k] == pytest.approx(by_difference, abs=CLOSE)
