"""The wall with the hole in it: the flat of the face, flush strips about the edges, what goes inward, what stands proud."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from sample_images.studio.opening import Opening
from sample_images.studio.shapes import Builder
from sample_images.studio.surfaces import Surface

Node = tuple[float, float, Surface]  # how far into the opening, z, and what leads there from the node before
SIDES = ("left", "right", "bottom", "top")
SAMPLES = 41


@dataclass(frozen=True)
class Edge:
    """One side of the hole: strips flush with the face, outward from the edge, and nodes inward from it."""

    inward: tuple[Node, ...]
    strips: tuple[tuple[float, Surface], ...] = ()

    @property
    def width(self) -> float:
        return sum(width for width, _ in self.strips)


@dataclass(frozen=True)
class Proud:
    """A frame that stands on the face: (outward, z) from its inner foot to its outer one, on some sides."""

    section: tuple[tuple[float, float], ...]
    surface: Surface
    sides: tuple[str, ...] = ("left", "right", "top")

    @property
    def width(self) -> float:
        return self.section[-1][0]


@dataclass
class Hole:
    opening: Opening
    edges: dict[str, Edge]
    zones: list[tuple[float, Surface]]  # the face from the floor up: (to this height above the floor, of this)
    floor_y: float
    ceiling_y: float
    reach: tuple[float, float]  # x of the room's side walls
    depth: float
    back: Surface | None = None
    below: Surface | None = None  # the face under the opening, where it is not the wall's
    horns: bool = False  # the lower strips run on under the upright ones
    face_z: float = 0.0  # the wall lies behind the plane of the strips
    proud: list[Proud] = field(default_factory=list)
    goes_on: bool = False  # the floor or a sill runs through the plane of the opening
    words: str = ""

    def bottom(self, x: np.ndarray) -> np.ndarray:
        bl, br = self.opening.corners[:2]
        return bl[1] + (np.asarray(x, float) - bl[0]) * (br[1] - bl[1]) / (br[0] - bl[0])

    def top(self, x: np.ndarray) -> np.ndarray:
        if not self.opening.head:
            return np.full_like(np.asarray(x, float), self.ceiling_y)
        tr, tl = self.opening.corners[2:]
        return tl[1] + (np.asarray(x, float) - tl[0]) * (tr[1] - tl[1]) / (tr[0] - tl[0])

    def wall(self, side: str) -> tuple[Callable[[np.ndarray], np.ndarray], int, float, float]:
        """The curve of an upright side, which way is outward, and between which heights it bounds the hole."""
        left = side == "left"
        curve = self.opening.left if left else self.opening.right
        corners = self.opening.corners
        foot = corners[0 if left else 1]
        head = corners[3 if left else 2][1] if self.opening.head else self.ceiling_y
        return curve, -1 if left else 1, float(foot[1]), float(head)


def build_hole(build: Builder, hole: Hole) -> None:
    for side in ("left", "right"):
        _strips(build, hole, side)
        _tube_upright(build, hole, side)
        _field_beside(build, hole, side)
    for side in ("bottom", "top"):
        _level_strips(build, hole, side)
        _tube_level(build, hole, side)
    _field_between(build, hole)
    for frame in hole.proud:
        _frame(build, hole, frame)
    if hole.back:
        x0, x1 = -widening(hole, "left") - 80, hole.opening.width_mm + widening(hole, "right") + 80
        y0, y1, z = hole.floor_y - 60, hole.ceiling_y + 60, -hole.depth
        corners = np.array([[x0, y0, z], [x1, y0, z], [x1, y1, z], [x0, y1, z]])
        build.quad(corners, hole.back, corners[:, :2])


def widening(hole: Hole, side: str, deep: float = -1e9, near: float = 1.0) -> float:
    """How far a side steps back outward between two depths."""
    return max([0.0] + [-inset for inset, z, _ in hole.edges[side].inward if deep - 0.01 <= z <= near + 0.01])


def _mitred(hole: Hole) -> bool:
    widths = [[round(w, 3) for w, _ in hole.edges[side].strips] for side in ("left", "top", "right")]
    return bool(widths[0]) and widths[0] == widths[1] == widths[2]


def ruled(build: Builder, a: np.ndarray, b: np.ndarray, surface: Surface) -> None:
    """A strip on the wall between two lines; the pattern goes by x and y."""
    build.strip(a, b, a[:, :2], b[:, :2], surface)


def _at(x: np.ndarray, y: np.ndarray, z: float) -> np.ndarray:
    return np.stack(np.broadcast_arrays(x, y, z), axis=1).astype(float)


def _strips(build: Builder, hole: Hole, side: str) -> None:
    curve, way, foot, head = hole.wall(side)
    start = foot if hole.horns else min(hole.floor_y, foot) - 40
    offset, mitre = 0.0, _mitred(hole)
    for width, surface in hole.edges[side].strips:
        lines = []
        for o in (offset, offset + width):
            y = np.linspace(start, head + (o if mitre else 0.0), SAMPLES)
            if o == 0.0 and start < foot:
                y = np.concatenate([[start], np.linspace(foot, head, SAMPLES - 1)])
            lines.append(_at(curve(y) + way * o, y, 0.0))
        ruled(build, *lines, surface)
        offset += width
    if hole.face_z and offset:
        y = np.linspace(start, head + hole.edges["top"].width, SAMPLES)
        a, b = (_at(curve(y) + way * offset, y, z) for z in (0.0, hole.face_z))
        build.strip(a, b, a[:, :2], b[:, :2] + [way * hole.face_z, 0], hole.edges[side].strips[-1][1])


def _level_strips(build: Builder, hole: Hole, side: str) -> None:
    if side == "top" and not hole.opening.head:
        return
    bottom = side == "bottom"
    line, way = (hole.bottom, -1) if bottom else (hole.top, 1)
    corners = hole.opening.corners[[0, 1] if bottom else [3, 2]]
    full = hole.horns if bottom else not _mitred(hole)
    more = (hole.edges["left"].width, hole.edges["right"].width) if full else (0.0, 0.0)
    offset = 0.0
    for width, surface in hole.edges[side].strips:
        lines = []
        for o in (offset, offset + width):
            slant = o if (not bottom and not full) else 0.0
            x = np.array([corners[0][0] - more[0] - slant, corners[0][0], corners[1][0], corners[1][0] + more[1] + slant])
            lines.append(_at(x, line(x) + way * o, 0.0))
        ruled(build, *lines, surface)
        offset += width
    if hole.face_z and offset:
        x = np.array([corners[0][0] - hole.edges["left"].width, corners[1][0] + hole.edges["right"].width])
        a, b = (_at(x, line(x) + way * offset, z) for z in (0.0, hole.face_z))
        build.strip(a, b, a[:, :2], b[:, :2], hole.edges[side].strips[-1][1])


def _field_beside(build: Builder, hole: Hole, side: str) -> None:
    curve, way, foot, head = hole.wall(side)
    off, far = hole.edges[side].width, hole.reach[0 if side == "left" else 1]
    low = hole.floor_y - 40
    for up_to, surface in hole.zones:
        high = min(hole.floor_y + up_to, hole.ceiling_y)
        if high > low:
            y = np.unique(np.concatenate([np.linspace(low, high, SAMPLES), [v for v in (foot, head) if low < v < high]]))
            ruled(build, _at(np.full_like(y, far), y, hole.face_z), _at(curve(y) + way * off, y, hole.face_z), surface)
        low = high


def _field_between(build: Builder, hole: Hole) -> None:
    """The face under the opening and over it."""
    bl, br, tr, tl = hole.opening.corners
    offs = (hole.edges["left"].width, hole.edges["right"].width)
    under = offs if hole.horns else (0.0, 0.0)
    ends = (bl[1] - hole.edges["bottom"].width, br[1] - hole.edges["bottom"].width)
    if min(ends) > hole.floor_y:
        zones = [(1e5, hole.below)] if hole.below else hole.zones
        _columns(build, hole, (under, (hole.floor_y - 40, hole.floor_y - 40), ends), zones)
    if hole.opening.head:
        start = (tl[1] + hole.edges["top"].width, tr[1] + hole.edges["top"].width)
        _columns(build, hole, (offs, start, (hole.ceiling_y, hole.ceiling_y)), hole.zones)


def _columns(build: Builder, hole: Hole, where: tuple, zones: list) -> None:
    offs, starts, ends = where
    low = starts
    for up_to, surface in zones:
        level = hole.floor_y + up_to
        high = tuple(min(level, end) for end in ends)
        if max(high) <= min(low):
            continue
        y_left, y_right = (np.linspace(a, b, SAMPLES) for a, b in zip(low, high, strict=True))
        a = _at(hole.opening.left(y_left) - offs[0], y_left, hole.face_z)
        b = _at(hole.opening.right(y_right) + offs[1], y_right, hole.face_z)
        ruled(build, a, b, surface)
        low = high


def _tube_upright(build: Builder, hole: Hole, side: str) -> None:
    curve, way, foot, head = hole.wall(side)
    inset, z, run = 0.0, 0.0, 0.0
    for next_inset, next_z, surface in hole.edges[side].inward:
        spare = [30 + widening(hole, other, next_z, z) for other in ("bottom", "top")]
        y = np.concatenate([[foot - spare[0]], np.linspace(foot, head, SAMPLES), [head + spare[1]]])
        a, b = _at(curve(y) - way * inset, y, z), _at(curve(y) - way * next_inset, y, next_z)
        step = float(np.hypot(next_inset - inset, next_z - z))
        u = [np.column_stack([np.full_like(y, d), y]) for d in (run, run + step)]
        if step > 0:
            build.strip(a, b, *u, surface)
        inset, z, run = next_inset, next_z, run + step


def _tube_level(build: Builder, hole: Hole, side: str) -> None:
    bottom = side == "bottom"
    line, way = (hole.bottom, 1) if bottom else (hole.top, -1)
    inset, z, run = 0.0, 0.0, 0.0
    corners = hole.opening.corners[[0, 1] if bottom else [3, 2]]
    for next_inset, next_z, surface in hole.edges[side].inward:
        spare = [30 + widening(hole, other, next_z, z) for other in ("left", "right")]
        x = np.array([corners[0][0] - spare[0], corners[0][0], corners[1][0], corners[1][0] + spare[1]])
        a, b = _at(x, line(x) + way * inset, z), _at(x, line(x) + way * next_inset, next_z)
        step = float(np.hypot(next_inset - inset, next_z - z))
        u = [np.column_stack([x, np.full_like(x, d)]) for d in (run, run + step)]
        if step > 0:
            build.strip(a, b, *u, surface)
        inset, z, run = next_inset, next_z, run + step


def _frame(build: Builder, hole: Hole, frame: Proud) -> None:
    """Boards about the hole, mitred where two meet, run down to the floor or to the sill where none lies below."""
    for (o0, z0), (o1, z1) in zip(frame.section[:-1], frame.section[1:], strict=True):
        if (o0, z0) == (o1, z1):
            continue
        for side in frame.sides:
            lines = []
            for o, z in ((o0, z0), (o1, z1)):
                if side in ("left", "right"):
                    curve, way, foot, head = hole.wall(side)
                    low = foot - o if "bottom" in frame.sides else (foot if hole.horns else hole.floor_y)
                    y = np.linspace(low, head + (o if "top" in frame.sides else 0), SAMPLES)
                    lines.append(_at(curve(y) + way * o, y, z))
                else:
                    line, up = (hole.bottom, -1) if side == "bottom" else (hole.top, 1)
                    c = hole.opening.corners[[0, 1] if side == "bottom" else [3, 2]]
                    x = np.linspace(c[0][0] - o, c[1][0] + o, 3)
                    lines.append(_at(x, line(x) + up * o, z))
            run = [np.column_stack([p[:, 0] + p[:, 2], p[:, 1] + p[:, 2]]) for p in lines]
            build.strip(*lines, *run, frame.surface)
