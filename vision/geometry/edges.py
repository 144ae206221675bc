"""Sub-pixel edges along a rough line: a step beside an optional narrow line, in the colour direction that separates the sides.

Model of the projected linear light at signed distance v (px) from the edge, with contrast B - A between the sides:
    A + (B - A) * (Phi(v / s) + c * (Phi(v / s) - Phi((v - w) / s)))
s is the blur, c and w the relative amplitude and the width of a line (shadow, grout, bead) that touches the edge on one side.
Blocks of scan lines share s, c and w; each has its own position and levels. Not covered: two real edges closer than the blur.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares
from scipy.special import ndtr

from vision.geometry.strips import LINEAR, Strip
from vision.settings import EdgeSettings

Array = NDArray[np.float64]
COLOUR_DOUBT, COLOUR_DOUBT_SHADED = 1.0, 0.3
"""relative; colour differences are stored coarsely, so they decide only where luma does not separate the sides, or lies"""
SHADOW_DOUBT = 0.3
"""relative; how much darker the surface beside a card may be along its edge"""
REACH_PX = 3.5
"""px; beyond this and three blurs a sample tells more of the surface than of the edge"""
BIN_PX = 0.5
"""px; width of the bins across the edge; adds 0.02 px^2 to the blur, which is a parameter"""


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
class _Profiles:
    """Binned profiles: counts (b, m), distance u (b, m) px, colour (b, m, 3) linear light, block centre lines (b,)."""

    count: Array
    u: Array
    colour: Array
    centre: Array


def features(codes: NDArray[np.uint8]) -> Array:
    """Luma as linear light and the two colour differences (0.5 of full range) of sRGB codes (..., 3).

    Luma is taken before it is made linear because cameras store it at full resolution and the colour differences at half
    (ITU-T T.871: Y' = 0.299 R' + 0.587 G' + 0.114 B'), so that an edge seen in luma owes nothing to the blurred colours.
    """
    rgb = codes.astype(np.float32) / np.float32(255)
    luma = rgb @ np.array([0.299, 0.587, 0.114], dtype=np.float32)
    light = np.interp(luma, np.arange(256) / 255.0, LINEAR)
    return np.stack([light, 0.5 * (rgb[..., 2] - luma), 0.5 * (rgb[..., 0] - luma)], axis=-1)


def profiles(strip: Strip, curve: Array, lines: tuple[int, int], blocks: int, half_px: float) -> _Profiles:
    """Average raw pixels into blocks along and bins across, by their distance normal to `curve` (one position a scan line)."""
    k = np.arange(lines[0], lines[1])
    tangent = np.gradient(curve)[k]
    cosine = 1.0 / np.sqrt(1.0 + tangent**2)
    reach = int(np.ceil(half_px / float(cosine.min()))) + 1
    base = np.round(curve[k]).astype(np.int64)
    offsets = np.arange(-reach, reach + 1)
    column = base[:, None] + offsets[None, :] - strip.first[k][:, None]
    u = (base[:, None] + offsets[None, :] - curve[k][:, None]) * cosine[:, None]
    inside = (column >= 0) & (column < strip.pixels.shape[1]) & (np.abs(u) < half_px)
    values = features(strip.pixels[k[:, None], np.clip(column, 0, strip.pixels.shape[1] - 1)])
    bins = int(2 * half_px / BIN_PX)
    which_bin = np.clip(((u + half_px) / BIN_PX).astype(np.int64), 0, bins - 1)
    which_block = np.minimum((np.arange(len(k)) * blocks) // max(len(k), 1), blocks - 1)
    flat = (which_block[:, None] * bins + which_bin)[inside]
    size = blocks * bins
    count = np.bincount(flat, minlength=size).astype(np.float64)
    safe = np.maximum(count, 1)
    mean_u = np.bincount(flat, u[inside], minlength=size) / safe
    colour = np.stack([np.bincount(flat, values[..., c][inside], minlength=size) / safe for c in range(3)], axis=-1)
    centre = np.array([k[which_block == b].mean() if np.any(which_block == b) else np.nan for b in range(blocks)])
    return _Profiles(count.reshape(blocks, bins), mean_u.reshape(blocks, bins), colour.reshape(blocks, bins, 3), centre)


def separating_direction(p: _Profiles, inner: float, outer: float, shaded: float = 0.0) -> tuple[Array, Array]:
    """Colour direction d with d . (B - A) = 1 that best separates the sides, and the step B - A itself, both shape (3,).

    Fisher's discriminant with the within-side scatter of the profiles, and for the colour differences a doubt in proportion to
    their own step.
    """
    low, high = (-outer, -inner), (inner, outer)
    sides = [_side_mean(p, *low), _side_mean(p, *high)]
    step = np.nanmedian(sides[1] - sides[0], axis=0)
    scatter = np.zeros((3, 3))
    total = 0.0
    for side, (a, b) in zip(sides, (low, high), strict=True):
        mask = (p.u > a) & (p.u < b) & (p.count > 0)
        residual = (p.colour - side[:, None, :])[mask]
        weight = p.count[mask]
        good = np.all(np.isfinite(residual), axis=1)
        scatter += (residual[good] * weight[good, None]).T @ residual[good]
        total += float(good.sum())
    scatter = scatter / max(total, 1.0)
    scatter += np.eye(3) * 1e-6
    doubt = COLOUR_DOUBT_SHADED if abs(shaded) > 0.5 else COLOUR_DOUBT
    scatter[1, 1] += (doubt * step[1]) ** 2
    scatter[2, 2] += (doubt * step[2]) ** 2
    if shaded:
        shadow = SHADOW_DOUBT * shaded * np.nanmedian(sides[1 if shaded > 0 else 0], axis=0)
        scatter += np.outer(shadow, shadow)
    direction = np.linalg.solve(scatter, step)
    gain = float(direction @ step)
    if gain <= 0:
        return np.zeros(3), np.zeros(3)
    return direction / gain, step


def _side_mean(p: _Profiles, low: float, high: float) -> Array:
    """Mean colour per block, shape (b, 3), of the bins between two distances."""
    weight = np.where((p.u > low) & (p.u < high), p.count, 0.0)
    total = weight.sum(axis=1, keepdims=True)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(np.einsum("bm,bmc->bc", weight, p.colour) / total)


@dataclass(frozen=True)
class _BlockFit:
    """Per block: position x0 (b,) px, its sd (b,), levels A and B (b,), residual sd (b,)."""

    x0: Array
    sd: Array
    A: Array
    B: Array
    residual: Array


def fit_blocks(y: Array, u: Array, count: Array, shape: Shape, start: Array) -> _BlockFit:
    """Least squares for position, levels and the line's amplitude of every block at once; y, u, count have shape (b, m).

    Samples far from the edge count less (half at `REACH_PX` plus three blurs), so that the next joint does not pull.
    """
    x0 = start.copy()
    reach = REACH_PX + 3 * shape.s
    ridge = np.diag([1e-9, 1e-9, 0.05 * float(np.median(count.sum(axis=1)))] if shape.side else [1e-9, 1e-9])
    for _ in range(7):
        v = u - x0[:, None]
        weight = count / (1 + (v / reach) ** 12)
        M, dM = shape.columns(v)
        N = np.einsum("bmi,bm,bmj->bij", M, weight, M) + ridge
        right = np.einsum("bmi,bm,bm->bi", M, weight, y)
        if shape.side:
            right[:, 2] += ridge[2, 2] * shape.c * np.nanmedian(y[:, -1] - y[:, 0])
        level = np.linalg.solve(N, right[..., None])[..., 0]
        d = -np.einsum("bmi,bi->bm", dM, level)
        Md = np.concatenate([M, d[..., None]], axis=-1)
        N3 = np.einsum("bmi,bm,bmj->bij", Md, weight, Md)
        N3[:, : len(ridge), : len(ridge)] += ridge
        N3[:, -1, -1] += 1e-9
        r = y - np.einsum("bmi,bi->bm", M, level)
        g = np.einsum("bmi,bm,bm->bi", Md, weight, r)
        g[:, :-1] = 0.0 if not shape.side else g[:, :-1] * 0.0
        delta = np.linalg.solve(N3, g[..., None])[..., 0]
        x0 = np.clip(x0 + np.clip(delta[:, -1], -1.0, 1.0), -6.0, 6.0)
    used = (weight > 0.5).sum(axis=1)
    variance = np.einsum("bm,bm,bm->b", r, r, weight) / np.maximum(used - 3, 1)
    sd = np.sqrt(np.maximum(variance * np.linalg.inv(N3)[:, -1, -1], 0))
    return _BlockFit(x0, sd, level[:, 0], level[:, 1], np.sqrt(variance / np.maximum(count.mean(axis=1), 1e-9)))


def fit_shape(y: Array, u: Array, count: Array, fit: _BlockFit, sides: tuple[int, ...]) -> tuple[Shape, float]:
    """The common shape, and how far (px) the line moves the edge against a plain step.

    All blocks are normalised by their levels and averaged in fine bins; a plain step and a step with a line on each allowed
    side compete, the line must lower the squared misfit by a third.
    """
    contrast = fit.B - fit.A
    good = contrast > 0.4 * np.median(contrast)
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
    vm, zm, root = vm[near], zm[near], np.sqrt(w[keep][near] / w.max())

    def misfit(q: Array, side: int) -> Array:
        shape = Shape(q[1], q[4], q[5], side) if side else Shape(q[1])
        return np.asarray((q[2] + (q[3] - q[2]) * shape.step(vm - q[0]) - zm) * root)

    plain = least_squares(misfit, [0, 1.0, 0, 1], bounds=([-4, 0.3, -1, 0.2], [4, 6, 0.8, 2]), args=(0,))
    best, shape, shift = float(plain.cost), Shape(float(plain.x[1])), 0.0
    for side in sides:
        for c in (-0.5, 0.7):
            start = [plain.x[0], plain.x[1], 0, 1, c, 2.0]
            bound = ([-4, 0.3, -1, 0.2, -6, 0.6], [4, 6, 0.8, 2, 8, 6])
            trial = least_squares(misfit, np.clip(start, np.array(bound[0]) + 1e-6, np.array(bound[1]) - 1e-6), bounds=bound, args=(side,))
            if trial.cost < 0.67 * best:
                best, shape = float(trial.cost), Shape(float(trial.x[1]), float(trial.x[4]), float(trial.x[5]), side)
                shift = float(trial.x[0] - plain.x[0])
    return shape, shift


def observe_edge(
    strip: Strip, curve: Array, extent: tuple[float, float], *, scale: float, settings: EdgeSettings, line_sides: tuple[int, ...] = (-1, 1),
    trim: tuple[float, float] = (0.0, 0.0), shaded: float = 0.0,
) -> EdgePoints | None:  # fmt: skip
    """Sub-pixel points of the edge near `curve` (one position a scan line), or None where no edge can be followed.

    `extent`: scan-line coordinates of the two ends of the whole edge; `trim` px are left out at either end; `scale` is the
    photo's diagonal over that of a 12 MP photo; `line_sides` says on which sides a narrow line may touch the edge; `shaded` is
    how likely the surface on one side (its sign) lies in a contact shadow, as a share of a bank card's.
    """
    a, b = sorted(extent)
    lines = (max(int(np.ceil(a + trim[0])), 0), min(int(np.floor(b - trim[1])) + 1, strip.lines))
    length = lines[1] - lines[0]
    if length < 8:
        return None
    blocks = int(np.clip(length // 12, 4, 60))
    half = max(12.0 * scale, 8.0)
    p = profiles(strip, curve, lines, blocks, half)
    direction, step = separating_direction(p, 2.5, half, shaded)
    if not np.any(direction):
        return None
    y = p.colour @ direction
    first = fit_blocks(y, p.u, p.count, Shape(1.2), np.zeros(blocks))
    shape, shift = fit_shape(y, p.u, p.count, first, line_sides)
    fit = fit_blocks(y, p.u, p.count, shape, first.x0 + shift)
    return _points(strip, curve, p, fit, shape, shift, step, (a, b), settings)


def _points(strip: Strip, curve: Array, p: _Profiles, fit: _BlockFit, shape: Shape, shift: float, colour_step: Array,
            extent: tuple[float, float], settings: EdgeSettings) -> EdgePoints | None:  # fmt: skip
    """Keep the blocks that lie on one smooth curve, and widen what the scatter shows to be worse than stated."""
    step = fit.B - fit.A
    along = 2 * (p.centre - extent[0]) / max(extent[1] - extent[0], 1e-9) - 1
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
    bias = float(np.sqrt(settings.bias_sd_px**2 + (0.3 * shift) ** 2 + (0.5 * spread) ** 2))
    cosine = 1 / np.sqrt(1 + np.interp(p.centre, np.arange(strip.lines), np.gradient(curve)) ** 2)
    position = np.interp(p.centre, np.arange(strip.lines), curve) + fit.x0 / cosine
    points = strip.to_photo(p.centre, position)
    return EdgePoints(
        points[ok], sd[ok] * factor, along[ok], bias, shape.s, float(np.linalg.norm(colour_step)), shift, float(ok.mean()), colour_step
    )  # fmt: skip
