"""Rectangles of a card's known size on the wall, whatever they look like: the second search, once the photo's scale is known.

The finder needs a patch of one look. A card whose stripe is as dark as the wall, or that is barely lighter than it, is none. But
where the plane and its scale are known, four lines at a card's distances, each with a step of colour all along, are seldom
anything else. Steps are averaged along a whole side before anything is compared, so grain does not matter.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.geometry.cards import CardCandidate, in_picture_order
from vision.geometry.cut import mm_per_unit
from vision.geometry.shapes import same_place, ways
from vision.geometry.start import PlaneView
from vision.settings import CardKind

Array = NDArray[np.float64]
Image = NDArray[np.float32]
SHORT_SIDE_PX = 20.0
"""px of the plane's picture; a card's shorter side"""
ROUND = (0.8, 0.25)
"""widths beside, and heights above and below the outline, within which references are looked for (by judgement)"""
FAINTEST = 1.0
"""codes; mean step of a side in Lab from which it may be one"""
MOST_SCALES, ALIKE = 2, 0.05
"""scales that are tried, and relative difference of two cards that tell the same one"""
MOST_PLACES = 8
"""places that are looked at closely for each way a kind may be put up"""
LEAST_USUAL = 0.3
"""codes; a step counts against the mean of those round about and so much"""
BOX_PX = 2
"""px on either side of a line that are compared"""
ALONG = 0.75
"""share of a side that is averaged: its corners are round, and its direction is good to a few degrees"""
TURNS = np.radians([-4.0, -2.0, 0.0, 2.0, 4.0])
"""how askew a card may be against the opening"""
OFF_SIZE, AROUND_PX = 0.025, 9.0
"""relative, how far a side may be off its length in a first view; px beside a place that are searched for its sides"""


def cards_by_size(
    pixels: NDArray[np.uint8], outline: tuple[PlaneView, Array], told: Sequence[CardCandidate], kinds: Sequence[CardKind]
) -> list[CardCandidate]:
    """Candidates beside and above the outline (4, 2) px whose sides are a kind's at the scale of the cards `told`, rough to a
    pixel or two; also where these are, since print may have misled who found them. What they are is for their sides to say."""
    view, corners_px = outline
    units = [mm_per_unit(c, view.on_plane(c.corners_px)) for c in told]
    out: list[CardCandidate] = []
    for unit in _scales(units):
        H = image_of_plane(view, unit)
        shown = region(view, corners_px, (pixels.shape[1], pixels.shape[0]), unit)
        pictures: dict[float, Image] = {}
        for kind, turned, w, h in ways(kinds):
            per_mm = SHORT_SIDE_PX / min(w, h)
            if per_mm not in pictures:
                pictures[per_mm] = plane_picture(pixels, H, shown, per_mm)
            known = [_middle(view, c) * unit for c in told]
            for at in (*known, *_places(pictures[per_mm], (w, h), (per_mm, shown), known)):
                place = pixels_of(H, at + 0.5 * np.array([[-w, -h], [w, -h], [w, h], [-w, h]]))
                corners = closely(pixels, H, at, (w, h), place)
                if corners is not None and not any(same_place(c.corners_px, corners) for c in out):
                    out.append(CardCandidate(in_picture_order(corners[None])[0], False, kind, turned))
    return out


def _scales(units: Sequence[float]) -> list[float]:
    """The two scales that most of the cards tell, the commonest first."""
    left = sorted(units)
    out: list[float] = []
    while left and len(out) < MOST_SCALES:
        groups = [[u for u in left if abs(u / v - 1) < ALIKE] for v in left]
        best = max(groups, key=len)
        out.append(float(np.median(best)))
        left = [u for u in left if u not in best]
    return out


def _middle(view: PlaneView, card: CardCandidate) -> Array:
    return np.asarray(view.on_plane(card.corners_px).mean(axis=0))


def image_of_plane(view: PlaneView, mm_per_unit: float) -> Array:
    """H (3, 3) from millimetres on the plane, x right and y up, to pixels; without the lens term, which moves whole cards."""
    c = view.camera
    K = np.array([[c.f, 0, c.cx], [0, c.f, c.cy], [0, 0, 1.0]])
    return np.asarray(K @ np.column_stack([view.R[:, 0], view.R[:, 1], view.origin * mm_per_unit]))


def pixels_of(H: Array, points: Array) -> Array:
    """Points (n, 2) through a homography (3, 3)."""
    p = np.column_stack([points, np.ones(len(points))]) @ H.T
    return np.asarray(p[:, :2] / p[:, 2:])


def region(view: PlaneView, corners_px: Array, size_px: tuple[int, int], mm_per_unit: float) -> tuple[Array, Array]:
    """Lowest and highest x and y (mm) of where references are looked for, as far as the picture shows it."""
    outline = view.on_plane(corners_px) * mm_per_unit
    low, high = outline.min(axis=0), outline.max(axis=0)
    beside = np.array(ROUND) * (high - low)
    border = view.on_plane(np.array([[0, 0], [1, 0], [1, 1], [0, 1]]) * (np.array(size_px) - 1.0)) * mm_per_unit
    seen = np.nan_to_num(border, nan=np.inf)
    return np.maximum(low - beside, np.minimum(seen.min(axis=0), low)), np.minimum(
        high + beside, np.maximum(seen.max(axis=0), high)
    )


def plane_picture(pixels: NDArray[np.uint8], H: Array, region: tuple[Array, Array], per_mm: float) -> Image:
    """The wall squared, in Lab, (h, w, 3)."""
    low, high = region
    size = np.ceil((high - low) * per_mm).astype(int)
    to_mm = np.array([[1 / per_mm, 0, low[0]], [0, -1 / per_mm, high[1]], [0, 0, 1.0]])
    return _squared(pixels, H @ to_mm, (int(size[0]), int(size[1])))


def _squared(pixels: NDArray[np.uint8], H: Array, size: tuple[int, int]) -> Image:
    """Lab (h, w, 3) of the pixels that H (3, 3) tells for each pixel of a picture (w, h); reduced first where it shrinks."""
    middle = pixels_of(H, np.array([[size[0] / 2, size[1] / 2], [size[0] / 2 + 1, size[1] / 2]]))
    shrinks = max(int(np.linalg.norm(middle[1] - middle[0])), 1)
    if shrinks > 1:
        small = (max(pixels.shape[1] // shrinks, 1), max(pixels.shape[0] // shrinks, 1))
        pixels = np.asarray(cv2.resize(pixels, small, interpolation=cv2.INTER_AREA), dtype=np.uint8)
        H = np.diag([1 / shrinks, 1 / shrinks, 1.0]) @ H
    flat = cv2.warpPerspective(pixels, H, size, flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP, borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(cv2.cvtColor(flat, cv2.COLOR_RGB2LAB), dtype=np.float32)


def _steps(picture: Image, across: int) -> Image:
    """Mean of the pixels after each line less that before it, (h, w, 3); `across` 1 for upright lines, 0 for level ones.

    Line k lies between pixels k - 1 and k.
    """
    size = (BOX_PX, 1) if across else (1, BOX_PX)
    mean = cv2.boxFilter(picture, cv2.CV_32F, size, anchor=(0, 0), borderType=cv2.BORDER_REPLICATE)
    return np.asarray(mean - np.roll(mean, BOX_PX, axis=across), dtype=np.float32)


def _places(
    picture: Image, size_mm: tuple[float, float], drawn: tuple[float, tuple[Array, Array]], taken: Sequence[Array]
) -> list[Array]:
    """Middles (mm on the plane) at which four lines at these distances have steps of colour along them, best first.

    `drawn`: px per mm of the picture and the region it shows; nothing is told nearer than a card's length to a middle `taken`.
    """
    at, _ = scored_places(picture, size_mm, drawn)
    for middle in taken:
        at = at[np.linalg.norm(at - middle, axis=1) > max(size_mm)]
    return list(at[:MOST_PLACES])


def scored_places(
    picture: Image, size_mm: tuple[float, float], drawn: tuple[float, tuple[Array, Array]], *, most: float = math.inf
) -> tuple[Array, Array]:
    """Middles (n, 2) mm as above, and how clear the faintest of the four lines is against the steps round about, best first.

    What goes on beyond the corners on both sides is a joint or a wall's edge, and counts for nothing. A step counts for no more
    than `most` codes, so that a strip of tape does not count for a whole line.
    """
    (per_mm, (low, high)), (w, h) = drawn, (v * drawn[0] for v in size_mm)
    rows, columns = picture.shape[:2]
    dx, dy = round(w / 2), round(h / 2)
    if rows <= 4 * dy or columns <= 4 * dx:
        return np.zeros((0, 2)), np.zeros(0)
    upright, level = _ending(picture, round(ALONG * h), 2 * dy, 1, most), _ending(picture, round(ALONG * w), 2 * dx, 0, most)
    usual = LEAST_USUAL + cv2.blur(0.5 * (upright + level), (8 * dx + 1, 8 * dy + 1))
    upright = np.asarray(cv2.dilate(upright, np.ones((1, 3), np.uint8)), dtype=np.float32)
    level = np.asarray(cv2.dilate(level, np.ones((3, 1), np.uint8)), dtype=np.float32)
    score = np.zeros((rows, columns), np.float32)
    score[dy : rows - dy, dx : columns - dx] = np.minimum.reduce(
        [
            upright[dy : rows - dy, : columns - 2 * dx],
            upright[dy : rows - dy, 2 * dx :],
            level[: rows - 2 * dy, dx : columns - dx],
            level[2 * dy :, dx : columns - dx],
        ]
    )
    best = cv2.dilate(score, np.ones((2 * (dy // 2) + 1, 2 * (dx // 2) + 1), np.uint8))
    ys, xs = np.nonzero((score >= best) & (score > FAINTEST))
    clear = score[ys, xs] / usual[ys, xs]
    order = np.argsort(-clear)
    return np.column_stack([xs, ys])[order] / per_mm * [1, -1] + [low[0], high[1]], clear[order]


def _ending(picture: Image, long: int, length: int, across: int, most: float) -> Image:
    """Size (h, w) of the steps over lines `long` px long, less that of the fainter of what lies `length` px further on."""
    steps = cv2.boxFilter(np.clip(_steps(picture, across), -most, most), cv2.CV_32F, (1, long) if across else (long, 1))
    size = np.sqrt(np.sum(steps * steps, axis=2))
    beyond = np.minimum(np.roll(size, length, axis=1 - across), np.roll(size, -length, axis=1 - across))
    return np.asarray(np.maximum(size - beyond, 0.0), dtype=np.float32)


def closely(
    pixels: NDArray[np.uint8], H: Array, at: Array, size_mm: tuple[float, float], place: Array, *, taped: bool = False
) -> Array | None:
    """Corners (4, 2) px of the best rectangle of about this size near a place, turned by a few degrees; None where none is.

    `taped`: lines by their medians, which a strip of tape across them does not move.
    """
    w, h = size_mm
    px_per_mm = math.sqrt(abs(float(cv2.contourArea(place.astype(np.float32)))) / (w * h))
    half = np.ceil(0.5 * np.array([w, h]) * px_per_mm + 2 * AROUND_PX + 4).astype(int)
    best: tuple[float, Array] | None = None
    for turn in TURNS:
        c, s = math.cos(turn) / px_per_mm, math.sin(turn) / px_per_mm
        to_mm = np.array([[c, s, at[0] - c * half[0] - s * half[1]], [s, -c, at[1] - s * half[0] + c * half[1]], [0, 0, 1.0]])
        picture = _squared(pixels, H @ to_mm, (int(2 * half[0]), int(2 * half[1])))
        ends = [_ends(picture, half, (w * px_per_mm, h * px_per_mm), across, taped) for across in (1, 0)]
        if any(e is None for e in ends):
            continue
        (sx, x0, x1), (sy, y0, y1) = ((e[0], e[1] - 0.5, e[2] - 0.5) for e in ends if e is not None)
        if best is None or min(sx, sy) > best[0]:
            best = min(sx, sy), pixels_of(H @ to_mm, np.array([[x0, y1], [x1, y1], [x1, y0], [x0, y0]]))
    return None if best is None or best[0] < FAINTEST else best[1]


def _ends(
    picture: Image, half: NDArray[np.int_], size: tuple[float, float], across: int, taped: bool
) -> tuple[float, float, float] | None:
    """Score and places (px) of the two lines about a side's length apart that have the clearest steps, the fainter one's step."""
    other = 1 - across
    length, breadth = size[other], size[across]
    reach = int(ALONG * breadth / 2)
    middle = int(half[across])
    steps = _steps(picture, across)
    band = steps[middle - reach : middle + reach] if across else steps[:, middle - reach : middle + reach]
    line = np.linalg.norm(np.median(band, axis=other) if taped else band.mean(axis=other), axis=-1)
    first = int(half[other] - length / 2)
    before = np.arange(max(first - int(AROUND_PX), BOX_PX), first + int(AROUND_PX) + 1)
    apart = np.arange(math.floor(length * (1 - OFF_SIZE)), math.ceil(length * (1 + OFF_SIZE)) + 1)
    pairs = np.add.outer(before, apart)
    if pairs.max() >= len(line):
        pairs = np.minimum(pairs, len(line) - 1)
    score = np.minimum(line[before][:, None], line[pairs])
    i, j = np.unravel_index(int(np.argmax(score)), score.shape)
    return float(score[i, j]), float(before[i]), float(pairs[i, j])
