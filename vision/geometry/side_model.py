"""What a card's side looks like across: its face, the visible flank, the shaded wall; blurred, sharpened, stored as in a file.

Light across a side at distance x (px, outward) from the edge of the face, before the lens:
    x < 0         the face, level B
    0 < x < foot  the flank, where the camera sees it (foot > 0: the edge of the card's back shows outside that of its face)
    x > foot      the wall, level A times 1 - c h(u) - a Phi((t - u) / p), u = (x - foot) / w, h(u) = 1 - u / sqrt(1 + u^2)
h is how much of an evenly lit half space an upright edge of height w hides from a point u w away from its foot, c its depth; a is
the share of a lamp's light that the edge keeps off, t the tangent of the lamp's angle behind it, p its half-shadow. Mixed in
linear light, clipped at full scale, coded (IEC 61966-2-1), split into luma and two colour differences (ITU-T T.871); luma is
sharpened, the colour differences are blurred once more, as files store them at half resolution.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from vision.geometry.strips import linear_of

Array = NDArray[np.float64]
NODES = np.array([0, 0.2, 0.5, 0.85, 1.25, 1.7, 2.2, 2.8, 3.6, 5.0, 8.0, 16.0])
"""distances from the foot, in heights, between which the shade counts as even"""
HIDES = np.diff(NODES - np.sqrt(1 + NODES**2)) / np.diff(NODES)
"""mean of h between the nodes"""
LUMA = np.array([0.299, 0.587, 0.114])
"""weights of luma (ITU-T T.871)"""
OVERSHOOT_PX = 1.2
"""px; reach of a phone's sharpening (common practice, no source)"""
SHIFT, TILT, LAMP, TANGENT, BLUR, DEPTH, HEIGHT, FLANK, COLOUR_BLUR, EXCESS, SHARP = range(11)
"""the unknowns of one side: shift and tilt of the edge (px, half the difference of its ends), the lamp's a and t; and those that
the sides of a card share: log blur (px), depth c, log height w (px), where the flank lies between face and wall (0 to 1; of a
bright card its level over the face's), blur of the colour differences (px), log of a clipped level over full scale, sharpening"""
OWN, UNKNOWNS = 4, 11
DIFFERENCE = 1e-4


@dataclass(frozen=True)
class Levels:
    """Linear RGB of the face and of the wall, (blocks, 3) each, and which of them stand at full scale."""

    face: Array
    wall: Array
    face_clipped: bool
    wall_clipped: bool

    @property
    def face_brighter(self) -> bool:
        """True where the face is brighter than the wall."""
        return bool(np.median(self.face) > np.median(self.wall))


@dataclass(frozen=True)
class Setting:
    """What of a side is known: levels, where its foot shows (px outward), bins (m,) px, place along (b,), and reach.

    `reach` px: how far inward the pixels count, and where the wall's level begins: the mean of the bins beyond, some shaded too.
    """

    levels: Levels
    foot: float
    bins: Array
    along: Array
    reach: tuple[float, float]

    @cached_property
    def soft(self) -> Array:
        """Blur of the samples by the sharpening's kernel, (m, m)."""
        return _kernel(self.bins, OVERSHOOT_PX)

    @cached_property
    def far(self) -> Array:
        """Bins in which the wall's level was read."""
        return np.asarray(self.bins[self.bins > self.reach[1]])


@dataclass(frozen=True)
class _Mixed:
    """Shares of the face's and the wall's light at the samples, the wall's lost share where it was read; and their slopes.

    `dface`, `dwall` (8, b, m) and `dlost` (8,): by the unknowns up to FLANK.
    """

    face: Array
    wall: Array
    lost: float
    dface: Array
    dwall: Array
    dlost: Array


def _kernel(bins: Array, sd: float) -> Array:
    out = np.exp(-0.5 * ((bins[:, None] - bins[None, :]) / sd) ** 2)
    return np.asarray(out / out.sum(axis=1, keepdims=True))


def _bell(z: Array) -> Array:
    return np.asarray(np.exp(-0.5 * z * z) / np.sqrt(2 * np.pi))


def _half_shadow(tangent: float) -> float:
    return 0.1 + 0.25 * tangent


def _lamp(tangent: float) -> Array:
    """Mean between the nodes of Phi((t - u) / p)."""
    p = _half_shadow(tangent)
    z = (tangent - NODES) / p
    return np.asarray(np.diff(-p * (z * ndtr(z) + _bell(z))) / np.diff(NODES))


def _far_shade(log_height: float, tangent: float, setting: Setting) -> Array:
    """Means of h and of the lamp's shade where the wall's level was read, (2,)."""
    u = np.maximum((setting.far - setting.foot) / np.exp(log_height), 0.0)
    return np.array([np.mean(1 - u / np.sqrt(1 + u * u)), np.mean(ndtr((tangent - u) / _half_shadow(tangent)))])


def _steps(shade: Array) -> Array:
    """Weights of the steps at the nodes that make up this shade between them."""
    return np.asarray(np.append(0.0, shade) - np.append(shade, 0.0))


def _mixed(x: Array, q: Array, setting: Setting) -> _Mixed:
    """Light at distances x (b, m) with all slopes; x has the edge's shift and tilt taken off already."""
    s, c, w, a = np.exp(q[BLUR]), q[DEPTH], np.exp(q[HEIGHT]), q[LAMP]
    lamp = _lamp(q[TANGENT])
    lamp_by_tangent = (_lamp(q[TANGENT] + DIFFERENCE) - lamp) / DIFFERENCE
    weights = _steps(c * HIDES + a * lamp)
    weights[0] += 1.0
    start, place = max(setting.foot, 0.0), setting.foot + w * NODES
    free, place = place > start, np.maximum(place, start)
    d = x[None] - place[:, None, None]
    passed, slope = ndtr(d / s), _bell(d / s) / s
    beyond, bell = ndtr(x / s), _bell(x / s) / s
    dface, dwall = np.zeros((FLANK + 1, *x.shape)), np.zeros((FLANK + 1, *x.shape))
    dface[SHIFT], dwall[SHIFT] = bell, -np.tensordot(weights, slope, 1)
    dface[BLUR], dwall[BLUR] = bell * x, -np.tensordot(weights, slope * d, 1)
    dwall[LAMP], dwall[DEPTH] = np.tensordot(_steps(lamp), passed, 1), np.tensordot(_steps(HIDES), passed, 1)
    dwall[TANGENT] = np.tensordot(_steps(a * lamp_by_tangent), passed, 1)
    dwall[HEIGHT] = -np.tensordot(weights * np.where(free, w * NODES, 0.0), slope, 1)
    face, wall = 1 - beyond, np.tensordot(weights, passed, 1)
    if setting.foot > 0:
        face, wall = _with_flank(x, q, setting, (face, wall, dface, dwall))
    dface[TILT], dwall[TILT] = dface[SHIFT] * setting.along[:, None], dwall[SHIFT] * setting.along[:, None]
    far = _far_shade(q[HEIGHT], q[TANGENT], setting)
    by_height = (_far_shade(q[HEIGHT] + DIFFERENCE, q[TANGENT], setting) - far) / DIFFERENCE
    by_tangent = (_far_shade(q[HEIGHT], q[TANGENT] + DIFFERENCE, setting) - far) / DIFFERENCE
    amounts, dlost = np.array([c, a]), np.zeros(FLANK + 1)
    dlost[[DEPTH, LAMP, HEIGHT, TANGENT]] = far[0], far[1], amounts @ by_height, amounts @ by_tangent
    return _Mixed(face, wall, min(float(amounts @ far), 0.6), dface, dwall, dlost)


def _with_flank(x: Array, q: Array, setting: Setting, light: tuple[Array, Array, Array, Array]) -> tuple[Array, Array]:
    """The shares with the flank's light added; the slopes are changed in place."""
    face, wall, dface, dwall = light
    s, f = np.exp(q[BLUR]), q[FLANK]
    at, far = x / s, (x - setting.foot) / s
    strip = ndtr(at) - ndtr(far)
    by_shift, by_blur = (_bell(far) - _bell(at)) / s, _bell(far) * far - _bell(at) * at
    bright = setting.levels.face_brighter
    for share, by_flank, slopes in ((f if bright else 1 - f, 1.0 if bright else -1.0, dface), (0.0 if bright else f, 1.0, dwall)):
        slopes[SHIFT] += share * by_shift
        slopes[BLUR] += share * by_blur
        if slopes is dface or not bright:
            slopes[FLANK] = by_flank * strip
    return np.asarray(face + (f if bright else 1 - f) * strip), np.asarray(wall + (0.0 if bright else f) * strip)


def light_of(codes: Array) -> Array:
    """Linear RGB (..., 3) of luma and colour differences."""
    luma = codes[..., 0]
    blue, red = luma + 2 * codes[..., 1], luma + 2 * codes[..., 2]
    green = (luma - LUMA[0] * red - LUMA[2] * blue) / LUMA[1]
    return linear_of(np.clip(np.stack([red, green, blue], axis=-1), 0.0, 1.0))


def _coded(light: Array) -> tuple[Array, Array]:
    """Codes 0 to 1 of linear light, and their slopes, 0 where it is clipped."""
    within = np.clip(light, 0.0, 1.0)
    low, root = within <= 0.0031308, np.maximum(within, 1e-6) ** (1 / 2.4)
    slope = np.where(low, 12.92, 1.055 / 2.4 * root / np.maximum(within, 1e-6)) * ((light > 0) & (light < 1))
    return np.where(low, 12.92 * within, 1.055 * root - 0.055), slope


def _stored(code: Array, sharpening: Array, colour: Array) -> Array:
    """Luma and colour differences (..., m, 3) of codes (..., m, 3), through two linear maps (m, m) along the samples."""
    luma = code @ LUMA
    differences = np.stack([0.5 * (code[..., 2] - luma), 0.5 * (code[..., 0] - luma)], axis=-1)
    return np.concatenate([(luma @ sharpening.T)[..., None], np.matmul(colour, differences)], axis=-1)


def predicted(x: Array, q: Array, setting: Setting, *, slopes: bool = True) -> tuple[Array, Array]:
    """Stored codes (b, m, 3) at distances x (b, m) from the rough edge, and their slopes by the unknowns (11, b, m, 3)."""
    levels, mixed = setting.levels, _mixed(x - q[SHIFT] - q[TILT] * setting.along[:, None], q, setting)
    over = float(np.exp(max(q[EXCESS], 0.0)))
    B = levels.face * (over if levels.face_clipped else 1.0)
    A = levels.wall * (over if levels.wall_clipped else 1.0) / (1 - mixed.lost)
    of_face, of_wall = mixed.face[..., None] * B[:, None, :], mixed.wall[..., None] * A[:, None, :]
    code, slope = _coded(of_face + of_wall)
    sharpening = (1 + q[SHARP]) * np.eye(len(setting.bins)) - q[SHARP] * setting.soft
    width = max(float(q[COLOUR_BLUR]), 0.2)
    colour = _kernel(setting.bins, width)
    out = _stored(code, sharpening, colour)
    if not slopes:
        return out, np.zeros((0, *out.shape))
    J = np.zeros((UNKNOWNS, *out.shape))
    by_wall = mixed.dwall + mixed.wall * (mixed.dlost / (1 - mixed.lost))[:, None, None]
    light = slope * (mixed.dface[..., None] * B[None, :, None, :] + by_wall[..., None] * A[None, :, None, :])
    J[: FLANK + 1] = _stored(light, sharpening, colour)
    wider = (_kernel(setting.bins, width + DIFFERENCE) - colour) / DIFFERENCE
    J[COLOUR_BLUR] = _stored(code, np.zeros_like(wider), wider)
    clipped = of_face * levels.face_clipped + of_wall * levels.wall_clipped
    J[EXCESS] = _stored(slope * clipped, sharpening, colour)
    J[SHARP, ..., 0] = (code @ LUMA) @ (np.eye(len(setting.bins)) - setting.soft).T
    return out, J
