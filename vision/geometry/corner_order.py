"""Four corners as they are marked: do they go round something once, and in the order that is asked for?"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from vision.errors import CannotMeasure
from vision.geometry.cards import in_picture_order

Array = NDArray[np.float64]
ORDER = "bottom-left, bottom-right, top-right, top-left"
FAR_OUT = 0.1
"""of the picture's longer side; by how much one may guess a corner beyond the border that cuts it off (by judgement)"""


def goes_round(corners_px: Array) -> bool:
    """Whether corners (4, 2) px are those of a convex figure, one after the other as bottom-left, bottom-right, top-right and
    top-left follow each other in a picture."""
    d = np.roll(corners_px, -1, axis=0) - corners_px
    e = np.roll(d, -1, axis=0)
    return bool(np.all(d[:, 0] * e[:, 1] - d[:, 1] * e[:, 0] < 0))  # y runs down: this way round is negative


def require_order(name: str, corners_px: Array) -> None:
    """CannotMeasure (needs-corners) where an opening's corners (4, 2) px cross, or are those of an opening on its side."""
    across = corners_px[1] + corners_px[2] - corners_px[0] - corners_px[3]
    up = corners_px[2] + corners_px[3] - corners_px[0] - corners_px[1]
    upright = across[0] > abs(across[1]) and -up[1] > abs(up[0])
    if not goes_round(corners_px):
        found = f"{name}: corners whose sides cross, that go round the wrong way, or of which one lies between the others"
        raise _refused("outline", found, corners_px)
    if not upright:
        raise _refused(
            "outline", f"{name}: corners of which the first two are not the lower ones, from left to right", corners_px
        )


def require_round(name: str, kind: str, corners_px: Array) -> None:
    """CannotMeasure (needs-corners) where a marked card's corners (4, 2) px cross; it may hang in any direction."""
    if not goes_round(corners_px):
        found = f"{name}: corners of the {kind} card whose sides cross, or that go round it the wrong way"
        raise _refused("cards", found, corners_px)


def cut_by_border(name: str, size_px: tuple[int, int], corners_px: Array) -> CannotMeasure:
    """opening-cut, naming the corner (of (4, 2) px) that is furthest out; far outside it was marked or typed wrong."""
    last = np.array(size_px) - 1
    beyond = np.maximum(-corners_px, corners_px - last).max(axis=1)
    worst = int(np.argmax(beyond))
    far = beyond[worst] > FAR_OUT * max(size_px)
    at = f"the {ORDER.split(', ')[worst]} corner of the opening at ({corners_px[worst, 0]:.0f}, {corners_px[worst, 1]:.0f})"
    remedy = "step back and take the photo again with a hand's width of wall all round"
    if far:
        remedy = f"look at its numbers and mark that corner again; if the opening does go on there, {remedy}"
    return CannotMeasure(
        "outline",
        "opening-cut",
        found=f"{name}: {at}, {'far outside' if far else 'at or beyond the border of'} the {size_px[0]} x {size_px[1]} picture",
        needed="all four corners inside the picture",
        remedy=remedy,
    )


def _refused(stage: str, found: str, corners_px: Array) -> CannotMeasure:
    sorted_px = in_picture_order(corners_px)
    remedy = f"mark the four corners again, {ORDER}"
    if goes_round(sorted_px):
        remedy += "; perhaps " + " ".join(f"{x:g},{y:g}" for x, y in sorted_px)
    needed = f"{ORDER}, each once, in pixels of the upright photo"
    return CannotMeasure(stage, "needs-corners", found=found, needed=needed, remedy=remedy)
