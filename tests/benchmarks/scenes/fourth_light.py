"""Light of the fourth family: only relations matter, the photo is metered afterwards."""

from __future__ import annotations

import numpy as np

from .fourth_base import RGB, Array, Builder, Lamp, Opening, Rng, chance, one_of

KINDS = ("ceiling", "window", "flash", "mixed", "behind", "spots", "mirror bar", "ceiling and flash", "one bulb")
WARM: tuple[RGB, ...] = ((1.0, 0.72, 0.42), (1.0, 0.8, 0.56), (1.0, 0.88, 0.72))
COOL: tuple[RGB, ...] = ((0.8, 0.9, 1.0), (0.9, 0.96, 1.0), (0.72, 0.86, 1.0))
DOWN = (0.0, -1.0, 0.0)


def lamps(rng: Rng, kind: str, opening: Opening, box: tuple[float, float, float, float, float], camera: Array) -> list[Lamp]:
    """box: x of the left and right wall, floor, ceiling, length of the room."""
    x0, x1, floor, ceiling, length = box
    warm, cool = one_of(rng, *WARM), one_of(rng, *COOL)
    tone = warm if chance(rng, 0.55) else cool
    found: list[Lamp] = []
    top = ceiling - 5
    if kind in ("ceiling", "mixed", "ceiling and flash"):
        for _ in range(int(rng.integers(1, 4))):
            side = float(rng.uniform(180, 600))
            found.append(
                _lamp((rng.uniform(x0 + 350, x1 - 350), top, rng.uniform(900, length - 600)), DOWN, (side, side), tone, 3e6)
            )
    if kind in ("window", "mixed"):
        left = chance(rng, 0.5)
        place = (x0 + 3 if left else x1 - 3, floor + 1450, float(rng.uniform(900, 2400)))
        found.append(_lamp(place, (1.0 if left else -1.0, 0, 0), (900, 1100), cool, 4e6))
    if kind in ("flash", "ceiling and flash"):
        at = camera + np.array([float(rng.normal(0, 6)), 14.0, 2.0])
        ahead = (float(opening.width_mm / 2 - at[0]), float(700 - at[1]), -float(at[2]))
        found.append(_lamp(tuple(at), ahead, (7, 7), (1, 0.97, 0.92), 3.2e6))
    if kind == "flash":
        found.append(_lamp(((x0 + x1) / 2, top, length - 500), DOWN, (400, 400), warm, 6e5))
    if kind == "spots":
        count = int(rng.integers(2, 5))
        for k in range(count):
            x = x0 + (k + 0.5) * (x1 - x0) / count
            found.append(_lamp((x, top, float(rng.uniform(550, 1000))), DOWN, (75, 75), tone, 1.6e6))
        found.append(_lamp(((x0 + x1) / 2, top, length - 700), DOWN, (250, 250), tone, 1.2e6))
    if kind == "mirror bar":
        left = chance(rng, 0.5)
        place = (x0 + 60 if left else x1 - 60, floor + 2000, float(rng.uniform(700, 1700)))
        found.append(_lamp(place, (1.0 if left else -1.0, -0.35, 0), (600, 50), tone, 2.6e6))
        found.append(_lamp(((x0 + x1) / 2, top, length - 500), DOWN, (300, 300), tone, 8e5))
    if kind == "one bulb":
        found.append(_lamp((rng.uniform(x0 + 500, x1 - 500), top - 120, rng.uniform(1100, 2000)), DOWN, (110, 110), warm, 4e6))
    if kind == "behind":
        found.append(_lamp((rng.uniform(x0 + 400, x1 - 400), top, rng.uniform(1200, 2200)), DOWN, (300, 300), tone, 1.8e6))
    return found


def _lamp(at: tuple[float, ...], toward: tuple[float, ...], size: tuple[float, float], rgb: RGB, power: float) -> Lamp:
    """Radiance from a power that is the same for large and small lamps."""
    glow = power / (size[0] * size[1])
    return Lamp((float(at[0]), float(at[1]), float(at[2])), toward, size, (glow * rgb[0], glow * rgb[1], glow * rgb[2]))


def inner_lamp(rng: Rng, kind: str, opening: Opening, ceiling: float, depth: float) -> list[Lamp]:
    """Over the shower or tub: often on, always where the light is said to come from behind."""
    if kind != "behind" and not chance(rng, 0.6):
        return []
    tone = one_of(rng, *WARM, *COOL)
    power = 3.5e6 if kind == "behind" else float(rng.uniform(3e5, 1.4e6))
    side = float(one_of(rng, 90, 160, 300))
    place = (float(opening.width_mm * rng.uniform(0.3, 0.7)), ceiling - 5, -0.55 * depth)
    return [_lamp(place, DOWN, (side, side), tone, power)]


def shine(build: Builder, lamp: Lamp, weight: float) -> None:
    """The studio's lamp with a share of the light paths of its own; the picture's mean does not depend on it."""
    import mitsuba as mi

    target = [a + b for a, b in zip(lamp.centre_mm, lamp.toward, strict=True)]
    up = [0.0, 1.0, 0.0] if abs(lamp.toward[1]) < 0.9 * float(np.linalg.norm(lamp.toward)) else [0.0, 0.0, 1.0]
    place = mi.ScalarTransform4f().look_at(list(lamp.centre_mm), target, up)
    place = place @ mi.ScalarTransform4f().scale([lamp.size_mm[0] / 2, lamp.size_mm[1] / 2, 1.0])
    glow = {"type": "area", "radiance": {"type": "rgb", "value": list(lamp.rgb)}, "sampling_weight": weight}
    build.add({"type": "rectangle", "to_world": place, "emitter": glow, "bsdf": {"type": "diffuse"}})


def weights(found: tuple[Lamp, ...], opening: Opening, depth: float) -> list[float]:
    """How strongly each lamp lights the wall face and what lies behind, the strongest 1."""
    x, y = np.meshgrid(np.linspace(-0.3, 1.3, 4) * opening.width_mm, np.linspace(0, 1.1, 4) * opening.height_mm)
    face = np.column_stack([x.ravel(), y.ravel(), np.zeros(x.size)])
    inner = face * [0.6, 0.8, 0] + [0.2 * opening.width_mm, 0, -0.8 * depth]
    levels = []
    for lamp in found:
        spots = inner if lamp.centre_mm[2] < 0 else face
        way = spots - np.array(lamp.centre_mm)
        far = np.linalg.norm(way, axis=1)
        leaving = np.maximum(way @ np.array(lamp.toward) / far / float(np.linalg.norm(lamp.toward)), 0)
        arriving = np.maximum(-way[:, 2] / far, 0.1)
        power = sum(lamp.rgb) * lamp.size_mm[0] * lamp.size_mm[1]
        levels.append(float((power * leaving * arriving / far**2).mean()) * (0.5 if lamp.centre_mm[2] < 0 else 1.0))
    most = max(levels, default=1.0)
    return [min(1.0, max(0.12, level / most)) for level in levels]
