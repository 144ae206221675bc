"""Finding quadrilaterals that may be reference cards: bright or dark patches with four straight sides.

Works on a reduced picture; what it returns is rough (a pixel or two of the reduced picture) and is refined on the full one.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.geometry.cards import in_picture_order
from vision.geometry.cut import border_sides
from vision.geometry.quads import MIN_SIDE_PX, Contour, RoughQuad, fitted_quad, merged, rough_quad

Array = NDArray[np.float64]
Plane = NDArray[np.uint8]
"""One channel of the reduced picture, or a mask of it (0 or not)"""
WORKING_LONG_SIDE = 2016
"""px; a bank-size card at 2.4 m is still 54 px long at half of 12 MP"""
REACHES = (61, 201)
"""px of the reduced picture; thresholds are local to so much of it"""
SMALL = np.ones((3, 3), np.uint8)
ENOUGH_ALIKE = 3
"""contours with the same frame that are worth a fit"""
FAINTEST_SIDE = 0.4
"""codes per pixel; under this a side is noise"""
PRINT_PX = 11
"""px of the reduced picture; a stripe across a bank-size card is narrower"""
MOST_ALIKE = 10
"""contours of one size in one mask; nobody puts up more cards"""
NEAR_BORDER_PX = 1.5
"""px of the reduced picture; a side that lies this near to the border all along is where the picture ends"""
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
    if math.ceil(factor) < 1.1 * factor:  # a whole factor takes a sixth of the time
        factor = math.ceil(factor)
    size = (round(pixels.shape[1] / factor), round(pixels.shape[0] / factor))
    return np.asarray(cv2.resize(pixels, size, interpolation=cv2.INTER_AREA), dtype=np.uint8), factor


def find_quadrilaterals(
    pixels: NDArray[np.uint8], worth_a_fit: Callable[[Array], NDArray[np.bool_]] | None = None, *, quick: bool = False
) -> tuple[Array, Array]:
    """Corner sets (n, 4, 2) in photo pixels, bottom-left, bottom-right, top-right, top-left, and the strength of each (n,).

    Near duplicates are merged; the strength is the mean colour gradient along the weakest side (codes per pixel of the reduced
    picture). `worth_a_fit` tells of rough corner sets (n, 4, 2) in photo pixels, to a tenth of a side and in any order, which to
    go on with. `quick`: a third of the time and seven eighths of what the rest would find.
    """
    small, factor = reduced(pixels)
    lab = cv2.cvtColor(cv2.GaussianBlur(small, (0, 0), 0.8), cv2.COLOR_RGB2LAB)
    planes = [np.asarray(p, dtype=np.uint8) for p in cv2.split(lab)]
    rough = _rough_quads(_few_masks(planes) if quick else _masks(planes), planes[0].size)
    if worth_a_fit is not None and rough:
        good = worth_a_fit((np.array([r.starts[0] for r in rough]) + 0.5) * factor - 0.5)
        rough = [r for r, g in zip(rough, good, strict=True) if g]
    fitted = [f for r in rough if (f := fitted_quad(r)) is not None]
    if not fitted:
        return np.zeros((0, 4, 2)), np.zeros(0)
    gradient = _gradient(planes)
    misfits, quads = np.array([f[0] for f in fitted]), np.array([f[1] for f in fitted])
    clear = _strength(gradient, quads) > FAINTEST_SIDE
    found = merged(misfits[clear], in_picture_order(quads[clear]))
    return (found + 0.5) * factor - 0.5, _strength(gradient, found)


def _rough_quads(masks: Iterable[Plane], area: int) -> list[RoughQuad]:
    """Contours of all masks that may have four sides; of those with the same frame no more than are worth a fit."""
    out = []
    seen: Counter[tuple[int, ...]] = Counter()
    for mask in masks:
        contours, _ = cv2.findContours(mask, cv2.RETR_LIST, cv2.CHAIN_APPROX_NONE)
        for contour, frame in _not_a_pattern(contours, area):
            box = tuple(round(v / 6) for v in frame)
            seen[box] += 1
            rough = rough_quad(contour) if seen[box] <= ENOUGH_ALIKE else None
            if rough is not None:
                out.append(rough)
    return out


def _gradient(planes: Sequence[Plane]) -> NDArray[np.float32]:
    """Length of the colour gradient, codes per pixel, largest within a pixel."""
    total, slope = np.zeros(planes[0].shape, np.float32), np.empty(planes[0].shape, np.float32)
    for plane in planes:
        for i, j in ((1, 0), (0, 1)):
            cv2.accumulateSquare(cv2.Sobel(plane, cv2.CV_32F, i, j, dst=slope, scale=0.125), total)
    return np.asarray(cv2.dilate(cv2.sqrt(total, dst=slope), np.ones((3, 3), np.uint8)), dtype=np.float32)


def _strength(gradient: NDArray[np.float32], quads: Array) -> Array:
    """Mean gradient along the weakest side of quadrilaterals (n, 4, 2) in the reduced picture, their corners left out.

    A side along the border of the picture does not count: a card that runs out of the picture has none there.
    """
    t = np.linspace(0.12, 0.88, 24)[:, None]
    p = np.round(quads[:, :, None] * (1 - t) + np.roll(quads, -1, axis=1)[:, :, None] * t).astype(int)
    x, y = np.clip(p[..., 0], 0, gradient.shape[1] - 1), np.clip(p[..., 1], 0, gradient.shape[0] - 1)
    high, wide = gradient.shape
    cut = border_sides(quads, wide, high, NEAR_BORDER_PX).any(axis=2)
    return np.asarray(np.where(cut, np.inf, np.median(gradient[y, x], axis=2)).min(axis=1), dtype=np.float64)


def _across_print(mask: Plane) -> Plane:
    """The mask with narrow stripes of a card's print bridged, and what is thinner than a joint left out."""
    closed = cv2.morphologyEx(mask, cv2.MORPH_CLOSE, np.ones((PRINT_PX, PRINT_PX), np.uint8))
    return np.asarray(cv2.morphologyEx(closed, cv2.MORPH_OPEN, np.ones((7, 7), np.uint8)), dtype=np.uint8)


def _not_a_pattern(contours: Sequence[cv2.typing.MatLike], picture_area: float) -> list[tuple[Contour, Sequence[int]]]:
    """Contours (n, 2) that may be a card, with their frames; without those of which many more are of the same size: mosaic."""
    framed = [(c, f) for c in contours if len(c) >= 4 * MIN_SIDE_PX * 0.7 and (f := _frame(c, picture_area)) is not None]
    sizes = [(round(f[2] / 5), round(f[3] / 5)) for _, f in framed]
    often = Counter(sizes)
    return [
        (np.asarray(c[:, 0, :], dtype=np.int32), f)
        for (c, f), size in zip(framed, sizes, strict=True)
        if often[size] <= MOST_ALIKE
    ]


def _frame(contour: cv2.typing.MatLike, picture_area: float) -> Sequence[int] | None:
    """Left, top, width and height of a patch that fills a good part of its frame and is of a card's size; cheap, most fail."""
    frame = cv2.boundingRect(contour)
    w, h = frame[2:]
    if min(w, h) < MIN_SIDE_PX or w * h > 2 * MAX_AREA_SHARE * picture_area:
        return None
    area = cv2.contourArea(contour)
    return frame if area > 0.3 * w * h and len(contour) ** 2 < 60 * area else None


def _masks(planes: Sequence[Plane]) -> Iterator[Plane]:
    """Binary pictures in which a card's inside is one patch: local thresholds of several reaches, and enclosed by edges."""
    for reach in REACHES:
        for mask in _thresholds(planes, reach):
            yield np.asarray(cv2.morphologyEx(mask, cv2.MORPH_OPEN, SMALL), dtype=np.uint8)
            if reach > 100:
                yield _without_tape(mask)
                yield _across_print(mask)
    for edges in _edges(planes, ((6, 18), (20, 50))):
        yield np.asarray(cv2.bitwise_not(edges), dtype=np.uint8)
        yield edges


def _few_masks(planes: Sequence[Plane]) -> Iterator[Plane]:
    """Those of the masks that find the most: the wide thresholds, and what clear edges enclose."""
    for mask in _thresholds(planes, max(REACHES)):
        yield np.asarray(cv2.morphologyEx(mask, cv2.MORPH_OPEN, SMALL), dtype=np.uint8)
    for edges in _edges(planes, ((20, 50),)):
        yield np.asarray(cv2.bitwise_not(edges), dtype=np.uint8)


def _thresholds(planes: Sequence[Plane], reach: int) -> Iterator[Plane]:
    """What is brighter, and what is darker, than the mean over `reach` pixels round it, in each plane."""
    mean, difference = np.empty(planes[0].shape, np.float32), np.empty(planes[0].shape, np.float32)
    for channel, plane in enumerate(planes):
        spread = 3.0 if channel == 0 else 2.0
        cv2.boxFilter(plane, cv2.CV_32F, (reach, reach), dst=mean)
        cv2.subtract(plane, mean, dst=difference, dtype=cv2.CV_32F)
        for chosen in (difference > spread, difference < -spread):
            yield chosen.view(np.uint8)


def _edges(planes: Sequence[Plane], limits: Sequence[tuple[int, int]]) -> Iterator[Plane]:
    """Edges of all planes together, a pixel wider, for each pair of limits (codes per pixel)."""
    slopes = [cv2.spatialGradient(plane, borderType=cv2.BORDER_REPLICATE) for plane in planes]
    for low, high in limits:
        edges = np.zeros(planes[0].shape, np.uint8)
        for dx, dy in slopes:
            edges |= np.asarray(cv2.Canny(dx, dy, low, high, L2gradient=True), dtype=np.uint8)
        yield np.asarray(cv2.dilate(edges, SMALL), dtype=np.uint8)


def _without_tape(mask: Plane) -> Plane:
    """The mask without what is narrower than a strip of tape, sticking out or bitten in."""
    kernel = np.ones((TAPE_PX, TAPE_PX), np.uint8)
    opened = cv2.morphologyEx(mask, cv2.MORPH_OPEN, kernel)
    return np.asarray(cv2.morphologyEx(opened, cv2.MORPH_CLOSE, kernel), dtype=np.uint8)
