"""What is seen through the opening: wet room, tub, the next room, a window pane, the back of a niche."""

from __future__ import annotations

import numpy as np

from .fourth_base import RGB, Array, Builder, Lamp, Opening, Surface, lacquer, metal
from .fourth_light import shine
from .fourth_walls import Shell


def _quad(build: Builder, corners: list[list[float]], surface: Surface) -> None:
    c = np.array(corners, float)
    build.quad(c, surface)


def alcove(build: Builder, shell: Shell, opening: Opening, back: Surface, floor: Surface, tub: bool) -> None:
    """Back wall, floor and ceiling of a shower or over a tub."""
    x0, x1, far = -80.0, opening.width_mm + 80, -shell.depth
    upright = [[x0, shell.floor, far], [x1, shell.floor, far], [x1, shell.ceiling, far], [x0, shell.ceiling, far]]
    build.quad(np.array(upright), back, np.array(upright)[:, :2])
    high, low = shell.ceiling, shell.floor + (120 if tub else 20)
    _quad(build, [[x0, high, 0], [x1, high, 0], [x1, high, far], [x0, high, far]], shell.sky)
    front = -shell.head_depth
    lintel = float(opening.corners[:, 1].max())
    _quad(build, [[x0, lintel, front], [x1, lintel, front], [x1, high, front], [x0, high, front]], shell.reveal)
    inner = -shell.foot_depth
    top = float(opening.corners[:2, 1].min())
    _quad(build, [[x0, low, inner], [x1, low, inner], [x1, low, far], [x0, low, far]], floor)
    _quad(build, [[x1, low, inner], [x0, low, inner], [x0, top, inner], [x1, top, inner]], shell.foot.band or shell.below)
    if tub and shell.foot.band:
        build.box((x0, low, far), (x1, top - 6, far + 60), shell.foot.band)


def next_room(build: Builder, shell: Shell, opening: Opening, walls: Surface, ground: Surface, glow: RGB) -> None:
    """A passage behind a doorway, with a chest in it."""
    x0, x1, near, far = -700.0, opening.width_mm + 500, -shell.depth, -shell.depth - 1700
    low, high = shell.floor, shell.ceiling
    _quad(build, [[x0, low, 0], [x1, low, 0], [x1, low, far], [x0, low, far]], ground)
    _quad(build, [[x0, high, near], [x1, high, near], [x1, high, far], [x0, high, far]], shell.sky)
    _quad(build, [[x0, low, far], [x1, low, far], [x1, high, far], [x0, high, far]], walls)
    for x in (x0, x1):
        _quad(build, [[x, low, near], [x, low, far], [x, high, far], [x, high, near]], walls)
    y = np.linspace(low, high, 3)
    for wall, end in ((opening.left, x0), (opening.right, x1)):
        edge = np.column_stack([wall(y), y, np.full(3, near)])
        away = np.column_stack([np.full(3, end), y, np.full(3, near)])
        build.strip(edge, away, edge[:, :2], away[:, :2], walls)
    over = float(opening.corners[:, 1].max())
    _quad(build, [[x0, over, near], [x1, over, near], [x1, high, near], [x0, high, near]], walls)
    build.box((x0 + 60, low, far + 20), (x0 + 1000, low + 780, far + 430), lacquer((0.3, 0.2, 0.12), 0.3))
    shine(build, Lamp((opening.width_mm / 2, high - 4, far + 600), (0, -1, 0), (350, 350), glow), 0.4)


def pane(build: Builder, shell: Shell, opening: Opening, sky: RGB, bar: Surface, rng_cut: float) -> None:
    """A window: frame, one mullion, daylight behind it."""
    corners: Array = opening.corners
    x0, x1 = float(corners[:, 0].min()) - 30, float(corners[:, 0].max()) + 30
    y0, y1 = float(corners[:, 1].min()) - 30, float(corners[:, 1].max()) + 30
    z, w = -shell.depth, 85.0
    cut = x0 + rng_cut * (x1 - x0)
    for low, high in (
        ((x0, y0), (x1, y0 + w)),
        ((x0, y1 - w), (x1, y1)),
        ((x0, y0), (x0 + w, y1)),
        ((x1 - w, y0), (x1, y1)),
        ((cut - 32, y0), (cut + 32, y1)),
    ):
        build.box((*low, z - 50), (*high, z), bar)
    build.box((cut - 12, (y0 + y1) / 2 - 10, z), (cut + 12, (y0 + y1) / 2 + 90, z + 35), metal((0.7, 0.7, 0.7), 0.25))
    middle = ((x0 + x1) / 2, (y0 + y1) / 2, z - 60)
    shine(build, Lamp(middle, (0, 0, 1), (x1 - x0 + 40, y1 - y0 + 40), sky), min(1.0, 0.1 + 0.4 * max(sky)))


def niche(build: Builder, shell: Shell, opening: Opening, back: Surface, shelf: Surface | None, shelf_y: float) -> None:
    x0, x1 = -40.0, opening.width_mm + 40
    y0, y1, z = -40.0, float(opening.corners[:, 1].max()) + 40, -shell.depth
    c = np.array([[x0, y0, z], [x1, y0, z], [x1, y1, z], [x0, y1, z]])
    build.quad(c, back, c[:, :2])
    if shelf:
        build.box((x0, shelf_y, z), (x1, shelf_y + 14, z * 0.25), shelf)
