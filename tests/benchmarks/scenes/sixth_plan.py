"""What is drawn for a sixth room before anything is built: opening, corners, finishes, light, references and the camera."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tests.benchmarks.scenes.sixth_place import Reference, references
from tests.benchmarks.scenes.sixth_studio import Camera, Opening, aimed, focal_px

SEED = 66089
LAYOUTS = {"sheet": 7, "opposite": 8, "four": 9, "letters": 6, "oneside": 4, "large": 6}
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
    cards, options = references(rng, layout, opening)
    found = _camera(rng, kinds["kind"], opening, cards, curb)
    if found is None:
        return None
    nib = float(rng.choice([0.0, 0.0, rng.uniform(80, 150)]))
    width = {"square": rng.uniform(2, 11), "quarter": rng.uniform(7, 11)}.get(kinds["arris"], 0.0)
    size = width or RADII[kinds["arris"]] * float(rng.uniform(0.6, 1.5))
    beyond = (float(rng.uniform(560, 1000)), float(rng.uniform(560, 1000)))
    top = float(max(opening.height_mm + rng.uniform(170, 480), 2180 - curb))
    depth = float(rng.uniform(720, 1050))
    return Plan(
        layout, number, attempt, kinds, opening, curb, top, beyond, depth, nib, size, cards, options, *found
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
