"""Points of an edge that were left out as odd, or that wander beside its curve: the edge may be where they are."""

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


SEGMENTS, LEAST_POINTS = 8, 24
"""pieces of an edge whose means are held against its curve, and points of an edge that is cut up"""
WANDERS = 1.5
"""sd of the ends and the sag of a curve over that of its pieces from it, for an error that keeps its size over a tenth of the
edge and then changes (exponential correlation, drawn: 1.5 to 1.7; over a quarter 2.2); an edge that wanders less is white"""


def wander_px(along: Array, x0: Array, sd: Array, coefficients: Array, used: NDArray[np.bool_]) -> float:
    """Sd (px) of an edge's ends and sag where its points leave the curve in runs, as where a rounding is lit otherwise.

    `along` (n,) -1 to 1, `x0` and `sd` (n,) px, `coefficients` of the curve through the `used` points.
    """
    if used.sum() < LEAST_POINTS:
        return 0.0
    at, rest, variance = along[used], (x0 - np.polyval(coefficients, along))[used], sd[used] ** 2
    order = np.argsort(at)
    scatter = float(np.median(np.abs(np.diff(rest[order])))) * 1.4826 / 2**0.5
    variance = variance * max(1.0, scatter**2 / float(np.median(variance)))
    beyond = 0.0
    for piece in np.array_split(order, SEGMENTS):
        weight = 1 / variance[piece]
        mean = float(weight @ rest[piece] / weight.sum())
        beyond += mean**2 - 1 / float(weight.sum())
    return WANDERS * float(np.sqrt(max(beyond, 0.0) / (SEGMENTS - len(coefficients))))
