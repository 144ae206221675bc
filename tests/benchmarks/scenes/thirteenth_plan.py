"""What one room of the thirteenth family is: drawn sizes, edges and finishes, before anything is built."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from sample_images.studio.opening import Opening
from sample_images.studio.surfaces import Surface

from . import thirteenth_edges as edges
from . import thirteenth_finishes as finishes
from . import thirteenth_surfaces as s
from .thirteenth_edges import Profile


class UnfitError(Exception):
    """This draw cannot be photographed; the next attempt may."""


@dataclass(frozen=True)
class Kind:
    """Ranges in millimetres. Bottoms: curb, tub, floor, saddle, sill. Heads: lintel, soffit, none."""

    width: tuple[float, float]
    height: tuple[float, float]
    bottoms: str
    low: tuple[float, float]  # of a sill above the floor
    depth: tuple[float, float]
    wall: tuple[float, float] | None  # thickness where the space behind is wider
    heads: str = "lintel lintel soffit none"
    wet: bool = True
    weight: int = 2


KINDS: dict[str, Kind] = {
    "shower with a curb": Kind((720, 1500), (1850, 2150), "curb", (0, 0), (700, 1100), None, weight=11),
    "walk-in shower": Kind((700, 1500), (1950, 2200), "floor saddle floor", (0, 0), (800, 1500), None, weight=5),
    "tub alcove": Kind((1350, 1720), (1350, 1650), "tub", (0, 0), (680, 820), None, weight=5),
    "wet room": Kind((680, 1050), (1900, 2150), "saddle floor curb", (0, 0), (1400, 2000), (70, 220), weight=3),
    "over a half wall": Kind((600, 1400), (800, 1250), "sill", (850, 1200), (900, 1500), (80, 180), weight=3),
    "steam shower": Kind((650, 1000), (1700, 2000), "curb saddle", (0, 0), (900, 1300), None, "lintel", weight=2),
    "wall niche": Kind((320, 950), (280, 700), "sill", (900, 1250), (80, 160), None, "lintel", weight=3),
    "window over the tub": Kind((550, 1250), (550, 1150), "sill", (900, 1200), (90, 280), None, "lintel", weight=2),
    "mirror recess": Kind((450, 1250), (550, 1000), "sill", (950, 1150), (30, 140), None, "lintel", weight=2),
    "closet recess": Kind((750, 1150), (1900, 2150), "floor saddle", (0, 0), (700, 1200), None, weight=2),
    "laundry recess": Kind((640, 950), (900, 2000), "floor saddle", (0, 0), (650, 800), None, "lintel none", weight=1),
    "basin alcove": Kind((850, 1500), (1000, 1300), "sill", (820, 900), (450, 620), None, weight=2),
    "doorway": Kind((680, 950), (1950, 2120), "floor saddle", (0, 0), (1700, 2000), (90, 260), "lintel lintel none", False, 3),
    "window recess": Kind((600, 1500), (700, 1400), "sill", (450, 950), (90, 400), None, "lintel", False, 2),
    "pass-through": Kind((600, 1400), (450, 950), "sill", (900, 1150), (1600, 2000), (90, 250), "lintel", False, 2),
    "glazed porch": Kind((900, 1600), (1950, 2150), "saddle floor", (0, 0), (900, 1500), None, "lintel soffit", False, 1),
    "fireplace": Kind((550, 1100), (600, 950), "floor saddle", (0, 0), (250, 450), None, "lintel", False, 1),
    "wardrobe": Kind((700, 1500), (1900, 2200), "floor saddle curb", (0, 0), (450, 650), None, "lintel soffit", False, 1),
    "book niche": Kind((600, 1200), (700, 1900), "sill", (150, 800), (180, 320), None, "lintel", False, 1),
}


@dataclass(frozen=True)
class Plan:
    """Sizes in the opening's frame: z = 0 is the face, y = 0 the left foot of the opening."""

    kind: str
    wet: bool
    opening: Opening
    head: str
    bottom: str
    floor_y: float
    ceiling_y: float
    inner_floor_y: float
    inner_ceiling_y: float
    beyond: tuple[float, float]
    length: float
    depth: float
    wall: float | None  # thickness if the space behind is wider
    wider: tuple[float, float]
    lintel: float
    ledge_depth: float
    nose: tuple[float, float] | None  # height of a slab's front, how far the body stands back
    profiles: dict[str, Profile]
    surfaces: dict[str, Surface]
    names: dict[str, str]
    dado_y: float | None
    band: tuple[float, float] | None  # the face's tiles end this far from the edge, what is beyond lies this much deeper
    skirting: float = 0.0
    made: dict[str, object] = field(default_factory=dict)


def kind_of(rng: np.random.Generator) -> str:
    wet = rng.random() < 0.75
    names = [name for name, kind in KINDS.items() if kind.wet == wet for _ in range(kind.weight)]
    return str(finishes.pick(rng, names))


def clipped(rng: np.random.Generator, spread: float, limit: float) -> float:
    return round(float(np.clip(rng.normal(0, spread), -limit, limit)), 3)


def _opening(rng: np.random.Generator, kind: Kind, head: str, bottom: str) -> Opening:
    tall = float(rng.uniform(*kind.height))
    level = clipped(rng, 1.5, 5) * (bottom not in ("floor", "saddle"))
    return Opening(
        width_mm=round(float(rng.uniform(*kind.width)), 1),
        height_mm=round(tall * (0.82 if head == "none" and tall > 1500 else 1.0), 1),
        lean_left=clipped(rng, 2.3, 7),
        lean_right=clipped(rng, 2.3, 7),
        bow_left_mm=clipped(rng, 1.1, 3.5),
        bow_right_mm=clipped(rng, 1.1, 3.5),
        curb_level=level,
        head_slope=clipped(rng, 1.5, 5) * (head != "soffit"),
        head=head != "none",
    )


def draw(rng: np.random.Generator, layout: str, name: str) -> Plan:
    kind = KINDS[name]
    head = str(finishes.pick(rng, kind.heads.split()))
    bottom = str(finishes.pick(rng, kind.bottoms.split()))
    opening = _opening(rng, kind, head, bottom)
    low = {"curb": rng.uniform(50, 220), "tub": rng.uniform(440, 610), "saddle": rng.uniform(4, 25), "floor": 0.0}.get(bottom)
    low = float(rng.uniform(*kind.low) if low is None else low)
    top = float(opening.corners[2:, 1].max())
    ceiling = max(top + float(rng.uniform(120, 450)), float(rng.uniform(2250, 2650)) - low)
    ceiling = top if head == "soffit" else ceiling
    least = 330.0 if layout in ("sheet", "letters") else 190.0
    least += float(rng.choice([0, 120]))
    beyond = tuple(float(rng.uniform(least, least + 900)) for _ in range(2))
    depth = float(rng.uniform(*kind.depth))
    wall = float(rng.uniform(*kind.wall)) if kind.wall else None
    shallow = depth < 500 and wall is None
    lintel = depth if shallow else float(wall or min(rng.uniform(70, 220), depth))
    inner_top = top + float(rng.uniform(0, 1)) * (ceiling - top)
    surfaces, names = _finishes(rng, kind, bottom)
    profiles = _profiles(rng, bottom, kind)
    ledge = depth if shallow and bottom == "sill" else float(wall or rng.uniform(70, 150))
    if name == "basin alcove":
        ledge = depth
    dado, band = _zones(rng, -low, least)
    return Plan(
        kind=name, wet=kind.wet, opening=opening, head=head, bottom=bottom, floor_y=-low, ceiling_y=ceiling,
        inner_floor_y=-low + {"tub": float(rng.uniform(60, 140)), "curb": -8.0}.get(bottom, 0.0),
        inner_ceiling_y=inner_top, beyond=beyond, length=float(rng.uniform(3500, 4600)), depth=depth, wall=wall,
        wider=tuple(float(rng.uniform(100, 900)) for _ in range(2)) if wall else (0.0, 0.0),
        lintel=lintel, ledge_depth=min(ledge, depth),
        nose=(float(rng.uniform(15, 45)), float(rng.uniform(4, 25)))
        if bottom in ("curb", "tub") and rng.random() < 0.5 else None,
        profiles=profiles, surfaces=surfaces, names=names, dado_y=dado, band=band,
        skirting=float(rng.choice([0, 0, 70, 100, 140])),
    )  # fmt: skip


def _zones(rng: np.random.Generator, floor_y: float, least: float) -> tuple[float | None, tuple[float, float] | None]:
    way = rng.random()
    if way < 0.22:
        return floor_y + float(rng.uniform(850, 1500)), None
    if way < 0.42:
        return None, (float(rng.uniform(least, least + 350)), float(finishes.pick(rng, (0.0, 6.0, 9.0, 12.0))))
    return None, None


def _finishes(rng: np.random.Generator, kind: Kind, bottom: str) -> tuple[dict[str, Surface], dict[str, str]]:
    """Every part's material; names for the record."""
    made: dict[str, finishes.Named] = {"face": finishes.wall(rng, kind.wet and bool(rng.random() < 0.6))}
    same = rng.random()
    made["reveal"] = made["face"] if same < 0.45 else finishes.wall(rng, kind.wet)
    if 0.45 <= same < 0.6:
        made["reveal"] = ("equal grey", _equal_grey(rng, made))
    made["back"] = made["reveal"] if rng.random() < 0.5 else finishes.wall(rng, kind.wet)
    made["lower"] = finishes.wall(rng, True)
    made["outer"] = ("paint", finishes.named_wall(rng, "paint"))
    made["ledge"] = made["reveal"] if rng.random() < 0.3 else finishes.ledge(rng)
    made["front"] = made["ledge"] if rng.random() < 0.5 else finishes.ledge(rng)
    if bottom == "sill":
        made["front"] = made["face"]
    if bottom == "tub":
        white = s.plain((0.82, 0.82, 0.8), 0.08)
        made["ledge"] = ("enamel", white)
        made["front"] = finishes.pick(rng, (made["face"], ("enamel", white), ("boards", finishes.named_wall(rng, "boards"))))
    made["floor"] = finishes.floor(rng, kind.wet)
    made["inner floor"] = made["floor"] if rng.random() < 0.4 else finishes.floor(rng, kind.wet)
    if bottom == "floor" and rng.random() < 0.6:
        made["inner floor"] = finishes.floor(rng, True)
    made["ceiling"] = ("paint", s.paint(rng, (0.78, 0.78, 0.76)))
    made["inner ceiling"] = finishes.wall(rng, bool(rng.random() < 0.5))
    made["walls"] = ("paint", s.paint(rng, finishes.tint(rng, 0.05)))
    made["trim"] = ("paint", s.plain(finishes.tint(rng, 0.25), 0.3))
    return {key: value[1] for key, value in made.items()}, {key: value[0] for key, value in made.items()}


def _equal_grey(rng: np.random.Generator, made: dict[str, finishes.Named]) -> Surface:
    """Paint on both sides of the arris, equally light, of different hue: the face is repainted too."""
    grey = float(rng.uniform(0.15, 0.6))
    colours = []
    for _ in range(2):
        rgb = np.array(finishes.tint(rng, 0.3))
        colours.append(tuple(float(c) for c in np.clip(rgb * grey / float(rgb @ [0.2126, 0.7152, 0.0722]), 0.02, 0.85)))
    made["face"] = ("paint", s.paint(rng, colours[0]))
    return s.paint(rng, colours[1])


def _profiles(rng: np.random.Generator, bottom: str, kind: Kind) -> dict[str, Profile]:
    name = str(finishes.pick(rng, edges.KINDS))
    made = edges.draw(rng, name)
    left = right = head = made
    way = rng.random()
    if way < 0.15:
        right = edges.draw(rng, str(finishes.pick(rng, edges.KINDS)))
    elif way < 0.25:
        left = edges.draw(rng, str(finishes.pick(rng, edges.KINDS)))
    if rng.random() < 0.35 or name in ("glass block end",):
        head = edges.draw(
            rng,
            str(
                finishes.pick(
                    rng, ("sharp", "eased", "bullnose", "metal trim", "plastic quadrant", "timber lining", "stone jamb")
                )
            ),
        )
    low = ("sharp", "eased", "bullnose", "chamfer", "metal trim", "mitre joint", "plastic quadrant", "silicone", "edge tiles")
    if bottom == "tub":
        low = ("bullnose", "bullnose", "eased", "sharp", "chamfer")
    foot = edges.draw(rng, str(finishes.pick(rng, low)))
    if bottom == "sill" and rng.random() < 0.35 and made.casing is None and name != "glass block end":
        foot = made
    return {"left": left, "right": right, "head": head, "curb": foot if bottom not in ("floor", "saddle") else Profile("sharp")}
