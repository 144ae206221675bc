"""Edges of one look as observations: first along rough lines, then along the curves that the adjustment predicts."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from vision.geometry.card_side import SideFacts
from vision.geometry.edges import MOSTLY_LUMA, EdgePoints, observe_edge
from vision.geometry.frames import frame_sides
from vision.geometry.locate import locate_edge
from vision.geometry.look import SIDE_CORNERS, CardLook, Look
from vision.geometry.profiles import profiles, separating_direction
from vision.geometry.reach import furthest_end_px, looked_at_px, usual_reach_px
from vision.geometry.rough_outline import OUTLINE_CORNERS
from vision.geometry.side_views import Around, directed, outside_of, seen_sides, side_view
from vision.geometry.start import PlaneView
from vision.geometry.strips import Strip
from vision.geometry.thin_line import observe_thin_line
from vision.settings import CardKind, EdgeSettings

Array = NDArray[np.float64]
ROUGH_BLOCKS = 4
"""blocks along a side in which a candidate's steps are compared before anything is fitted"""
LINE_MM = 0.4
"""mm; sd of what a joint or a border that a card's side lies along does to it: 71 of 1 302 sides of bank cards in rooms of five
authors do, off by 0.47 px rms (some 0.85 mm a pixel), the others by 0.28"""
USUAL_BLUR_PX = 0.9
"""px at 12 MP; sd of the blur of a phone's clean edge"""
Curves = dict[tuple[str, int, int], tuple[Array, Array]]
"""By edge: a polyline (n, 2) px where it is expected and the two ends (2, 2) px of the whole edge"""


def clean_blur(outline: Mapping[str, EdgePoints], scale: float) -> float:
    """Blur (px) of the sharpest outline edge that luma tells, or a usual lens's."""
    plain = [p.blur_px for p in outline.values() if abs(p.coloured) < MOSTLY_LUMA and not p.marked]
    return float(np.clip(min(plain, default=USUAL_BLUR_PX * max(scale, 0.6)), 0.4, 5.0))


def observe_outline(
    seen: Look, name: str, curve: Array, extent: tuple[float, float], settings: EdgeSettings
) -> EdgePoints | None:
    """Sub-pixel points of one outline edge near a curve; None where they lie further from the corners than is stated of these.

    Where corners are stated to be good, a window that other lines do not reach comes first, then the usual one.
    """
    trim, strip = 0.02 * abs(extent[1] - extent[0]), seen.outline[name]
    for most in dict.fromkeys((looked_at_px(seen.corners_within_px), np.inf)):
        found = observe_edge(strip, curve, extent, scale=seen.scale, settings=settings, trim=(trim, trim), most_px=most)
        points = directed(found, extent)
        furthest = furthest_end_px(seen.corners_within_px)
        if points is not None and (furthest == np.inf or _ends_off(points, seen, name) <= furthest):
            return points
    return None


def _ends_off(points: EdgePoints, seen: Look, name: str) -> float:
    """How far (px) the outermost points of a seen edge lie beside the line between its rough corners; 0 where none are known."""
    if seen.corners_px is None:
        return 0.0
    a, b = seen.corners_px[list(OUTLINE_CORNERS[name])]
    beside = (points.points_px - a) @ np.array([a[1] - b[1], b[0] - a[0]]) / np.linalg.norm(b - a)
    ends = np.array([points.along.min(), points.along.max()])
    return float(np.abs(np.polyval(np.polyfit(points.along, beside, 2), ends)).max())


def observe_card(
    card: CardLook,
    corners_px: Array,
    seen: Look,
    settings: EdgeSettings,
    *,
    search: float,
    around: Around,
    passes: Callable[[Array], bool] | None = None,
    fits: Callable[[Array], bool] | None = None,
    hold: bool = False,
    located: Sequence[Array | None] | None = None,
) -> tuple[EdgePoints | None, ...]:
    """Sub-pixel points of the four sides of a card near its corners; rounded corners are left out. Steps are card less wall.

    `around` says what is known of camera and plane; `passes` is told the rough steps (4, 3) of a candidate before its sides are
    fitted, `fits` its corners (4, 2) px by its sides as located; where one of them says no nothing is fitted. `hold`: no side is
    followed further than `search` to where it is clearer. `located`: where the sides run, if that is known.
    """
    kind = card.candidate.kind
    px_per_mm = _sides_px(corners_px) / (kind.width_mm + kind.height_mm) if kind else 1.0
    clear = left_out_px(kind, corners_px, seen.scale)
    thick = (kind.thickness_mm if kind else 0.0) * px_per_mm
    foot = foot_shift(around.view, corners_px, kind) if kind else np.zeros(2)
    facts = SideFacts(0, thick, 0.0, around.blur_px, 0.0)
    centre, sides = corners_px.mean(axis=0), [corners_px[[i, j]] for i, j in SIDE_CORNERS]
    if kind is not None and kind.target is not None:
        return frame_sides(card, corners_px, (px_per_mm, clear), around=around, seen=seen, settings=settings)
    pairs = zip(card.strips, sides, strict=True)
    curves = located or [_located(strip, ends, clear, seen.scale, search=search, hold=hold) for strip, ends in pairs]
    if passes is not None and not _passes(card, curves, sides, clear, min(seen.scale, 1.0) * 0.75, passes=passes):
        return (None,) * 4
    if fits is not None and not _fits(card.strips, curves, sides, clear, fits=fits):
        return (None,) * 4
    views = [
        None
        if curve is None
        else side_view(strip, ends, curve, centre, facts=replace(facts, line_px=LINE_MM * px_per_mm * on), foot=foot)
        for strip, ends, curve, on in zip(card.strips, sides, curves, card.along_lines, strict=True)
    ]
    return seen_sides(views, trim=clear, settings=settings)


def left_out_px(kind: CardKind | None, corners: Array, scale: float) -> float:
    """How much (px) of a card's sides is left out at its corners, which may be rounded."""
    px_per_mm = _sides_px(corners) / (kind.width_mm + kind.height_mm) if kind else 1.0
    return (kind.corner_radius_mm * 1.15 if kind else 0.0) * px_per_mm + max(3.0 * scale, 2.0)


def _sides_px(corners: Array) -> float:
    s = np.linalg.norm(np.roll(corners, -1, axis=0) - corners, axis=1)
    return float(s.sum() / 2)


def _located(strip: Strip, ends: Array, clear: float, scale: float, *, search: float, hold: bool) -> Array | None:
    """The side between two corners (2, 2) px as one position a scan line, sought within `search` px where that is not 0."""
    curve, extent = strip.of_polyline(ends), strip.extent(ends[0], ends[1])
    if search <= 0:
        return curve
    inset = (min(extent) + clear, max(extent) - clear)
    return locate_edge(strip, curve, inset, search_px=search, sag_px=0.0, box_px=max(round(3 * scale), 2), hold=hold)


def _passes(
    card: CardLook,
    curves: Sequence[Array | None],
    sides: Sequence[Array],
    clear: float,
    scale: float,
    *,
    passes: Callable[[Array], bool],
) -> bool:
    """True where all sides were located and their steps, roughly, are those of a card."""
    centre = card.candidate.corners_px.mean(axis=0)
    steps = []
    for strip, curve, ends in zip(card.strips, curves, sides, strict=True):
        if curve is None:
            return False
        a, b = sorted(strip.extent(ends[0], ends[1]))
        lines = (max(int(np.ceil(a + clear)), 0), min(int(b - clear) + 1, strip.lines))
        if lines[1] - lines[0] < 8:
            return False
        half = max(12.0 * scale, 8.0)
        _, step = separating_direction(profiles(strip, curve, lines, ROUGH_BLOCKS, half), 2.5, half)
        steps.append(step * -outside_of(strip, curve, (a, b), centre))
    return passes(np.array(steps))


def _fits(
    strips: Sequence[Strip],
    curves: Sequence[Array | None],
    sides: Sequence[Array],
    clear: float,
    *,
    fits: Callable[[Array], bool],
) -> bool:
    """True where all sides were located and the corners where the lines through them meet are those of a card."""
    lines = []
    for strip, curve, ends in zip(strips, curves, sides, strict=True):
        if curve is None:
            return False
        a, b = sorted(strip.extent(ends[0], ends[1]))
        k = np.arange(max(int(np.ceil(a + clear)), 0), min(int(b - clear) + 1, strip.lines))
        if len(k) < 8:
            return False
        lines.append(strip.to_photo(k.astype(np.float64), curve[k]))
    return fits(crossings(lines, np.array([sides[0][0], sides[0][1], sides[2][1], sides[2][0]])))


def crossings(lines: Sequence[Array | None], rough: Array) -> Array:
    """Corners (4, 2) where the lines through the points (n, 2) of neighbouring sides (bottom, right, top, left) meet; the rough
    corner where a side is missing."""
    fitted: list[tuple[Array, float] | None] = []
    for points in lines:
        if points is None:
            fitted.append(None)
            continue
        m = points.mean(axis=0)
        _, _, vt = np.linalg.svd(points - m, full_matrices=False)
        n = np.array([-vt[0, 1], vt[0, 0]])
        fitted.append((n, float(n @ m)))
    out = rough.astype(np.float64).copy()
    for corner, (a, b) in enumerate(((3, 0), (0, 1), (1, 2), (2, 3))):
        first, second = fitted[a], fitted[b]
        if first is not None and second is not None:
            M = np.stack([first[0], second[0]])
            if abs(np.linalg.det(M)) > 0.1:
                out[corner] = np.linalg.solve(M, [first[1], second[1]])
    return out


def foot_shift(view: PlaneView, corners_px: Array, kind: CardKind) -> Array:
    """Where the back of a card shows against its face, px (2,): behind it by its thickness; none where the plane is unseen."""
    plane = view.on_plane(corners_px)
    s = np.linalg.norm(np.roll(plane, -1, axis=0) - plane, axis=1)
    unit = float(np.sqrt((s[0] + s[2]) * (s[1] + s[3]) / 4 / (kind.width_mm * kind.height_mm)))
    if not np.isfinite(unit):
        return np.zeros(2)
    pixel = corners_px.mean(axis=0)
    ray, normal = view.camera.rays(pixel[None])[0], view.R[:, 2]
    face = ray * float(normal @ view.origin) / float(ray @ normal)
    back = face + normal * np.sign(normal @ face) * kind.thickness_mm * unit
    return np.asarray(view.camera.project(back[None])[0] - pixel)


def observe_plumb(line: Array, strip: Strip, seen: Look, settings: EdgeSettings) -> EdgePoints | None:
    """Points on the thin line between two rough points."""
    extent = strip.extent(line[0], line[1])
    reach = usual_reach_px(seen.scale, settings)
    points = observe_thin_line(strip, strip.of_polyline(line), extent, scale=seen.scale, search_px=reach, settings=settings)
    return directed(points, extent)
