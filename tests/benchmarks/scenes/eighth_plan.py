"""What is drawn for each of the eighth rooms: kind, measures, edges, light, where the references hang, the camera."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from tests.benchmarks.scenes.eighth_walls import House, Opening, Profile, Sill, profile

from studio.camera import Camera, aimed, focal_px  # isort: skip  # on the path since eighth_looks

SEED = 8260419
LAYOUTS = {"sheet": 6, "opposite": 9, "four": 9, "letters": 6, "oneside": 4, "one": 2}
KINDS = ("shower",) * 13 + ("tub",) * 6 + ("doorway",) * 7 + ("window",) * 4 + ("mirror",) * 3 + ("recess",) * 3
LIGHTS = ("ceiling", "window", "flash", "mixed", "spots", "inside", "sconce") * 5 + ("window",)
EDGES = {
    "shower": ("sharp", "eased", "eased", "square", "square", "round"),
    "tub": ("sharp", "eased", "square", "round"),
    "doorway": ("wood", "wood", "eased"),
    "window": ("wood", "eased", "sharp", "square"),
    "mirror": ("wood", "square"),
    "recess": ("square", "eased", "sharp"),
}
NO_HEAD = (("four", 5), ("sheet", 2))
"""rooms that are open to the ceiling, when they are showers"""
NO_HEAD_INCHES = 76
MARGIN = 0.018
"""of the picture's long side: everything to be measured stays this far inside"""


@dataclass(frozen=True)
class Deal:
    """What a room is given from the common shuffle."""

    layout: str
    number: int
    kind: str
    light: str
    plumb: bool

    @property
    def name(self) -> str:
        return f"eighth_{self.layout}_{self.number:02d}"

    def rng_key(self, attempt: int) -> tuple[int, int, int, int]:
        return SEED, list(LAYOUTS).index(self.layout) + 1, self.number, attempt

    def rng(self, attempt: int) -> np.random.Generator:
        return np.random.default_rng(self.rng_key(attempt))


def deals() -> list[Deal]:
    """All rooms in a fixed order."""
    rng = np.random.default_rng([SEED, 99])
    kinds, lights = rng.permutation(KINDS), rng.permutation(LIGHTS)
    found: list[Deal] = []
    for layout, count in LAYOUTS.items():
        plumb = rng.permutation([i % 2 == 0 for i in range(count)])
        for number in range(1, count + 1):
            at = len(found)
            found.append(Deal(layout, number, str(kinds[at]), str(lights[at]), bool(plumb[number - 1])))
    return found


def cut(rng: np.random.Generator, sd: float, limit: float) -> float:
    """Normal about zero, drawn again beyond a limit."""
    while True:
        value = float(rng.normal(0, sd))
        if abs(value) <= limit:
            return round(value, 3)


def draw_opening(deal: Deal, rng: np.random.Generator) -> Opening:
    wide, high = {
        "shower": ((740, 1560), (1880, 2090)),
        "tub": ((1380, 1700), (1400, 1580)),
        "doorway": ((680, 960), (1930, 2090)),
        "window": ((700, 1350), (850, 1350)),
        "mirror": ((700, 1400), (800, 1200)),
        "recess": ((700, 1300), (700, 1300)),
    }[deal.kind]
    head = not (deal.kind == "shower" and (deal.layout, deal.number) in NO_HEAD)
    small = 0.55 if deal.kind in ("mirror", "recess") else 1.0
    return Opening(
        round(float(rng.uniform(*wide)), 2),
        round(float(rng.uniform(*high)), 2) if head else NO_HEAD_INCHES * 25.4,
        lean_left=cut(rng, 4.0 * small, 11.0),
        lean_right=cut(rng, 4.0 * small, 11.0),
        bow_left_mm=cut(rng, 2.0 * small, 5.0),
        bow_right_mm=cut(rng, 2.0 * small, 5.0),
        curb_level=cut(rng, 3.0 * small, 8.0),
        head_slope=cut(rng, 2.5 * small, 7.0),
        head=head,
    )


def draw_house(deal: Deal, rng: np.random.Generator) -> House:
    """All measures; the finishes are filled in later."""
    kind, opening = deal.kind, draw_opening(deal, rng)
    thick, deep, wide = {
        "shower": (float(rng.uniform(80, 125)), float(rng.uniform(850, 1200)), float(rng.choice([0.0, 0.0, 180.0]))),
        "tub": (float(rng.uniform(75, 110)), float(rng.uniform(720, 800)), 0.0),
        "doorway": (float(rng.uniform(95, 150)), float(rng.uniform(1900, 2800)), float(rng.uniform(400, 900))),
        "window": (float(rng.uniform(110, 210)), 0.0, 0.0),
        "mirror": (float(rng.uniform(9, 22)), 0.0, 0.0),
        "recess": (float(rng.uniform(90, 140)), 0.0, 0.0),
    }[kind]
    edge = draw_profile(kind, rng, thick)
    above_floor = {
        "shower": float(rng.uniform(55, 160)),
        "tub": float(rng.uniform(520, 600)),
        "doorway": float(rng.uniform(14, 28)),
        "window": float(rng.uniform(780, 980)),
        "mirror": float(rng.uniform(850, 1000)),
        "recess": float(rng.uniform(650, 900)),
    }[kind]
    to_floor = kind in ("shower", "tub", "doorway")
    radius = float(rng.uniform(3.0, 8.0)) if kind == "tub" else float(rng.choice([0.0, rng.uniform(0.5, 2.0)]))
    sill = Sill(float(rng.uniform(18, 32)), thick + (float(rng.uniform(0, 25)) if to_floor else 0.0), round(radius, 2), to_floor)
    top = opening.height_mm + above_floor
    return House(
        kind=kind,
        opening=opening,
        profile=edge,
        sill=sill if kind != "doorway" else replace(sill, depth_mm=thick),
        floor_y=-above_floor,
        ceiling_y=max(top + float(rng.uniform(230, 420)), 2380.0) - above_floor,
        far=(-float(rng.uniform(520, 1100)), opening.width_mm + float(rng.uniform(520, 1100))),
        length_mm=4200.0,
        thick_mm=thick,
        depth_mm=deep,
        wide_mm=wide,
        bands=(),
        looks={},
    )


def draw_profile(kind: str, rng: np.random.Generator, thick: float) -> Profile:
    arris = str(rng.choice(EDGES[kind]))
    ease = round(float(rng.uniform(0.5, 2.0)), 2)
    size = {"square": rng.uniform(6, 12), "round": rng.uniform(5, 8), "wood": rng.uniform(18, 34)}.get(arris, 0.0)
    if arris == "square":
        ease = round(float(rng.uniform(0.2, 0.5)), 2)
        size = min(float(size), thick - 3.0)
    return profile(arris, round(float(size), 2), ease, thick)


def places(house: House, deal: Deal, size: tuple[float, float], rng: np.random.Generator) -> list[tuple[float, float]]:
    """Centres of the references, beside the opening on the wall face."""
    opening, out = house.opening, house.profile.outside_mm
    high = opening.height_mm

    def at(left: bool, low: float, up: float) -> tuple[float, float]:
        room = (-house.far[0] if left else house.far[1] - opening.width_mm) - out - size[0] - 60
        gap = out + size[0] / 2 + float(rng.uniform(22, min(130, max(40, room))))
        y = float(rng.uniform(low, up))
        x = float(opening.left(np.array(y))) - gap if left else float(opening.right(np.array(y))) + gap
        return x, y

    half = size[1] / 2
    low = (half + 20, half + max(60, 0.16 * high))
    up = (high - half - max(70, 0.16 * high), high - half - 15)
    side = bool(rng.random() < 0.5)
    if deal.layout in ("opposite", "letters"):
        return [at(side, *low), at(not side, *up)]
    if deal.layout == "four":
        return [at(True, *low), at(True, *up), at(False, *low), at(False, *up)]
    if deal.layout == "oneside":
        return [at(side, *low), at(side, *up)]
    return [at(side, 0.25 * high, 0.75 * high)]


def draw_camera(house: House, must: np.ndarray, rng: np.random.Generator) -> tuple[Camera, int] | None:
    """A hand-held phone that has everything in its picture, and its stated focal length; None when none was found."""
    for _ in range(500):
        equivalent = int(rng.integers(24, 29))
        span = np.ptp(must[:, :2], axis=0)
        landscape = bool(span[0] > span[1] * 0.95) or bool(span[0] > 0.8 * span[1] and rng.random() < 0.5)
        width, height = (4032, 3024) if landscape else (3024, 4032)
        distance = float(rng.uniform(2000, 3000))
        turn = np.radians(float(np.clip(rng.normal(0, 6.5), -17, 17)))
        middle = (must.max(axis=0) + must.min(axis=0)) / 2
        place = np.array([middle[0] + distance * np.tan(turn), house.floor_y + rng.uniform(1150, 1620), distance])
        aim = np.array([middle[0] + rng.normal(0, 50), middle[1] + rng.normal(0, 50), 0.0])
        if not house.far[0] + 250 < place[0] < house.far[1] - 250:
            continue
        camera = Camera(
            width=width,
            height=height,
            f_px=focal_px(equivalent, width, height) * (1 + float(np.clip(rng.normal(0, 0.012), -0.03, 0.03))),
            cx=(width - 1) / 2 + float(rng.uniform(-18, 18)),
            cy=(height - 1) / 2 + float(rng.uniform(-18, 18)),
            k1=round(float(rng.uniform(-0.05, 0.03)), 6),
            k2=round(float(np.clip(rng.normal(0, 0.012), -0.05, 0.03)), 6),
            position_mm=place,
            rotation=aimed(place, aim, float(np.clip(rng.normal(0, 1.1), -3, 3))),
        )
        pixels = camera.project(must)
        edge = MARGIN * 4032
        if (pixels > edge).all() and (pixels < np.array([width, height]) - edge).all():
            return camera, equivalent
    return None
