"""Where an edge runs, to about a pixel, from a rough line: the line whose two sides differ in colour all along."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from vision.geometry.strips import Strip

Array = NDArray[np.float64]


CLEAR_STEP = 0.03
"""of full range; a step of this size counts half, so that an edge is followed through changing contrast"""


SAME_SURFACE = 0.5
"""share of its score that a border keeps beyond which the same surface goes on, as beside a joint"""


RIVAL_SHARE, RIVAL_PX = 0.55, 6.0
"""share of the best course's score, and px at 12 MP of distance, from which another course is told as a rival"""


ONE_PAIR = 0.25
"""share of a course's score that its steps earn only by pointing the same way all along: a course that changes from one border of
a trim to the other has a step everywhere, but not of one pair of surfaces (0.1 to 0.3 do the same)"""


FAINTEST = 0.1
"""score under which nothing stands out"""


MOST_MOVED_PX = 6.0
"""px; how far a course may be moved to where it is clearest"""
MOST_COURSES, LEAST_COURSE = 6, 0.5
"""courses that are followed to where they are clearest, and the share of the best one's score that another needs for it"""


@dataclass(frozen=True)
class Rival:
    """Another course that is nearly as clear: where it runs beside the best, px per scan line, and its share of its score."""

    away: Array
    share: float

    @property
    def apart_px(self) -> float:
        """How far the two are apart on average."""
        return float(np.mean(np.abs(self.away)))


@dataclass(frozen=True)
class Course:
    """Where an edge runs: one position per scan line; its clearest rival, None where there is none; and where all other courses
    that were followed run beside it (px per scan line), the clearest first, with the shares they have of its score."""

    curve: Array
    rival: Rival | None = None
    others: tuple[Array, ...] = ()
    shares: tuple[float, ...] = ()


def band_profiles(strip: Strip, curve: Array, lines: tuple[int, int], blocks: int, reach: int) -> tuple[Array, Array]:
    """Mean sRGB colour (0 to 1) per block and whole-pixel distance from `curve`: shape (blocks, 2 reach + 1, 3), and centres.

    Samples outside the strip are NaN.
    """
    k = np.arange(lines[0], lines[1])
    base = np.round(curve[k]).astype(np.int64)
    column = base[:, None] + np.arange(-reach, reach + 1)[None, :] - strip.first[k][:, None]
    inside = (column >= 0) & (column < strip.pixels.shape[1])
    values = strip.pixels[k[:, None], np.clip(column, 0, strip.pixels.shape[1] - 1)] / 255.0
    values[~inside] = np.nan
    which = np.minimum((np.arange(len(k)) * blocks) // len(k), blocks - 1)
    starts = np.searchsorted(which, np.arange(blocks))
    sums = np.add.reduceat(values, starts, axis=0)
    counts = np.diff(np.append(starts, len(k)))
    return sums / counts[:, None, None], np.add.reduceat(k, starts) / counts


def locate_edge(
    strip: Strip,
    rough: Array,
    extent: tuple[float, float],
    *,
    search_px: float,
    sag_px: float,
    box_px: int,
    surfaces: bool = False,
    hold: bool = False,
) -> Array | None:
    """The edge as one position per scan line, or None where no line within the search stands out; see `locate_course`."""
    course = locate_course(strip, rough, extent, search_px=search_px, sag_px=sag_px, box_px=box_px, surfaces=surfaces, hold=hold)
    return None if course is None else course.curve


def locate_course(
    strip: Strip,
    rough: Array,
    extent: tuple[float, float],
    *,
    search_px: float,
    sag_px: float,
    box_px: int,
    surfaces: bool = False,
    apart_px: float = np.inf,
    hold: bool = False,
) -> Course | None:
    """The edge's course with its rival, if another lies `apart_px` or more away; None where no line stands out.

    `rough`: one position a scan line; the ends may move by `search_px`, the middle by `sag_px` beside the chord. Each end and
    the sag are tried on a grid; each tenth or so of the line scores by the length of its mean colour difference between boxes of
    `box_px` on either side, saturating, so that one long edge beats short strong lines, whatever its contrast does on the way.
    `surfaces`: the edge divides two surfaces, so a joint, which has the same on either side, counts less. `hold`: the ends stay
    within `search_px`, and the middle within `sag_px`, also while a course is followed to where it is clearest.
    """
    a, b = sorted(extent)
    inset = 0.03 * (b - a)
    lines = (max(int(a + inset), 0), min(int(b - inset) + 1, strip.lines))
    if lines[1] - lines[0] < 6:
        return None
    blocks = int(np.clip((lines[1] - lines[0]) // 8, 4, 64))
    gap = box_px - 1 if surfaces else 0
    reach = int(np.ceil(search_px + sag_px)) + box_px + gap + 1
    mean, centre = band_profiles(strip, rough, lines, blocks, reach)
    difference = box_difference(mean, box_px)
    beyond = box_difference(mean, box_px, gap) if gap else None
    along = 2 * (centre - a) / (b - a) - 1
    step = max(search_px / 12, 1.0)
    ends: Array = np.arange(-search_px, search_px + 0.5 * step, step)
    sags: Array = np.arange(-sag_px, sag_px + 0.5 * step, step) if sag_px >= step else np.zeros(1)
    scored = _scores(difference, along, (ends, ends), sags, search_px, beyond=beyond)
    sharp = box_difference(mean, max(box_px // 2, 2))
    most = (search_px, sag_px) if hold else (np.inf, np.inf)
    starts, found = _courses(scored, (sharp, along), apart_px, bent=len(sags) > 1, most=most)
    chances = [_at(difference, along, one, search_px, beyond=beyond) for one in found]
    best = int(np.argmax(chances))
    if not np.isfinite(starts[best][3]) or starts[best][3] < FAINTEST:
        return None
    other = _rival(found, chances, apart_px)
    guess = max((one for one in found if abs(_middle(one) - _middle(found[best])) < 0.5 * apart_px), key=lambda one: one[3])
    t = np.asarray(2 * (np.arange(strip.lines) - a) / (b - a) - 1, dtype=np.float64)
    curve = shifted_along(guess, t)
    rival = None if other is None else Rival(shifted_along(other[1], t) - curve, other[0] / chances[best])
    whole = chances[best]  # 0 where the best one has moved beyond the search
    rest = [(one, c / whole if whole > 0 else 1.0) for one, c in zip(found, chances, strict=True) if one is not guess]
    others = sorted(rest, key=lambda one: -one[0][3])
    shares = tuple(share for _, share in others)
    return Course(rough + curve, rival, tuple(shifted_along(one, t) - curve for one, _ in others), shares)


def shifted_along(course: Guess, t: Array) -> Array:
    """Shift (px) of a course at places t, -1 to 1 along the edge."""
    a, b, sag, _ = course
    return np.asarray(0.5 * (1 - t) * a + 0.5 * (1 + t) * b + (1 - t * t) * sag)


def box_difference(mean: Array, box: int, gap: int = 0) -> Array:
    """Right box less left box, `gap` px away, for an edge at each whole-pixel distance; shape (blocks, distances, 3)."""
    filled = np.nan_to_num(mean, nan=0.0)
    total = np.concatenate([np.zeros_like(filled[:, :1]), np.cumsum(filled, axis=1)], axis=1)
    n = filled.shape[1]
    at = np.arange(box + gap, n - box - gap)
    right = (total[:, at + gap + box + 1] - total[:, at + gap + 1]) / box
    left = (total[:, at - gap] - total[:, at - gap - box]) / box
    missing = np.isnan(mean[..., 0])
    absent = np.concatenate([np.zeros_like(missing[:, :1], dtype=np.int64), np.cumsum(missing, axis=1)], axis=1)
    out = right - left
    out[(absent[:, at + gap + box + 1] - absent[:, at - gap - box]) > 0] = np.nan
    return np.asarray(out)


Scored = tuple[Array, Array, Array, Array]
"""Shifts of both ends and sags of all courses on a grid, and their scores, each (n,)"""
Guess = tuple[float, float, float, float]
"""Shifts of both ends, sag (px) and score of one course"""


def _scores(
    difference: Array, along: Array, ends: tuple[Array, Array], sags: Array, reach: float, *, beyond: Array | None = None
) -> Scored:
    """Every course of a grid with its score; `beyond` are differences further apart, where surfaces count."""
    A, B, S = (x.ravel() for x in np.meshgrid(*ends, sags, indexing="ij"))
    shift = A[:, None] * (1 - along) / 2 + B[:, None] * (1 + along) / 2 + S[:, None] * (1 - along**2)
    size, seen = followed(difference, shift)
    if beyond is not None:
        size = size * (SAME_SURFACE + (1 - SAME_SURFACE) * followed(beyond, shift)[0])
    score = size.mean(axis=1)
    score *= np.sqrt(_plausible(A, reach) * _plausible(B, reach))
    score[seen < 0.6] = -np.inf
    return A, B, S, np.asarray(score)


def _highest(scored: Scored) -> Guess:
    """The best course of a grid."""
    best = int(np.argmax(scored[3]))
    A, B, S, score = (float(x[best]) for x in scored)
    return A, B, S, score


def _middle(course: Guess) -> float:
    """Shift (px) of a course on average."""
    a, b, sag, _ = course
    return (a + b) / 2 + sag * 2 / 3


def _courses(
    scored: Scored, steps: tuple[Array, Array], apart_px: float, *, bent: bool, most: tuple[float, float]
) -> tuple[list[Guess], list[Guess]]:
    """The best courses of a grid, best first, and where each is clearest; none starts on average within half of `apart_px` of
    another start, or three quarters of it of where one was found. `steps`: narrow steps and where along the edge they are."""
    A, B, S, score = scored
    middle, left, least = (A + B) / 2 + S * 2 / 3, score.copy(), LEAST_COURSE * float(score.max())
    starts: list[Guess] = []
    found: list[Guess] = []
    while not starts or (len(starts) < MOST_COURSES and float(left.max()) > max(least, 0.0)):
        best = int(np.argmax(left))
        starts.append((float(A[best]), float(B[best]), float(S[best]), float(score[best])))
        found.append(
            clearest(
                *steps, starts[-1], MOST_MOVED_PX if np.isfinite(most[0]) else min(apart_px, MOST_MOVED_PX), bent=bent, most=most
            )
        )
        for at, near in ((middle[best], 0.5 * apart_px), (_middle(found[-1]), 0.75 * apart_px)):
            left[np.abs(middle - at) < near] = -np.inf
    return starts, found


def clearest(sharp: Array, along: Array, start: Guess, near_px: float, *, bent: bool, most: tuple[float, float]) -> Guess:
    """The course within `near_px` of `start` along which a narrow step is clearest, to a quarter of a pixel; ends and sag at
    `most` (px)."""
    guess = start
    for reach_px, fine in ((near_px, 1.0), (1.0, 0.25)):
        near = np.asarray(np.arange(-reach_px, reach_px + fine / 2, fine), dtype=np.float64)
        middle = guess[2] + (near[:: max(len(near) // 5, 1)] if bent else np.zeros(1))
        first, second = (np.unique(np.clip(end + near, -most[0], most[0])) for end in guess[:2])
        guess = _highest(_scores(sharp, along, (first, second), np.unique(np.clip(middle, -most[1], most[1])), np.inf))
    return guess


def _at(difference: Array, along: Array, course: Guess, reach: float, *, beyond: Array | None) -> float:
    """The score of one course where rough ends lie within `reach` px."""
    ends = (np.array(course[:1]), np.array(course[1:2]))
    return float(_scores(difference, along, ends, np.array(course[2:3]), reach, beyond=beyond)[3][0])


def _rival(found: Sequence[Guess], chances: Sequence[float], apart_px: float) -> tuple[float, Guess] | None:
    """The best other course that is nearly as good, and so far away on average, with its score."""
    best, middle = int(np.argmax(chances)), [_middle(one) for one in found]
    far = [
        (chance, one)
        for chance, one, at in zip(chances, found, middle, strict=True)
        if abs(at - middle[best]) >= apart_px and chance >= RIVAL_SHARE * chances[best] > 0
    ]
    return max(far, key=lambda f: f[0], default=None)


def followed(difference: Array, shift: Array) -> tuple[Array, Array]:
    """Saturated sizes (n, groups) of mean differences along each of n courses (n, blocks) px, and the share that is seen (n,)."""
    blocks, n = shift.shape[1], difference.shape[1]
    seen = np.isfinite(difference[..., :1])
    table = np.concatenate([np.where(seen, difference, 0.0), seen], axis=2).reshape(-1, 4)  # what is not seen adds nothing
    index = np.clip(np.round(shift.T + n // 2).astype(np.int64), 0, n - 1) + (np.arange(blocks) * n)[:, None]
    groups = max(min(blocks // 4, 12), 1)
    bounds = (np.arange(groups + 1) * blocks) // groups
    sums = np.stack([table.take(index[i:j], axis=0).sum(axis=0) for i, j in pairwise(bounds)], axis=1)
    step = sums[..., :3] / np.maximum(sums[..., 3:], 1)
    size = np.sqrt(np.sum(step**2, axis=2, keepdims=True))
    clear = step / (size + CLEAR_STEP)  # one pair of surfaces all along: the steps point the same way
    alone = np.asarray(size / (size + CLEAR_STEP))[..., 0]
    together = np.sqrt(np.sum(clear.mean(axis=1) ** 2, axis=1)) / np.maximum(alone.mean(axis=1), 1e-9)
    return alone * (1 - ONE_PAIR + ONE_PAIR * together)[:, None], np.asarray(sums[..., 3].sum(axis=1) / blocks)


def _plausible(shift: Array, reach: float) -> Array:
    """How likely an end lies this far off where rough points lie anywhere in a disc of that radius: its marginal, 1 at 0."""
    return np.asarray(np.sqrt(np.clip(1 - (shift / reach) ** 2, 0.0, 1.0)))
