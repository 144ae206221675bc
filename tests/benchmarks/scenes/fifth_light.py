"""Lamps, daylight and the person who takes the photo."""

from __future__ import annotations

import mitsuba as mi
import numpy as np

from .fifth_draws import Plan
from .fifth_studio import RGB, Array

from studio.shapes import Builder  # isort: skip
from studio.surfaces import plain  # isort: skip

WARM: RGB = (1.0, 0.8, 0.58)
SOFT: RGB = (1.0, 0.92, 0.8)
DAY: RGB = (0.96, 0.98, 1.0)
COOL: RGB = (0.78, 0.9, 1.0)
DOWN = (0.0, -1.0, 0.0)


def light(build: Builder, plan: Plan, camera_mm: Array, rng: np.random.Generator) -> None:
    middle, top = plan.opening.width_mm / 2, plan.ceiling_y - 6.0
    room = {"window": 1.2, "mirror": 2.0, "flash": 1.5, "inside": 4.5, "photographer": 1.0, "spots": 1.2}.get(plan.light, 0.0)
    tint = (SOFT, DAY, WARM)[int(rng.integers(3))]
    if room:
        _lamp(build, (middle + float(rng.uniform(-300, 300)), top, 1700.0), DOWN, (600, 600), tint, room)
    if plan.light in ("ceiling", "mixed"):
        warm = WARM if plan.light == "mixed" else tint
        _lamp(build, (middle + float(rng.uniform(-500, 500)), top, float(rng.uniform(900, 1900))), DOWN, (450, 450), warm, 11.0)
    if plan.light in ("window", "mixed"):
        _side(build, plan, (900, 1100), COOL, 7.0 if plan.light == "window" else 4.0, 1250.0, float(rng.uniform(900, 1900)), rng)
    if plan.light == "mirror":
        _side(build, plan, (600, 70), WARM, 75.0, 1980.0, float(rng.uniform(700, 1300)), rng)
    if plan.light == "flash":
        at = (float(camera_mm[0]) + 14, float(camera_mm[1]) + 16, float(camera_mm[2]) + 5)
        _lamp(build, at, (0.0, -0.05, -1.0), (36, 36), DAY, 3600.0)
    if plan.light == "photographer":
        at = (float(camera_mm[0]) + float(rng.uniform(-500, 500)), top - 250, plan.length_mm - 60)
        _lamp(build, at, (0.0, -0.25, -1.0), (420, 420), tint, 45.0)
    if plan.light == "spots":
        for x in np.array([rng.uniform(-0.1, 0.2), rng.uniform(0.8, 1.1)]) * plan.opening.width_mm:
            _lamp(build, (float(x), top, float(rng.uniform(420, 560))), DOWN, (130, 130), tint, 110.0)
    _within(build, plan, rng)
    _person(build, plan, camera_mm)


def _within(build: Builder, plan: Plan, rng: np.random.Generator) -> None:
    """Behind the opening: a lamp in the shower, another room's lamp, a window's sky."""
    if plan.place in ("window", "niche"):
        return
    strength = 22.0 if plan.light == "inside" else float(rng.choice([4.0, 9.0, 16.0]))
    x = plan.opening.width_mm * float(rng.uniform(0.3, 0.7))
    z = -0.5 * (plan.depth_mm + plan.head_depth_mm)
    _lamp(build, (x, plan.ceiling_y - 6.0, z), DOWN, (260, 260), (SOFT, DAY, WARM)[int(rng.integers(3))], strength)


def _side(
    build: Builder,
    plan: Plan,
    size: tuple[float, float],
    rgb: RGB,
    strength: float,
    above_floor: float,
    z: float,
    rng: np.random.Generator,
) -> None:
    way = int(rng.choice([-1, 1]))
    x = -plan.beyond_mm[0] + 12 if way > 0 else plan.opening.width_mm + plan.beyond_mm[1] - 12
    _lamp(build, (x, above_floor - plan.base_mm, z), (float(way), 0.0, 0.0), size, rgb, strength)


def _lamp(
    build: Builder,
    at: tuple[float, float, float],
    to: tuple[float, float, float],
    size: tuple[float, float],
    rgb: RGB,
    strength: float,
) -> None:
    """A rectangle that shines one way; stronger ones are sampled more often, which takes out noise and changes no mean."""
    up = [0.0, 1.0, 0.0] if abs(to[1]) < 0.9 else [0.0, 0.0, 1.0]
    place = mi.ScalarTransform4f().look_at(list(at), [a + t for a, t in zip(at, to, strict=True)], up)
    place = place @ mi.ScalarTransform4f().scale([size[0] / 2, size[1] / 2, 1.0])
    glow = {"type": "rgb", "value": [strength * c for c in rgb]}
    weight = (strength * size[0] * size[1] / 1e6) ** 0.6
    emitter = {"type": "area", "radiance": glow, "sampling_weight": weight}
    build.add({"type": "rectangle", "to_world": place, "emitter": emitter, "bsdf": {"type": "diffuse"}})


def _person(build: Builder, plan: Plan, camera_mm: Array) -> None:
    """Behind the phone: what mirrors see and what stands in the light of a lamp at the back."""
    x, y, z = (float(c) for c in camera_mm)
    clothes, skin = plain((0.12, 0.13, 0.17)), plain((0.5, 0.36, 0.28))
    build.capped_rod((x, plan.floor_y, z + 330), (x, y - 60, z + 330), 190.0, clothes)
    build.ball((x, y + 60, z + 330), 115.0, skin)
    build.rod((x + 150, y - 250, z + 300), (x + 40, y - 30, z + 45), 38.0, clothes)
