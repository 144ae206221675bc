"""What stands and hangs about, and rectangles near the opening that are no references."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import numpy as np

from . import fifth_looks as looks
from .fifth_draws import Plan
from .fifth_finish import GLAZES, PAINTS, pick
from .fifth_looks import bitmap, smooth
from .fifth_studio import RGB

from studio import things  # isort: skip
from studio.shapes import Builder  # isort: skip
from studio.surfaces import Surface, lacquer, metal, plain  # isort: skip
from studio.things import Card  # isort: skip

DECOYS = ("switch", "double switch", "picture", "mirror", "sign", "odd tile", "hatch", "soap dish", "thermostat")
GLASS = {"type": "conductor", "material": "none", "specular_reflectance": {"type": "rgb", "value": [0.86, 0.87, 0.87]}}
MIRROR = Surface(GLASS)
Box = tuple[float, float, float, float]  # x0, y0, x1, y1 on the wall face


def unlike(size: tuple[float, float], cards: Sequence[Card]) -> bool:
    """No card's size within 3 % (5 to be safe) on both sides, either way up."""
    for card in cards:
        for w, h in (card.size_mm, card.size_mm[::-1]):
            if abs(size[0] / w - 1) < 0.05 and abs(size[1] / h - 1) < 0.05:
                return False
    return True


def decoys(build: Builder, plan: Plan, cards: Sequence[Card], rng: np.random.Generator) -> list[str]:
    """Up to three of them on the face beside or above the opening; what they are, with their sizes."""
    taken: list[Box] = [(-12.0, -2000.0, plan.opening.width_mm + 12.0, plan.opening.height_mm + 12.0)]
    for card in cards:
        (x, y), r = card.centre_mm, 0.55 * float(np.hypot(*card.size_mm))
        taken.append((x - r, y - r, x + r, y + r))
    found: list[str] = []
    for _ in range(int(rng.choice([0, 1, 2, 3], p=[0.08, 0.37, 0.35, 0.2]))):
        kind = DECOYS[int(rng.integers(len(DECOYS)))]
        w, h = _size(kind, rng)
        spot = _free(plan, w, h, taken, rng)
        if spot and unlike((w, h), cards):
            _decoy(build, kind, (*spot, w, h), rng)
            taken.append((spot[0] - 15, spot[1] - 15, spot[0] + w + 15, spot[1] + h + 15))
            found.append(f"{kind} {w:.0f} x {h:.0f}")
    return found


def _size(kind: str, rng: np.random.Generator) -> tuple[float, float]:
    ranges = {
        "switch": ((78, 88), (78, 88)),
        "double switch": ((140, 155), (78, 88)),
        "picture": ((180, 420), (240, 520)),
        "mirror": ((250, 420), (320, 620)),
        "sign": ((90, 200), (60, 140)),
        "odd tile": ((97, 152), (97, 152)),
        "hatch": ((200, 320), (200, 320)),
        "soap dish": ((110, 150), (70, 90)),
        "thermostat": ((70, 100), (95, 130)),
    }[kind]
    w, h = (round(float(rng.uniform(*r)), 1) for r in ranges)
    return w, h


def _free(plan: Plan, w: float, h: float, taken: list[Box], rng: np.random.Generator) -> tuple[float, float] | None:
    for _ in range(40):
        side = int(rng.choice([-1, 1]))
        gap = plan.corner.strip_mm + float(rng.uniform(25, 260))
        x = -gap - w if side < 0 else plan.opening.width_mm + gap
        y = float(rng.uniform(max(60.0, plan.floor_y + 200), plan.opening.height_mm - h))
        if x < -plan.beyond_mm[0] + 20 or x + w > plan.opening.width_mm + plan.beyond_mm[1] - 20:
            continue
        if not any(x < b[2] and x + w > b[0] and y < b[3] and y + h > b[1] for b in taken):
            return x, y
    return None


def _decoy(build: Builder, kind: str, box: tuple[float, float, float, float], rng: np.random.Generator) -> None:
    x, y, w, h = box
    white = lacquer((0.76, 0.76, 0.74), 0.2)

    def plate(inset: float, z0: float, z1: float, surface: Surface) -> None:
        build.box((x + inset, y + inset, z0), (x + w - inset, y + h - inset, z1), surface)

    if kind in ("switch", "double switch", "thermostat"):
        plate(0, 0, 9, white if rng.random() < 0.75 else metal(roughness=0.3))
        count = 2 if kind == "double switch" else 1
        for k in range(count):
            a = x + w * k / count
            build.box((a + 14, y + 14, 9), (a + w / count - 14, y + h - 14, 12), lacquer((0.82, 0.82, 0.81), 0.15))
    elif kind in ("picture", "mirror"):
        plate(0, 0, 18, lacquer(pick(rng, ((0.03, 0.03, 0.03), (0.4, 0.25, 0.13), (0.78, 0.78, 0.77)))))
        inner: Surface = MIRROR if kind == "mirror" else _painting(rng)
        corners = [[x + 16, y + 16, 18.5], [x + w - 16, y + 16, 18.5], [x + w - 16, y + h - 16, 18.5], [x + 16, y + h - 16, 18.5]]
        build.quad(np.array(corners), inner, np.array([[0, 0], [1000, 0], [1000, 1000], [0, 1000.0]]))
    elif kind == "sign":
        plate(0, 0, 3, lacquer(pick(rng, ((0.1, 0.2, 0.45), (0.7, 0.55, 0.05), (0.8, 0.8, 0.8), (0.05, 0.3, 0.15)))))
        build.box((x + 0.2 * w, y + 0.4 * h, 3), (x + 0.8 * w, y + 0.55 * h, 3.3), plain((0.05, 0.05, 0.05)))
    elif kind == "odd tile":
        plate(0, 0, 1.2, lacquer(pick(rng, GLAZES), 0.1))
    elif kind == "hatch":
        plate(0, 0, 4, white)
        plate(18, 4, 6, lacquer((0.7, 0.7, 0.68), 0.3))
    else:
        build.box((x, y, 0), (x + w, y + 14, 85), white)
        build.box((x, y + 14, 0), (x + w, y + h, 6), white)
        build.box((x + 30, y + 14, 20), (x + w - 30, y + 36, 65), lacquer(pick(rng, ((0.6, 0.3, 0.35), (0.7, 0.66, 0.4)))))


def _painting(rng: np.random.Generator) -> Surface:
    blob = smooth(rng, (300, 300), 70)[..., None]
    a, b = (np.array(pick(rng, GLAZES + PAINTS), np.float32) for _ in range(2))
    mix = np.clip(0.5 + 0.5 * blob, 0, 1)
    return Surface({"type": "diffuse", "reflectance": bitmap(np.asarray(a * mix + b * (1 - mix), np.float32), "clamp")})


def window_or_niche(build: Builder, plan: Plan, rng: np.random.Generator) -> None:
    """What closes a shallow opening at the back."""
    w, h, z = plan.opening.width_mm, plan.opening.height_mm, -plan.depth_mm
    if plan.place == "window":
        frame = lacquer(pick(rng, ((0.78, 0.78, 0.77), (0.35, 0.22, 0.12), (0.08, 0.08, 0.09))), 0.25)
        for box in ((-30, -30, 48, h + 30), (w - 48, -30, w + 30, h + 30), (-30, -30, w + 30, 52), (-30, h - 50, w + 30, h + 30)):
            build.box((box[0], box[1], z), (box[2], box[3], z + 55), frame)
        build.box((w / 2 - 35, 0, z), (w / 2 + 35, h, z + 50), frame)
        if rng.random() < 0.6:
            sky = float(rng.uniform(0.15, 0.6))
            build.lamp((w / 2, h / 2, z + 12), (0, 0, 1), (w - 60, h - 60), (0.85 * sky, 0.95 * sky, sky))
        else:
            build.quad(
                np.array([[0, 0, z + 12], [w, 0, z + 12], [w, h, z + 12], [0, h, z + 12]]), lacquer((0.02, 0.025, 0.035), 0.06)
            )
        return
    for k in range(int(rng.integers(0, 3))):
        y = h * (k + 1) / 3
        build.box(
            (-25, y, z), (w + 25, y + 22, -18), lacquer(pick(rng, ((0.5, 0.34, 0.2), (0.76, 0.76, 0.75), (0.1, 0.1, 0.1))), 0.3)
        )
        for _ in range(3):
            things.bottle(build, float(rng.uniform(80, w - 80)), y + 22, z / 2, pick(rng, GLAZES), float(rng.uniform(90, 150)))
    if rng.random() < 0.5:
        build.quad(np.array([[0, 0, z + 4], [w, 0, z + 4], [w, h, z + 4], [0, h, z + 4]]), MIRROR)


def clutter(build: Builder, plan: Plan, cards: Sequence[Card], rng: np.random.Generator) -> None:
    w, h, floor = plan.opening.width_mm, plan.opening.height_mm, plan.floor_y
    wet = plan.place in ("shower", "tray", "tub")
    if wet and rng.random() < 0.8:
        things.shower_fittings(build, plan.opening, right=bool(rng.random() < 0.5), head_y=0.95 * h - 40, z=-0.55 * plan.depth_mm)
    for _ in range(int(rng.integers(0, 4))):
        edge = plan.base_mm > 60 or not wet
        z = float(rng.uniform(-0.8, -0.45)) * plan.base_depth_mm if edge and rng.random() < 0.4 else 60 - plan.depth_mm
        y = 2.0 if z > -plan.base_depth_mm else _bottom(plan)
        things.bottle(build, float(rng.uniform(90, w - 90)), y, z, pick(rng, GLAZES), float(rng.uniform(120, 230)))
    if rng.random() < 0.22:
        _draped(build, plan, rng)
    if rng.random() < 0.5:
        mat = looks.painted(pick(rng, PAINTS), rng, 0.06)
        things.mat(
            build, float(rng.uniform(0.3, 0.7)) * w, floor, float(rng.uniform(420, 700)), (float(rng.uniform(500, 800)), 460), mat
        )
    side = int(rng.choice([-1, 1]))
    low_card = any((c.centre_mm[0] < 0) == (side < 0) and c.centre_mm[1] < 0.4 * h for c in cards)
    x = -float(rng.uniform(80, 420)) if side < 0 else w + float(rng.uniform(80, 420))
    draw = rng.random()
    if draw < 0.2 and not low_card:
        things.bin_(build, x, floor, float(rng.uniform(125, 260)), lacquer(pick(rng, PAINTS)))
    elif draw < 0.35 and not low_card:
        top = (x + side * float(rng.uniform(20, 120)), floor + 1250.0, 22.0)
        build.rod((x, floor + 40, 330.0), top, 11.0, lacquer((0.55, 0.4, 0.2)))
        build.capped_rod((x, floor, 335.0), (x, floor + 60, 330.0), 85.0, plain((0.6, 0.6, 0.56)))
    elif draw < 0.5:
        _radiator(build, plan, side, floor)
    elif draw < 0.62 and not any((c.centre_mm[0] < 0) == (side < 0) for c in cards):
        towel = looks.painted(pick(rng, PAINTS + GLAZES), rng, 0.05)
        width = float(rng.uniform(300, 420))
        gap = float(rng.uniform(60, 160)) + width / 2 + 60
        x = -gap if side < 0 else w + gap
        if -plan.beyond_mm[0] + width / 2 + 60 < x < w + plan.beyond_mm[1] - width / 2 - 60:
            things.towel(build, x, 0.72 * h, (width, float(rng.uniform(450, 620))), towel)


def _bottom(plan: Plan) -> float:
    shelf = {"tub": 2.0, "tray": -0.55 * plan.base_mm, "shower": 20 - plan.base_mm, "window": 2.0, "niche": 2.0}
    return shelf.get(plan.place, plan.floor_y)


def _draped(build: Builder, plan: Plan, rng: np.random.Generator) -> None:
    """A towel laid over the base, a part of whose edge it hides."""
    rgb: RGB = pick(rng, PAINTS + GLAZES)
    cloth = looks.painted(rgb, rng, 0.06)
    width = float(rng.uniform(0.1, 0.18)) * plan.opening.width_mm
    x = float(rng.uniform(0.12, 0.7)) * plan.opening.width_mm
    drop = min(0.75 * plan.base_mm, 330.0)
    section = [(-min(plan.base_depth_mm, 120.0), 7.0), (-20.0, 9.0), (6.0, 8.0), (12.0, 0.0), (13.0, -0.5 * drop), (12.0, -drop)]
    across = np.linspace(0, 1, 21)
    ripple = 2.5 * np.sin(9 * across)
    for (z0, y0), (z1, y1) in itertools.pairwise(section):
        a = np.column_stack([x + across * width, np.full(21, y0), z0 + ripple])
        b = np.column_stack([x + across * width, np.full(21, y1), z1 + ripple])
        build.strip(a, b, a[:, :2], b[:, :2], cloth)


def _radiator(build: Builder, plan: Plan, side: int, floor: float) -> None:
    """On the side wall of the room, a panel with ribs."""
    x = -plan.beyond_mm[0] if side < 0 else plan.opening.width_mm + plan.beyond_mm[1]
    white = lacquer((0.75, 0.75, 0.73), 0.3)
    a, b = sorted((x - side * 25, x - side * 85))
    for z in np.arange(300, 900, 60):
        build.box((a, floor + 150, float(z)), (b, floor + 750, float(z) + 50), white)
