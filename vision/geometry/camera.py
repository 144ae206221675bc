"""Projection with a radial lens term, its derivatives, and what is known about a camera before the photo."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from vision.settings import CameraSettings

Array = NDArray[np.float64]
DIAGONAL_35MM = math.hypot(36.0, 24.0)
CAMERA_PARAMETERS = ("rx", "ry", "rz", "tx", "ty", "tz", "log_f", "cx", "cy", "k1", "k2")
"""Rotation increment (rad), translation (mm), log of the focal length, principal point (px), radial terms."""


@dataclass(frozen=True)
class Camera:
    """World (opening plane, z toward the camera) to pixels: x_c = R X + t; distortion x (1 + k1 r^2 + k2 r^4); K.

    R is 3 x 3, t in mm, f in px, (cx, cy) the principal point in px with (0, 0) the centre of the top-left pixel.
    """

    R: Array
    t: Array
    f: float
    cx: float
    cy: float
    k1: float
    k2: float

    def project(self, X: Array) -> Array:
        """World points, shape (n, 3) mm, to pixels, shape (n, 2)."""
        return self.project_with_derivative(X)[0]

    def project_with_derivative(self, X: Array) -> tuple[Array, Array, Array]:
        """Pixels (n, 2), their derivative by the camera-frame point (n, 2, 3), and the camera-frame points (n, 3)."""
        Xc = X @ self.R.T + self.t
        z = Xc[:, 2]
        u, v = Xc[:, 0] / z, Xc[:, 1] / z
        r2 = u * u + v * v
        g = 1 + r2 * (self.k1 + self.k2 * r2)
        dg = self.k1 + 2 * self.k2 * r2  # derivative of g by r2
        pixels: Array = np.stack([self.f * u * g + self.cx, self.f * v * g + self.cy], axis=1)
        duu, duv, dvv = g + 2 * dg * u * u, 2 * dg * u * v, g + 2 * dg * v * v
        D = np.empty((len(X), 2, 3))
        D[:, 0, 0], D[:, 0, 1] = duu / z, duv / z
        D[:, 1, 0], D[:, 1, 1] = duv / z, dvv / z
        D[:, 0, 2] = -(duu * u + duv * v) / z
        D[:, 1, 2] = -(duv * u + dvv * v) / z
        return pixels, self.f * D, Xc

    def derivative_by_camera(self, X: Array, D: Array, Xc: Array, pixels: Array) -> Array:
        """Derivative of the pixels by the eleven camera parameters, shape (n, 2, 11); R changes as exp([w]x) R."""
        n = len(X)
        J = np.zeros((n, 2, 11))
        RX = Xc - self.t
        J[:, :, 0] = D[:, :, 2] * RX[:, 1:2] - D[:, :, 1] * RX[:, 2:3]
        J[:, :, 1] = D[:, :, 0] * RX[:, 2:3] - D[:, :, 2] * RX[:, 0:1]
        J[:, :, 2] = D[:, :, 1] * RX[:, 0:1] - D[:, :, 0] * RX[:, 1:2]
        J[:, :, 3:6] = D
        J[:, 0, 6], J[:, 1, 6] = pixels[:, 0] - self.cx, pixels[:, 1] - self.cy
        J[:, 0, 7] = 1.0
        J[:, 1, 8] = 1.0
        u, v = Xc[:, 0] / Xc[:, 2], Xc[:, 1] / Xc[:, 2]
        r2 = u * u + v * v
        J[:, 0, 9], J[:, 1, 9] = self.f * u * r2, self.f * v * r2
        J[:, 0, 10], J[:, 1, 10] = self.f * u * r2 * r2, self.f * v * r2 * r2
        return J

    def moved(self, step: Array) -> Camera:
        """The camera after a step in the eleven parameters.

        The focal length moves in proportion to the step, not to its exponential: it trades with the distance, which is moved by
        millimetres, and a step along both then leaves the picture alone (the adjustment settles in half the rounds).
        """
        return Camera(
            rotation(step[:3]) @ self.R,
            self.t + step[3:6],
            self.f * (1 + float(step[6])),
            self.cx + float(step[7]),
            self.cy + float(step[8]),
            self.k1 + float(step[9]),
            self.k2 + float(step[10]),
        )

    def rays(self, pixels: Array) -> Array:
        """Directions (n, 3) in the camera frame with z = 1 of pixels (n, 2); the lens term is inverted by iteration."""
        d = (np.asarray(pixels, dtype=np.float64) - [self.cx, self.cy]) / self.f
        q = d.copy()
        for _ in range(20 if self.k1 or self.k2 else 0):
            r2 = np.sum(q * q, axis=1, keepdims=True)
            q = d / (1 + r2 * (self.k1 + self.k2 * r2))
        return np.column_stack([q, np.ones(len(q))])

    def H_image_wall(self) -> Array:
        """Homography from wall mm (x, y, 1) to pixels without the lens term; for pictures only."""
        K = np.array([[self.f, 0, self.cx], [0, self.f, self.cy], [0, 0, 1.0]])
        return np.asarray(K @ np.column_stack([self.R[:, 0], self.R[:, 1], self.t]), dtype=np.float64)


def rotation(w: Array) -> Array:
    """Rotation matrix exp([w]x) of a rotation vector in rad (Rodrigues)."""
    angle = float(np.linalg.norm(w))
    K = np.array([[0, -w[2], w[1]], [w[2], 0, -w[0]], [-w[1], w[0], 0]])
    if angle < 1e-12:
        return np.asarray(np.eye(3) + K, dtype=np.float64)
    return np.asarray(np.eye(3) + math.sin(angle) / angle * K + (1 - math.cos(angle)) / angle**2 * K @ K)


def turn(R: Array) -> Array:
    """The rotation vector (3,) in rad of a rotation by less than half a turn; the inverse of `rotation`."""
    w = np.array([R[2, 1] - R[1, 2], R[0, 2] - R[2, 0], R[1, 0] - R[0, 1]]) / 2
    sine = float(np.linalg.norm(w))
    return np.asarray(w if sine < 1e-9 else w * (math.atan2(sine, (float(np.trace(R)) - 1) / 2) / sine))


@dataclass(frozen=True)
class CameraPrior:
    """What is known before the photo, as means and standard deviations (f in px, relative sd)."""

    f: float
    f_relative_sd: float
    cx: float
    cy: float
    principal_point_sd: float
    k1_sd: float
    k2_sd: float
    from_metadata: bool
    k1: float = 0.0
    """the radial term to begin with, where the outline's edges show one; its prior mean is 0 all the same"""


def camera_prior(width: int, height: int, focal_35mm: float | None, settings: CameraSettings) -> CameraPrior:
    """The prior of a photo of this size; the 35 mm field is read by the diagonal (CIPA DCG-001), its sd covers the long side."""
    diagonal = math.hypot(width, height)
    known = focal_35mm is not None
    focal = focal_35mm if focal_35mm is not None else settings.default_focal_35mm
    return CameraPrior(
        f=focal * diagonal / DIAGONAL_35MM,
        f_relative_sd=settings.focal_sd_with_metadata if known else settings.focal_sd_without_metadata,
        cx=(width - 1) / 2,
        cy=(height - 1) / 2,
        principal_point_sd=settings.principal_point_sd_px * diagonal / settings.reference_diagonal_px,
        k1_sd=settings.wide_k1_sd if known and focal < settings.wide_focal_35mm else settings.k1_sd,
        k2_sd=settings.k2_sd,
        from_metadata=known,
    )


def bendable(prior: CameraPrior, settings: CameraSettings) -> CameraPrior:
    """The same camera with a lens that may be an uncorrected one."""
    return replace(prior, k1_sd=settings.wide_k1_sd, k2_sd=settings.wide_k1_sd / 2)
