"""The photo turned so that the room's three directions run across, down and into the picture: what the tracing works on.

Walls, tiles, curb and ceiling have three directions at right angles; nearly every straight line of a bathroom runs along one
of them. They are found from short straight segments of the reduced picture alone, by their vanishing points.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.geometry.camera import CameraPrior, rotation

Array = NDArray[np.float64]
Picture = NDArray[np.uint8]
LONG_SIDE = 1008
"""px; the working size, a quarter of 12 MP: a curb's top is still ten rows high"""
FINE = 2
"""the corners are looked at in a picture this much larger"""
SHORTEST_PX = 18.0
"""px of the reduced picture; the direction of a shorter segment says little"""
HEAVIEST_PX = 200.0
"""px; a longer segment counts no more than this, so that one long line does not turn the frame"""
FEWEST = 8
"""segments under which no frame is looked for"""
NARROWEST_PX = 40.0
"""px of the reduced picture; nobody photographs an opening in a strip twenty times as long as it is wide"""
DEPTH_SHARE = 0.5
"""weight of a line into the depth against one in the plane: floors laid askew have many"""


@dataclass(frozen=True)
class Squared:
    """The turned picture.

    `small` uint8 (h, w, 3) RGB, `fine` the same at FINE times the size, `seen` (h, w) where the photo reaches, `depth` (2,) px of
    `small` where lines into the depth meet, `H` (3, 3) photo pixels to those of `small`, `f_px` the focal length in px of the
    reduced picture before it was turned.
    """

    small: Picture
    fine: Picture
    seen: NDArray[np.bool_]
    depth: Array
    H: Array
    f_px: float

    def to_photo(self, points: Array) -> Array:
        """Photo pixels (n, 2) of points (n, 2) of `small`."""
        return _mapped(np.asarray(np.linalg.inv(self.H), dtype=np.float64), points)

    def from_photo(self, points: Array) -> Array:
        """Points (n, 2) of `small` of photo pixels (n, 2)."""
        return _mapped(self.H, points)


def squared(pixels: Picture, prior: CameraPrior) -> Squared | None:
    """The picture turned square to the room, or None where too few straight lines are seen, or it is a mere strip."""
    factor = max(max(pixels.shape[:2]) / LONG_SIDE, 1.0)
    if min(pixels.shape[:2]) / factor < NARROWEST_PX:
        return None
    fine = _resized(pixels, factor / FINE)
    small = _resized(fine, factor * fine.shape[0] / pixels.shape[0])
    segments = straight_segments(small)
    if len(segments) < FEWEST:
        return None
    f, centre = prior.f / factor, (np.array([prior.cx, prior.cy]) + 0.5) / factor - 0.5
    R = room_frame(segments - centre, f)
    return _turned(small, fine, R, (f, centre), factor)


def straight_segments(small: Picture) -> Array:
    """Ends (n, 2, 2) px of straight segments in the reduced picture."""
    found = cv2.createLineSegmentDetector(cv2.LSD_REFINE_NONE).detect(cv2.cvtColor(small, cv2.COLOR_RGB2GRAY))[0]
    if found is None:
        return np.zeros((0, 2, 2))
    ends = np.asarray(found, dtype=np.float64).reshape(-1, 2, 2)
    return np.asarray(ends[np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1) > SHORTEST_PX])


def room_frame(segments: Array, f: float) -> Array:
    """Columns: across, down and into the picture, unit directions in the camera (x right, y down, z forward).

    `segments` (n, 2, 2) px from the principal point, `f` the focal length in px. Down first, from the steep segments, then the
    turn about it, then all three together.
    """
    K = np.array([f, f, 1.0])
    along = segments[:, 1] - segments[:, 0]
    weight = np.minimum(np.linalg.norm(along, axis=1), HEAVIEST_PX)
    steep = np.abs(along[:, 1]) > 1.5 * np.abs(along[:, 0])
    down = _down(segments[steep], weight[steep], K)
    first = np.cross(down, [0.0, 0.0, 1.0])
    first /= np.linalg.norm(first)
    forward = np.cross(first, down)
    level = np.abs(_sines(segments, down * K)) > math.radians(2.0)
    turn = np.deg2rad(np.arange(-44, 44.1, 0.5))[:, None]
    across = np.cos(turn) * first + np.sin(turn) * forward
    into = -np.sin(turn) * first + np.cos(turn) * forward
    votes = _votes(segments[level], weight[level], across * K) + DEPTH_SHARE * _votes(segments[level], weight[level], into * K)
    x = across[int(np.argmax(votes))]
    return _together(segments, weight, np.column_stack([x, down, np.cross(x, down)]), K)


def _down(segments: Array, weight: Array, K: Array) -> Array:
    """The direction down: the vanishing point that most of the steep segments run to."""
    pitch, roll = np.meshgrid(np.deg2rad(np.arange(-36, 36.1, 1.5)), np.deg2rad(np.arange(-12, 12.1, 1.0)), indexing="ij")
    tried = np.stack([-np.sin(roll) * np.cos(pitch), np.cos(roll) * np.cos(pitch), np.sin(pitch)], axis=-1).reshape(-1, 3)
    best: Array = tried[int(np.argmax(_votes(segments, weight, tried * K)))]
    return best


def _together(segments: Array, weight: Array, R: Array, K: Array) -> Array:
    """The frame turned until the segments fit best; each counts for the direction that it is nearest to."""
    rows = np.arange(len(segments))
    for reach in (1.2, 0.8, 0.5, 0.4, 0.4):
        off = np.stack([_sines(segments, R[:, k] * K) for k in range(3)])
        nearest = np.abs(off).argmin(axis=0)
        e = off[nearest, rows]
        w = weight * np.exp(-0.5 * (e / math.radians(reach)) ** 2) * np.array([1.0, 1.0, DEPTH_SHARE])[nearest]
        J = np.empty((len(rows), 3))
        for j in range(3):
            turned = rotation(1e-4 * np.eye(3)[j]) @ R
            J[:, j] = (np.stack([_sines(segments, turned[:, k] * K) for k in range(3)])[nearest, rows] - e) / 1e-4
        normal = J.T @ (w[:, None] * J) + 1e-6 * float(w.sum() + 1e-9) * np.eye(3)
        R = rotation(-np.linalg.solve(normal, J.T @ (w * e))) @ R
    return R


def _votes(segments: Array, weight: Array, points: Array) -> Array:
    """How much of the segments' length runs to each vanishing point (m, 3), within a degree or so."""
    return np.asarray(np.exp(-0.5 * (_sines(segments, points) / math.radians(1.0)) ** 2) @ weight)


def _sines(segments: Array, points: Array) -> Array:
    """Sine of the angle between each segment and its direction to vanishing points (..., 3), homogeneous px."""
    middle = segments.mean(axis=1)
    d = segments[:, 1] - segments[:, 0]
    d = d / np.linalg.norm(d, axis=1, keepdims=True)
    tx = points[..., None, 0] - points[..., None, 2] * middle[:, 0]
    ty = points[..., None, 1] - points[..., None, 2] * middle[:, 1]
    return np.asarray((d[:, 0] * ty - d[:, 1] * tx) / np.maximum(np.hypot(tx, ty), 1e-9))


def _turned(small: Picture, fine: Picture, R: Array, camera: tuple[float, Array], factor: float) -> Squared:
    """Both pictures seen square to the room, no larger than about the original."""
    f, c = camera
    K = np.array([[f, 0, c[0]], [0, f, c[1]], [0, 0, 1.0]])
    H = K @ R.T @ np.linalg.inv(K)
    h, w = small.shape[:2]
    frame = _mapped(H, np.array([[0, 0], [w - 1, 0], [w - 1, h - 1], [0, h - 1.0]]))
    middle, limit = frame.mean(axis=0), 0.85 * np.array([w, h])
    low, high = np.maximum(frame.min(axis=0), middle - limit), np.minimum(frame.max(axis=0), middle + limit)
    scale = min(1.0, math.sqrt(1.2 * w * h / float(np.prod(high - low))))
    shift = np.array([[scale, 0, -scale * low[0]], [0, scale, -scale * low[1]], [0, 0, 1.0]])
    H = shift @ H
    size = (int(scale * (high[0] - low[0])) + 1, int(scale * (high[1] - low[1])) + 1)
    seen = cv2.warpPerspective(np.full((h, w), 255, np.uint8), H, size, flags=cv2.INTER_NEAREST)
    onto = _scaled(FINE) @ H @ _scaled(h / fine.shape[0])
    return Squared(
        np.asarray(cv2.warpPerspective(small, H, size, borderMode=cv2.BORDER_REPLICATE), dtype=np.uint8),
        np.asarray(
            cv2.warpPerspective(fine, onto, (FINE * size[0], FINE * size[1]), borderMode=cv2.BORDER_REPLICATE), dtype=np.uint8
        ),
        np.asarray(seen, dtype=np.uint8) > 0,
        _mapped(shift, c[None])[0],
        H @ _scaled(1 / factor),
        f,
    )


def _resized(pixels: Picture, factor: float) -> Picture:
    if factor <= 1.0:
        return pixels
    size = (round(pixels.shape[1] / factor), round(pixels.shape[0] / factor))
    return np.asarray(cv2.resize(pixels, size, interpolation=cv2.INTER_AREA), dtype=np.uint8)


def _scaled(by: float) -> Array:
    """Pixel coordinates of a picture to those of one `by` times the size; (0, 0) is the centre of the first pixel."""
    return np.array([[by, 0, 0.5 * by - 0.5], [0, by, 0.5 * by - 0.5], [0, 0, 1.0]])


def _mapped(H: Array, points: Array) -> Array:
    p = np.column_stack([points, np.ones(len(points))]) @ H.T
    return np.asarray(p[:, :2] / p[:, 2:])
