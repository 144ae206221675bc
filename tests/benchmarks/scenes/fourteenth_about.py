"""Round about: things on the face that look like openings, rails and skirtings, and things that stand or hang before an edge."""

from __future__ import annotations

import itertools
from collections.abc import Callable

import numpy as np

from sample_images.studio.shapes import Builder
from sample_images.studio.surfaces import Surface, lacquer, metal, plain

from . import fourteenth_cloth as cloth
from . import fourteenth_small as small
from .fourteenth_frame import ruled
from .fourteenth_plan import Box, Room

Decoy = Callable[[Builder, Box, float, np.random.Generator], None]


def surround(build: Builder, room: Room, rng: np.random.Generator) -> None:
    """The sill board, skirting, decoys on the face, clutter before it."""
    hole = room.hole
    off = room.flat
    room.taken.append((-off - 20, hole.floor_y, hole.opening.width_mm + off + 20, room.head_y + off + 20))
    if "board" in room.made:
        _board(build, room, rng)
    if rng.random() < 0.5:
        _skirting(build, room, rng)
    if rng.random() < 0.16 and hole.opening.head and not hole.proud and not hole.face_z:
        y = room.head_y + hole.edges["top"].width + float(rng.uniform(8, 60))
        build.box(
            (-off - 120, y, 0), (hole.opening.width_mm + off + 120, y + float(rng.uniform(20, 60)), 130), cloth.wood(rng, False)
        )
    if rng.random() < 0.2:
        _pilaster(build, room, rng)
    room.made["decoys"] = [name for _ in range(int(rng.integers(1, 5))) if (name := _decoy(build, room, rng))]
    room.made["clutter"] = [_clutter(build, room, rng) for _ in range(int(rng.integers(0, 4)))]
    if rng.random() < 0.35:
        room.made["clutter"].append(_hung(build, room, rng))  # type: ignore[attr-defined]


def _board(build: Builder, room: Room, rng: np.random.Generator) -> None:
    """A sill that stands forward of the face, with horns."""
    hole, of = room.hole, room.made["board"]
    nose, thick, horn = float(rng.uniform(12, 45)), float(rng.uniform(18, 40)), room.flat + float(rng.uniform(10, 70))
    x = np.array([-horn, hole.opening.width_mm + horn])
    y = hole.bottom(x)
    rows = [
        np.column_stack([x, y + dy, [z, z]]) for dy, z in ((0, hole.face_z), (0, nose), (-thick, nose), (-thick, hole.face_z))
    ]
    for a, b in itertools.pairwise(rows):
        build.strip(a, b, np.column_stack([x, a[:, 1] + a[:, 2]]), np.column_stack([x, b[:, 1] + b[:, 2]]), of)
    for end in (0, 1):
        build.quad(np.array([row[end] for row in rows]), of)
    room.made["board"] = f"{nose:.0f} mm"


def _skirting(build: Builder, room: Room, rng: np.random.Generator) -> None:
    hole, of = room.hole, cloth.gloss(rng) if rng.random() < 0.7 else cloth.chosen(rng, room.of.place)
    high, thick = float(rng.uniform(60, 190)), float(rng.uniform(8, 20)) + hole.face_z
    low, off = hole.floor_y, room.flat + 9
    ends = (float(hole.opening.left(np.array(low))) - off, float(hole.opening.right(np.array(low))) + off)
    build.box((hole.reach[0], low, hole.face_z - 1), (ends[0], low + high, max(thick, hole.face_z + 6)), of)
    build.box((ends[1], low, hole.face_z - 1), (hole.reach[1], low + high, max(thick, hole.face_z + 6)), of)
    if -hole.edges["bottom"].width - 60 > low + high and hole.horns:
        build.box((ends[0], low, hole.face_z - 1), (ends[1], low + high, max(thick, hole.face_z + 6)), of)


def _pilaster(build: Builder, room: Room, rng: np.random.Generator) -> None:
    hole = room.hole
    wide, thick = float(rng.uniform(60, 300)), float(rng.uniform(15, 90))
    for _ in range(12):
        x = float(rng.uniform(hole.reach[0], hole.reach[1] - wide))
        box = (x, hole.floor_y, x + wide, hole.ceiling_y)
        if _free(room, box):
            build.box((x, hole.floor_y, hole.face_z), (x + wide, hole.ceiling_y, thick), cloth.chosen(rng, room.of.place))
            room.taken.append(box)
            return


def _free(room: Room, box: Box) -> bool:
    return all(box[2] < t[0] or box[0] > t[2] or box[3] < t[1] or box[1] > t[3] for t in room.taken)


def _decoy(build: Builder, room: Room, rng: np.random.Generator) -> str:
    """A thing on the face where there is room for it."""
    hole = room.hole
    kinds: dict[str, tuple[Decoy, tuple[float, float], tuple[float, float], bool]] = {
        "picture": (_picture, (180, 700), (180, 900), False), "doorway": (_doorway, (400, 850), (1850, 2050), True),
        "doors": (_doors, (350, 900), (500, 1900), True), "radiator": (_radiator, (300, 900), (300, 700), False),
        "mirror": (_looking_glass, (200, 600), (300, 900), False), "moulding": (_moulding, (200, 900), (300, 1200), False),
        "switch": (_switch, (70, 160), (70, 90), False), "rail": (_rail, (300, 700), (350, 700), False),
        "window": (_far_window, (300, 800), (500, 1000), False), "pipe": (_pipe, (30, 60), (1200, 2300), True),
        "shelf": (_shelf, (250, 700), (160, 300), False), "other stuff": (_patch, (200, 700), (300, 2000), False),
        "stripe": (_patch, (15, 90), (900, 2400), True), "band": (_patch, (300, 1200), (15, 120), False),
    }  # fmt: skip
    for _ in range(14):
        name = str(rng.choice(list(kinds)))
        make, wide, tall, stands = kinds[name]
        w, h = float(rng.uniform(*wide)), float(rng.uniform(*tall))
        room_h = hole.ceiling_y - hole.floor_y - 40
        if h > room_h or w > hole.reach[1] - hole.reach[0] - 40:
            continue
        x = float(rng.uniform(hole.reach[0], hole.reach[1] - w))
        y = hole.floor_y if stands else float(rng.uniform(hole.floor_y + 200, hole.floor_y + max(room_h - h, 210)))
        box = (x, y, x + w, y + h)
        if _free(room, box):
            make(build, box, hole.face_z, rng)
            room.taken.append(box)
            return name
    return ""


def _rim(build: Builder, box: Box, z: tuple[float, float], width: float, of: Surface) -> None:
    x0, y0, x1, y1 = box
    for low, high in (
        ((x0, y0), (x1, y0 + width)),
        ((x0, y1 - width), (x1, y1)),
        ((x0, y0), (x0 + width, y1)),
        ((x1 - width, y0), (x1, y1)),
    ):
        build.box((*low, z[0]), (*high, z[1]), of)


def _picture(build: Builder, box: Box, z: float, rng: np.random.Generator) -> None:
    small.plate(build, box, z + 6, cloth.paper(rng) if rng.random() < 0.6 else cloth.slab(rng))
    _rim(
        build,
        box,
        (z, z + float(rng.uniform(12, 30))),
        float(rng.uniform(8, 45)),
        cloth.wood(rng) if rng.random() < 0.5 else cloth.gloss(rng),
    )


def _doorway(build: Builder, box: Box, z: float, rng: np.random.Generator) -> None:
    """A second door, shut or dark."""
    small.plate(build, box, z + 1, plain((0.03, 0.03, 0.03)) if rng.random() < 0.3 else cloth.panels(rng))
    _rim(
        build,
        (box[0], box[1] - 100, box[2], box[3]),
        (z, z + float(rng.uniform(10, 22))),
        float(rng.uniform(40, 90)),
        cloth.gloss(rng),
    )


def _doors(build: Builder, box: Box, z: float, rng: np.random.Generator) -> None:
    """Cupboard doors."""
    of, n = cloth.gloss(rng) if rng.random() < 0.6 else cloth.wood(rng), int(rng.integers(1, 4))
    pitch = (box[2] - box[0]) / n
    for i in range(n):
        x = box[0] + i * pitch
        build.box((x + 2, box[1] + 30, z), (x + pitch - 2, box[3], z + 20), of)
        build.box(
            (x + 0.85 * pitch, 0.5 * (box[1] + box[3]), z + 20),
            (x + 0.85 * pitch + 12, 0.5 * (box[1] + box[3]) + 120, z + 42),
            metal(),
        )


def _radiator(build: Builder, box: Box, z: float, rng: np.random.Generator) -> None:
    white = lacquer((0.8, 0.8, 0.78), 0.3)
    for x in np.arange(box[0], box[2] - 40, 50.0):
        build.box((float(x), box[1], z + 45), (float(x) + 38, box[3], z + 90), white)


def _looking_glass(build: Builder, box: Box, z: float, rng: np.random.Generator) -> None:
    small.plate(build, box, z + 8, metal((0.86, 0.87, 0.87), 0.004))
    _rim(build, box, (z, z + 14), float(rng.uniform(3, 35)), small.edges_metal(rng))


def _moulding(build: Builder, box: Box, z: float, rng: np.random.Generator) -> None:
    of = cloth.gloss(rng)
    _rim(build, box, (z, z + float(rng.uniform(8, 18))), float(rng.uniform(12, 35)), of)


def _switch(build: Builder, box: Box, z: float, rng: np.random.Generator) -> None:
    build.box((box[0], box[1], z), (box[2], box[3], z + 9), lacquer((0.82, 0.82, 0.8), 0.2))


def _rail(build: Builder, box: Box, z: float, rng: np.random.Generator) -> None:
    chrome, (x0, y0, x1, y1) = small.edges_metal(rng), box
    build.rod((x0, y1, z + 60), (x1, y1, z + 60), 9, chrome)
    for x in (x0 + 15, x1 - 15):
        build.rod((x, y1, z), (x, y1, z + 60), 9, chrome)
    build.box((x0 + 30, y0, z + 46), (x1 - 30, y1 + 10, z + 74), cloth.woven(rng))


def _far_window(build: Builder, box: Box, z: float, rng: np.random.Generator) -> None:
    small.window(build, box, z + 2, rng)


def _pipe(build: Builder, box: Box, z: float, rng: np.random.Generator) -> None:
    x, of = (box[0] + box[2]) / 2, small.edges_metal(rng) if rng.random() < 0.5 else lacquer((0.75, 0.75, 0.73), 0.3)
    build.rod((x, box[1], z + 25), (x, box[3], z + 25), float(rng.uniform(7, 15)), of)


def _shelf(build: Builder, box: Box, z: float, rng: np.random.Generator) -> None:
    build.box((box[0], box[1], z), (box[2], box[1] + 22, z + 150), cloth.wood(rng, False))
    for _ in range(int(rng.integers(1, 4))):
        small.bottle(build, rng, (float(rng.uniform(box[0] + 40, box[2] - 40)), box[1] + 22, z + 75))


def _patch(build: Builder, box: Box, z: float, rng: np.random.Generator) -> None:
    """A field of another finish in the wall: a splashback, a border, a blocked-up door."""
    corners = [np.array([[x, box[1], z + 0.5], [x, box[3], z + 0.5]]) for x in (box[0], box[2])]
    ruled(build, *corners, cloth.chosen(rng, ("bath", "room", "cellar")[rng.integers(3)]))


def _clutter(build: Builder, room: Room, rng: np.random.Generator) -> str:
    """Something on the floor before the wall, often before an edge."""
    hole = room.hole
    w, low = hole.opening.width_mm, hole.floor_y
    x = float(rng.choice([rng.uniform(-350, -30), rng.uniform(0.2, 0.8) * w, w + rng.uniform(30, 350)]))
    z, name = (
        float(rng.uniform(140, 600)),
        str(rng.choice(["bucket", "crate", "plant", "stool", "broom", "ladder", "box", "chair", "rug", "basket"])),
    )
    colour = lacquer(tuple(rng.uniform(0.03, 0.75, 3)), 0.3)
    if name in ("bucket", "basket"):
        build.rod(
            (x, low, z),
            (x, low + float(rng.uniform(200, 420)), z),
            float(rng.uniform(110, 190)),
            colour if name == "bucket" else cloth.woven(rng),
        )
    elif name in ("crate", "box"):
        size = rng.uniform(150, 420, 3)
        build.box(
            (x - size[0] / 2, low, z),
            (x + size[0] / 2, low + size[1], z + size[2]),
            cloth.plain_wood(rng) if name == "crate" else colour,
        )
    elif name == "plant":
        _plant(build, (x, low, z), rng)
    elif name in ("stool", "chair"):
        wood, seat = cloth.plain_wood(rng), low + float(rng.uniform(380, 480))
        build.box((x - 170, seat, z), (x + 170, seat + 25, z + 330), wood)
        for dx in (-150, 150):
            for dz in (20, 310):
                build.rod((x + dx, low, z + dz), (x + dx, seat + (380 if name == "chair" and dz == 20 else 0), z + dz), 14, wood)
    elif name in ("broom", "ladder"):
        tops = [(x, low, z), (x + float(rng.uniform(-250, 250)), low + float(rng.uniform(1200, 1700)), 40.0)]
        for dx in (0,) if name == "broom" else (0, 330):
            build.rod(*((p[0] + dx, p[1], p[2]) for p in tops), 13 if name == "broom" else 20, cloth.plain_wood(rng))
    else:
        build.box((x - 400, low, z), (x + 400, low + 8, z + 500), cloth.woven(rng))
    return name


def _plant(build: Builder, foot: tuple[float, float, float], rng: np.random.Generator) -> None:
    x, y, z = foot
    build.capped_rod((x, y, z), (x, y + 220, z), 110, lacquer((0.4, 0.18, 0.1), 0.5))
    green = plain(tuple(rng.uniform(0.5, 1.5) * np.array([0.06, 0.16, 0.04])))
    for _ in range(int(rng.integers(12, 30))):
        way, out, up = rng.uniform(0, 2 * np.pi), rng.uniform(60, 330), rng.uniform(150, 560)
        root, tip = np.array([x, y + 220, z]), np.array([x + out * np.cos(way), y + 220 + up, max(z + out * np.sin(way), 12)])
        side = np.array([np.sin(way), 0.2, -np.cos(way)]) * rng.uniform(10, 34)
        middle = (root + tip) / 2 + [0, 60, 0]
        build.quad(np.array([root, middle - side, tip, middle + side]), green)


def _hung(build: Builder, room: Room, rng: np.random.Generator) -> str:
    """Something that hangs over part of an edge: a robe on a hook, a cable, a trailing plant, a towel over the head."""
    w, top = room.hole.opening.width_mm, room.head_y
    left = rng.random() < 0.5
    x, name = (0.0 if left else w), str(rng.choice(["robe", "cable", "trailing", "cloth"]))
    boxes = [t for t in room.taken[:-1] if (t[0] < 60) == left]
    y = float(rng.uniform(0.55, 0.95)) * top
    if name == "robe" and not boxes:
        small.plate(build, (x - 120, y - min(500, 0.4 * top), x + 90, y), 40, cloth.woven(rng))
        build.rod((x - 20, y, 0), (x - 20, y, 50), 8, metal())
    elif name == "cable":
        at = [
            (float(x + v), float(top + 300 - u), float(rng.uniform(6, 25)))
            for u, v in zip((0, 260, 420, 700), rng.uniform(-60, 60, 4), strict=True)
        ]
        for a, b in itertools.pairwise(at):
            build.rod(a, b, 4, plain((0.03, 0.03, 0.03)))
    elif name == "trailing" and room.hole.opening.head:
        green = plain((0.05, 0.14, 0.04))
        for _ in range(40):
            p = np.array([0.5 * w + rng.uniform(-160, 160), top + rng.uniform(-140, 60), rng.uniform(15, 90)])
            build.quad(p + np.array([[0, 0, 0], [14, -20, 4], [0, -46, 8], [-14, -20, 4]]), green)
    elif name == "cloth" and room.hole.opening.head:
        x = float(rng.uniform(0.2, 0.6)) * w
        small.plate(
            build,
            (x, top - float(rng.uniform(60, 260)), x + float(rng.uniform(80, 0.3 * w + 90)), top + 40),
            22,
            cloth.woven(rng),
        )
    return name
