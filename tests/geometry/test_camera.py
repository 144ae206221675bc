"""Projection, its derivatives, and what is known of a camera before the photo.

Outside: cv2.projectPoints and cv2.Rodrigues (OpenCV's camera model, radial terms k1 and k2 only).
"""

from __future__ import annotations

import math

import cv2
import numpy as np
import pytest

from tests.tolerances import EXACT, LINEAR, PRINTED
from vision.geometry.camera import CAMERA_PARAMETERS, Array, Camera, camera_prior, rotation, turn
from vision.settings import CameraSettings

SETTINGS = CameraSettings()
STEP = 1e-6
"""of each parameter's own scale: central differences are then good to LINEAR"""
SCALES = np.array([1, 1, 1, 1000, 1000, 1000, 1, 1000, 1000, 1, 1.0])


@pytest.fixture
def camera() -> Camera:
    """Turned, off centre, with both radial terms."""
    R = rotation(np.array([0.1, -0.2, 0.05])) @ np.diag([1.0, -1.0, -1.0])
    return Camera(R, np.array([-650.0, 900.0, 2500.0]), 3028.7, 1520.0, 2010.0, -0.03, 0.011)


@pytest.fixture
def points() -> Array:
    return np.random.default_rng(1).uniform([-300, -200, -60], [1700, 2200, 60], (40, 3))


def test_projection_is_that_of_opencv(camera: Camera, points: Array) -> None:
    """The same pixels as cv2.projectPoints."""
    K = np.array([[camera.f, 0, camera.cx], [0, camera.f, camera.cy], [0, 0, 1]])
    theirs = cv2.projectPoints(points, cv2.Rodrigues(camera.R)[0], camera.t, K, np.array([camera.k1, camera.k2, 0, 0]))[0]
    assert camera.project(points) == pytest.approx(theirs[:, 0, :], rel=EXACT)


def test_a_rotation_is_that_of_opencv() -> None:
    """Rodrigues' formula, and the unit matrix for no rotation."""
    w = np.array([0.3, -1.1, 0.7])
    assert rotation(w) == pytest.approx(cv2.Rodrigues(w)[0], abs=EXACT)
    assert rotation(np.zeros(3)) == pytest.approx(np.eye(3), abs=EXACT)


def test_small_rotations_join_the_large_ones_without_a_step() -> None:
    """Under the angle at which the formula is cut short it is still that of OpenCV."""
    w = np.array([3e-13, -4e-13, 5e-13])
    assert rotation(w) == pytest.approx(cv2.Rodrigues(w)[0], abs=EXACT**1.5)


def test_the_derivative_by_the_point_agrees_with_differences(camera: Camera, points: Array) -> None:
    """Pixels by camera-frame point, through the world point it belongs to."""
    _, D, _ = camera.project_with_derivative(points)
    for k in range(3):
        h = np.zeros(3)
        h[k] = 1e-3
        difference = (camera.project(points + h) - camera.project(points - h)) / 2e-3
        assert D @ camera.R[:, k] == pytest.approx(difference, rel=LINEAR, abs=LINEAR * float(np.abs(D).max()))


@pytest.mark.parametrize("parameter", range(len(CAMERA_PARAMETERS)), ids=CAMERA_PARAMETERS)
def test_the_derivative_by_each_camera_parameter_agrees_with_differences(camera: Camera, points: Array, parameter: int) -> None:
    """All eleven, in the way in which the camera is moved."""
    pixels, D, Xc = camera.project_with_derivative(points)
    step = np.zeros(len(CAMERA_PARAMETERS))
    step[parameter] = STEP * SCALES[parameter]
    difference = (camera.moved(step).project(points) - camera.moved(-step).project(points)) / (2 * step[parameter])
    ours = camera.derivative_by_camera(points, D, Xc, pixels)[:, :, parameter]
    assert ours == pytest.approx(difference, abs=LINEAR * float(np.abs(difference).max()))


def test_rays_undo_the_projection(camera: Camera, points: Array) -> None:
    """The ray of a projected point passes through it, lens term included."""
    _, _, Xc = camera.project_with_derivative(points)
    assert camera.rays(camera.project(points)) == pytest.approx(Xc / Xc[:, 2:], abs=EXACT)


def test_the_picture_homography_is_the_projection_without_the_lens(camera: Camera) -> None:
    """Wall millimetres to pixels, for points of the plane."""
    plain = Camera(camera.R, camera.t, camera.f, camera.cx, camera.cy, 0.0, 0.0)
    wall = np.array([[0.0, 0.0], [1420.0, 0.0], [700.0, 1990.0]])
    homogeneous = np.column_stack([wall, np.ones(3)]) @ camera.H_image_wall().T
    assert homogeneous[:, :2] / homogeneous[:, 2:] == pytest.approx(
        plain.project(np.column_stack([wall, np.zeros(3)])), rel=EXACT
    )


def test_the_equivalent_focal_length_is_read_by_the_diagonal() -> None:
    """26 mm on 4032 x 3024 is 3028.7 px (CIPA DCG-001: by the diagonal angle of view; number recomputed in METROLOGY.md 2.2)."""
    prior = camera_prior(4032, 3024, 26.0, SETTINGS)
    assert prior.f == pytest.approx(3028.7, abs=PRINTED("3028.7"))
    assert (prior.cx, prior.cy) == (2015.5, 1511.5)
    assert prior.from_metadata


def test_both_readings_of_the_focal_field_lie_within_its_prior() -> None:
    """By the long side 26 mm is 2912.0 px (METROLOGY.md 2.2), 3.9 % away: less than the sd."""
    prior = camera_prior(4032, 3024, 26.0, SETTINGS)
    assert abs(math.log(2912.0 / prior.f)) < prior.f_relative_sd


def test_without_metadata_a_usual_lens_is_taken_and_little_trusted() -> None:
    """26 mm with a quarter of it as sd covers main lenses of 20 and 33 mm."""
    prior = camera_prior(3024, 4032, None, SETTINGS)
    known = camera_prior(3024, 4032, 26.0, SETTINGS)
    assert not prior.from_metadata
    assert prior.f == pytest.approx(known.f, rel=EXACT)
    assert all(abs(math.log(f / 26)) < prior.f_relative_sd * 1.06 for f in (20, 33))


def test_a_wide_lens_may_be_bent() -> None:
    """The radial term of a lens under 22 mm is trusted ten times less."""
    assert camera_prior(4032, 3024, 13.0, SETTINGS).k1_sd == pytest.approx(10 * camera_prior(4032, 3024, 26.0, SETTINGS).k1_sd)


def test_the_principal_point_is_known_in_proportion_to_the_picture() -> None:
    """Half the pixels, half the sd."""
    full, half = camera_prior(4032, 3024, 26.0, SETTINGS), camera_prior(2016, 1512, 26.0, SETTINGS)
    assert full.principal_point_sd == pytest.approx(SETTINGS.principal_point_sd_px, rel=EXACT)
    assert half.principal_point_sd == pytest.approx(full.principal_point_sd / 2, rel=EXACT)


@pytest.mark.parametrize("w", [(0.0, 0.0, 0.0), (1e-6, -2e-6, 0.0), (0.02, -0.05, 0.7), (-1.2, 0.4, 0.9)])
def test_a_turn_is_read_back_from_its_matrix(w: tuple[float, float, float]) -> None:
    """The rotation vector of a rotation is the one that it was made from."""
    assert turn(rotation(np.array(w))) == pytest.approx(np.array(w), abs=EXACT)
