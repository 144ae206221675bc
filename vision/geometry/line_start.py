"""Levels and joints on their way into the adjustment: where they start, what is known of them, and their imaged edges."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from vision.errors import Finding
from vision.geometry.adjustment import Solution
from vision.geometry.line_model import CENTRE, DEPTH, LENGTH, LONG_SIDE, SLOPE
from vision.geometry.lines import ACROSS_MM, CLEAR_OF_CORNER, PARTS, SeenLine, level_depth
from vision.geometry.model import Layout
from vision.geometry.priors import LOOSE, EdgeObservation, Prior
from vision.geometry.seen import SeenPhoto
from vision.settings import CueSettings, Settings

if TYPE_CHECKING:
    from vision.geometry.assemble import Assembly

Array = NDArray[np.float64]
ODD_LENGTH = 3.5
"""standard deviations of a level's stated length against all other evidence; one in two thousand by chance"""


def first_line(line: SeenLine, plane: Array, settings: CueSettings) -> Array:
    """A line's five unknowns from its rough ends (2, 2) on the plane, mm."""
    a, b = plane[:, ::-1] if line.facts.lying else plane
    slope = float((b[0] - a[0]) / (b[1] - a[1]))
    depth = level_depth(line.facts, settings)[0] if line.facts.kind == "level" else 0.0
    length = line.facts.length_mm or float(abs(b[1] - a[1]))
    return np.array([a[0] - slope * a[1], slope, (a[1] + b[1]) / 2, length, depth])


def first_joint(plane: Array, eye: Array, foot_x: float) -> Array:
    """A side wall's joint from its rough ends (2, 2) on the plane as seen from `eye` (3,), mm: the wall taken square, at this x.

    Its height on the arris and its slope back; the depths of its two ends stand where other lines have centre and length.
    """
    share = (foot_x - eye[0]) / (plane[:, 0] - eye[0])
    depth, y = eye[2] * (share - 1), eye[1] + share * (plane[:, 1] - eye[1])
    slope = float((y[1] - y[0]) / (depth[1] - depth[0]))
    return np.array([y[0] - slope * depth[0], slope, depth[0], depth[1], 0.0])


def line_observations(line: SeenLine, number: int, photo: int, row: Array) -> list[EdgeObservation]:
    """The imaged edges of one line: its long side, and the ends of a level that has a length."""
    if line.facts.kind == "back":
        return [EdgeObservation(("line", number, LONG_SIDE), photo, line.points, (row[CENTRE], row[LENGTH]))]
    half = float(row[LENGTH]) / 2
    out = [EdgeObservation(("line", number, LONG_SIDE), photo, line.points, (row[CENTRE] - half, row[CENTRE] + half))]
    if line.measures:
        side = 1.0 if _ends_right(line) else -1.0
        ends = (side * CLEAR_OF_CORNER * ACROSS_MM, side * ACROSS_MM)
        out += [
            EdgeObservation(("line", number, part), photo, points, ends)
            for part, points in zip(PARTS, line.ends, strict=True)
            if points is not None
        ]
    return out


def _ends_right(line: SeenLine) -> bool:
    """Whether a level's body lies on the side of growing curve parameter of its ends: right of it, or below if it lies."""
    a, b = line.facts.ends_px
    points = line.ends[0].points_px if line.ends[0] is not None else line.facts.ends_px
    d, off = b - a, points.mean(axis=0) - a
    cross = d[0] * off[1] - d[1] * off[0]  # pixels: y runs down, so + is right of a line that runs up
    return bool(cross > 0)


def line_priors(layout: Layout, photos: Sequence[SeenPhoto], start: Array, settings: Settings) -> list[Prior]:
    """Length and depth of levels, the slope of joints that run back; loose ones for what is not observed."""
    out = []
    lines = [line for photo in photos for line in photo.lines]
    for s, line, row in zip(layout.lines, lines, start, strict=True):
        at = s.start
        if line.measures and line.facts.length_mm is not None:
            sd = line.facts.length_sd_mm or settings.cues.level_length_sd_mm
            out.append(Prior((at + LENGTH,), (1.0,), line.facts.length_mm, sd, "level length"))
        else:
            out += [Prior((at + k,), (1.0,), float(row[k]), LOOSE, "unused") for k in (CENTRE, LENGTH)]
        depth, sd = level_depth(line.facts, settings.cues) if line.facts.kind == "level" else (0.0, LOOSE)
        if line.facts.kind == "back":
            out.append(Prior((at + SLOPE,), (1.0,), 0.0, settings.depth.joint_level_sd, "side walls"))
        out.append(Prior((at + DEPTH,), (1.0,), depth, sd, "level plane"))
    return out


def lines_not_seen(photos: Sequence[SeenPhoto]) -> list[Finding]:
    """Marked levels and joints that cannot be followed, and levels whose stated length takes no part."""
    out = []
    for photo in photos:
        if len(photo.lines) < len(photo.look.lines):
            fact = f"A level or joint was marked in {photo.look.name}, but no edge or line can be followed there."
            out.append(Finding("edge-hidden", fact, "Mark two points on it again, further apart, or leave it out."))
        if any(line.facts.length_mm is not None and not line.measures for line in photo.lines):
            fact = f"The ends of a level in {photo.look.name} cannot be told from what is behind them; its length takes no part."
            out.append(Finding("edge-hidden", fact, "Mark both corners of one long side, or leave out the length."))
    return out


def set_odd_lengths_aside(
    photos: Sequence[SeenPhoto], assembly: Assembly, solution: Solution, again: Callable[[Sequence[SeenPhoto]], Assembly]
) -> tuple[list[SeenPhoto], Assembly, Solution, list[Finding]]:
    """A level whose stated length contradicts the cards stays a vertical but is no reference, and is a finding."""
    scores = _length_scores(solution)
    odd = {number: score for number, score in scores.items() if abs(score) > ODD_LENGTH}
    if not odd:
        return list(photos), assembly, solution, []
    kept, number = [], 0
    for photo in photos:
        lines = [replace(line, ends=(None, None)) if number + i in odd else line for i, line in enumerate(photo.lines)]
        number += len(photo.lines)
        kept.append(replace(photo, lines=tuple(lines)))
    worst = max(odd.values(), key=abs)
    fact = f"The stated length of a level contradicts the cards ({abs(worst):.1f} standard deviations); it takes no part."
    remedy = "Check the level's length, how far behind or before the opening it stands, and the kinds of card."
    assembly = again(kept)
    solution = assembly.problem.solve(assembly.start, assembly.camera_priors)
    return kept, assembly, solution, [Finding("cards-disagree", fact, remedy)]


def _length_scores(solution: Solution) -> dict[int, float]:
    """By a level's number among the lines: how many sd its stated length is off all other evidence."""
    first = solution.rows_by_edge[-1].stop if solution.rows_by_edge else 0
    rows = [i for i, prior in enumerate(solution.priors) if prior.source == "level length"]
    if not rows:
        return {}
    J, covariance = solution.J[first:][rows], solution.inverse()
    redundancy = np.maximum(1 - np.einsum("ij,jk,ik->i", J, covariance, J), 1e-9)
    starts = [s.start + LENGTH for s in solution.layout.lines]
    scores = solution.residuals[first:][rows] / np.sqrt(redundancy)
    return {starts.index(solution.priors[i].columns[0]): float(v) for i, v in zip(rows, scores, strict=True)}
