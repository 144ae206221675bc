"""A first camera from four rough corners: good enough to start from and to look at things squarely, never to measure."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vision.geometry.camera import Camera, CameraPrior

Array = NDArray[np.float64]
USUAL_DISTANCE_MM = 2500.0
"""mm from the camera to the opening, before a card tells: enough to tell a card on the curb from one behind it, and a trim from
a lining, never to measure"""


@dataclass(frozen=True)
class PlaneView:
    """The opening plane seen by a camera, up to scale: R (3, 3) world to camera, and the foot of the left wall at depth 1."""

    R: Array
    origin: Array
    camera: Camera

    def on_plane(self, pixels: Array) -> Array:
        """Plane coordinates (n, 2) in the unknown unit of pixels (n, 2); NaN where the ray misses the plane."""
        rays = self.camera.rays(pixels)
        normal = self.R[:, 2]
        with np.errstate(divide="ignore", invalid="ignore"):
            depth = (normal @ self.origin) / (rays @ normal)
        depth = np.where(depth > 0, depth, np.nan)
        return np.asarray((rays * depth[:, None] - self.origin) @ self.R[:, :2])

    def pixels_of(self, plane: Array) -> Array:
        """Pixels (n, 2) of plane coordinates (n, 2) in the same unit."""
        return self.camera.project(self.origin + plane @ self.R[:, :2].T)

    def scaled(self, mm_per_unit: float) -> Camera:
        """The camera once the unit is known."""
        c = self.camera
        return Camera(self.R, self.origin * mm_per_unit, c.f, c.cx, c.cy, c.k1, c.k2)


def camera_of(prior: CameraPrior) -> Camera:
    """The camera as known beforehand, at the origin."""
    return Camera(np.eye(3), np.zeros(3), prior.f, prior.cx, prior.cy, prior.k1, 0.0)


def view_of_rectangle(corners_px: Array, prior: CameraPrior, *, has_head: bool) -> PlaneView:
    """The plane in which the four corners make a rectangle (with a head), or in which the walls are square to the curb.

    Corners: bottom-left, bottom-right, top-right, top-left. Directions are the vanishing points of opposite sides.
    """
    camera = camera_of(prior)
    rays = camera.rays(corners_px)
    bl, br, tr, tl = rays
    up = _oriented(np.cross(np.cross(bl, tl), np.cross(br, tr)), tl - bl)
    curb = np.cross(bl, br)
    across = np.cross(curb, np.cross(tl, tr)) if has_head else np.cross(curb, up)
    across = _oriented(across, br - bl)
    return _view(camera, across, up, bl)


def front_view(corners_px: Array, prior: CameraPrior) -> PlaneView:
    """The plane square to the optical axis; for listing cards where no corners are known."""
    camera = camera_of(prior)
    return PlaneView(np.diag([1.0, -1.0, -1.0]), camera.rays(corners_px[:1])[0], camera)


def mirrored(view: PlaneView, pixel: Array) -> PlaneView:
    """The other tilt that a small patch round `pixel` would show nearly alike: the normal mirrored at its viewing ray."""
    ray = view.camera.rays(pixel[None])[0]
    ray = ray / np.linalg.norm(ray)
    mirror = 2 * np.outer(ray, ray) - np.eye(3)
    normal = _oriented(mirror @ view.R[:, 2], view.R[:, 2])
    turn = _rotation_between(view.R[:, 2], normal)
    return PlaneView(turn @ view.R, view.origin, view.camera)


def _rotation_between(a: Array, b: Array) -> Array:
    axis = np.cross(a, b)
    c = float(a @ b)
    K = np.array([[0, -axis[2], axis[1]], [axis[2], 0, -axis[0]], [-axis[1], axis[0], 0]])
    return np.asarray(np.eye(3) + K + K @ K / (1 + c))


def _oriented(direction: Array, like: Array) -> Array:
    direction = direction / np.linalg.norm(direction)
    return np.asarray(direction if direction @ like > 0 else -direction)


def _view(camera: Camera, across: Array, up: Array, origin: Array) -> PlaneView:
    """Orthonormal axes nearest to the two directions (they share the correction)."""
    M = np.stack([across, up], axis=1)
    u, _, vt = np.linalg.svd(M, full_matrices=False)
    axes = u @ vt
    return PlaneView(np.column_stack([axes, np.cross(axes[:, 0], axes[:, 1])]), origin, camera)
