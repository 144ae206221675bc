"""The common shape of an edge, fitted to blocks of scan lines: a step, its blur, and a narrow line or second step beside it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares
from scipy.special import ndtr

from vision.geometry.second_step import second_step
from vision.geometry.step_model import StepModel

Array = NDArray[np.float64]
LINE_STEADY = 0.1
"""share of a block's samples that the common line's amplitude weighs against its own"""
LINE_STARTS = ((-0.5, 0.0, 0.67), (0.7, 0.0, 0.67), (0.7, 2.0, 0.1))
"""amplitude, how far (px) beyond the strongest step the edge may lie, and the ratio of misfits at which a line is believed"""
GOOD_FIT = 0.01
"""relative to the step; a plain step that fits this well needs no line beside it"""
MOST_FITTED_BLUR_PX = 6.0
"""px of the photo; the widest blur that is fitted: an edge that ends here is blurred by so much or more"""
REACH_PX = 3.5
"""px; beyond this and three blurs a sample tells more of the surface than of the edge"""


@dataclass(frozen=True)
class Shape:
    """The common shape of an edge: blur s, line amplitude c (relative to the step), line width w and side (+1, -1, 0 none)."""

    s: float
    c: float = 0.0
    w: float = 0.0
    side: int = 0

    def step(self, v: Array) -> Array:
        """The normalised profile, 0 far on the minus side and 1 far on the plus side."""
        M, _ = self.columns(v)
        return np.asarray(M[..., 1] + (self.c * M[..., 2] if self.side else 0.0))

    def columns(self, v: Array) -> tuple[Array, Array]:
        """Profiles of the level on the minus side, on the plus side and, where there is a line, of its amplitude; and d/dv."""
        near = ndtr(v / self.s)
        slope = _bell(v, self.s)
        columns, slopes = [1 - near, near], [-slope, slope]
        if self.side:
            far = v - self.side * self.w
            columns.append(self.side * (near - ndtr(far / self.s)))
            slopes.append(self.side * (slope - _bell(far, self.s)))
        return np.stack(columns, axis=-1), np.stack(slopes, axis=-1)


def _bell(v: Array, s: float) -> Array:
    return np.asarray(np.exp(-0.5 * (v / s) ** 2) / (s * np.sqrt(2 * np.pi)))


@dataclass(frozen=True)
class BlockFit:
    """Per block: position x0 (b,) px, its sd (b,), levels A and B (b,), residual sd (b,)."""

    x0: Array
    sd: Array
    A: Array
    B: Array
    residual: Array


def fit_blocks(y: Array, u: Array, count: Array, shape: Shape, start: Array) -> BlockFit:
    """Least squares for position, levels and the line's amplitude of every block at once; y, u, count have shape (b, m).

    Samples far from the edge count less (half at `REACH_PX` plus three blurs), so that the next joint does not pull.
    """
    x0 = start.copy()
    reach = REACH_PX + 3 * shape.s
    ridge = np.diag([1e-9, 1e-9, LINE_STEADY * float(np.median(count.sum(axis=1)))] if shape.side else [1e-9, 1e-9])
    for _ in range(7):
        v = u - x0[:, None]
        weight = count / (1 + (v / reach) ** 12)
        M, dM = shape.columns(v)
        weighted = (M * weight[..., None]).transpose(0, 2, 1)
        N = weighted @ M + ridge
        right = (weighted @ y[..., None])[..., 0]
        if shape.side:
            right[:, 2] += ridge[2, 2] * shape.c
        level = np.linalg.solve(N, right[..., None])
        d = -(dM @ level)[..., 0]
        r = y - (M @ level)[..., 0]
        N3 = np.empty((len(N), len(ridge) + 1, len(ridge) + 1))
        N3[:, :-1, :-1] = N
        N3[:, :-1, -1] = N3[:, -1, :-1] = (weighted @ d[..., None])[..., 0]
        wd = weight * d
        N3[:, -1, -1] = np.sum(wd * d, axis=1) + 1e-9
        g = np.zeros((len(N), len(ridge) + 1, 1))
        g[:, -1, 0] = np.sum(wd * r, axis=1)
        delta = np.linalg.solve(N3, g)[:, -1, 0]
        x0 = np.clip(x0 + np.clip(delta, -1.0, 1.0), -6.0, 6.0)
    A, B = level[:, 0, 0], level[:, 1, 0]
    used = (weight > 0.5).sum(axis=1)
    variance = np.sum(r * r * weight, axis=1) / np.maximum(used - 3, 1)
    sd = np.sqrt(np.maximum(variance * np.linalg.inv(N3)[:, -1, -1], 0))
    return BlockFit(x0, sd, np.asarray(A), np.asarray(B), np.sqrt(variance / np.maximum(count.mean(axis=1), 1e-9)))


def _common_profile(y: Array, u: Array, count: Array, fit: BlockFit) -> tuple[Array, Array, Array] | None:
    """Distances (px), mean heights and roots of weights of all blocks together, normalised and in fine bins."""
    contrast = fit.B - fit.A
    good = contrast > 0.4 * np.median(contrast)
    if not good.any():
        return None
    v = (u - fit.x0[:, None])[good]
    z = ((y - fit.A[:, None]) / np.where(np.abs(contrast) > 1e-9, contrast, 1)[:, None])[good]
    weight = (count * contrast[:, None] ** 2)[good]
    index = np.round(v / 0.25).astype(np.int64)
    low = int(index.min())
    flat = (index - low).ravel()
    w = np.bincount(flat, weight.ravel())
    keep = w > 0.02 * w.max()
    vm = (np.bincount(flat, (weight * v).ravel()) / np.maximum(w, 1e-12))[keep]
    zm = (np.bincount(flat, (weight * z).ravel()) / np.maximum(w, 1e-12))[keep]
    near = np.abs(vm) < 7
    return vm[near], zm[near], np.sqrt(w[keep][near] / w.max())


@dataclass(frozen=True)
class Fitted:
    """The common shape; how far (px) its line moves the edge against a plain step; how far away (px) another step is, 0 for none.

    `sharpened`: what looks like a line is no more than a sharpened step has.
    """

    shape: Shape
    shift: float = 0.0
    second_px: float = 0.0
    sharpened: bool = False


def fit_shape(
    y: Array, u: Array, count: Array, fit: BlockFit, sides: tuple[int, ...], *, light: tuple[float, float] | None = None
) -> Fitted:
    """The common shape of an edge.

    All blocks are normalised by their levels and averaged in fine bins; a plain step and a step with a line on each allowed
    side compete, the line must lower the squared misfit by a third. `light`: the sides' linear light, None where colour tells
    the edge: stored at half the resolution it has shapes of its own.
    """
    profile = _common_profile(y, u, count, fit)
    if profile is None:
        return Fitted(Shape(1.0))
    fitted, misfit = _fit_profile(*profile, sides)
    if misfit == 0 or light is None or not sides:
        return fitted
    away, explained = second_step(profile, fitted.shape.s, light, good_fit=GOOD_FIT, rival=misfit)
    return replace(fitted, second_px=away, sharpened=explained)


def _fit_profile(vm: Array, zm: Array, root: Array, sides: tuple[int, ...]) -> tuple[Fitted, float]:
    """The best shape and its squared misfit, 0 where a plain step fits so well that there is nothing else to look for."""
    models = {side: StepModel(vm, zm, root, side) for side in (0, *sides)}
    step = models[0]
    within = ([-4, 0.3, -1, 0.2], [4, MOST_FITTED_BLUR_PX, 0.8, 2])
    plain = least_squares(step.residuals, [0, 1.0, 0, 1], jac=step.slopes, bounds=within)
    best, shape, shift = float(plain.cost), Shape(float(plain.x[1])), 0.0
    if float(np.sqrt(2 * best / np.sum(root**2))) < GOOD_FIT:
        return Fitted(shape), 0.0
    for side in sides:
        for c, away, earns in LINE_STARTS:
            start = [plain.x[0] - side * away, plain.x[1], 0, 1, c, 2.0]
            bound = ([-4, 0.3, -1, 0.2, -4, 1.0], [4, MOST_FITTED_BLUR_PX, 0.8, 2, 4, 6])
            trial = least_squares(
                models[side].residuals,
                jac=models[side].slopes,
                x0=np.clip(start, np.array(bound[0]) + 1e-6, np.array(bound[1]) - 1e-6),
                bounds=bound,
            )
            if trial.cost < min(0.67 * best, earns * float(plain.cost)):
                best, shape = float(trial.cost), Shape(float(trial.x[1]), float(trial.x[4]), float(trial.x[5]), side)
                shift = float(trial.x[0] - plain.x[0])
    return Fitted(shape, shift), 2 * best
