"""What else is in the room: on the wall, on the floor before it, and in the opening. Nothing of it covers a card or an edge."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from .eleventh_grain import RGB, Surface
from .eleventh_objects import FLOOR, WALL, Maker
from .eleventh_papers import floral
from .eleventh_walls import Place

from studio import things  # isort: skip
from studio.camera import Camera  # isort: skip
from studio.shapes import Builder  # isort: skip
from studio.surfaces import lacquer, metal, plain  # isort: skip

Box = tuple[np.ndarray, np.ndarray]
Thing = tuple[Maker, np.ndarray, tuple[float, float]]
"""maker, size in mm, range of heights of its foot"""
MARGIN_PX = 22.0


@dataclass(frozen=True)
class Guard:
    """Points of the picture that must stay in sight."""

    camera: Camera
    points_px: np.ndarray

    def clear(self, low: np.ndarray, high: np.ndarray) -> bool:
        """Whether a box in the room hides none of them."""
        corners = np.array([[x, y, z] for x in (low[0], high[0]) for y in (low[1], high[1]) for z in (low[2], high[2])])
        if float(high[2]) > float(self.camera.position_mm[2]) - 250:
            return False
        seen = self.camera.project(corners)
        a, b = seen.min(axis=0) - MARGIN_PX, seen.max(axis=0) + MARGIN_PX
        return not bool(np.any(np.all((self.points_px > a) & (self.points_px < b), axis=1)))


def furnish(build: Builder, place: Place, guard: Guard, rng: np.random.Generator) -> list[str]:
    """Puts things up and returns what they are."""
    taken: list[Box] = []
    found = []
    for shelf, count in ((WALL, int(rng.integers(2, 6))), (FLOOR, int(rng.integers(1, 5)))):
        names = list(rng.permutation(sorted(shelf)))
        for name in names[: count + 2]:
            make, size, heights = shelf[str(name)]
            if _try(build, place, guard, rng, (make, np.array(size), heights), taken=taken):
                found.append(str(name))
            if len(found) >= 8:
                break
    INSIDE.get(place.what, lambda *_: None)(build, place, rng)
    return found


def _try(build: Builder, place: Place, guard: Guard, rng: np.random.Generator, thing: Thing, *, taken: list[Box]) -> bool:
    """Ten spots beside or before the opening; the first free one is used."""
    make, size, heights = thing
    x0, x1 = place.x_range
    t = place.edge.width_mm
    for _ in range(14):
        left = rng.random() < 0.5
        a, b = (x0 + 25, -t - 25 - size[0]) if left else (place.opening.width_mm + t + 25, x1 - 25 - size[0])
        on_floor = heights == (0.0, 0.0)
        if on_floor and rng.random() < 0.35:
            a, b = -200.0, place.opening.width_mm + 200 - size[0]
        if b <= a:
            continue
        y = place.floor_y + float(rng.uniform(*heights))
        leaning = size[2] < 100 and size[1] > 500
        z = place.wall_z + 14 * leaning if leaning or not on_floor else float(rng.uniform(16, 700))
        low = np.array([float(rng.uniform(a, b)), y, z])
        high = low + size
        clash = any(bool(np.all(low < h + 15) and np.all(high > lo - 15)) for lo, h in taken)
        if not clash and high[1] < place.ceiling_y - 20 and guard.clear(low, high):
            make(build, low, high, rng)
            taken.append((low, high))
            return True
    return False


def _bright(rng: np.random.Generator) -> RGB:
    mixed = rng.uniform(0.05, 0.75, 3)
    a, b, c = (float(v) for v in mixed.mean() + (mixed - mixed.mean()) * rng.uniform(0.1, 0.9))
    return a, b, c


def _shower(build: Builder, place: Place, rng: np.random.Generator) -> None:
    """Fittings and what stands on the floor of a shower or the rim of a tub."""
    opening, depth = place.opening, place.depth_mm
    head_y = (
        min(float(rng.uniform(1800, 2000)), place.ceiling_y - 120) if place.what == "shower" else float(rng.uniform(1250, 1450))
    )
    if place.what == "shower" or rng.random() < 0.5:
        things.shower_fittings(build, opening, bool(rng.random() < 0.5), head_y, -depth * float(rng.uniform(0.45, 0.65)))
    y = place.floor_y + 25 if place.what == "shower" else float(opening.corners[:2, 1].min())
    for _ in range(int(rng.integers(0, 4))):
        x = float(rng.uniform(120, opening.width_mm - 120))
        things.bottle(build, x, y, -depth + float(rng.uniform(34, 42)), _bright(rng), float(rng.uniform(130, 240)))
    if rng.random() < 0.3:
        shelf_y = float(rng.uniform(900, 1300))
        build.box((40, shelf_y, -depth), (float(rng.uniform(240, 420)), shelf_y + 14, -depth + 110), metal())
        things.bottle(build, 110, shelf_y + 14, -depth + 60, _bright(rng), 180)
        things.bottle(build, 190, shelf_y + 14, -depth + 60, _bright(rng), 150)
    if rng.random() < 0.25:
        x = float(rng.uniform(0.25, 0.75)) * opening.width_mm
        build.box((x, place.floor_y + 500, -depth), (x + 30, head_y, -depth + 24), metal())


def _wardrobe(build: Builder, place: Place, rng: np.random.Generator) -> None:
    """A rail with clothes, or shelves with linen."""
    width, depth = place.opening.width_mm, place.depth_mm
    if rng.random() < 0.5:
        rail = place.floor_y + 1750
        build.rod((-5, rail, -depth / 2), (width + 5, rail, -depth / 2), 13, metal())
        x = 70.0
        while x < width - 70:
            if rng.random() < 0.75:
                drop = float(rng.uniform(550, 1150))
                build.box((x, rail - drop, -depth + 60), (x + float(rng.uniform(22, 48)), rail - 30, -70), _cloth(rng))
            x += float(rng.uniform(45, 120))
        return
    for y in np.arange(place.floor_y + 380, place.ceiling_y - 500, 400):
        build.box((0, float(y), -depth), (width, float(y) + 19, -60), lacquer((0.72, 0.71, 0.69), 0.3))
        x = 40.0
        while x < width - 330:
            high = float(rng.uniform(60, 280))
            if rng.random() < 0.6:
                build.box((x, float(y) + 19, -depth + 30), (x + 260, float(y) + 19 + high, -110), _cloth(rng))
            x += float(rng.uniform(280, 420))


def _cloth(rng: np.random.Generator) -> Surface:
    return floral(rng) if rng.random() < 0.12 else plain(_bright(rng))


def _niche(build: Builder, place: Place, rng: np.random.Generator) -> None:
    """A glass-like shelf, bottles, a pot."""
    width, height, depth = place.opening.width_mm, place.opening.height_mm, place.depth_mm
    if rng.random() < 0.7:
        y = height * float(rng.uniform(0.4, 0.6))
        build.box((2, y, -depth), (width - 2, y + 8, -15), lacquer((0.45, 0.55, 0.5), 0.05))
        for _ in range(3):
            things.bottle(build, float(rng.uniform(80, width - 80)), y + 8, -depth / 2, _bright(rng), float(rng.uniform(90, 200)))
    for _ in range(int(rng.integers(1, 4))):
        x = float(rng.uniform(80, width - 80))
        things.bottle(build, x, float(place.opening.corners[:2, 1].max()), -depth / 2, _bright(rng), float(rng.uniform(90, 220)))


def _window(build: Builder, place: Place, rng: np.random.Generator) -> None:
    """Pots on the window board when it is deep enough."""
    if place.depth_mm < 110:
        return
    y = float(place.opening.corners[:2, 1].max())
    for _ in range(int(rng.integers(0, 3))):
        x = float(rng.uniform(120, place.opening.width_mm - 120))
        build.capped_rod((x, y, -place.depth_mm / 2), (x, y + 95, -place.depth_mm / 2), 40, lacquer((0.5, 0.22, 0.12), 0.4))
        for _ in range(14):
            tip = np.array([x, y + 170, -place.depth_mm / 2]) + rng.normal(0, (34, 42, 12))
            build.disc((float(tip[0]), float(tip[1]), float(tip[2])), rng.normal(0, 1, 3), 24, plain((0.08, 0.22, 0.06)))


INSIDE: dict[str, Callable[[Builder, Place, np.random.Generator], None]] = {
    "shower": _shower, "tub": _shower, "wardrobe": _wardrobe, "niche": _niche, "window": _window,
}  # fmt: skip
