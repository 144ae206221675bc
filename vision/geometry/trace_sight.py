"""What the network sees along the edges of candidate outlines, and beyond their ends (`arris_sight.py`).

Candidates share their edges, and one window tells of all lines near it, so some twenty windows do for forty outlines. What is
seen in them also proposes: the likeliest lines of each window are crossed with one another.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from vision.geometry.arris_sight import ALONG, COLUMNS, FLOOR, INWARD, Reduced, Sight, sights_along
from vision.geometry.rough_outline import OUTLINE_CORNERS

Array = NDArray[np.float64]
NEAR, ENDS_NEAR = 26.0, 0.035
"""columns, and share of its length along it, within which a line is seen in another one's window"""
WIDE = 1.4
"""columns to either side of a line that are the line's"""
BEYOND_END = (0.03, 0.12)
"""shares of the length beyond an end, where no arris should be any more"""


LINES, NEAREST, UNSEEN = 3, 3.0, -4.0
"""of a window: the likeliest lines that are told of, columns at either end from which two are two, and the mean logarithm of
shares under which a line is none"""
SHIFTS, TILTS = np.arange(-30.0, 31.0), np.arange(-8.0, 8.1)
"""columns in the middle, and from end to end, of the lines that are tried"""
ROUND = np.array([(a, b) for a in (-0.5, 0.0, 0.5) for b in (-0.5, 0.0, 0.5)])
CLOSELY = 0.8
"""columns by which a line is then moved at either end, and to either side of it that are its own while it is"""


class Line(NamedTuple):
    """A line that is seen: its points (2, 2) px of the photo and the mean logarithm of its shares."""

    points: Array
    support: float


@dataclass(frozen=True)
class _Seen:
    """Of the lines (n, 2, 2) px of one edge: how well each is seen to be the arris, and to end at either end, (n,) each."""

    support: Array
    first_end: Array
    last_end: Array


class Edges:
    """The photo, and the windows along edges that have been looked at."""

    def __init__(self, picture: Reduced) -> None:
        self._picture = picture
        self._windows: dict[str, list[Sight]] = {name: [] for name in INWARD}

    def lines(self, name: str, rough: Array) -> list[Line]:
        """The likeliest lines along rough ones (n, 2, 2) px of the photo, likeliest first."""
        own = {id(sight): sight for sight in self._of(name, rough)}
        return sorted((line for sight in own.values() for line in _lines(sight)), key=lambda line: -line.support)

    def clues(self, corners: Array, *, has_head: bool) -> dict[str, Array]:
        """Clues (n,) of outlines with corners (n, 4, 2) px of the photo."""
        none = np.zeros(len(corners))
        seen = {n: self._seen(n, corners[:, list(OUTLINE_CORNERS[n])]) for n in INWARD if has_head or n != "head"}
        walls, curb, head = (seen["left"], seen["right"]), seen["curb"], seen.get("head")
        ends = [w.first_end + (w.last_end if has_head else 0.0) for w in walls]
        return {
            "seen: walls, fainter one": np.min([w.support for w in walls], axis=0),
            "seen: walls": np.mean([w.support for w in walls], axis=0),
            "seen: curb": curb.support,
            "seen: head": head.support if head else none,
            "seen: walls end": np.mean(ends, axis=0),
            "seen: curb ends": curb.first_end + curb.last_end,
            "seen: head ends": head.first_end + head.last_end if head else none,
        }

    def _seen(self, name: str, lines: Array) -> _Seen:
        """What is seen of lines (n, 2, 2) px of the photo."""
        support, first, last = (np.zeros(len(lines)) for _ in range(3))
        for k, (line, sight) in enumerate(zip(lines, self._of(name, lines), strict=True)):
            support[k] = sight.support(sight.columns(line)[None], WIDE)[0]
            low, high = _places(sight.ends, line)
            first[k] = _none(sight, low - BEYOND_END[1], low - BEYOND_END[0])
            last[k] = _none(sight, high + BEYOND_END[0], high + BEYOND_END[1])
        return _Seen(support, first, last)

    def _of(self, name: str, lines: Array) -> list[Sight]:
        """Each line's (n, 2, 2) window, new ones along lines that none has been near to."""
        small = self._picture.place(lines)
        ends = [self._picture.place(sight.ends) for sight in self._windows[name]]
        own, new = [], []
        for k, line in enumerate(small):
            at = next((m for m, of in enumerate(ends) if _near(of, line)), None)
            own.append(len(ends) if at is None else at)
            if at is None:
                ends.append(line)
                new.append(k)
        self._windows[name] += sights_along(self._picture, [(name, lines[k]) for k in new])
        return [self._windows[name][k] for k in own]


def _near(window: Array, line: Array) -> bool:
    """Whether a line (2, 2) px of the small picture is seen in the window along another one."""
    along = window[1] - window[0]
    across = np.array([along[1], -along[0]]) / np.linalg.norm(along)
    low, high = _places(window, line)
    return bool(np.abs((line - window[0]) @ across).max() < NEAR and max(abs(low), abs(high - 1)) < ENDS_NEAR)


def _lines(sight: Sight) -> list[Line]:
    """The likeliest lines of one window."""
    tried = np.array([(shift - tilt / 2, shift + tilt / 2) for shift in SHIFTS for tilt in TILTS])
    support = sight.support(tried)
    out: list[tuple[Array, float]] = []
    for k in np.argsort(-support):
        if len(out) == LINES or support[k] < UNSEEN:
            break
        if all(np.abs(tried[k] - other).max() >= NEAREST for other, _ in out):
            out.append((tried[k], float(support[k])))
    return [Line(sight.points(at + ROUND[sight.support(at + ROUND, CLOSELY).argmax()]), seen) for at, seen in out]


def _places(of: Array, line: Array) -> tuple[float, float]:
    """Where along a line (2, 2), 0 to 1, the ends of another one lie."""
    along = of[1] - of[0]
    low, high = ((line - of[0]) @ along) / (along @ along)
    return float(low), float(high)


def _none(sight: Sight, low: float, high: float) -> float:
    """Mean logarithm of the shares of no arris in the rows between two places along a window; 0 beyond it."""
    rows = (low < ALONG) & (high > ALONG)
    return float(np.log(sight.shares[rows, COLUMNS] + FLOOR).mean()) if rows.any() else 0.0
