"""The tenth rooms' building: a cross-section swept round the opening, what the opening stands on, and the room's shell.

A cross-section is a list of pieces (surface, points); a point is (mm outward from the clear line, mm in front of the wall face),
and the pieces run from the face inward. The last one ends on the side wall, at (0, -something).
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from sample_images.studio.opening import Opening
from sample_images.studio.shapes import Builder
from sample_images.studio.surfaces import Surface

Piece = tuple[str, tuple[tuple[float, float], ...]]
Finishes = dict[str, Surface]
RAMP_MM = 45.0  # the face is dished or proud by at most a millimetre; it comes up to the opening's plane within this
ALONG = ("wood", "trim")  # their pattern runs along the edge


@dataclass(frozen=True)
class Site:
    """All that is built, in the studio's world."""

    opening: Opening
    section: tuple[Piece, ...]
    head_section: tuple[Piece, ...]
    base: str  # curb, cap, tub, saddle, board, flush
    behind: str  # shower, tub, hall, dark, wardrobe, window, mirror
    floor_y: float
    ceiling_y: float
    beyond_mm: tuple[float, float]
    length_mm: float
    depth_mm: float  # of the side walls
    base_depth_mm: float
    overhang_mm: float = 0.0
    horns_mm: float = 0.0
    thick_mm: float = 30.0
    dish_mm: float = 0.0  # the face lies so far in front of the opening's plane
    dado_y: float | None = None
    dado_returns: bool = False
    rounded_mm: float = 0.0  # what stands between the jambs is longer by this, so that no gap is left beside a rounding
    lowered: bool = True  # the ceiling behind is as low as the head

    @property
    def reach_mm(self) -> float:
        """How far the cross-section covers the face."""
        return self.section[0][1][0][0] if self.section else 0.0

    @property
    def head_reach_mm(self) -> float:
        return self.head_section[0][1][0][0] if self.head_section else 0.0

    @property
    def last_z(self) -> float:
        return self.section[-1][1][-1][1] if self.section else 0.0


def arc(radius: float, steps: int = 9) -> tuple[tuple[float, float], ...]:
    """From the face round to the side wall."""
    turn = np.linspace(0, np.pi / 2, steps)
    return tuple((float(radius * (1 - np.sin(t))), float(-radius * (1 - np.cos(t)))) for t in turn)


SECTIONS: dict[str, tuple[Piece, ...]] = {
    "sharp painted plaster": (),
    "plaster bead": (("face", arc(2.5, 6)),),
    "cut tile edge": (("biscuit", ((0.0, 0.0), (0.0, -8.5))), ("grout", ((0.0, -8.5), (0.0, -11.0)))),
    "mitred tile": (("grout", ((0.9, 0.0), (0.0, -0.9))),),
    "bullnose tile": (("nose", (*((60.0, 0.0),), *arc(8.0))), ("nose", ((0.0, -8.0), (0.0, -12.0)))),
    "square metal profile": (("trim", ((3.0, 0.0), (0.0, 0.0), (0.0, -11.0))), ("grout", ((0.0, -11.0), (0.0, -13.0)))),
    "quarter-round metal profile": (("grout", ((11.0, 0.0), (9.0, 0.0))), ("trim", arc(9.0))),
    "generic step profile": (("trim", ((9.0, 0.0), (9.0, 1.2), (2.0, 1.2), (0.0, 0.0), (0.0, -9.0))),),
    "door lining with face trim": (
        ("wood", ((70.0, 0.0), (70.0, 13.0), (66.0, 16.0), (12.0, 16.0), (6.0, 12.0), (6.0, 0.0))),
        ("wood", ((6.0, 0.0), (0.0, 0.0), (0.0, -125.0))),
    ),
    "flat casing, painted": (("wood", ((92.0, 0.0), (92.0, 11.0), (4.0, 11.0), (4.0, 0.0), (0.0, 0.0), (0.0, -110.0))),),
    "stone surround": (("stone", ((95.0, 0.0), (1.2, 0.0), (0.0, -1.2), (0.0, -140.0))),),
    "silicone joint at a metal angle": (
        ("silicone", ((25.0, 0.0), (21.0, 1.2))),
        ("trim", ((21.0, 1.2), (0.0, 1.2), (0.0, -20.0))),
        ("silicone", ((0.0, -20.0), (0.0, -24.0))),
    ),
    "tile returning into the opening": (),
}


def weigh(build: Builder, weight: float) -> None:
    """How often the lamp that was added last is asked for light, compared with the others: less noise where it matters."""
    last = build.shapes[next(reversed(build.shapes))]
    last.get("emitter", last)["sampling_weight"] = weight


class Wall:
    """Strips along the outline at an outward distance."""

    def __init__(self, build: Builder, site: Site, finish: Finishes) -> None:
        self.build, self.site, self.finish = build, site, finish
        bl, br, tr, tl = site.opening.corners
        self.foot, self.top = {-1: bl, 1: br}, {-1: tl, 1: tr}
        self.mitre = site.head_reach_mm / site.reach_mm if site.reach_mm else 0.0

    def x(self, side: int, y: np.ndarray) -> np.ndarray:
        return self.site.opening.left(y) if side < 0 else self.site.opening.right(y)

    def upright(self, side: int, at: tuple[float, float], y: np.ndarray) -> np.ndarray:
        return np.column_stack([self.x(side, y) + side * at[0], y, np.full_like(y, at[1])])

    def rows(self, side: int, out: float, low: float, high: float | None = None) -> np.ndarray:
        end = self.top[side][1] + self.mitre * out if high is None else high
        return np.linspace(low, end, 41)

    def corner(self, side: int, out: float) -> np.ndarray:
        """Where the outline's parallel turns from the wall to the head."""
        y = self.top[side][1] + self.mitre * out
        return np.array([float(self.x(side, np.array(y))) + side * out, y])


def raise_walls(build: Builder, site: Site, finish: Finishes) -> None:
    wall = Wall(build, site, finish)
    for side in (-1, 1):
        _face(wall, side)
        _jamb(wall, side)
    _head(wall)
    if site.base in ("board", "flush"):
        _below(wall)
    _base(wall)
    _shell(build, site, finish)


def _bands(site: Site, low: float, high: float) -> list[tuple[float, float, str]]:
    """The face, in two where there is a dado."""
    if site.dado_y is None or not low < site.dado_y < high:
        return [(low, high, "dado" if site.dado_y is not None and high <= site.dado_y else "face")]
    return [(low, site.dado_y, "dado"), (site.dado_y, high, "face")]


def _face(wall: Wall, side: int) -> None:
    site = wall.site
    far = -site.beyond_mm[0] if side < 0 else site.opening.width_mm + site.beyond_mm[1]
    for low, high, name in _bands(site, site.floor_y, site.ceiling_y):
        y = np.linspace(low, high, 61)
        near = wall.upright(side, (site.reach_mm, 0.0), y)
        mid = wall.upright(side, (site.reach_mm + RAMP_MM, site.dish_mm), y)
        end = np.column_stack([np.full_like(y, far), y, np.full_like(y, site.dish_mm)])
        for a, b in ((near, mid), (mid, end)):
            wall.build.strip(a, b, a[:, :2], b[:, :2], wall.finish[name])


def _jamb(wall: Wall, side: int) -> None:
    site = wall.site
    stands = site.base in ("board", "flush")
    low = float(wall.foot[side][1]) - (2.0 if stands else 0.0) if stands else site.floor_y
    gone = 0.0
    for name, run in site.section:
        for p, q in pairwise(run):
            a, b = wall.upright(side, p, wall.rows(side, p[0], low)), wall.upright(side, q, wall.rows(side, q[0], low))
            step = float(np.hypot(q[0] - p[0], q[1] - p[1]))
            uv = [np.column_stack([np.full(41, g), e[:, 1]]) for g, e in ((gone, a), (gone + step, b))]
            if name == "face":
                uv = [a[:, :2], b[:, :2]]
            wall.build.strip(a, b, *uv, wall.finish[name])
            gone += step
    split = site.dado_y if site.dado_returns else None
    parts = [(low, None, "side")] if split is None else [(low, split, "dado"), (split, None, "side")]
    for start, end, name in parts:
        y = wall.rows(side, 0.0, start, end)
        a, b = wall.upright(side, (0.0, site.last_z), y), wall.upright(side, (0.0, -site.depth_mm), y)
        wall.build.strip(a, b, np.column_stack([-a[:, 2], y]), np.column_stack([-b[:, 2], y]), wall.finish[name])


def _head(wall: Wall) -> None:
    site, build, finish = wall.site, wall.build, wall.finish
    t = np.linspace(0, 1, 21)[:, None]

    def across(out: float, z: float) -> np.ndarray:
        a, b = wall.corner(-1, out), wall.corner(1, out)
        return np.column_stack([a + t * (b - a), np.full(21, z)])

    gone = 0.0
    for name, run in site.head_section:
        for p, q in pairwise(run):
            a, b = across(*p), across(*q)
            step = float(np.hypot(q[0] - p[0], q[1] - p[1]))
            uv = [np.column_stack([e[:, 0], np.full(21, g)]) for g, e in ((gone, a), (gone + step, b))]
            if name in ALONG:
                uv = [u[:, ::-1] for u in uv]
            if name == "face":
                uv = [a[:, :2], b[:, :2]]
            build.strip(a, b, *uv, finish[name])
            gone += step
    z = site.head_section[-1][1][-1][1] if site.head_section else 0.0
    back = -site.depth_mm if site.lowered else -130.0
    a, b = across(0.0, z), across(0.0, min(back, z - 1))
    if not site.head_section:
        for e in (a, b):
            e[0, 0], e[-1, 0] = e[0, 0] - site.rounded_mm, e[-1, 0] + site.rounded_mm
    build.strip(a, b, a[:, [0, 2]], b[:, [0, 2]], finish["soffit"])
    a = across(site.reach_mm if site.head_section else 0.0, 0.0)
    if not site.head_section:
        a[0, 0], a[-1, 0] = (float(wall.corner(s, site.reach_mm)[0]) for s in (-1, 1))
    top = np.full(21, site.ceiling_y)
    lean = [float(wall.x(s, np.array(site.ceiling_y))) + s * site.reach_mm for s in (-1, 1)]
    b = np.column_stack([np.linspace(*lean, 21), top, np.zeros(21)])
    name = "dado" if site.dado_y is not None and site.dado_y > a[0, 1] else "face"
    build.strip(a, b, a[:, :2], b[:, :2], finish[name])


def _below(wall: Wall) -> None:
    """The face under a sill."""
    site = wall.site
    ends = [wall.foot[s] + [s * site.reach_mm, -2.0] for s in (-1, 1)]
    feet = [float(wall.x(s, np.array(site.floor_y))) + s * site.reach_mm for s in (-1, 1)]
    corners = [[feet[0], site.floor_y, 0], [feet[1], site.floor_y, 0], [*ends[1], 0], [*ends[0], 0]]
    for low, high, name in _bands(site, site.floor_y, float(min(ends[0][1], ends[1][1]))):
        quad = np.array(corners, float)
        if low > site.floor_y:
            quad[:2, 1] = low
        if high < min(ends[0][1], ends[1][1]) - 1e-6:
            quad[2:, 1] = high
        wall.build.quad(quad, wall.finish[name], quad[:, :2])


def _base_run(site: Site) -> list[tuple[float, float]]:
    """Cross-section of what the opening stands on: (z, y above its top), from below the front over the top to the inside."""
    o, t, d, down = site.overhang_mm, site.thick_mm, site.base_depth_mm, site.floor_y
    r = {"tub": 14.0, "saddle": 4.0, "board": min(8.0, t / 3), "cap": min(6.0, t / 3), "flush": 1.0}.get(site.base, 1.5)
    turn = np.linspace(0, np.pi / 2, 8)
    nose = [(o - r + r * float(np.cos(a)), -r + r * float(np.sin(a))) for a in turn]
    if site.base == "tub":
        low = [(-14.0, down), (-14.0, -48.0), (0.0, -44.0)]
        inner = [(-d - 40 * float(np.sin(a)), -40 + 40 * float(np.cos(a))) for a in turn]
        return [*low, *nose, *inner, (-d - 90.0, -390.0), (-d - 700.0, -400.0)]
    if site.base in ("board", "flush"):
        return [(0.0, -t), (o, -t), *nose, (-d, 0.0)]
    start = [(0.0, down)] if o == 0 else [(0.0, down), (0.0, -t), (o, -t)]
    return [*start, *nose, (-d, 0.0), (-d, down)]


def _base(wall: Wall) -> None:
    site, build = wall.site, wall.build
    bl, br = wall.foot[-1], wall.foot[1]
    along = (br - bl) / np.linalg.norm(br - bl)
    rounding = site.rounded_mm
    spare = site.horns_mm or rounding
    ends = [bl - spare * along, br + spare * along]
    run = _base_run(site)
    gone = 0.0
    for p, q in pairwise(run):
        riser = p[0] == q[0] == 0.0 and p[1] == site.floor_y
        a, b = (np.array([[e[0], e[1] + h, z] for e in ends]) for z, h in (p, q))
        if p[1] == site.floor_y:
            a[:, 1] = site.floor_y
            if riser:
                a[:, 0] = [float(wall.x(-1, np.array(site.floor_y))), float(wall.x(1, np.array(site.floor_y)))]
        if q[1] == site.floor_y:
            b[:, 1] = site.floor_y
        if riser and site.horns_mm:
            b[:, 0] = [bl[0], br[0]]
        step = float(np.hypot(q[0] - p[0], q[1] - p[1]))
        name = "riser" if riser and "riser" in wall.finish else "base"
        uv = [np.column_stack([e[:, 0], np.full(2, g)]) for g, e in ((gone, a), (gone + step, b))]
        if site.base in ("saddle", "board"):
            uv = [u[:, ::-1] for u in uv]
        build.strip(a, b, *uv, wall.finish[name])
        gone += step
    if site.horns_mm:
        outline = [p for p in run if p[1] != site.floor_y and p[0] >= 0]
        outline.append((0.0, 0.0))
        fan = np.array([[0, i, i + 1] for i in range(1, len(outline) - 1)])
        for end in ends:
            points = np.array([[end[0], end[1] + h, z] for z, h in outline])
            build.mesh(points, fan, points[:, [2, 1]], wall.finish["base"])


def _shell(build: Builder, site: Site, finish: Finishes) -> None:
    """Floor, ceiling and the room's other walls, with skirting."""
    x0, x1, z1 = -site.beyond_mm[0], site.opening.width_mm + site.beyond_mm[1], site.length_mm
    y0, y1 = site.floor_y, site.ceiling_y
    floor = np.array([[x0, y0, z1], [x1, y0, z1], [x1, y0, 0], [x0, y0, 0]])
    build.quad(floor, finish["floor"], floor[:, [0, 2]] * [1, -1])
    build.quad(np.array([[x0, y1, -2], [x1, y1, -2], [x1, y1, z1], [x0, y1, z1]]), finish["ceiling"])
    for x in (x0, x1):
        build.quad(np.array([[x, y0, z1], [x, y0, -2], [x, y1, -2], [x, y1, z1]]), finish["walls"])
    build.quad(np.array([[x1, y0, z1], [x0, y0, z1], [x0, y1, z1], [x1, y1, z1]]), finish["walls"])
    if "skirting" in finish:
        out = site.reach_mm + 1.0
        left, right = (float(wall(np.array(y0))) for wall in (site.opening.left, site.opening.right))
        if site.base in ("board", "flush"):
            left = right = x0 + out
        build.box((x0, y0, -2.0), (left - out, y0 + 75, 12.0), finish["skirting"])
        build.box((right + out, y0, -2.0), (x1, y0 + 75, 12.0), finish["skirting"])
