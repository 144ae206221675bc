"""The second family's geometry: a flat wall face in bands, an opening of four kinds in it, and what lies behind and around.

Kinds: `shower` (curb), `tub`, `door` (flush lining, threshold, a corridor behind), `window` (reveal with ledge, frame and panes).
The wall face is z = 0 throughout; a trim or a lining's edge is flush with it, its outer corner is the edge of the opening.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from studio.opening import Opening
from studio.room import Room
from studio.shapes import Builder
from studio.surfaces import Surface, lacquer, plain

Line = Callable[[np.ndarray], np.ndarray]
HOLE = tuple[float, float, float, float]  # z from, z to, y from, y to


@dataclass(frozen=True)
class World(Room):
    """A room with what the studio's own lacks. `bands`: (top above the floor in mm, surface), from below; the last goes on."""

    kind: str = "shower"
    bands: tuple[tuple[float, Surface], ...] = ()
    rim_mm: float = 0.0  # flush trim or lining's edge around the opening, as wide as it is seen on the face
    rim: Surface | None = None
    rim_leg_mm: float = 0.0  # how far the rim's surface runs inward
    ease_mm: float = 0.0  # rounding (or chamfer) at the arris, from the end of the flat
    chamfer: bool = False
    joint: Surface | None = None  # what a chamfer is filled with; None: the rim's or the reveal's own finish
    reveal_mm: float = 150.0  # of door and window: how deep the reveal is
    panes: Surface | None = None  # None: daylight behind them
    frame: Surface | None = None
    hole: HOLE | None = None  # in the left side wall, for the sun
    mirrored: bool = False  # the hole is in the right one


def build_world(build: Builder, world: World, opening: Opening) -> None:
    """Everything but cards and things; lamps included."""
    face = Face(build, world, opening)
    face.sides()
    face.above()
    face.below()
    face.reveals()
    {"shower": _alcove, "tub": _alcove, "door": _corridor, "window": _panes}[world.kind](build, world, opening)
    _shell(build, world, opening)
    for lamp in world.lamps:
        build.lamp(lamp.centre_mm, lamp.toward, lamp.size_mm, lamp.rgb)


class Face:
    """The wall face and the reveal: every part is a strip between two lines that it shares with its neighbours."""

    def __init__(self, build: Builder, world: World, opening: Opening) -> None:
        self.build, self.world, self.opening = build, world, opening
        self.low, self.high = -world.curb_height_mm, world.ceiling_mm - world.curb_height_mm
        self.bl, self.br, self.tr, self.tl = opening.corners
        self.walls = ((opening.left, self.bl, self.tl, -1), (opening.right, self.br, self.tr, 1))
        self.windowed = world.kind == "window"
        self.bands = world.bands or ((1.0, world.finish.face),)

    def head(self, x: np.ndarray) -> np.ndarray:
        return np.asarray(self.tl[1] + (self.tr[1] - self.tl[1]) * (x - self.tl[0]) / (self.tr[0] - self.tl[0]))

    def foot(self, x: np.ndarray) -> np.ndarray:
        return np.asarray(self.bl[1] + (self.br[1] - self.bl[1]) * (x - self.bl[0]) / (self.br[0] - self.bl[0]))

    def sides(self) -> None:
        """From the side walls to the rim, in bands; then the rim."""
        w, rim = self.world.rim_mm, self.world.rim
        far = (-self.world.beyond_left_mm, self.opening.width_mm + self.world.beyond_right_mm)
        for (wall, foot, top, way), end in zip(self.walls, far, strict=True):
            levels = [self.low, *(self.low + up for up, _ in self.bands[:-1]), self.high]
            for (a, b), (_, surface) in zip(itertools.pairwise(levels), self.bands, strict=True):
                y = np.unique(np.concatenate([[a, b], np.linspace(foot[1], top[1], 65)]))
                y = y[(y >= a) & (y <= b)]
                self._flat(np.column_stack([np.full_like(y, end), y]), np.column_stack([wall(y) + way * w, y]), surface)
            if rim is not None:
                y = np.linspace(foot[1], top[1], 65)
                y = y if self.windowed else np.concatenate([[self.low], y])
                outer = np.column_stack([wall(y) + way * w, y])
                outer[-1] = self._outer(wall, way, self.head, w)
                if self.windowed:
                    outer[0] = self._outer(wall, way, self.foot, -w)
                self._flat(outer, np.column_stack([wall(y), y]), rim)

    def _outer(self, wall: Line, way: int, level: Line, up: float) -> np.ndarray:
        """The rim's outer corner at head or foot; `up` beyond that line."""
        w = abs(up)
        x = float(wall(self.tl[1] if up > 0 else self.bl[1])) + way * w
        y = float(level(np.array(x))) + up
        return np.array([float(wall(np.array(y))) + way * w, y])

    def above(self) -> None:
        """The rim along the head and the wall above it."""
        w = self.world.rim_mm
        start, end = (self._outer(wall, way, self.head, w) if w else top for wall, _, top, way in self.walls)
        if self.world.rim is not None:
            self._flat(np.array([start, end]), np.array([self.tl, self.tr]), self.world.rim)
        up = [[float(wall(np.array(self.high))) + way * w, self.high] for wall, _, _, way in self.walls]
        self._flat(np.array(up), np.array([start, end]), self.bands[-1][1])

    def below(self) -> None:
        """What the opening stands on: front of curb, tub or threshold, or the wall below a window."""
        w = self.world.rim_mm if self.windowed else 0.0
        surface = self.bands[0][1] if self.windowed else self.world.finish.curb
        start, end = (self._outer(wall, way, self.foot, -w) if w else foot for wall, foot, _, way in self.walls)
        if self.windowed and self.world.rim is not None:
            self._flat(np.array([self.bl, self.br]), np.array([start, end]), self.world.rim)
        down = [[float(wall(np.array(self.low))) + way * w, self.low] for wall, _, _, way in self.walls]
        self._flat(np.array([start, end]), np.array(down), surface)

    def reveals(self) -> None:
        """Side walls behind the arris: easing, the rim's other leg, the finish; then head and foot."""
        world, through = self.world, self.world.kind in ("door", "window")
        deep = world.reveal_mm if through else world.alcove_depth_mm
        for wall, foot, top, way in self.walls:
            y = np.linspace(foot[1], top[1], 65)
            y = y if self.windowed else np.concatenate([[self.low], y])
            y = y if through else np.concatenate([y, [self.high]])
            x, z = wall(y), 0.0
            for dx, dz, surface in self._profile():
                self._inward((x, z), (x - way * dx, z - dz), y, surface)
                x, z = x - way * dx, z - dz
            self._inward((x, z), (x, -deep), y, world.finish.alcove)
        head_deep = deep if through else world.header_depth_mm
        self._level(self.tl, self.tr, head_deep, world.finish.header)
        if through:
            self._level(self.bl, self.br, deep, world.finish.curb)

    def _profile(self) -> list[tuple[float, float, Surface]]:
        """Steps from the end of the flat into the opening: (across, inward, surface)."""
        world, r = self.world, self.world.ease_mm
        surface = world.joint or world.rim or world.finish.alcove
        angles = np.radians(np.linspace(0, 90, 2 if world.chamfer else 13))
        found = [
            (r * (np.sin(b) - np.sin(a)), r * (np.cos(a) - np.cos(b)), surface) for a, b in itertools.pairwise(angles) if r > 0
        ]
        if world.rim is not None and world.rim_leg_mm > r:
            found.append((0.0, world.rim_leg_mm - r, world.rim))
        return found

    def _level(self, a: np.ndarray, b: np.ndarray, deep: float, surface: Surface) -> None:
        """Underside of the head or top of the ledge, with the rim's leg."""
        way = -1 if a is self.tl else 1
        parts = [*self._profile(), (0.0, 0.0, surface)] if a is self.tl or self.windowed else [(0.0, 0.0, surface)]
        z = 0.0
        for n, (dy, dz, of) in enumerate(parts):
            end = -deep if n == len(parts) - 1 else z - dz
            shift = np.array([0.0, way * dy])
            c, d = a + shift, b + shift
            corners = np.array([[*c, end], [*d, end], [*b, z], [*a, z]])
            self.build.quad(corners, of, np.array([[end, a[0]], [end, b[0]], [z, b[0]], [z, a[0]]]))
            a, b, z = c, d, end

    def _flat(self, first: np.ndarray, second: np.ndarray, surface: Surface) -> None:
        a, b = (np.column_stack([line, np.zeros(len(line))]) for line in (first, second))
        self.build.strip(a, b, first, second, surface)

    def _inward(self, start: tuple, end: tuple, y: np.ndarray, surface: Surface) -> None:
        a, b = (np.column_stack([x, y, np.full_like(y, z)]) for x, z in (start, end))
        self.build.strip(a, b, np.column_stack([a[:, 2], y]), np.column_stack([b[:, 2], y]), surface)


def _alcove(build: Builder, world: World, opening: Opening) -> None:
    """Shower or tub: top and inside of what one steps over, tray, back wall, back of the header."""
    bl, br, tr, tl = opening.corners
    low, high = -world.curb_height_mm, world.ceiling_mm - world.curb_height_mm
    z, far, finish = -world.curb_depth_mm, -world.alcove_depth_mm, world.finish
    inside = low + (130 if world.tub else 30)
    spread = np.array([60.0, 0.0])
    _ruled(build, np.array([[*(bl), 0], [*(br), 0]]), np.array([[*bl, z], [*br, z]]), finish.curb)
    _ruled(build, np.array([[*bl, z], [*br, z]]), np.array([[bl[0], inside, z], [br[0], inside, z]]), finish.curb)
    tray = finish.curb if world.tub else finish.shower_floor
    _ruled(build, *(np.array([[-60.0, inside, d], [opening.width_mm + 60, inside, d]]) for d in (z, far)), tray)
    if world.tub:
        build.box((*(bl - spread)[:1], inside, far), (float(br[0] + 60), float(min(bl[1], br[1])), far + 70), finish.curb)
    back = np.array([[-60, low, far], [opening.width_mm + 60, low, far], [opening.width_mm + 60, high, far], [-60, high, far]])
    build.quad(back, finish.back, back[:, :2])
    up = np.array([[tl[0] - 60, high, -world.header_depth_mm], [tr[0] + 60, high, -world.header_depth_mm]])
    _ruled(build, up, np.array([[*tl, up[0, 2]], [*tr, up[0, 2]]]), finish.back)
    _ruled(build, up, up + [[0, 0, far - up[0, 2]]] * 2, finish.ceiling)


def _ruled(build: Builder, first: np.ndarray, second: np.ndarray, surface: Surface) -> None:
    """A strip whose pattern counts millimetres along x and from the first line to the second."""
    far = float(np.linalg.norm(second[0] - first[0]))
    build.strip(first, second, np.column_stack([first[:, 0], [0, 0]]), np.column_stack([second[:, 0], [far, far]]), surface)


def _corridor(build: Builder, world: World, opening: Opening) -> None:
    """Behind a doorway: a passage with boards and a closed door opposite."""
    low, high, near, finish = -world.curb_height_mm, world.ceiling_mm - world.curb_height_mm, -world.reveal_mm, world.finish
    far, x0, x1 = near - world.alcove_depth_mm, -900.0, opening.width_mm + 900.0
    for y, surface in ((low, finish.shower_floor), (high, finish.ceiling)):
        build.quad(np.array([[x0, y, near], [x1, y, near], [x1, y, far], [x0, y, far]]), surface)
    for x in (x0, x1):
        build.quad(np.array([[x, low, near], [x, low, far], [x, high, far], [x, high, near]]), finish.back)
    back = np.array([[x0, low, far], [x1, low, far], [x1, high, far], [x0, high, far]])
    build.quad(back, finish.back, back[:, :2])
    a, frame = opening.width_mm * 0.3, world.frame or plain((0.6, 0.6, 0.58))
    build.box((a - 70, low, far), (a + 870, low + 2050, far + 25), frame)
    build.box((a, low, far + 25), (a + 800, low + 1980, far + 32), lacquer((0.5, 0.48, 0.44), 0.3))
    build.box((x0, low, far), (a - 75, low + 90, far + 15), frame)


def _panes(build: Builder, world: World, opening: Opening) -> None:
    """A window's frame at the back of the reveal, and panes: dark, or with a view that is only light."""
    z, frame = -world.reveal_mm, world.frame or lacquer((0.78, 0.78, 0.77), 0.25)
    (x0, y0), (x1, y1) = opening.corners.min(axis=0) - 15, opening.corners.max(axis=0) + 15
    bar, middle = 62.0, (x0 + x1) / 2
    for low, high in (
        ((x0, y0), (x0 + bar + 15, y1)),
        ((x1 - bar - 15, y0), (x1, y1)),
        ((x0, y0), (x1, y0 + bar + 15)),
        ((x0, y1 - bar - 15), (x1, y1)),
        ((middle - bar / 2, y0), (middle + bar / 2, y1)),
    ):
        build.box((*low, z - 60), (*high, z), frame)
    if world.panes is not None:
        build.quad(np.array([[x0, y0, z - 40], [x1, y0, z - 40], [x1, y1, z - 40], [x0, y1, z - 40]]), world.panes)


def _shell(build: Builder, world: World, opening: Opening) -> None:
    """Floor, ceiling and the other three walls of the room; a hole in one side wall lets the sun in."""
    low, high = -world.curb_height_mm, world.ceiling_mm - world.curb_height_mm
    x0, x1, z1, finish = -world.beyond_left_mm, opening.width_mm + world.beyond_right_mm, world.length_mm, world.finish
    for y, surface in ((low, finish.floor), (high, finish.ceiling)):
        build.quad(np.array([[x0, y, z1], [x1, y, z1], [x1, y, 0], [x0, y, 0]]), surface)
    build.quad(np.array([[x1, low, z1], [x0, low, z1], [x0, high, z1], [x1, high, z1]]), finish.walls)
    for x, pierced in ((x0, not world.mirrored), (x1, world.mirrored)):
        parts = [(0.0, z1, low, high)]
        if world.hole is not None and pierced:
            za, zb, ya, yb = world.hole
            parts = [(0.0, za, low, high), (zb, z1, low, high), (za, zb, low, ya), (za, zb, yb, high)]
        for za, zb, ya, yb in parts:
            corners = np.array([[x, ya, zb], [x, ya, za], [x, yb, za], [x, yb, zb]])
            build.quad(corners, finish.walls, np.array([[zb, ya], [za, ya], [za, yb], [zb, yb]]))
    if finish.skirting:
        left, right = (float(wall(np.array(low))) for wall in (opening.left, opening.right))
        for a, b in ((x0, left - world.rim_mm - 20), (right + world.rim_mm + 20, x1)):
            build.box((a, low, 0.0), (b, low + 95, 14.0), finish.skirting)
