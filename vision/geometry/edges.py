"""Sub-pixel edges along a rough line: a step beside an optional narrow line, in the colour direction that separates the sides.

Model of the projected linear light at signed distance v (px) from the edge, with contrast B - A between the sides:
    A + (B - A) * (Phi(v / s) + c * (Phi(v / s) - Phi((v - w) / s)))
s is the blur, c and w the relative amplitude and the width of a line (shadow, grout, bead) that touches the edge on one side.
Blocks of scan lines share s, c and w; each has its own position and levels. Not covered: two real edges closer than the blur.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares
from scipy.special import ndtr

from vision.geometry.bands import band_px
from vision.geometry.left_out import left_out_px
from vision.geometry.profiles import profiles, separating_direction
from vision.geometry.step_model import step_model
from vision.geometry.strips import Strip
from vision.settings import EdgeSettings

Array = NDArray[np.float64]
COLOUR_BIAS_PX = 0.4
"""px; shift of an edge seen in colour differences only: files store them at half resolution, and a joint hides in them"""
CLEAR_LINE = 0.2
"""relative to the step; a fainter line is sharpening's overshoot, not a bead or joint"""
LINE_STEADY = 0.1
"""share of a block's samples that the common line's amplitude weighs against its own"""
LINE_STARTS = ((-0.5, 0.0, 0.67), (0.7, 0.0, 0.67), (0.7, 2.0, 0.1))
"""amplitude, how far (px) beyond the strongest step the edge may lie, and the ratio of misfits at which a line is believed"""
GOOD_FIT = 0.01
"""relative to the step; a plain step that fits this well needs no line beside it"""
REACH_PX = 3.5
"""px; beyond this and three blurs a sample tells more of the surface than of the edge"""


@dataclass(frozen=True)
class EdgePoints:
    """Observed points of one imaged edge.

    `points_px` (n, 2) and `sd_px` (n,), normal to the edge; `along` (n,) runs from -1 to 1 over the whole imaged edge;
    `bias_sd_px` is the sd of a shift of either end and of the sag, common to all points; `blur_px` and `contrast` describe the
    fit, `line_shift_px` is how far the narrow line moved the position (a measure of doubt).
    """

    points_px: Array
    sd_px: Array
    along: Array
    bias_sd_px: float
    blur_px: float
    contrast: float
    line_shift_px: float
    kept_share: float
    step: Array
    """(3,) luma and colour differences of the plus side (growing position) less the minus side"""
    coloured: float = 0.0
    """share of the projected step that comes from colour differences instead of luma"""
    ragged_px: float = 0.0
    """px; how far the points scatter about a smooth curve: what no straight border of a card does"""
    common_px: float = 0.0
    """px; part of the bias that the same sides of all like cards in a photo share: light falls on all of them alike"""
    finish_px: float = 0.0
    """px; part of the bias that comes from how the edge is finished: a rounding, a bead, a joint, a step in colour alone"""


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


def fit_shape(y: Array, u: Array, count: Array, fit: BlockFit, sides: tuple[int, ...]) -> tuple[Shape, float]:
    """The common shape, and how far (px) the line moves the edge against a plain step.

    All blocks are normalised by their levels and averaged in fine bins; a plain step and a step with a line on each allowed
    side compete, the line must lower the squared misfit by a third.
    """
    profile = _common_profile(y, u, count, fit)
    if profile is None:
        return Shape(1.0), 0.0
    vm, zm, root = profile
    models = {side: step_model(vm, zm, root, side) for side in (0, *sides)}

    def misfit(q: Array, side: int) -> Array:
        return models[side](q)[0]

    def slopes(q: Array, side: int) -> Array:
        return models[side](q)[1]

    plain = least_squares(misfit, [0, 1.0, 0, 1], jac=slopes, bounds=([-4, 0.3, -1, 0.2], [4, 6, 0.8, 2]), args=(0,))
    best, shape, shift = float(plain.cost), Shape(float(plain.x[1])), 0.0
    if float(np.sqrt(2 * best / np.sum(root**2))) < GOOD_FIT:
        return shape, shift
    for side in sides:
        for c, away, earns in LINE_STARTS:
            start = [plain.x[0] - side * away, plain.x[1], 0, 1, c, 2.0]
            bound = ([-4, 0.3, -1, 0.2, -4, 1.0], [4, 6, 0.8, 2, 4, 6])
            trial = least_squares(
                misfit,
                jac=slopes,
                x0=np.clip(start, np.array(bound[0]) + 1e-6, np.array(bound[1]) - 1e-6),
                bounds=bound,
                args=(side,),
            )
            if trial.cost < min(0.67 * best, earns * float(plain.cost)):
                best, shape = float(trial.cost), Shape(float(trial.x[1]), float(trial.x[4]), float(trial.x[5]), side)
                shift = float(trial.x[0] - plain.x[0])
    return shape, shift


def observe_edge(
    strip: Strip,
    curve: Array,
    extent: tuple[float, float],
    *,
    scale: float,
    settings: EdgeSettings,
    line_sides: tuple[int, ...] = (-1, 1),
    trim: tuple[float, float] = (0.0, 0.0),
    most_px: float = np.inf,
) -> EdgePoints | None:
    """Sub-pixel points of the edge near `curve` (one position a scan line), or None where no edge can be followed.

    `extent`: scan-line coordinates of the two ends of the whole edge; `trim` px are left out at either end; `scale` is the
    photo's diagonal over that of a 12 MP photo; `line_sides` says on which sides a narrow line may touch the edge; nothing
    further than `most_px` from the edge is looked at.
    """
    a, b = sorted(extent)
    lines = (max(int(np.ceil(a + trim[0])), 0), min(int(np.floor(b - trim[1])) + 1, strip.lines))
    length = lines[1] - lines[0]
    if length < 8:
        return None
    blocks = int(np.clip(length // 8, 4, 60))
    half = min(max(12.0 * scale, 8.0), most_px)
    p = profiles(strip, curve, lines, blocks, half)
    direction, step = separating_direction(p, min(2.5, half - 1.2), half)
    if not np.any(direction):
        return None
    y = p.colour @ direction
    first = fit_blocks(y, p.u, p.count, Shape(1.2), np.zeros(blocks))
    shape, shift = fit_shape(y, p.u, p.count, first, line_sides)
    fit = fit_blocks(y, p.u, p.count, shape, first.x0 + shift)
    coloured = float(direction[1:] @ step[1:])
    doubt = 0.3 * shift
    if (
        abs(shape.c) > CLEAR_LINE and shape.side and len(line_sides) > 1
    ):  # either border of the line may be the edge: its middle, and half of it as doubt
        fit = replace(fit, x0=fit.x0 + shape.side * shape.w / 2)
        doubt = shape.w / 2
    doubt = max(doubt, band_px(p, fit.x0, shape.s) / 12**0.5)  # the edge is anywhere between the band's borders
    return edge_points(strip, curve, Found(p.centre, fit, shape, shift, step, coloured, doubt), (a, b), settings)


@dataclass(frozen=True)
class Found:
    """An edge as fitted: block centres (scan lines), block fits, common shape, shift by the line (px), colour step.

    `coloured` is the share of the step that comes from colour; `line_doubt` (px) the sd that a line beside the edge adds.
    """

    centre: Array
    fit: BlockFit
    shape: Shape
    shift: float
    step: Array
    coloured: float
    line_doubt: float


def edge_points(
    strip: Strip, curve: Array, found: Found, extent: tuple[float, float], settings: EdgeSettings
) -> EdgePoints | None:
    """Keep the blocks that lie on one smooth curve, and widen what the scatter shows to be worse than stated."""
    fit = found.fit
    step = fit.B - fit.A
    along = 2 * (found.centre - extent[0]) / max(extent[1] - extent[0], 1e-9) - 1
    ok = np.isfinite(fit.x0) & np.isfinite(fit.sd) & (step > 0.3) & (np.abs(fit.x0) < 5.9) & np.isfinite(along)
    sd = np.hypot(fit.sd, settings.point_floor_px)
    for _ in range(4):
        if ok.sum() < 3:
            return None
        coefficients = np.polyfit(along[ok], fit.x0[ok], min(2, int(ok.sum()) - 1), w=1 / np.hypot(sd[ok], 0.1))
        residual = fit.x0 - np.polyval(coefficients, along)
        spread = 1.4826 * float(np.median(np.abs(residual[ok])))
        ok = ok & (np.abs(residual) < 4 * np.maximum(spread, 0.05) + 3 * np.minimum(sd, 0.2))
    factor = max(1.0, spread / max(float(np.median(sd[ok])), 1e-9))
    finish = float(np.hypot(found.line_doubt, COLOUR_BIAS_PX * found.coloured))
    odd = left_out_px(along, fit.x0, coefficients, ok)
    bias = float(np.linalg.norm((settings.bias_sd_px, finish, 0.5 * spread, odd)))
    cosine = 1 / np.sqrt(1 + np.interp(found.centre, np.arange(strip.lines), np.gradient(curve)) ** 2)
    position = np.interp(found.centre, np.arange(strip.lines), curve) + fit.x0 / cosine
    points = strip.to_photo(found.centre, position)
    return EdgePoints(
        points[ok],
        sd[ok] * factor,
        along[ok],
        bias,
        found.shape.s,
        float(np.linalg.norm(found.step)),
        found.shift,
        float(ok.mean()),
        found.step,
        found.coloured,
        spread,
        finish_px=finish,
    )
