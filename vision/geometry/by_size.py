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
from vision.geometry.shapes import OWN_SIDE, kind_of_size, same_place, ways
from vision.geometry.squared import (
    BOX_PX,
    Image,
    both_steps,
    image_of_plane,
    pixels_of,
    plane_picture,
    region,
    squared,
    steps_across,
)
from vision.geometry.start import PlaneView
from vision.settings import CardKind

Array = NDArray[np.float64]
SHORT_SIDE_PX = 20.0
"""px of the plane's picture; a card's shorter side"""
FAINTEST = 1.0
"""codes; mean step of a side in Lab from which it may be one"""
MOST_SCALES, ALIKE = 2, 0.05
"""scales that are tried, and relative difference of two cards that tell the same one"""
MOST_PLACES = 12
"""places that are looked at closely for each way a kind may be put up: of those that whole lines tell, and of those by pieces"""
SAME_PX = 3.0
"""px; what is nearer together than this is found once; what a wrong scale puts at the same place lies further off"""
PIECES, HALF = 5, 8.0
"""of a side, each of which may have another colour or tape before it; codes at which a step counts half of what it may at most"""
LEAST_USUAL = 0.3
"""codes; a step counts against the mean of those round about and so much"""
ALONG = 0.75
"""share of a side that is averaged: its corners are round, and its direction is good to a few degrees"""
TURNS = np.radians([-4.0, -2.0, 0.0, 2.0, 4.0])
"""how askew a card may be against the opening"""
OFF_SIZE, AROUND_PX = 0.05, 9.0
"""relative, how far a side may be off its length in a first view; px beside a place that are searched for its sides"""
CORE = 0.5
"""of a place, about its middle: covered by all that is found there but for `AROUND_PX`"""


MOST_NEAR = 6
"""patches of nearly a kind's size that are looked at again"""


def cards_by_size(
    pixels: NDArray[np.uint8],
    outline: tuple[PlaneView, Array],
    told: Sequence[CardCandidate],
    kinds: Sequence[CardKind],
    *,
    off_px: float,
) -> list[CardCandidate]:
    """Candidates beside and above the outline (4, 2) px whose sides are a kind's at the scale of the cards `told`, rough to a
    pixel or two; also where these are, since print may have misled who found them. What they are is for their sides to say.
    `off_px`: how far the outline may turn out to be off; what reaches further into it is not looked at."""
    view, corners_px = outline
    units = [mm_per_unit(c, view.on_plane(c.corners_px)) for c in told]
    out: list[CardCandidate] = []
    for unit in _scales(units):
        H = image_of_plane(view, unit)
        shown = region(view, corners_px, (pixels.shape[1], pixels.shape[0]), unit)
        pictures: dict[float, tuple[Image, Image]] = {}
        for kind, turned, w, h in ways(kinds):
            per_mm = SHORT_SIDE_PX / min(w, h)
            if per_mm not in pictures:
                pictures[per_mm] = both_steps(plane_picture(pixels, H, shown, per_mm))
            known = [_middle(view, c) * unit for c in told]
            for at in (*known, *_places(pictures[per_mm], (w, h), (per_mm, shown), known)):
                place = pixels_of(H, at + 0.5 * np.array([[-w, -h], [w, -h], [w, h], [-w, h]]))
                inside = _reaches_into(corners_px, place, off_px + AROUND_PX)
                found = None if inside else closely(pixels, H, at, (w, h), place)
                corners = None if found is None else in_picture_order(found[None])[0]
                if corners is not None and not any(np.abs(c.corners_px - corners).max() < SAME_PX for c in out):
                    out.append(CardCandidate(corners, False, kind, turned))
    return out


def near_a_size(
    patches: Array, others: Sequence[CardCandidate], told: Sequence[CardCandidate], view: PlaneView, kinds: Sequence[CardKind]
) -> list[CardCandidate]:
    """Of patches (n, 4, 2) px, the clearest first, the first few that are no others and have nearly a kind's size at the scale of
    the cards `told`: light or a joint may have bent one side away."""
    out: list[CardCandidate] = []
    units = [mm_per_unit(c, view.on_plane(c.corners_px)) for c in told]
    for patch in patches if units else ():
        match = kind_of_size(view.on_plane(patch), kinds, float(np.median(units)), OWN_SIDE)
        taken = match is None or any(same_place(c.corners_px, patch) or same_place(patch, c.corners_px) for c in (*others, *out))
        if match is not None and not taken:
            out.append(CardCandidate(patch, False, match[0], match[1]))
        if len(out) == MOST_NEAR:
            break
    return out


def _reaches_into(outline: Array, place: Array, depth_px: float) -> bool:
    """True where a place (4, 2) px reaches further into the outline (4, 2) px, from bottom-left on, with its core."""
    middle = place.mean(axis=0)
    points = np.vstack([middle, middle + CORE * (place - middle)])
    d = np.roll(outline, -1, axis=0) - outline
    inward = np.column_stack([d[:, 1], -d[:, 0]]) / np.linalg.norm(d, axis=1)[:, None]  # counterclockwise as seen, y down
    depths = np.sum((points[:, None] - outline) * inward, axis=2)
    return bool((depths.min(axis=1) > depth_px).any())


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


def _places(
    steps: tuple[Image, Image], size_mm: tuple[float, float], drawn: tuple[float, tuple[Array, Array]], taken: Sequence[Array]
) -> list[Array]:
    """Middles (mm on the plane) at which four lines at these distances have steps of colour along them, best first.

    `drawn`: px per mm of the picture and the region it shows; nothing is told nearer than a card's length to a middle `taken`.
    """
    out: list[Array] = []
    for pieces in (1, PIECES):
        at, _ = scored_places(steps, size_mm, drawn, pieces=pieces)
        for middles, apart in ((taken, max(size_mm)), (out, 0.2 * min(size_mm))):
            for middle in middles:
                at = at[np.linalg.norm(at - middle, axis=1) > apart]
        out = [*out, *at[:MOST_PLACES]]
    return out


def scored_places(
    steps: tuple[Image, Image],
    size_mm: tuple[float, float],
    drawn: tuple[float, tuple[Array, Array]],
    *,
    most: float = math.inf,
    pieces: int = 1,
) -> tuple[Array, Array]:
    """Middles (n, 2) mm as above, and how clear the faintest of the four lines is against the steps round about, best first.

    `steps`: those of a squared wall over upright lines and over level ones (`both_steps`).
    What goes on beyond the corners on both sides is a joint or a wall's edge, and counts for nothing. A step counts for no more
    than `most` codes, so that a strip of tape does not count for a whole line. `pieces`: each line in so many of them, whatever
    their colours, as those of a print in bands.
    """
    (per_mm, (low, high)), (w, h) = drawn, (v * drawn[0] for v in size_mm)
    rows, columns = steps[0].shape[:2]
    dx, dy = round(w / 2), round(h / 2)
    if rows <= 4 * dy or columns <= 4 * dx:
        return np.zeros((0, 2)), np.zeros(0)
    upright = _ending(steps[0], round(ALONG * h), 2 * dy, 1, most=most, pieces=pieces)
    level = _ending(steps[1], round(ALONG * w), 2 * dx, 0, most=most, pieces=pieces)
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


def _ending(steps: Image, long: int, length: int, across: int, *, most: float, pieces: int) -> Image:
    """Size (h, w) of the steps over lines `long` px long, less that of the fainter of what lies `length` px further on."""
    short = max(round(long / pieces), 2)
    steps = _along(np.clip(steps, -most, most) if math.isfinite(most) else steps, short, across)
    size = _lengths(steps)
    if pieces > 1:
        size = _along(size * HALF / (size + HALF), long - short + 1, across)
    beyond = np.minimum(np.roll(size, length, axis=1 - across), np.roll(size, -length, axis=1 - across))
    return np.asarray(np.maximum(size - beyond, 0.0), dtype=np.float32)


def _lengths(steps: Image) -> Image:
    """Size (h, w) of steps (h, w, 3); numpy sums three neighbours ten times slower."""
    return np.asarray(cv2.sqrt(cv2.transform(cv2.multiply(steps, steps), np.ones((1, 3), np.float32))), dtype=np.float32)


def _along(picture: Image, n: int, across: int) -> Image:
    """Means over `n` pixels along the lines."""
    return np.asarray(cv2.boxFilter(picture, cv2.CV_32F, (1, n) if across else (n, 1)), dtype=np.float32)


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
        picture = squared(pixels, H @ to_mm, (int(2 * half[0]), int(2 * half[1])))
        sx, x0, x1 = _ends(picture, half, (w * px_per_mm, h * px_per_mm), taped)
        if sx <= (FAINTEST if best is None else best[0]):
            continue
        sy, y0, y1 = _ends(np.asarray(cv2.transpose(picture)), half[::-1], (h * px_per_mm, w * px_per_mm), taped)
        if best is None or min(sx, sy) > best[0]:
            corners = np.array([[x0, y1], [x1, y1], [x1, y0], [x0, y0]]) - 0.5
            best = min(sx, sy), pixels_of(H @ to_mm, corners)
    return None if best is None or best[0] < FAINTEST else best[1]


def _by_pieces(band: Image) -> Array:
    """How clear each upright line of a picture (along, lines, 3) is, piece by piece, codes (lines,).

    A piece's size is the root of the product of what its odd and its even pixels tell, which grain does not lift. Pixels are
    averaged before they are compared across the line: it comes to the same, and there is less to compare.
    """
    n = max(len(band) // PIECES, 2)
    starts = range(0, len(band) - n + 1, n)
    means = np.stack([band[k + first : k + n : 2].mean(axis=0) for first in (0, 1) for k in starts])
    even, odd = np.split(steps_across(means, 1), 2)
    square = np.sum(even * odd, axis=2)
    size = np.sqrt(np.abs(square))
    return np.asarray(np.maximum((np.sign(square) * size * HALF / (size + HALF)).mean(axis=0), 0.0))


def _ends(picture: Image, half: NDArray[np.int_], size: tuple[float, float], taped: bool) -> tuple[float, float, float]:
    """Score and places (px) of the two upright lines about a side's length apart that have the clearest steps, the fainter one's
    step. `half`: the picture's middle (x, y); `size`: width and height (px) of what is looked for."""
    length, breadth = size
    reach = int(ALONG * breadth / 2)
    band = picture[int(half[1]) - reach : int(half[1]) + reach]
    line = np.linalg.norm(np.median(steps_across(band, 1), axis=0), axis=-1) if taped else _by_pieces(band)
    first = int(half[0] - length / 2)
    before = np.arange(max(first - int(AROUND_PX), BOX_PX), first + int(AROUND_PX) + 1)
    apart = np.arange(math.floor(length * (1 - OFF_SIZE)), math.ceil(length * (1 + OFF_SIZE)) + 1)
    pairs = np.add.outer(before, apart)
    if pairs.max() >= len(line):
        pairs = np.minimum(pairs, len(line) - 1)
    score = np.minimum(line[before][:, None], line[pairs])
    i, j = np.unravel_index(int(np.argmax(score)), score.shape)
    return float(score[i, j]), float(before[i]), float(pairs[i, j])
