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

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from vision.geometry.normal_share import normal_share
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
BURNT_OUT = 0.95
"""linear light of the darkest channel from which none of them tells how bright a surface is"""


@dataclass(frozen=True)
class Levels:
    """Linear RGB of the face and of the wall, (blocks, 3) each, and which of them stand at full scale."""

    face: Array
    wall: Array
    face_clipped: bool
    wall_clipped: bool

    @property
    def burnt_out(self) -> bool:
        """True where all channels of one of them stand at full scale."""
        sides = ((self.face, self.face_clipped), (self.wall, self.wall_clipped))
        return any(clipped and float(np.median(level, axis=0).min()) > BURNT_OUT for level, clipped in sides)

    @property
    def face_brighter(self) -> bool:
        """True where the face is brighter than the wall."""
        return bool(np.median(self.face) > np.median(self.wall))


@dataclass(frozen=True)
class Setting:
    """What of a side is known: levels, where its foot shows (px outward), bins (m,) px, place along (b,), reach, and `lit`.

    `reach` px: how far inward the pixels count, and where the wall's level begins: the mean of the bins beyond, some shaded too.
    `lit`: light on its flank over that on an upright one.
    """

    levels: Levels
    foot: float
    bins: Array
    along: Array
    reach: tuple[float, float]
    lit: float = 1.0


@dataclass(frozen=True)
class Sides:
    """Sides (s) of one card with the same bins (m,), their blocks (r) one after another: which side each block is of (r,), its
    place along (r,), the levels' light (3, r, 1), and of each side: the foot (s, 1) px, whether its face is brighter (s, 1), its
    flank's light (s, 1), what is clipped (s,), share of each bin in the wall's level (s, m). `soft` (m, m): sharpening's blur.
    """

    row: NDArray[np.intp]
    bins: Array
    along: Array
    face: Array
    wall: Array
    foot: Array
    bright: NDArray[np.bool_]
    lit: Array
    face_clipped: NDArray[np.bool_]
    wall_clipped: NDArray[np.bool_]
    far: Array
    soft: Array


def together(settings: Sequence[Setting]) -> Sides:
    """Sides of the same bins in one."""
    levels, bins = [s.levels for s in settings], settings[0].bins
    far = np.array([bins > s.reach[1] for s in settings], dtype=np.float64)
    return Sides(
        np.repeat(np.arange(len(settings)), [len(s.along) for s in settings]),
        bins,
        np.concatenate([s.along for s in settings]),
        np.concatenate([v.face for v in levels]).T[..., None],
        np.concatenate([v.wall for v in levels]).T[..., None],
        np.array([[s.foot] for s in settings]),
        np.array([[v.face_brighter] for v in levels]),
        np.array([[s.lit] for s in settings]),
        np.array([v.face_clipped for v in levels]),
        np.array([v.wall_clipped for v in levels]),
        far / far.sum(axis=1, keepdims=True),
        _kernel(bins, OVERSHOOT_PX),
    )


class _Mixed(NamedTuple):
    """Shares (r, m) of the face's and the wall's light at the samples, and the wall's lost share (s,) where it was read.

    What they were made from is kept for their slopes: weights of the steps at the nodes (s, 12) and how they change with the
    tangent, places of the nodes from the samples (r, 12, m) px and the shares passed there, which of the nodes move with the
    height (s, 12) px, and the shades where the wall's level was read, there and a little further on (2, 3, s).
    """

    face: Array
    wall: Array
    lost: Array
    weights: Array
    lamp: Array
    by_tangent: Array
    d: Array
    passed: Array
    free: Array
    far: Array


def _kernel(bins: Array, sd: float) -> Array:
    out = np.exp(-0.5 * ((bins[:, None] - bins[None, :]) / sd) ** 2)
    return np.asarray(out / out.sum(axis=1, keepdims=True))


def _bell(z: Array) -> Array:
    return np.asarray(np.exp(-0.5 * z * z) / np.sqrt(2 * np.pi))


def _half_shadow(tangent: Array) -> Array:
    return 0.1 + 0.25 * tangent


def _lamp(tangent: Array) -> Array:
    """Mean between the nodes of Phi((t - u) / p), (..., 11) of tangents (...)."""
    p = _half_shadow(tangent)[..., None]
    z = (tangent[..., None] - NODES) / p
    return np.asarray(np.diff(-p * (z * ndtr(z) + _bell(z)), axis=-1) / np.diff(NODES))


def _far_shade(log_height: Array, tangent: Array, sides: Sides) -> Array:
    """Means of h and of the lamp's shade where the wall's level was read, (2, n, s) of heights and tangents (n, s)."""
    u = np.maximum((sides.bins - sides.foot) / np.exp(log_height)[..., None], 0.0)
    lamp = ndtr((tangent[..., None] - u) / _half_shadow(tangent)[..., None])
    return np.stack([(sides.far * (1 - u / np.sqrt(1 + u * u))).sum(axis=-1), (sides.far * lamp).sum(axis=-1)])


def _steps(shade: Array) -> Array:
    """Weights (..., 12) of the steps at the nodes that make up this shade (..., 11) between them."""
    none = np.zeros((*shade.shape[:-1], 1))
    return np.asarray(np.concatenate([none, shade], axis=-1) - np.concatenate([shade, none], axis=-1))


def _mixed(x: Array, q: Array, sides: Sides) -> _Mixed:
    """Light at distances x (r, m), the edge's shift and tilt taken off already, by the unknowns q (s, 11)."""
    s, c, w, row = np.exp(q[0, BLUR]), q[0, DEPTH], np.exp(q[0, HEIGHT]), sides.row
    a = q[:, LAMP, None]
    lamp, ahead = _lamp(np.stack([q[:, TANGENT], q[:, TANGENT] + DIFFERENCE]))
    weights = _steps(c * HIDES + a * lamp)
    weights[:, 0] += 1.0
    start, place = np.maximum(sides.foot, 0.0), sides.foot + w * NODES
    d = x[:, None] - np.maximum(place, start)[row][..., None]
    passed = normal_share(d / s)
    face, wall = 1 - normal_share(x / s), (weights[row][:, None] @ passed)[:, 0]
    if (sides.foot > 0).any():
        strip, (of_face, of_wall) = _flank(x, s, sides), _flank_levels(q, sides)
        face, wall = face + of_face * strip, wall + of_wall * strip
    moved = DIFFERENCE * np.array([[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]])[..., None]
    far = _far_shade(q[:, HEIGHT] + moved[:, 0], q[:, TANGENT] + moved[:, 1], sides)
    lost = np.minimum(c * far[0, 0] + q[:, LAMP] * far[1, 0], 0.6)
    free = np.where(place > start, w * NODES, 0.0)
    return _Mixed(face, wall, lost, weights, lamp, a * (ahead - lamp) / DIFFERENCE, d, passed, free, far)


def _slopes(x: Array, q: Array, sides: Sides, mixed: _Mixed) -> tuple[Array, Array, Array]:
    """Slopes of the shares of face and wall (8, r, m) each and of the lost share (8, s) by the unknowns up to FLANK."""
    s, row, weights = np.exp(q[0, BLUR]), sides.row, mixed.weights
    slope, bell = _bell(mixed.d / s) / s, _bell(x / s) / s
    even = np.broadcast_to(_steps(HIDES), weights.shape)
    shares = np.stack([_steps(mixed.lamp), even, _steps(mixed.by_tangent)], axis=1)[row] @ mixed.passed
    pushed = np.stack([weights, weights * mixed.free], axis=1)[row] @ slope
    dface, dwall = np.zeros((FLANK + 1, *x.shape)), np.zeros((FLANK + 1, *x.shape))
    dface[SHIFT], dface[BLUR] = bell, bell * x
    dwall[SHIFT], dwall[HEIGHT] = -pushed[:, 0], -pushed[:, 1]
    dwall[BLUR] = -(weights[row][:, None] @ (slope * mixed.d))[:, 0]
    dwall[LAMP], dwall[DEPTH], dwall[TANGENT] = shares[:, 0], shares[:, 1], shares[:, 2]
    if (sides.foot > 0).any():
        _add_flank(x, q, sides, dface, dwall)
    dface[TILT], dwall[TILT] = dface[SHIFT] * sides.along[:, None], dwall[SHIFT] * sides.along[:, None]
    amounts, dlost = np.stack([np.full(len(q), q[0, DEPTH]), q[:, LAMP]])[:, None], np.zeros((FLANK + 1, len(q)))
    dlost[[DEPTH, LAMP]] = mixed.far[:, 0]
    dlost[[HEIGHT, TANGENT]] = (amounts * (mixed.far[:, 1:] - mixed.far[:, :1]) / DIFFERENCE).sum(axis=0)
    return dface, dwall, dlost


def _flank(x: Array, s: float, sides: Sides) -> Array:
    """Share (r, m) of a sample that the flank takes, where it is seen."""
    return np.where((sides.foot > 0)[sides.row], normal_share(x / s) - normal_share((x - sides.foot[sides.row]) / s), 0.0)


def _flank_levels(q: Array, sides: Sides) -> tuple[Array, Array]:
    """What of the face's and of the wall's light the flank sends (r, 1): a bright card's its face's, a dark one's of both."""
    bright, f = sides.bright[sides.row], q[0, FLANK] * sides.lit[sides.row]
    return np.where(bright, f, 1 - f), np.where(bright, 0.0, f)


def _add_flank(x: Array, q: Array, sides: Sides, dface: Array, dwall: Array) -> None:
    """The flanks' part of the slopes, in place."""
    s, row = np.exp(q[0, BLUR]), sides.row
    seen, bright, strip = (sides.foot > 0)[row], sides.bright[row], _flank(x, s, sides)
    at, far = x / s, (x - sides.foot[row]) / s
    by_shift = np.where(seen, (_bell(far) - _bell(at)) / s, 0.0)
    by_blur = np.where(seen, _bell(far) * far - _bell(at) * at, 0.0)
    for share, slopes in zip(_flank_levels(q, sides), (dface, dwall), strict=True):
        slopes[SHIFT] += share * by_shift
        slopes[BLUR] += share * by_blur
    strip = strip * sides.lit[row]
    dface[FLANK], dwall[FLANK] = np.where(bright, strip, -strip), np.where(bright, 0.0, strip)


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
    """Luma and colour differences (..., 3, r, m) of codes (..., 3, r, m), through two linear maps (m, m) along the samples."""
    red, green, blue = code[..., 0, :, :], code[..., 1, :, :], code[..., 2, :, :]
    luma = LUMA[0] * red + LUMA[1] * green + LUMA[2] * blue
    return np.stack([luma @ sharpening.T, 0.5 * (blue - luma) @ colour.T, 0.5 * (red - luma) @ colour.T], axis=-3)


class Prediction:
    """Stored codes `code` (3, r, m) at distances x (r, m) from the rough edges, by the unknowns q (s, 11) of sides; those that
    sides share are the same in all rows of q. `off` (r, m): the distances from the edges themselves."""

    def __init__(self, x: Array, q: Array, sides: Sides) -> None:
        self._q, self._sides, row, shared = q, sides, sides.row, q[0]
        self.off = x - q[row, SHIFT, None] - q[row, TILT, None] * sides.along[:, None]
        self._mixed = mixed = _mixed(self.off, q, sides)
        over = float(np.exp(max(shared[EXCESS], 0.0)))
        self._face = sides.face * np.where(sides.face_clipped, over, 1.0)[row, None]
        self._wall = sides.wall * np.where(sides.wall_clipped, over, 1.0)[row, None] / (1 - mixed.lost)[row, None]
        self._code, self._slope = _coded(mixed.face * self._face + mixed.wall * self._wall)
        self._width = max(float(shared[COLOUR_BLUR]), 0.2)
        self._sharpening = (1 + shared[SHARP]) * np.eye(len(sides.bins)) - shared[SHARP] * sides.soft
        self._colour = _kernel(sides.bins, self._width)
        self.code = _stored(self._code, self._sharpening, self._colour)

    @cached_property
    def slopes(self) -> Array:
        """Slopes (11, 3, r, m) of the codes by the unknowns."""
        sides, mixed, row = self._sides, self._mixed, self._sides.row
        dface, dwall, dlost = _slopes(self.off, self._q, sides, mixed)
        by_wall = dwall + mixed.wall * (dlost / (1 - mixed.lost))[:, row, None]
        light = dface[:, None] * (self._slope * self._face) + by_wall[:, None] * (self._slope * self._wall)
        J = np.zeros((UNKNOWNS, *self.code.shape))
        J[: FLANK + 1] = _stored(light, self._sharpening, self._colour)
        wider = (_kernel(sides.bins, self._width + DIFFERENCE) - self._colour) / DIFFERENCE
        J[COLOUR_BLUR] = _stored(self._code, np.zeros_like(wider), wider)
        if sides.face_clipped.any() or sides.wall_clipped.any():
            clipped = mixed.face * self._face * sides.face_clipped[row, None]
            clipped = clipped + mixed.wall * self._wall * sides.wall_clipped[row, None]
            J[EXCESS] = _stored(self._slope * clipped, self._sharpening, self._colour)
        J[SHARP, 0] = np.tensordot(LUMA, self._code, 1) @ (np.eye(len(sides.bins)) - sides.soft).T
        return J
