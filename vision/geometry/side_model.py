"""What a card's side looks like across: its face, the visible flank, the shaded wall, blurred, clipped and stored as a file does.

Light across a side at distance x (px, outward) from the edge of the face, before the lens:
    x < 0         the face, level B
    0 < x < foot  the flank, where the camera sees it (foot > 0: the edge of the card's back shows outside that of its face)
    x > foot      the wall, level A times 1 - c h((x - foot) / w), h(u) = 1 - u / sqrt(1 + u^2)
h is how much of an evenly lit half space an upright edge of height w hides from a point u w away from its foot; c is its depth.
Mixed in linear light, clipped at full scale, coded (IEC 61966-2-1) and split into luma and two colour differences (ITU-T T.871),
of which the colour differences are blurred once more, as files store them at half resolution.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from vision.geometry.strips import linear_of

Array = NDArray[np.float64]
NODES = np.array([0, 0.15, 0.4, 0.8, 1.5, 3.0, 7.0])
"""distances from the foot, in heights, between which the shade counts as even"""
SHADE = 1 + np.diff(NODES - np.sqrt(1 + NODES**2)) / np.diff(NODES) + 0.0
"""mean of h between the nodes"""
LUMA = np.array([0.299, 0.587, 0.114])
"""weights of luma (ITU-T T.871)"""
SHIFT, TILT, BLUR, DEPTH, HEIGHT, FLANK, COLOUR_BLUR, EXCESS = range(8)
"""the unknowns: shift and tilt of the edge (px, half the difference of its ends), log blur (px), depth c, log height w (px),
level of the flank against the levels beside it, blur of the colour differences (px), log of a clipped level over full scale"""


@dataclass(frozen=True)
class Levels:
    """Linear RGB of the face and of the wall, (blocks, 3) each, and which of them (0 or 1, blocks) stand at full scale."""

    face: Array
    wall: Array
    face_clipped: bool
    wall_clipped: bool

    @property
    def face_brighter(self) -> bool:
        """True where the face is brighter than the wall."""
        return bool(np.median(self.face) > np.median(self.wall))


def shares(x: Array, unknowns: Array, foot: float, face_brighter: bool) -> tuple[Array, Array]:
    """How much of the face's and of the wall's level arrives at distances x (any shape), blurred."""
    s, c, w = np.exp(unknowns[BLUR]), unknowns[DEPTH], np.exp(unknowns[HEIGHT])
    start = max(foot, 0.0)
    face, wall = ndtr(-x / s), ndtr((x - start) / s)
    if foot > 0:
        flank = ndtr((foot - x) / s) - face
        if face_brighter:
            face = face + unknowns[FLANK] * flank
        else:  # a dark card's flank may be as white as its core
            face = face + 0.5 * unknowns[FLANK] * flank
            wall = wall + 0.5 * unknowns[FLANK] * flank
    borders = np.maximum(start, foot + w * NODES)
    beyond = [ndtr((x - b) / s) for b in borders]
    for k, shade in enumerate(SHADE):
        if borders[k + 1] > borders[k]:
            wall = wall - c * shade * (beyond[k] - beyond[k + 1])
    return face, wall


def stored(light: Array) -> Array:
    """Luma and colour differences (..., 3) of linear RGB, as the file codes them, 0 to 1."""
    light = np.clip(light, 0.0, 1.0)
    code = np.where(light <= 0.0031308, 12.92 * light, 1.055 * np.maximum(light, 1e-6) ** (1 / 2.4) - 0.055)
    luma = code @ LUMA
    return np.stack([luma, 0.5 * (code[..., 2] - luma), 0.5 * (code[..., 0] - luma)], axis=-1)


def light_of(codes: Array) -> Array:
    """Linear RGB (..., 3) of luma and colour differences."""
    luma = codes[..., 0]
    blue, red = luma + 2 * codes[..., 1], luma + 2 * codes[..., 2]
    green = (luma - LUMA[0] * red - LUMA[2] * blue) / LUMA[1]
    return linear_of(np.clip(np.stack([red, green, blue], axis=-1), 0.0, 1.0))


def predicted(x: Array, unknowns: Array, foot: float, levels: Levels, bins: Array) -> Array:
    """Stored codes (blocks, m, 3) at distances x (blocks, m); `bins` (m,) px: where samples stand, for the colour's blur."""
    face, wall = shares(x, unknowns, foot, levels.face_brighter)
    over = np.exp(max(float(unknowns[EXCESS]), 0.0))
    B = levels.face * (over if levels.face_clipped else 1.0)
    A = levels.wall * (over if levels.wall_clipped else 1.0)
    code = stored(face[..., None] * B[:, None, :] + wall[..., None] * A[:, None, :])
    spread = np.exp(-0.5 * ((bins[:, None] - bins[None, :]) / max(float(unknowns[COLOUR_BLUR]), 0.2)) ** 2)
    spread /= spread.sum(axis=1, keepdims=True)
    code[..., 1:] = np.einsum("ij,bjc->bic", spread, code[..., 1:])
    return np.asarray(code)
