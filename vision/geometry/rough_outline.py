"""The opening's edges to about a pixel, from strips round rough corners: where they run, their rivals, their corners."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vision.geometry.camera import CameraPrior
from vision.geometry.lens import STRAIGHT_K1, bent, bent_prior, straightened
from vision.geometry.locate import RIVAL_PX, Course, Rival, locate_course
from vision.geometry.reach import corner_box_px, corner_reach_px, usual_reach_px
from vision.geometry.start import PlaneView, camera_of, view_of_rectangle
from vision.geometry.strips import Strip, take_strip
from vision.settings import EdgeSettings

Array = NDArray[np.float64]
OUTLINE_CORNERS = {"left": (0, 3), "right": (1, 2), "curb": (0, 1), "head": (3, 2)}
"""corner numbers of each edge, in the direction of growing curve parameter"""
RoughEdges = dict[str, tuple[Array, tuple[float, float]]]
"""By outline edge: positions per scan line and the extent of the whole edge"""


@dataclass(frozen=True)
class Marks:
    """Rough corners (4, 2) px of the opening with a strip round each edge, in a photo of this `scale` and camera.

    `within_px`: how well the corners are said to be marked, None where nothing is said.
    """

    corners_px: Array
    strips: Mapping[str, Strip]
    scale: float
    prior: CameraPrior
    within_px: float | None


def outline_strips(pixels: NDArray[np.uint8], corners_px: Array, half: int, *, has_head: bool) -> dict[str, Strip]:
    """A strip round each edge of the opening, +-`half` px wide and as much longer at either end."""
    edges = {n: corners_px[list(pair)] for n, pair in OUTLINE_CORNERS.items() if has_head or n != "head"}
    return {n: take_strip(pixels, ends[0], ends[1], half, half) for n, ends in edges.items()}


def rough_outline(marks: Marks, settings: EdgeSettings) -> tuple[RoughEdges, dict[str, Rival]]:
    """Each outline edge to about a pixel (positions per scan line) with its extent, those not found absent; and rivals."""
    return curves_and_rivals(rough_courses(marks, settings))


def curves_and_rivals(courses: Mapping[str, tuple[Course, tuple[float, float]]]) -> tuple[RoughEdges, dict[str, Rival]]:
    """Where the courses run, and the rivals of those that have one."""
    rivals = {n: course.rival for n, (course, _) in courses.items() if course.rival is not None}
    return {n: (course.curve, extent) for n, (course, extent) in courses.items()}, rivals


def rough_courses(marks: Marks, settings: EdgeSettings) -> dict[str, tuple[Course, tuple[float, float]]]:
    """The course of each outline edge with the edge's extent, those not found absent."""
    out = {}
    reach = corner_reach_px(marks.scale, marks.within_px, settings)
    sag = max(3.0 * marks.scale, 1.0) if marks.prior.k1_sd <= STRAIGHT_K1 else usual_reach_px(marks.scale, settings)
    apart = RIVAL_PX * max(marks.scale, 0.5)
    box, surfaces = corner_box_px(marks.scale, marks.within_px)
    for name, strip in marks.strips.items():
        ends = marks.corners_px[list(OUTLINE_CORNERS[name])]
        extent = strip.extent(ends[0], ends[1])
        found = locate_course(
            strip,
            strip.of_polyline(ends),
            extent,
            search_px=reach,
            sag_px=sag,
            box_px=box,
            surfaces=surfaces,
            apart_px=apart,
            hold=marks.within_px is not None,
        )
        if found is not None:
            out[name] = (found, extent)
    return out


def refined_corners(curves: RoughEdges, marks: Marks) -> Array:
    """Intersections of the located edges (straight lines through their ends), the rough corner where one is missing."""
    lines, camera = {}, camera_of(marks.prior)
    for name, (curve, extent) in curves.items():
        strip = marks.strips[name]
        k = np.clip(np.round(np.linspace(min(extent), max(extent), 9)[1:-1]).astype(int), 0, strip.lines - 1)
        points = straightened(strip.to_photo(k.astype(np.float64), curve[k]), camera)
        lines[name] = np.array([points[0], points[-1]])
    out = straightened(marks.corners_px.astype(np.float64), camera)
    for corner, (a, b) in enumerate((("left", "curb"), ("right", "curb"), ("right", "head"), ("left", "head"))):
        if a in lines and b in lines:
            p, d = lines[a][0], lines[a][1] - lines[a][0]
            q, e = lines[b][0], lines[b][1] - lines[b][0]
            M = np.column_stack([d, -e])
            if abs(np.linalg.det(M)) > 1e-6:
                out[corner] = p + d * np.linalg.solve(M, q - p)[0]
        elif a in lines and "head" not in lines and corner in (2, 3):
            p, d = lines[a][0], lines[a][1] - lines[a][0]
            out[corner] = p + d * ((out[corner] - p) @ d) / (d @ d)
    return bent(out, camera)


def located_view(marks: Marks, settings: EdgeSettings, *, has_head: bool) -> tuple[PlaneView, Array]:
    """A first view by the edges as located rather than as marked, and their corners (4, 2) px."""
    corners = refined_corners(rough_outline(marks, settings)[0], marks)
    return view_of_rectangle(corners, marks.prior, has_head=has_head), corners


def bent_by(marks: Marks, settings: EdgeSettings) -> CameraPrior:
    """The camera as known beforehand, with the lens's bend where it may be a wide one and the located edges show it."""
    if marks.prior.k1 or marks.prior.k1_sd <= STRAIGHT_K1:
        return marks.prior
    return bent_prior(marks.prior, rough_outline(marks, settings)[0], marks.strips, marks.scale)
