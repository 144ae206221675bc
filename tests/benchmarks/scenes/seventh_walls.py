"""Walls of the seventh family: a face with an opening, its edges swept round three sides, the sill below, what lies behind."""

from __future__ import annotations

import sys
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[3] / "sample_images"))

from studio.opening import Opening
from studio.shapes import Builder
from studio.surfaces import Surface

STEPS = 97


@dataclass(frozen=True)
class Arris:
    """How face and side wall meet. The outline is where their planes cross, or a trim's border toward the opening."""

    kind: str = "sharp"
    radius_mm: float = 0.0  # the flat of the face ends this far outside the outline
    trim_mm: float = 0.0  # a flush strip of this width outside the outline
    leg_mm: float = 0.0  # and this far inward
    surface: Surface | None = None  # of the trim or of the bead

    @property
    def face_ends_mm(self) -> float:
        return max(self.radius_mm, self.trim_mm)


@dataclass(frozen=True)
class Parts:
    face: Surface
    reveal: Surface
    back: Surface
    sill: Surface
    inner_floor: Surface
    floor: Surface
    walls: Surface
    ceiling: Surface
    inner_walls: Surface
    skirting: Surface | None = None


@dataclass(frozen=True)
class House:
    kind: str
    opening: Opening
    parts: Parts
    arris: Arris
    sill_height_mm: float  # of the outline's lower edge above the floor
    sill_depth_mm: float
    sill_radius_mm: float
    cap_mm: float  # height of the sill's own edge; below it the face goes on. 0: down to the floor
    ceiling_mm: float  # above the lower edge
    reveal_mm: float
    depth_mm: float
    wider_mm: float  # the space behind is wider by this on either side; 0: the side walls run to the back
    inner_floor_mm: float  # below the lower edge
    beyond_mm: tuple[float, float] = (700.0, 700.0)
    length_mm: float = 3800.0
    extra: dict[str, float] = field(default_factory=dict)


class Outline:
    """The opening's outline moved outward by some millimetres."""

    def __init__(self, opening: Opening) -> None:
        self.opening = opening
        self.bl, self.br, self.tr, self.tl = opening.corners

    def x(self, side: str, y: np.ndarray, out: float) -> np.ndarray:
        return self.opening.left(y) - out if side == "left" else self.opening.right(y) + out

    def low(self, x: np.ndarray, out: float) -> np.ndarray:
        slope = (self.br[1] - self.bl[1]) / (self.br[0] - self.bl[0])
        return self.bl[1] + slope * (np.asarray(x) - self.bl[0]) - out

    def high(self, x: np.ndarray, out: float) -> np.ndarray:
        slope = (self.tr[1] - self.tl[1]) / (self.tr[0] - self.tl[0])
        return self.tl[1] + slope * (np.asarray(x) - self.tl[0]) + out

    def top(self, side: str, out: float) -> np.ndarray:
        """Where side and head meet."""
        x, y = self.tl if side == "left" else self.tr
        for _ in range(20):
            x = float(self.x(side, np.array(y), out))
            y = float(self.high(np.array(x), out))
        return np.array([x, y])

    def upright(self, side: str, out: float, low: float, ceiling: float) -> np.ndarray:
        """(STEPS + 1, 2) from a height to the head's line, or to the ceiling."""
        end = self.top(side, out)[1] if self.opening.head else ceiling
        knee = self.tl[1] if side == "left" else self.tr[1]
        last = end if self.opening.head else knee
        foot = self.bl[1] if side == "left" else self.br[1]
        y = np.concatenate([[low], np.linspace(foot, last, STEPS)])
        if not self.opening.head:
            y = np.append(y, ceiling)
        return np.column_stack([self.x(side, y, out), y])


def at(points: np.ndarray, z: float) -> np.ndarray:
    return np.column_stack([points, np.full(len(points), z)])


def build_house(build: Builder, house: House) -> None:
    line = Outline(house.opening)
    floor, ceiling = -house.sill_height_mm, house.ceiling_mm
    _face(build, house, line, floor, ceiling)
    _sweep(build, house, line, floor, ceiling)
    _sill(build, house, line, floor)
    _behind(build, house, line, floor, ceiling)
    _shell(build, house, floor, ceiling)


def _face(build: Builder, house: House, line: Outline, floor: float, ceiling: float) -> None:
    out = house.arris.face_ends_mm
    for side in ("left", "right"):
        edge = line.upright(side, out, floor, ceiling)
        if house.opening.head:
            edge = np.vstack([edge, [line.x(side, np.array(ceiling), out), ceiling]])
        far = edge.copy()
        far[:, 0] = -house.beyond_mm[0] if side == "left" else house.opening.width_mm + house.beyond_mm[1]
        build.strip(at(far, 0), at(edge, 0), far, edge, house.parts.face)
    if house.opening.head:
        low = _head(line, out)
        up = np.column_stack(
            [np.linspace(*(line.x(s, np.array(ceiling), out) for s in ("left", "right")), STEPS), np.full(STEPS, ceiling)]
        )
        build.strip(at(low, 0), at(up, 0), low, up, house.parts.face)


def _head(line: Outline, out: float) -> np.ndarray:
    a, b = line.top("left", out), line.top("right", out)
    return a + np.linspace(0, 1, STEPS)[:, None] * (b - a)


def _sweep(build: Builder, house: House, line: Outline, floor: float, ceiling: float) -> None:
    """Edge profile and reveal: (outward, depth) points, each piece with its surface."""
    arris, parts = house.arris, house.parts
    pieces: list[tuple[tuple[float, float], tuple[float, float], Surface]] = []
    start = (0.0, 0.0)
    if arris.trim_mm and arris.surface:
        pieces.append(((arris.trim_mm, 0.0), (0.0, 0.0), arris.surface))
        pieces.append(((0.0, 0.0), (0.0, -arris.leg_mm), arris.surface))
        start = (0.0, -arris.leg_mm)
    elif arris.radius_mm:
        r, angles = arris.radius_mm, np.radians(np.linspace(0, 90, 13))
        points = [(r - r * float(np.sin(a)), -r + r * float(np.cos(a))) for a in angles]
        pieces += [(a, b, arris.surface or parts.reveal) for a, b in pairwise(points)]
        start = points[-1]
    pieces.append((start, (0.0, -house.reveal_mm), parts.reveal))
    for (o1, z1), (o2, z2), surface in pieces:
        for side in ("left", "right"):
            a, b = (line.upright(side, o, floor, ceiling) for o in (o1, o2))
            uv = [np.column_stack([np.full(len(p), -z), p[:, 1]]) for p, z in ((a, z1), (b, z2))]
            build.strip(at(a, z1), at(b, z2), *uv, surface)
        if house.opening.head:
            a, b = _head(line, o1), _head(line, o2)
            uv = [np.column_stack([p[:, 0], np.full(len(p), -z)]) for p, z in ((a, z1), (b, z2))]
            build.strip(at(a, z1), at(b, z2), *uv, surface)


def _sill(build: Builder, house: House, line: Outline, floor: float) -> None:
    """Curb, rim, tray or window sill: front flush with the face, an eased edge, the top."""
    out, r, parts = house.arris.face_ends_mm, house.sill_radius_mm, house.parts
    x0, x1 = float(line.x("left", np.array(0.0), out)), float(line.x("right", np.array(line.br[1]), out))
    x = np.linspace(x0, x1, 9)

    def at_level(down: float, z: float) -> np.ndarray:
        return np.column_stack([x, line.low(x, down), np.full(9, z)])

    bottom = np.column_stack([x, np.full(9, floor), np.zeros(9)])
    rows = [at_level(r, 0.0)]
    if r:
        rows += [at_level(r - r * np.sin(a), -r + r * np.cos(a)) for a in np.radians(np.linspace(0, 90, 13))[1:]]
    rows += [at_level(0.0, -house.sill_depth_mm), at_level(house.inner_floor_mm, -house.sill_depth_mm)]
    if house.cap_mm:
        cap = at_level(house.cap_mm, 0.0)
        build.strip(bottom, cap, bottom[:, :2], cap[:, :2], parts.face)
        rows.insert(0, cap)
    else:
        rows.insert(0, bottom)
    v = 0.0
    for a, b in pairwise(rows):
        step = float(np.linalg.norm(b[4] - a[4]))
        build.strip(a, b, np.column_stack([x, np.full(9, v)]), np.column_stack([x, np.full(9, v + step)]), parts.sill)
        v += step


def _behind(build: Builder, house: House, line: Outline, floor: float, ceiling: float) -> None:
    parts, far, near = house.parts, -house.depth_mm, -house.reveal_mm
    spread = house.wider_mm or 40.0
    x0, x1 = min(line.bl[0], line.tl[0]) - spread, max(line.br[0], line.tr[0]) + spread
    low, high = -house.inner_floor_mm, ceiling if house.wider_mm or not house.opening.head else float(line.tl[1]) + 30
    box = np.array([[x0, low], [x1, low], [x1, high], [x0, high]])
    build.quad(at(box, far), parts.back, box)
    build.quad(np.array([[x0, low, 0], [x1, low, 0], [x1, low, far], [x0, low, far]], float), parts.inner_floor)
    build.quad(np.array([[x0, high, near], [x1, high, near], [x1, high, far], [x0, high, far]], float), parts.ceiling)
    if house.wider_mm:
        for x in (x0, x1):
            wall = np.array([[x, low, near], [x, low, far], [x, high, far], [x, high, near]], float)
            build.quad(wall, parts.inner_walls, wall[:, [2, 1]])
        for side, x in (("left", x0), ("right", x1)):
            edge = line.upright(side, 0.0, floor, ceiling)
            other = np.column_stack([np.full(len(edge), x), edge[:, 1]])
            build.strip(at(edge, near), at(other, near), edge, other, parts.inner_walls)
        if house.opening.head:
            y0, y1 = (float(line.high(np.array(x), 0.0)) for x in (x0, x1))
            rear = np.array([[x0, y0, near], [x1, y1, near], [x1, high, near], [x0, high, near]], float)
            build.quad(rear, parts.inner_walls)


def _shell(build: Builder, house: House, floor: float, ceiling: float) -> None:
    parts, z1 = house.parts, house.length_mm
    x0, x1 = -house.beyond_mm[0], house.opening.width_mm + house.beyond_mm[1]
    build.quad(np.array([[x0, floor, z1], [x1, floor, z1], [x1, floor, 0], [x0, floor, 0]]), parts.floor)
    build.quad(np.array([[x0, ceiling, 0], [x1, ceiling, 0], [x1, ceiling, z1], [x0, ceiling, z1]]), parts.ceiling)
    for a, b in (((x0, z1), (x0, 0.0)), ((x1, 0.0), (x1, z1)), ((x1, z1), (x0, z1))):
        build.quad(
            np.array([[a[0], floor, a[1]], [b[0], floor, b[1]], [b[0], ceiling, b[1]], [a[0], ceiling, a[1]]]), parts.walls
        )
    if parts.skirting:
        out = house.arris.face_ends_mm + 12
        build.box((x0, floor, 0.0), (float(house.opening.left(np.array(floor))) - out, floor + 75, 12.0), parts.skirting)
        build.box((float(house.opening.right(np.array(floor))) + out, floor, 0.0), (x1, floor + 75, 12.0), parts.skirting)
