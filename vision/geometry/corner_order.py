"""Four corners as they are marked: do they go round something once, and in the order that is asked for?"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from vision.errors import CannotMeasure
from vision.geometry.cards import in_picture_order

Array = NDArray[np.float64]
ORDER = "bottom-left, bottom-right, top-right, top-left"


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
        found = f"{name}: corners of a {kind} card whose sides cross, or that go round it the wrong way"
        raise _refused("cards", found, corners_px)


def _refused(stage: str, found: str, corners_px: Array) -> CannotMeasure:
    sorted_px = in_picture_order(corners_px)
    remedy = f"mark the four corners again, {ORDER}"
    if goes_round(sorted_px):
        remedy += "; perhaps " + " ".join(f"{x:g},{y:g}" for x, y in sorted_px)
    needed = f"{ORDER}, each once, in pixels of the upright photo"
    return CannotMeasure(stage, "needs-corners", found=found, needed=needed, remedy=remedy)
