"""Scenes at the level of edge observations whose verticals are drawn from their own priors, truth beside them."""

from __future__ import annotations

import math
from dataclasses import replace

import cv2
import numpy as np
from numpy.typing import NDArray

from tests.benchmarks.edge_draws import draw, points
from tests.benchmarks.edge_truth import SETTINGS, Scene, TrueCamera
from vision.geometry.edges import EdgePoints
from vision.geometry.lines import LineFacts, SeenLine

Array = NDArray[np.float64]
LAYOUT = "2 letters measured opposite"
CUES, BIAS = SETTINGS.cues, SETTINGS.edges.bias_sd_px
LEVEL_WIDE_MM = 50.0
LEVEL_LONG_MM = 1219.0


def bare(rng: np.random.Generator, layout: str = LAYOUT) -> Scene:
    """A scene without a vertical."""
    scene = draw(layout, rng)
    return replace(scene, photo=replace(scene.photo, plumb=()))


def with_joints(scene: Scene, rng: np.random.Generator, standing: int, lying: int = 0) -> Scene:
    """Joints on the walls beside the opening, their common error and their own drawn from the priors."""
    opening, common = scene.opening, rng.normal(0, CUES.grout_common_sd_mm_per_m / 1000)
    lines = []
    for _ in range(standing):
        slope = opening.gravity + common + rng.normal(0, CUES.grout_own_sd_mm_per_m / 1000)
        x = rng.choice([-60.0, opening.width + 60.0]) + rng.uniform(-40, 40)
        lines.append(drawn(scene.camera, "grout", np.array([x, 0.0]), (slope, 1.0), span=(300, 1700), rng=rng))
    for _ in range(lying):
        slope = -(opening.gravity + common) + rng.normal(0, CUES.grout_own_sd_mm_per_m / 1000)
        foot = np.array([0.0, -30.0])
        lines.append(drawn(scene.camera, "grout", foot, (1.0, slope), span=(100, opening.width - 100), rng=rng))
    return added(scene, *lines)


def with_level(scene: Scene, rng: np.random.Generator, *, lying: bool, measured: bool = False) -> Scene:
    """A spirit level on the wall face or above the curb, of true length and depth drawn from what is stated."""
    opening, out = scene.opening, rng.normal(0, CUES.level_sd_mm_per_m / 1000)
    g = opening.gravity + out
    depth = rng.normal(CUES.level_offset_mm, CUES.level_offset_sd_mm)
    long = LEVEL_LONG_MM + (rng.normal(0, CUES.level_length_sd_mm) if measured else 0.0)
    foot = np.array([60.0, 80.0]) if lying else np.array([opening.width + 60.0, 200.0])
    way = np.array([1.0, -g] if lying else [g, 1.0]) / math.hypot(1, g)
    ends = np.array([foot, foot + long * way])
    facts = LineFacts("level", rough(scene.camera, ends, depth, rng), LEVEL_LONG_MM if measured else None)
    points = imaged(scene.camera, ends, depth, rng)
    if not measured:
        return added(scene, SeenLine(facts, points))
    side = np.array([way[1], -way[0]]) * LEVEL_WIDE_MM
    short = tuple(imaged(scene.camera, np.array([end + 0.2 * side, end + 0.8 * side]), depth, rng) for end in ends)
    return added(scene, SeenLine(facts, points, (short[0], short[1])))


def with_gravity(scene: Scene, rng: np.random.Generator, out_sd: float = CUES.gravity_sd_mm_per_m / 1000) -> Scene:
    """A phone that wrote down, turned by its own error; the opening's plane leans toward the camera or away by a little."""
    R = cv2.Rodrigues(scene.camera.rvec)[0]
    up = R @ np.array([scene.opening.gravity, 1.0, rng.normal(0, 0.005)])
    up = up / np.linalg.norm(up)
    felt = up + out_sd * rng.standard_normal(3)
    look = replace(scene.photo.look, down=-felt / np.linalg.norm(felt))
    return replace(scene, photo=replace(scene.photo, look=look))


def with_level_curb(scene: Scene, rng: np.random.Generator) -> Scene:
    """A curb that is as level as it is taken to be."""
    g = rng.normal(0, CUES.curb_sd_mm_per_m / 1000)
    return replace(
        scene, opening=replace(scene.opening, gravity=g), demands=replace(scene.demands, level_curb=True)
    )  # gravity is seen nowhere in a scene without a vertical


def drawn(
    camera: TrueCamera, kind: str, foot: Array, way: tuple[float, float], *, span: tuple[float, float], rng: np.random.Generator
) -> SeenLine:
    """A line on the wall through `foot` (2,) mm with this direction, seen over a span (mm along it)."""
    ends = foot + np.array(span)[:, None] * np.array(way)
    return SeenLine(LineFacts(kind, rough(camera, ends, 0.0, rng)), imaged(camera, ends, 0.0, rng))


def imaged(camera: TrueCamera, ends: Array, depth: float, rng: np.random.Generator) -> EdgePoints:
    """Points of the straight edge between two ends (2, 2) mm this far behind the plane, with noise and bias."""
    share = np.linspace(0, 1, 201)[:, None]
    world = np.column_stack([ends[0] + share * (ends[1] - ends[0]), np.full(len(share), -depth)])
    return points(camera.project(world), 0.03, BIAS, rng)


def rough(camera: TrueCamera, ends: Array, depth: float, rng: np.random.Generator) -> Array:
    """Its ends as a person clicks them, (2, 2) px."""
    return camera.project(np.column_stack([ends, np.full(2, -depth)])) + rng.uniform(-6, 6, (2, 2))


def added(scene: Scene, *lines: SeenLine) -> Scene:
    """The scene with these lines too."""
    return replace(scene, photo=replace(scene.photo, lines=(*scene.photo.lines, *lines)))
