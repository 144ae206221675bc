"""What the network sees along the edges of candidate outlines, and beyond their ends (`arris_sight.py`).

Candidates share their edges, and one window tells of all lines near it, so some twenty windows do for forty outlines.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

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


@dataclass(frozen=True)
class _Seen:
    """Of the lines (n, 2, 2) px of one edge: how well each is seen to be the arris, and to end at either end, (n,) each."""

    support: Array
    first_end: Array
    last_end: Array


def sight_clues(picture: Reduced, corners: Array, *, has_head: bool) -> dict[str, Array]:
    """Clues (n,) of outlines with corners (n, 4, 2) px of the photo."""
    none = np.zeros(len(corners))
    seen = {n: _seen(picture, n, corners[:, list(OUTLINE_CORNERS[n])]) for n in INWARD if has_head or n != "head"}
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


def _seen(picture: Reduced, name: str, lines: Array) -> _Seen:
    """What is seen of lines (n, 2, 2) px of the photo."""
    windows, own = _windows(picture, lines)
    sights = sights_along(picture, [(name, lines[k]) for k in windows])
    support, first, last = (np.zeros(len(lines)) for _ in range(3))
    for k, line in enumerate(lines):
        sight = sights[own[k]]
        support[k] = sight.support(sight.columns(line)[None], WIDE)[0]
        low, high = _places(sight.ends, line)
        first[k] = _none(sight, low - BEYOND_END[1], low - BEYOND_END[0])
        last[k] = _none(sight, high + BEYOND_END[0], high + BEYOND_END[1])
    return _Seen(support, first, last)


def _windows(picture: Reduced, lines: Array) -> tuple[Sequence[int], Sequence[int]]:
    """Which lines get windows, and in whose window each line is seen."""
    windows: list[int] = []
    own = []
    small = picture.place(lines)
    for line in small:
        for at, k in enumerate(windows):
            low, high = _places(small[k], line)
            along = small[k][1] - small[k][0]
            across = np.array([along[1], -along[0]]) / np.linalg.norm(along)
            if np.abs((line - small[k]) @ across).max() < NEAR and max(abs(low), abs(high - 1)) < ENDS_NEAR:
                own.append(at)
                break
        else:
            own.append(len(windows))
            windows.append(len(own) - 1)
    return windows, own


def _places(of: Array, line: Array) -> tuple[float, float]:
    """Where along a line (2, 2), 0 to 1, the ends of another one lie."""
    along = of[1] - of[0]
    low, high = ((line - of[0]) @ along) / (along @ along)
    return float(low), float(high)


def _none(sight: Sight, low: float, high: float) -> float:
    """Mean logarithm of the shares of no arris in the rows between two places along a window; 0 beyond it."""
    rows = (low < ALONG) & (high > ALONG)
    return float(np.log(sight.shares[rows, COLUMNS] + FLOOR).mean()) if rows.any() else 0.0
