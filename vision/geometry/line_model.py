"""World points of straight lines on or parallel to the opening plane: levels and joints, standing or lying.

A standing line runs up (x = position + slope * y), a lying one across (y = position + slope * x). Its centre stands at this
curve parameter; a level's ends lie half its length to either side of it, square to it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
LINE_PARAMETERS = ("position", "slope", "centre", "length", "depth")
"""mm, mm/mm, mm along the line, mm, mm behind the opening plane"""
POSITION, SLOPE, CENTRE, LENGTH, DEPTH = range(5)
LONG_SIDE, FIRST_END, SECOND_END = range(3)
"""which edge of a line: itself, or (of a level) the end with the smaller or the larger curve parameter"""
Derivatives = list[tuple[int, Array]]


@dataclass(frozen=True)
class LineModel:
    """What does not change of one line: whether it lies, and the side wall ("left", "right") on which it runs back, or none."""

    lying: bool
    back: str | None = None


def line_points(edge: int, t: Array, row: Array, lying: bool, base: int) -> tuple[Array, Array, Derivatives]:
    """World points (n, 3) at curve parameters t (mm along, for an end mm across), derivative by t, and by the five unknowns.

    `row` (5,) as LINE_PARAMETERS, whose columns start at `base`.
    """
    one, zero = np.ones_like(t), np.zeros_like(t)
    p, s, q, length, depth = row
    n = float(np.sqrt(1 + s * s))
    columns = {DEPTH: (zero, zero)}
    if edge == LONG_SIDE:
        across, along = p + s * t, t
        by_t = (s * one, one)
        columns |= {POSITION: (one, zero), SLOPE: (t, zero)}
    else:
        half = (0.5 if edge == SECOND_END else -0.5) * length
        at, d_at = q + half / n, -half * s / n**3  # along, and its derivative by the slope
        across, along = p + s * at + t / n, at - s * t / n
        by_t = (one / n, -s / n * one)
        columns |= {
            POSITION: (one, zero),
            SLOPE: (at + s * d_at - s * t / n**3, d_at - t / n**3),
            CENTRE: (s * one, one),
            LENGTH: (s * half / length / n * one, half / length / n * one),
        }
    X = _placed(across, along, -depth * one, lying)
    out = [(base + k, _placed(u, v, -one if k == DEPTH else zero, lying)) for k, (u, v) in columns.items()]
    return X, _placed(*by_t, zero, lying), out


def _placed(across: Array, along: Array, z: Array, lying: bool) -> Array:
    return np.stack([along, across, z] if lying else [across, along, z], axis=1)
