"""The wall with the opening in it: face, trim, reveal, threshold, and what lies behind."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from .eleventh_grain import Surface

from studio.opening import Opening  # isort: skip
from studio.shapes import Builder  # isort: skip
from studio.surfaces import plain  # isort: skip
import itertools

Zones = Sequence[tuple[float, Surface]]
"""wall finishes from the floor up, each with the height (above the floor) at which it ends"""
ROWS = 65


def _white() -> Surface:
    return plain((0.8, 0.8, 0.79))


@dataclass(frozen=True)
class Edge:
    """How the wall face goes over into the reveal; width and proud are those of a casing, bead or lining."""

    kind: str = "mitre"  # mitre, round, bead, lining, casing
    width_mm: float = 0.0
    proud_mm: float = 0.0  # how far a casing stands before the wall; its front is the opening plane
    radius_mm: float = 0.0
    surface: Surface = field(default_factory=_white)


@dataclass(frozen=True)
class Place:
    """A room, seen from before one of its walls."""

    what: str  # shower, tub, door, window, niche, wardrobe
    opening: Opening
    edge: Edge
    zones: Zones
    reveal: Surface
    back: Surface
    sill: Surface
    floor: Surface
    inner_floor: Surface
    ceiling: Surface
    side_walls: Surface
    sill_mm: float = 100.0  # of the opening's foot above the floor
    sill_depth_mm: float = 110.0
    depth_mm: float = 900.0  # of the reveal
    header_mm: float = 110.0
    ceiling_mm: float = 2450.0
    beyond_mm: tuple[float, float] = (800.0, 800.0)
    length_mm: float = 3900.0
    slope: float = 0.0  # of a sloping ceiling behind
    skirting: Surface | None = None
    sun_side: int = 0  # -1, 1: that side wall has a window through which the sun comes

    @property
    def floor_y(self) -> float:
        """Height of the floor in world coordinates."""
        return -self.sill_mm

    @property
    def ceiling_y(self) -> float:
        """Height of the ceiling in world coordinates."""
        return self.ceiling_mm - self.sill_mm

    @property
    def wall_z(self) -> float:
        """Where the wall face lies."""
        return -self.edge.proud_mm

    @property
    def x_range(self) -> tuple[float, float]:
        """The side walls."""
        return -self.beyond_mm[0], self.opening.width_mm + self.beyond_mm[1]


def build_wall(build: Builder, place: Place) -> None:
    """All of the wall that the opening is in, with its reveal."""
    _faces(build, place)
    if place.edge.width_mm:
        _trim(build, place)
    _reveal(build, place)
    _sill(build, place)
    if place.skirting:
        _skirting(build, place)


def _heights(place: Place) -> np.ndarray:
    top = float(place.opening.corners[:, 1].max())
    cuts = [place.floor_y + z for z, _ in place.zones[:-1]]
    return np.unique(np.concatenate([[place.floor_y, place.ceiling_y], np.linspace(0, top, ROWS), cuts]))


def _flat(xa: np.ndarray, xb: np.ndarray, y: np.ndarray, z: float) -> tuple[np.ndarray, np.ndarray]:
    return np.column_stack([xa, y, np.full_like(y, z)]), np.column_stack([xb, y, np.full_like(y, z)])


def _faces(build: Builder, place: Place) -> None:
    """Wall beside, over and under the opening, in its zones."""
    opening, t, z = place.opening, place.edge.width_mm, place.wall_z
    x0, x1 = place.x_range
    low = place.floor_y
    for end, surface in place.zones:
        high = min(place.floor_y + end, place.ceiling_y)
        y = np.array([v for v in _heights(place) if low - 1e-6 <= v <= high + 1e-6])
        for a, b in ((np.full_like(y, x0), opening.left(y) - t), (opening.right(y) + t, np.full_like(y, x1))):
            first, second = _flat(a, b, y, z)
            build.strip(first, second, first[:, :2], second[:, :2], surface)
        low = high
    if opening.head:
        _between(build, place, opening.corners[[3, 2]] + [0, t if place.edge.kind != "round" else 0.0], True)
    if place.what in ("window", "niche"):
        foot = opening.corners[[0, 1]] - [0, t]
        _between(build, place, foot, False)


def _between(build: Builder, place: Place, line: np.ndarray, above: bool) -> None:
    """Wall over a head line or under a foot line, between the uprights, cut at the zones."""
    opening, t, z = place.opening, place.edge.width_mm, place.wall_z
    low = place.floor_y
    for end, surface in place.zones:
        high = min(place.floor_y + end, place.ceiling_y)
        reach = float(line[:, 1].mean())
        bottom = np.maximum(line[:, 1], low) if above else np.array([low, low])
        top = np.array([high, high]) if above else np.minimum(line[:, 1], high)
        if (above and high > reach) or (not above and low < reach):
            xs = [[float(opening.left(v[0])) - t, float(opening.right(v[1])) + t] for v in (bottom, top)]
            corners = np.array([[xs[0][0], bottom[0], z], [xs[0][1], bottom[1], z], [xs[1][1], top[1], z], [xs[1][0], top[0], z]])
            build.quad(corners, surface, corners[:, :2])
        low = high


def _trim(build: Builder, place: Place) -> None:
    """Bead, lining or casing: two legs, a head, at a window also a foot; its front lies in the opening plane."""
    opening, t, edge = place.opening, place.edge.width_mm, place.edge
    whole = place.what in ("window", "niche")
    bl, br, tr, tl = opening.corners
    low = (min(bl[1], br[1]) - t) if whole else place.floor_y
    high = max(tl[1], tr[1]) + t if opening.head else place.ceiling_y
    y = np.unique(np.concatenate([[low, high], np.linspace(0, max(tl[1], tr[1]), ROWS)]))
    for inner, way in ((opening.left(y), -1), (opening.right(y), 1)):
        a, b = _flat(inner + way * t, inner, y, 0.0)
        build.strip(a, b, a[:, :2], b[:, :2], edge.surface)
        if edge.proud_mm:
            behind, front = _flat(inner + way * t, inner + way * t, y, place.wall_z)[0], a
            build.strip(behind, front, np.column_stack([0 * y, y]), np.column_stack([0 * y + edge.proud_mm, y]), edge.surface)
    lines = [(tl, tr, 1)] if opening.head else []
    lines += [(bl, br, -1)] if whole else []
    for left, right, way in lines:
        rise = np.array([0, way * t, 0])
        a, b = (np.array([*p, 0.0]) for p in (left, right))
        corners = np.array([a, b, b + rise, a + rise])
        build.quad(corners, edge.surface, corners[:, [1, 0]])
        if edge.proud_mm:
            out = np.array([[t, 0, 0], [0, 0, 0]])
            p, q = a + rise - out[0], b + rise + out[0]
            back = np.array([0, 0, place.wall_z])
            build.quad(np.array([p, q, q + back, p + back]), edge.surface)


def _profile(place: Place) -> list[tuple[float, float]]:
    """(inset, z) from the arris inward."""
    r = place.edge.radius_mm
    turn = np.radians(np.linspace(0, 90, 13)) if r else np.zeros(1)
    found = [(float(r * np.sin(a)), float(-r * (1 - np.cos(a)))) for a in turn]
    if place.edge.kind == "bead":
        found.append((0.0, -9.0))
    return [*found, (r, -place.depth_mm)]


def _reveal(build: Builder, place: Place) -> None:
    """Side walls and soffit from the arris inward."""
    opening, profile = place.opening, _profile(place)
    top = float(opening.corners[:, 1].max()) if opening.head and place.header_mm >= place.depth_mm else place.ceiling_y
    low = 0.0 if place.what in ("window", "niche") else place.floor_y
    y = np.unique(np.concatenate([[low, top], np.linspace(0, float(opening.corners[:, 1].max()), ROWS)]))
    run = 0.0
    tl, tr = opening.corners[3], opening.corners[2]
    for k, ((i0, z0), (i1, z1)) in enumerate(itertools.pairwise(profile)):
        bead = place.edge.kind == "bead" and k == 0
        surface = (
            place.edge.surface if bead or (place.edge.kind in ("lining", "casing") and place.what == "door") else place.reveal
        )
        step = float(np.hypot(i1 - i0, z1 - z0))
        for wall, way in ((opening.left(y), 1), (opening.right(y), -1)):
            a, b = (np.column_stack([wall + way * i, y, np.full_like(y, z)]) for i, z in ((i0, z0), (i1, z1)))
            build.strip(a, b, np.column_stack([0 * y + run, y]), np.column_stack([0 * y + run + step, y]), surface)
        if opening.head:
            ends = [(i0, z0), (i1, max(z1, -place.header_mm))]
            (a, b), (c, d) = (([*(tl - [0, i]), z], [*(tr - [0, i]), z]) for i, z in ends)
            build.quad(np.array([c, d, b, a]), surface)
        run += step
    if opening.head and place.header_mm < place.depth_mm:
        z = -place.header_mm
        rise = [
            [tr[0] + 60, tr[1], z],
            [tl[0] - 60, tl[1], z],
            [tl[0] - 60, place.ceiling_y, z],
            [tr[0] + 60, place.ceiling_y, z],
        ]
        build.quad(np.array(rise), place.reveal)


def _sill(build: Builder, place: Place) -> None:
    """Curb, rim of a tub, threshold or window board."""
    bl, br = place.opening.corners[:2]
    r = place.edge.radius_mm
    z = -min(place.sill_depth_mm, place.depth_mm)
    front = [np.array([*p, 0.0]) for p in (bl, br)]
    rear = [front[0] + [0, 0, z], front[1] + [0, 0, z]]
    build.quad(np.array([front[0], front[1], rear[1], rear[0]]), place.sill)
    if place.what in ("window", "niche"):
        return
    feet = [np.array([float(w(np.array(place.floor_y))), place.floor_y, 0.0]) for w in (place.opening.left, place.opening.right)]
    build.quad(np.array([feet[0], feet[1], front[1], front[0]]), place.sill)
    inner = place.floor_y + {"tub": 140.0, "shower": 25.0}.get(place.what, 0.0)
    drop = [np.array([p[0] + s * r, inner, z]) for p, s in ((bl, -1), (br, 1))]
    build.quad(np.array([drop[1], drop[0], rear[0], rear[1]]), place.sill)


def _skirting(build: Builder, place: Place) -> None:
    x0, x1 = place.x_range
    t, y, z = place.edge.width_mm, place.floor_y, place.wall_z
    inside = 0.0 if place.what in ("window", "niche") else 1.0
    left, right = (float(w(np.array(y))) for w in (place.opening.left, place.opening.right))
    surface = place.skirting or place.sill
    if inside:
        build.box((x0, y, z), (left - t - 12, y + 85, z + 12), surface)
        build.box((right + t + 12, y, z), (x1, y + 85, z + 12), surface)
    else:
        build.box((x0, y, z), (x1, y + 85, z + 12), surface)
