"""How much a wide lens bends straight edges, roughly, from the located outline: cards near the border have no ratio before."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from vision.geometry.camera import Camera, CameraPrior
from vision.geometry.start import camera_of
from vision.geometry.strips import Strip

Array = NDArray[np.float64]
STRAIGHT_K1 = 0.02
"""sd of the lens term up to which an edge hardly sags"""
SAG_SD_PX = 3.0
"""px at 12 MP; how much an edge sags by itself, and by how it is followed: 3 mm over the height of a wall"""
SEEN = 2.0
"""sds of the lens term from which it is told from none"""
PLACES = 9
"""points along an edge whose sag is looked at"""
ROUNDS = 4
"""of Newton's rule; a sag is nearly in proportion to the term"""
STEP = 1e-3
"""of the term, for the slope of a sag"""


def bent_prior(
    prior: CameraPrior, curves: Mapping[str, tuple[Array, tuple[float, float]]], strips: Mapping[str, Strip], scale: float
) -> CameraPrior:
    """The prior with the radial term to begin with, where the outline's edges show one.

    Edges of an opening are straight but for some millimetres; what they sag together, in proportion to how far they lie from the
    middle of the picture, is the lens's. The prior's mean stays: the adjustment counts the term from none, as before.
    """
    edges = [_points(strips[name], curve, extent) for name, (curve, extent) in curves.items()]
    k1, sd = 0.0, prior.k1_sd
    for _ in range(ROUNDS):
        sags = np.array([_sag_px(e, prior, k1) for e in edges]) / (SAG_SD_PX * scale)
        slopes = (np.array([_sag_px(e, prior, k1 + STEP) for e in edges]) / (SAG_SD_PX * scale) - sags) / STEP
        normal = float(slopes @ slopes) + prior.k1_sd**-2
        k1 -= (float(slopes @ sags) + k1 * prior.k1_sd**-2) / normal
        sd = normal**-0.5
    return replace(prior, k1=k1) if abs(k1) > SEEN * sd else prior


def straightened(points_px: Array, camera: Camera) -> Array:
    """Points (n, 2) px as this camera would show them without radial terms."""
    if not (camera.k1 or camera.k2):
        return points_px
    return np.asarray(camera.rays(points_px)[:, :2] * camera.f + [camera.cx, camera.cy])


def bent(points_px: Array, camera: Camera) -> Array:
    """The inverse of `straightened`."""
    if not (camera.k1 or camera.k2):
        return points_px
    q = (points_px - [camera.cx, camera.cy]) / camera.f
    still = replace(camera, R=np.eye(3), t=np.zeros(3))
    return still.project(np.column_stack([q, np.ones(len(q))]))


def _points(strip: Strip, curve: Array, extent: tuple[float, float]) -> Array:
    k = np.clip(np.round(np.linspace(min(extent), max(extent), PLACES + 2)[1:-1]).astype(int), 0, strip.lines - 1)
    return np.asarray(strip.to_photo(k.astype(np.float64), curve[k]))


def _sag_px(points_px: Array, prior: CameraPrior, k1: float) -> float:
    """How far the middle of an edge lies beside its chord once a lens of this term is taken out, px."""
    p = straightened(points_px, camera_of(replace(prior, k1=k1)))
    chord = (p[-1] - p[0]) / np.linalg.norm(p[-1] - p[0])
    beside = (p - p[0]) @ np.array([-chord[1], chord[0]])
    t = np.linspace(-1, 1, len(p))
    return -float(np.polyfit(t, beside, 2)[0])
