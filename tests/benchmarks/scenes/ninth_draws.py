"""The dice of the ninth rooms: from a seed to a plan. Ranges are those of an ordinary guest house and an ordinary phone."""

from __future__ import annotations

import numpy as np

from sample_images.studio.camera import Camera, aimed, focal_px
from sample_images.studio.opening import Opening

from .ninth_cards import draw_references, stated_options
from .ninth_plan import LAYOUTS, Edge, Phone, Plan, PlumbLine

SEED = 9470219
PER_LAYOUT = 8
KINDS = ("shower", "shower", "shower", "tub", "doorway", "window", "niche", "recess")
LENSES = {("opposite", 3): 35.0, ("letters", 6): 20.0}
GRAINY = {("four", 5), ("sheet", 7)}
INCH = 25.4
SLOPE_SD, SLOPE_MOST = 2.5, 8.0
EDGES = {
    "shower": (("sharp", 2), ("eased", 3), ("rounded", 2), ("bead", 3), ("trim", 2), ("tile edge", 2), ("lapped", 2)),
    "doorway": (("lining", 3), ("cased", 3), ("eased", 1), ("rounded", 1)),
    "window": (("lining", 2), ("cased", 1), ("eased", 2), ("rounded", 2), ("bead", 1)),
    "niche": (("sharp", 1), ("eased", 1), ("bead", 2), ("trim", 2), ("tile edge", 1)),
    "recess": (("eased", 3), ("rounded", 2), ("bead", 1), ("lining", 2)),
}


def draw(layout: str, number: int, attempt: int) -> Plan:
    """The plan of one room; a later attempt is another room of the same kind."""
    order = LAYOUTS.index(layout)
    kind = str(np.random.default_rng([SEED, order, 99]).permutation(KINDS)[number - 1])
    seed = (SEED, order, number, attempt)
    rng = np.random.default_rng([*seed, 0])
    opening, floor_y, ceiling_y = _opening(rng, kind)
    edge = _edge(rng, kind)
    references = draw_references(rng, layout, opening, edge, kind)
    camera, phone = _camera(rng, (layout, number), opening, floor_y, references)
    depth = {"window": (90, 200), "niche": (90, 160), "doorway": (100, 150)}.get(kind, (90, 150))
    inner = {"niche": 0.0, "doorway": 2400.0, "window": 0.0, "recess": rng.uniform(420, 650)}.get(kind, rng.uniform(620, 950))
    return Plan(
        name=f"ninth_{layout}_{number:02d}",
        layout=layout,
        kind=kind,
        seed=seed,
        opening=opening,
        edge=edge,
        curb_radius=float(rng.choice([0.3, 0.8, 1.5])),
        floor_y=floor_y,
        ceiling_y=ceiling_y,
        wall_depth=float(rng.uniform(*depth)),
        inner_depth=float(inner),
        inner_wider=(0.0, 0.0)
        if rng.random() < 0.6 or kind == "tub"
        else (float(rng.uniform(30, 300)), float(rng.uniform(30, 300))),
        room=_room(rng, opening, camera),
        light=str(
            rng.choice(
                ["window left", "window right", "ceiling", "spots", "mixed", "evening"], p=[0.22, 0.2, 0.2, 0.13, 0.17, 0.08]
            )
        ),
        dado_y=float(floor_y + rng.uniform(900, 1300))
        if kind in ("shower", "recess", "doorway") and rng.random() < 0.15
        else None,
        camera=camera,
        phone=phone,
        references=references,
        plumb=_plumb(rng, number, opening, kind, ceiling_y),
        options=_options(rng, layout, opening, references, camera),
        unit="mm" if rng.random() < 0.35 else "in",
    )


def _opening(rng: np.random.Generator, kind: str) -> tuple[Opening, float, float]:
    low, high = {
        "shower": ((700, 1900), (1500, 2150)),
        "tub": ((1400, 1350), (1700, 1650)),
        "doorway": ((620, 1950), (950, 2100)),
        "window": ((550, 400), (1400, 1300)),
        "niche": ((550, 400), (1150, 1200)),
        "recess": ((800, 1850), (1700, 2150)),
    }[kind]
    sill = {"shower": (80, 150), "tub": (470, 560), "doorway": (12, 22), "window": (750, 1050), "niche": (750, 1050)}.get(
        kind, (15, 70)
    )
    head = not (kind in ("shower", "recess") and rng.random() < 0.3)
    floor_y = -float(rng.uniform(*sill))
    height = float(rng.uniform(low[1], high[1])) if head else INCH * float(rng.integers(70, 79))
    lean = np.clip(rng.normal(0, SLOPE_SD, 2), -SLOPE_MOST, SLOPE_MOST)
    level = np.clip(rng.normal(0, 2.0, 2), -6, 6)
    bow = np.clip(rng.normal(0, 2.0, 2), -5, 5) * min(1.0, height / 1200)
    opening = Opening(
        width_mm=round(float(rng.uniform(low[0], high[0])), 2),
        height_mm=round(height, 2),
        lean_left=round(float(lean[0]), 3),
        lean_right=round(float(lean[1]), 3),
        bow_left_mm=round(float(bow[0]), 3),
        bow_right_mm=round(float(bow[1]), 3),
        curb_level=round(float(level[0]), 3),
        head_slope=round(float(level[0] * 0.3 + level[1] * 0.7), 3) if head else 0.0,
        head=head,
    )
    above = max(2350.0, height - floor_y + 160) + rng.uniform(20, 300) if head else rng.uniform(3050, 3300)
    return opening, floor_y, floor_y + float(above)


def _edge(rng: np.random.Generator, kind: str) -> Edge:
    names, weights = zip(*EDGES.get(kind, EDGES["shower"]), strict=True)
    name = str(rng.choice(names, p=np.array(weights) / sum(weights)))
    small = round(float(rng.uniform(0.2, 0.7)), 2)
    proud = round(float(rng.uniform(0.3, 1.5)), 2) if rng.random() < 0.4 else 0.0
    if name == "sharp":
        return Edge(name)
    if name == "eased":
        return Edge(name, round(float(rng.uniform(0.4, 1.2)), 2))
    if name == "rounded":
        return Edge(name, round(float(rng.uniform(1.2, 3.0)), 2))
    if name == "bead":
        return Edge(name, small, round(float(rng.uniform(2.0, 4.0)), 2), 0.0, leg=round(float(rng.uniform(6, 12)), 1))
    if name == "trim":
        return Edge(name, small, round(float(rng.uniform(7, 13)), 2), proud, leg=round(float(rng.uniform(8, 12)), 1))
    if name == "tile edge":
        joint = round(float(rng.uniform(1.5, 3.0)), 2)
        return Edge(name, small, round(float(rng.uniform(6.5, 10.5)), 2), joint=joint)
    if name == "lapped":
        return Edge(name, small, joint=round(float(rng.uniform(1.5, 3.0)), 2), leg=round(float(rng.uniform(7, 11)), 2))
    width, round_ = round(float(rng.uniform(16, 32)), 2), round(float(rng.uniform(0.4, 1.6)), 2)
    if name == "lining":
        return Edge(name, round_, width, proud)
    board = (float(rng.uniform(8, 13)), float(rng.uniform(45, 75)), float(rng.uniform(9, 14)))
    return Edge(name, round_, width, 0.0, board=board)


def _camera(rng: np.random.Generator, which: tuple, opening: Opening, floor_y: float, references: tuple) -> tuple[Camera, Phone]:
    """Stands where everything that matters fits, held as people hold a phone."""
    corners = np.vstack([opening.corners, *[r.corners()[:, :2] for r in references]])
    low, high = corners.min(axis=0), corners.max(axis=0)
    span = high - low
    landscape = bool(span[0] > 1.05 * span[1]) if rng.random() < 0.75 else bool(rng.random() < 0.5)
    equivalent = LENSES.get(which, float(rng.choice([24, 25, 26, 26, 27, 28])))
    width, height = (4032, 3024) if landscape else (3024, 4032)
    f = focal_px(equivalent, width, height) * (1 + float(rng.normal(0, 0.006)))
    needed = 1.1 * max(span[0] * f / width, span[1] * f / height)
    distance = float(np.clip(max(needed + 60, np.clip(rng.normal(2600, 200), 1800, 3200)), 1800, 3200))
    if span.max() < 1500 or equivalent < 22:
        distance = float(np.clip(max(needed + 60, rng.uniform(1800, 2450)), 1800, 3200))
    aside = np.tan(np.radians(np.clip(rng.normal(0, 9), -20, 20))) * distance
    middle = (low + high) / 2
    eye = float(np.clip(rng.normal(1420, 130), 1100, 1700)) + floor_y
    eye += 0.45 * (middle[1] - eye)
    place = np.array([middle[0] + aside, eye, distance])
    slack = np.maximum(np.array([width, height]) * distance / f - 1.08 * span, 20) / 2
    aim = middle + np.clip(rng.normal(0, 0.3, 2), -0.8, 0.8) * np.minimum(slack, 220)
    wide = equivalent < 22
    camera = Camera(
        width=width,
        height=height,
        f_px=float(f),
        cx=(width - 1) / 2 + float(rng.uniform(-14, 14)),
        cy=(height - 1) / 2 + float(rng.uniform(-14, 14)),
        k1=float(rng.normal(-0.035 if wide else 0.004, 0.01)),
        k2=float(rng.normal(0.006 if wide else 0.0, 0.003)),
        position_mm=place,
        rotation=aimed(place, np.array([*aim, 0.0]), float(np.clip(rng.normal(0, 0.9), -2.5, 2.5))),
    )
    return camera, _phone(rng, which, equivalent, landscape)


def _phone(rng: np.random.Generator, which: tuple, equivalent: float, landscape: bool) -> Phone:
    grainy = which in GRAINY
    warm = float(rng.normal(0.015, 0.025))
    return Phone(
        equivalent_mm=equivalent,
        exposure=float(rng.normal(0.05, 0.17)),
        blur_px=float(rng.uniform(0.55, 0.95)),
        noise=float(rng.uniform(0.03, 0.04) if grainy else rng.uniform(0.004, 0.014)),
        denoise=float(rng.uniform(0.6, 0.9) if grainy else rng.uniform(1.2, 2.4)),
        sharpening=float(rng.uniform(0.35, 1.0)),
        halo_px=float(rng.uniform(0.8, 1.7)),
        contrast=float(rng.uniform(0.05, 0.3)),
        local=float(rng.uniform(0.05, 0.25)),
        evening=float(rng.uniform(0.15, 0.4)),
        balance=(1.0 + warm, 1.0, 1.0 - warm),
        quality=int(rng.integers(80, 96)),
        sideways=bool(not landscape and rng.random() < 0.6),
        shading=float(rng.uniform(0.02, 0.12)),
        glare=float(rng.uniform(0.004, 0.02)),
    )


def _room(rng: np.random.Generator, opening: Opening, camera: Camera) -> tuple[float, float, float]:
    x, z = camera.position_mm[0], camera.position_mm[2]
    left = max(float(rng.uniform(700, 1500)), 450 - x)
    right = max(float(rng.uniform(700, 1500)), x + 450 - opening.width_mm)
    return left, right, z + float(rng.uniform(500, 1500))


def _plumb(rng: np.random.Generator, number: int, opening: Opening, kind: str, ceiling_y: float) -> PlumbLine | None:
    share, z = float(rng.uniform(0.15, 0.85)), float(rng.uniform(3, 9))
    colour = str(rng.choice(["f0eee8", "1a1a1c", "e0641e", "d9c32b", "b8261f"]))
    thick, low = float(rng.uniform(1.2, 2.2)), float(rng.uniform(40, 110))
    over = float(rng.uniform(45, 110))
    if number % 2:
        return None
    top = float(opening.corners[:, 1].max()) + over if opening.head else ceiling_y - 2
    if opening.head and top > ceiling_y - 20:
        top = ceiling_y - 20
    return PlumbLine(round(share * opening.width_mm, 1), round(z, 1), round(top, 1), round(low, 1), round(thick, 2), colour)


def _options(rng: np.random.Generator, layout: str, opening: Opening, references: tuple, camera: Camera) -> tuple[str, ...]:
    found = stated_options(rng, layout, references, camera)
    if not opening.head:
        found += ["--no-head", "--height", f"{opening.height_mm / INCH:g} in"]
    return tuple(found)
