"""Finding quadrilaterals that may be reference cards: bright or dark patches with four straight sides.

Works on a reduced picture; what it returns is rough (a pixel or two of the reduced picture) and is refined on the full one.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.geometry.cards import in_picture_order

Array = NDArray[np.float64]
WORKING_LONG_SIDE = 2016
"""px; a bank-size card at 2.4 m is still 54 px long at half of 12 MP"""
MIN_SIDE_PX = 18.0
"""px of the reduced picture; shorter sides cannot be told from noise"""
ENOUGH_ALIKE = 3
"""contours with the same frame that are worth a fit"""
FAINTEST_SIDE = 0.4
"""codes per pixel; under this a side is noise"""
PRINT_PX = 11
"""px of the reduced picture; a stripe across a bank-size card is narrower"""
MOST_ALIKE = 10
"""contours of one size in one mask; nobody puts up more cards"""
TAPE_PX = 17
"""px of the reduced picture; a strip of tape is narrower, a bank-size card's short side is not"""
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


def find_quadrilaterals(pixels: NDArray[np.uint8]) -> list[tuple[Array, float]]:
    """Corner sets (4, 2) in photo pixels, bottom-left, bottom-right, top-right, top-left, with the strength of the weakest side.

    Near duplicates are merged; the strength is the mean colour gradient along a side (codes per pixel of the reduced picture).
    """
    small, factor = reduced(pixels)
    lab = np.asarray(cv2.cvtColor(cv2.GaussianBlur(small, (0, 0), 0.8), cv2.COLOR_RGB2LAB), dtype=np.uint8)
    found: list[tuple[float, Array]] = []
    gradient = _gradient(lab)
    seen: dict[tuple[int, ...], int] = {}
    for mask in _masks(lab):
        contours, _ = cv2.findContours(mask, cv2.RETR_LIST, cv2.CHAIN_APPROX_NONE)
        for contour in _not_a_pattern([c for c in contours if _may_be_card(c, small.shape[0] * small.shape[1])]):
            box = tuple(round(v / 6) for v in cv2.boundingRect(contour))
            seen[box] = seen.get(box, 0) + 1
            quad = _quadrilateral(contour[:, 0, :].astype(np.float64)) if seen[box] <= ENOUGH_ALIKE else None
            if quad is not None and _strength(gradient, quad[1]) > FAINTEST_SIDE:
                found.append((quad[0], in_picture_order(quad[1])))
    return [((quad + 0.5) * factor - 0.5, _strength(gradient, quad)) for quad in _merge(found)]


def _gradient(lab: NDArray[np.uint8]) -> NDArray[np.float32]:
    """Length of the colour gradient, codes per pixel, largest within a pixel."""
    total = np.zeros(lab.shape[:2], np.float32)
    for channel in range(3):
        plane = np.ascontiguousarray(lab[:, :, channel])
        gx, gy = (np.asarray(cv2.Sobel(plane, cv2.CV_32F, i, j, scale=0.125)) for i, j in ((1, 0), (0, 1)))
        total += gx * gx + gy * gy
    return np.asarray(cv2.dilate(np.sqrt(total), np.ones((3, 3), np.uint8)), dtype=np.float32)


def _strength(gradient: NDArray[np.float32], quad: Array) -> float:
    """Mean gradient along the weakest side of a quadrilateral in the reduced picture, its corners left out."""
    t = np.linspace(0.12, 0.88, 24)[:, None]
    sides = []
    for k in range(4):
        p = np.round(quad[k] * (1 - t) + quad[(k + 1) % 4] * t).astype(int)
        x, y = np.clip(p[:, 0], 0, gradient.shape[1] - 1), np.clip(p[:, 1], 0, gradient.shape[0] - 1)
        sides.append(float(np.median(gradient[y, x])))
    return min(sides)


def _across_print(mask: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """The mask with narrow stripes of a card's print bridged, and what is thinner than a joint left out."""
    closed = cv2.morphologyEx(mask, cv2.MORPH_CLOSE, np.ones((PRINT_PX, PRINT_PX), np.uint8))
    return np.asarray(cv2.morphologyEx(closed, cv2.MORPH_OPEN, np.ones((7, 7), np.uint8)), dtype=np.uint8)


def _not_a_pattern(contours: Sequence[cv2.typing.MatLike]) -> list[cv2.typing.MatLike]:
    """The contours without those of which many more are of the same size: mosaic, not cards."""
    sizes = [tuple(round(v / 5) for v in cv2.boundingRect(c)[2:]) for c in contours]
    often = Counter(sizes)
    return [c for c, size in zip(contours, sizes, strict=True) if often[size] <= MOST_ALIKE]


def _may_be_card(contour: cv2.typing.MatLike, picture_area: float) -> bool:
    """Cheap tests that most contours fail: size, and a patch that fills a good part of its frame."""
    n = len(contour)
    if n < 4 * MIN_SIDE_PX * 0.7:
        return False
    _, _, w, h = cv2.boundingRect(contour)
    if min(w, h) < MIN_SIDE_PX or w * h > 2 * MAX_AREA_SHARE * picture_area:
        return False
    area = cv2.contourArea(contour)
    return bool(area > 0.3 * w * h and n * n < 60 * area)


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
                if reach > 100:
                    out.append(_without_tape(mask))
                    out.append(_across_print(mask))
    for low, high in ((6, 18), (20, 50)):
        edges = np.zeros(lab.shape[:2], np.uint8)
        for channel in range(3):
            edges |= np.asarray(cv2.Canny(np.ascontiguousarray(lab[:, :, channel]), low, high, L2gradient=True), dtype=np.uint8)
        closed = cv2.dilate(edges, np.ones((3, 3), np.uint8))
        out += [(closed == 0).astype(np.uint8), (closed > 0).astype(np.uint8)]
    return [np.asarray(m, dtype=np.uint8) for m in out]


def _without_tape(mask: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """The mask without what is narrower than a strip of tape, sticking out or bitten in."""
    kernel = np.ones((TAPE_PX, TAPE_PX), np.uint8)
    opened = cv2.morphologyEx(mask, cv2.MORPH_OPEN, kernel)
    return np.asarray(cv2.morphologyEx(opened, cv2.MORPH_CLOSE, kernel), dtype=np.uint8)


def _quadrilateral(points: Array) -> tuple[float, Array] | None:
    """Four lines through the sides of a contour, or None; the first value says how badly it fills them (0 is perfect)."""
    hull_input = points.astype(np.float32)
    rectangle = cv2.minAreaRect(hull_input)
    w, h = rectangle[1]
    if min(w, h) < MIN_SIDE_PX or max(w, h) > 8 * min(w, h):
        return None
    area = cv2.contourArea(hull_input)
    if area < 0.6 * w * h:
        return None
    approx = cv2.approxPolyDP(cv2.convexHull(hull_input), 0.02 * 2 * (w + h), True)[:, 0, :].astype(np.float64)
    starts = [approx] if len(approx) == 4 else []
    starts.append(np.asarray(cv2.boxPoints(rectangle), dtype=np.float64))
    for start in starts:
        quad = _fit_sides(points, start)
        if quad is not None:
            misfit = abs(area / max(abs(float(cv2.contourArea(quad.astype(np.float32)))), 1e-9) - 1)
            if misfit < 0.12:
                return misfit, quad
    return None


def _fit_sides(points: Array, start: Array) -> Array | None:
    """Trimmed total least squares lines through the middle of each side (tape may hide a part); their intersections."""
    quad = start
    for tolerance in (0.06, 0.03):
        lines = []
        for k in range(4):
            line = _fit_side(points, quad[k], quad[(k + 1) % 4], tolerance)
            if line is None:
                return None
            lines.append(line)
        corners = []
        for k in range(4):
            (n1, c1), (n2, c2) = lines[k - 1], lines[k]
            M = np.stack([n1, n2])
            if abs(np.linalg.det(M)) < 0.3:
                return None
            corners.append(np.linalg.solve(M, [c1, c2]))
        quad = np.array(corners)
    return quad


def _fit_side(points: Array, a: Array, b: Array, tolerance: float) -> tuple[Array, float] | None:
    """Normal and offset of the line along one side, or None where less than two fifths of it is straight."""
    d = b - a
    length = float(np.linalg.norm(d))
    if length < 0.7 * MIN_SIDE_PX:
        return None
    d = d / length
    s = (points - a) @ d
    e = (points - a) @ np.array([-d[1], d[0]])
    near = points[(s > 0.1 * length) & (s < 0.9 * length) & (np.abs(e) < max(tolerance * length, 2.5))]
    for limit in (3.0, 1.5, 1.0):
        if len(near) < 0.4 * length:
            return None
        m = near.mean(axis=0)
        _, _, vt = np.linalg.svd(near - m, full_matrices=False)
        n = np.array([-vt[0, 1], vt[0, 0]])
        residual = np.abs((near - np.median(near, axis=0)) @ n) if limit == 3.0 else np.abs((near - m) @ n)
        near = near[residual < max(limit, 0.006 * length)]
    if len(near) < 0.4 * length:
        return None
    m = near.mean(axis=0)
    _, _, vt = np.linalg.svd(near - m, full_matrices=False)
    n = np.array([-vt[0, 1], vt[0, 0]])
    return n, float(n @ m)


def _merge(found: list[tuple[float, Array]]) -> list[Array]:
    """One of each group of nearly equal quadrilaterals: the middle of its group."""
    groups: list[tuple[Array, float, list[Array]]] = []
    for _, quad in sorted(found, key=lambda f: f[0]):
        size = float(np.sqrt(abs(cv2.contourArea(quad.astype(np.float32)))))
        for first, first_size, members in groups:
            if abs(first_size - size) < 0.15 * size + 3 and np.abs(first - quad).max() < max(0.08 * size, 3.0):
                members.append(quad)
                break
        else:
            groups.append((quad, size, [quad]))
    return [np.median(np.array(members), axis=0) for _, _, members in groups]
