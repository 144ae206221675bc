"""Finding quadrilaterals that may be reference cards: bright or dark patches with four straight sides.

Works on a reduced picture; what it returns is rough (a pixel or two of the reduced picture) and is refined on the full one.
"""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.geometry.cards import in_picture_order

Array = NDArray[np.float64]
WORKING_LONG_SIDE = 2016
"""px; a bank-size card at 2.4 m is still 54 px long at half of 12 MP"""
MIN_SIDE_PX = 14.0
"""px of the reduced picture; shorter sides cannot be told from noise"""
MAX_AREA_SHARE = 0.4
"""of the picture; a larger patch is a wall, not a card"""


def reduced(pixels: NDArray[np.uint8]) -> tuple[NDArray[np.uint8], float]:
    """The picture at working size and the factor from its pixels to the photo's."""
    long_side = max(pixels.shape[:2])
    if long_side <= WORKING_LONG_SIDE:
        return pixels, 1.0
    factor = long_side / WORKING_LONG_SIDE
    size = (round(pixels.shape[1] / factor), round(pixels.shape[0] / factor))
    return np.asarray(cv2.resize(pixels, size, interpolation=cv2.INTER_AREA), dtype=np.uint8), factor


def find_quadrilaterals(pixels: NDArray[np.uint8]) -> list[Array]:
    """Corner sets (4, 2) in photo pixels, bottom-left, bottom-right, top-right, top-left; near duplicates are merged."""
    small, factor = reduced(pixels)
    lab = cv2.cvtColor(cv2.GaussianBlur(small, (0, 0), 0.8), cv2.COLOR_RGB2LAB)
    found: list[tuple[float, Array]] = []
    for mask in _masks(lab):
        contours, _ = cv2.findContours(mask, cv2.RETR_LIST, cv2.CHAIN_APPROX_NONE)
        for contour in contours:
            quad = _quadrilateral(contour[:, 0, :].astype(np.float64), small.shape[0] * small.shape[1])
            if quad is not None:
                found.append(quad)
    merged = _merge(found)
    return [in_picture_order((quad + 0.5) * factor - 0.5) for quad in merged]


def _masks(lab: NDArray[np.uint8]) -> list[NDArray[np.uint8]]:
    """Binary pictures in which a card's inside is one patch: local thresholds of several reaches, and enclosed by edges."""
    out = []
    for channel in range(3):
        plane = np.ascontiguousarray(lab[:, :, channel])
        spread = 3.0 if channel == 0 else 2.0
        for reach in (61, 201):
            mean = cv2.boxFilter(plane.astype(np.float32), -1, (reach, reach))
            difference = plane.astype(np.float32) - mean
            for sign in (1.0, -1.0):
                mask = (sign * difference > spread).astype(np.uint8)
                out.append(cv2.morphologyEx(mask, cv2.MORPH_OPEN, np.ones((3, 3), np.uint8)))
    for low, high in ((6, 18), (20, 50)):
        edges = np.zeros(lab.shape[:2], np.uint8)
        for channel in range(3):
            edges |= np.asarray(cv2.Canny(np.ascontiguousarray(lab[:, :, channel]), low, high, L2gradient=True), dtype=np.uint8)
        closed = cv2.dilate(edges, np.ones((3, 3), np.uint8))
        out.append((closed == 0).astype(np.uint8))
    return [np.asarray(m, dtype=np.uint8) for m in out]


def _quadrilateral(points: Array, picture_area: float) -> tuple[float, Array] | None:
    """Four lines through the sides of a contour, or None; the first value says how well it fills them (0 is perfect)."""
    if len(points) < 4 * MIN_SIDE_PX * 0.7:
        return None
    hull_input = points.astype(np.float32)
    (_, (w, h), _) = rectangle = cv2.minAreaRect(hull_input)
    if min(w, h) < MIN_SIDE_PX or w * h > MAX_AREA_SHARE * picture_area or max(w, h) > 8 * min(w, h):
        return None
    area = cv2.contourArea(hull_input)
    if area < 0.75 * w * h:
        hull = cv2.convexHull(hull_input)
        if cv2.contourArea(hull) < 0.72 * w * h or area < 0.6 * w * h:
            return None
    approx = cv2.approxPolyDP(cv2.convexHull(hull_input), 0.04 * 2 * (w + h), True)[:, 0, :].astype(np.float64)
    start = approx if len(approx) == 4 else np.asarray(cv2.boxPoints(rectangle), dtype=np.float64)
    quad = _fit_sides(points, start)
    if quad is None:
        return None
    quad_area = abs(float(cv2.contourArea(quad.astype(np.float32))))
    misfit = abs(area / max(quad_area, 1e-9) - 1)
    return (misfit, quad) if misfit < 0.12 else None


def _fit_sides(points: Array, start: Array) -> Array | None:
    """Total least squares lines through the middle four fifths of each side; their intersections."""
    quad = start
    for _ in range(2):
        lines = []
        for k in range(4):
            a, b = quad[k], quad[(k + 1) % 4]
            d = b - a
            length = float(np.linalg.norm(d))
            if length < 0.7 * MIN_SIDE_PX:
                return None
            d = d / length
            s = (points - a) @ d
            e = (points - a) @ np.array([-d[1], d[0]])
            near = (s > 0.12 * length) & (s < 0.88 * length) & (np.abs(e) < max(0.06 * length, 2.5))
            if near.sum() < 0.5 * length * 0.76:
                return None
            centre = np.median(points[near], axis=0)
            m = points[near].mean(axis=0)
            _, _, vt = np.linalg.svd(points[near] - m, full_matrices=False)
            n = np.array([-vt[0, 1], vt[0, 0]])
            residual = (points[near] - m) @ n
            if np.sqrt(np.mean(residual**2)) > max(0.015 * length, 1.2):
                return None
            del centre
            lines.append((n, float(n @ m)))
        corners = []
        for k in range(4):
            (n1, c1), (n2, c2) = lines[k - 1], lines[k]
            M = np.stack([n1, n2])
            if abs(np.linalg.det(M)) < 0.3:
                return None
            corners.append(np.linalg.solve(M, [c1, c2]))
        quad = np.array(corners)
    return quad


def _merge(found: list[tuple[float, Array]]) -> list[Array]:
    """One of each group of nearly equal quadrilaterals: the one in the middle of its group."""
    groups: list[list[tuple[float, Array]]] = []
    for item in sorted(found, key=lambda f: f[0]):
        quad = in_picture_order(item[1])
        size = np.sqrt(abs(cv2.contourArea(quad.astype(np.float32))))
        for group in groups:
            if np.abs(in_picture_order(group[0][1]) - quad).max() < max(0.08 * size, 3.0):
                group.append(item)
                break
        else:
            groups.append([item])
    return [np.median([in_picture_order(q) for _, q in group], axis=0) for group in groups]
