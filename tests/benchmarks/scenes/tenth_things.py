"""The tenth rooms' contents: what lies behind the opening, clutter before it, cards and sheets on the wall."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from sample_images.studio.shapes import Builder, placed, rounded_rectangle
from sample_images.studio.surfaces import Surface, lacquer, metal, plain

from .tenth_finish import mirror
from .tenth_walls import Finishes, Site, weigh

Rng = np.random.Generator
CHROME = (0.74, 0.74, 0.76)


@dataclass(frozen=True)
class Reference:
    """A card or a sheet; bend is the height of a sheet's waves, in front of where it is flat."""

    kind: str
    size_mm: tuple[float, float]  # as it hangs
    centre_mm: tuple[float, float]
    turn_deg: float
    front_z_mm: float  # of its face in front of the opening's plane
    thick_mm: float
    face: Surface
    tape: Surface | None = None
    corner_tape: bool = True
    bend_mm: float = 0.0
    phase: float = 0.0

    def points(self, flat: np.ndarray) -> np.ndarray:
        """Places on its face, given from its middle, in the world."""
        place = placed(*self.centre_mm, self.front_z_mm, self.turn_deg)
        return np.column_stack([flat, self.lift(flat)]) @ place[:3, :3].T + place[:3, 3]

    def lift(self, flat: np.ndarray) -> np.ndarray:
        if not self.bend_mm:
            return np.zeros(len(flat))
        u, v = flat[:, 0] / self.size_mm[0], flat[:, 1] / self.size_mm[1]
        return self.bend_mm * 0.5 * (np.sin(6.5 * u + 2.0 * v + self.phase) + np.sin(5.0 * v - 3.0 * u + 2 * self.phase))

    def sides(self) -> dict[str, np.ndarray]:
        """Places along its sides but for an eighth at either end, from its middle."""
        t, half = np.linspace(-0.42, 0.42, 25), np.full(25, 0.5)
        found = {"bottom": (t, -half), "right": (half, t), "top": (t, half), "left": (-half, t)}
        return {name: np.stack(at, 1) * self.size_mm for name, at in found.items()}

    def outline(self) -> np.ndarray:
        """Bottom-left, bottom-right, top-right, top-left; rounded corners as if sharp."""
        return self.points(rounded_rectangle(*self.size_mm, 0.0))


def hang(build: Builder, card: Reference) -> None:
    w, h = card.size_mm
    if card.bend_mm:
        u, v = (a.ravel() for a in np.meshgrid(np.linspace(-0.5, 0.5, 33), np.linspace(-0.5, 0.5, 33)))
        points = card.points(np.stack([u * w, v * h], 1))
        i = (np.arange(32)[:, None] * 33 + np.arange(32)).ravel()
        faces = np.concatenate([np.stack([i, i + 1, i + 34], 1), np.stack([i, i + 34, i + 33], 1)])
        build.mesh(points, faces, np.stack([u + 0.5, v + 0.5], 1) * card.face.repeat_mm, card.face)
    else:
        outline = rounded_rectangle(w, h, 3.18 if card.kind == "id-1" else 0.0)
        place = placed(*card.centre_mm, card.front_z_mm - card.thick_mm, card.turn_deg)
        build.slab(outline, card.thick_mm, place, card.face, plain((0.7, 0.7, 0.68)))
    if card.tape is None:
        return
    strip = rounded_rectangle(*((26.0, 9.0) if card.kind == "id-1" else (55.0, 18.0)), 0.0)
    spots = [(sx, sy, -45 * sx * sy) for sx in (-1, 1) for sy in (-1, 1)] if card.corner_tape else [(0, 1, 90), (0, -1, 90)]
    back, inset = card.front_z_mm + 0.12 + card.bend_mm * 0.5, 2.0 * card.corner_tape
    for sx, sy, turn in spots:
        at = placed(0, 0, 0, card.turn_deg)[:2, :2] @ [sx * (w / 2 - inset), sy * (h / 2 - inset)]
        middle = placed(card.centre_mm[0] + at[0], card.centre_mm[1] + at[1], back, card.turn_deg + turn)
        build.slab(strip, 0.06, middle, card.tape)


def furnish_behind(build: Builder, site: Site, finish: Finishes, rng: Rng) -> None:
    made = {"shower": _wet, "tub": _wet, "hall": _hall, "dark": _hall, "wardrobe": _wardrobe, "window": _window, "mirror": _glass}
    made[site.behind](build, site, finish, rng, (site.opening.width_mm, site.opening.height_mm))


def _panel(build: Builder, x: tuple[float, float], y: tuple[float, float], z: float, surface: Surface) -> None:
    quad = np.array([[x[0], y[0], z], [x[1], y[0], z], [x[1], y[1], z], [x[0], y[1], z]])
    if x[1] > x[0] and y[1] > y[0]:
        build.quad(quad, surface, quad[:, :2])


def _wet(build: Builder, site: Site, finish: Finishes, rng: Rng, size: tuple[float, float]) -> None:
    """Back wall with or without a niche, floor, fittings, what stands there."""
    (w, h), far = size, -site.depth_mm
    low, high, x0, x1 = site.floor_y, site.ceiling_y, -40.0, w + 40.0
    n0 = float(rng.uniform(0.12, 0.5)) * w
    (na, nb), (nc, nd) = (n0, n0 + float(rng.uniform(260, 0.45 * w))), (0.5 * h, 0.5 * h + float(rng.uniform(240, 420)))
    if rng.random() < 0.6:
        for x, y in (((x0, na), (low, high)), ((nb, x1), (low, high)), ((na, nb), (low, nc)), ((na, nb), (nd, high))):
            _panel(build, x, y, far, finish["back"])
        _panel(build, (na, nb), (nc, nd), far - 90, finish["niche"])
        for a, b in (((na, nc), (nb, nc)), ((na, nd), (nb, nd)), ((na, nc), (na, nd)), ((nb, nc), (nb, nd))):
            build.quad(np.array([[*a, far - 90], [*b, far - 90], [*b, far], [*a, far]]), finish["base"])
        for k in range(int(rng.integers(1, 4))):
            _bottle(build, (na + 55 + 75 * k, nc, far - 45), rng)
    else:
        _panel(build, (x0, x1), (low, high), far, finish["back"])
    if not site.lowered:
        for wall, side in ((site.opening.left, -1), (site.opening.right, 1)):
            y = np.array([h - 20, high])
            a, b = (np.column_stack([wall(y) + side * 0.01, y, np.full(2, z)]) for z in (-129.0, far))
            build.strip(a, b, np.column_stack([-a[:, 2], y]), np.column_stack([-b[:, 2], y]), finish["side"])
    build.quad(np.array([[x0, high, -129], [x1, high, -129], [x1, high, far], [x0, high, far]]), finish["ceiling"])
    inside = low + 25 if site.behind == "shower" else -395.0
    if site.behind == "shower":
        floor = np.array([[x0, inside, 0], [x1, inside, 0], [x1, inside, far], [x0, inside, far]])
        build.quad(floor, finish["tray"], floor[:, [0, 2]] * [1, -1])
    else:
        build.box((x0, inside, far), (x1, 0, far + 75), finish["base"])
        for a, b in ((x0, 85), (w - 85, x1)):
            build.box((a, inside, far), (b, -1.5, -site.base_depth_mm), finish["base"])
    chrome, side, y0, z = metal(CHROME, 0.1), float(rng.choice([0.0, 1.0])), 0.36 * h, far * 0.55
    x = side * w + (1 - 2 * side) * 55
    if rng.random() < 0.5:  # a rail with a hand shower on the side wall
        build.capped_rod((x, y0, z), (x, y0 + 640, z), 10, chrome)
        build.capped_rod((x, y0 + 560, z), (x + (1 - 2 * side) * 120, y0 + 610, z + 30), 17, lacquer((0.75, 0.75, 0.77), 0.2))
        build.capped_rod((side * w, y0 - 40, z), (x + (1 - 2 * side) * 40, y0 - 40, z), 26, chrome)
    else:  # a square head from the back wall and a mixer
        build.box((w / 2 - 110, 0.93 * h, far + 180), (w / 2 + 110, 0.93 * h + 9, far + 400), chrome)
        build.rod((w / 2, 0.93 * h + 20, far), (w / 2, 0.93 * h + 12, far + 300), 10, chrome)
        build.box((w / 2 - 130, 0.45 * h, far), (w / 2 + 130, 0.45 * h + 38, far + 60), chrome)
    for _ in range(int(rng.integers(0, 3))):
        _bottle(build, (float(rng.uniform(100, w - 100)), 0.0 if site.behind == "tub" else inside, far + 40), rng)


def _hall(build: Builder, site: Site, finish: Finishes, rng: Rng, size: tuple[float, float]) -> None:
    """A passage or a room without light."""
    x0, x1, far = -float(rng.uniform(80, 700)), size[0] + float(rng.uniform(80, 700)), -float(rng.uniform(1500, 3000))
    near, low, high = -site.depth_mm, site.floor_y, site.ceiling_y
    floor = np.array([[x0, low, 0], [x1, low, 0], [x1, low, far], [x0, low, far]])
    build.quad(floor, finish["tray"], floor[:, [0, 2]] * [1, -1])
    build.quad(np.array([[x0, high, near], [x1, high, near], [x1, high, far], [x0, high, far]]), finish["ceiling"])
    _panel(build, (x0, x1), (low, high), far, finish["back"])
    for x in (x0, x1):
        build.quad(np.array([[x, low, near], [x, low, far], [x, high, far], [x, high, near]]), finish["back"])
    dx = float(rng.uniform(x0 + 60, x1 - 860))
    build.box((dx, low, far), (dx + 800, low + 2000, far + 30), lacquer((0.6, 0.58, 0.54), 0.3))
    build.capped_rod((dx + 70, low + 1020, far + 30), (dx + 170, low + 1020, far + 80), 9, metal(CHROME))
    build.box((x1 - 420, low, far + 100), (x1 - 60, low + 760, far + 420), finish["wood"])
    if site.behind == "hall":
        _picture(build, (x0 + 0.5 * (x1 - x0), low + 1500, far + 32), (300, 400), rng)
        build.lamp(((x0 + x1) / 2, high - 5, (near + far) / 2), (0, -1, 0), (450, 450), (9, 8.0, 6.6))
        weigh(build, 0.3)


def _wardrobe(build: Builder, site: Site, finish: Finishes, rng: Rng, size: tuple[float, float]) -> None:
    (w, h), far = size, -site.depth_mm
    _panel(build, (-30, w + 30), (site.floor_y, h + 30), far, finish["back"])
    floor = np.array([[-30, -2, 0], [w + 30, -2, 0], [w + 30, -2, far], [-30, -2, far]])
    build.quad(floor, finish["wood"], floor[:, [0, 2]])
    build.box((-20, 0.84 * h, far), (w + 20, 0.84 * h + 22, -70), finish["wood"])
    build.rod((0, 0.79 * h, far / 2), (w, 0.79 * h, far / 2), 12, metal(CHROME))
    for x in np.cumsum(rng.uniform(28, 90, int(0.8 * w / 60))):
        cloth = plain(_any(rng, 0.03, 0.6))
        drop, deep = float(rng.uniform(500, 0.7 * h)), float(rng.uniform(160, 220))
        z = np.linspace(-deep, deep, 25) + far / 2
        top = np.column_stack([x + 8 * np.sin(z / 30), np.full(25, 0.76 * h), z])
        build.strip(top, top + np.array([14, -drop, 0]), top[:, :2], top[:, :2], cloth)


def _window(build: Builder, site: Site, finish: Finishes, rng: Rng, size: tuple[float, float]) -> None:
    """Frame, daylight outside, and a blind part of the way down."""
    (w, h), z = size, -site.depth_mm
    white = lacquer((0.78, 0.78, 0.77), 0.25) if rng.random() < 0.7 else finish["wood"]
    bars = ((-30, -30, 55, h + 30), (w - 55, -30, w + 30, h + 30), (-30, -30, w + 30, 60), (-30, h - 55, w + 30, h + 30))
    for x0, y0, x1, y1 in bars:
        build.box((x0, y0, z - 60), (x1, y1, z + 1), white)
    if w > 900:
        build.box((w / 2 - 35, 0, z - 60), (w / 2 + 35, h, z + 4), white)
    for y0, y1, rgb in ((-700, 0.35 * h, (0.3, 0.37, 0.24)), (0.35 * h, h + 800, (1.3, 1.4, 1.6))):
        build.lamp((w / 2, (y0 + y1) / 2, z - 900), (0, 0, 1), (w + 2400, y1 - y0), rgb)
        weigh(build, 0.25)
    if rng.random() < 0.7:
        slat = plain((0.72, 0.71, 0.68))
        for y in np.arange(h - 70, h * float(rng.uniform(0.35, 0.8)), -24):
            build.quad(np.array([[62, y, z + 22], [w - 62, y, z + 22], [w - 62, y + 18, z + 6], [62, y + 18, z + 6]]), slat)


def _glass(build: Builder, site: Site, finish: Finishes, rng: Rng, size: tuple[float, float]) -> None:
    """A mirror set back in a recess, with a lit strip or without."""
    _panel(build, (-10, size[0] + 10), (-10, size[1] + 10), -site.depth_mm, mirror())
    if rng.random() < 0.5:
        build.box((0.2 * size[0], size[1] - 60, -site.depth_mm), (0.8 * size[0], size[1] - 45, 25 - site.depth_mm), metal(CHROME))


def _any(rng: Rng, low: float, high: float) -> tuple[float, float, float]:
    return tuple(float(c) for c in rng.uniform(low, high) * rng.uniform(0.6, 1.0, 3))  # type: ignore[return-value]


def _bottle(build: Builder, at: tuple[float, float, float], rng: Rng) -> None:
    x, y, z = at
    tall, r = float(rng.uniform(110, 215)), float(rng.uniform(22, 33))
    build.capped_rod((x, y, z), (x, y + tall, z), r, lacquer(_any(rng, 0.05, 0.75), 0.2))
    build.capped_rod((x, y + tall, z), (x, y + tall + 22, z), 0.55 * r, lacquer((0.75, 0.75, 0.72), 0.2))


def _picture(build: Builder, at: tuple[float, float, float], size: tuple[float, float], rng: Rng) -> None:
    x, y, z = at
    frame = lacquer(tuple(float(c) for c in rng.choice([0.05, 0.3, 0.6]) * np.array([1.0, 0.8, 0.6])), 0.3)
    a, b = size[0] / 2, size[1] / 2
    build.box((x - a, y - b, z), (x + a, y + b, z + 18), frame)
    build.box((x - a + 22, y - b + 22, z), (x + a - 22, y + b - 22, z + 19), plain((0.7, 0.69, 0.65)))
    build.box((x - a / 2, y - b / 2, z), (x + a / 2, y + b / 2, z + 20), plain(_any(rng, 0.1, 0.7)))


WALL_THINGS = {
    "towel": (320, 620, 1150), "frame": (260, 340, 1560), "switch": (82, 82, 1080), "socket": (150, 82, 330),
    "radiator": (400, 900, 620), "robe": (240, 700, 1250), "pipe": (40, 2400, 1200), "rail": (450, 60, 1300),
}  # fmt: skip  # width, height, middle above the floor


def clutter(build: Builder, site: Site, taken: list[tuple[float, float, float, float]], rng: Rng, finish: Finishes) -> None:
    """Things on the wall face where nothing hangs, things on the floor; taken are boxes (x0, x1, y0, y1) to keep clear."""
    w, reach, high = site.opening.width_mm, site.reach_mm + 30, site.ceiling_y - site.floor_y
    kinds = list(rng.permutation([*WALL_THINGS, "switch"]))
    for kind in kinds[: int(rng.integers(3, 8))]:
        a, b, up = WALL_THINGS[kind] if kind != "pipe" else (40, high, high / 2)
        for _ in range(12):
            room = site.beyond_mm[int(side := rng.random() < 0.5)]
            out = float(rng.uniform(reach + a / 2, max(reach + a / 2 + 1, room - a / 2 - 5)))
            x, y = w + out if side else -out, site.floor_y + up + float(rng.uniform(-60, 60)) * (kind != "pipe")
            box = (x - a / 2 - 25, x + a / 2 + 25, y - b / 2 - 25, y + b / 2 + 25)
            inside = -site.beyond_mm[0] < x - a / 2 and x + a / 2 < w + site.beyond_mm[1]
            if inside and not any(box[0] < t[1] and t[0] < box[1] and box[2] < t[3] and t[2] < box[3] for t in taken):
                _on_wall(build, kind, (x, y), (a, b), rng)
                taken.append(box)
                break
    _on_floor(build, site, rng, finish)


def _on_wall(build: Builder, kind: str, at: tuple[float, float], size: tuple[float, float], rng: Rng) -> None:
    (x, y), (a, b) = at, size
    white, chrome = lacquer((0.74, 0.74, 0.72), 0.25), metal(CHROME)
    cloth = plain(_any(rng, 0.08, 0.75))
    if kind in ("switch", "socket"):
        build.box((x - a / 2, y - b / 2, 0), (x + a / 2, y + b / 2, 9), white)
        face = white if kind == "switch" else plain((0.4, 0.4, 0.4))
        for k in (-1, 1) if kind == "socket" else (0,):
            build.box((x + k * 37 - 22, y - 22, 8), (x + k * 37 + 22, y + 22, 12), face)
    elif kind == "frame":
        _picture(build, (x, y, 0.5), size, rng)
    elif kind == "radiator":
        for k in range(12):
            build.capped_rod((x - a / 2, y - b / 2 + k * b / 11, 50), (x + a / 2, y - b / 2 + k * b / 11, 50), 11, white)
        for end in (x - a / 2, x + a / 2):
            build.capped_rod((end, y - b / 2, 45), (end, y + b / 2, 45), 16, white)
    elif kind == "pipe":
        build.rod((x, y - b / 2, 24), (x, y + b / 2, 24), 11, white)
    elif kind == "rail":
        build.capped_rod((x - a / 2, y, 55), (x + a / 2, y, 55), 8, chrome)
        for k in (-1, 1):
            build.capped_rod((x + k * a * 0.45, y, 0), (x + k * a * 0.45, y, 60), 11, chrome)
    else:  # cloth from a hook, gathered at the top
        u, lines = np.linspace(-1, 1, 61), []
        for t in np.linspace(0, 1, 25):
            wide = a / 2 * (0.45 + 0.55 * min(1.0, 2.6 * t) ** 0.7)
            deep = 34 + 14 * np.sin(9 * u + 2 * t) * (0.5 + t / 2)
            lines.append(np.column_stack([x + wide * u, np.full(61, y + b / 2 - t * b), deep]))
        for p, q in pairwise(lines):
            build.strip(p, q, p[:, :2], q[:, :2], cloth)
        build.capped_rod((x, y + b / 2, 0), (x, y + b / 2 + 12, 50), 9, chrome)


def _on_floor(build: Builder, site: Site, rng: Rng, finish: Finishes) -> None:
    w, y = site.opening.width_mm, site.floor_y
    stuff = rng.random(7)
    ware, x, z = lacquer((0.8, 0.8, 0.79), 0.1), float(rng.uniform(0.3, 0.7)) * w, float(rng.uniform(430, 800))
    if stuff[0] < 0.5 and site.base != "saddle":
        build.box((x - 380, y, z - 240), (x + 380, y + 13, z + 240), plain(_any(rng, 0.1, 0.75)))
    if stuff[1] < 0.4:
        build.rod((-330, y, 190), (-330, y + 260, 190), 100, metal(CHROME, 0.25))
    if stuff[2] < 0.3:
        build.capped_rod((w + 260, y, 150), (w + 260, y + 130, 150), 48, ware)
        build.capped_rod((w + 260, y + 120, 150), (w + 262, y + 420, 152), 8, metal(CHROME))
    if stuff[6] < 0.5 and site.base in ("curb", "cap", "tub"):  # a cloth over the edge
        x, half, o = float(rng.uniform(0.25, 0.75)) * w, float(rng.uniform(0.025, 0.043)) * w, site.overhang_mm
        path = np.array([(3.0, -70.0), (3.0, o + 2), (-2.0, o + 4), (-0.75 * min(160.0, -y), o + 6)])
        path[:, 0] += site.opening.curb_level * x / 1000
        a, b = (np.column_stack([np.full(4, x + k * half), path]) for k in (-1, 1))
        build.strip(a, b, a[:, :2], b[:, :2], plain(_any(rng, 0.1, 0.75)))
    right = bool(stuff[3] < 0.5)
    x = w + site.beyond_mm[1] - 210 if right else -site.beyond_mm[0] + 210
    if site.beyond_mm[right] > 700 and stuff[4] < 0.45:  # a toilet against the side wall
        out = -1 if right else 1
        build.box((min(x, x - out * 190), y + 380, 800), (max(x, x - out * 190), y + 760, 1150), ware)
        build.capped_rod((x + out * 230, y, 975), (x + out * 230, y + 390, 975), 165, ware)
        build.capped_rod((x + out * 230, y + 390, 975), (x + out * 230, y + 415, 975), 185, lacquer((0.78, 0.78, 0.77), 0.15))
    elif site.beyond_mm[right] > 600 and stuff[5] < 0.5:  # a washstand
        build.box((x - 230, y + 250, 620), (x + 230, y + 800, 1250), finish["wood"])
        build.box((x - 240, y + 800, 610), (x + 240, y + 840, 1260), ware)
