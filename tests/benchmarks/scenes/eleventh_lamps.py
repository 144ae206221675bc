"""What lights the pictures: ceiling lamps, one bulb, a phone's flash, a side window, sun through bars, two colours at once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .eleventh_grain import RGB
from .eleventh_shell import SUN_Y, SUN_Z
from .eleventh_walls import Place

from studio.shapes import Builder  # isort: skip

KINDS = ("panels", "bulb", "flash", "side", "sun", "mixed", "inside", "dim")
WARM, WHITE, COLD = (1.0, 0.8, 0.58), (1.0, 0.95, 0.88), (0.72, 0.86, 1.0)


@dataclass(frozen=True)
class Light:
    """A way of lighting; side is that of the window, drawn numbers make two rooms differ."""

    kind: str
    side: int
    draw: tuple[float, ...]  # six numbers from 0 to 1


def times(rgb: RGB, strength: float) -> RGB:
    """A colour, brighter."""
    return (rgb[0] * strength, rgb[1] * strength, rgb[2] * strength)


def set_lights(build: Builder, place: Place, light: Light, camera_mm: np.ndarray) -> None:
    """Puts up the lamps."""
    weak = {"panels": 9.0, "dim": 5.0, "flash": 0.9, "bulb": 0.0, "side": 0.8, "sun": 6.0, "mixed": 0.0, "inside": 1.0}[
        light.kind
    ]
    middle, top, d = place.opening.width_mm / 2, place.ceiling_y - 6, light.draw
    if weak:
        for x, z in ((middle - 400 + 500 * d[0], 1150 + 500 * d[1]), (middle + 300 + 400 * d[2], 2300 + 600 * d[3])):
            build.lamp((_inside(place, x), top, z), (0, -1, 0), (380, 380), times(WHITE, weak))
    if light.kind == "flash":
        at = (float(camera_mm[0]) + 13, float(camera_mm[1]) + 9, float(camera_mm[2]) + 1)
        build.lamp(at, (0, 0, -1), (9, 9), times((1.0, 0.97, 0.93), 14000.0 + 9000 * d[4]))
    if light.kind in ("bulb", "mixed"):
        x, z = _inside(place, middle + 1400 * (d[0] - 0.5)), 700 + 1300 * d[1]
        _bulb(build, (x, top - 240, z), times(WARM, 45.0 if light.kind == "bulb" else 26.0))
    if light.kind in ("side", "mixed"):
        _window(build, place, light, 5.5 if light.kind == "side" else 3.6)
    if light.kind == "sun":
        _sun(build, place, light)
    if place.what in ("shower", "tub", "wardrobe") and (light.kind == "inside" or d[5] < 0.45):
        strength = 34.0 if light.kind == "inside" else 12.0
        x, z = middle + 300 * (d[2] - 0.5), -max(place.header_mm + 110, 0.5 * place.depth_mm)
        low = place.ceiling_y - 8 - place.slope * (-z)
        if -z < place.depth_mm - 110:
            build.lamp((x, low - 60, z), (0, -1, 0), (170, 170), times(WARM if d[4] < 0.6 else WHITE, strength))


def _inside(place: Place, x: float) -> float:
    low, high = place.x_range
    return float(np.clip(x, low + 260, high - 260))


def _bulb(build: Builder, at: tuple[float, float, float], rgb: RGB) -> None:
    glow = {"type": "area", "radiance": {"type": "rgb", "value": list(rgb)}}
    build.add({"type": "sphere", "center": list(at), "radius": 48.0, "emitter": glow})


def _window(build: Builder, place: Place, light: Light, strength: float) -> None:
    x = place.x_range[0] + 4 if light.side < 0 else place.x_range[1] - 4
    y, z = place.floor_y + 1350 + 200 * light.draw[2], 1150 + 900 * light.draw[3]
    build.lamp((x, y, z), (-light.side, 0, 0), (900, 1100), times(COLD, strength * (0.8 + 0.6 * light.draw[4])))


def _sun(build: Builder, place: Place, light: Light) -> None:
    """Sun through the hole in a side wall onto the wall beside or in the opening, and the sky before the hole."""
    x = place.x_range[0] if light.side < 0 else place.x_range[1]
    width = place.opening.width_mm
    target = np.array([width / 2 - light.side * width * (0.9 * light.draw[2] - 0.2), 300 + 900 * light.draw[3], 0.0])
    source = np.array([x, place.floor_y + sum(SUN_Y) / 2, sum(SUN_Z) / 2])
    way = (target - source) / np.linalg.norm(target - source)
    sun = {"type": "directional", "direction": way.tolist()}
    build.add({**sun, "irradiance": {"type": "rgb", "value": list(times((1.0, 0.9, 0.74), 1.8 + 1.8 * light.draw[4]))}})
