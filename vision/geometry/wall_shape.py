"""Lean and bow of each wall as one curve over its height, with its uncertainty.

Where something vertical is known the curve is the wall's distance from a plumb line through its foot, else from its own chord
(then only the bow can be told); + is into the opening. The adjusted wall is a parabola. What its edge shows beyond that, in
pieces of an eighth of the height, widens the curve evenly: a kinked wall is not stated as if it were smooth.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from vision.geometry.adjustment import Solution
from vision.geometry.assemble import Assembly
from vision.geometry.model import BL, BR, CL, CR, H0, G
from vision.geometry.opening import WallShape
from vision.geometry.sizes import corners

Array = NDArray[np.float64]
POINTS = 25
"""heights at which the curve is given"""
PIECES = 8
"""along the height, in which the edge may depart from the parabola"""
MEDIAN_LOSS = np.pi / 2
"""variance of a median over that of a mean, normal distribution"""


def wall_shapes(solution: Solution, assembly: Assembly) -> Mapping[str, WallShape]:
    """Both walls, by "left" and "right"."""
    nominal, o = assembly.nominal, solution.state.opening
    columns = solution.layout.opening
    C = solution.inverse()[columns, columns]
    chord = float(o[H0]) if nominal.has_head else nominal.chord_mm
    ends = corners(o)
    out = {}
    for side, sign, slope, bow, top in (("left", 1.0, BL, CL, ends[3]), ("right", -1.0, BR, CR, ends[2])):
        y = np.linspace(0.0, float(top[1]) if nominal.has_head else chord, POINTS)
        tau = y / chord
        J = np.zeros((POINTS, len(o)))
        J[:, bow] = sign * 4 * tau * (1 - tau)
        if nominal.has_head:
            J[:, H0] = -sign * o[bow] * 4 * (1 - 2 * tau) * tau / chord
        value = sign * o[bow] * 4 * tau * (1 - tau)
        if nominal.gravity:
            J[:, slope], J[:, G] = sign * y, -sign * y
            value = value + sign * (o[slope] - o[G]) * y
            fixed = y == 0
        else:  # this wall's own chord; the parabola is counted over the head's height above the left wall's foot
            share = y / y[-1]
            J, value = J - np.outer(share, J[-1]), value - share * value[-1]
            fixed = (y == 0) | (share == 1)
        variance = np.einsum("ij,jk,ik->i", J, C, J) + np.where(fixed, 0.0, _misfit_mm(side, solution, assembly) ** 2)
        out[side] = WallShape(y, np.asarray(value), np.sqrt(np.maximum(variance, 0.0)), "plumb" if nominal.gravity else "chord")
    return out


def _misfit_mm(side: str, solution: Solution, assembly: Assembly) -> float:
    """sd (mm) of what a wall's edge shows beyond the adjusted curve, less what the noise of its points explains."""
    excess: list[float] = []
    for i, (observation, rows) in enumerate(zip(assembly.observations, solution.rows_by_edge, strict=True)):
        if observation.edge[0] != side:
            continue
        camera, y = solution.state.cameras[observation.photo], solution.state.foot[i]
        mm_per_px = np.abs((camera.R @ np.stack([0 * y, y, 0 * y]) + camera.t[:, None])[2]) / camera.f
        sd = observation.points.sd_px * mm_per_px
        off = solution.residuals[rows] * sd
        which = np.clip((PIECES * (y - y.min()) / max(float(np.ptp(y)), 1e-9)).astype(int), 0, PIECES - 1)
        pieces = [which == k for k in range(PIECES) if np.any(which == k)]
        chance = [MEDIAN_LOSS * float(np.mean(sd[p] ** 2)) / int(p.sum()) for p in pieces]
        excess.append(float(np.mean([float(np.median(off[p])) ** 2 for p in pieces]) - np.mean(chance)))
    return float(np.sqrt(max(min(excess, default=0.0), 0.0)))
