"""Joints of a tiled wall face, put together from short straight segments of the reduced picture.

The face is the opening plane beside and above the opening. Seen through an adjusted camera its upright joints are upright and
its level ones level, but for the camera's remaining error: that makes the joints of one family lean like the ribs of a fan. A
segment's own direction is worth nothing here (a faint one snaps to the pixel grid); a joint's is that of its middles.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.geometry.camera import Camera
from vision.geometry.model import H0, W0
from vision.settings_joints import JointSettings

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]
FANS = np.arange(-30, 31, 3) / 1e6
"""1/mm; how fast joints may fan out: 30 mm/m per m is a camera that is 4 degrees off at 2.4 m"""
TURNS = np.arange(-12, 13, 3) / 1e3
"""mm/mm; how far a grid may be turned against the curb"""
BIN_MM = 2.0
"""mm; positions are counted in cells of this width"""
MOST_KEEP = 0.75
"""mean length of the joints' turns about a grid's period; 1 where all stand on it, 0.9 at a tenth of a period of scatter"""
OFF_GRID = 0.2
"""periods; a joint further off its place belongs to another grid"""
HALF_JOINT_MM = 2.0
"""mm; sd of half a joint's width"""
ROUNDS = 6
"""of reweighting, enough for three digits"""
ROBUST = 2.5
"""sd beyond which a middle or a joint counts less and less"""


@dataclass(frozen=True)
class Family:
    """Joints of one direction: middles (n, 2) px of their segments, which joint (n,), weight (n,), and the face's frame.

    `axis` is the wall coordinate across the joints (0 for upright ones), `centre` (2,) mm the point about which they fan;
    `polarity` (n,) which side of a segment is the darker one; `joints` the number of them.
    """

    axis: int
    middles_px: Array
    joint: NDArray[np.int64]
    weight: Array
    polarity: Array
    centre: Array
    joints: int


def face_segments(pixels: NDArray[np.uint8], settings: JointSettings) -> Array | None:
    """Ends (n, 2, 2) in photo px of straight segments, (0, 0) the centre of the top-left pixel; None if no cue is asked for."""
    if not (settings.held or settings.enter):
        return None
    factor = max(max(pixels.shape[:2]) / settings.long_side_px, 1.0)
    size = (round(pixels.shape[1] / factor), round(pixels.shape[0] / factor))
    grey = cv2.resize(cv2.cvtColor(pixels, cv2.COLOR_RGB2GRAY), size, interpolation=cv2.INTER_AREA)
    found = cv2.createLineSegmentDetector(cv2.LSD_REFINE_NONE).detect(grey)[0]
    if found is None:
        return np.zeros((0, 2, 2))
    ends = np.asarray(found, dtype=np.float64).reshape(-1, 2, 2)
    long = np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1) > settings.shortest_px
    return np.asarray((ends[long] + 0.5) * factor - 0.5)


def on_face(camera: Camera, pixels: Array) -> Array:
    """Where the rays of pixels (n, 2) meet the opening plane, (n, 2) mm."""
    rays = camera.rays(pixels) @ camera.R
    eye = -camera.R.T @ camera.t
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray((eye - (eye[2] / rays[:, 2])[:, None] * rays)[:, :2])


def families(segments_px: Array, camera: Camera, opening: Array, settings: JointSettings) -> list[Family]:
    """The upright and the level joints of the face, as far as there are enough of them."""
    if not len(segments_px):
        return []
    ends = on_face(camera, segments_px.reshape(-1, 2)).reshape(-1, 2, 2)
    near = _beside(ends.mean(axis=1), opening, settings)
    out = []
    for axis in (0, 1):
        d = ends[:, 1] - ends[:, 0]
        straight = near & (np.abs(d[:, axis]) < settings.slope_reach * np.abs(d[:, 1 - axis]))
        if straight.any() and (family := _family(segments_px[straight], ends[straight], axis, settings)) is not None:
            out.append(family)
    return out


def _beside(middles: Array, opening: Array, settings: JointSettings) -> Mask:
    """Beside and above the opening, not in it, not under the curb and not further away than a face reaches."""
    x, y, width, height = *middles.T, float(opening[W0]), float(opening[H0])
    clear, far = settings.clear_mm, settings.reach_mm
    outside = (x < -clear) | (x > width + clear) | (y > height + clear)
    return np.asarray(outside & (x > -far) & (x < width + far) & (y > clear) & (y < height + far))


def _family(px: Array, ends: Array, axis: int, settings: JointSettings) -> Family | None:
    """The joints of one direction, or None where there are too few to tell a fan."""
    mid = ends.mean(axis=1)
    d = ends[:, 1] - ends[:, 0]
    across, along = mid[:, axis], mid[:, 1 - axis]
    weight = np.abs(d[:, 1 - axis])
    centre = np.average(mid, axis=0, weights=weight)
    flat = _flattened(across - centre[axis], along - centre[1 - axis], weight)
    label = np.full(len(px), -1)
    order = np.argsort(flat)
    count = 0
    for group in np.split(order, np.nonzero(np.diff(flat[order]) > settings.gap_mm)[0] + 1):
        if len(group) >= settings.fewest_segments and np.ptp(along[group]) >= settings.shortest_mm:
            label[group] = count
            count += 1
    if count < settings.fewest_joints:
        return None
    kept = label >= 0
    of = [across[label == j].mean() for j in range(count)]
    if np.ptp(of) < settings.narrowest_mm:
        return None
    side = np.sign(d[kept, 1 - axis])
    return Family(axis, px[kept].mean(axis=1), label[kept], weight[kept], side, centre, count)


def _flattened(across: Array, along: Array, weight: Array) -> Array:
    """Positions across the joints with the fan and the turn taken out that pile them up most sharply."""
    best, sharpest = across, -1.0
    span = int((np.ptp(across) + 2e-2 * np.ptp(along)) / BIN_MM) + 2
    for fan in FANS:
        for turn in TURNS:
            flat = across - (turn + fan * across) * along
            cells = ((flat - flat.min()) / BIN_MM).astype(np.int64)
            heap = np.bincount(cells, weights=weight, minlength=span)
            sharp = float(np.sum((heap[1:] + heap[:-1]) ** 2))
            if sharp > sharpest:
                best, sharpest = flat, sharp
    return best


@dataclass(frozen=True)
class Fitted:
    """Joints of a family as seen through one camera: places (j,) mm from the centre, slopes (j,), and their sds."""

    place: Array
    slope: Array
    place_sd: Array
    slope_sd: Array


def fit_joints(family: Family, camera: Camera, point_mm: float) -> Fitted:
    """A straight line through the middles of each joint's segments; `point_mm` is the sd of a middle on the face.

    The two edges of one joint are half its width to either side; how far is an unknown of each joint.
    """
    at = on_face(camera, family.middles_px) - family.centre
    across, along = at[:, family.axis], at[:, 1 - family.axis]
    A = np.stack([np.ones(len(along)), along / 1000, family.polarity], axis=1)
    base = family.weight / family.weight.mean() / point_mm**2
    w, scatter = base, np.ones(family.joints)
    loose = np.diag([1e-9, 1e-9, HALF_JOINT_MM**-2])
    squares, times_y = A[:, :, None] * A[:, None, :], A * across[:, None]
    for _ in range(ROUNDS):
        N = _summed(squares * w[:, None, None], family) + loose
        p = np.asarray(np.linalg.solve(N, _summed(times_y * w[:, None], family)[..., None])[..., 0], dtype=np.float64)
        off = (across - np.sum(A * p[family.joint], axis=1)) ** 2
        free = np.maximum(np.bincount(family.joint, w / base) - 2, 1)
        scatter = np.sqrt(np.maximum(np.bincount(family.joint, w * off) / free, 1.0))
        w = base / (1 + off * base / (ROBUST * scatter[family.joint]) ** 2) ** 2
    sd = np.asarray(np.sqrt(np.diagonal(np.linalg.inv(N), axis1=1, axis2=2)) * scatter[:, None], dtype=np.float64)
    return Fitted(p[:, 0], p[:, 1] / 1000, sd[:, 0], sd[:, 1] / 1000)


def _summed(rows: Array, family: Family) -> Array:
    """Sums of rows (n, ...) over the segments of each joint."""
    out = np.zeros((family.joints, *rows.shape[1:]))
    np.add.at(out, family.joint, rows)
    return out


def _robust(A: Array, y: Array, base: Array) -> tuple[Array, Array, float]:
    """Solution, its covariance and scatter (in sds, at least 1) by reweighting; what lies far off loses its say."""
    w, scatter = base, 1.0
    p: Array = np.zeros(A.shape[1])
    N: Array = np.eye(A.shape[1])
    for _ in range(ROUNDS):
        N = (A * w[:, None]).T @ A
        p = np.asarray(np.linalg.solve(N, (A * w[:, None]).T @ y), dtype=np.float64)
        off = (y - A @ p) ** 2 * base
        scatter = max(1.0, float(np.sqrt(np.sum(w / base * off) / max(np.sum(w / base) - A.shape[1], 1.0))))
        w = base / (1 + off / (ROBUST * scatter) ** 2) ** 2
    return p, np.asarray(np.linalg.inv(N) * scatter**2, dtype=np.float64), scatter


def fan(fitted: Fitted, own_sd: float) -> tuple[float, float, float]:
    """How fast slopes change across the joints (1/mm), its sd, and the scatter of the joints in their own sds."""
    sd = np.hypot(fitted.slope_sd, own_sd)
    place = (fitted.place - np.average(fitted.place, weights=sd**-2)) / 1000
    p, C, scatter = _robust(np.column_stack([np.ones(len(place)), place]), fitted.slope, sd**-2)
    return float(p[1]) / 1000, float(np.sqrt(C[1, 1])) / 1000, scatter


def grid_numbers(fitted: Fitted, least_period_mm: float) -> Array | None:
    """Which place in an equally spaced grid each joint has (j,), or None where the joints are not those of one grid."""
    period = _period(fitted.place, least_period_mm)
    if period is None:
        return None
    number = _numbers(fitted.place, period)
    off = fitted.place - np.polyval(np.polyfit(number, fitted.place, 2), number)
    one_grid = len(np.unique(number)) >= 4 and np.abs(off).max() < OFF_GRID * period
    return number - number.mean() if one_grid else None


def crowding(fitted: Fitted, number: Array, own_mm: float) -> tuple[float, float, float]:
    """How much closer the joints of a grid stand at one end than at the other (1/mm), its sd and their scatter."""
    sd = np.hypot(fitted.place_sd, own_mm)
    A = np.column_stack([np.ones(len(number)), number, number**2])
    p, C, scatter = _robust(A, fitted.place, sd**-2)
    return float(p[2] / p[1] ** 2), float(np.sqrt(C[2, 2]) / p[1] ** 2), scatter


def _period(place: Array, least: float) -> float | None:
    """The spacing that the joints keep best, the wider of two alike, or None."""
    span = float(np.ptp(place))
    tried = np.geomspace(least, max(span / 3, least), 600)
    turns = np.exp(2j * np.pi * place[None] / tried[:, None])
    kept = np.abs(turns.mean(axis=1))
    good = kept > MOST_KEEP
    return float(tried[good][np.argmax(kept[good] + 0.05 * np.log(tried[good] / least))]) if good.any() else None


def _numbers(place: Array, period: float) -> Array:
    """Whole numbers of joints, counted from neighbour to neighbour so that a perspective does not add up."""
    order = np.argsort(place)
    steps = np.rint(np.diff(place[order]) / period)
    out = np.empty(len(place))
    out[order] = np.concatenate([[0.0], np.cumsum(steps)])
    return out
