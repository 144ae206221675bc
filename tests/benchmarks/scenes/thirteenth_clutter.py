"""Clutter before and over the edges of the thirteenth family's openings."""

from __future__ import annotations

import numpy as np

from . import thirteenth_finishes as finishes
from . import thirteenth_surfaces as s
from .thirteenth_around import Around


class Cluttered(Around):
    """Stands, leans and hangs in front of the opening."""

    def clutter(self) -> list[str]:
        options = finishes.words("stool basket plant pole hanging mat_over bottles_front bucket ladder cable")
        chosen = [str(finishes.pick(self.rng, options)) for _ in range(int(self.rng.integers(0, 4)))]
        for name in dict.fromkeys(chosen):
            getattr(self, "_" + name)()
        return chosen

    def _spot(self) -> tuple[float, float, float]:
        return self._u(-0.3, 1.3) * self.width, self.plan.floor_y, self._u(120, 700)

    def _stool(self) -> None:
        (x, y, z), tall, wood = self._spot(), self._u(400, 480), self._paint(0.5)
        self.build.box((x - 160, y + tall - 30, z - 130), (x + 160, y + tall, z + 130), wood)
        for dx, dz in ((-130, -100), (110, -100), (-130, 100), (110, 100)):
            self.build.box((x + dx, y, z + dz), (x + dx + 25, y + tall - 30, z + dz + 25), wood)

    def _basket(self) -> None:
        x, y, z = self._spot()
        self.build.rod((x, y, z), (x, y + self._u(250, 550), z), self._u(120, 190), self._paint(0.4))

    def _bucket(self) -> None:
        x, y, z = self._spot()
        self.build.capped_rod((x, y, z), (x, y + 280, z), 140, self._paint(0.5))

    def _plant(self) -> None:
        x, y, z = self._spot()
        self.build.capped_rod((x, y, z), (x, y + 240, z), 120, self._paint(0.4))
        leaf = s.plain((0.06, self._u(0.12, 0.25), 0.05), 0.4)
        for _ in range(int(self.rng.integers(12, 30))):
            turn, lift = self._u(0, 2 * np.pi), self._u(250, 650)
            tip = (x + self._u(80, 260) * np.cos(turn), y + 240 + lift, max(z + 150 * np.sin(turn), 25.0))
            self.build.rod((x, y + 240, z), tip, 4, leaf)
            self.build.ball(tip, self._u(18, 42), leaf)

    def _pole(self) -> None:
        """A mop or a level that leans across an edge."""
        x = 0.0 if self.rng.random() < 0.5 else self.width
        self.build.rod(
            (x + self._u(-200, 200), self.plan.floor_y, self._u(150, 350)),
            (x + self._u(-90, 90), self.plan.floor_y + self._u(1000, 1500), 14),
            self._u(8, 16),
            self._paint(0.5),
        )

    def _ladder(self) -> None:
        x, y, z, paint = *self._spot(), self.bar
        for dx in (0, 380):
            self.build.box((x + dx, y, z), (x + dx + 25, y + 1150, z + 60), paint)
        for k in range(4):
            self.build.box((x, y + 230 + 260 * k, z), (x + 400, y + 255 + 260 * k, z + 80), paint)

    def _hanging(self) -> None:
        """A cloth that hangs over a part of an upright edge."""
        wide, tall = self._u(90, 260), self._u(200, 500)
        x = -self._u(0.3, 0.8) * wide if self.rng.random() < 0.5 else self.width - self._u(0.2, 0.7) * wide
        self._cloth_at(x, self._u(0.4, 0.9) * self.plan.opening.height_mm, (wide, tall), self._u(8, 30))

    def _mat_over(self) -> None:
        """A mat or cloth over the curb's edge."""
        if self.plan.bottom in ("curb", "tub", "sill"):
            self._cloth_at(
                self._u(0.1, 0.6) * self.width, self._u(6, 14), (self._u(0.1, 0.35) * self.width, self._u(80, 350)), self._u(2, 6)
            )

    def _bottles_front(self) -> None:
        for _ in range(int(self.rng.integers(1, 4))):
            x, y, z = self._spot()
            self.build.capped_rod((x, y, z), (x, y + self._u(150, 300), z), self._u(25, 50), self._paint(0.5))

    def _cable(self) -> None:
        x = self._u(0.05, 0.95) * self.width
        self.build.rod(
            (x, self.plan.floor_y, 60), (x + self._u(-200, 200), self.plan.ceiling_y, 40), self._u(3, 8), self._paint(0.7)
        )
