"""A band of a third colour along an edge: where it begins shows in some colours, where it ends in others."""

from __future__ import annotations

import itertools

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from vision.geometry.profiles import Profiles

Array = NDArray[np.float64]
NEAR_PX = 6.0
"""px on either side of the edge in which a band is looked for; the surfaces' own colours are taken from just there outward"""
LEAST_STEP = 0.02
"""linear light; a fainter step of luma or of one colour difference has no place of its own"""
LEAST_SURE_PX = 0.4
"""px; sd beyond which a place says nothing"""
SAME_PLACE_PX = 1.0
"""px; so far apart places are in one edge too (0.85 seen): colours are stored at half the resolution and not in linear light"""


SURELY = 2.0
"""sd of two places' difference that it must have beside that"""
PARTS, LEAST_BLOCKS = 3, 24
"""parts of an edge that are also looked at by themselves, since light changes along it; and blocks of an edge that has them"""


def band_px(p: Profiles, x0: Array, blur_px: float) -> float:
    """How wide (px) the band is between the places where luma and the colour differences step; 0 where they agree.

    `x0` (b,) px is where the edge was found in each block. A band between two surfaces, a bead or a joint, whose colour is no
    mixture of theirs, moves the middle of the step in luma and in colour differently. A white bead beside a white wall shows
    only where it lies in shade, so the widest of the whole and of its thirds counts.
    """
    blocks = len(x0)
    cuts = [k * blocks // PARTS for k in range(PARTS + 1)] if blocks >= LEAST_BLOCKS else []
    parts = [slice(0, blocks), *(slice(a, b) for a, b in itertools.pairwise(cuts))]
    return max(_band_of(Profiles(p.count[k], p.u[k], p.colour[k], p.centre[k]), x0[k], blur_px) for k in parts)


def _band_of(p: Profiles, x0: Array, blur_px: float) -> float:
    places, sure, step = channel_places(p, x0, blur_px)
    clear = np.flatnonzero((np.abs(step) > LEAST_STEP) & (sure < LEAST_SURE_PX))
    if len(clear) < 2:
        return 0.0
    first, last = clear[np.argmin(places[clear])], clear[np.argmax(places[clear])]
    apart, unsure = float(places[last] - places[first]), float(np.hypot(sure[first], sure[last]))
    return min(apart, NEAR_PX) if apart > SAME_PLACE_PX + SURELY * unsure else 0.0


def channel_places(p: Profiles, x0: Array, blur_px: float) -> tuple[Array, Array, Array]:
    """Per channel where its step lies against `x0`, the sd of that (px), and the step, each (3,): by equal areas."""
    v = p.u - x0[:, None]
    near = (np.abs(v) < NEAR_PX) & (p.count > 0)
    low, high = (np.where((side * v > NEAR_PX - 2) & (side * v < NEAR_PX + 4), p.count, 0.0) for side in (-1, 1))
    good = (low.sum(axis=1) > 0) & (high.sum(axis=1) > 0) & near.any(axis=1)
    if not good.any():
        return np.zeros(3), np.full(3, np.inf), np.zeros(3)
    A, B = (np.einsum("bm,bmc->bc", w, p.colour)[good] / w.sum(axis=1)[good, None] for w in (low, high))
    share = ndtr(v[good] / blur_px)[..., None]
    rest = np.where(near[good][..., None], p.colour[good] - A[:, None, :] * (1 - share) - B[:, None, :] * share, 0.0)
    step = np.median(B - A, axis=0)
    width = 2 * NEAR_PX / near[good].sum(axis=1)
    shift = -rest.sum(axis=1) * width[:, None] / np.where(np.abs(step) > 1e-6, step, 1e-6)
    place = np.median(shift, axis=0)
    spread = 1.4826 * np.median(np.abs(shift - place), axis=0)
    return place, 1.25 * spread / np.sqrt(good.sum()), step


BURNT, AT_FULL_SCALE = 1.07, 0.97
"""sd, in blurs, of where an edge beside a burnt-out surface seems to lie: rms, over light of one to eight times full scale beside
a wall A of a fifth of it, of z((1 - A) / 2 / (k - A)), z the inverse normal distribution; linear light that counts as burnt"""
BESIDE_PX = (2.5, 8.0)
"""px from the edge in which a surface's light is looked at"""


def burnt_px(p: Profiles, x0: Array, blur_px: float) -> float:
    """Sd (px) by which light beyond full scale on one side may hide where the edge is: the bright side spreads over the dark one.

    `x0` (b,) px is where the edge was found in each block. The worst third counts, since light changes along an edge.
    """
    v = p.u - x0[:, None]
    burnt = np.zeros(len(x0), dtype=bool)
    for side in (-1, 1):
        weight = np.where((side * v > BESIDE_PX[0]) & (side * v < BESIDE_PX[1]), p.count, 0.0)
        total = weight.sum(axis=1)
        light = (weight * p.colour[..., 0]).sum(axis=1) / np.maximum(total, 1e-9)
        burnt ^= (total > 0) & (light > AT_FULL_SCALE)
    return BURNT * blur_px * max(float(part.mean()) for part in np.array_split(burnt, PARTS))
