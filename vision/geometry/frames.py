"""The sides of the frames that we print: flat paper and ink, and how much the phone's tones make the ink seem smaller."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.geometry.card_side import SideFacts, tone_px
from vision.geometry.edges import EdgePoints, observe_edge
from vision.geometry.look import SIDE_CORNERS, CardLook, Look
from vision.geometry.side_views import Around, directed, outside_of, outward_normal, seen_sides, side_view
from vision.geometry.strips import Strip
from vision.settings import EdgeSettings, PrintedTarget

Array = NDArray[np.float64]
RING_BLUR_PX, LEAST_REACH_PX = 1.0, 3.2
"""px; what the window's white spoils of a printed frame's black, and what an edge needs to be fitted at all. Without the first a
frame of 4 px was seen 0.2 px too large, with it 0.01"""
PLATEAU_REACH_PX = 5.0
"""px; a frame with so much black is fitted with the phone's sharpening, which makes ink on paper look 0.06 px too small"""
WINDOW_REACH_PX = 4.8
"""px; beside the window's border there is nothing but black and white for 6 mm, then a number"""
LEAST_BORDERS, MOST_APART_PX = 3, 0.5
"""sides of which the ring must be seen, and how far apart (px) they may be in what the tones take off it"""
INK_MM, LEFT_PX = 0.02, 0.02
"""mm, by which ink spreads at a border, and px by which two fits may differ; sds, alike for all borders of all frames of a photo
(common practice, no source; by painted frames)"""


def frame_sides(
    card: CardLook, corners_px: Array, sizes_px: tuple[float, float], *, around: Around, seen: Look, settings: EdgeSettings
) -> tuple[EdgePoints | None, ...]:
    """The sides of a printed frame: flat paper and ink. `sizes_px`: a millimetre, and what is left out at a side's ends."""
    px_per_mm, clear = sizes_px
    kind = card.candidate.kind
    assert kind is not None
    assert kind.target is not None
    sides, centre = [corners_px[[i, j]] for i, j in SIDE_CORNERS], corners_px.mean(axis=0)
    reach, scale = frame_reach_px(kind.target, px_per_mm), min(seen.scale, 1.0) * 0.75
    if reach < PLATEAU_REACH_PX:
        pairs = zip(card.strips, sides, strict=True)
        return tuple(_frame_side(s, e, centre, clear=clear, reach=reach, scale=scale, settings=settings) for s, e in pairs)
    ink = SideFacts(0, 0.0, 0.0, around.blur_px, 0.0, ink_px=kind.target.ring_mm * px_per_mm)
    outer = _followed(card, sides, centre, ink, reach=reach, clear=clear, settings=settings)
    inside = _inside(corners_px, card.candidate.sides_mm, kind.target.ring_mm)
    within = [inside[[i, j]] for i, j in SIDE_CORNERS]
    inner = _followed(card, within, centre, ink, reach=min(reach, WINDOW_REACH_PX), clear=clear, settings=settings)
    return _grown(outer, ink_lost_px(outer, inner, sides, within), ink_alike_px(px_per_mm))


def ink_alike_px(px_per_mm: float) -> float:
    """Sd (px) of what all borders of all printed frames of a photo have in common where their rings tell of its tones."""
    return float(np.hypot(INK_MM * px_per_mm, LEFT_PX))


def _followed(
    card: CardLook, sides: Sequence[Array], centre: Array, ink: SideFacts, *, reach: float, clear: float, settings: EdgeSettings
) -> tuple[EdgePoints | None, ...]:
    """Points of four borders of ink near these lines, (2, 2) px each."""
    pairs = zip(card.strips, sides, strict=True)
    views = [side_view(s, e, s.of_polyline(e), centre, facts=ink, foot=np.zeros(2)) for s, e in pairs]
    return seen_sides([replace(v, reach=reach) for v in views], trim=clear, settings=settings)


def _inside(corners: Array, sides_mm: tuple[float, float], ring_mm: float) -> Array:
    """Corners (4, 2) px of the window in a frame of these corners."""
    w, h = sides_mm
    whole = np.array([[0, 0], [w, 0], [w, h], [0, h]], dtype=np.float32)
    H = cv2.getPerspectiveTransform(whole, corners.astype(np.float32))
    window = np.array([[ring_mm, ring_mm], [w - ring_mm, ring_mm], [w - ring_mm, h - ring_mm], [ring_mm, h - ring_mm]])
    return np.asarray(cv2.perspectiveTransform(window[None], H)[0], dtype=np.float64)


def ink_lost_px(
    outer: Sequence[EdgePoints | None], inner: Sequence[EdgePoints | None], sides: Sequence[Array], within: Sequence[Array]
) -> tuple[float, float] | None:
    """How far each border of the ink seems to lie inside of where it is (px), and its scatter; None where the window is not seen.

    Where white seems larger by d on all its borders the ring seems thinner by 2 d and the frame smaller by 2 d, and what it
    ought to be thick follows from the frame: 2 d (1 - t / w) = i - o + t (o + o') / w, with o and i how far out the frame's and
    the window's border are seen beside the rough lines, o' that of the frame's other side, t and w the rough ring and frame.
    """
    centre, lost = np.mean(sides, axis=(0, 1)), []
    o, i = ([_out_px(*pair, centre) for pair in zip(*some, strict=True)] for some in ((outer, sides), (inner, within)))
    for k in range(4):
        other, normal = (k + 2) % 4, outward_normal(sides[k], centre)
        w, t = (float(normal @ (sides[k].mean(axis=0) - line.mean(axis=0))) for line in (sides[other], within[k]))
        lost.append((i[k] - o[k] + t * (o[k] + o[other]) / w) / (2 * (1 - t / w)))
    seen = np.array(lost)[np.isfinite(lost)]
    if len(seen) < LEAST_BORDERS or np.ptp(seen) > MOST_APART_PX:
        return None
    return float(np.median(seen)), float(seen.std() / len(seen) ** 0.5)


def _out_px(border: EdgePoints | None, line: Array, centre: Array) -> float:
    """How far out of its line (2, 2) px a border is seen, in the middle; nan where it is not."""
    return np.nan if border is None else float(np.median((border.points_px - line[0]) @ outward_normal(line, centre)))


def _grown(
    borders: Sequence[EdgePoints | None], lost: tuple[float, float] | None, alike_px: float
) -> tuple[EdgePoints | None, ...]:
    """The frame's borders where they are, with the doubt of that in place of that of the phone's tones, `alike_px` of it alike
    for all frames; as seen where it is not known."""
    if lost is None:
        return tuple(borders)
    px, sd = lost
    centre = np.mean([p.points_px.mean(axis=0) for p in borders if p is not None], axis=0)
    out: list[EdgePoints | None] = []
    for points in borders:
        if points is None:
            out.append(None)
            continue
        rest = max(points.bias_sd_px**2 - points.tone_px**2, 0.0)
        bias, common = float(np.sqrt(rest + alike_px**2 + sd**2)), float(np.hypot(points.common_px, alike_px))
        moved = points.points_px + px * outward_normal(points.points_px[[0, -1]], centre)
        out.append(replace(points, points_px=moved, bias_sd_px=bias, common_px=min(common, 0.95 * bias), tone_px=0.0))
    return tuple(out)


def frame_reach_px(target: PrintedTarget, px_per_mm: float) -> float:
    """How far from a printed frame's edge there is nothing but black and white."""
    return max(target.ring_mm * px_per_mm - RING_BLUR_PX, LEAST_REACH_PX)


def _frame_side(
    strip: Strip, ends: Array, centre: Array, *, clear: float, reach: float, scale: float, settings: EdgeSettings
) -> EdgePoints | None:
    """One side of a printed frame: flat paper, so a plain step of ink, with no flank, shadow or line beside it."""
    curve, extent = strip.of_polyline(ends), strip.extent(ends[0], ends[1])
    points = observe_edge(strip, curve, extent, scale=scale, settings=settings, line_sides=(), trim=(clear, clear), most_px=reach)
    if points is None:
        return None
    if outside_of(strip, curve, extent, centre) > 0:
        points = replace(points, step=-points.step)
    tone = tone_px(points.step)
    wider = replace(points, bias_sd_px=float(np.hypot(points.bias_sd_px, tone)), tone_px=tone, sag_sd_px=points.bias_sd_px)
    return directed(wider, extent)
