"""Walls of the eighth rooms: the face with its opening, the profile of its edges, sill, space behind, the room."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np

from tests.benchmarks.scenes.eighth_looks import Surface, coated

from studio.opening import Opening  # isort: skip  # on the path since eighth_looks
from studio.shapes import Builder  # isort: skip

Point = tuple[float, float]


@dataclass(frozen=True)
class Profile:
    """The edge in section: (mm outside the opening, z) from the flat of the face to the end of the reveal."""

    points: tuple[Point, ...]
    parts: tuple[str, ...]  # name of each segment's finish
    flat_ends_mm: float
    words: str  # where the edge was taken

    @property
    def outside_mm(self) -> float:
        return self.points[0][0]


@dataclass(frozen=True)
class Sill:
    """What the opening stands on; its front is flush with the wall face."""

    front_mm: float
    depth_mm: float
    radius_mm: float
    to_floor: bool


@dataclass(frozen=True)
class House:
    """All measures of one room and what its parts are made of."""

    kind: str
    opening: Opening
    profile: Profile
    sill: Sill
    floor_y: float
    ceiling_y: float
    far: tuple[float, float]  # x of the side walls of the room
    length_mm: float
    thick_mm: float  # of the wall, or the depth of a niche
    depth_mm: float  # of the space behind, from the face
    wide_mm: float  # how much that space is wider at each side; 0: the side walls run on
    bands: tuple[tuple[float, str], ...]  # finishes of the face from the floor up: where each ends and its name
    looks: dict[str, Surface]


def quarter(radius: float, steps: int) -> list[Point]:
    """From (radius, 0) on the face round to (0, -radius) on the reveal."""
    a = np.linspace(0, np.pi / 2, steps + 1)
    return [(float(radius * (1 - np.sin(t))), float(-radius * (1 - np.cos(t)))) for t in a]


def profile(arris: str, size: float, ease: float, thick: float) -> Profile:
    """sharp, eased, square (a trim), round (a trim) or wood (a lining flush with the face); size is the trim's width."""
    end = (0.0, -thick)
    if arris == "sharp":
        return Profile(((0.0, 0.0), end), ("reveal",), 0.0, "where the planes of the wall face and of the side wall cross")
    if arris == "eased":
        arc = quarter(ease, 6)
        words = f"where the planes of the wall face and of the side wall cross; the corner is rounded with {ease:.2f} mm radius"
        return Profile((*arc, end), ("corner",) * 6 + ("reveal",), ease, words)
    joint = 1.2
    if arris == "round":
        arc = quarter(size, 14)
        points = ((size + joint, 0.0), *arc, (0.0, -size - joint), end)
        words = f"where the planes of the wall face and of the side wall cross, in front of a round trim of {size:.2f} mm radius"
        return Profile(points, ("grout", *("trim",) * 14, "grout", "reveal"), size, words)
    arc = quarter(ease, 4)
    if arris == "square":
        points = ((size + joint, 0.0), (size, 0.0), *arc, (0.0, -size), (0.0, -size - joint), end)
        words = f"the border toward the opening of a trim {size:.2f} mm wide that is flush with the wall face"
        return Profile(points, ("grout", *("trim",) * 6, "grout", "reveal"), ease, words)
    points = ((size, 0.0), *arc, end)
    words = f"the border toward the opening of a wooden lining {size:.2f} mm wide that is flush with the wall face"
    return Profile(points, ("trim",) * 6, ease, words)


def build_house(build: Builder, house: House) -> None:
    """Everything that is wall, floor, sill or ceiling."""
    _edges(build, house)
    _face(build, house)
    _sill(build, house)
    if house.kind in ("shower", "tub"):
        _alcove(build, house)
    elif house.kind == "doorway":
        _beyond(build, house)
    else:
        _back(build, house)
    _shell(build, house)


def _line(y_or_x: np.ndarray, other: np.ndarray, z: float) -> np.ndarray:
    return np.column_stack([other, y_or_x, np.full_like(y_or_x, z)])


def _corner(house: House, way: int, out: float) -> tuple[float, float]:
    """Where the side's line and the head's, both moved outward, meet."""
    opening = house.opening
    top = opening.corners[3]
    wall = opening.left if way > 0 else opening.right
    x, y = float(top[0]), float(top[1])
    for _ in range(8):
        x = float(wall(np.array(y))) - way * out
        y = float(top[1] + opening.head_slope / 1000 * (x - top[0]) + out)
    return x, y


def _rows(house: House, way: int, out: float) -> np.ndarray:
    """Heights from the sill up along one side; where there is no head, up to the ceiling."""
    opening = house.opening
    x = 0.0 if way > 0 else opening.width_mm
    low = (x - way * out) * opening.curb_level / 1000 - house.sill.radius_mm
    inner = np.linspace(0.0, _corner(house, way, out)[1], 97)
    return np.concatenate([[low], inner[inner > low], [] if opening.head else [house.ceiling_y]])


def _edges(build: Builder, house: House) -> None:
    """The profile drawn along left side, head and right side, mitred at the corners."""
    opening, profile = house.opening, house.profile
    along = 0.0
    for (a, b), part in zip(itertools.pairwise(profile.points), profile.parts, strict=True):
        after = along + float(np.hypot(b[0] - a[0], b[1] - a[1]))
        surface = house.looks[part]
        for way, wall in ((1, opening.left), (-1, opening.right)):
            lines, marks = [], []
            for (out, z), u in ((a, along), (b, after)):
                y = _rows(house, way, out)
                lines.append(_line(y, wall(y) - way * out, z))
                marks.append(np.column_stack([np.full_like(y, u), y]))
            build.strip(lines[0], lines[1], marks[0], marks[1], surface)
        if opening.head:
            _head_part(build, house, (a, b, along, after), surface)
        along = after


def _head_part(build: Builder, house: House, part: tuple[Point, Point, float, float], surface: Surface) -> None:
    a, b, u_a, u_b = part
    corners = []
    for (out, z), u in ((a, u_a), (b, u_b)):
        for way in (1, -1):
            x, y = _corner(house, way, out)
            corners.append(([x, y, z], [u, x] if house.profile.parts[0] == "trim" else [x, u]))
    (p0, t0), (p1, t1), (p2, t2), (p3, t3) = corners
    build.quad(np.array([p0, p1, p3, p2]), surface, np.array([t0, t1, t3, t2]))


def _bands(house: House, low: float, high: float) -> list[tuple[float, float, Surface]]:
    """The finishes between two heights."""
    found, start = [], low
    for end, name in (*house.bands, (np.inf, "face")):
        stop = min(end, high)
        if stop > start:
            found.append((start, stop, house.looks[name]))
            start = stop
    return found


def _face(build: Builder, house: House) -> None:
    """The wall the opening is in: beside it, above it and below its sill."""
    opening, out = house.opening, house.profile.outside_mm
    top_l, top_r = (_corner(house, way, out) for way in (1, -1))
    for way, wall, far, corner in ((1, opening.left, house.far[0], top_l), (-1, opening.right, house.far[1], top_r)):
        for low, high, surface in _bands(house, house.floor_y, house.ceiling_y):
            inner = np.linspace(0.0, corner[1], 97)  # the same as in _rows
            y = np.concatenate([[low], inner[(inner > low) & (inner < high)], [high]])
            a, b = _line(y, np.full_like(y, far), 0.0), _line(y, wall(y) - way * out, 0.0)
            build.strip(a, b, a[:, :2], b[:, :2], surface)
    left, right = (lambda y: float(opening.left(np.array(y))) - out), (lambda y: float(opening.right(np.array(y))) + out)
    if opening.head:
        up = house.ceiling_y
        above = np.array([[*top_l, 0], [*top_r, 0], [right(up), up, 0], [left(up), up, 0.0]])
        build.quad(above, house.looks["face"], above[:, :2])
    if not house.sill.to_floor:
        for low, high, surface in _bands(house, house.floor_y, -house.sill.front_mm):
            below = np.array([[left(low), low, 0], [right(low), low, 0], [right(high), high, 0], [left(high), high, 0.0]])
            build.quad(below, surface, below[:, :2])


def _sill(build: Builder, house: House) -> None:
    """Front, rounded or sharp edge and top of the curb, rim, threshold or sill."""
    opening, sill, out = house.opening, house.sill, house.profile.outside_mm
    slope = opening.curb_level / 1000
    bottom = house.floor_y if sill.to_floor else -sill.front_mm
    section = [(-y, z) for y, z in quarter(sill.radius_mm, 8)] if sill.radius_mm else [(0.0, 0.0)]
    points: list[tuple[float | None, float]] = [(None, 0.0), *section, (0.0, -sill.depth_mm)]
    if house.kind in ("shower", "tub"):
        points.append((None, -sill.depth_mm))
    along = 0.0
    for (y_a, z_a), (y_b, z_b) in itertools.pairwise(points):
        corners, marks = [], []
        far = along + (abs((y_b if y_b is not None else bottom) - (y_a if y_a is not None else bottom)) + abs(z_b - z_a))
        for drop, z, u in ((y_a, z_a, along), (y_b, z_b, far)):
            foot = bottom if drop is None else 0.0
            x0 = float(opening.left(np.array(foot))) - out
            x1 = float(opening.right(np.array(foot))) + out
            for x in (x0, x1):
                corners.append([x, bottom if drop is None else x * slope + drop, z])
                marks.append([x, u])
        order = [0, 1, 3, 2]
        build.quad(np.array(corners)[order], house.looks["sill"], np.array(marks)[order])
        along = far


def _alcove(build: Builder, house: House) -> None:
    """Shower or tub behind the wall: side walls up to the ceiling, back, floor or basin."""
    opening, looks, thick, deep = house.opening, house.looks, house.thick_mm, house.depth_mm
    low, up = house.floor_y, house.ceiling_y
    y = np.concatenate([[low], np.linspace(0, float(opening.corners[3][1]), 97), [up]])
    wide = house.wide_mm
    for way, wall in ((1, opening.left), (-1, opening.right)):
        x = wall(y) - way * wide
        a, b = _line(y, x, -thick), _line(y, x, -deep)
        build.strip(
            a, b, np.column_stack([np.full_like(y, thick), y]), np.column_stack([np.full_like(y, deep), y]), looks["alcove"]
        )
        if wide:
            a, b = _line(y, wall(y), -thick), _line(y, x, -thick)
            build.strip(a, b, a[:, :2], b[:, :2], looks["alcove"])
    x0, x1 = -wide - 80, opening.width_mm + wide + 80
    if opening.head:
        top = float(opening.corners[:, 1].max())
        _upright(build, (x0, x1), (top - 3, up), -thick - 0.5, looks["alcove"])
    _upright(build, (x0, x1), (low, up), -deep, looks["back"])
    _level(build, (x0, x1), (-thick, -deep), up, looks["ceiling"])
    floor = low + (140 if house.kind == "tub" else 25)
    _level(build, (x0, x1), (-house.sill.depth_mm, -deep), floor, looks["sill" if house.kind == "tub" else "tray"])
    if house.kind == "tub":
        build.box((x0, floor, -deep), (x1, -8, -deep + 75), looks["sill"])


def _beyond(build: Builder, house: House) -> None:
    """The room behind a doorway."""
    looks, low, up = house.looks, house.floor_y, house.ceiling_y
    z0, z1 = -house.thick_mm, -house.depth_mm
    x0, x1 = -house.wide_mm, house.opening.width_mm + house.wide_mm
    _level(build, (x0, x1), (z0, z1), low, looks["tray"])
    _level(build, (x0, x1), (z0, z1), up, looks["ceiling"])
    _upright(build, (x0, x1), (low, up), z1, looks["back"])
    for x in (x0, x1):
        corners = np.array([[x, low, z0], [x, low, z1], [x, up, z1], [x, up, z0]])
        build.quad(corners, looks["alcove"], corners[:, [2, 1]])


def _back(build: Builder, house: House) -> None:
    """What closes a niche, a mirror's frame or a window."""
    z, opening = -house.thick_mm, house.opening
    top = float(opening.corners[:, 1].max())
    x0, x1 = -120.0, opening.width_mm + 120
    if house.kind != "window":
        _upright(build, (x0, x1), (-house.sill.front_mm, top + 60), z, house.looks["back"])
        return
    white, w = coated((0.76, 0.76, 0.75), 0.2), 58.0
    for a, b, c, d in (
        (x0, -60, w, top + 60),
        (opening.width_mm - w, -60, x1, top + 60),
        (w, -60, opening.width_mm - w, w),
        (w, top - w, opening.width_mm - w, top + 60),
        (opening.width_mm / 2 - 40, w, opening.width_mm / 2 + 40, top - w),
    ):
        build.box((a, b, z - 50), (c, d, z), white)


def _upright(build: Builder, x: Point, y: Point, z: float, surface: Surface) -> None:
    corners = np.array([[x[0], y[0], z], [x[1], y[0], z], [x[1], y[1], z], [x[0], y[1], z]])
    build.quad(corners, surface, corners[:, :2])


def _level(build: Builder, x: Point, z: Point, y: float, surface: Surface) -> None:
    corners = np.array([[x[0], y, z[0]], [x[1], y, z[0]], [x[1], y, z[1]], [x[0], y, z[1]]])
    build.quad(corners, surface, corners[:, [0, 2]])


def _shell(build: Builder, house: House) -> None:
    """Floor, ceiling and the other three walls of the room the camera stands in."""
    looks, low, up, far = house.looks, house.floor_y, house.ceiling_y, house.length_mm
    _level(build, house.far, (0.0, far), low, looks["floor"])
    _level(build, house.far, (0.0, far), up, looks["ceiling"])
    _upright(build, house.far, (low, up), far, looks["walls"])
    for x in house.far:
        corners = np.array([[x, low, 0.0], [x, low, far], [x, up, far], [x, up, 0.0]])
        build.quad(corners, looks["walls"], corners[:, [2, 1]])
    if house.kind == "doorway" or "skirting" not in looks:
        return
    out, foot = house.profile.outside_mm + 30, np.array(low)
    for x0, x1 in ((house.far[0], float(house.opening.left(foot)) - out), (float(house.opening.right(foot)) + out, house.far[1])):
        build.box((x0, low, 0.0), (x1, low + 70, 12.0), looks["skirting"])
