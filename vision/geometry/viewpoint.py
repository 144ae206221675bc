"""Were two photos taken from one place? Then they see the same shadows and flanks, and the second is no second witness."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from vision.geometry.seen import SeenPhoto, squared_to_curb

Array = NDArray[np.float64]
NEAR = 0.02
"""of the camera's distance from the opening (5 cm at 2.5 m; a first view places the camera to some percent, alike in both)"""
ALIKE_PX = 4.0
"""px at 12 MP; how well the corners of a copy of another size, or cut, lie on those of the original"""


def same_viewpoint(a: SeenPhoto, b: SeenPhoto) -> bool:
    """True where the cameras of two photos stood together, or one is a copy of the other in another size."""
    here, there = _eye(a), _eye(b)
    if float(np.linalg.norm(here - there)) < NEAR * float(np.linalg.norm(here)):
        return True
    return _misfit(a.corners_px, b.corners_px) < ALIKE_PX * b.look.scale


def _eye(photo: SeenPhoto) -> Array:
    """Where the camera stood (3,), in widths of the opening, from the foot of the left wall."""
    view, plane = squared_to_curb(photo)
    return np.asarray(-view.R.T @ view.origin / plane[1, 0])


def _misfit(a: Array, b: Array) -> float:
    """Largest distance (px) of corners b (4, 2) from corners a (4, 2) turned, scaled and shifted as fits best."""
    x, y = ((c - c.mean(axis=0)) @ np.array([1.0, 1.0j]) for c in (a, b))
    turn = np.vdot(x, y) / np.vdot(x, x)
    return float(np.abs(y - turn * x).max())
