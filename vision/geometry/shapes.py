"""Shapes of squared quadrilaterals: of which kind of reference one is, and whether one is nearly of a kind and yet of none."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from vision.settings import CardKind

Array = NDArray[np.float64]
SQUARENESS = 0.03
"""relative difference of opposite sides, and cosine of the angle, that a rough tilt may show"""
ASKEW = 0.25
"""the same of a reference that stands off the wall by 20 degrees, seen 36 degrees from straight on (sin 20 tan 36); what is
further off nobody would call flat (by judgement)"""
OWN_SIDE = 0.1
"""relative; how far the side that a fold leaves whole, or a tilt turns about, may be off in a first view"""
LEAST_SHEET_MM = 100.0
"""mm; the shorter side of what is called a sheet: smaller cards have look-alikes on a wall, and are printed up to their border"""
ALIKE = 0.012
"""relative; sizes that differ by less are one"""
OTHER_SIDE = (0.5, 1.1)
"""shares of a kind's other side: of a card folded or covered further than half nobody can tell what it was"""


def mean_sides(plane: Array) -> tuple[Array, Array]:
    """Mean lengths of bottom and top, and of right and left, of quadrilaterals (..., 4, 2)."""
    d = plane[..., [1, 2, 3, 0], :] - plane
    s = np.sqrt(np.sum(d * d, axis=-1))
    return (s[..., 0] + s[..., 2]) / 2, (s[..., 1] + s[..., 3]) / 2


def same_place(p: Array, q: Array) -> bool:
    """True where the middle of q (4, 2) lies well inside p (4, 2)."""
    return float(np.linalg.norm(p.mean(axis=0) - q.mean(axis=0))) < 0.35 * math.sqrt(float(np.prod(mean_sides(p))))


def is_square(plane: Array, limit: float) -> bool:
    """True where opposite sides of a quadrilateral (4, 2) are alike and its angles right, both to this limit."""
    d = np.roll(plane, -1, axis=0) - plane
    s = np.linalg.norm(d, axis=1)
    d = d / s[:, None]
    cosines = np.abs(np.sum(d * np.roll(d, -1, axis=0), axis=1))
    return not (abs(s[0] / s[2] - 1) > limit or abs(s[1] / s[3] - 1) > limit or cosines.max() > limit)


def as_large(plane: Array, size: tuple[float, float]) -> list[Array]:
    """Rectangles (4, 2) exactly as large as `size` (along bottom and left) where a squared quadrilateral (4, 2) is.

    Of each pair of its sides either one keeps its place; there is one rectangle where its size is right to `ALIKE`.
    """
    along = plane[1] - plane[0] + plane[2] - plane[3]
    up = plane[3] - plane[0] + plane[2] - plane[1]
    x = along / np.linalg.norm(along) + np.array([up[1], -up[0]]) / np.linalg.norm(up)
    x = x / np.linalg.norm(x)
    axes = np.array([x, [-x[1], x[0]]])
    over = [0.5 * (float(has) - wanted) for has, wanted in zip(mean_sides(plane), size, strict=True)]
    kept = [(0.0,) if abs(off) < 0.5 * ALIKE * wanted else (-off, off) for off, wanted in zip(over, size, strict=True)]
    half = 0.5 * np.array(size)
    return [
        plane.mean(axis=0) + (np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * half + np.array([dx, dy])) @ axes
        for dx in kept[0]
        for dy in kept[1]
    ]


def match_kind(plane: Array, kinds: Sequence[CardKind], tolerance: float, slack: float = 0.0) -> tuple[CardKind, bool] | None:
    """The kind (and whether it is turned) whose aspect fits a squared quadrilateral best, or None.

    `slack` (relative) widens all limits where the corners are rough.
    """
    if not is_square(plane, SQUARENESS + slack):
        return None
    a, b = mean_sides(plane)
    fits = [(abs(math.log((a / b) / (w / h))), kind, turned) for kind, turned, w, h in ways(kinds)]
    if not fits:
        return None
    best = min(fits, key=lambda f: f[0])
    return (best[1], best[2]) if best[0] < tolerance + slack else None


def nearly_of_a_kind(plane: Array, kinds: Sequence[CardKind], mm_per_unit: float | None) -> tuple[CardKind, bool] | None:
    """The kind (and whether it is turned) that a squared quadrilateral (4, 2) is if one of its sides is cut, folded or turned
    away; at the photo's scale, or at any where that is None."""
    if not is_square(plane, ASKEW):
        return None
    fits = []
    a, b = (float(v) for v in mean_sides(plane))
    for kind, turned, w, h in ways(kinds):
        for own, other in ((a / w, b / h), (b / h, a / w)):
            scale = 1 / own if mm_per_unit is None else mm_per_unit
            if abs(own * scale - 1) < OWN_SIDE and OTHER_SIDE[0] < other * scale < OTHER_SIDE[1]:
                fits.append((abs(math.log(own * scale)) + abs(math.log(other * scale)), kind, turned))
    if not fits:
        return None
    best = min(fits, key=lambda f: f[0])
    return best[1], best[2]


def kind_of_size(plane: Array, kinds: Sequence[CardKind], mm: float, limit: float) -> tuple[CardKind, bool] | None:
    """The kind, and whether it is turned, of which both sides of a squared quadrilateral (4, 2) are at this scale (mm per unit),
    to this relative limit."""
    if not (np.all(np.isfinite(plane)) and is_square(plane, max(SQUARENESS, limit))):
        return None
    a, b = (float(v) * mm for v in mean_sides(plane))
    for kind, turned, w, h in ways(kinds):
        if max(abs(a / w - 1), abs(b / h - 1)) < limit:
            return kind, turned
    return None


def is_sheet(kind: CardKind) -> bool:
    """True for a kind that is paper by its size."""
    return min(kind.width_mm, kind.height_mm) > LEAST_SHEET_MM


def ways(kinds: Sequence[CardKind]) -> Iterator[tuple[CardKind, bool, float, float]]:
    """Kinds that are told by their shape, whether turned, and the sides (mm) along bottom and left of each way up."""
    for kind in kinds:
        for turned in (False, True):
            if kind.target is None and not (kind.name[0].isdigit() and turned):
                w, h = (kind.height_mm, kind.width_mm) if turned else (kind.width_mm, kind.height_mm)
                yield kind, turned, w, h
