"""Segments that a tiled face and tiled side walls would leave in a scene at the level of edge observations.

Grids are as untrue as JointSettings says that they may be: joints drawn with their own course and place, the face's grid
turned out of the opening's plane by what all joints share, side walls out of square and their joints out of level.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from tests.benchmarks.edge_truth import Draws, Scene
from vision.geometry.camera import rotation
from vision.geometry.seen import SeenPhoto
from vision.settings_joints import JointSettings

Array = NDArray[np.float64]
FACE_MM = 900.0
"""how far the tiles reach beside and above the opening"""
DEEP_MM = (80.0, 850.0)
"""where lines on the side walls start and end, behind the face"""
HALF_JOINT_MM = 1.2
SEEN_SHARE = 0.6
"""of the segments; the rest fades"""


@dataclass(frozen=True)
class Grid:
    """What is there: the face's tile (mm), or None for a painted face, and whether the side walls are tiled."""

    tile_mm: float | None = 150.0
    side_walls: bool = True


def with_segments(made: Scene, grid: Grid, settings: JointSettings, rng: Draws) -> SeenPhoto:
    """The scene's photo with the segments that would be found in it."""
    parts = _face(made, grid.tile_mm, settings, rng) if grid.tile_mm else []
    parts += _side_walls(made, settings, rng) if grid.side_walls else []
    X = np.array(parts).reshape(-1, 2, 3)
    shown = rng.uniform(0, 1, len(X)) < SEEN_SHARE
    px = made.camera.project(X[shown].reshape(-1, 3)).reshape(-1, 2, 2)
    px = px + rng.normal(0, settings.point_px, (len(px), 1, 2)) + rng.normal(0, settings.point_px, px.shape)
    inside = np.all((px > 0) & (px < [made.photo.look.width, made.photo.look.height]), axis=(1, 2))
    return replace(made.photo, look=replace(made.photo.look, segments=px[inside]))


def _face(made: Scene, tile: float, settings: JointSettings, rng: Draws) -> list[Array]:
    """Edges of joints, tile by tile, outside the opening; the darker side of a joint's two edges is its inside."""
    width, height = made.opening.width, made.opening.height
    untrue = np.radians(settings.common_sd_deg) * rng.standard_normal(2)
    turned = rotation(np.array([untrue[0], untrue[1], float(rng.normal(0, 0.0015))]))
    middle = np.array([width / 2, height / 2, 0.0])
    out = []
    for axis, (low, high) in enumerate(((-FACE_MM, width + FACE_MM), (0.0, height + FACE_MM))):
        other = ((0.0, height + FACE_MM), (-FACE_MM, width + FACE_MM))[axis]
        for at in np.arange(low + 0.3 * tile, high, tile):
            place, slope = at + rng.normal(0, settings.own_place_sd_mm), rng.normal(0, settings.own_slope_sd)
            for start in np.arange(other[0] + 5, other[1] - tile, tile):
                for side in (-1, 1):
                    along = np.array([start, start + tile - 10])[::side]
                    X = np.zeros((2, 3))
                    X[:, axis] = place + slope * (along - np.mean(other)) + side * HALF_JOINT_MM
                    X[:, 1 - axis] = along
                    x, y = X[:, :2].mean(axis=0)
                    if not (-10 < x < width + 10 and y < height + 10):
                        out.append((X - middle) @ turned.T + middle)
    return out


def _side_walls(made: Scene, settings: JointSettings, rng: Draws) -> list[Array]:
    """Joints that run back on both side walls, alike out of level and out of square."""
    fall, flare = rng.normal(0, settings.back_level_sd), rng.normal(0, settings.back_square_sd)
    out = []
    for foot in (0.0, made.opening.width):
        for y in np.arange(100.0, made.opening.height - 50, 150.0):
            z = -np.array(DEEP_MM)
            out.append(np.column_stack([foot + flare * z, y + fall * z, z]))
    return out
