"""What a fifth room is: kind of place, opening, corners, light, camera; all drawn from the seed, the layout and the number."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .fifth_studio import Array, Triple

from studio.camera import Camera, aimed, focal_px  # isort: skip
from studio.opening import Opening  # isort: skip

SEED = 550127
LAYOUTS = {"sheet": 9, "opposite": 9, "four": 9, "letters": 7, "one": 4}
PLACES = {"shower": 13, "tray": 6, "tub": 6, "halfwall": 3, "doorway": 5, "window": 3, "niche": 2}
CORNERS = {"sharp": 8, "rounded": 9, "profile": 9, "mitred": 6, "silicone": 6}
LIGHTS = ("ceiling", "window", "mirror", "flash", "mixed", "inside", "photographer", "spots")


@dataclass(frozen=True)
class Corner:
    """Section of an outer corner: a strip flush with the face, then a turn given as (into the opening, depth) from the edge."""

    kind: str
    strip_mm: float
    turn_mm: tuple[tuple[float, float], ...]
    edge_taken: str


@dataclass(frozen=True)
class Plan:
    name: str
    layout: str
    number: int
    attempt: int
    seed: int
    place: str
    light: str
    corner: Corner
    base: Corner
    opening: Opening
    base_mm: float  # height of the base above the floor
    base_depth_mm: float
    cap_mm: float  # height of the cap's front, 0: none
    reveal_mm: float
    head_depth_mm: float
    widen_mm: tuple[float, float]  # how much farther the inside reaches to the left and right
    depth_mm: float
    beyond_mm: tuple[float, float]
    ceiling_mm: float  # above the floor
    length_mm: float
    plumb: bool

    @property
    def floor_y(self) -> float:
        return -self.base_mm

    @property
    def ceiling_y(self) -> float:
        return self.ceiling_mm - self.base_mm


def rooms() -> list[tuple[str, int]]:
    return [(layout, number) for layout, count in LAYOUTS.items() for number in range(1, count + 1)]


def plan(layout: str, number: int, attempt: int = 0, seed: int = SEED) -> Plan:
    index = rooms().index((layout, number))
    place, corner_kind, light = (_dealt(seed)[k][index] for k in range(3))
    rng = np.random.default_rng([seed, list(LAYOUTS).index(layout), number, attempt])
    base_mm, height = _heights(place, rng)
    opening = _opening(place, height, rng)
    depth, reveal, head_depth, base_depth, widen = _depths(place, rng)
    return Plan(
        name=f"fifth_{layout}_{number:02d}",
        layout=layout,
        number=number,
        attempt=attempt,
        seed=int(rng.integers(1, 2**31)),
        place=place,
        light=light,
        corner=_corner(corner_kind, rng),
        base=_base(place, rng),
        opening=opening,
        base_mm=base_mm,
        base_depth_mm=base_depth,
        cap_mm=_cap(place, rng),
        reveal_mm=reveal,
        head_depth_mm=head_depth,
        widen_mm=widen,
        depth_mm=depth,
        beyond_mm=(float(rng.uniform(520, 1000)), float(rng.uniform(520, 1000))),
        ceiling_mm=max(float(rng.uniform(2330, 2620)), base_mm + height + 160),
        length_mm=float(rng.uniform(3500, 4200)),
        plumb=bool(rng.random() < 0.5),
    )


def _dealt(seed: int) -> tuple[list[str], list[str], list[str]]:
    """Places, corners and lights are dealt like cards, so that each number of them comes true."""
    rng = np.random.default_rng([seed, 99])
    total = len(rooms())
    lights = [LIGHTS[k % len(LIGHTS)] for k in range(total)]
    places, corners = ([kind for kind, count in deck.items() for _ in range(count)] for deck in (PLACES, CORNERS))
    for deck in (places, corners, lights):
        rng.shuffle(deck)
    return places, corners, lights


def _heights(place: str, rng: np.random.Generator) -> tuple[float, float]:
    """Height of the base above the floor and of the opening above that."""
    base, height = {
        "shower": ((75, 150), (1880, 2060)),
        "tray": ((28, 75), (1900, 2080)),
        "tub": ((470, 580), (1360, 1580)),
        "halfwall": ((840, 1060), (950, 1180)),
        "doorway": ((12, 28), (1960, 2090)),
        "window": ((800, 1080), (850, 1180)),
        "niche": ((780, 1020), (800, 1120)),
    }[place]
    return float(rng.uniform(*base)), float(rng.uniform(*height))


def _opening(place: str, height: float, rng: np.random.Generator) -> Opening:
    low, high = {
        "shower": (800, 1520),
        "tray": (760, 1350),
        "tub": (1380, 1680),
        "halfwall": (900, 1500),
        "doorway": (680, 960),
        "window": (700, 1300),
        "niche": (700, 1250),
    }[place]
    lean = [float(np.clip(rng.normal(0, 6.0 if rng.random() < 0.16 else 1.6), -8.5, 8.5)) for _ in range(2)]
    bow = [float(np.clip(rng.normal(0, 1.8 if rng.random() < 0.12 else 0.7), -3.5, 3.5)) for _ in range(2)]
    level = float(np.clip(rng.normal(0, 3.0 if rng.random() < 0.1 else 1.1), -6, 6))
    slope = float(np.clip(rng.normal(0, 3.0 if rng.random() < 0.1 else 1.4), -6, 6))
    return Opening(
        round(float(rng.uniform(low, high)), 1),
        round(height, 1),
        lean_left=round(lean[0], 3),
        lean_right=round(lean[1], 3),
        bow_left_mm=round(bow[0], 3),
        bow_right_mm=round(bow[1], 3),
        curb_level=round(level, 3),
        head_slope=round(slope, 3),
    )


def _depths(place: str, rng: np.random.Generator) -> tuple[float, float, float, float, tuple[float, float]]:
    """Inside depth, reveal of the sides, depth of the head, depth of the base, widening of the inside."""
    thick = float(rng.uniform(95, 180))
    if place in ("shower", "tray", "tub"):
        deep = float(rng.uniform(720, 860) if place == "tub" else rng.uniform(820, 1100))
        base = {"shower": (90, 140), "tray": (38, 70), "tub": (60, 95)}[place]
        alcove = rng.random() < 0.6  # the side walls run from the face to the back
        widen = (0.0, 0.0) if alcove else (float(rng.uniform(60, 400)), float(rng.uniform(60, 400)))
        return deep, deep if alcove else thick, thick, float(rng.uniform(*base)), widen
    if place in ("halfwall", "doorway"):
        return float(rng.uniform(900, 2200)), thick, thick, thick, (float(rng.uniform(150, 700)), float(rng.uniform(150, 700)))
    shallow = float(rng.uniform(110, 230))
    return shallow, shallow, shallow, shallow, (0.0, 0.0)


def _cap(place: str, rng: np.random.Generator) -> float:
    low, high = {"tray": (400, 401), "tub": (24, 60), "doorway": (400, 401)}.get(place, (18, 42))
    return float(rng.uniform(low, high))


def arc(radius: float, steps: int = 12) -> tuple[tuple[float, float], ...]:
    angles = np.radians(np.linspace(0, 90, steps + 1)[1:])
    return tuple((float(radius * np.sin(a)), float(radius * (1 - np.cos(a)))) for a in angles)


def _corner(kind: str, rng: np.random.Generator) -> Corner:
    if kind == "rounded":
        r = round(float(rng.uniform(1.0, 3.0)), 2)
        return Corner(kind, 0.0, arc(r), f"the line where the flat of the wall face ends and the rounding of {r:g} mm begins")
    if kind == "profile":
        w = round(float(rng.uniform(3.0, 12.0)), 2)
        text = f"the outer border, towards the opening, of a profile {w:g} mm wide that is flush with the wall face"
        return Corner(kind, w, ((0.0, round(float(rng.uniform(6.0, 11.0)), 2)),), text)
    if kind == "mitred":
        j = round(float(rng.uniform(0.8, 1.8)), 2)
        text = f"the line where the flat of the wall face ends and the chamfered joint of {j:g} by {j:g} mm begins"
        return Corner(kind, 0.0, ((j, j),), text)
    if kind == "silicone":
        r = round(float(rng.uniform(2.0, 4.0)), 2)
        text = f"the line where the flat of the wall face ends and the rounded bead of silicone of {r:g} mm begins"
        return Corner(kind, 0.0, arc(r), text)
    return Corner("sharp", 0.0, (), "the arris: where the flat of the wall face ends")


def _base(place: str, rng: np.random.Generator) -> Corner:
    low, high = {"tub": (4.0, 9.0), "tray": (2.5, 6.0)}.get(place, (0.6, 3.0))
    if place not in ("tub", "tray") and rng.random() < 0.35:
        return Corner("sharp", 0.0, (), "the arris of the base: where its flat front ends")
    r = round(float(rng.uniform(low, high)), 2)
    return Corner("eased", 0.0, arc(r), f"the line where the flat front of the base ends and its rounding of {r:g} mm begins")


def camera(plan: Plan, targets: Array, rng: np.random.Generator) -> tuple[Camera, float]:
    """A hand-held phone that has all targets (n, 3) in the picture, and its nominal equivalent focal length in mm."""
    middle = plan.opening.corners.mean(axis=0)
    span = np.ptp(targets, axis=0)
    landscape = bool(span[0] > 1.08 * span[1])
    width, height = (4032, 3024) if landscape else (3024, 4032)
    small = plan.place in ("window", "niche", "halfwall")
    for _ in range(400):
        equivalent = float(rng.choice([24.0, 25.0, 26.0, 26.0, 27.0, 28.0]))
        distance = float(np.clip(rng.normal(2.2 if small else 2.52, 0.24), 1.9, 3.0)) * 1000
        aside = np.radians(float(rng.choice([-1, 1])) * min(20.0, abs(float(rng.normal(0, 8.0)))))
        eye = float(rng.uniform(1080, 1620)) - plan.base_mm
        place = np.array([middle[0] + distance * np.sin(aside), eye, distance * np.cos(aside)])
        aim: Triple = (middle[0] + float(rng.normal(0, 50)), middle[1] + float(rng.normal(0, 50)), 0.0)
        seen = Camera(
            width=width,
            height=height,
            f_px=focal_px(equivalent, width, height) * (1 + float(rng.normal(0, 0.012))),
            cx=(width - 1) / 2 + float(rng.normal(0, 12)),
            cy=(height - 1) / 2 + float(rng.normal(0, 12)),
            k1=float(np.clip(rng.normal(0, 0.02), -0.05, 0.05)),
            k2=float(rng.normal(0, 0.003)),
            position_mm=place,
            rotation=aimed(place, np.array(aim), float(np.clip(rng.normal(0, 1.2), -3, 3))),
        )
        px = seen.project(targets)
        inside = (px > 45).all() and (px[:, 0] < width - 45).all() and (px[:, 1] < height - 45).all()
        x0, x1 = -plan.beyond_mm[0] + 150, plan.opening.width_mm + plan.beyond_mm[1] - 150
        if inside and x0 < place[0] < x1:
            return seen, equivalent
    raise ValueError(f"{plan.name}: no camera in 400 draws has everything in the picture; draw the room again")
