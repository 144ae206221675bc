"""What is decided once for the whole set, so that every layout meets all kinds: openings, edges, light, finishes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from .fourth_arris import foot_arris, side_arris
from .fourth_base import Opening, Rng, Surface, chance, lacquer, one_of, paint, plain
from .fourth_finishes import FLOORS, WALLS, WET, Made, painted, tint
from .fourth_light import KINDS
from .fourth_walls import Shell

SEED = 860413
LAYOUTS = {"sheet": 6, "opposite": 6, "four": 6, "letters": 6, "ours": 8}
OPENINGS = ("shower",) * 10 + ("tub",) * 7 + ("doorway",) * 6 + ("window",) * 5 + ("niche",) * 4
EDGES = (
    ("sharp",) * 6 + ("rounded",) * 6 + ("metal",) * 5 + ("mitred",) * 4 + ("plastic",) * 4 + ("stone",) * 4 + ("silicone",) * 3
)
SIZES = {  # width, height, height of the lower edge above the floor, depth
    "shower": ((760, 1560), (1880, 2110), (60, 150), (780, 1080)),
    "tub": ((1380, 1720), (1340, 1640), (470, 590), (680, 820)),
    "doorway": ((640, 930), (1960, 2080), (12, 24), (95, 170)),
    "window": ((620, 1260), (760, 1260), (820, 1060), (90, 260)),
    "niche": ((620, 1220), (700, 1140), (840, 1080), (90, 170)),
}


@dataclass(frozen=True)
class Lot:
    """What a room was dealt before anything else is drawn."""

    layout: str
    number: int
    opening: str
    edge: str
    light: str
    wall: int
    plumb: bool

    @property
    def name(self) -> str:
        return f"fourth_{self.layout}_{self.number:02d}"


def lots() -> list[Lot]:
    """All rooms of the set in order."""
    rng = np.random.default_rng([SEED, 1])
    count = sum(LAYOUTS.values())
    openings, edges = rng.permutation(OPENINGS), rng.permutation(EDGES)
    lights = rng.permutation(np.resize(KINDS, count))
    walls = rng.permutation(np.resize(np.arange(len(WALLS)), count))
    plumbs = rng.permutation(np.arange(count) % 2 == 0)
    found: list[Lot] = []
    for layout, rooms in LAYOUTS.items():
        for number in range(1, rooms + 1):
            i = len(found)
            edge = str(edges[i])
            if openings[i] == "doorway" and edge in ("silicone", "plastic", "mitred"):
                edge = "lining"
            found.append(Lot(layout, number, str(openings[i]), edge, str(lights[i]), int(walls[i]), bool(plumbs[i])))
    return found


def draw_opening(rng: Rng, kind: str) -> Opening:
    wide, high = SIZES[kind][:2]
    spread = 4.5 if chance(rng, 0.12) else 1.8
    bows = np.clip(rng.normal(0, 0.8, 2), -2.5, 2.5)
    leans = np.clip(rng.normal(0, spread, 2), -9, 9)
    return Opening(
        round(float(rng.uniform(*wide)), 1),
        round(float(rng.uniform(*high)), 1),
        lean_left=round(float(leans[0]), 2),
        lean_right=round(float(leans[1]), 2),
        bow_left_mm=round(float(bows[0]), 2),
        bow_right_mm=round(float(bows[1]), 2),
        curb_level=round(float(rng.normal(0, 1.3)), 2),
        head_slope=round(float(rng.normal(0, 1.5)), 2),
    )


def draw_shell(rng: Rng, lot: Lot) -> tuple[Shell, tuple[str, str]]:
    """Everything of the wall, and what its face and reveal are called."""
    kind = lot.opening
    face, face_name = WALLS[lot.wall](rng)
    if chance(rng, 0.25) and face_name != "wallpaper":
        reveal, reveal_name = face, face_name
    elif kind in ("shower", "tub"):
        reveal, reveal_name = one_of(rng, *WET)(rng)
    else:
        reveal, reveal_name = one_of(rng, white_lacquer, painted, one_of(rng, *WET))(rng)
    floor = -float(rng.uniform(*SIZES[kind][2]))
    depth = float(rng.uniform(*SIZES[kind][3]))
    framed, wet = kind in ("window", "niche"), kind in ("shower", "tub")
    foot = foot_arris(rng, kind)
    shell = Shell(
        floor=floor,
        ceiling=floor + float(rng.uniform(2320, 2650)),
        left=float(rng.uniform(450, 1100)),
        right=float(rng.uniform(450, 1100)),
        length=4200.0,
        depth=depth,
        head_depth=float(rng.uniform(90, 160)) if wet else depth,
        foot_depth=float(rng.uniform(75, 140)) if wet else depth,
        framed=framed,
        sides=side_arris(rng, lot.edge, face, reveal),
        foot=foot,
        face=face,
        reveal=reveal,
        below=(foot.band or face) if kind == "tub" else _or_face(rng, face, one_of(rng, *WET), 1 / 3),
        walls=_or_face(rng, face, one_of(rng, painted, white_paint), 1 / 3),
        ground=one_of(rng, *FLOORS)(rng)[0],
        sky=plain((0.8, 0.8, 0.78)),
    )
    return shell, (face_name, reveal_name)


def _or_face(rng: Rng, face: Surface, maker: Callable[[Rng], Made], share: float) -> Surface:
    return face if chance(rng, share) else maker(rng)[0]


def white_lacquer(rng: Rng) -> Made:
    return lacquer(tint(rng, "white"), 0.4), "white lacquer"


def white_paint(rng: Rng) -> Made:
    return paint(tint(rng, "white"), rng), "paint"
