"""The adjustment against OpenCV's own pose solution, on noise-free points.

Outside: cv2.projectPoints makes the points and cv2.solvePnP (SOLVEPNP_ITERATIVE) finds the pose from the four corners of the
opening, whose sizes it is told (OpenCV 5, documented in "Camera Calibration and 3D Reconstruction"). Ours is told the cards'
sizes only, sees edges only, and must come to the same pose and to the opening's sizes.
"""

from __future__ import annotations

from functools import cache

import cv2
import numpy as np
import pytest

from tests.benchmarks.edge_draws import scene_of
from tests.benchmarks.edge_truth import HEIGHT_PX, LAYOUTS, SETTINGS, WIDTH_PX, Nothing, Scene, TrueCamera, TrueOpening
from vision.geometry.adjustment import Solution
from vision.geometry.assemble import assemble
from vision.geometry.sizes import propagate, size_functions

SAME = 1e-7
"""EXACT (rounding, 1e-16) times the 1e9 by which a small card's edges are weaker than what they fix (condition of N in the units
of its own diagonal): rad for the rotation, and relative to the distance or the size itself"""
CAMERAS = {"straight on": (0.0, 0.0, 0.0), "turned": (0.05, -0.12, 0.02), "tilted": (-0.15, 0.08, -0.03)}
OPENING = TrueOpening(1420.0, 0.0021, 0.0, -0.0013, 0.0, 1985.0, 0.0015, 0.0011)


def camera(turn: tuple[float, float, float]) -> TrueCamera:
    """A camera of which everything but the pose is as known beforehand."""
    f = 26.0 * float(np.hypot(WIDTH_PX, HEIGHT_PX)) / float(np.hypot(36, 24))
    K = np.array([[f, 0, (WIDTH_PX - 1) / 2], [0, f, (HEIGHT_PX - 1) / 2], [0, 0, 1]])
    R = cv2.Rodrigues(np.array(turn))[0] @ np.diag([1.0, -1.0, -1.0])
    place = np.array([710.0, 990.0, 0.0]) - 2650.0 * R[2]
    return TrueCamera(np.asarray(cv2.Rodrigues(R)[0]), -R @ place, K, np.zeros(4))


def scene(layout: str, view: str) -> Scene:
    return scene_of(layout, OPENING, camera(CAMERAS[view]), Nothing())


@cache
def adjusted(layout: str, view: str) -> tuple[Scene, Solution]:
    made = scene(layout, view)
    assembly = assemble([made.photo], made.demands, SETTINGS)
    return made, assembly.problem.solve(assembly.start, assembly.camera_priors, settled=1e-24)


@pytest.mark.parametrize("view", CAMERAS)
@pytest.mark.parametrize("layout", LAYOUTS)
def test_the_pose_is_that_of_opencv(layout: str, view: str) -> None:
    """Rotation and translation agree with cv2.solvePnP on the opening's corners."""
    made, solution = adjusted(layout, view)
    corners = np.array([[0, 0, 0], [OPENING.width, 0, 0], OPENING.top("right"), OPENING.top("left")])
    pixels = made.camera.project(corners)
    found, rvec, tvec = cv2.solvePnP(corners, pixels, made.camera.K, None, flags=cv2.SOLVEPNP_ITERATIVE)
    assert found
    ours, R = solution.state.cameras[0], cv2.Rodrigues(rvec)[0]
    assert pytest.approx(R, abs=SAME) == ours.R
    assert ours.t == pytest.approx(tvec[:, 0], abs=SAME * float(np.linalg.norm(tvec)))


@pytest.mark.parametrize("view", CAMERAS)
@pytest.mark.parametrize("layout", LAYOUTS)
def test_the_sizes_are_those_of_the_scene(layout: str, view: str) -> None:
    """Widths, heights, diagonals, leans and all the rest come out as they were put in."""
    made, solution = adjusted(layout, view)
    stated = propagate(solution, size_functions(made.at_mm, True, OPENING.height, True))
    true = OPENING.quantities(made.at_mm)
    assert stated.mean == pytest.approx([true[n] for n in stated.names], rel=SAME, abs=SAME * 10)
