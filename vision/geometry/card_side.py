"""Sub-pixel sides of a card: a model of face, flank, shadow and lens fitted to luma and colour along the whole side.

A bank card is a millimetre thick: its flank and its contact shadow move an edge by half a pixel and more, and differ in colour
from an edge. So the side is fitted as a picture of these things, with what is known beforehand as priors; what the pixels cannot
tell (the flank of a dark card, a shadow as dark as the card) stays in the doubt of the position.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from vision.geometry.edge_shape import BlockFit, Shape
from vision.geometry.edges import EdgePoints, Found, edge_points
from vision.geometry.profiles import Profiles, stored_profiles
from vision.geometry.side_model import (
    BLUR,
    EXCESS,
    FLANK,
    SHIFT,
    TILT,
    Levels,
    light_of,
    predicted,
)
from vision.geometry.strips import Strip
from vision.settings import EdgeSettings

Array = NDArray[np.float64]
REACH_PX = 9.0
"""px; how far to either side the pixels are compared with the model"""
PLATEAU_PX = 3.0
"""px; from here on a side shows its own level"""
CLIPPED = 0.985
"""of full scale; a level above may have been brighter than the file can say"""
MISFIT = 0.02
"""of the step; no model of a side is better than this"""
LEAST_NOISE = 0.002
"""of full scale; half a code"""
HIDDEN_BESIDE_BRIGHT, HIDDEN_BESIDE_DARK = 0.2, 0.32
"""px per px of thickness; what shadows of other shapes do to a side whose contrast is the wall's own level: a dark card's shadow
looks like the card"""
USUAL_SHADOW = 0.1
"""px per px of thickness; mean of what a dark card's shadow adds to it"""
COMMON_SHADOW = 0.6
"""share of that variance which the same sides of all dark cards in a photo have in common"""
MOST_HIDDEN = 2.0
"""wall's level over the step, beyond which colour or a shadow's own shape decide"""
LEAST_HEIGHT_PX = 0.1
"""px; height of what throws a shadow: at least paper with a little air behind"""
STEPS, CLOSE = 12, 0.01
"""iterations of a fit, and the step in px at which it is done"""
LEAST, MOST = (
    np.array([-6.0, -4.0, np.log(0.35), 0.0, np.log(0.03), 0.0, 0.2, 0.0]),
    np.array([6.0, 4.0, np.log(6.0), 1.0, np.log(8.0), 1.3, 2.0, 0.7]),
)


@dataclass(frozen=True)
class SideFacts:
    """What is known of a side before it is fitted.

    `outside` is +1 where positions grow away from the card; `thick_px` its thickness as seen; `foot_px` how far outside the edge
    of its face that of its back shows (negative: hidden); `blur_px` the blur of the photo's clean edges.
    """

    outside: int
    thick_px: float
    foot_px: float
    blur_px: float


@dataclass(frozen=True)
class _Samples:
    """Stored codes (b, m, 3), their counts (b, m), distances outward (b, m) px, place along (b,), bins (m,) px, noise (3,)."""

    code: Array
    count: Array
    x: Array
    along: Array
    bins: Array
    noise: Array
    levels: Levels


def observe_side(
    strip: Strip,
    curve: Array,
    extent: tuple[float, float],
    facts: SideFacts,
    *,
    trim: float,
    reach: float,
    settings: EdgeSettings,
) -> EdgePoints | None:
    """Sub-pixel points of a card's side near `curve` (one position a scan line), or None where it cannot be followed.

    `extent`: scan-line coordinates of the side's ends, `trim` px left out at either; `reach` px at most are looked at beside it.
    `step` of the result is card less wall, in linear luma and colour differences.
    """
    a, b = sorted(extent)
    lines = (max(int(np.ceil(a + trim)), 0), min(int(np.floor(b - trim)) + 1, strip.lines))
    if lines[1] - lines[0] < 8:
        return None
    blocks = int(np.clip((lines[1] - lines[0]) // 6, 3, 16))
    profile = stored_profiles(strip, curve, lines, blocks, float(np.clip(reach, 5.0, REACH_PX)))
    samples = _samples(profile, facts.outside, (a, b))
    if samples is None:
        return None
    unknowns, covariance, shift, sd = _fit(samples, facts)
    if not (abs(unknowns[SHIFT]) < 5.9 and np.isfinite(sd).all()):
        return None
    step = _step(samples)
    hidden = _hidden(samples, facts)
    doubt = float(np.hypot(np.sqrt(covariance[SHIFT, SHIFT]), hidden))
    edge = unknowns[SHIFT] - _usual_shadow(samples, facts)
    place = facts.outside * (edge + unknowns[TILT] * samples.along + shift)
    fit = BlockFit(place, sd, np.zeros(blocks), np.ones(blocks), sd)
    shape = Shape(float(np.exp(unknowns[BLUR])))
    found = Found(profile.centre, fit, shape, shift=0.0, step=step, coloured=0.0, line_doubt=doubt)
    points = edge_points(strip, curve, found, (a, b), settings)
    common = 0.0 if samples.levels.face_brighter else float(np.sqrt(COMMON_SHADOW)) * hidden
    return points if points is None else replace(points, common_px=common)


def _samples(profile: Profiles, outside: int, extent: tuple[float, float]) -> _Samples | None:
    """The profile with distances counted outward, its levels and its noise; None where a side lies outside the picture."""
    order = slice(None, None, outside)
    m = profile.u.shape[1]
    half = 0.25 * m
    bins = (np.arange(m) + 0.5) * 0.5 - half
    x = np.where(profile.count > 0, profile.u * outside, 0.0)[:, order]
    count, code = profile.count[:, order], profile.colour[:, order]
    x = np.where(count > 0, x, bins[None, :])
    face, face_noise = _plateau(code, count, (x < -PLATEAU_PX) & (x > -half + 0.5))
    wall, wall_noise = _plateau(code, count, (x > PLATEAU_PX) & (x < half - 0.5))
    if not (np.isfinite(face).all() and np.isfinite(wall).all()):
        return None
    size = float(np.linalg.norm(np.median(wall - face, axis=0)))
    if size < 1e-4:
        return None
    usual = np.sqrt(max(float(np.median(count)), 1.0))
    noise = np.sqrt(np.maximum(face_noise, wall_noise) ** 2 + (usual * max(MISFIT * size, LEAST_NOISE)) ** 2)
    light = light_of(face), light_of(wall)
    levels = Levels(*light, *(bool(np.median(level.max(axis=1)) > CLIPPED) for level in light))
    along = 2 * (profile.centre - extent[0]) / max(extent[1] - extent[0], 1e-9) - 1
    return _Samples(code, count, x, along, bins, noise, levels)


def _plateau(code: Array, count: Array, mask: Array) -> tuple[Array, Array]:
    """Mean codes (b, 3) of each block where the mask holds, and the scatter (3,) of a single sample."""
    weight = np.where(mask, count, 0.0)
    with np.errstate(invalid="ignore", divide="ignore"):
        mean = np.einsum("bm,bmc->bc", weight, code) / weight.sum(axis=1)[:, None]
    used = weight > 0
    if not used.any():
        return mean, np.zeros(3)
    rest = ((code - mean[:, None, :]) * np.sqrt(count)[..., None])[used]
    return mean, np.asarray(1.4826 * np.median(np.abs(rest), axis=0))


def _prior(facts: SideFacts) -> tuple[Array, Array]:
    """Means and standard deviations of the unknowns before the pixels are asked (common practice and geometry, no source)."""
    height = max(facts.thick_px, LEAST_HEIGHT_PX)
    mean = np.array([0.0, 0.0, np.log(facts.blur_px), 0.45, np.log(height), 0.6, 1.0, 0.15])
    return mean, np.array([3.0, 0.5, 0.1, 0.25, 0.4, 0.3, 0.3, 0.15])


def _fit(samples: _Samples, facts: SideFacts) -> tuple[Array, Array, Array, Array]:
    """Unknowns (8,), their covariance, and the blocks' own shifts (b,) px beside the common edge with their sd (b,)."""
    mean, sd = _prior(facts)
    weight = np.ones(len(samples.along))

    def residual(q: Array) -> Array:
        x = samples.x - q[SHIFT] - q[TILT] * samples.along[:, None]
        near = samples.count * weight[:, None] / (1 + (x / (3.5 + 3 * facts.blur_px)) ** 12)
        rest = samples.code - predicted(x, q, facts.foot_px, samples.levels, samples.bins)
        return np.asarray(rest * np.sqrt(near)[..., None] / samples.noise)

    free = np.ones(8, dtype=bool)
    free[FLANK] = facts.foot_px > 0
    free[EXCESS] = samples.levels.face_clipped or samples.levels.wall_clipped
    q = mean.copy()
    samples_of = 3.0 * (samples.count > 0).sum(axis=1)
    for turn in range(3):
        q, J = _least_squares(residual, q, mean, sd, free, steps=STEPS if turn == 2 else STEPS // 2)
        blocks = (residual(q) ** 2).sum(axis=(1, 2)) / (samples_of * np.maximum(weight, 1e-3))
        if turn < 2:  # a block with something else in it counts less
            weight = 1 / (1 + np.maximum(blocks / max(float(np.median(blocks)), 0.5) - 1.5, 0.0) ** 2)
    r = residual(q)
    misfit = max(1.0, float((r**2).sum() / (samples_of * weight).sum()))
    covariance = np.zeros((8, 8))
    covariance[np.ix_(free, free)] = np.linalg.inv((J.T @ J)[np.ix_(free, free)] / misfit + np.diag(1 / sd[free] ** 2))
    by_shift = J[:, SHIFT].reshape(r.shape)
    information = np.maximum((by_shift**2).sum(axis=(1, 2)), 1e-9)
    own = np.clip(-(by_shift * r).sum(axis=(1, 2)) / information, -3.0, 3.0)
    return q, covariance, own, np.sqrt(misfit / information / np.maximum(weight, 1e-3))


def _least_squares(
    residual: Callable[[Array], Array], q: Array, mean: Array, sd: Array, free: NDArray[np.bool_], *, steps: int
) -> tuple[Array, Array]:
    """Damped Gauss-Newton with Gaussian priors within limits; the Jacobian (n, 8) by differences."""
    damping = 1e-3
    r = residual(q).ravel()
    J = np.zeros((r.size, 8))
    for _ in range(steps):
        for i in np.flatnonzero(free):
            moved = q.copy()
            moved[i] += 1e-4
            J[:, i] = (residual(moved).ravel() - r) / 1e-4
        prior = np.where(free, (q - mean) / sd, 0.0)
        cost = r @ r + prior @ prior
        N = J.T @ J + np.diag(1 / sd**2)
        g = -(J.T @ r + prior / sd)
        for _ in range(5):
            step = np.clip(np.linalg.solve(N + damping * np.diag(np.diag(N)), g), -0.6, 0.6)
            trial = np.clip(q + np.where(free, step, 0.0), LEAST, MOST)
            rest = residual(trial).ravel()
            prior = np.where(free, (trial - mean) / sd, 0.0)
            if rest @ rest + prior @ prior <= cost + 1e-9:
                break
            damping *= 5
        else:
            break
        done = float(np.abs(trial - q)[:2].max()) < CLOSE and float(cost - rest @ rest - prior @ prior) < 0.1
        q, r, damping = trial, rest, max(damping / 5, 1e-6)
        if done:
            break
    return q, J


def _step(samples: _Samples) -> Array:
    """Card less wall, (3,): linear luma and colour differences as stored."""
    face, wall = (np.median(level, axis=0) for level in (samples.levels.face, samples.levels.wall))
    weights = np.array([0.2126, 0.7152, 0.0722])
    out = [np.array([v @ weights, 0.5 * (v[2] - v @ weights), 0.5 * (v[0] - v @ weights)]) for v in (face, wall)]
    return np.asarray(out[0] - out[1])


def _usual_shadow(samples: _Samples, facts: SideFacts) -> float:
    """px; how far outward a dark card's side usually seems to lie: a shadow as dark as the card can only add to it."""
    face, wall = (float(np.median(level)) for level in (samples.levels.face, samples.levels.wall))
    dark = float(np.clip((0.75 - face / max(wall, 1e-9)) / 0.35, 0.0, 1.0))
    return USUAL_SHADOW * facts.thick_px * dark


def _hidden(samples: _Samples, facts: SideFacts) -> float:
    """px; sd of what a shadow of another shape than the model's may do to this side."""
    share = HIDDEN_BESIDE_BRIGHT if samples.levels.face_brighter else HIDDEN_BESIDE_DARK
    return share * facts.thick_px * min(_wall_over_step(samples), MOST_HIDDEN)


def _wall_over_step(samples: _Samples) -> float:
    """The wall's level over its difference from the face, both as lengths in linear RGB."""
    face, wall = (np.median(level, axis=0) for level in (samples.levels.face, samples.levels.wall))
    return float(np.linalg.norm(wall) / max(float(np.linalg.norm(wall - face)), 1e-9))
