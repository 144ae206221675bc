"""The tenth rooms' draws: what opening, which edges, whose walls, which references, where the phone was held."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sample_images.studio.camera import Camera, aimed, focal_px
from sample_images.studio.opening import Opening
from sample_images.studio.sizes import NOMINAL_MM, true_size
from sample_images.studio.surfaces import lacquer, metal, plain
from sample_images.studio.things import PlumbLine

from . import tenth_finish as make
from .tenth_raster import CARD_PRINTS, SHEET_PRINTS, Phone, card_print, sheet_print, some_phone
from .tenth_things import Reference
from .tenth_walls import RAMP_MM, SECTIONS, Finishes, Site

SEED = 10260517
LAYOUTS = ("sheet", "opposite", "four", "letters")
NAMES = tuple(f"tenth_{layout}_{k:02d}" for layout in LAYOUTS for k in range(1, 9))
DECK = ["shower"] * 11 + ["tub"] * 6 + ["hall"] * 4 + ["dark"] * 2 + ["wardrobe"] * 3 + ["window"] * 3 + ["mirror"] * 3
EDGES = {
    "shower": (
        "cut tile edge", "mitred tile", "bullnose tile", "square metal profile", "stone surround", "quarter-round metal profile",
        "tile returning into the opening", "generic step profile", "silicone joint at a metal angle", "plaster bead",
        "sharp painted plaster",
    ),
    "tub": (
        "square metal profile", "bullnose tile", "tile returning into the opening", "cut tile edge", "mitred tile",
        "quarter-round metal profile",
    ),
    "hall": ("door lining with face trim", "flat casing, painted", "plaster bead", "sharp painted plaster"),
    "dark": ("door lining with face trim", "stone surround"),
    "wardrobe": ("flat casing, painted", "sharp painted plaster", "silicone joint at a metal angle"),
    "window": ("plaster bead", "mitred tile", "sharp painted plaster"),
    "mirror": ("generic step profile", "cut tile edge", "quarter-round metal profile"),
}  # fmt: skip
TILED = ("cut tile edge", "mitred tile", "bullnose tile")
ROUNDED_MM = {"plaster bead": 2.5, "bullnose tile": 8.0, "quarter-round metal profile": 9.0}
WIDTHS = {
    "shower": (720, 1450), "tub": (1440, 1680), "hall": (690, 960), "dark": (690, 960), "wardrobe": (900, 1500),
    "window": (750, 1450), "mirror": (800, 1400),
}  # fmt: skip
HEIGHTS = {"tub": (1320, 1560), "window": (820, 1250), "mirror": (780, 1120)}
DEPTHS = {
    "shower": (760, 1000), "tub": (700, 780), "hall": (110, 210), "dark": (110, 210), "wardrobe": (540, 620),
    "window": (100, 250), "mirror": (45, 110),
}  # fmt: skip
MOODS = ("panels", "daylight left", "daylight right", "downlights", "warm and cool", "flash")
Rng = np.random.Generator
RGB = tuple[float, float, float]


@dataclass(frozen=True)
class Room:
    """One photograph, ready to be built."""

    name: str
    layout: str
    attempt: int
    edge: str
    site: Site
    references: tuple[Reference, ...]
    options: tuple[str, ...]
    plumb_line: PlumbLine | None
    camera: Camera
    equivalent_mm: float
    phone: Phone
    mood: str
    seed: int


def _behind_and_edge(number: int) -> tuple[str, str]:
    """Dealt once for all rooms, so that every kind of edge occurs."""
    deck = list(np.random.default_rng([SEED, 1]).permutation(DECK))
    behind = str(deck[number])
    return behind, EDGES[behind][deck[:number].count(behind) % len(EDGES[behind])]


def plan(name: str, attempt: int) -> Room | None:
    """A room, or None where what has to be seen does not fit into the picture."""
    number = NAMES.index(name)
    layout = LAYOUTS[number // 8]
    rng = np.random.default_rng([SEED, 2, number, attempt])
    behind, edge = _behind_and_edge(number)
    site = _site(rng, behind, edge)
    kinds = _kinds(layout, rng)
    references, options, dish = _references(rng, layout, site, kinds)
    site = Site(**{**site.__dict__, "dish_mm": dish})
    line = _line(rng, site) if number % 2 == 0 else None
    wide = number in (5, 22)
    seen = _camera(rng, site, references, 20.0 if wide else float(rng.uniform(24, 28)))
    if seen is None:
        return None
    camera, equivalent = seen
    order = sorted(range(len(references)), key=lambda i: tuple(camera.project(references[i].outline()).mean(axis=0)))
    words = [w for n, i in enumerate(order, 1) for w in ("--card", options[i].replace("#", f"#{n}", 1))]
    return Room(
        name, layout, attempt, edge, site, tuple(references[i] for i in order), tuple(words), line,
        camera, equivalent, some_phone(rng), str(rng.choice(MOODS)), int(rng.integers(1, 2**30)),
    )  # fmt: skip


def _site(rng: Rng, behind: str, edge: str) -> Site:
    section = SECTIONS[edge]
    plain_head = behind in ("shower", "tub") and edge != "stone surround" and rng.random() < 0.3
    width, height = float(rng.uniform(*WIDTHS[behind])), float(rng.uniform(*HEIGHTS.get(behind, (1920, 2100))))
    base = {"tub": "tub", "hall": "saddle", "dark": "saddle", "wardrobe": "curb"}.get(behind, "")
    base = base or str(rng.choice(["curb", "cap"] if behind == "shower" else ["board", "board", "flush"]))
    up = {"curb": (45, 140), "cap": (70, 150), "tub": (470, 560), "saddle": (12, 24)}.get(base, (820, 950))
    floor = -float(rng.uniform(*up))
    lean = rng.normal(0, 2.2, 2) if rng.random() < 0.65 else rng.uniform(-8, 8, 2)
    opening = Opening(
        round(width, 1), round(height, 1), *(round(float(v), 2) for v in np.clip(lean, -8, 8)),
        *(round(float(v), 2) for v in np.clip(rng.normal(0, 1.1, 2), -3, 3)),
        *(round(float(v), 2) for v in np.clip(rng.normal(0, 2.0, 2), -6, 6)),
    )  # fmt: skip
    reach = section[0][1][0][0] if section else 0.0
    overhang = {"cap": (7, 18), "board": (8, 32)}.get(base, (0, 0))
    horned = (base == "cap" and rng.random() < 0.5) or (base == "board" and rng.random() < 0.7)
    last = section[-1][1][-1][1] if section else 0.0
    returns = edge == "tile returning into the opening"
    dado = rng.random() < 0.22 and edge not in TILED
    return Site(
        opening, section, () if plain_head else section, base, behind, floor,
        max(floor + float(rng.uniform(2350, 2650)), height + 170), tuple(rng.uniform(560, 1250, 2)),  # type: ignore[arg-type]
        3700.0, max(float(rng.uniform(*DEPTHS[behind])), 8 - last),
        {"tub": 75.0, "saddle": 120.0, "board": 400.0, "flush": 400.0}.get(base, float(rng.uniform(85, 130))),
        float(rng.uniform(*overhang)), reach + float(rng.uniform(18, 50)) if horned else 0.0, float(rng.uniform(18, 38)),
        dado_y=height * float(rng.uniform(0.35, 0.6)) if returns or dado else None, dado_returns=returns,
        rounded_mm=ROUNDED_MM.get(edge, 0.0), lowered=behind != "shower" or rng.random() < 0.4,
    )  # fmt: skip


def _kinds(layout: str, rng: Rng) -> list[str]:
    paper = "a4" if rng.random() < 0.5 else "letter"
    return {"sheet": [paper], "letters": [paper, paper], "opposite": ["id-1"] * 2, "four": ["id-1"] * 4}[layout]


def _references(rng: Rng, layout: str, site: Site, kinds: list[str]) -> tuple[list[Reference], list[str], float]:
    """What is stuck to the wall, its options with a # for the number, and how far the face stands before the opening's plane."""
    height, found, options = site.opening.height_mm, [], []
    side = int(rng.choice([-1, 1]))
    spots = {
        "sheet": [(side, rng.uniform(0.25, 0.75) * height)],
        "four": [(s, t) for s in (-1, 1) for t in (0.0, 1.0)],
    }.get(layout, [(side, 0.0), (-side, 1.0)])
    common, own = rng.normal(0, 0.35), rng.normal(0, 0.35, len(kinds))
    back = 9.0
    for (where, level), kind, extra in zip(spots, kinds, own, strict=True):
        true = true_size(kind, rng)
        upright = rng.random() < (0.8 if kind != "id-1" else 0.2)
        size = (min(true), max(true)) if upright else (max(true), min(true))
        low = max(site.floor_y + 95 + size[1] / 2, size[1] * 0.3)
        y = low + rng.uniform(10, 230) if level == 0 else height - rng.uniform(-40, 260) - size[1] * 0.3
        y = level if layout == "sheet" else y
        clear = max(site.reach_mm + RAMP_MM, site.horns_mm) + 10 + rng.uniform(4, 70) + size[0] / 2
        x = -clear if where < 0 else site.opening.width_mm + clear
        thick = 0.1 if kind != "id-1" else float(rng.choice([0.76, 0.76, 0.5, 0.9]))
        bend = float(rng.uniform(0.2, 0.8)) if kind != "id-1" and rng.random() < 0.5 else 0.0
        front = -float(common + extra)
        back = min(back, front - thick - bend - 0.02)
        stated = [round(s + rng.normal(0, 0.15), 2) for s in true]
        options.append(f"{kind}#@0+-0.5={stated[0]:g}x{stated[1]:g}mm+-0.15")
        tape = make.paint(rng, (0.72, 0.64, 0.45)) if rng.random() < 0.4 else lacquer((0.6, 0.6, 0.58), 0.15)
        turn, taped = float(np.clip(rng.normal(0, 1.6), -4, 4)), kind != "id-1" or rng.random() < 0.5
        found.append(Reference(
            kind, size, (float(x), float(y)), turn, front, thick, _face(rng, kind, size),
            tape if taped else None, bool(rng.random() < 0.7), bend, float(rng.uniform(0, 6)),
        ))  # fmt: skip
    return found, options, back


def _face(rng: Rng, kind: str, size: tuple[float, float]) -> make.Surface:
    if kind == "id-1":
        picture = card_print(rng, str(rng.choice(CARD_PRINTS)))
        picture = picture if size[0] > size[1] else np.rot90(picture)
        return make.glossy(picture[::-1], NOMINAL_MM[kind], 0.28, "clamp")
    picture = sheet_print(rng, str(rng.choice(SHEET_PRINTS)), size)
    held = {"type": "diffuse", "reflectance": make.bitmap(picture[::-1], "clamp")}
    return make.Surface(held, size)


def _line(rng: Rng, site: Site) -> PlumbLine:
    before = max((z for _, run in site.section for _, z in run), default=0.0)
    colours = [(0.02, 0.02, 0.02), (0.75, 0.75, 0.72), (0.7, 0.22, 0.03), (0.05, 0.1, 0.4)]
    top = min(site.opening.height_mm + site.head_reach_mm + float(rng.uniform(30, 90)), site.ceiling_y - 20)
    return PlumbLine(
        float(rng.uniform(0.22, 0.78)) * site.opening.width_mm, top, float(rng.uniform(50, 200)),
        plain(colours[int(rng.integers(4))]), max(3.5, before + 2.5), float(rng.uniform(1.3, 2.4)),
    )  # fmt: skip


def _camera(rng: Rng, site: Site, references: list[Reference], equivalent: float) -> tuple[Camera, float] | None:
    """A hand-held phone that sees everything with a margin."""
    o = site.opening
    needed = np.concatenate([np.column_stack([o.corners, np.zeros(4)]), *(r.outline() for r in references)])
    low, high = needed.min(axis=0), needed.max(axis=0)
    lies = high[0] - low[0] > (high[1] - low[1]) * rng.uniform(0.95, 1.12)
    w, h = (4032, 3024) if lies else (3024, 4032)
    wide = equivalent < 23
    for turn in range(60):
        far = float(np.clip(rng.normal(2350 if wide or o.height_mm < 1300 else 2560 + 4 * turn, 190), 2000, 3200))
        angle = float(np.clip(rng.normal(0, 9), -22, 22))
        x = (low[0] + high[0]) / 2 + far * np.tan(np.radians(angle)) + rng.normal(0, 60)
        x = np.clip(x, 160 - site.beyond_mm[0], o.width_mm + site.beyond_mm[1] - 160)
        y = max(site.floor_y + rng.uniform(1000, 1560), rng.uniform(130, 300))
        place = np.array([x, y, far])
        target = np.array([(low[0] + high[0]) / 2 + rng.normal(0, 60), (low[1] + high[1]) / 2 + rng.normal(0, 60), 0.0])
        camera = Camera(
            w, h, focal_px(equivalent, w, h) * float(1 + 0.02 * np.clip(rng.normal(), -2, 2)),
            (w - 1) / 2 + float(rng.normal(0, 10)), (h - 1) / 2 + float(rng.normal(0, 10)),
            float(rng.normal(-0.045, 0.008)) if wide else float(np.clip(rng.normal(0, 0.012), -0.03, 0.03)),
            float(rng.normal(0.012, 0.003)) if wide else float(rng.normal(0, 0.003)),
            place, aimed(place, target, float(np.clip(rng.normal(0, 1.5), -4, 4))),
        )  # fmt: skip
        seen = camera.project(needed)
        if (seen > 55).all() and (seen < [w - 56, h - 56]).all():
            return camera, equivalent
    return None


def _tone(rng: Rng, low: float, high: float, colour: float = 0.12) -> RGB:
    """A colour of a given lightness, warm or cool rather than green or purple."""
    tint = np.exp(
        rng.normal(0.4 * colour, colour) * np.array([1, 0, -1]) + rng.normal(0, 0.4 * colour) * np.array([-0.5, 1, -0.5])
    )
    return tuple(float(c) for c in np.clip(rng.uniform(low, high) * tint / tint.mean(), 0.01, 0.85))  # type: ignore[return-value]


BONDS = (
    make.Bond((200, 100), 2, 2), make.Bond((150, 75), 2, 2), make.Bond((75, 300), 2), make.Bond((400, 100), 2, 3),
    make.Bond((600, 1200), 2), make.Bond((600, 300), 2, 2), make.Bond((300, 600), 3), make.Bond((200, 200), 3),
    make.Bond((100, 100), 3), make.Bond((48, 48), 3), make.Bond((25, 25), 2), make.Bond((29, 29), 2.5, round=True),
)  # fmt: skip


def _tile(rng: Rng) -> make.Surface:
    bond = BONDS[int(rng.integers(12))]
    big = bond.size_mm[0] * bond.size_mm[1] > 60000
    stone = str(rng.choice(["marble", "terrazzo", "", "marble"])) if big else ""
    if bond.size_mm[0] < 50 and rng.random() < 0.5:
        stone = "two"
    rgb = _tone(rng, 0.05, 0.75, 0.05 if stone else float(rng.choice([0.05, 0.12, 0.3])))
    joint = _tone(rng, 0.55, 0.7, 0.03) if rng.random() < 0.6 else _tone(rng, 0.06, 0.35, 0.05)
    spread, rough = float(rng.choice([0.01, 0.03, 0.09])), float(rng.choice([0.08, 0.15, 0.3]))
    ware = make.Ware(rgb, joint, stone, spread, rough, _tone(rng, 0.1, 0.4))
    return make.tiles(rng, bond, ware)


def _wall(rng: Rng) -> make.Surface:
    kind = str(rng.choice(["paint", "paint", "paint", "plaster", "concrete", "paper", "boards"]))
    rgb = _tone(rng, 0.5, 0.72, 0.05) if rng.random() < 0.55 else _tone(rng, 0.05, 0.45, float(rng.choice([0.1, 0.28])))
    if kind == "paper":
        motif = str(rng.choice(["stripes", "leaves", "dots", "chevrons", "lattice"]))
        return make.wallpaper(rng, rgb, _tone(rng, 0.1, 0.6, 0.3), motif)
    if kind == "boards":
        return make.wood(rng, _tone(rng, 0.15, 0.5, 0.15), 0.35, float(rng.choice([95, 140])))
    return make.paint(rng, (0.36, 0.36, 0.35) if kind == "concrete" else rgb, kind)


def finishes(room: Room) -> Finishes:
    """What everything in the room is made of."""
    site, edge, rng = room.site, room.edge, np.random.default_rng([room.seed, 5])
    wet = site.behind in ("shower", "tub", "mirror")
    face = _tile(rng) if edge in TILED or (wet and "profile" in edge and rng.random() < 0.6) else _wall(rng)
    side = _tile(rng) if wet else _wall(rng)
    if (edge in ("mitred tile", "bullnose tile") or not wet) and rng.random() < 0.6:
        side = face
    timber = make.wood(rng, _tone(rng, 0.1, 0.4, 0.25), 0.3)
    white = lacquer(_tone(rng, 0.66, 0.8, 0.02), 0.25)
    stone = make.slab(rng, _tone(rng, 0.06, 0.75, 0.06), str(rng.choice(["marble", "terrazzo"])))
    metals = [
        metal(rgb, rough) for rgb, rough in (((0.74, 0.74, 0.75), 0.15), ((0.72, 0.71, 0.7), 0.35), ((0.7, 0.5, 0.24), 0.25))
    ]
    metals.append(lacquer((0.02, 0.02, 0.02), 0.3))
    enamel = lacquer((0.8, 0.8, 0.79), 0.1)
    base = {"tub": enamel, "saddle": timber if rng.random() < 0.6 else metals[1], "board": white if rng.random() < 0.4 else stone}
    floor = make.wood(rng, _tone(rng, 0.1, 0.35, 0.2), 0.35, 150.0) if rng.random() < 0.35 else _tile(rng)
    painted = edge == "flat casing, painted" or rng.random() < 0.35
    found = {
        "face": face, "side": side, "soffit": side, "back": _tile(rng) if wet else _wall(rng), "niche": _tile(rng),
        "biscuit": plain(_tone(rng, 0.3, 0.6, 0.2)), "grout": plain(_tone(rng, 0.1, 0.6, 0.04)),
        "nose": lacquer(_tone(rng, 0.1, 0.75, 0.15), 0.12), "trim": metals[int(rng.integers(4))],
        "silicone": plain(_tone(rng, 0.3, 0.75, 0.01)), "stone": stone, "wood": white if painted else timber,
        "base": base.get(site.base, timber if site.behind == "wardrobe" else stone), "riser": _tile(rng) if wet else timber,
        "tray": _tile(rng) if wet else floor, "floor": floor, "ceiling": plain((0.8, 0.8, 0.79)),
        "walls": make.paint(rng, _tone(rng, 0.45, 0.7, 0.06)), "dado": _tile(rng),
    }  # fmt: skip
    if site.dado_y is not None and not site.dado_returns and rng.random() < 0.6:
        found["dado"] = make.paint(rng, _tone(rng, 0.05, 0.5, 0.25))
    if rng.random() < 0.6 and edge not in TILED:
        found["skirting"] = white if rng.random() < 0.6 else timber
    if site.behind == "dark":
        found["back"], found["ceiling"] = make.paint(rng, (0.1, 0.1, 0.11)), plain((0.3, 0.3, 0.3))
    return found
