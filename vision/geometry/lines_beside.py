"""Lines that run beside a located edge, also further off than its rough corners may be: borders of trims and linings."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from vision.geometry.locate import Course, Guess, band_profiles, box_difference, clearest, followed, shifted_along
from vision.geometry.strips import Strip

Array = NDArray[np.float64]
BOX_PX, LEAST_BOX_PX = 5.0, 3
"""px at 12 MP, and px; width of the boxes whose colours are compared on either side of a line"""
ASKEW_PX = 4.0
"""px at 12 MP; how much nearer to the edge one end of a line may lie than the other"""
APART_PX = 4.0
"""px at 12 MP from which two lines are two"""
LEAST_SHARE, MOST_LINES = 0.5, 5
"""share of the edge's own score that a line needs, and how many are kept, the clearest first"""


def lines_beside(course: Course, strip: Strip, extent: tuple[float, float], *, reach_px: float, scale: float) -> Course:
    """The course with all other lines within `reach_px` of it that are nearly as clear all along, beside those it has.

    `extent`: scan lines of the edge's ends; `scale` of the photo.
    """
    a, b = sorted(extent)
    inset = 0.03 * (b - a)
    lines = (max(int(a + inset), 0), min(int(b - inset) + 1, strip.lines))
    if lines[1] - lines[0] < 6:
        return course
    blocks = int(np.clip((lines[1] - lines[0]) // 8, 4, 64))
    box = max(round(BOX_PX * scale), LEAST_BOX_PX)
    reach = int(reach_px)
    mean, centre = band_profiles(strip, course.curve, lines, blocks, reach + box + 1)
    difference, along = box_difference(mean, box), np.asarray(2 * (centre - a) / (b - a) - 1)
    sharp = box_difference(mean, max(box // 2, 2))
    t = np.asarray(2 * (np.arange(strip.lines) - a) / (b - a) - 1, dtype=np.float64)
    found = _clearest_first(difference, along, reach, scale)
    moved = [clearest(sharp, along, one, 2.0, bent=False, most=(np.inf, np.inf)) for one, _ in found]
    others, shares = list(course.others), list(course.shares)
    for one, (_, share) in zip(moved, found, strict=True):
        away = shifted_along(one, t)
        if all(np.abs(away - other)[lines[0] : lines[1]].mean() > APART_PX * scale for other in (*others, np.zeros_like(away))):
            others.append(away)
            shares.append(share)
    return Course(course.curve, course.rival, tuple(others), tuple(shares))


def _clearest_first(difference: Array, along: Array, reach: int, scale: float) -> list[tuple[Guess, float]]:
    """Courses beside the one that the differences are taken about, with their share of its score."""
    middle = np.arange(-reach, reach + 1, dtype=np.float64)
    askew = np.linspace(-ASKEW_PX, ASKEW_PX, 5) * scale / 2
    M, T = (x.ravel() for x in np.meshgrid(middle, askew, indexing="ij"))
    size, seen = followed(difference, M[:, None] + T[:, None] * along)
    score = np.where(seen < 0.9, -np.inf, size.mean(axis=1))
    own = float(score[np.abs(M) <= 1].max())
    out: list[tuple[Guess, float]] = []
    score[np.abs(M) < APART_PX * scale] = -np.inf
    while len(out) < MOST_LINES and own > 0 and float(score.max()) >= LEAST_SHARE * own:
        best = int(np.argmax(score))
        guess = (float(M[best] - T[best]), float(M[best] + T[best]), 0.0, float(score[best]))
        out.append((guess, float(score[best]) / own))
        score[np.abs(M - M[best]) < APART_PX * scale] = -np.inf
    return out
