"""Sub-pixel edges along a rough line: a step beside an optional narrow line, in the colour direction that separates the sides.

Model of the projected linear light at signed distance v (px) from the edge, with contrast B - A between the sides:
    A + (B - A) * (Phi(v / s) + c * (Phi(v / s) - Phi((v - w) / s)))
s is the blur, c and w the relative amplitude and the width of a line (shadow, grout, bead) that touches the edge on one side.
Blocks of scan lines share s, c and w; each has its own position and levels. Not covered: two real edges closer than the blur.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from vision.geometry.bands import band_px, burnt_px
from vision.geometry.edge_shape import BlockFit, Shape, fit_blocks, fit_shape
from vision.geometry.left_out import left_out_px, wander_px
from vision.geometry.profiles import profiles, separating_direction, side_light
from vision.geometry.strips import Strip
from vision.settings import EdgeSettings

Array = NDArray[np.float64]
COLOUR_BIAS_PX = 0.4
"""px; shift of an edge seen in colour differences only: files store them at half resolution, and a joint hides in them"""
CLEAR_LINE = 0.2
"""relative to the step; a fainter line does not move the edge, it may be sharpening's overshoot"""
MOSTLY_LUMA = 0.3
"""share of colour in an edge's step under which its shape and blur tell of the edge and not of coarsely stored colours"""


@dataclass(frozen=True)
class EdgePoints:
    """Observed points of one imaged edge.

    `points_px` (n, 2) and `sd_px` (n,), normal to the edge; `along` (n,) runs from -1 to 1 over the whole imaged edge;
    `bias_sd_px` is the sd of a shift of either end and of the sag, common to all points; `blur_px` and `contrast` describe the
    fit, `line_shift_px` is how far the narrow line moved the position (a measure of doubt).
    """

    points_px: Array
    sd_px: Array
    along: Array
    bias_sd_px: float
    blur_px: float
    contrast: float
    line_shift_px: float
    kept_share: float
    step: Array
    """(3,) luma and colour differences of the plus side (growing position) less the minus side"""
    coloured: float = 0.0
    """share of the projected step that comes from colour differences instead of luma"""
    ragged_px: float = 0.0
    """px; how far the points scatter about a smooth curve: what no straight border of a card does"""
    common_px: float = 0.0
    """px; part of the bias that the same sides of all like cards in a photo share: light falls on all of them alike"""
    tone_px: float = 0.0
    """px; another part of it, by the phone's tones: outward for a card brighter than the wall, below 0 for a darker one"""
    sag_sd_px: float = 0.0
    """px; sd of the sag where that is less than `bias_sd_px`; 0 where it is the same"""
    finish_px: float = 0.0
    """px; part of the bias that comes from how the edge is finished: a rounding, a bead, a joint, a step in colour alone"""
    marked: bool = False
    """True where nothing was seen and the user's two marks at its ends stand for it"""
    cut_off: bool = False
    """True where one of its surfaces is at full scale and the other so near that what is left hardly tells its place"""


def observe_edge(
    strip: Strip,
    curve: Array,
    extent: tuple[float, float],
    *,
    scale: float,
    settings: EdgeSettings,
    line_sides: tuple[int, ...] = (-1, 1),
    trim: tuple[float, float] = (0.0, 0.0),
    most_px: float = np.inf,
) -> EdgePoints | None:
    """Sub-pixel points of the edge near `curve` (one position a scan line), or None where no edge can be followed.

    `extent`: scan-line coordinates of the two ends of the whole edge; `trim` px are left out at either end; `scale` is the
    photo's diagonal over that of a 12 MP photo; `line_sides` says on which sides a narrow line may touch the edge; nothing
    further than `most_px` from the edge is looked at.
    """
    a, b = sorted(extent)
    lines = (max(int(np.ceil(a + trim[0])), 0), min(int(np.floor(b - trim[1])) + 1, strip.lines))
    length = lines[1] - lines[0]
    if length < 8:
        return None
    blocks = int(np.clip(length // 8, 4, 60))
    half = min(max(12.0 * scale, 8.0), most_px)
    p = profiles(strip, curve, lines, blocks, half)
    direction, step = separating_direction(p, min(2.5, half - 1.2), half)
    if not np.any(direction):
        return None
    y = p.colour @ direction
    first = fit_blocks(y, p.u, p.count, Shape(1.2), np.zeros(blocks))
    coloured = float(direction[1:] @ step[1:])
    light = side_light(p, min(2.5, half - 1.2), half) if abs(coloured) < MOSTLY_LUMA else None
    fitted = fit_shape(y, p.u, p.count, first, line_sides, light=light)
    shape, shift = fitted.shape, fitted.shift
    fit = fit_blocks(y, p.u, p.count, shape, first.x0 + shift)
    doubt = 0.3 * shift
    if abs(shape.c) > CLEAR_LINE and shape.side and len(line_sides) > 1 and not fitted.sharpened:
        # either border of the line may be the edge: its middle, and half of it as doubt
        fit = replace(fit, x0=fit.x0 + shape.side * shape.w / 2)
        doubt = shape.w / 2
    doubt = max(doubt, abs(fitted.second_px) / 2**0.5)  # either step may be the edge
    doubt = max(doubt, band_px(p, fit.x0, shape.s) / 12**0.5)  # the edge is anywhere between the band's borders
    doubt = float(np.hypot(doubt, burnt_px(p, fit.x0, shape.s)))
    return edge_points(strip, curve, Found(p.centre, fit, shape, shift, step, coloured, doubt, long=True), (a, b), settings)


@dataclass(frozen=True)
class Found:
    """An edge as fitted: block centres (scan lines), block fits, common shape, shift by the line (px), colour step.

    `coloured` is the share of the step that comes from colour; `line_doubt` (px) the sd that a line beside the edge adds;
    `long`: an edge along which light and surfaces change, so that points left out of its curve may be right.
    """

    centre: Array
    fit: BlockFit
    shape: Shape
    shift: float
    step: Array
    coloured: float
    line_doubt: float
    long: bool = False


def edge_points(
    strip: Strip, curve: Array, found: Found, extent: tuple[float, float], settings: EdgeSettings
) -> EdgePoints | None:
    """Keep the blocks that lie on one smooth curve, and widen what the scatter shows to be worse than stated."""
    fit = found.fit
    step = fit.B - fit.A
    along = 2 * (found.centre - extent[0]) / max(extent[1] - extent[0], 1e-9) - 1
    ok = np.isfinite(fit.x0) & np.isfinite(fit.sd) & (step > 0.3) & (np.abs(fit.x0) < 5.9) & np.isfinite(along)
    sd = np.hypot(fit.sd, settings.point_floor_px)
    for _ in range(4):
        if ok.sum() < 3:
            return None
        coefficients = np.polyfit(along[ok], fit.x0[ok], min(2, int(ok.sum()) - 1), w=1 / np.hypot(sd[ok], 0.1))
        residual = fit.x0 - np.polyval(coefficients, along)
        spread = 1.4826 * float(np.median(np.abs(residual[ok])))
        ok = ok & (np.abs(residual) < 4 * np.maximum(spread, 0.05) + 3 * np.minimum(sd, 0.2))
    factor = max(1.0, spread / max(float(np.median(sd[ok])), 1e-9))
    finish = float(np.hypot(found.line_doubt, COLOUR_BIAS_PX * found.coloured))
    odd = left_out_px(along, fit.x0, coefficients, ok) if found.long else 0.0
    wander = wander_px(along, fit.x0, sd, coefficients, ok) if found.long else 0.0
    bias = float(np.linalg.norm((settings.bias_sd_px, finish, 0.5 * spread, odd, wander)))
    cosine = 1 / np.sqrt(1 + np.interp(found.centre, np.arange(strip.lines), np.gradient(curve)) ** 2)
    position = np.interp(found.centre, np.arange(strip.lines), curve) + fit.x0 / cosine
    points = strip.to_photo(found.centre, position)
    return EdgePoints(
        points[ok],
        sd[ok] * factor,
        along[ok],
        bias,
        found.shape.s,
        float(np.linalg.norm(found.step)),
        found.shift,
        float(ok.mean()),
        found.step,
        found.coloured,
        spread,
        finish_px=finish,
    )
