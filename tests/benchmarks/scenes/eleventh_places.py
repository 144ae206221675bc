"""Draws the rooms: how large the opening is, how crooked, how it is edged, and what everything is covered with."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from .eleventh_grain import Surface
from .eleventh_papers import PAPERS
from .eleventh_tiles import TILES
from .eleventh_walls import Edge, Place

from studio.opening import Opening  # isort: skip
from studio.surfaces import lacquer, metal, plain  # isort: skip

SIZES_MM: dict[str, tuple[tuple[float, float], tuple[float, float], tuple[float, float]]] = {
    "shower": ((780, 1560), (1860, 2130), (45, 150)),
    "tub": ((1470, 1720), (1380, 1700), (500, 580)),
    "door": ((660, 930), (1960, 2090), (8, 18)),
    "window": ((640, 1450), (700, 1350), (650, 950)),
    "niche": ((700, 1250), (750, 1400), (500, 850)),
    "wardrobe": ((950, 1720), (1950, 2200), (20, 90)),
}
"""range of widths, of heights and of the height of the foot above the floor"""
STATED: Sequence[tuple[str, float]] = (
    ("80 in", 2032.0),
    ("78 in", 1981.2),
    ("2000 mm", 2000.0),
    ("76 1/2 in", 1943.1),
    ("1950 mm", 1950.0),
)
"""heights that people ask about where nothing closes the opening"""


def draw_opening(rng: np.random.Generator, what: str, head: bool) -> tuple[Opening, str | None]:
    """An opening with a few mm/m out of true, and the height that is stated for one without a head."""
    (w0, w1), (h0, h1), _ = SIZES_MM[what]
    stated, height = None, float(rng.uniform(h0, h1))
    if not head:
        stated, height = STATED[int(rng.integers(len(STATED)))]
    if what == "tub" and not head:
        stated, height = "60 in", 1524.0
    crooked = 2.6 if rng.random() < 0.2 else 1.3
    lean = np.clip(rng.normal(0, crooked, 2), -7, 7)
    bow = np.clip(rng.normal(0, 0.9, 2), -2.5, 2.5)
    level, slope = np.clip(rng.normal(0, 1.4, 2), -4, 4)
    opening = Opening(
        round(float(rng.uniform(w0, w1)), 1),
        round(height, 1),
        lean_left=round(float(lean[0]), 2),
        lean_right=round(float(lean[1]), 2),
        bow_left_mm=round(float(bow[0]), 2),
        bow_right_mm=round(float(bow[1]), 2),
        curb_level=round(float(level), 2),
        head_slope=round(float(slope), 2),
        head=head,
    )
    return opening, stated


def any_of(rng: np.random.Generator, names: Sequence[str]) -> tuple[str, Surface]:
    """One of these finishes, freshly laid."""
    name = str(rng.choice(list(names)))
    made = (TILES | PAPERS)[name](rng)
    shift = tuple(float(v) for v in rng.uniform(0, 1, 2) * np.array(made.repeat_mm))
    return name, Surface(made.bsdf, made.repeat_mm, (shift[0], shift[1]))


def draw_edge(rng: np.random.Generator, what: str) -> Edge:
    """The way the face ends at the opening."""
    ways = {
        "shower": ("mitre", "mitre", "bead", "bead", "round", "lining"),
        "tub": ("mitre", "bead", "round", "round"),
        "door": ("mitre", "lining", "casing", "casing", "round"),
        "window": ("mitre", "round", "casing", "bead"),
        "niche": ("mitre", "bead", "bead", "lining"),
        "wardrobe": ("mitre", "lining", "casing", "round"),
    }[what]
    kind = str(rng.choice(ways))
    woods = ((0.78, 0.78, 0.76), (0.76, 0.74, 0.68), (0.45, 0.29, 0.16), (0.2, 0.11, 0.06), (0.14, 0.2, 0.22))
    wood = lacquer(woods[int(rng.integers(len(woods)))], 0.25)
    if kind == "casing":
        return Edge(kind, float(rng.uniform(58, 96)), float(rng.uniform(5.0, 9.0)), 0.0, wood)
    if kind == "lining":
        stone = lacquer((0.72, 0.71, 0.69), 0.12) if rng.random() < 0.5 else wood
        return Edge(kind, float(rng.uniform(18, 45)), 0.0, 0.0, wood if what in ("door", "wardrobe") else stone)
    if kind == "bead":
        among = (metal(), metal((0.7, 0.58, 0.36), 0.2), lacquer((0.8, 0.8, 0.79), 0.2), lacquer((0.03, 0.03, 0.03), 0.3))
        return Edge(kind, float(rng.uniform(2.5, 11)), 0.0, 0.0, among[int(rng.integers(4))])
    return Edge(kind, 0.0, 0.0, float(rng.uniform(3.0, 13.0)) if kind == "round" else 0.0)


WET = ("sticks", "metro", "handmade", "big", "plain_square", "hexagons", "pennies", "terrazzo", "marble", "limewash")
DRY = ("emulsion", "emulsion", "stripes", "damask", "floral", "boards", "brick", "blocks", "plaster", "limewash", "backer")
FLOORS = ("hexagons", "pennies", "pebbles", "terrazzo", "big", "marble", "plain_square", "boards")


def draw_zones(rng: np.random.Generator, what: str, face: str) -> tuple[list[str], list[tuple[float, Surface]]]:
    """The wall face: one finish, or a lower and an upper one with a border line between."""
    name, main = any_of(rng, [face])
    if rng.random() < 0.68:
        return [name], [(1e5, main)]
    lower_name, lower = any_of(rng, WET if what in ("shower", "tub", "niche") or rng.random() < 0.4 else ("boards", "emulsion"))
    at = float(rng.uniform(900, 1500))
    found = [(at, lower)]
    if rng.random() < 0.6:
        found.append((at + float(rng.uniform(12, 60)), lacquer(tuple(rng.uniform(0.05, 0.7, 3)), 0.2)))
    return [lower_name, name], [*found, (1e5, main)]


DEPTH_MM = {
    "shower": (780, 1300),
    "tub": (720, 860),
    "door": (95, 260),
    "window": (60, 260),
    "niche": (85, 330),
    "wardrobe": (480, 660),
}


def _sills(rng: np.random.Generator, what: str) -> Surface:
    """Curb, rim, threshold or window board: enamel, stone, mosaic or painted."""
    draw = rng.random()
    if what == "tub" and draw < 0.7:
        return lacquer((0.8, 0.8, 0.79), 0.08)
    if what in ("shower", "tub") and draw > 0.8:
        return any_of(rng, WET)[1]
    if draw < 0.4:
        return any_of(rng, ("marble", "terrazzo"))[1]
    grey = float(rng.uniform(0.08, 0.76))
    return lacquer((grey, grey * 0.97, grey * float(rng.uniform(0.8, 0.97))), 0.15)


def _insides(rng: np.random.Generator, what: str) -> tuple[str, Surface, str, Surface]:
    """What the reveal and the back wall are covered with."""
    wet = what in ("shower", "tub")
    among = WET if wet or (what == "niche" and rng.random() < 0.5) else ("emulsion", "emulsion", "plaster", "boards")
    reveal_name, reveal = any_of(rng, among)
    if rng.random() < 0.35:
        return reveal_name, reveal, *any_of(rng, WET if wet else ("emulsion", "stripes", "floral", "limewash"))
    return reveal_name, reveal, reveal_name, reveal


def draw_place(rng: np.random.Generator, what: str, face: str, head: bool, room_mm: float) -> tuple[Place, str | None, str]:
    """A room with this kind of opening; room_mm is the least that is wanted of the wall on either side."""
    opening, stated = draw_opening(rng, what, head)
    edge = draw_edge(rng, what)
    names, zones = draw_zones(rng, what, face)
    sill_mm = float(rng.uniform(*SIZES_MM[what][2]))
    top = sill_mm + float(opening.corners[:, 1].max()) + edge.width_mm
    deep, shallow = float(rng.uniform(*DEPTH_MM[what])), what in ("door", "window", "niche")
    reveal_name, reveal, back_name, back = _insides(rng, what)
    same = what in ("shower", "tub") and rng.random() < 0.35 and names[0] in WET
    sill = _sills(rng, what)
    place = Place(
        what,
        opening,
        edge,
        zones,
        reveal=zones[0][1] if same else reveal,
        back=back,
        sill=sill,
        floor=any_of(rng, FLOORS)[1],
        inner_floor=sill if what == "tub" else any_of(rng, FLOORS)[1],
        ceiling=plain((0.8, 0.8, 0.79)),
        side_walls=any_of(rng, ("emulsion", "limewash", face))[1],
        sill_mm=sill_mm,
        sill_depth_mm=deep if shallow else float(rng.uniform(70, 160)),
        depth_mm=deep,
        header_mm=deep if shallow or rng.random() < 0.25 else float(rng.uniform(60, 160)),
        ceiling_mm=max(float(rng.uniform(2330, 2800)), top + float(rng.uniform(150, 420))),
        beyond_mm=(room_mm + edge.width_mm + float(rng.gamma(1.4, 260)), room_mm + edge.width_mm + float(rng.gamma(1.4, 260))),
        slope=float(rng.uniform(0.15, 0.5)) if what in ("shower", "tub") and rng.random() < 0.2 else 0.0,
        skirting=lacquer((0.76, 0.76, 0.74), 0.25) if names[0] not in TILES and rng.random() < 0.6 else None,
    )
    return place, stated, f"{'/'.join(names)} wall, {reveal_name}/{back_name} in the opening, {edge.kind} edge"
