"""Points of an edge that were left out as odd: if they lie on a curve of their own, the edge may be there."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
NEAR_PX = 3.0
"""px; what lies further off is something else before or beside the edge"""
EITHER = 0.5**0.5
"""rms of an error that is as likely the whole difference as none"""


def left_out_px(along: Array, x0: Array, coefficients: Array, used: NDArray[np.bool_]) -> float:
    """Sd (px) that the points left out add to an edge's ends and sag: how far the curve moves if they count like the others.

    `along` (n,) -1 to 1, `x0` (n,) px with NaN where nothing was seen, `coefficients` of the curve through the `used` ones.
    Odd points to both sides cancel; a run to one side, as where the light changes along an edge, does not.
    """
    rest = np.abs(x0 - np.polyval(coefficients, along))
    near = np.isfinite(x0) & np.isfinite(along) & (used | (rest < NEAR_PX))
    if near.sum() == used.sum():
        return 0.0
    every = np.polyfit(along[near], x0[near], len(coefficients) - 1)
    return EITHER * float(np.max(np.abs(np.polyval(every - coefficients, [-1.0, 0.0, 1.0]))))
