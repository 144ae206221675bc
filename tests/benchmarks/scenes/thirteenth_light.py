"""Lamps, daylight, flash and sun of the thirteenth family."""

from __future__ import annotations

import cv2
import mitsuba as mi
import numpy as np

from sample_images.studio.camera import Camera
from sample_images.studio.shapes import Builder

from . import thirteenth_finishes as finishes
from . import thirteenth_surfaces as s
from .thirteenth_plan import Plan

WARM, DAY, COOL, TUBE = (1.0, 0.78, 0.52), (1.0, 0.97, 0.92), (0.75, 0.87, 1.0), (0.93, 1.0, 0.9)
LIGHTS = finishes.words(
    "panels panels bulb window_left window_right window_left window_right flash flash "
    "within tube grazing sun sun blinds wall_lamp behind dusk"
)


class Lamps:
    """Draws one or two ways of lighting, and a weak fill."""

    def __init__(self, build: Builder, plan: Plan, seen: Camera, rng: np.random.Generator) -> None:
        self.build, self.plan, self.seen, self.rng = build, plan, seen, rng
        self.width, self.top = plan.opening.width_mm, plan.ceiling_y - 6

    def light(self) -> list[str]:
        chosen = list(dict.fromkeys(str(finishes.pick(self.rng, LIGHTS)) for _ in range(int(self.rng.integers(1, 3)))))
        for name in chosen:
            getattr(self, "_" + name)()
        fill = float(finishes.pick(self.rng, (0.25, 0.6, 1.2)))
        self._lamp((self.width / 2, self.top, 2300), (0, -1, 0), (1800, 1500), DAY, fill)
        if self.rng.random() < 0.75 and self.plan.depth > 550:
            self._within()
        return chosen

    def _u(self, low: float, high: float) -> float:
        return float(self.rng.uniform(low, high))

    def _lamp(
        self,
        at: tuple[float, float, float],
        toward: tuple[float, float, float],
        size: tuple[float, float],
        rgb: s.RGB,
        strength: float,
    ) -> None:
        self.build.lamp(at, toward, size, tuple(strength * c for c in rgb))

    def _panels(self) -> None:
        for dx in (-0.4, 0.5):
            self._lamp((self.width * (0.5 + dx), self.top, self._u(900, 2400)), (0, -1, 0), (350, 350), DAY, 12)

    def _bulb(self) -> None:
        self._lamp((self._u(0, 1) * self.width, self.top - 150, self._u(600, 2200)), (0, -1, 0), (110, 110), WARM, 140)

    def _side(self, way: int) -> None:
        x = -self.plan.beyond[0] + 8 if way > 0 else self.width + self.plan.beyond[1] - 8
        self._lamp(
            (x, self.plan.floor_y + 1400, self._u(600, 2600)),
            (way, 0, 0),
            (self._u(500, 1200), self._u(700, 1300)),
            COOL if self.rng.random() < 0.5 else DAY,
            9,
        )

    def _window_left(self) -> None:
        self._side(1)

    def _window_right(self) -> None:
        self._side(-1)

    def _flash(self) -> None:
        r = self.seen.rotation
        at = self.seen.position_mm + r[0] * self._u(-25, 25) - r[1] * self._u(10, 40) + 8 * r[2]
        self._lamp(tuple(at), tuple(r[2]), (14, 14), DAY, 14000)

    def _within(self) -> None:
        top = (self.plan.inner_ceiling_y if self.plan.head == "lintel" else self.plan.ceiling_y) - 8
        z = -0.55 * self.plan.depth if self.plan.lintel < self.plan.depth else -0.5 * self.plan.depth
        if self.plan.lintel >= self.plan.depth:
            top = float(self.plan.opening.corners[2:, 1].min()) - 25
        side = min(180.0, 0.5 * self.plan.depth)
        self._lamp(
            (self._u(0.3, 0.7) * self.width, top, z),
            (0, -1, 0),
            (side, side),
            WARM if self.rng.random() < 0.5 else DAY,
            self._u(5, 30),
        )

    def _tube(self) -> None:
        self._lamp((self.width / 2 + self._u(-400, 400), self.top, self._u(500, 1500)), (0, -1, 0), (1200, 60), TUBE, 28)

    def _grazing(self) -> None:
        """Downlights close to the face: long shadows of all that stands proud."""
        for k in range(int(self.rng.integers(2, 5))):
            self._lamp((self.width * (-0.3 + 0.5 * k), self.top, self._u(120, 350)), (0, -1, 0), (80, 80), WARM, 70)

    def _wall_lamp(self) -> None:
        x = -0.6 * self.plan.beyond[0] if self.rng.random() < 0.5 else self.width + 0.6 * self.plan.beyond[1]
        self._lamp((x, self.top - 60, 160), (0.0, -1, 0.2), (120, 60), WARM, 60)

    def _behind(self) -> None:
        if self.plan.depth > 550:
            x = self._u(0.1, 0.9) * self.width
            self._lamp((x, self._u(0.5, 0.9) * self.top, 20 - self.plan.depth), (0, -0.3, 1), (300, 600), COOL, 18)
        else:
            self._panels()

    def _dusk(self) -> None:
        self._lamp((self._u(-0.2, 1.2) * self.width, self.plan.floor_y + 900, 3000), (0, 0.2, -1), (250, 250), WARM, 25)

    def _beam(self, mask: np.ndarray) -> None:
        """The sun through something: sharp patches of light on the face."""
        way = 1 if self.rng.random() < 0.5 else -1
        x = -self.plan.beyond[0] + 30 if way > 0 else self.width + self.plan.beyond[1] - 30
        at = [x, min(self.top - 100, self._u(900, 1900)), self._u(1500, 3000)]
        to = [self._u(0.1, 0.9) * self.width, self._u(0.2, 0.9) * self.plan.opening.height_mm, 0.0]
        place = mi.ScalarTransform4f().look_at(at, to, [0.2, 1.0, 0.0])
        sun = mask[..., None] * np.array([1.0, 0.85, 0.62]) * self._u(4e6, 2.5e7)
        self.build.add(
            {
                "type": "projector",
                "irradiance": s.bitmap(sun / 1e6, "clamp"),
                "fov": self._u(25, 50),
                "to_world": place,
                "scale": 4.0,
            }
        )

    def _sun(self) -> None:
        mask = np.zeros((256, 256), np.float32)
        for _ in range(int(self.rng.integers(1, 3))):
            a, b = self.rng.integers(20, 150, 2)
            mask[a : a + int(self.rng.integers(30, 100)), b : b + int(self.rng.integers(20, 100))] = 1
        self._beam(cv2.GaussianBlur(mask, (0, 0), self._u(0.8, 5)))

    def _blinds(self) -> None:
        rows = np.arange(256) % int(self.rng.integers(14, 40))
        mask = np.zeros((256, 256), np.float32)
        mask[20:236, 20:236] = (rows < 0.5 * rows.max())[20:236, None]
        self._beam(cv2.GaussianBlur(mask if self.rng.random() < 0.6 else mask.T.copy(), (0, 0), self._u(0.6, 2)))
