"""What is drawn for a sixth room before anything is built: opening, corners, finishes, light, references and the camera."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tests.benchmarks.scenes.sixth_studio import Camera, Opening, aimed, focal_px, placed, rounded_rectangle, true_size
from tests.benchmarks.scenes.sixth_stuff import Array

SEED = 66089
LAYOUTS = {"sheet": 7, "opposite": 8, "four": 9, "letters": 6, "oneside": 4, "large": 6}
THICK_MM = {"id-1": 0.76, "a4": 0.1, "letter": 0.1, "sheet": 0.1}
FRAME_MM = (186.0, 216.0)
OFFSET_SD_MM, RULE_SD_MM = 0.5, 0.15
DEALT: dict[str, tuple[str, ...]] = {
    "kind": ("shower", "wide", "tub", "shower", "threshold", "wide", "tub", "shower"),
    "arris": ("cut", "square", "mitred", "eased", "quarter", "caulk", "bullnose", "bead", "square", "eased"),
    "light": ("window", "bulb", "work", "flash", "mixed", "grazing", "inside", "overcast"),
    "face": ("slab", "plaster", "metro", "plaster", "board", "slab", "terrazzo", "wood", "membrane", "plaster", "greenboard",
             "metro"),
    "inside": ("metro", "slab", "membrane", "terrazzo", "metro", "board", "slab", "wood", "same", "same", "pebbles"),
    "plumb": ("yes", "no"),
}  # fmt: skip
SIZES = {"shower": (720, 1060, 1880, 2130), "wide": (1120, 1520, 1880, 2060), "tub": (1380, 1600, 1300, 1580),
         "threshold": (800, 1250, 1930, 2130)}  # fmt: skip
CURBS = {"shower": (60, 160), "wide": (60, 140), "tub": (470, 560), "threshold": (15, 40)}
RADII = {"cut": 0.0, "square": 0.0, "mitred": 0.0, "caulk": 0.0, "eased": 2.0, "bead": 1.5, "bullnose": 6.0, "quarter": 9.0}


@dataclass(frozen=True)
class Reference:
    """A card or sheet on the wall face, as the studio's record asks for it."""

    kind: str
    size_mm: tuple[float, float]  # as it hangs; of the printed card: its black frame
    centre_mm: tuple[float, float]
    turn_deg: float
    front_z_mm: float

    def outline(self) -> Array:
        flat = rounded_rectangle(*self.size_mm, 0.0)
        place = placed(*self.centre_mm, self.front_z_mm, self.turn_deg)
        return np.asarray(np.column_stack([flat, np.zeros(4)]) @ place[:3, :3].T + place[:3, 3])


@dataclass(frozen=True)
class Plan:
    """One attempt at one room."""

    layout: str
    number: int
    attempt: int
    dealt: dict[str, str]
    opening: Opening
    curb_mm: float
    ceiling_mm: float  # above the curb
    beyond_mm: tuple[float, float]
    depth_mm: float
    nib_mm: float  # thickness of the wall where the space behind is wider than the opening; 0: side walls run through
    arris_mm: float  # radius, or width of a trim
    references: tuple[Reference, ...]
    options: tuple[str, ...]
    camera: Camera
    equivalent_mm: int

    @property
    def name(self) -> str:
        return f"sixth_{self.layout}_{self.number:02d}"

    def rng(self, use: int) -> np.random.Generator:
        return np.random.default_rng([*seed(self.layout, self.number, self.attempt), use])


def seed(layout: str, number: int, attempt: int) -> list[int]:
    return [SEED, list(LAYOUTS).index(layout), number, attempt]


def dealt(layout: str, number: int) -> dict[str, str]:
    """Kinds are dealt to all rooms as evenly as they go, in a shuffled order, each kind on its own."""
    names = list(LAYOUTS)
    index = sum(LAYOUTS[n] for n in names[: names.index(layout)]) + number - 1
    found = {}
    for at, (what, kinds) in enumerate(DEALT.items()):
        order = np.random.default_rng([SEED, 900 + at]).permutation(sum(LAYOUTS.values()))
        found[what] = kinds[int(order[index]) % len(kinds)]
    if found["arris"] in ("mitred", "cut") and found["face"] in ("plaster", "greenboard"):
        found["arris"] = "bead"  # plaster is neither mitred nor cut
    found["inside"] = found["face"] if found["arris"] in ("mitred", "eased") or found["inside"] == "same" else found["inside"]
    return found


def plan(layout: str, number: int, attempt: int) -> Plan | None:
    """None when no camera has everything in its picture."""
    rng = np.random.default_rng(seed(layout, number, attempt))
    kinds = dealt(layout, number)
    opening = _opening(rng, kinds["kind"])
    curb = float(rng.uniform(*CURBS[kinds["kind"]]))
    references, options = _references(rng, layout, opening)
    found = _camera(rng, kinds["kind"], opening, references, curb)
    if found is None:
        return None
    nib = float(rng.choice([0.0, 0.0, rng.uniform(80, 150)]))
    width = {"square": rng.uniform(2, 11), "quarter": rng.uniform(7, 11)}.get(kinds["arris"], 0.0)
    size = width or RADII[kinds["arris"]] * float(rng.uniform(0.6, 1.5))
    beyond = (float(rng.uniform(560, 1000)), float(rng.uniform(560, 1000)))
    top = float(max(opening.height_mm + rng.uniform(170, 480), 2180 - curb))
    depth = float(rng.uniform(720, 1050))
    return Plan(
        layout, number, attempt, kinds, opening, curb, top, beyond, depth, nib, size, references, options, *found
    )  # fmt: skip


def _opening(rng: np.random.Generator, kind: str) -> Opening:
    low_w, high_w, low_h, high_h = SIZES[kind]

    def lean() -> float:
        return float(np.clip(rng.normal(0, 5.0 if rng.random() < 1 / 6 else 1.6), -9, 9))

    def bow() -> float:
        return float(np.clip(rng.normal(0, 2.0 if rng.random() < 1 / 8 else 0.8), -3.5, 3.5))

    return Opening(
        round(float(rng.uniform(low_w, high_w)), 1),
        round(float(rng.uniform(low_h, high_h)), 1),
        lean_left=round(lean(), 2),
        lean_right=round(lean(), 2),
        bow_left_mm=round(bow(), 2),
        bow_right_mm=round(bow(), 2),
        curb_level=round(float(np.clip(rng.normal(0, 1.4), -4.5, 4.5)), 2),
        head_slope=round(float(np.clip(rng.normal(0, 1.5), -4.5, 4.5)), 2),
    )


def _references(rng: np.random.Generator, layout: str, opening: Opening) -> tuple[tuple[Reference, ...], tuple[str, ...]]:
    """The references left to right and the options that state them."""
    sides = _places(rng, layout)
    kind = {"letters": ("a4", "letter"), "sheet": ("a4", "letter"), "large": ("sheet",)}.get(layout, ("id-1",))
    named = str(rng.choice(kind))
    stated = round(float(rng.uniform(1.4, 1.8) if named == "id-1" else rng.uniform(0.7, 1.2)), 1)
    across = [bool(rng.random() < 0.75) for _ in sides] if named == "id-1" else [bool(rng.random() < 0.2) for _ in sides]
    made, options = [], []
    for number, ((side, share), lying) in enumerate(zip(sides, across, strict=True), 1):
        size = _size(rng, named)
        if named == "id-1":
            option = f"id-1@-{stated:g}+-0.5"
        else:
            told = "x".join(f"{round(s + rng.normal(0, RULE_SD_MM), 1):g}" for s in size)
            option = f"{named}{f'#{number}' if len(sides) > 1 else ''}@-{stated:g}+-0.5={told}mm+-0.15"
        turned = size if (named == "id-1") == lying or named == "sheet" else size[::-1]
        y = share * opening.height_mm
        gap = rng.uniform(18, 70) + (28 if named == "sheet" else 0)
        wall = float((opening.right if side > 0 else opening.left)(np.array(y)))
        x = wall + side * (gap + turned[0] / 2)
        front = -1.0
        while not THICK_MM[named] + 0.03 <= front <= (2.4 if named == "id-1" else 2.0):
            front = float(rng.normal(stated, OFFSET_SD_MM))
        made.append(Reference(named, turned, (float(x), float(y)), float(np.clip(rng.normal(0, 1.4), -4, 4)), front))
        options += [] if option in options else ["--card", option]
    return tuple(made), tuple(options)


def _size(rng: np.random.Generator, kind: str) -> tuple[float, float]:
    if kind == "sheet":
        return FRAME_MM[0] * float(rng.uniform(0.997, 1.003)), FRAME_MM[1] * float(rng.uniform(0.997, 1.003))
    width, height = true_size(kind, rng)
    return width, height


def _places(rng: np.random.Generator, layout: str) -> list[tuple[int, float]]:
    """Side (-1 left) and share of the height of each, left to right."""
    ends = ((0.12, 0.24), (0.76, 0.9)) if layout == "letters" else ((0.06, 0.2), (0.82, 0.97))

    def low() -> float:
        return float(rng.uniform(*ends[0]))

    def high() -> float:
        return float(rng.uniform(*ends[1]))

    side = int(rng.choice([-1, 1]))
    if layout in ("sheet", "large"):
        return [(side, float(rng.uniform(0.35, 0.68)))]
    if layout == "oneside":
        return [(side, low()), (side, high())]
    if layout == "four":
        return [(-1, low()), (-1, high()), (1, low()), (1, high())]
    return [(-1, low() if side < 0 else high()), (1, high() if side < 0 else low())]


def _camera(
    rng: np.random.Generator, kind: str, opening: Opening, references: tuple[Reference, ...], curb: float
) -> tuple[Camera, int] | None:
    flat = np.column_stack([opening.corners, np.zeros(4)])
    points = np.concatenate([flat + np.array([0.0, s, 0.0]) for s in (-45, 45)] + [r.outline() for r in references])
    middle = (points.min(0) + points.max(0)) / 2
    span = np.ptp(points, axis=0)
    landscape = bool(span[0] > 1.02 * span[1] or (kind == "wide" and rng.random() < 0.3))
    width, height = (4000, 3000) if landscape else (3000, 4000)
    stated = int(rng.choice([24, 25, 26, 26, 27, 28]))
    draw = float(np.clip(rng.normal(0, 9), -20, 20))
    k1, k2 = float(np.clip(rng.normal(0, 0.022), -0.05, 0.05)), float(rng.normal(0, 0.004))
    true_f = focal_px(stated, width, height) * (1 + 0.015 * float(rng.normal()))
    roll, tall = float(np.clip(rng.normal(0, 1.3), -4, 4)), float(rng.uniform(1000, 1600)) - curb
    aside = [float(rng.normal(0, 12)), float(rng.normal(0, 12))]
    for distance in np.sort(rng.uniform(1800, 3100, 60))[int(rng.integers(0, 52)) :]:
        place = np.array([middle[0] + distance * np.tan(np.radians(draw)), tall, float(distance)])
        if not -520 < place[0] < opening.width_mm + 520:
            place[0] = float(np.clip(place[0], -500, opening.width_mm + 500))
        target = middle + np.array([0.004 * distance * aside[0] / 2, 0.004 * distance * aside[1] / 2, 0.0])
        cx, cy = (width - 1) / 2 + rng.normal(0, 10), (height - 1) / 2 + rng.normal(0, 10)
        camera = Camera(width, height, true_f, float(cx), float(cy), k1, k2, place, aimed(place, target, roll))
        seen = camera.project(points)
        if (seen > 0.015 * width).all() and (seen < np.array([width, height]) - 0.015 * width).all():
            return camera, stated
    return None
