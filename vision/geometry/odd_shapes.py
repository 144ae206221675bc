"""Patches that are put up like a reference and whose shape is of no kind: cut, folded, bent, tilted, or something else."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from vision.geometry.cards import CardCandidate
from vision.geometry.cut import mm_per_unit
from vision.geometry.shapes import nearly_of_a_kind, same_place
from vision.geometry.start import PlaneView
from vision.geometry.surround import alike, steps_at
from vision.settings import CardKind

Array = NDArray[np.float64]
ABOVE, BESIDE = 0.3, 1.0
"""heights above the head and widths beside the walls within which somebody puts a reference (by judgement)"""


def odd_candidates(
    pixels: NDArray[np.uint8],
    quads: Array,
    cards: Sequence[CardCandidate],
    kinds: Sequence[CardKind],
    *,
    outline: tuple[PlaneView, Array],
) -> list[CardCandidate]:
    """Of whole patches (n, 4, 2) px, the clearest first, those put up on the wall beside or above the outline that differ alike
    from what surrounds them and are nearly of a kind at the scale of the cards found; `kind` is the one they are nearly of."""
    view, corners_px = outline
    scales = [mm_per_unit(c, view.on_plane(c.corners_px)) for c in cards]
    scale = float(np.median(scales)) if scales else None
    out: list[CardCandidate] = []
    for quad in quads:
        taken = any(same_place(c.corners_px, quad) or same_place(quad, c.corners_px) for c in (*cards, *out))
        if taken or not beside_opening(view, corners_px, quad):
            continue
        match = nearly_of_a_kind(view.on_plane(quad), kinds, scale)
        if match is not None and alike(steps_at(pixels, quad, [0, 1, 2, 3])):
            out.append(CardCandidate(quad, False, match[0], match[1]))
    return out


def beside_opening(view: PlaneView, corners_px: Array, quad: Array) -> bool:
    """True where the middle of a patch (4, 2) px lies on the wall face where references are put: beside or above the outline
    (4, 2) px, from bottom-left on, no lower than the curb."""
    c = view.on_plane(corners_px)
    at = view.on_plane(quad).mean(axis=0) - c[0]
    curb, up = c[1] - c[0], c[3] - c[0]
    x, y = float(at @ curb / (curb @ curb)), float(at @ up / (up @ up))
    return -BESIDE < x < 1 + BESIDE and 0 < y < 1 + ABOVE and not (0 <= x <= 1 and y <= 1)
