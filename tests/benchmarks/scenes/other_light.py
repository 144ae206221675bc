"""Eight kinds of light for the second family of rooms, drawn about an opening and the camera that looks at it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from other_build import HOLE, World
from studio.opening import Opening
from studio.room import Lamp
from studio.shapes import Builder

Rng = np.random.Generator
Triple = tuple[float, float, float]
BULB, WARM, DAY, SKY = (np.array(c) for c in ((1.0, 0.66, 0.34), (1.0, 0.82, 0.6), (1.0, 0.96, 0.9), (0.74, 0.88, 1.0)))
HEDGE = np.array([0.6, 0.9, 0.5])
FLUX = 13.6
"""radiance times area of a usual room's lamps, m^2: four times the first family's, so that the renderer's limit for a single path
(3.0) cuts off fireflies and burnt parts alone"""
SUN_FAR_MM, SUN_RADIUS_MM = 9000.0, 42.0  # half a degree across, as the sun is


@dataclass(frozen=True)
class Ball:
    """A glowing ball: a bulb, a flash, the sun."""

    centre_mm: np.ndarray
    radius_mm: float
    rgb: np.ndarray

    def make(self, build: Builder) -> None:
        """Add it, about the builder's own middle."""
        centre = self.centre_mm - getattr(build, "centre", np.zeros(3))
        glow = {"type": "area", "radiance": {"type": "rgb", "value": [float(c) for c in self.rgb]}}
        build.add({"type": "sphere", "center": list(centre), "radius": self.radius_mm, "emitter": glow})


@dataclass(frozen=True)
class Light:
    """Lamps and balls, the hole that lets the sun in, the mean colour of what lights the wall, and words."""

    lamps: tuple[Lamp, ...]
    balls: tuple[Ball, ...]
    hue: np.ndarray
    word: str
    hole: HOLE | None = None
    mirrored: bool = False


@dataclass(frozen=True)
class Place:
    """Where light can be put: the opening's middle (x), the room's sides and ceiling (above the curb), the camera."""

    opening: Opening
    world: World
    eye: np.ndarray

    @property
    def middle(self) -> float:
        return self.opening.width_mm / 2

    @property
    def top(self) -> float:
        return self.world.ceiling_mm - self.world.curb_height_mm - 4.0

    @property
    def walls(self) -> tuple[float, float]:
        return (-self.world.beyond_left_mm + 3, self.opening.width_mm + self.world.beyond_right_mm - 3)


def panel(at: Triple, toward: Triple, size: tuple[float, float], colour: np.ndarray) -> Lamp:
    """A rectangle of light; colour is radiance times area in the unit of FLUX."""
    return Lamp(at, toward, size, tuple(float(c) for c in colour / (size[0] * size[1] * 1e-6)))


def _overhead(rng: Rng, at: Place, colour: np.ndarray, side: float = 500.0) -> Lamp:
    x, z = at.middle + rng.uniform(-600, 600), rng.uniform(900, 2100)
    return panel((float(x), at.top, float(z)), (0, -1, 0), (side, side * 0.8), colour)


def _ceiling(rng: Rng, at: Place) -> Light:
    return Light((_overhead(rng, at, FLUX * DAY, float(rng.uniform(600, 1000))),), (), DAY, "a large ceiling light")


def _bulb_and_window(rng: Rng, at: Place) -> Light:
    radius = float(rng.uniform(30, 60))
    where = np.array([at.middle + rng.uniform(-500, 500), at.top - rng.uniform(150, 350), rng.uniform(900, 1700)])
    share = float(rng.uniform(0.35, 0.65))
    bulb = Ball(where, radius, BULB * FLUX * share / (4 * np.pi * radius**2 * 1e-6) * 2)
    day = _window(rng, at, FLUX * (1 - share) * SKY)
    return Light((day,), (bulb,), share * BULB + (1 - share) * SKY, "a warm bulb and a cool window")


def _window(rng: Rng, at: Place, colour: np.ndarray) -> Lamp:
    right = rng.random() < 0.5
    place = (at.walls[1] if right else at.walls[0], float(rng.uniform(1150, 1450)), float(rng.uniform(900, 2200)))
    return panel(place, (-1 if right else 1, 0, 0), (float(rng.uniform(600, 1000)), float(rng.uniform(900, 1200))), colour)


def _side_window(rng: Rng, at: Place) -> Light:
    lamps = (_window(rng, at, FLUX * 1.2 * SKY), _overhead(rng, at, 0.25 * FLUX * DAY))
    return Light(lamps, (), 0.8 * SKY + 0.2 * DAY, "daylight from one side")


def _flash(rng: Rng, at: Place) -> Light:
    """A flash beside the lens and a little light from elsewhere; it gives the wall about four times the rest."""
    beside = np.array([rng.uniform(8, 18) * rng.choice([-1, 1]), rng.uniform(4, 16), 2.0])
    radius, far = 4.0, at.eye[2]
    power = 4.0 * far**2 / (np.pi * radius**2)
    rest = _overhead(rng, at, 0.25 * FLUX * WARM)
    return Light((rest,), (Ball(at.eye + beside, radius, power * DAY),), DAY, "a flash on the camera")


def _inside(rng: Rng, at: Place) -> Light:
    return Light((_overhead(rng, at, 0.3 * FLUX * WARM),), (), WARM, "light mostly from behind the opening")


def _sun(rng: Rng, at: Place) -> Light:
    """A slit in a side wall lets a stripe of sun fall across the wall near an edge of the opening."""
    right = bool(rng.random() < 0.5)
    x = at.walls[1] + 3 if right else at.walls[0] - 3
    aim = np.array([at.middle + (0.5 if rng.random() < 0.5 else -0.5) * at.opening.width_mm, 0.0, 0.0])
    aim[1] = at.opening.height_mm * rng.uniform(0.35, 0.6)
    z = rng.uniform(0.75, 1.2) * abs(x - aim[0])
    middle = np.array([x, aim[1] + rng.uniform(0.3, 0.45) * float(np.hypot(x - aim[0], z)), z])
    middle[1] = min(middle[1], at.top - 350.0)
    way = (middle - aim) / np.linalg.norm(middle - aim)
    wide, tall = float(rng.uniform(90, 260)), float(rng.uniform(500, 650))
    hole = (float(z - wide / 2), float(z + wide / 2), float(middle[1] - tall / 2), float(middle[1] + tall / 2))
    strength = float(rng.uniform(4.0, 7.0)) * SUN_FAR_MM**2 / (np.pi * SUN_RADIUS_MM**2)
    sun = Ball(middle + SUN_FAR_MM * way, SUN_RADIUS_MM, strength * DAY)
    lamps = (_overhead(rng, at, 0.7 * FLUX * SKY, 900.0),)
    return Light(lamps, (sun,), 0.7 * SKY + 0.3 * DAY, "a stripe of sun across the wall", hole, right)


def _spots(rng: Rng, at: Place) -> Light:
    count = int(rng.integers(3, 6))
    xs = at.middle + (np.arange(count) - (count - 1) / 2) * rng.uniform(350, 520) + rng.uniform(-120, 120)
    z = float(rng.uniform(420, 800))
    lamps = tuple(panel((float(x), at.top, z), (0, -1, 0), (70, 70), FLUX / count * WARM) for x in xs)
    return Light(lamps, (), WARM, f"{count} spots near the wall")


def _tube(rng: Rng, at: Place) -> Light:
    right = rng.random() < 0.5
    place = (at.walls[1] if right else at.walls[0], float(rng.uniform(1500, 1750)), float(rng.uniform(700, 1400)))
    tube = panel(place, (-1 if right else 1, 0, 0), (float(rng.uniform(600, 1100)), 45.0), FLUX * 0.8 * DAY)
    return Light((tube, _overhead(rng, at, 0.2 * FLUX * WARM)), (), 0.8 * DAY + 0.2 * WARM, "a tube on a side wall")


KINDS: dict[str, Callable[[Rng, Place], Light]] = {
    "ceiling": _ceiling,
    "bulb": _bulb_and_window,
    "flash": _flash,
    "inside": _inside,
    "sun": _sun,
    "side": _side_window,
    "spots": _spots,
    "tube": _tube,
}


def behind(rng: Rng, at: Place, kind: str) -> tuple[Lamp, ...]:
    """What shines behind the opening: over the tray, in the passage, or outside the window."""
    share = {"inside": 1.2, "flash": 0.05}.get(kind, float(np.exp(rng.uniform(np.log(0.12), np.log(0.7)))))
    colour = 4 * share * (WARM if rng.random() < 0.6 else SKY)
    deep, of = at.world.alcove_depth_mm, at.opening
    if at.world.kind == "window":
        if at.world.panes is not None:
            return ()
        z, area = -at.world.reveal_mm - 350.0, (of.width_mm + 900) * (of.height_mm + 900) * 1e-6
        low = of.corners[:, 1].min() - 450
        half = (of.height_mm + 900) * float(rng.uniform(0.3, 0.55))
        glow = {"inside": 3.6, "flash": 0.08}.get(kind, float(rng.uniform(0.8, 2.0))) * area
        rest, wide = of.height_mm + 900 - half, of.width_mm + 900
        hedge = panel((at.middle, low + half / 2, z), (0, 0, 1), (wide, half), 0.25 * glow * HEDGE)
        return hedge, panel((at.middle, low + half + rest / 2, z), (0, 0, 1), (wide, rest), glow * SKY)
    if at.world.kind == "door":
        place = (float(at.middle + rng.uniform(-400, 400)), at.top, float(-at.world.reveal_mm - rng.uniform(0.3, 0.7) * deep))
        return (panel(place, (0, -1, 0), (400, 300), 1.3 * colour),)
    place = (float(at.middle + rng.uniform(-0.25, 0.25) * of.width_mm), at.top, float(rng.uniform(-0.7, -0.35) * deep))
    side = 480.0 if kind == "inside" else 180.0
    return (panel(place, (0, -1, 0), (side, 0.8 * side), colour),)
