"""Draws a room: which opening, how large and how crooked, what it is made of, what stands along its edges."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from sample_images.studio.opening import Opening
from sample_images.studio.surfaces import Surface, lacquer

from . import fourteenth_cloth as cloth
from . import fourteenth_edges as edges
from .fourteenth_frame import Edge, Hole

Range = tuple[float, float]
Box = tuple[float, float, float, float]  # x0, y0, x1, y1 on the face


@dataclass(frozen=True)
class Kind:
    title: str
    width: Range
    height: Range
    sill: Range  # above the floor
    depth: Range
    place: str  # which finishes
    table: dict[str, float]
    inside: tuple[str, ...]
    foot: tuple[str, ...]
    open_top: float = 0.0  # how often there is no head in the picture


_SILLS = ("same", "slab", "board", "own", "same")
BATH_KINDS = {
    "shower": Kind("shower", (750, 1500), (1850, 2150), (60, 170), (800, 1100), "bath", edges.BATH, ("bath",), ("curb",), 0.3),
    "wet room": Kind("wet room", (800, 1600), (1950, 2250), (0, 0), (850, 1300), "bath", edges.BATH, ("bath",), ("step",
        "floor"), 0.3),
    "tub": Kind("tub alcove", (1350, 1750), (1350, 1600), (470, 600), (680, 850), "bath", edges.BATH, ("tub",), ("tub",), 0.3),
    "low tray": Kind("shower over a tray", (700, 1100), (1850, 2100), (25, 90), (700, 950), "bath", edges.BATH, ("bath",),
        ("curb", "step"), 0.2),
    "short tub": Kind("sitting tub", (1000, 1300), (1350, 1650), (520, 680), (650, 760), "bath", edges.BATH, ("tub",), ("tub",),
        0.25),
}  # fmt: skip
OTHER_KINDS = {
    "doorway": Kind("doorway", (650, 1000), (1900, 2100), (0, 25), (90, 450), "room", edges.ROOM, ("room",), ("step", "floor",
        "same floor"), 0.08),
    "wide doorway": Kind("double doorway", (1150, 1700), (1950, 2200), (0, 20), (90, 400), "room", edges.ROOM, ("room",),
        ("step", "floor"), 0.1),
    "pass": Kind("pass-through", (650, 1500), (480, 1000), (850, 1100), (90, 350), "room", edges.ROOM, ("room",), _SILLS),
    "window": Kind("window recess", (600, 1500), (650, 1400), (450, 1000), (60, 480), "room", edges.ROOM, ("window",), _SILLS),
    "wardrobe": Kind("wardrobe recess", (850, 1700), (1900, 2250), (0, 90), (350, 650), "room", edges.ROOM, ("clothes",
        "shelves"), ("step", "own", "floor"), 0.15),
    "cupboard": Kind("cupboard recess", (480, 1000), (650, 1500), (300, 1000), (150, 420), "room", edges.ROOM, ("shelves",),
        _SILLS),
    "mirror": Kind("mirror recess", (550, 1200), (550, 1000), (850, 1050), (30, 90), "bath", edges.BATH, ("mirror",), ("same",
        "own", "slab")),
    "niche": Kind("niche", (400, 800), (450, 900), (700, 1100), (60, 260), "room", edges.ROOM, ("shelves", "bare"), _SILLS),
    "hatch": Kind("hatch", (480, 800), (500, 900), (300, 900), (80, 300), "room", edges.ROOM, ("room", "dark"), _SILLS),
    "porch": Kind("glazed porch", (850, 1600), (1950, 2200), (0, 60), (120, 450), "porch", edges.ROUGH, ("garden",), ("step",
        "floor", "own")),
    "hearth": Kind("fireplace", (600, 1100), (620, 950), (0, 70), (300, 550), "hearth", edges.ROUGH, ("fire",), ("step", "floor",
        "own")),
    "stairs": Kind("alcove under the stairs", (750, 1300), (1100, 1800), (0, 40), (500, 1000), "room", edges.ROOM, ("steps",
        "shelves"), ("floor", "step", "same floor")),
    "cellar": Kind("cellar opening", (750, 1200), (1000, 1950), (0, 120), (300, 900), "cellar", edges.ROUGH, ("cellar", "room"),
        ("own", "step", "floor")),
    "wood store": Kind("wood store", (600, 1200), (700, 1500), (0, 400), (300, 500), "cellar", edges.ROUGH, ("logs", "bare"),
        ("own", "same", "slab")),
    "outhouse": Kind("outhouse window", (500, 1000), (550, 1000), (700, 1000), (150, 500), "cellar", edges.ROUGH, ("window",),
        ("same", "slab", "own")),
}  # fmt: skip


@dataclass
class Room:
    name: str
    seed: int
    layout: str
    kind: str
    of: Kind
    hole: Hole
    made: dict[str, object]
    floor: Surface
    inside: str
    head_y: float
    taken: list[Box] = field(default_factory=list)
    flat: float = 0.0  # how far the strips and frames reach outward
    tilt: bool = False


def draw_room(rng: np.random.Generator, name: str, seed: int, *, layout: str, kind: str) -> Room:
    of = (BATH_KINDS | OTHER_KINDS)[kind]
    sill = float(rng.uniform(*of.sill))
    foot = str(rng.choice(of.foot))
    sill = 0.0 if "floor" in foot else max(sill, 4.0)
    ceiling = float(rng.uniform(2300, 2700))
    head = rng.random() >= of.open_top
    height = min(float(rng.uniform(*of.height)), ceiling - sill - 90)
    if not head:
        height = float(rng.uniform(0.7, 0.84)) * (ceiling - sill)
    lean, level = rng.normal(0, 2.2, 2).clip(-6, 6), rng.normal(0, 1.5, 2).clip(-4, 4)
    opening = Opening(
        round(float(rng.uniform(*of.width)), 1),
        round(height, 1),
        *(round(float(v), 3) for v in lean),
        *(round(float(v), 3) for v in rng.normal(0, 1.2, 2).clip(-3.2, 3.2)),
        round(float(level[0]), 3),
        round(float(level[1]), 3),
        head=bool(head),
    )
    face, reveal = finishes(rng, of)
    depth = float(rng.uniform(*of.depth))
    beside = rng.uniform(380, 1500, 2)
    hole = Hole(opening, {}, [(1e5, face)], -sill, ceiling - sill, (-beside[0], opening.width_mm + beside[1]), depth)
    if rng.random() < 0.3:
        lower = cloth.chosen(rng, of.place)
        hole.zones = [(float(rng.uniform(500, 1500)), lower), (1e5, face)]
    room = Room(
        name,
        seed,
        layout,
        kind,
        of,
        hole,
        {"kind": kind, "foot": foot},
        cloth.chosen(rng, "floor"),
        str(rng.choice(of.inside)),
        height,
    )
    room.tilt = "floor" in foot
    _edges(rng, room, face, reveal)
    _feet(rng, room, foot, reveal)
    hole.words = str(room.made["words"])
    return room


def finishes(rng: np.random.Generator, of: Kind) -> tuple[Surface, Surface]:
    """The face and the reveal: the same in a good part of the rooms, of equal grey in some."""
    face = cloth.chosen(rng, of.place)
    draw = rng.random()
    if draw < 0.42:
        return face, face
    if draw < 0.58:
        one, other = (cloth.g.colour(str(c)) for c in rng.choice(cloth.PAINTS, 2, replace=False))
        make = cloth.tiles if of.place == "bath" and rng.random() < 0.6 else cloth.painted
        return cloth.painted(rng, one), make(rng, cloth.g.near_grey(one, other))
    if of.place in ("room", "porch") and draw < 0.85:
        return face, cloth.painted(rng)
    return face, cloth.chosen(rng, of.place)


def _edges(rng: np.random.Generator, room: Room, face: Surface, reveal: Surface) -> None:
    """What stands along the sides and the head."""
    hole, of = room.hole, room.of
    main = edges.drawn(rng, of.table)
    if main == "casing" and room.layout in ("sheet", "letters"):
        main = "architrave"
    start = edges.arris(rng, main, face, reveal)
    names, words = {"left": main, "right": main, "top": main}, f"sides and head: {start.words}"
    starts = dict.fromkeys(names, start)
    joinery = ("architrave", "casing", "lining", "shadow gap")
    if main not in joinery and rng.random() < 0.4:
        side = str(rng.choice(["top", "top", "left", "right"]))
        names[side] = edges.drawn(rng, of.table, set(of.table) - set(joinery))
        starts[side] = edges.arris(rng, names[side], face, reveal if rng.random() < 0.5 else cloth.chosen(rng, of.place))
        words += f"; {side}: {starts[side].words}"
    if start.casing:
        hole.face_z = start.nodes[0][1]
    nib = of.place == "bath" and room.inside != "mirror" and rng.random() < 0.3
    for side, begun in starts.items():
        until, further = hole.depth, ()
        if (nib and side != "top") or (side == "top" and room.inside in ("bath", "tub") and rng.random() < 0.4):
            until = float(rng.uniform(60, 160))
            last = begun.nodes[-1][0] if begun.nodes else 0.0
            step = float(rng.uniform(50, 500)) if side != "top" else hole.ceiling_y - room.head_y - 20
            if hole.opening.head or side != "top":
                further = ((last - step, -until, reveal), (last - step, -hole.depth, reveal))
        hole.edges[side] = edges.inward(rng, begun, max(until, -min([n[1] for n in begun.nodes], default=0) + 8), further)
    if start.proud:
        hole.proud.append(start.proud)
    room.flat = max([hole.edges[s].width for s in names] + [p.width for p in hole.proud])
    room.made |= {"edge": names, "nib": nib, "words": words}


def _feet(rng: np.random.Generator, room: Room, foot: str, reveal: Surface) -> None:
    """What lies along the bottom: curb, rim, sill, threshold, or the floor going on."""
    hole, depth = room.hole, room.hole.depth
    inner, words, strips = cloth.chosen(rng, "floor"), foot, ()
    hole.horns = room.of.sill[1] > 200 and foot != "tub"
    if foot == "curb":
        top = (reveal, cloth.slab(rng), cloth.tiles(rng))[rng.integers(3)]
        begun = edges.arris(
            rng,
            edges.drawn(rng, edges.BATH, {"sharp", "eased", "bullnose", "chamfer", "trim", "mitre", "tile edge"}),
            reveal,
            top,
        )
        strips = begun.strips or (((float(rng.uniform(15, 32)), top),) if rng.random() < 0.4 else ())
        wide, drop = float(rng.uniform(70, 150)), min(-2.0, hole.floor_y + float(rng.uniform(5, 40)))
        last = begun.nodes[-1][0] if begun.nodes else 0.0
        nodes = (*begun.nodes, (last, -wide, top), (drop, -wide, top), (drop, -depth, inner))
        hole.below, words = (reveal if rng.random() < 0.6 else cloth.chosen(rng, "bath")), f"curb, {begun.words}"
    elif foot == "tub":
        enamel = lacquer(((0.82, 0.82, 0.8), (0.78, 0.75, 0.66), (0.1, 0.1, 0.11))[int(rng.choice(3, p=[0.75, 0.15, 0.1]))], 0.08)
        wide, drop = float(rng.uniform(55, 95)), float(rng.uniform(330, 400))
        nodes = ((0.0, -wide, enamel), (-25.0, -wide - 12, enamel), (-drop, -wide - 60, enamel), (-drop, -depth, enamel))
        strips = ((float(rng.uniform(22, 48)), enamel),) if rng.random() < 0.6 else ()
        hole.below = enamel if rng.random() < 0.35 else cloth.chosen(rng, "bath")
        words = "rim of the tub, whose front is flush with the wall face"
    else:
        nodes, strips, words = _sill(rng, room, foot, reveal)
    hole.goes_on = foot in ("board", "same floor", "floor")
    hole.edges["bottom"] = Edge(tuple(nodes), strips)
    room.made["words"] = f"{room.made['words']}; bottom: {words}"


def _sill(rng: np.random.Generator, room: Room, foot: str, reveal: Surface) -> tuple:
    hole, depth = room.hole, room.hole.depth
    inner = room.floor if foot == "same floor" else cloth.chosen(rng, "floor")
    if "floor" in foot:
        return ((0.0, -depth, inner),), (), "the floor in the plane of the wall face"
    if foot == "same":
        same = hole.edges["left"]
        return ((0.0, -depth, reveal),), same.strips, "as the sides"
    top = (cloth.slab(rng), cloth.wood(rng, upright=False), cloth.gloss(rng), cloth.chosen(rng, "floor"))[rng.integers(4)]
    if foot == "board":
        room.made["board"] = top
        return ((0.0, -depth, top),), (), "the top of the sill board in the plane of the wall face; its nose stands forward"
    table = {"sharp", "eased", "bullnose", "chamfer", "stone strip"} & set(room.of.table)
    begun = edges.arris(rng, edges.drawn(rng, room.of.table, table), reveal, top)
    if room.of.sill[1] <= 200:
        hole.below = top
    further = (begun.nodes[-1][0] if begun.nodes else 0.0, -depth, top)
    strips = begun.strips or (((float(rng.uniform(18, 45)), top),) if foot == "slab" else ())
    if strips and sum(w for w, _ in strips) > -hole.floor_y - 1:
        strips = ()
    if foot == "step" and depth > 160 and room.of.sill[1] <= 200:
        wide = float(rng.uniform(40, 140))
        last, drop = further[0], hole.floor_y + 1
        return (*begun.nodes, (last, -wide, top), (drop, -wide, top), (drop, -depth, inner)), strips, f"threshold, {begun.words}"
    return (*begun.nodes, further), strips, f"sill, {begun.words}"
