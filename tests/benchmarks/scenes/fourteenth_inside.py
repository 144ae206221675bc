"""What is seen inside: shower fittings, tub, shelves, panes with a garden, the next room, a fire, casks, clothes."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from sample_images.studio.shapes import Builder
from sample_images.studio.surfaces import Surface, lacquer, metal, plain

from . import fourteenth_cloth as cloth
from . import fourteenth_grain as g
from .fourteenth_frame import widening
from .fourteenth_plan import Room
from .fourteenth_small import bottle, boxed, edges_metal, garden, glowing, plate, window

Inside = Callable[[Builder, Room, np.random.Generator], None]
BEYOND = ("room", "garden", "dark")


def furnish(build: Builder, room: Room, rng: np.random.Generator) -> None:
    fill: dict[str, Inside] = {
        "bath": _bath, "tub": _tub, "room": _next_room, "dark": _next_room, "window": _pane, "clothes": _clothes,
        "shelves": _shelves,
        "mirror": _nothing, "bare": _nothing, "garden": _garden, "fire": _fire, "steps": _steps, "cellar": _cellar, "logs": _logs,
    }  # fmt: skip
    fill[room.inside](build, room, rng)
    if rng.random() < 0.12 and room.inside not in ("mirror", "window"):
        _curtain(build, room, rng)


def back_of(room: Room, rng: np.random.Generator, reveal: Surface) -> Surface | None:
    """The back wall: as the reveal, of its own, a mirror, or none."""
    if room.inside in BEYOND or room.inside == "window":
        return None
    if room.inside == "mirror":
        return metal((0.86, 0.87, 0.87), 0.004)
    return reveal if rng.random() < 0.5 else cloth.chosen(rng, room.of.place)


def _nothing(build: Builder, room: Room, rng: np.random.Generator) -> None:
    """Bare."""


def _size(room: Room) -> tuple[float, float, float]:
    return room.hole.opening.width_mm, room.head_y, room.hole.depth


def _bath(build: Builder, room: Room, rng: np.random.Generator) -> None:
    w, _, deep = _size(room)
    chrome, back, floor = edges_metal(rng), -deep, room.hole.floor_y
    x = float(rng.uniform(0.25, 0.75)) * w
    if rng.random() < 0.8:  # rail, hand shower, valve
        build.rod((x, floor + 1150, back + 50), (x, floor + 1900, back + 50), 10, chrome)
        build.capped_rod((x, floor + 1780, back + 60), (x + 30, floor + 1740, back + 130), 50, chrome)
        build.capped_rod((x - 75, floor + 1050, back + 60), (x + 75, floor + 1050, back + 60), 24, chrome)
        build.capped_rod((x, floor + 1950, back), (x, floor + 1950, back + 320), 10, chrome)
        build.capped_rod((x, floor + 1950, back + 320), (x, floor + 1930, back + 320), 110, chrome)
    _tile_extras(build, room, rng)
    if rng.random() < 0.3:  # a bench
        build.box((-30, floor + 430, back), (w + 30, floor + 470, back + 330), cloth.slab(rng))
    if rng.random() < 0.5:  # a drain or a channel
        plate_y = floor + 45 if room.made["foot"] == "curb" else 2.0
        build.box((w / 2 - 300, plate_y - 2, back + 60), (w / 2 + 300, plate_y, back + 130), chrome)


def _tile_extras(build: Builder, room: Room, rng: np.random.Generator) -> None:
    """Lines that are no edges: bands, stripes, frames of niches, shelves, a window at the back."""
    w, top, deep = _size(room)
    z = -deep + 0.6
    wide = 80 + max(widening(room.hole, side) for side in ("left", "right"))
    if rng.random() < 0.35:
        y = room.hole.floor_y + float(rng.uniform(900, 1500))
        plate(build, (-wide, y, w + wide, y + float(rng.uniform(20, 110))), z, cloth.tiles(rng, size=(48, 48)))
    if rng.random() < 0.25:
        x = float(rng.uniform(0.1, 0.6)) * w
        plate(build, (x, -500, x + float(rng.uniform(150, 450)), top + 800), z, cloth.tiles(rng))
    if rng.random() < 0.4:  # a niche, drawn as a lined box with a dark ground
        x, y = float(rng.uniform(0.05, 0.55)) * w, room.hole.floor_y + float(rng.uniform(1050, 1350))
        size = rng.uniform(220, 420, 2)
        boxed(build, (x, y, x + size[0], y + size[1]), -deep, cloth.tiles(rng), edges_metal(rng))
        for i in range(int(rng.integers(1, 4))):
            bottle(build, rng, (x + 50 + 75 * i, y + 12, z + 45))
    if rng.random() < 0.3:
        y = room.hole.floor_y + float(rng.uniform(1000, 1500))
        build.box((-30, y, -deep), (float(rng.uniform(160, 260)), y + 16, -deep + 180), cloth.slab(rng))
        bottle(build, rng, (120, y + 16, -deep + 90))
    if rng.random() < 0.22:
        x, y = float(rng.uniform(0.15, 0.4)) * w, room.hole.floor_y + 1350
        window(build, (x, y, x + 0.45 * w, y + float(rng.uniform(350, 600))), -deep + 8, rng)


def _tub(build: Builder, room: Room, rng: np.random.Generator) -> None:
    w, _, deep = _size(room)
    enamel = lacquer((0.8, 0.8, 0.78), 0.08)
    wide = 60 + max(widening(room.hole, side) for side in ("left", "right"))
    build.box((-wide, -380, -deep), (w + wide, 0, -deep + 75), enamel)
    for x in (-wide, w - 60):
        build.box((x, -380, -deep), (x + wide + 60, -1, -70), enamel)
    chrome = edges_metal(rng)
    x = 0.2 * w if rng.random() < 0.5 else 0.8 * w
    build.rod((x, 190, -deep), (x, 190, -deep + 150), 14, chrome)
    build.capped_rod((x - 90, 205, -deep + 40), (x + 90, 205, -deep + 40), 22, chrome)
    if rng.random() < 0.6:
        build.rod((x, 600, -deep + 45), (x, 1250, -deep + 45), 9, chrome)
        build.capped_rod((x, 1180, -deep + 60), (x + 20, 1150, -deep + 130), 46, chrome)
    if rng.random() < 0.3:
        build.rod((-40, room.head_y - 60, -120), (w + 40, room.head_y - 60, -120), 12, chrome)
    _tile_extras(build, room, rng)


def _pane(build: Builder, room: Room, rng: np.random.Generator) -> None:
    w, top, deep = _size(room)
    window(build, (-15, -15, w + 15, top + 15), -deep + 1, rng)
    if rng.random() < 0.3:  # a blind
        y = top * float(rng.uniform(0.55, 0.85))
        plate(build, (10, y, w - 10, top + 10), -deep + 60, cloth.woven(rng))
    if deep > 150:
        for _ in range(int(rng.integers(0, 4))):
            bottle(build, rng, (float(rng.uniform(0.1, 0.9)) * w, 0.0, -deep + 85))


def _next_room(build: Builder, room: Room, rng: np.random.Generator) -> None:
    w, _, deep = _size(room)
    low, high, far = room.hole.floor_y, room.hole.ceiling_y, -deep - float(rng.uniform(1100, 3500))
    x0, x1, near = -float(rng.uniform(200, 1800)), w + float(rng.uniform(200, 1800)), -deep
    floor = cloth.chosen(rng, "floor") if room.made["foot"] != "same floor" else room.floor
    walls, bare = cloth.chosen(rng, "room"), cloth.painted(rng, g.colour("f1efe9"))
    plate(build, (x0, low, x1, high), far, walls)
    build.quad(np.array([[x0, low, near], [x1, low, near], [x1, low, far], [x0, low, far]]), floor)
    build.quad(np.array([[x0, high, far], [x1, high, far], [x1, high, near], [x0, high, near]]), bare)
    for x in (x0, x1):
        build.quad(np.array([[x, low, near], [x, low, far], [x, high, far], [x, high, near]]), walls)
    if room.inside == "dark":
        return
    middle = w / 2
    build.lamp(
        (middle, high - 4, (near + far) / 2), (0, -1, 0), (500, 500), tuple(float(rng.uniform(2, 14)) * np.array([1, 0.9, 0.75]))
    )
    build.box((x0, low, far), (x1, low + 90, far + 14), cloth.gloss(rng))
    wood = cloth.wood(rng)
    for _ in range(int(rng.integers(1, 4))):  # tables, chests, shelves
        x, size = float(rng.uniform(x0, x1 - 500)), rng.uniform(300, 900, 2)
        build.box((x, low, far + 20), (x + size[0], low + size[1], far + 450), wood if rng.random() < 0.5 else cloth.gloss(rng))
    x, y = float(rng.uniform(0, 0.5)) * w, max(low + 950, 0)
    draw = rng.random()
    if draw < 0.35:
        window(build, (x, y, x + 800, min(y + 1000, high - 150)), far + 10, rng)
    elif draw < 0.65:
        boxed(build, (x - 50, low, x + 780, low + 2020), far + 14, cloth.gloss(rng), cloth.gloss(rng))
    else:
        boxed(build, (x, y + 200, x + 500, y + 700), far + 4, cloth.paper(rng), edges_metal(rng))


def _garden(build: Builder, room: Room, rng: np.random.Generator) -> None:
    w, top, deep = _size(room)
    glowing(
        build, (-3500, room.hole.floor_y - 400, w + 3500, top + 2600), -deep - 4000, garden(rng, float(rng.uniform(0.8, 2.5)))
    )
    y = room.hole.floor_y
    ground = cloth.chosen(rng, "floor")
    build.quad(np.array([[-3500, y, -deep], [w + 3500, y, -deep], [w + 3500, y, -deep - 4000], [-3500, y, -deep - 4000]]), ground)
    build.lamp((w / 2, top + 1500, -deep - 1500), (0, -1, 0.3), (3000, 1500), (3.0, 3.1, 3.3))
    post = cloth.gloss(rng)
    for x in np.linspace(0, w, int(rng.integers(3, 5)))[1:-1]:
        build.box((x - 22, -200, -deep - 60), (x + 22, top + 200, -deep), post)
    if rng.random() < 0.6:
        build.box((-200, top * 0.42, -deep - 60), (w + 200, top * 0.42 + 45, -deep), post)


def _shelves(build: Builder, room: Room, rng: np.random.Generator) -> None:
    w, top, deep = _size(room)
    board, front = (cloth.gloss(rng) if rng.random() < 0.6 else cloth.wood(rng, False)), -float(rng.uniform(3, 0.5 * deep))
    thick = float(rng.uniform(12, 40))
    count = int(rng.integers(1, 6))
    for i in range(1, count + 1):
        y = top * i / (count + 1)
        build.box((-5, y - thick, -deep), (w + 5, y, front), board)
    for y in (2.0, *(top * i / (count + 1) for i in range(1, count + 1))):
        for _ in range(int(rng.integers(0, 5))):
            x, size = float(rng.uniform(20, w - 120)), rng.uniform(40, 200, 2)
            tall = min(float(size[1]), top / (count + 1) - thick - 10)
            of = cloth.woven(rng) if rng.random() < 0.2 else lacquer(tuple(rng.uniform(0.03, 0.8, 3)), 0.4)
            build.box((x, y, -deep + 5), (min(x + float(size[0]), w - 8), y + max(tall, 20), min(front - 4, -deep + 260)), of)


def _clothes(build: Builder, room: Room, rng: np.random.Generator) -> None:
    w, top, deep = _size(room)
    y, z = top - float(rng.uniform(120, 300)), -deep / 2
    build.rod((-5, y, z), (w + 5, y, z), 13, edges_metal(rng))
    build.box((-5, y + 60, -deep), (w + 5, y + 82, -20), cloth.gloss(rng))
    for _ in range(int(rng.integers(2, 9))):
        x, half, long = float(rng.uniform(60, w - 60)), float(rng.uniform(12, 30)), float(rng.uniform(600, 1150))
        build.box((x - half, y - long, z - 0.42 * deep), (x + half, y - 30, z + 0.36 * deep), cloth.woven(rng))


def _fire(build: Builder, room: Room, rng: np.random.Generator) -> None:
    w, top, deep = _size(room)
    soot = plain((0.03, 0.028, 0.026))
    if rng.random() < 0.6:
        plate(build, (0.12 * w, -20, 0.88 * w, 0.8 * top), -deep + 5, soot)
    if rng.random() < 0.4:  # a stove
        build.box((0.2 * w, 40, -deep + 40), (0.8 * w, 0.75 * top, -deep + 0.6 * deep), soot)
        build.box((0.26 * w, 0.2 * top, -0.4 * deep), (0.74 * w, 0.62 * top, -0.4 * deep + 8), lacquer((0.05, 0.05, 0.05), 0.05))
    else:
        for _ in range(int(rng.integers(3, 9))):
            x, y, z = rng.uniform(0.2, 0.8) * w, rng.uniform(50, 200), -deep * rng.uniform(0.4, 0.8)
            dx, dy = rng.uniform(-220, 220), rng.uniform(-40, 90)
            build.capped_rod((x, y, z), (x + dx, y + dy, z - 60), float(rng.uniform(25, 55)), cloth.plain_wood(rng))


def _steps(build: Builder, room: Room, rng: np.random.Generator) -> None:
    w, top, deep = _size(room)
    wood, n = cloth.wood(rng, False), int(rng.integers(3, 7))
    for i in range(n):
        x0, y = w * i / n, top * (0.4 + 0.6 * i / n)
        build.box((x0, y, -deep), (w + 20, y + 30, -0.25 * deep), wood)
    for _ in range(int(rng.integers(1, 4))):
        x, size = float(rng.uniform(30, w - 300)), rng.uniform(120, 380, 2)
        build.box(
            (x, room.hole.floor_y, -deep + 20),
            (x + size[0], room.hole.floor_y + size[1], -0.4 * deep),
            cloth.chosen(rng, "floor"),
        )


def _cellar(build: Builder, room: Room, rng: np.random.Generator) -> None:
    w, _, deep = _size(room)
    for i in range(int(rng.integers(1, 4))):
        x, y = w * (0.25 + 0.25 * i), room.hole.floor_y + 190
        build.capped_rod((x, y, -deep + 20), (x, y, -0.35 * deep), float(rng.uniform(120, 190)), cloth.plain_wood(rng))
    if rng.random() < 0.5:
        _shelves(build, room, rng)


def _logs(build: Builder, room: Room, rng: np.random.Generator) -> None:
    w, top, deep = _size(room)
    ends = [cloth.plain_wood(rng) for _ in range(5)]
    y = 60.0
    while y < top * float(rng.uniform(0.5, 0.9)):
        for x in np.arange(65.0 + rng.uniform(0, 40), w - 60, 118):
            r, jog = float(rng.uniform(42, 58)), rng.uniform(-6, 6, 2)
            front = -float(rng.uniform(0.05, 0.3)) * deep - 10
            build.capped_rod((x + jog[0], y + jog[1], -deep), (x + jog[0], y + jog[1], front), r, ends[rng.integers(5)])
        y += 105


def _curtain(build: Builder, room: Room, rng: np.random.Generator) -> None:
    w, top, deep = _size(room)
    z, x0 = -min(0.5 * deep, 120.0), float(rng.choice([0.0, 0.62])) * w
    t = np.linspace(0, 1, 61)
    x = x0 + 0.38 * w * t
    fold = z + min(22.0, 0.2 * deep) * np.sin(2 * np.pi * t * rng.integers(4, 9))
    lines = [np.column_stack([x, np.full_like(x, y), fold]) for y in (max(room.hole.floor_y + 30, 10.0), top + 20)]
    build.strip(*lines, *(np.column_stack([400 * t, np.full_like(t, y)]) for y in (0.0, top)), cloth.woven(rng))
