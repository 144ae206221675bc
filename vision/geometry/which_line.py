"""Which of the lines beside one another is the opening's edge: how clear each is, how near the marks, what it looks like.

Where several lines may be the edge each has its odds: by the score of its course, by how far its ends lie from rough corners, by
what parallax says of trims and side walls, and by what the network sees along it (`arris_sight.py`). The edge is taken where the
lines lie on average of these odds, and is as uncertain as they leave it: half the distance of two that are as likely, little
where one is. The weights were fitted to three draws of the corners of 136 rooms of four authors, each seen by a network that had
been shown neither him nor another one (1 632 edges): of 486 with a doubt the edge is 3.3 px off (rms, median 1.2) and 4.3 are
stated, where the middle and the marks were 5 px off with 8 stated; each author by himself 0.83 to 0.93 of what it says.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vision.geometry.arris_sight import COLUMNS, HALF, OWN, UNIT_PX, Sight
from vision.geometry.locate import Course
from vision.geometry.parallax import Told
from vision.geometry.strips import Strip

Array = NDArray[np.float64]
SEEN, CLEAR, NEAR, BY_PARALLAX = 1.16, 1.25, 1.31, 2.16
"""weights in the logarithm of a line's odds: of its mean support, of the logarithm of its score's share, of the logarithm of how
likely rough corners lie so far from its ends, and of being what parallax tells"""
NOT_SEEN = 0.03
"""least share that counts: a picture unlike those that the network was shown may lead it astray (0.01 and 0.06 do as well)"""
FAINTEST = 0.05
"""least share of the best score that counts"""
FAR_MARK = 0.01
"""how likely rough corners lie further off than they may, against right on the line"""
ONE_LINE = 0.8
"""columns; lines that are nearer to each other on average are one"""
APART = 2.0
"""columns; lines that are nearer to each other are told as one"""
OWN_LINE = 1.6
"""columns; the network's own line counts where no other is as near"""
GRID: Array = np.arange(-10.0, 10.01, 0.5)
"""columns at both ends of lines that are tried for the network's own one"""
ROWS_COUNT = 3.0
"""independent rows of a window, when its own line is sought (all say much the same)"""
SURE = 0.9
"""odds of a line from which others are not spoken of"""
UNLIKELY, TAIL = 0.004, 2.5
"""odds from which a line is still kept within so many sds of where the edge is taken: a normal law has no second hump"""


@dataclass(frozen=True)
class Taken:
    """Where an edge is taken: `shift` (px per scan line) beside the course that was followed, give or take `doubt_px`.

    `likeliest`: the shift of the likeliest line itself; `odds`: its share of the odds; `apart_px`: how far off the likeliest
    other line is, 0 where there is none; `as_followed_px`: how doubtful the edge is where it was followed.
    """

    shift: Array
    doubt_px: float
    likeliest: Array
    odds: float
    apart_px: float
    as_followed_px: float


def taken(course: Course, told: Told | None, strip: Strip, sight: Sight, *, scale: float, within_px: float) -> Taken:
    """The edge of which this course was followed.

    `course` with all lines beside it; `told`: what parallax says of it; `scale` of the photo; `within_px`: how far its rough
    corners may be off.
    """
    away, shares, lines = _lines(course, strip, sight)
    px = UNIT_PX * scale
    own = own_line(sight, px / within_px)
    if np.abs(lines - own).max(axis=1).min() >= OWN_LINE:
        away.append(strip.of_polyline(sight.points(own)) - course.curve)
        shares.append(1.0)
        lines = np.vstack([lines, own])
    by_parallax = np.zeros(len(lines)) if told is None else [float(np.abs(a - told.shift).mean() < ONE_LINE * px) for a in away]
    value = (
        SEEN * sight.support(lines, floor=NOT_SEEN)
        + CLEAR * np.log(np.maximum(shares, FAINTEST))
        + BY_PARALLAX * np.array(by_parallax)
    )
    value += NEAR * _of_marks(lines, px / within_px).sum(axis=1)
    odds = np.exp(value - value.max())
    odds /= odds.sum()
    place = lines.mean(axis=1)
    together = np.array([odds[np.abs(place - one) < ONE_LINE].sum() for one in place])
    best = int(np.argmax(np.where(np.abs(place - place[np.argmax(together)]) < ONE_LINE, odds, 0.0)))
    mean = float(odds @ place)
    others = np.where(np.abs(place - place[best]) < APART, 0.0, odds)
    apart = float(abs(place[np.argmax(others)] - place[best])) if others.max() > UNLIKELY else 0.0
    shift = np.asarray(np.einsum("k,kn->n", odds, np.array(away)))
    doubt, as_followed = (_doubt(odds, place - about) * px for about in (mean, place[0]))
    return Taken(shift, doubt, away[best], float(together[best]), apart * px, as_followed)


def _doubt(odds: Array, off: Array) -> float:
    """sd of an edge taken at 0 where lines lie `off` from it."""
    return max(float(np.sqrt(odds @ off**2)), float(np.abs(off)[odds > UNLIKELY].max()) / TAIL)


def _lines(course: Course, strip: Strip, sight: Sight) -> tuple[list[Array], list[float], Array]:
    """The line that was followed and the others, each once: how far beside it (px per scan line), shares, and columns (n, 2)."""
    away: list[Array] = []
    shares: list[float] = []
    lines = np.zeros((0, 2))
    every = [np.zeros_like(course.curve), *course.others]
    for one, share in zip(every, (1.0, *(course.shares or (1.0,) * len(course.others))), strict=True):
        line = sight.columns(_ends(strip, sight, course.curve + one))
        if not np.any(np.abs(lines - line).max(axis=1) < ONE_LINE):
            away.append(one)
            shares.append(share)
            lines = np.vstack([lines, line])
    return away, shares, lines


def own_line(sight: Sight, per_column: float) -> Array:
    """The network's own likeliest line, columns (2,) inside at both ends.

    `per_column`: the width of a column over how far marks may be off.
    """
    first, last = (one.ravel() for one in np.meshgrid(GRID, GRID, indexing="ij"))
    log = np.log(sight.shares[OWN, :COLUMNS] + 1e-4)
    rows = np.arange(len(log))
    along = np.linspace(0.0, 1.0, len(log))
    at = first[:, None] * (1 - along) + last[:, None] * along + HALF
    low = np.floor(at).astype(np.int64)
    support = (log[rows, low] * (1 - at + low) + log[rows, low + 1] * (at - low)).mean(axis=1)
    best = int(np.argmax(ROWS_COUNT * support + _of_marks(first, per_column) + _of_marks(last, per_column)))
    return np.array([first[best], last[best]])


def _of_marks(columns: Array, per_column: float) -> Array:
    """Logarithm of how likely a mark anywhere in a disc lies so far from a line."""
    return np.asarray(0.5 * np.log(np.clip(1 - (columns * per_column) ** 2, FAR_MARK, 1.0)))


def _ends(strip: Strip, sight: Sight, curve: Array) -> Array:
    """Points (2, 2) px of the photo near the ends of a curve (a position per scan line)."""
    low, high = sorted(strip.extent(sight.ends[0], sight.ends[1]))
    inset = 0.03 * (high - low)
    k = np.clip(np.round([low + inset, high - inset]).astype(int), 0, strip.lines - 1)
    return strip.to_photo(k.astype(np.float64), curve[k])


def by_edge(
    courses: Mapping[str, tuple[Course, tuple[float, float]]],
    told: Mapping[str, Told],
    strips: Mapping[str, Strip],
    sights: Mapping[str, Sight],
    *,
    scale: float,
    within_px: float,
) -> dict[str, Taken]:
    """`taken` of every edge that was followed and seen by the network."""
    return {
        n: taken(c, told.get(n), strips[n], sights[n], scale=scale, within_px=within_px)
        for n, (c, _) in courses.items()
        if n in sights
    }
