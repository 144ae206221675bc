"""The first view: a camera from four rough corners."""

from __future__ import annotations

import numpy as np
import pytest

from tests.tolerances import EXACT
from vision.geometry.camera import Array, Camera, camera_prior, rotation
from vision.geometry.start import PlaneView, camera_of, front_view, mirrored, view_of_rectangle
from vision.settings import CameraSettings

PRIOR = camera_prior(3024, 4032, 26.0, CameraSettings())
TURNS = [(0.0, 0.0, 0.0), (0.1, -0.2, 0.03), (-0.25, 0.1, -0.05)]


def camera(turn: tuple[float, float, float]) -> Camera:
    R = rotation(np.array(turn)) @ np.diag([1.0, -1.0, -1.0])
    return Camera(R, -R @ (np.array([710.0, 990.0, 0.0]) - 2600.0 * R[2]), PRIOR.f, PRIOR.cx, PRIOR.cy, 0.0, 0.0)


def seen(turn: tuple[float, float, float], *tops: tuple[float, float]) -> Array:
    """Corners in pixels of an opening 1420 wide; the tops default to those of a rectangle 1990 high."""
    right, left = tops or ((1420.0, 1990.0), (0.0, 1990.0))
    world = np.array([(0, 0, 0), (1420, 0, 0), (*right, 0), (*left, 0)], dtype=float)
    return camera(turn).project(world)


@pytest.mark.parametrize("turn", TURNS)
def test_a_rectangle_gives_the_camera_back(turn: tuple[float, float, float]) -> None:
    """Rotation exactly, position up to the unit, for a camera that is as expected."""
    view = view_of_rectangle(seen(turn), PRIOR, has_head=True)
    assert pytest.approx(camera(turn).R, abs=EXACT) == view.R
    assert view.scaled(float(camera(turn).t[2])).t == pytest.approx(camera(turn).t, abs=EXACT * 1e4)


@pytest.mark.parametrize("turn", TURNS)
def test_without_a_head_the_walls_are_taken_square_to_the_curb(turn: tuple[float, float, float]) -> None:
    """Tops at unequal heights do not matter then."""
    view = view_of_rectangle(seen(turn, (1420.0, 1700.0), (0.0, 1930.0)), PRIOR, has_head=False)
    assert pytest.approx(camera(turn).R, abs=EXACT) == view.R


@pytest.mark.parametrize("turn", TURNS)
def test_pixels_come_to_lie_where_they_are_on_the_wall(turn: tuple[float, float, float]) -> None:
    """The foot of the left wall is the origin, x runs right and y up, in one unit."""
    corners = seen(turn)
    plane = view_of_rectangle(corners, PRIOR, has_head=True).on_plane(corners) * float(camera(turn).t[2])
    assert plane == pytest.approx(np.array([(0, 0), (1420, 0), (1420, 1990), (0, 1990)]), abs=EXACT * 1e4)


def test_what_looks_past_the_plane_lies_nowhere() -> None:
    """A ray that does not meet the plane in front of the camera gives no number."""
    turned = PlaneView(rotation(np.array([0.0, 1.2, 0.0])) @ np.diag([1.0, -1, -1]), np.array([0.0, 0.0, 1.0]), camera_of(PRIOR))
    assert np.isnan(turned.on_plane(np.array([[0.0, 2000.0], [3000.0, 2000.0]]))).any()


def test_the_front_view_keeps_shapes() -> None:
    """Without corners the wall is taken square to the axis: plane distances are pixels over the focal length."""
    square = np.array([[1000.0, 2000.0], [1300.0, 2000.0], [1300.0, 1700.0], [1000.0, 1700.0]])
    plane = front_view(square, PRIOR).on_plane(square)
    assert plane == pytest.approx(np.array([(0, 0), (1, 0), (1, 1), (0, 1)]) * 300 / PRIOR.f, abs=EXACT)


def test_the_mirrored_tilt_mirrors_the_normal_at_the_ray() -> None:
    """Both normals make the same angle with the ray, in one plane with it; mirrored again it is the first."""
    view = view_of_rectangle(seen((0.1, -0.2, 0.03)), PRIOR, has_head=True)
    pixel = np.array([700.0, 1500.0])
    ray = view.camera.rays(pixel[None])[0]
    other = mirrored(view, pixel)
    a, b = view.R[:, 2], other.R[:, 2]
    assert abs(a @ ray) == pytest.approx(abs(b @ ray), rel=EXACT)
    assert np.linalg.det(np.stack([a, b, ray])) == pytest.approx(0.0, abs=EXACT)
    assert pytest.approx(np.eye(3), abs=EXACT) == other.R.T @ other.R
    assert pytest.approx(view.R, abs=EXACT) == mirrored(other, pixel).R


def test_seen_square_on_there_is_one_tilt_only() -> None:
    """Where the ray is the normal the mirror changes nothing."""
    view = view_of_rectangle(seen((0.0, 0.0, 0.0)), PRIOR, has_head=True)
    assert pytest.approx(view.R, abs=EXACT) == mirrored(view, np.array([PRIOR.cx, PRIOR.cy])).R
