"""A second, fainter step beside an edge: a bead, joint or rounding nearly as light as one of the surfaces it lies between.

Where the common profile of an edge is no single step, either of two steps may be the edge that is meant, however faint one is.
Sharpening leaves something like it: an overshoot on both sides, alike as the file codes light. So the profile is taken as
    low (1 - Phi(v / s)) + high Phi(v / s) + o g(v) (Phi(v / s) - Phi(v / S)),  S^2 = s^2 + SHARPENING_PX^2
with the overshoot o >= 0 and g the slope of the code's light on either side, and a second step is what this cannot explain.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from vision.geometry.strips import linear_of

Array = NDArray[np.float64]
SHARPENING_PX = 1.5
"""px; usual radius of a phone's sharpening (common practice, no source)"""
NEAREST_PX, FARTHEST_PX, GRID_PX = 1.0, 6.5, 0.5
"""px; how far beside the edge the second step is looked for"""
EARNS = 0.5
"""ratio of squared misfits at which a second step is believed: two unknowns more, of some 50 samples"""
TURNS = 4


def code_slopes(levels: tuple[float, float]) -> tuple[float, float]:
    """Slope of light by code at two levels of linear light (sRGB): how much one code of overshoot is there, mean 1."""
    codes = np.linspace(0.0, 1.0, 257)
    light = linear_of(codes)
    low, high = (float(np.interp(np.clip(x, 0.002, 1.0), light[1:], np.diff(light))) for x in levels)
    return 2 * low / (low + high), 2 * high / (low + high)


def second_step(
    profile: tuple[Array, Array, Array], blur_px: float, levels: tuple[float, float], *, good_fit: float, rival: float
) -> tuple[float, bool]:
    """Distance (px, + growing position) from the edge to a second step, 0 for none; and whether one sharpened step explains all.

    `profile`: distances (m,) px, heights (m,) from 0 to 1 and roots of weights (m,) of the edge's common profile; `levels` the
    linear light of both sides; `good_fit` the misfit, relative to the step, below which nothing is to be explained; `rival` the
    squared misfit of what else was fitted.
    """
    v, z, root = profile
    place, s = 0.0, blur_px
    slopes = code_slopes(levels)
    for _ in range(TURNS):
        M = _columns(v - place, s, slopes)
        q = _solved(M, z, root)
        gap = max(float(q[1] - q[0]), 0.2)
        place, s = place - float(np.clip(q[2] / gap, -0.5, 0.5)), float(np.clip(s + q[3] / gap, 0.6 * s, 1.6 * s))
    M = _columns(v - place, s, slopes)
    cost = _cost(M, z, root)
    if np.sqrt(cost / np.sum(root**2)) < good_fit:
        return 0.0, True
    away = np.arange(NEAREST_PX, FARTHEST_PX + GRID_PX / 2, GRID_PX)
    places = np.concatenate([-away[::-1], away])
    costs = [_cost(np.column_stack([M, ndtr((v - place - w) / s)]), z, root) for w in places]
    best = int(np.argmin(costs))
    if costs[best] < EARNS * cost:
        return float(places[best]), False
    return 0.0, cost <= rival


def _columns(v: Array, s: float, slopes: tuple[float, float]) -> Array:
    """Both levels, what a move and a change of blur do to a step of 1, and an overshoot, (m, 5)."""
    near, bell = ndtr(v / s), np.exp(-0.5 * (v / s) ** 2) / (s * np.sqrt(2 * np.pi))
    overshoot = np.where(v < 0, *slopes) * (near - ndtr(v / np.hypot(s, SHARPENING_PX)))
    return np.stack([1 - near, near, bell, -v / s * bell, overshoot], axis=1)


def _solved(M: Array, z: Array, root: Array) -> Array:
    """Least squares of the columns, the overshoot (column 4) left out where it would be negative."""
    weighted = M * root[:, None]
    N = weighted.T @ weighted + 1e-9 * np.eye(M.shape[1])
    q = np.linalg.solve(N, weighted.T @ (z * root))
    if q[4] >= 0:
        return np.asarray(q)
    keep = [i for i in range(M.shape[1]) if i != 4]
    q = np.zeros(M.shape[1])
    q[keep] = np.linalg.solve(N[np.ix_(keep, keep)], weighted[:, keep].T @ (z * root))
    return q


def _cost(M: Array, z: Array, root: Array) -> float:
    return float(np.sum(((M @ _solved(M, z, root) - z) * root) ** 2))
