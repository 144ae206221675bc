"""The common profile of an edge, a step with a narrow line beside it, as residuals with their derivatives."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

Array = NDArray[np.float64]
BELL = 1 / np.sqrt(2 * np.pi)


class StepModel:
    """A step at distances v (px) beside heights z, weighted by `root`, with a line on `side` of it (0: none).

    Parameters: place, blur, lower and upper level and, where `side` is not 0, amplitude and width of the line on that side.
    """

    def __init__(self, v: Array, z: Array, root: Array, side: int) -> None:
        self._v, self._z, self._root, self._side = v, z, root, side
        self._at: tuple[bytes, Array, Array, Array, Array] | None = None

    def _shares(self, q: Array) -> tuple[Array, Array, Array, Array]:
        """Places in blurs from the step and from the line's far border, what is passed of the step, and of the line; (m,) each.

        Kept, since slopes are asked for where residuals have been.
        """
        key = q.tobytes()
        if self._at is None or self._at[0] != key:
            a = (self._v - q[0]) / q[1]
            near = ndtr(a)
            b = a - self._side * q[5] / q[1] if self._side else a
            self._at = (key, a, b, near, near - ndtr(b) if self._side else near)
        return self._at[1:]

    def residuals(self, q: Array) -> Array:
        """Weighted residuals (m,)."""
        _, _, near, line = self._shares(q)
        profile = near + self._side * q[4] * line if self._side else near
        return np.asarray((q[2] + (q[3] - q[2]) * profile - self._z) * self._root)

    def slopes(self, q: Array) -> Array:
        """Their derivatives by the parameters (m, p)."""
        (a, b, profile, line), s, gap = self._shares(q), q[1], q[3] - q[2]
        slope = BELL / s * np.exp(-0.5 * a * a)
        by_v, by_s = slope, -a * slope
        J = np.empty((len(a), len(q)))
        if self._side:
            amplitude, far = self._side * q[4], BELL / s * np.exp(-0.5 * b * b)
            profile, by_v = profile + amplitude * line, slope + amplitude * (slope - far)
            by_s = by_s + amplitude * (b * far - a * slope)
            J[:, 4], J[:, 5] = gap * self._side * line, gap * q[4] * far
        J[:, 0], J[:, 1], J[:, 2], J[:, 3] = -gap * by_v, gap * by_s, 1 - profile, profile
        J *= self._root[:, None]
        return J
