"""Lamps, daylight and the person with the phone in the eighth rooms."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import mitsuba as mi
import numpy as np

from tests.benchmarks.scenes.eighth_looks import RGB, coated, plain_matt
from tests.benchmarks.scenes.eighth_walls import House

from studio.camera import Camera  # isort: skip  # on the path since eighth_looks
from studio.shapes import Builder  # isort: skip

WARM: RGB = (1.0, 0.82, 0.6)
WHITE: RGB = (1.0, 0.96, 0.9)
COOL: RGB = (0.8, 0.91, 1.0)


@dataclass
class Rig:
    """Lamps of one room by what they do; each kind gets its share of the light samples."""

    main: list[dict[str, Any]] = field(default_factory=list)
    behind: list[dict[str, Any]] = field(default_factory=list)
    fill: list[dict[str, Any]] = field(default_factory=list)

    def into(self, build: Builder) -> None:
        for lamps, share in ((self.main, 6.0), (self.behind, 3.0), (self.fill, 0.8)):
            for lamp in lamps:
                lamp["emitter"]["sampling_weight"] = share / len(lamps)
                build.add(lamp)


def pane(centre: tuple[float, ...], toward: tuple[float, ...], size: tuple[float, float], rgb: RGB) -> dict[str, Any]:
    """A glowing rectangle that shines in one direction."""
    up = [0.0, 1.0, 0.0] if abs(toward[1]) < 0.9 else [0.0, 0.0, 1.0]
    place = mi.ScalarTransform4f().look_at(list(centre), [float(c + t) for c, t in zip(centre, toward, strict=True)], up)
    place = place @ mi.ScalarTransform4f().scale([size[0] / 2, size[1] / 2, 1.0])
    return {"type": "rectangle", "to_world": place, "emitter": _emitter(rgb), "bsdf": {"type": "diffuse"}}


def _emitter(rgb: RGB) -> dict[str, Any]:
    return {"type": "area", "radiance": {"type": "rgb", "value": [float(c) for c in rgb]}}


def glow(rgb: RGB, by: float) -> RGB:
    return tuple(by * c for c in rgb)  # type: ignore[return-value]


def bulb(centre: tuple[float, float, float], radius: float, rgb: RGB) -> dict[str, Any]:
    """A glowing globe."""
    place = [float(c) for c in centre]
    return {"type": "sphere", "center": place, "radius": radius, "emitter": _emitter(rgb), "bsdf": {"type": "diffuse"}}


def light_up(build: Builder, house: House, camera: Camera, kind: str, rng: np.random.Generator) -> None:
    """The lamps of one kind of light, and what light there is behind the opening."""
    up, middle, rig = house.ceiling_y - 4, house.opening.width_mm / 2, Rig()
    tone: RGB = (WARM, WHITE, COOL)[rng.integers(3)]

    def panel(x: float, z: float, side: float, rgb: RGB) -> dict[str, Any]:
        return pane((x, up, z), (0, -1, 0), (side, side), rgb)

    behind = {"window": 0.5, "mixed": 0.5, "flash": 0.3, "inside": 1.7}.get(kind, 1.0)
    if kind == "ceiling":
        rig.main.append(panel(middle + rng.uniform(-600, 0), rng.uniform(1000, 1500), 380, glow(tone, 9)))
        rig.main.append(panel(middle + rng.uniform(0, 600), rng.uniform(1800, 2500), 380, glow(tone, 7)))
    elif kind in ("window", "mixed"):
        way = 1 if rng.random() < 0.5 else -1
        x = house.far[0] + 4 if way > 0 else house.far[1] - 4
        at = (x, house.floor_y + 1500, float(rng.uniform(1300, 2400)))
        rig.main.append(pane(at, (way, 0, 0), (1000, 1150), glow(COOL, 4.5)))
        if kind == "mixed":
            rig.main.append(bulb((middle + rng.uniform(-300, 300), up - 160, rng.uniform(1000, 1700)), 60, glow(WARM, 55)))
    elif kind == "flash":
        at = camera.position_mm + 16 * camera.rotation[0] - 9 * camera.rotation[1]
        rig.main.append(pane(tuple(map(float, at)), tuple(map(float, camera.rotation[2])), (13, 13), glow(WHITE, 5200)))
        rig.fill.append(panel(middle, 1600, 300, glow(WARM, 2.0)))
    elif kind == "spots":
        count = 3 if house.opening.width_mm < 1100 else 4
        for x in np.linspace(0.1, 0.9, count) * house.opening.width_mm:
            rig.main.append(panel(x + rng.uniform(-60, 60), rng.uniform(380, 620), 75, glow(tone, 95)))
        rig.fill.append(panel(middle, 2300, 75, glow(tone, 110)))
    elif kind == "inside":
        rig.main.append(panel(middle + rng.uniform(-400, 400), 1700, 380, glow(tone, 6.0)))
    else:
        side = house.far[0] + 90 if rng.random() < 0.5 else house.far[1] - 90
        rig.main.append(bulb((side, house.floor_y + 1850, rng.uniform(500, 900)), 75, glow(WARM, 45)))
        rig.fill.append(panel(middle, 2200, 350, glow(WHITE, 2.5)))
    if kind in ("window", "mixed", "inside"):
        rig.fill.append(panel(middle, 3300, 500, glow(WHITE, 0.9)))
    _light_behind(rig, house, behind, rng)
    rig.into(build)


def _light_behind(rig: Rig, house: House, behind: float, rng: np.random.Generator) -> None:
    up, middle = house.ceiling_y - 4, house.opening.width_mm / 2
    z = -(house.thick_mm + house.depth_mm) / 2
    tone: RGB = (WARM, WHITE)[rng.integers(2)]
    if house.kind in ("shower", "tub"):
        rig.behind.append(pane((middle, up, z), (0, -1, 0), (230, 230), glow(tone, behind * float(rng.uniform(8, 15)))))
    elif house.kind == "doorway":
        at = (middle + float(rng.uniform(-300, 300)), up, z)
        rig.behind.append(pane(at, (0, -1, 0), (400, 400), glow(tone, behind * float(rng.uniform(4, 9)))))
    elif house.kind == "window":
        top = float(house.opening.corners[:, 1].max())
        sky = glow(COOL, max(0.35, behind) * float(rng.uniform(0.7, 2.2)))
        size = (house.opening.width_mm + 200, top + 100)
        rig.behind.append(pane((middle, top / 2, -house.thick_mm - 30), (0, 0, 1), size, sky))
    elif house.kind == "recess" and rng.random() < 0.4:
        y = float(house.opening.corners[2:, 1].min()) - 8
        size = (0.8 * house.opening.width_mm, 12.0)
        rig.behind.append(pane((middle, y, -house.thick_mm + 25), (0, -1, 0), size, glow(WARM, 25)))


def person(build: Builder, house: House, camera: Camera, rng: np.random.Generator) -> None:
    """Whoever holds the phone: it darkens the room and is seen in mirrors."""
    x, y, z = (float(p) for p in camera.position_mm)
    shirt = plain_matt(tuple(float(c) for c in rng.uniform(0.05, 0.5, 3)))  # type: ignore[arg-type]
    skin, hair = plain_matt((0.45, 0.3, 0.22)), plain_matt((0.06, 0.04, 0.03))
    floor, back = house.floor_y, z + 330
    for side in (-1, 1):
        build.rod((x + side * 95, floor, back), (x + side * 95, floor + 860, back), 75, plain_matt((0.08, 0.09, 0.14)))
        shoulder = (x + side * 190, floor + 1380, back)
        build.rod(shoulder, (x + side * 230, y - 160, z + 190), 45, shirt)
        build.rod((x + side * 230, y - 160, z + 190), (x + side * 45, y - 40, z + 40), 38, skin)
        build.ball(shoulder, 70, shirt)
    build.capped_rod((x, floor + 800, back), (x, floor + 1420, back), 165, shirt)
    build.ball((x, floor + 1400, back), 150, shirt)
    build.ball((x, floor + 1620, back - 10), 105, skin)
    build.ball((x, floor + 1655, back + 15), 104, hair)
    build.box((x - 38, y - 70, z + 8), (x + 38, y + 80, z + 16), coated((0.03, 0.03, 0.035), 0.1))
