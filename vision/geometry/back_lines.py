"""Lines that run back on the side walls, seen inside the opening: they should meet where the face's normal does."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from vision.geometry.camera import Camera
from vision.geometry.joints import on_face
from vision.geometry.model import H0, W0
from vision.settings_joints import JointSettings

Array = NDArray[np.float64]
REACH = math.radians(2.5)
"""rad; a segment further off the direction to that point runs elsewhere"""
ASKEW = math.radians(12.0)
"""rad; a segment nearer than this to upright or level may be of the back wall or an upright edge"""
ROBUST = 2.0
"""sd beyond which a segment counts less and less"""


def back_cues(
    segments_px: Array, camera: Camera, opening: Array, scale: float, settings: JointSettings
) -> Callable[[Camera], list[tuple[float, float]]] | None:
    """Tilts (rad) and sds of "level" and "square" as functions of the camera; None where too few lines run back."""
    if not len(segments_px):
        return None
    middle = segments_px.mean(axis=1)
    face = on_face(camera, middle)
    inside = (face[:, 0] > 0) & (face[:, 0] < opening[W0]) & (face[:, 1] > 0) & (face[:, 1] < opening[H0])
    off = [np.abs(_off(segments_px, camera, camera.R[:, k])) for k in range(3)]
    back = inside & (off[2] < math.sin(REACH)) & (off[0] > math.sin(ASKEW)) & (off[1] > math.sin(ASKEW))
    if back.sum() < settings.fewest_back:
        return None
    kept = segments_px[back]
    sd = math.sqrt(2) * settings.point_px * scale / np.linalg.norm(kept[:, 1] - kept[:, 0], axis=1)

    def tilts(seen_by: Camera) -> list[tuple[float, float]]:
        e = _off(kept, seen_by, seen_by.R[:, 2])
        h = 1e-4
        A = np.column_stack([(_off(kept, seen_by, seen_by.R[:, 2] + h * seen_by.R[:, k]) - e) / h for k in (1, 0)])
        base, p, N, unit = sd**-2, np.zeros(2), np.eye(2), 1.0
        w = base
        for _ in range(12):
            N = (A * w[:, None]).T @ A + 1e-9 * np.eye(2)
            p = np.linalg.solve(N, -(A * w[:, None]).T @ e)
            z = (e + A @ p) / sd
            unit = max(1.0, 1.4826 * float(np.median(np.abs(z))))
            w = base / (1 + (z / (ROBUST * unit)) ** 2) ** 2
        own = unit * np.sqrt(np.diag(np.linalg.inv(N)))
        common = (settings.back_level_sd, settings.back_square_sd)
        return [(float(p[k]), math.hypot(own[k], common[k])) for k in range(2)]

    return tilts


def _off(segments_px: Array, camera: Camera, direction: Array) -> Array:
    """Sine (n,) of the angle between each segment and the course toward where `direction` (3,) vanishes, in the ray plane."""
    ends = camera.rays(segments_px.reshape(-1, 2))[:, :2].reshape(-1, 2, 2)
    middle, d = ends.mean(axis=1), ends[:, 1] - ends[:, 0]
    toward = direction[:2] - direction[2] * middle
    scale = np.maximum(np.linalg.norm(d, axis=1) * np.linalg.norm(toward, axis=1), 1e-12)
    return np.asarray((d[:, 0] * toward[:, 1] - d[:, 1] * toward[:, 0]) / scale)
