"""Cues on the camera's tilt and focal length that are no measure: joints of the face, and lines that run back.

Each cue is a tilt in degrees that an untrue camera leaves in what it sees: joints that fan out, equal spacings that crowd at one
end, lines that run back to another point than the face's normal. It should be zero, with a stated sd. It is held against the
adjusted camera, with the camera's covariance, and enters the adjustment only where the settings say so.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vision.errors import Finding
from vision.geometry.adjustment import Problem, Solution
from vision.geometry.assemble import Assembly
from vision.geometry.back_lines import back_cues
from vision.geometry.camera import Camera
from vision.geometry.joints import Family, Fitted, crowding, families, fan, fit_joints, grid_numbers
from vision.geometry.priors import Prior
from vision.geometry.seen import SeenPhoto
from vision.settings_joints import JointSettings

Array = NDArray[np.float64]
Tilts = Callable[[Camera], list[tuple[float, float]]]
STEPS = np.array([1e-4] * 3 + [1.0] * 3 + [1e-3] + [2.0] * 2 + [1e-3] * 2)
"""of the eleven camera parameters (rad, mm, relative, px, radial terms), over which a cue is as good as linear"""
WORDS = {
    "upright fan": "upright joints of the wall face fan out",
    "level fan": "level joints of the wall face fan out",
    "upright spacing": "the spacing of upright joints changes from one side to the other",
    "level spacing": "the spacing of level joints changes from bottom to top",
    "back level": "lines that run back on the side walls rise or fall",
    "back square": "lines that run back on the side walls stand askew to the face",
}


@dataclass(frozen=True)
class Cue:
    """One cue of photo `photo` (index): tilt and its own sd in degrees, and how it moves with the camera's parameters (11,)."""

    name: str
    photo: int
    tilt_deg: float
    sd_deg: float
    by_camera: Array

    def score(self, solution: Solution, covariance: Array) -> float:
        """The tilt over the sd of cue and camera together; `covariance` of all parameters of the solution."""
        s = solution.layout.cameras[self.photo]
        return self.tilt_deg / math.hypot(self.sd_deg, math.sqrt(float(self.by_camera @ covariance[s, s] @ self.by_camera)))


def cues_of(photos: Sequence[SeenPhoto], solution: Solution, settings: JointSettings) -> list[Cue]:
    """All cues of all photos, seen through the adjusted cameras."""
    out: list[Cue] = []
    for i, photo in enumerate(photos):
        if photo.look.segments is not None:
            camera, scale = solution.state.cameras[i], photo.look.scale
            out += cues_in(i, photo.look.segments, camera, solution.state.opening, scale=scale, settings=settings)
    return out


def cues_in(
    photo: int, segments_px: Array, camera: Camera, opening: Array, *, scale: float, settings: JointSettings
) -> list[Cue]:
    """Cues of one photo (index) from segments (n, 2, 2) px, seen through `camera` onto the face of `opening` (13,)."""
    out = []
    for family in families(segments_px, camera, opening, settings):
        out += _by_camera(photo, _family_names(family), _family_tilts(family, camera, scale, settings), camera)
    back = back_cues(segments_px, camera, opening, scale, settings)
    if back is not None:
        out += _by_camera(photo, ("back level", "back square"), back, camera)
    return out


def _family_names(family: Family) -> tuple[str, str]:
    word = ("upright", "level")[family.axis]
    return f"{word} fan", f"{word} spacing"


def _family_tilts(family: Family, camera: Camera, scale: float, settings: JointSettings) -> Tilts:
    """Tilts (rad) and sds of fan and spacing as functions of the camera; an sd of infinity where there is none."""
    common = math.radians(settings.common_sd_deg)

    def fitted(seen_by: Camera) -> tuple[Fitted, float]:
        distance = abs(float(seen_by.R[:, 2] @ seen_by.t))
        return fit_joints(family, seen_by, settings.point_px * scale * distance / seen_by.f), distance

    number = grid_numbers(fitted(camera)[0], settings.least_period_mm)

    def tilts(seen_by: Camera) -> list[tuple[float, float]]:
        of, distance = fitted(seen_by)
        found = [fan(of, settings.own_slope_sd)]
        found += [] if number is None else [crowding(of, number, settings.own_place_sd_mm)]
        return [
            (t * distance, math.hypot(sd * distance, common) if q < settings.most_scatter else math.inf) for t, sd, q in found
        ]

    return tilts


def _by_camera(i: int, names: Sequence[str], tilts: Tilts, camera: Camera) -> list[Cue]:
    """Cues with their derivatives by differences."""
    here = np.array(tilts(camera))
    slopes = np.array([np.array(tilts(camera.moved(step)))[:, 0] - here[:, 0] for step in np.diag(STEPS)]) / STEPS[:, None]
    return [
        Cue(name, i, math.degrees(tilt), math.degrees(sd), np.degrees(slopes[:, k]))
        for k, (name, (tilt, sd)) in enumerate(zip(names, here, strict=False))
        if math.isfinite(sd)
    ]


def held_against_cues(
    photos: Sequence[SeenPhoto], assembly: Assembly, solution: Solution, settings: JointSettings
) -> tuple[Solution, list[Finding]]:
    """The solution, with the cues where they may enter and do not contradict it, and a finding where they do."""
    if not (settings.held or settings.enter):
        return solution, []
    cues = cues_of(photos, solution, settings)
    said = cue_findings(cues, solution, settings)
    if settings.enter and cues and not said:
        problem = with_cues(assembly, solution, cues)
        solution = problem.solve(solution.state, assembly.camera_priors)
    return solution, said


def cue_findings(cues: Sequence[Cue], solution: Solution, settings: JointSettings) -> list[Finding]:
    """A finding for what contradicts the camera most, beyond the limit."""
    if not cues:
        return []
    covariance = solution.inverse()
    score, cue = max(((c.score(solution, covariance), c) for c in cues), key=lambda held: abs(held[0]))
    if abs(score) <= settings.limit_sd:
        return []
    text = (
        f"As the reference cards have it, {WORDS[cue.name]}, as if the camera were turned by {abs(cue.tilt_deg):.2f} degrees "
        f"more ({abs(score):.1f} standard deviations). A card that is tilted, bent or of another size does that."
    )
    remedy = "Look whether every card lies flat on the wall face and is of the stated kind and size; take the photo again."
    return [Finding("cue-disagrees", text, remedy)]


def with_cues(assembly: Assembly, solution: Solution, cues: Sequence[Cue]) -> Problem:
    """The problem with the cues as observations of the camera, linear about the solution."""
    old = assembly.problem
    at = old.vector(solution.state, assembly.camera_priors)
    added = []
    for cue in cues:
        s = solution.layout.cameras[cue.photo]
        columns = tuple(range(s.start, s.stop))
        target = float(cue.by_camera @ at[s]) - cue.tilt_deg
        added.append(Prior(columns, tuple(map(float, cue.by_camera)), target, cue.sd_deg, f"cue, {cue.name}"))
    return Problem(old.nominal, old.observations, [*old.priors, *added], old.layout, old.held)
