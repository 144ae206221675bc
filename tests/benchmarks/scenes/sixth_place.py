"""References on the wall face of a sixth room: where they hang, how large they are, what is stated of them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tests.benchmarks.scenes.sixth_studio import Opening, placed, rounded_rectangle, true_size
from tests.benchmarks.scenes.sixth_stuff import Array

THICK_MM = {"id-1": 0.76, "a4": 0.1, "letter": 0.1, "sheet": 0.1}
FRAME_MM = (186.0, 216.0)
OFFSET_SD_MM, RULE_SD_MM = 0.5, 0.15


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


def references(rng: np.random.Generator, layout: str, opening: Opening) -> tuple[tuple[Reference, ...], tuple[str, ...]]:
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
