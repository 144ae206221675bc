"""The common profile of an edge, a step with a narrow line beside it, as residuals with their derivatives."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

Array = NDArray[np.float64]
BELL = 1 / np.sqrt(2 * np.pi)


def step_model(v: Array, z: Array, root: Array, side: int) -> Callable[[Array], tuple[Array, Array]]:
    """Residuals (m,) against heights z at distances v (px), weighted by `root`, and their derivatives (m, p).

    Parameters: place, blur, lower and upper level and, where `side` is not 0, amplitude and width of the line on that side.
    """

    def model(q: Array) -> tuple[Array, Array]:
        place, s, low, high = q[:4]
        gap, a = high - low, (v - place) / s
        near, slope = ndtr(a), BELL / s * np.exp(-0.5 * a * a)
        profile, by_v, by_s, extra = near, slope, -a * slope, []
        if side:
            amplitude, b = side * q[4], a - side * q[5] / s
            line, far = near - ndtr(b), BELL / s * np.exp(-0.5 * b * b)
            profile, by_v = near + amplitude * line, slope + amplitude * (slope - far)
            by_s = by_s + amplitude * (b * far - a * slope)
            extra = [gap * side * line, gap * q[4] * far]
        J = np.stack([-gap * by_v, gap * by_s, 1 - profile, profile, *extra], axis=1)
        return (low + gap * profile - z) * root, J * root[:, None]

    return model
