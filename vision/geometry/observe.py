"""Edges of one look as observations: first along rough lines, then along the curves that the adjustment predicts."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from vision.geometry.edges import EdgePoints, observe_edge
from vision.geometry.locate import locate_edge
from vision.geometry.look import OUTLINE_CORNERS, SIDE_CORNERS, CardLook, Look
from vision.geometry.strips import Strip
from vision.geometry.thin_line import observe_thin_line
from vision.settings import CardKind, EdgeSettings

Array = NDArray[np.float64]
FULL_SHADOW_PX = 1.0
"""px; thickness of a card as seen from which on its contact shadow can pull an edge in luma"""
RING_BLUR_PX, LEAST_REACH_PX = 1.0, 3.2
"""px; what the window's white spoils of a printed frame's black, and what an edge needs to be fitted at all. Without the first a
frame of 4 px was seen 0.2 px too large, with it 0.01"""
Curves = dict[tuple[str, int, int], tuple[Array, Array]]
"""By edge: a polyline (n, 2) px where it is expected and the two ends (2, 2) px of the whole edge"""


def search_px(seen: Look, settings: EdgeSettings) -> float:
    """How far from a rough corner an edge may lie, px: scaled with the photo, no less than a careful click on a copy."""
    return max(settings.search_px * seen.scale, 8.0)


def rough_outline(seen: Look, corners_px: Array, settings: EdgeSettings) -> dict[str, tuple[Array, tuple[float, float]]]:
    """Each outline edge to about a pixel (positions per scan line) and its extent; edges not found are absent."""
    out = {}
    for name, strip in seen.outline.items():
        i, j = OUTLINE_CORNERS[name]
        start, end = corners_px[i], corners_px[j]
        extent = strip.extent(start, end)
        rough = strip.of_polyline(np.array([start, end]))
        reach = search_px(seen, settings)
        sag = max(3.0 * seen.scale, 1.0) if seen.prior.k1_sd <= 0.02 else reach
        found = locate_edge(strip, rough, extent, search_px=reach, sag_px=sag, box_px=max(round(6 * seen.scale), 3))
        if found is not None:
            out[name] = (found, extent)
    return out


def refined_corners(curves: dict[str, tuple[Array, tuple[float, float]]], seen: Look, corners_px: Array) -> Array:
    """Intersections of the located edges (straight lines through their ends), the rough corner where one is missing."""
    lines = {}
    for name, (curve, extent) in curves.items():
        strip = seen.outline[name]
        k = np.clip(np.round(np.linspace(min(extent), max(extent), 9)[1:-1]).astype(int), 0, strip.lines - 1)
        points = strip.to_photo(k.astype(np.float64), curve[k])
        lines[name] = np.array([points[0], points[-1]])
    out = corners_px.astype(np.float64).copy()
    for corner, (a, b) in enumerate((("left", "curb"), ("right", "curb"), ("right", "head"), ("left", "head"))):
        if a in lines and b in lines:
            p, d = lines[a][0], lines[a][1] - lines[a][0]
            q, e = lines[b][0], lines[b][1] - lines[b][0]
            M = np.column_stack([d, -e])
            if abs(np.linalg.det(M)) > 1e-6:
                out[corner] = p + d * np.linalg.solve(M, q - p)[0]
        elif a in lines and "head" not in lines and corner in (2, 3):
            p, d = lines[a][0], lines[a][1] - lines[a][0]
            out[corner] = p + d * ((out[corner] - p) @ d) / (d @ d)
    return out


def observe_outline(
    seen: Look, name: str, curve: Array, extent: tuple[float, float], settings: EdgeSettings
) -> EdgePoints | None:
    """Sub-pixel points of one outline edge near a curve."""
    trim = 0.02 * abs(extent[1] - extent[0])
    points = observe_edge(seen.outline[name], curve, extent, scale=seen.scale, settings=settings, trim=(trim, trim))
    return _directed(points, extent)


def observe_card(
    card: CardLook, corners_px: Array, seen: Look, settings: EdgeSettings, *, search: float
) -> tuple[EdgePoints | None, ...]:
    """Sub-pixel points of the four sides of a card near its corners; rounded corners are left out. Steps are card less wall."""
    out = []
    kind = card.candidate.kind
    px_per_mm = _sides_px(corners_px) / (kind.width_mm + kind.height_mm) if kind else 1.0
    clear = (kind.corner_radius_mm * 1.15 if kind else 0.0) * px_per_mm + max(3.0 * seen.scale, 2.0)
    thick = (kind.thickness_mm if kind else 0.0) * px_per_mm / FULL_SHADOW_PX
    for k, (i, j) in enumerate(SIDE_CORNERS):
        strip, ends = card.strips[k], (corners_px[i], corners_px[j])
        centre = corners_px.mean(axis=0)
        side = _card_side(
            strip,
            np.array(ends),
            centre,
            clear=clear,
            scale=seen.scale,
            search=search,
            settings=settings,
            thick=thick,
            most_px=frame_reach_px(kind, px_per_mm),
        )
        out.append(side)
    return tuple(out)


def frame_reach_px(kind: CardKind | None, px_per_mm: float) -> float:
    """How far from a printed frame's edge there is nothing but black and white; no limit for other cards."""
    if kind is None or kind.target is None:
        return float("inf")
    return max(kind.target.ring_mm * px_per_mm - RING_BLUR_PX, LEAST_REACH_PX)


def _sides_px(corners: Array) -> float:
    s = np.linalg.norm(np.roll(corners, -1, axis=0) - corners, axis=1)
    return float(s.sum() / 2)


def _card_side(
    strip: Strip,
    ends: Array,
    centre: Array,
    *,
    clear: float,
    scale: float,
    search: float,
    settings: EdgeSettings,
    thick: float,
    most_px: float,
) -> EdgePoints | None:
    """One side of a card between its corners `ends` (2, 2) px; `clear` px are left out at either end."""
    extent = strip.extent(ends[0], ends[1])
    curve: Array | None = strip.of_polyline(ends)
    inset = (min(extent) + clear, max(extent) - clear)
    if search > 0 and curve is not None:
        curve = locate_edge(strip, curve, inset, search_px=search, sag_px=0.0, box_px=max(round(3 * scale), 2))
    if curve is None:
        return None
    middle = float(np.mean(extent))
    at = float(np.interp(middle, np.arange(strip.lines), curve))
    inner = centre[1] if strip.transposed else centre[0]
    outside = 1 if inner < at else -1
    points = observe_edge(
        strip,
        curve,
        extent,
        scale=min(scale, 1.0) * 0.75,
        settings=settings,
        line_sides=() if np.isfinite(most_px) else (outside,),
        trim=(clear, clear),
        shaded=outside * min(thick, 1.0),
        most_px=most_px,
    )
    if points is not None and outside > 0:
        points = replace(points, step=-points.step)
    return _directed(points, extent)


def _directed(points: EdgePoints | None, extent: tuple[float, float]) -> EdgePoints | None:
    """`along` runs from the edge's first end to its second, whichever way the scan lines run."""
    if points is None or extent[0] < extent[1]:
        return points
    return replace(points, along=-points.along)


def observe_plumb(line: Array, strip: Strip, seen: Look, settings: EdgeSettings) -> EdgePoints | None:
    """Points on the thin line between two rough points."""
    extent = strip.extent(line[0], line[1])
    points = observe_thin_line(
        strip, strip.of_polyline(line), extent, scale=seen.scale, search_px=search_px(seen, settings), settings=settings
    )
    return _directed(points, extent)
