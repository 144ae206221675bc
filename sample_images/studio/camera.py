"""A phone camera: pinhole, principal point and two radial terms, x_d = x (1 + k1 r^2 + k2 r^4) in units of tan(angle)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

FULL_FRAME_DIAGONAL_MM = 43.2666


@dataclass(frozen=True)
class Camera:
    width: int
    height: int
    f_px: float
    cx: float
    cy: float
    k1: float
    k2: float
    position_mm: np.ndarray  # (3,)
    rotation: np.ndarray  # (3, 3) world -> camera; camera x right, y down, z forward

    def project(self, points_mm: np.ndarray) -> np.ndarray:
        """World points (n, 3) -> pixels (n, 2), with distortion."""
        seen = (np.asarray(points_mm, float) - self.position_mm) @ self.rotation.T
        x, y = seen[:, 0] / seen[:, 2], seen[:, 1] / seen[:, 2]
        r2 = x * x + y * y
        grow = 1 + r2 * (self.k1 + r2 * self.k2)
        return np.stack([self.cx + self.f_px * x * grow, self.cy + self.f_px * y * grow], axis=1)

    def directions(self, u: Any, v: Any) -> tuple[Any, Any, Any]:
        """Pixels -> world directions (not normalised); works on numpy and on Dr.Jit arrays alike."""
        x, y = (u - self.cx) / self.f_px, (v - self.cy) / self.f_px
        shrink = undistorted_scale(x * x + y * y, self.k1, self.k2)
        x, y = x * shrink, y * shrink
        r = [[float(e) for e in row] for row in self.rotation]
        return tuple(r[0][i] * x + r[1][i] * y + r[2][i] for i in range(3))  # type: ignore[return-value]


def undistorted_scale(r2: Any, k1: float, k2: float) -> Any:
    """Solve s (1 + k1 s^2 r2 + k2 s^4 r2^2) = 1 for s by Newton's method; r2 is the squared distorted radius."""
    scale = 1.0 + 0.0 * r2
    for _ in range(9):
        t = scale * scale * r2
        value = scale * (1 + t * (k1 + t * k2)) - 1
        slope = 1 + t * (3 * k1 + 5 * k2 * t)
        scale = scale - value / slope
    return scale


def focal_px(equivalent_mm: float, width: int, height: int) -> float:
    """Focal length in pixels of a lens given by its 35 mm equivalent (equal diagonals)."""
    return equivalent_mm / FULL_FRAME_DIAGONAL_MM * float(np.hypot(width, height))


def aimed(position_mm: np.ndarray, target_mm: np.ndarray, roll_deg: float) -> np.ndarray:
    """World -> camera rotation of a camera that looks at a point and is turned by roll about its axis (+ = clockwise)."""
    forward = np.asarray(target_mm, float) - np.asarray(position_mm, float)
    forward /= np.linalg.norm(forward)
    right = np.cross(forward, [0.0, 1.0, 0.0])
    right /= np.linalg.norm(right)
    down = np.cross(forward, right)
    c, s = np.cos(np.radians(roll_deg)), np.sin(np.radians(roll_deg))
    return np.stack([c * right + s * down, -s * right + c * down, forward])
