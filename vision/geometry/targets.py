"""The frames that we print: found by the target in their middle, which tells kind, number and which way is up.

The target's corners only say where to look. What is measured are the straight outer edges of the black frame round it, by the
same fits as every other card's edges: a detector's corners are good to a third of a pixel at best and shift alike by up to half
a pixel with the method, a fitted edge to a few hundredths. OpenCV's corner positions have (0, 0) at the centre of the top-left
pixel, as ours.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.errors import CannotMeasure
from vision.geometry.cards import CardCandidate, in_picture_order
from vision.geometry.edges import EdgePoints
from vision.settings import CARD_KINDS, CardKind, PrintedTarget

Array = NDArray[np.float64]
DICTIONARY = cv2.aruco.DICT_5X5_50
MODULES = 7
"""squares along a target's side, its black border included"""
SMALLEST_SHARE = 0.02
"""perimeter of a target over the picture's long side; a small one at 3 m through a wide lens is still larger"""
CELL_MARGIN = 0.3
"""of a module, left out on all its sides when it is read as black or white: where the phone's tones make white grow over black
OpenCV's own 0.13 loses two of four targets of 4 px a module"""
PAPER = 1.35
"""times the frame; the paper round it lies within"""
WINDOW = 1.4
"""times the ring's thickness inside a frame's edge: there the white window is, clear of ring and target"""
WHOLE_SHARE = 0.6
"""share of a frame's edge that must be seen; a strip of tape over a corner takes less"""
OFF_PREDICTION = 0.05
"""of the shorter side; a frame edge further from where its target says is another edge"""
MOST_UNEVEN = 3.0
"""ratio of the four edges' contrasts; something dark or light over one edge makes more"""


def dictionary() -> cv2.aruco.Dictionary:
    """The targets in use: the first ones of the standard dictionary, so that nothing else can be read by mistake."""
    count = 1 + max(i for kind in CARD_KINDS.values() if kind.target for i in kind.target.ids)
    full = cv2.aruco.getPredefinedDictionary(DICTIONARY)
    return cv2.aruco.Dictionary(full.bytesList[:count], full.markerSize, full.maxCorrectionBits)


def find_targets(pixels: NDArray[np.uint8], kinds: Sequence[CardKind]) -> list[CardCandidate]:
    """The frames of these kinds in a picture (h, w, 3), each with its rough corners; good to a pixel or two."""
    kind_of = {i: kind for kind in kinds if kind.target for i in kind.target.ids}
    if not kind_of:
        return []
    parameters = cv2.aruco.DetectorParameters()
    parameters.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_SUBPIX
    parameters.minMarkerPerimeterRate = SMALLEST_SHARE
    parameters.perspectiveRemoveIgnoredMarginPerCell = CELL_MARGIN
    gray = np.asarray(cv2.cvtColor(pixels, cv2.COLOR_RGB2GRAY), dtype=np.uint8)
    corners, ids, _ = cv2.aruco.ArucoDetector(dictionary(), parameters).detectMarkers(gray)
    if ids is None:
        return []
    light = gray.astype(np.float32)
    return [
        _candidate(light, np.asarray(at, dtype=np.float64).reshape(4, 2), int(i), kind_of[int(i)])
        for at, i in zip(corners, np.asarray(ids).ravel(), strict=True)
        if int(i) in kind_of
    ]


def _candidate(gray: NDArray[np.float32], corners: Array, number: int, kind: CardKind) -> CardCandidate:
    """The frame round a target; `corners` (4, 2) px run top-left, top-right, bottom-right, bottom-left of the target itself."""
    assert kind.target is not None
    s = kind.target.side_mm / 2
    local = np.array([(-s, s), (s, s), (s, -s), (-s, -s)], dtype=np.float32)
    H = np.asarray(cv2.getPerspectiveTransform(local, corners.astype(np.float32)), dtype=np.float64)
    frame = np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)]) * (kind.width_mm / 2, kind.height_mm / 2)
    out = [_outward_mm(gray, H, frame[k], frame[(k + 1) % 4], kind.target) for k in range(4)]
    own = _mapped(H, _moved_out(frame, np.array(out)))
    upright = in_picture_order(own)
    first = int(np.argmin(np.linalg.norm(own - upright[0], axis=1)))
    return CardCandidate(upright, False, kind, first % 2 == 1, number)


def _outward_mm(gray: NDArray[np.float32], H: Array, a: Array, b: Array, target: PrintedTarget) -> tuple[float, float]:
    """How far beyond the side a to b (mm in the frame's own plane) its edge is seen, near a and near b.

    Each of many lines across starts in the middle of the black ring and goes outward until it is half way to white; 0 where
    that is not seen. `H` maps mm to pixels.
    """
    share = np.linspace(0.15, 0.85, 29)
    d = (b - a) / np.linalg.norm(b - a)
    outward, on_side = np.array([d[1], -d[0]]), a + share[:, None] * (b - a)
    reach = 0.5 * target.ring_mm
    step = np.linspace(-reach, reach, 41)
    values = _values(gray, _mapped(H, (on_side[:, None, :] + step[None, :, None] * outward).reshape(-1, 2))).reshape(29, 41)
    white = float(np.median(_values(gray, _mapped(H, on_side - WINDOW * target.ring_mm * outward))))
    middle = 0.5 * (float(np.median(values[:, 0])) + white)
    beyond = values > middle
    first = np.argmax(beyond, axis=1)
    ok = beyond.any(axis=1) & (first > 0)
    if ok.sum() < 8:
        return 0.0, 0.0
    k, i = np.flatnonzero(ok), first[ok]
    low, high = values[k, i - 1], values[k, i]
    at = step[i - 1] + (step[1] - step[0]) * (middle - low) / (high - low)
    near = np.abs(at - np.median(at)) < 0.2 * reach
    line = np.polyfit(share[ok][near], at[near], 1) if near.sum() > 5 else np.array([0.0, float(np.median(at))])
    return float(line[1]), float(line[0] + line[1])


def _moved_out(frame: Array, out: Array) -> Array:
    """Corners (4, 2) of a rectangle whose side k is moved out by out[k, 0] at its start and out[k, 1] at its end (mm)."""
    ends = []
    for k in range(4):
        a, b = frame[k], frame[(k + 1) % 4]
        d = (b - a) / np.linalg.norm(b - a)
        outward = np.array([d[1], -d[0]])
        ends.append((a + out[k, 0] * outward, b + out[k, 1] * outward))
    corners = []
    for k in range(4):
        (p, q), (r, s) = ends[k - 1], ends[k]
        t = np.linalg.solve(np.column_stack([q - p, r - s]), r - p)[0]
        corners.append(p + t * (q - p))
    return np.array(corners)


def _mapped(H: Array, points: Array) -> Array:
    return np.asarray(cv2.perspectiveTransform(points[None].astype(np.float64), H), dtype=np.float64).reshape(-1, 2)


def _values(gray: NDArray[np.float32], points: Array) -> Array:
    """Grey values at pixels (n, 2), between pixels by bilinear interpolation."""
    at = points.astype(np.float32)[None]
    sampled = cv2.remap(gray, at[..., 0], at[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(sampled, dtype=np.float64).reshape(-1)


def beside_targets(found: Sequence[CardCandidate], targets: Sequence[CardCandidate]) -> list[CardCandidate]:
    """Both together, left to right, without what was found by shape on a frame's own paper: its rim, its window, its target."""
    both = [*off_paper(found, targets), *targets]
    return sorted(both, key=lambda c: (c.corners_px[:, 0].mean(), c.corners_px[:, 1].mean()))


def off_paper(found: Sequence[CardCandidate], targets: Sequence[CardCandidate]) -> list[CardCandidate]:
    """What was found by shape and lies on no frame's own paper."""
    return [c for c in found if not any(_on_paper(c, t) for t in targets)]


def _on_paper(card: CardCandidate, target: CardCandidate) -> bool:
    centre = target.corners_px.mean(axis=0)
    paper = (centre + PAPER * (target.corners_px - centre)).astype(np.float32)
    x, y = (float(v) for v in card.corners_px.mean(axis=0))
    return bool(cv2.pointPolygonTest(paper, (x, y), False) >= 0)


def is_whole(candidate: CardCandidate, corners: Array, sides: Sequence[EdgePoints | None]) -> bool:
    """True where all four edges of a frame are seen well enough to measure by; always True for a card without a target."""
    if candidate.target is None:
        return True
    seen = [s for s in sides if s is not None]
    if len(seen) < 4 or min(s.kept_share for s in seen) < WHOLE_SHARE:
        return False
    luma = np.array([s.step[0] for s in seen])
    if luma.max() >= 0 or luma.min() < MOST_UNEVEN * luma.max():
        return False
    return bool(np.abs(corners - candidate.corners_px).max() < max(OFF_PREDICTION * _shortest(candidate.corners_px), 2.0))


def _shortest(corners: Array) -> float:
    return float(np.linalg.norm(np.roll(corners, -1, axis=0) - corners, axis=1).min())


def require_whole_frame(used: Mapping[int, bool]) -> None:
    """CannotMeasure (edge-hidden) where no card but printed frames is there and an edge of each is covered or cut off.

    `used`: by card number, whether it is seen well enough.
    """
    if not used or any(used.values()):
        return
    raise CannotMeasure(
        "cards",
        "edge-hidden",
        found=f"the printed frame of card {' and '.join(str(number) for number in used)} covered or cut off at an edge",
        needed="all four edges of the black frame in sight, with white paper round them",
        remedy="tape the paper by its white rim only, take away what stands before it, and take the photo again",
    )
