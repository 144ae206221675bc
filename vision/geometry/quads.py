"""Contours -> quadrilaterals: four lines through a contour's sides, corners in the picture's order, near duplicates merged."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Contour = NDArray[np.int32]
MIN_SIDE_PX = 18.0
"""px of the reduced picture; shorter sides cannot be told from noise"""


@dataclass(frozen=True)
class RoughQuad:
    """A contour that may have four sides, px of the reduced picture: its points (n, 2), its area and where a fit may start."""

    points: Contour
    area: float
    starts: tuple[Array, ...]
    """(4, 2) each, the best first; the last is the smallest rectangle round the contour"""


def rough_quad(contour: Contour) -> RoughQuad | None:
    """The contour (n, 2) with its starts, or None where it is too small, too long or too hollow for a card."""
    rectangle = cv2.minAreaRect(contour)
    w, h = rectangle[1]
    if min(w, h) < MIN_SIDE_PX or max(w, h) > 8 * min(w, h):
        return None
    area = cv2.contourArea(contour)
    if area < 0.6 * w * h:
        return None
    box = np.asarray(cv2.boxPoints(rectangle), dtype=np.float64)
    approx = np.asarray(cv2.approxPolyDP(cv2.convexHull(contour), 0.02 * 2 * (w + h), True), dtype=np.float64)[:, 0, :]
    return RoughQuad(contour, area, (approx, box) if len(approx) == 4 else (box,))


def fitted_quad(rough: RoughQuad) -> tuple[float, Array] | None:
    """Four lines through the sides, or None; the first value says how badly the contour fills them (0 is perfect)."""
    for start in rough.starts:
        quad = _fit_sides(rough.points, start)
        if quad is not None:
            misfit = abs(rough.area / max(abs(float(cv2.contourArea(quad.astype(np.float32)))), 1e-9) - 1)
            if misfit < 0.12:
                return misfit, quad
    return None


def _fit_sides(contour: Contour, start: Array) -> Array | None:
    """Trimmed total least squares lines through the middle of each side (tape may hide a part); their intersections.

    All four sides at once. None where less than two fifths of a side is straight.
    """
    origin = contour[0].astype(np.float64)
    x, y = np.ascontiguousarray((contour - origin).T)
    moments = np.stack([np.ones_like(x), x, y, x * x, x * y, y * y], axis=1)
    quad = start - origin
    for tolerance in (0.06, 0.03):
        sides = quad[[1, 2, 3, 0]] - quad
        length = np.sqrt(np.sum(sides**2, axis=1))
        if length.min() < 0.7 * MIN_SIDE_PX:
            return None
        near = _beside(x, y, quad, sides / length[:, None], np.maximum(tolerance * length, 2.5))
        least = 0.4 * length
        for limit in (3.0, 1.5, 1.0):
            lines = _lines(near, moments, least)
            if lines is None:
                return None
            normal, offset = lines
            if limit == 3.0:
                offset = np.sum(normal * _middle(near, x, y), axis=1)
            away = np.abs(normal[:, :1] * x + normal[:, 1:] * y - offset[:, None])
            near &= away < np.maximum(limit, 0.006 * length)[:, None]
        lines = _lines(near, moments, least)
        corners = None if lines is None else _intersections(*lines)
        if corners is None:
            return None
        quad = corners
    return np.asarray(quad + origin)


def _beside(x: Array, y: Array, quad: Array, direction: Array, reach: Array) -> NDArray[np.bool_]:
    """Which points lie beside the middle of each side and within `reach` of it, shape (4, n); `direction` (4, 2) unit."""
    dx, dy = direction[:, :1], direction[:, 1:]
    ax, ay = x - quad[:, :1], y - quad[:, 1:]
    along, across = ax * dx + ay * dy, ay * dx - ax * dy
    half = 0.5 * np.sum((quad[[1, 2, 3, 0]] - quad) * direction, axis=1)[:, None]
    return np.asarray((np.abs(along - half) < 0.8 * half) & (np.abs(across) < reach[:, None]))


def _lines(near: NDArray[np.bool_], moments: Array, least: Array) -> tuple[Array, Array] | None:
    """Normals (4, 2) and offsets (4,) of the lines through the chosen points; None where a side has fewer than `least`."""
    total = near @ moments
    count = total[:, 0]
    if np.any(count < np.maximum(least, 2.0)):
        return None
    mean = total[:, 1:3] / count[:, None]
    xx, xy, yy = (total[:, 3:] / count[:, None] - mean[:, [0, 0, 1]] * mean[:, [0, 1, 1]]).T
    angle = 0.5 * np.arctan2(2 * xy, xx - yy)
    normal = np.stack([-np.sin(angle), np.cos(angle)], axis=1)
    return normal, np.sum(normal * mean, axis=1)


def _middle(near: NDArray[np.bool_], x: Array, y: Array) -> Array:
    """Median point of each side, shape (4, 2)."""
    out = np.empty((4, 2))
    for k, chosen in enumerate(near):
        for axis, v in enumerate((x[chosen], y[chosen])):
            middle = (len(v) - 1) // 2, len(v) // 2
            v.partition(middle)
            out[k, axis] = 0.5 * (v[middle[0]] + v[middle[1]])
    return out


def _intersections(normal: Array, offset: Array) -> Array | None:
    """Corners (4, 2) where each line meets the one before it; None where two are nearly parallel."""
    before, c = np.roll(normal, 1, axis=0), np.roll(offset, 1)
    determinant = before[:, 0] * normal[:, 1] - before[:, 1] * normal[:, 0]
    if np.abs(determinant).min() < 0.3:
        return None
    x = (c * normal[:, 1] - offset * before[:, 1]) / determinant
    y = (before[:, 0] * offset - normal[:, 0] * c) / determinant
    return np.stack([x, y], axis=1)


def merged(misfits: Array, quads: Array) -> Array:
    """One of each group of nearly equal quadrilaterals (n, 4, 2), the middle of its group; those of small misfit lead."""
    order = np.argsort(misfits, kind="stable")
    x, y = quads[..., 0], quads[..., 1]
    area = 0.5 * np.abs(np.sum(x * np.roll(y, -1, axis=1) - y * np.roll(x, -1, axis=1), axis=1))
    size = np.sqrt(area)
    leaders: list[int] = []
    members: list[list[int]] = []
    for i in order:
        near = np.abs(size[leaders] - size[i]) < 0.15 * size[i] + 3
        near &= np.abs(quads[leaders] - quads[i]).max(axis=(1, 2)) < max(0.08 * size[i], 3.0)
        if near.any():
            members[int(np.argmax(near))].append(i)
        else:
            leaders.append(int(i))
            members.append([i])
    return np.array([np.median(quads[group], axis=0) for group in members]).reshape(-1, 4, 2)
