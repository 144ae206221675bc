"""The wall with its opening, the room before it and the reveal behind: all that does not depend on the kind of opening."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np

from .fourth_arris import Arris
from .fourth_base import Array, Builder, Opening, Surface


@dataclass(frozen=True)
class Shell:
    """Heights above the foot of the left wall, millimetres."""

    floor: float
    ceiling: float
    left: float  # free wall on either side
    right: float
    length: float  # of the room before the wall
    depth: float  # of the reveal, to what lies behind
    head_depth: float
    foot_depth: float
    framed: bool  # wall below the opening as well: window, niche
    sides: Arris
    foot: Arris
    face: Surface
    reveal: Surface
    below: Surface  # front under the lower edge
    walls: Surface
    ground: Surface
    sky: Surface


def head_line(opening: Opening, x: Array) -> Array:
    tl, tr = opening.corners[3], opening.corners[2]
    return np.asarray(tl[1] + (tr[1] - tl[1]) / (tr[0] - tl[0]) * (x - tl[0]))


def foot_line(opening: Opening, x: Array) -> Array:
    return np.asarray(opening.corners[1][1] / opening.corners[1][0] * np.asarray(x, float))


def build_shell(build: Builder, shell: Shell, opening: Opening) -> None:
    _face(build, shell, opening)
    _trims(build, shell, opening)
    _reveals(build, shell, opening)
    _room(build, shell, opening)


def _flat(x: Array, y: Array, z: float = 0.0) -> Array:
    x, y = np.broadcast_arrays(np.asarray(x, float), np.asarray(y, float))
    return np.column_stack([x, y, np.full(len(x), z)])


def _patch(build: Builder, first: Array, second: Array, surface: Surface) -> None:
    build.strip(first, second, first[:, :2], second[:, :2], surface)


def _heights(shell: Shell, opening: Opening) -> Array:
    low, high = opening.corners[:, 1].min(), opening.corners[:, 1].max()
    return np.concatenate([[shell.floor], np.linspace(low, high, 81), [shell.ceiling]])


def _face(build: Builder, shell: Shell, opening: Opening) -> None:
    y, wide = _heights(shell, opening), shell.sides.band_mm
    _patch(build, _flat(np.full(len(y), -shell.left), y), _flat(opening.left(y) - wide, y), shell.face)
    outer = np.full(len(y), opening.width_mm + shell.right)
    _patch(build, _flat(opening.right(y) + wide, y), _flat(outer, y), shell.face)
    for wall, way in ((opening.left, -1), (opening.right, 1)):
        if way < 0:
            left = _above(wall, way * wide, shell, opening)
        else:
            _patch(build, left, _above(wall, way * wide, shell, opening), shell.face)
    t, band = np.linspace(0, 1, 41), shell.foot.band_mm
    ends = [opening.left, opening.right]
    spare = wide if shell.framed else 0.0
    edges = []
    for wall, way in zip(ends, (-1, 1), strict=True):
        top = foot_line(opening, wall(np.array(0.0)) + way * spare) - band
        height = shell.floor + t * (top - shell.floor)
        edges.append(_flat(wall(height) + way * spare, height))
    _patch(build, edges[0], edges[1], shell.face if shell.framed else shell.below)


def _above(wall, shift: float, shell: Shell, opening: Opening) -> Array:  # type: ignore[no-untyped-def]
    """The line beside the header, from its lower edge to the ceiling."""
    y = float(opening.corners[3][1])
    for _ in range(4):
        y = float(head_line(opening, wall(np.array(y)) + shift)) + shell.sides.band_mm
    heights = np.linspace(y, shell.ceiling, 9)
    return _flat(wall(heights) + shift, heights)


def _trims(build: Builder, shell: Shell, opening: Opening) -> None:
    wide, band = shell.sides.band_mm, shell.foot.band_mm
    t = np.linspace(0, 1, 81)
    if shell.sides.band is not None:
        for wall, way in ((opening.left, -1), (opening.right, 1)):
            lines = []
            for shift in (way * wide, 0.0):
                x = float(wall(np.array(0.0))) + shift
                low = float(foot_line(opening, np.array(x))) if shell.framed else shell.floor
                high = float(_above(wall, shift, shell, opening)[0, 1])
                y = low + t * (high - low)
                lines.append(_flat(wall(y) + shift, y))
            _patch(build, lines[0], lines[1], shell.sides.band)
        tl, tr = opening.corners[3], opening.corners[2]
        lower = tl + t[:, None] * (tr - tl)
        ends = [_above(wall, 0.0, shell, opening)[0, :2] for wall in (opening.left, opening.right)]
        upper = ends[0] + t[:, None] * (ends[1] - ends[0])
        _patch(build, _flat(lower[:, 0], lower[:, 1]), _flat(upper[:, 0], upper[:, 1]), shell.sides.band)
    if shell.foot.band is not None:
        spare = wide if shell.framed else 0.0
        x0, x1 = float(opening.left(np.array(0.0))) - spare, float(opening.right(np.array(opening.corners[1][1]))) + spare
        along = x0 + t * (x1 - x0)
        y, flat = foot_line(opening, along), np.zeros(len(t))
        uv = [np.column_stack([along, flat + height]) for height in (0.0, band)]
        build.strip(_flat(along, y - band), _flat(along, y), uv[0], uv[1], shell.foot.band)


def _sweep(build: Builder, edge: Array, inward: tuple[int, int], profile: list[tuple[float, float, Surface]]) -> None:
    """A profile along an edge in the wall's plane; each entry ends a piece, the first only starts."""
    arc, along = 0.0, edge[:, 0] * abs(inward[1]) + edge[:, 1] * abs(inward[0])
    for (d0, z0, _), (d1, z1, surface) in itertools.pairwise(profile):
        far = arc + float(np.hypot(d1 - d0, z1 - z0))
        a, b = (edge + d * np.array(inward) for d in (d0, d1))
        uv = [np.column_stack([np.full(len(edge), u), along]) for u in (arc, far)]
        build.strip(_flat(a[:, 0], a[:, 1], z0), _flat(b[:, 0], b[:, 1], z1), uv[0], uv[1], surface)
        arc = far


def _pieces(arris: Arris, depth: float, then: Surface) -> list[tuple[float, float, Surface]]:
    points = [(d, z, surface) for (d, z), surface in zip(arris.profile, (then, *arris.surfaces), strict=True)]
    if -depth < points[-1][1]:
        points.append((points[-1][0], -depth, then))
    return points


def _reveals(build: Builder, shell: Shell, opening: Opening) -> None:
    y = _heights(shell, opening)
    sides = _pieces(shell.sides, shell.depth, shell.reveal)
    _sweep(build, np.column_stack([opening.left(y), y]), (1, 0), sides)
    _sweep(build, np.column_stack([opening.right(y), y]), (-1, 0), sides)
    x = np.linspace(-80, opening.width_mm + 80, 9)
    head = np.column_stack([x, head_line(opening, x)])
    under = shell.face if shell.sides.band is None else shell.reveal
    _sweep(build, head, (0, -1), _pieces(shell.sides, shell.head_depth, under))
    foot = np.column_stack([x, foot_line(opening, x)])
    _sweep(build, foot, (0, 1), _pieces(shell.foot, shell.foot_depth, shell.foot.band or shell.below))


def _room(build: Builder, shell: Shell, opening: Opening) -> None:
    x0, x1, z1 = -shell.left, opening.width_mm + shell.right, shell.length
    low, high = shell.floor, shell.ceiling
    for surface, corners in (
        (shell.ground, [[x0, low, z1], [x1, low, z1], [x1, low, 0], [x0, low, 0]]),
        (shell.sky, [[x0, high, 0], [x1, high, 0], [x1, high, z1], [x0, high, z1]]),
        (shell.walls, [[x0, low, z1], [x0, low, 0], [x0, high, 0], [x0, high, z1]]),
        (shell.walls, [[x1, low, 0], [x1, low, z1], [x1, high, z1], [x1, high, 0]]),
        (shell.walls, [[x1, low, z1], [x0, low, z1], [x0, high, z1], [x1, high, z1]]),
    ):
        build.quad(np.array(corners, float), surface)
