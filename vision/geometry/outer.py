"""A print inside a sheet: the larger rectangle round a patch, of one margin's colour all the way, which is the sheet's border.

A picture or a frame printed on a sheet has clearer sides than white paper on a light wall, and may be of the sheet's own shape.
What is looked for is four lines parallel to the patch's sides with paper of one look between them and it.
"""

from __future__ import annotations

import itertools
import math

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.geometry.code_medians import median_of_codes, spread_of_codes
from vision.geometry.ends import ends_at_corners
from vision.geometry.shapes import mean_sides

Array = NDArray[np.float64]
MOST_MARGIN, LEAST_MARGIN_PX = 0.3, 5.0
"""of the patch's shorter side, and px: how far outside of it the border may lie"""
LONGEST_PX = 400.0
"""px; the patch's longer side in the squared picture, at most"""
ALONG = 0.8
"""share of a patch's side beside which its margin is averaged"""
FAINTEST, SURELY = 1.5, 5.0
"""codes in Lab, and sd of the grain: least step of a border"""
PLACES = 3
"""clearest lines beside each side that are tried together"""
MOST_BORDERS = 6
UNEVEN_MARGIN, UNEVEN_STEPS = 0.4, 4.0
"""by which the margins above and below may differ from those left and right, in steps of the border: light falls off evenly,
paper is of one look; and the ratio of the border's four steps"""
LEAST_COSINE = 0.6
"""between a side's step in colour and the mean of all four"""
MARGIN_RATIO = 3.0
"""of the widest margin to the narrowest; prints stand roughly in the middle of their sheet"""
Line = tuple[float, float, Array]
"""How clear a line beside a side is, how far out, and its step"""


def sheets_round(pixels: NDArray[np.uint8], quad: Array, plane: Array) -> list[Array]:
    """Corners (4, 2) px of what may be the sheet on which a patch (4, 2) px is printed, the clearest first; `plane`: the patch
    squared. A frame that is printed round a print is among them."""
    a, b = (float(v) for v in mean_sides(plane))
    w_px = float(np.linalg.norm(quad[1] - quad[0]) + np.linalg.norm(quad[2] - quad[3])) / 2
    scale = min(1.0, LONGEST_PX / max(w_px, w_px * b / a))
    w, h = w_px * scale, w_px * scale * b / a
    margin = math.ceil(MOST_MARGIN * min(w, h)) + 4
    inner = np.array([[margin, margin + h], [margin + w, margin + h], [margin + w, margin], [margin, margin]])
    H = cv2.getPerspectiveTransform(inner.astype(np.float32), quad.astype(np.float32))
    size = (math.ceil(w) + 2 * margin, math.ceil(h) + 2 * margin)
    flat = cv2.warpPerspective(pixels, H, size, flags=cv2.INTER_AREA | cv2.WARP_INVERSE_MAP, borderMode=cv2.BORDER_REPLICATE)
    picture = np.asarray(cv2.cvtColor(flat, cv2.COLOR_RGB2LAB), dtype=np.uint8)
    beside: list[tuple[Array, list[Line]]] = []
    for k in range(4):
        colour, grain = _outward(picture, inner, k, margin)
        beside.append((colour, _steps(colour, grain, LEAST_MARGIN_PX * scale)))
        if not beside[-1][1]:
            return []
    borders = [
        inner + np.array([[-left, bottom], [right, bottom], [right, -top], [-left, -top]])
        for bottom, right, top, left in _borders(beside)
    ]
    corners = [np.asarray(cv2.perspectiveTransform(b[None].astype(np.float32), H)[0], dtype=np.float64) for b in borders]
    return [c for c in corners if ends_at_corners(pixels, c)]


def _outward(picture: NDArray[np.uint8], inner: Array, side: int, margin: int) -> tuple[Array, float]:
    """Colours (margin, 3) beside one side (bottom, right, top, left), outward from it, and the sd of each by the grain."""
    (x0, y1), (x1, y0) = inner[0], inner[2]
    dx, dy = ALONG * (x1 - x0) / 2, ALONG * (y1 - y0) / 2
    columns = slice(round((x0 + x1) / 2 - dx), round((x0 + x1) / 2 + dx))
    rows = slice(round((y0 + y1) / 2 - dy), round((y0 + y1) / 2 + dy))
    band = (
        picture[round(y1) :, columns],
        picture[rows, round(x1) :].transpose(1, 0, 2),
        picture[: round(y0), columns][::-1],
        picture[rows, : round(x0)].transpose(1, 0, 2)[::-1],
    )[side][:margin]
    mean = median_of_codes(band, axis=1)
    grain = 1.4826 * spread_of_codes(band, mean, axis=1) * math.sqrt(3.0 * 1.57 / band.shape[1])
    return mean, grain


def _steps(mean: Array, grain: float, least: float) -> list[Line]:
    """How clear, how far out, and the step itself (margin less what is beyond) of the clearest lines."""
    k = np.arange(max(math.ceil(least), 2), len(mean) - 2)
    step = (mean[k - 1] + mean[k - 2]) / 2 - (mean[k] + mean[k + 1]) / 2
    size = np.linalg.norm(step, axis=1)
    peak = (size >= np.roll(size, 1)) & (size >= np.roll(size, -1)) & (size > max(FAINTEST, SURELY * grain))
    best = np.flatnonzero(peak)[np.argsort(-size[peak])][:PLACES]
    return [(float(size[i]), float(k[i]), step[i]) for i in best]


def _borders(beside: list[tuple[Array, list[Line]]]) -> list[tuple[float, ...]]:
    """The margins below, right, above and left, of borders with one look all round, the clearest first."""
    out = []
    for four in itertools.product(*(lines for _, lines in beside)):
        far = tuple(f[1] for f in four)
        sizes, steps = np.array([f[0] for f in four]), np.array([f[2] for f in four])
        mean = steps.mean(axis=0)
        if max(far) > MARGIN_RATIO * min(far) or sizes.max() > UNEVEN_STEPS * sizes.min():
            continue
        if (steps @ mean < LEAST_COSINE * sizes * np.linalg.norm(mean)).any():
            continue
        if _unlike([_look(colour, d) for (colour, _), d in zip(beside, far, strict=True)]) < UNEVEN_MARGIN * np.median(sizes):
            out.append((float(sizes.min()), far))
    return [far for _, far in sorted(out, key=lambda o: -o[0])[:MOST_BORDERS]]


def _look(colour: Array, margin: float) -> Array:
    """The paper's colour (3,) in the outer two thirds of a margin: what is printed at its inner end does not count."""
    first = math.ceil(margin / 3)
    return np.asarray(np.median(colour[first : max(math.ceil(margin) - 1, first + 1)], axis=0))


def _unlike(looks: list[Array]) -> float:
    """How far what lies below and above differs from what lies left and right."""
    bottom, right, top, left = looks
    return float(np.linalg.norm(bottom + top - right - left)) / 2
