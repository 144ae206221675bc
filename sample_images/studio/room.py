"""The room: wall face with the opening in it, alcove behind, curb or tub below, header above, floor, ceiling, lamps."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, field

import numpy as np

from .opening import Opening
from .shapes import Builder
from .surfaces import Surface, metal

Triple = tuple[float, float, float]
BEAD_DEPTH_MM = 9.0


@dataclass(frozen=True)
class Lamp:
    centre_mm: Triple
    toward: Triple
    size_mm: tuple[float, float]
    rgb: Triple


@dataclass(frozen=True)
class Finish:
    """What every part of the room is made of."""

    face: Surface  # the wall that the opening is in
    alcove: Surface  # side walls of the alcove
    back: Surface
    curb: Surface
    header: Surface
    shower_floor: Surface
    floor: Surface
    ceiling: Surface
    walls: Surface
    skirting: Surface | None = None


@dataclass(frozen=True)
class Room:
    finish: Finish
    lamps: tuple[Lamp, ...]
    curb_height_mm: float = 100.0
    curb_depth_mm: float = 110.0
    ceiling_mm: float = 2400.0  # above the floor
    beyond_left_mm: float = 800.0  # room wall to the left of the opening
    beyond_right_mm: float = 900.0
    length_mm: float = 3600.0  # from the wall face to the wall behind the camera
    alcove_depth_mm: float = 1010.0  # from the wall face to the back wall
    header_depth_mm: float = 110.0
    tub: bool = False
    bullnose_mm: float = 0.0
    bead_mm: float = 0.0
    bead: Surface = field(default_factory=metal)


def build_room(build: Builder, room: Room, opening: Opening) -> None:
    floor_y, ceiling_y = -room.curb_height_mm, room.ceiling_mm - room.curb_height_mm
    _jambs(build, room, opening, floor_y, ceiling_y)
    _curb(build, room, opening, floor_y)
    if opening.head:
        _header(build, room, opening, ceiling_y)
    _alcove(build, room, opening, floor_y, ceiling_y)
    _shell(build, room, opening, floor_y, ceiling_y)
    for lamp in room.lamps:
        build.lamp(lamp.centre_mm, lamp.toward, lamp.size_mm, lamp.rgb)


def _jambs(build: Builder, room: Room, opening: Opening, floor_y: float, ceiling_y: float) -> None:
    """Face and side wall on either side of the opening."""
    bl, br, tr, tl = opening.corners
    outer = (-room.beyond_left_mm, opening.width_mm + room.beyond_right_mm)
    for wall, foot, top, far, way in ((opening.left, bl, tl, outer[0], 1), (opening.right, br, tr, outer[1], -1)):
        y = np.concatenate([[floor_y], np.linspace(foot[1], top[1], 65), [ceiling_y]])
        edge = wall(y)
        face_end = edge - way * room.bead_mm
        _upright(build, np.full_like(y, far), face_end, y, room.finish.face)
        if room.bead_mm:
            _upright(build, face_end, edge, y, room.bead)
        _side(build, room, edge, y, way)


def _side(build: Builder, room: Room, edge: np.ndarray, y: np.ndarray, way: int) -> None:
    """A side wall from the arris inward: the rounding or the bead's other leg, then tile."""
    x, z = edge, 0.0
    angles = np.radians(np.linspace(0, 90, 17)) if room.bullnose_mm else np.zeros(1)
    for before, after in itertools.pairwise(angles):
        next_x, next_z = edge + way * room.bullnose_mm * np.sin(after), -room.bullnose_mm * (1 - np.cos(after))
        arc = (room.bullnose_mm * before, room.bullnose_mm * after)
        _inward(build, (x, z), (next_x, next_z), y, arc, room.finish.alcove)
        x, z = next_x, next_z
    if room.bead_mm:
        _inward(build, (x, z), (x, -BEAD_DEPTH_MM), y, (0, BEAD_DEPTH_MM), room.bead)
        z = -BEAD_DEPTH_MM
    _inward(build, (x, z), (x, -room.alcove_depth_mm), y, (-z, room.alcove_depth_mm), room.finish.alcove)


def _upright(build: Builder, x_a: np.ndarray, x_b: np.ndarray, y: np.ndarray, surface: Surface) -> None:
    """Part of the wall face between two upright lines."""
    a, b = (np.column_stack([x, y, np.zeros_like(y)]) for x in (x_a, x_b))
    build.strip(a, b, a[:, :2], b[:, :2], surface)


def _inward(build: Builder, start: tuple, end: tuple, y: np.ndarray, u: tuple[float, float], surface: Surface) -> None:
    """Part of a side wall between two lines given as (x over the height, z); u counts millimetres from the face."""
    a, b = (np.column_stack([x, y, np.full_like(y, z)]) for x, z in (start, end))
    build.strip(a, b, np.column_stack([np.full_like(y, u[0]), y]), np.column_stack([np.full_like(y, u[1]), y]), surface)


def _deep(p: np.ndarray, z: float) -> list[float]:
    return [float(p[0]), float(p[1]), z]


def _curb(build: Builder, room: Room, opening: Opening, floor_y: float) -> None:
    bl, br, _, _ = opening.corners
    left, right = (np.array([float(wall(np.array(floor_y))), floor_y]) for wall in (opening.left, opening.right))
    z, spare = -room.curb_depth_mm, room.bullnose_mm
    bl_in, br_in = bl - [spare, 0], [*br, spare, 0]
    build.quad(np.array([_deep(left, 0), _deep(right, 0), _deep(br, 0), _deep(bl, 0)]), room.finish.curb)
    build.quad(np.array([_deep(bl, 0), _deep(br, 0), _deep(br_in, z), _deep(bl_in, z)]), room.finish.curb)
    inside_y = floor_y + (130 if room.tub else 35)
    low_l, low_r = np.array([bl_in[0], inside_y]), np.array([br_in[0], inside_y])
    build.quad(np.array([_deep(low_r, z), _deep(low_l, z), _deep(bl_in, z), _deep(br_in, z)]), room.finish.curb)
    far, floor = -room.alcove_depth_mm, room.finish.curb if room.tub else room.finish.shower_floor
    wide_l, wide_r = low_l - [60, 0], [*low_r, 60, 0]
    build.quad(np.array([_deep(wide_l, z), _deep(wide_r, z), _deep(wide_r, far), _deep(wide_l, far)]), floor)
    if room.tub:  # the rim along the back wall
        build.box((bl_in[0] - 60, inside_y, far), (br_in[0] + 60, float(min(bl[1], br[1])), far + 70), room.finish.curb)


def _header(build: Builder, room: Room, opening: Opening, ceiling_y: float) -> None:
    _, _, tr, tl = opening.corners
    up_l, up_r = (np.array([float(wall(np.array(ceiling_y))), ceiling_y]) for wall in (opening.left, opening.right))
    z, spare = -room.header_depth_mm, room.bullnose_mm
    above = np.array([_deep(tl, 0), _deep(tr, 0), _deep(up_r, 0), _deep(up_l, 0)])
    build.quad(above, room.finish.face, above[:, :2])
    tl_in, tr_in = tl - [spare, 0], [*tr, spare, 0]
    build.quad(np.array([_deep(tl_in, z), _deep(tr_in, z), _deep(tr, 0), _deep(tl, 0)]), room.finish.header)
    build.quad(np.array([_deep(tr_in, z), _deep(tl_in, z), _deep(up_l, z), _deep(up_r, z)]), room.finish.alcove)


def _alcove(build: Builder, room: Room, opening: Opening, floor_y: float, ceiling_y: float) -> None:
    far, near = -room.alcove_depth_mm, -room.header_depth_mm if opening.head else 0.0
    x0, x1 = -60.0, opening.width_mm + 60.0
    back = np.array([[x0, floor_y, far], [x1, floor_y, far], [x1, ceiling_y, far], [x0, ceiling_y, far]])
    build.quad(back, room.finish.back, back[:, :2])
    build.quad(
        np.array([[x0, ceiling_y, near], [x1, ceiling_y, near], [x1, ceiling_y, far], [x0, ceiling_y, far]]), room.finish.ceiling
    )


def _shell(build: Builder, room: Room, opening: Opening, floor_y: float, ceiling_y: float) -> None:
    x0, x1, z1 = -room.beyond_left_mm, opening.width_mm + room.beyond_right_mm, room.length_mm
    finish = room.finish
    build.quad(np.array([[x0, floor_y, z1], [x1, floor_y, z1], [x1, floor_y, 0], [x0, floor_y, 0]]), finish.floor)
    build.quad(np.array([[x0, ceiling_y, 0], [x1, ceiling_y, 0], [x1, ceiling_y, z1], [x0, ceiling_y, z1]]), finish.ceiling)
    build.quad(np.array([[x0, floor_y, z1], [x0, floor_y, 0], [x0, ceiling_y, 0], [x0, ceiling_y, z1]]), finish.walls)
    build.quad(np.array([[x1, floor_y, 0], [x1, floor_y, z1], [x1, ceiling_y, z1], [x1, ceiling_y, 0]]), finish.walls)
    build.quad(np.array([[x1, floor_y, z1], [x0, floor_y, z1], [x0, ceiling_y, z1], [x1, ceiling_y, z1]]), finish.walls)
    if finish.skirting:
        build.box((x0, floor_y, 0.0), (float(opening.left(np.array(floor_y))) - 25, floor_y + 80, 13.0), finish.skirting)
        build.box((float(opening.right(np.array(floor_y))) + 25, floor_y, 0.0), (x1, floor_y + 80, 13.0), finish.skirting)
