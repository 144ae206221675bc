"""Pictures in frames: a patch that hangs in the middle of a larger one, as far from it on all sides, is no reference.

What is printed on a card lies inside of it too, but takes up nearly all of it.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from vision.geometry.shapes import mean_sides

Array = NDArray[np.float64]
LEAST, MOST = 1.3, 3.0
"""times the patch's own sides that the frame's are; a printed rim and a card's halo are under 1.25 times what they enclose"""
EVEN = 2.0
"""how many times wider the margin may be one way than the other"""
CENTRED = 0.15
"""of the margin; how far the two may lie from each other's middle (of 392 references of five authors none lies so in anything, of
760 other patches of a reference's shape the prints in frames do)"""


def is_framed(plane: Array, others: Array) -> bool:
    """Whether the patch (4, 2) has one of the others (n, 4, 2), all on the wall's plane, for its frame."""
    a, b = mean_sides(plane)
    wide, high = mean_sides(others)
    across, up = plane[1] - plane[0], plane[3] - plane[0]
    off = others.mean(axis=1) - plane.mean(axis=0)
    with np.errstate(divide="ignore", invalid="ignore"):
        margins = (wide - a) / 2, (high - b) / 2
        aside = [np.abs(off @ way) / np.linalg.norm(way) / m for way, m in zip((across, up), margins, strict=True)]
        even = np.maximum(margins[0] / margins[1], margins[1] / margins[0])
        larger = (wide > LEAST * a) & (high > LEAST * b) & (wide < MOST * a) & (high < MOST * b)
        return bool(np.any(larger & (even < EVEN) & (aside[0] < CENTRED) & (aside[1] < CENTRED)))
