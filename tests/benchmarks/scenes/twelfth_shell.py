"""The wall face with its hole, the reveal, what lies behind and the room before it: meshes of the twelfth rooms.

The face is z = 0 along the whole outline; away from it the wall dips or swells a little where a card lies, so that the front of
the card is where the truth says.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np
from studio.opening import Opening
from studio.shapes import Builder
from studio.surfaces import Surface

from .twelfth_edge import Arris

ROWS = 170


@dataclass(frozen=True)
class Dip:
    """The wall is at this depth within a rectangle and runs out to the plane within a margin around it."""

    low: tuple[float, float]
    high: tuple[float, float]
    depth_mm: float
    margin_mm: float

    def at(self, x: np.ndarray, y: np.ndarray) -> np.ndarray:
        ax = np.maximum(np.maximum(self.low[0] - x, x - self.high[0]), 0)
        ay = np.maximum(np.maximum(self.low[1] - y, y - self.high[1]), 0)
        t = np.clip(1 - np.hypot(ax, ay) / self.margin_mm, 0, 1)
        return np.asarray(self.depth_mm * t * t * (3 - 2 * t))


@dataclass(frozen=True)
class Shell:
    kind: str
    opening: Opening
    side: Arris
    lower: np.ndarray
    floor_y: float
    ceiling_y: float
    left_mm: float
    right_mm: float
    length_mm: float
    depth_mm: float
    splay_mm: float
    face: Surface
    upper: Surface | None  # another finish above dado_y
    dado_y: float
    reveal: Surface
    back: Surface
    curb: Surface
    curb_depth_mm: float
    inner_floor: Surface
    floor: Surface
    walls: Surface
    ceiling: Surface
    dips: Sequence[Dip] = field(default_factory=tuple)

    @property
    def framed(self) -> bool:
        """The strip and the finish of the wall go round below as well."""
        return self.kind in ("window", "niche")

    def head_y(self, x: np.ndarray | float) -> np.ndarray:
        tl = self.opening.corners[3]
        return np.asarray(tl[1] + self.opening.head_slope / 1000 * (np.asarray(x) - tl[0]))

    def curb_y(self, x: np.ndarray | float) -> np.ndarray:
        return np.asarray(self.opening.curb_level / 1000 * np.asarray(x, float))

    def wall_x(self, way: int, y: np.ndarray) -> np.ndarray:
        """The left (-1) or right (+1) side of the hole, upright beyond its ends."""
        bl, br, tr, tl = self.opening.corners
        if way < 0:
            return self.opening.left(np.clip(y, bl[1], tl[1]))
        return self.opening.right(np.clip(y, br[1], tr[1]))

    def level(self, x: np.ndarray, y: np.ndarray) -> np.ndarray:
        z = np.zeros(np.broadcast(x, y).shape)
        for dip in self.dips:
            z = z + dip.at(x, y)
        return z


def patch(build: Builder, points: np.ndarray, uv: np.ndarray, surface: Surface) -> None:
    """A grid (rows, columns, 3); it faces the viewer when columns run right and rows up."""
    rows, columns = points.shape[:2]
    i = np.arange(rows * columns).reshape(rows, columns)
    a, b, c, d = i[:-1, :-1].ravel(), i[:-1, 1:].ravel(), i[1:, 1:].ravel(), i[1:, :-1].ravel()
    faces = np.concatenate([np.stack([a, b, c], 1), np.stack([a, c, d], 1)])
    build.mesh(points.reshape(-1, 3), faces, uv.reshape(-1, 2), surface)


def flat_patch(build: Builder, shell: Shell, x: np.ndarray, y: np.ndarray, surface: Surface) -> None:
    x, y = np.broadcast_arrays(x, y)
    patch(build, np.stack([x, y, shell.level(x, y)], 2), np.stack([x, y], 2), surface)


def build_shell(build: Builder, shell: Shell) -> None:
    for way in (-1, 1):
        _side_panel(build, shell, way)
        _column(build, shell, way)
    _above_and_below(build, shell)
    _sweeps(build, shell)
    _behind(build, shell)
    _room(build, shell)


def _side_rows(shell: Shell, way: int) -> np.ndarray:
    bl, br, tr, tl = shell.opening.corners
    low, high = (bl[1], tl[1]) if way < 0 else (br[1], tr[1])
    below = np.linspace(shell.floor_y, low, 30)[:-1]
    above = np.linspace(high, shell.ceiling_y, 20)[1:]
    return np.concatenate([below, np.linspace(low, high, ROWS), above])


def _side_panel(build: Builder, shell: Shell, way: int) -> None:
    rows = np.unique(np.append(_side_rows(shell, way), shell.dado_y))
    rows = rows[(rows >= shell.floor_y) & (rows <= shell.ceiling_y)]
    reach = shell.left_mm if way < 0 else shell.opening.width_mm + shell.right_mm
    far = -reach if way < 0 else reach
    near = shell.wall_x(way, rows)[:, None] + way * shell.side.outer_mm
    out = np.concatenate([np.arange(0, 420, 6.0), np.linspace(420, 2000, 40)])
    share = np.minimum(out / abs(float(far - near.mean())), 1.0)
    share = np.unique(np.append(share[share < 0.995], 1.0))
    if way < 0:
        share = share[::-1]
    x = near + share[None, :] * (far - near)
    for chosen, surface in ((rows <= shell.dado_y, shell.face), (rows >= shell.dado_y, shell.upper or shell.face)):
        if chosen.sum() > 1:
            flat_patch(build, shell, x[chosen], rows[chosen][:, None], surface)


def _column(build: Builder, shell: Shell, way: int) -> None:
    """The strip and its joint beside the hole."""
    side = shell.side
    for inner, outer, surface in ((0.0, side.band_mm, side.band), (side.band_mm, side.outer_mm, side.joint)):
        if outer <= inner or surface is None:
            continue
        lines = []
        for off in sorted((inner, outer), reverse=way < 0):
            rows = _side_rows(shell, way)
            rows = rows[rows < shell.ceiling_y - 1e-6]
            x = shell.wall_x(way, rows) + way * off
            low = shell.curb_y(x) - outer if shell.framed else np.full(len(x), shell.floor_y)
            lines.append(np.stack([x, np.clip(rows, low, shell.head_y(x) + outer)], axis=1))
        grid = np.stack(lines, axis=1)
        flat_patch(build, shell, grid[..., 0], grid[..., 1], surface)


def _above_and_below(build: Builder, shell: Shell) -> None:
    side, corners = shell.side, shell.opening.corners
    t = np.linspace(0, 1, 60)

    def strip(over: bool, reach: float, near: float, far: float | None, surface: Surface) -> None:
        a, b = (corners[3], corners[2]) if over else (corners[0], corners[1])
        x = a[0] - reach + t * (b[0] - a[0] + 2 * reach)
        line, way, end = (shell.head_y(x), 1, shell.ceiling_y) if over else (shell.curb_y(x), -1, shell.floor_y)
        close = line + way * near
        distant = np.full(len(x), end) if far is None else line + way * far
        pair = (close, distant) if over else (distant, close)
        flat_patch(build, shell, np.stack([x, x]), np.stack(pair), surface)

    for over in (True, False):
        if not over and not shell.framed:
            strip(False, 0.0, 0.0, None, shell.curb)
            continue
        if side.band and side.band_mm:
            strip(over, 0.0, 0.0, side.band_mm, side.band)
        if side.joint and side.joint_mm:
            strip(over, side.band_mm, side.band_mm, side.outer_mm, side.joint)
        plain = (shell.upper or shell.face) if over else shell.face
        strip(over, side.outer_mm, side.outer_mm, None, plain)


def _sweep(build: Builder, line: Callable[[np.ndarray], np.ndarray], along: np.ndarray, runs: Sequence[tuple]) -> None:
    """Carries each profile of the runs (points, surface, upright, way inward) along a line."""
    for profile, surface, upright, way in runs:
        at = line(along)[:, None] + way * profile[None, :, 0]
        z = np.broadcast_to(profile[None, :, 1], at.shape)
        run = np.broadcast_to(along[:, None], at.shape)
        length = np.concatenate([[0], np.cumsum(np.linalg.norm(np.diff(profile, axis=0), axis=1))])
        reach = np.broadcast_to(length[None, :], at.shape)
        points = np.stack([at, run, z] if upright else [run, at, z], axis=2)
        uv = np.stack([reach, run] if upright else [run, reach], axis=2)
        if way < 0 and upright:
            points, uv = points[:, ::-1], uv[:, ::-1]
        if not upright:
            points, uv = points.transpose(1, 0, 2)[::way], uv.transpose(1, 0, 2)[::way]
        patch(build, points, uv, surface)


def _sweeps(build: Builder, shell: Shell) -> None:
    opening, side = shell.opening, shell.side
    bl, br, tr, tl = opening.corners
    reveal = side.reveal or shell.reveal
    bend = side.bend or reveal
    end = side.profile[-1]
    deep = np.array([end, [end[0] + shell.splay_mm, -shell.depth_mm]])
    drop = 0.0 if shell.framed else shell.floor_y - 500.0
    for way, low, high, line in ((1, bl[1], tl[1], opening.left), (-1, br[1], tr[1], opening.right)):
        along = np.concatenate([[low + drop - 1], np.linspace(low, high, ROWS), [high + 1]])
        _sweep(build, line, along, ((side.profile, bend, True, way), (deep, reveal, True, way)))
    across = np.linspace(min(bl[0], tl[0]) - 6, max(br[0], tr[0]) + 6, 80)
    _sweep(build, shell.head_y, across, ((side.profile, bend, False, -1), (deep, reveal, False, -1)))
    low_end = shell.lower[-1]
    rest = np.array([low_end, [low_end[0], -shell.curb_depth_mm]])
    if not shell.framed:
        rest = np.concatenate([rest, [[shell.floor_y - 480.0, -shell.curb_depth_mm - 3]]])
    _sweep(build, shell.curb_y, across, ((shell.lower, shell.curb, False, 1), (rest, shell.curb, False, 1)))


def _behind(build: Builder, shell: Shell) -> None:
    width, height, z = shell.opening.width_mm, shell.opening.height_mm, -shell.depth_mm
    if shell.kind in ("shower", "tub", "niche"):
        wall = [
            [-120, shell.floor_y - 600, z],
            [width + 120, shell.floor_y - 600, z],
            [width + 120, height + 120, z],
            [-120, height + 120, z],
        ]
        build.quad(np.array(wall, float), shell.back, np.array(wall, float)[:, :2])
    if shell.kind in ("shower", "tub"):
        y = -70.0 if shell.kind == "shower" else -400.0
        ground = np.array([[-120, y, 0], [width + 120, y, 0], [width + 120, y, z], [-120, y, z]], float)
        build.quad(ground, shell.inner_floor, ground[:, [0, 2]])
    if shell.kind == "doorway":
        far, low, high = z - 2700.0, shell.floor_y, shell.ceiling_y + 150
        x0, x1 = -1100.0, width + 900.0
        for quad, surface in (
            ([[x0, low, far], [x1, low, far], [x1, high, far], [x0, high, far]], shell.back),
            ([[x0, low, z], [x0, low, far], [x0, high, far], [x0, high, z]], shell.back),
            ([[x1, low, far], [x1, low, z], [x1, high, z], [x1, high, far]], shell.back),
            ([[x0, low, 0], [x1, low, 0], [x1, low, far], [x0, low, far]], shell.inner_floor),
            ([[x0, high, far], [x1, high, far], [x1, high, z], [x0, high, z]], shell.ceiling),
        ):
            build.quad(np.array(quad, float), surface)


def _room(build: Builder, shell: Shell) -> None:
    x0, x1 = -shell.left_mm, shell.opening.width_mm + shell.right_mm
    y0, y1, z1 = shell.floor_y, shell.ceiling_y, shell.length_mm
    for quad, surface in (
        ([[x0, y0, z1], [x1, y0, z1], [x1, y0, 0], [x0, y0, 0]], shell.floor),
        ([[x0, y1, 0], [x1, y1, 0], [x1, y1, z1], [x0, y1, z1]], shell.ceiling),
        ([[x0, y0, z1], [x0, y0, 0], [x0, y1, 0], [x0, y1, z1]], shell.walls),
        ([[x1, y0, 0], [x1, y0, z1], [x1, y1, z1], [x1, y1, 0]], shell.walls),
        ([[x1, y0, z1], [x0, y0, z1], [x0, y1, z1], [x1, y1, z1]], shell.walls),
    ):
        build.quad(np.array(quad, float), surface)
