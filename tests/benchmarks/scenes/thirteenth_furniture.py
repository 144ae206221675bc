"""Furniture behind the openings of the thirteenth family."""

from __future__ import annotations

import numpy as np

from . import thirteenth_finishes as finishes
from . import thirteenth_surfaces as s
from .thirteenth_inside import Inside


class Furnished(Inside):
    """The inside with larger things."""

    def _frame(self, *rest: object) -> None:
        if rest:
            super()._frame(*rest)
        else:
            self._frame_on(self._paint(0.5))

    def _mirror(self) -> None:
        low, top = max(self.floor + 20, 120.0), self.top
        self.build.box(
            (0.08 * self.width, low, self.far), (0.92 * self.width, top, self.far + 5), s.metal((0.85, 0.87, 0.87), 0.02)
        )

    def _closet(self) -> None:
        x, y, z = 0.5 * self.width, self.plan.floor_y, self.far
        self.build.box((x - 190, y, z), (x + 190, y + 380, z + 150), self.white)
        self.build.capped_rod((x, y + 180, z + 330), (x, y + 400, z + 330), 180, self.white)
        self.build.capped_rod((x, y + 400, z + 330), (x, y + 425, z + 330), 190, self._paint(0.2))
        self.build.box((x - 200, y + 380, z), (x + 200, y + 780, z + 170), self.white)
        self.build.box((x - 120, y + 1000, z), (x + 120, y + 1150, z + 6), self.bar)

    def _basin(self) -> None:
        x, y, z = (
            0.5 * self.width,
            max(self.floor, 0.0) if self.plan.kind == "basin alcove" else self.plan.floor_y + 820,
            self.far,
        )
        self.build.capped_rod((x, y, z + 240), (x, y + 130, z + 240), 200, self.white)
        self.build.rod((x, y, z + 50), (x, y + 300, z + 50), 13, self.bar)
        self.build.rod((x, y + 300, z + 50), (x, y + 280, z + 200), 12, self.bar)

    def _radiator(self) -> None:
        x, y = self._u(0, 0.5) * self.width, self.plan.floor_y + self._u(150, 500)
        tall, wide = self._u(500, 1100), self._u(350, 550)
        for k in range(int(tall / 70)):
            self.build.rod((x, y + 70 * k, self.far + 60), (x + wide, y + 70 * k, self.far + 60), 12, self.white)
        for dx in (0.0, wide):
            self.build.rod((x + dx, y, self.far + 60), (x + dx, y + tall, self.far + 60), 17, self.white)

    def _washer(self) -> None:
        x, y, z = 0.5 * self.width, self.plan.floor_y, self.far
        front = min(z + 600, -40.0)
        self.build.box((x - 298, y, z), (x + 298, y + 845, front), self.white)
        self.build.capped_rod((x, y + 430, front), (x, y + 430, front + 18), 170, self.bar)
        self.build.disc((x, y + 430, front + 19), np.array([0, 0, 1.0]), 130, s.plain((0.04, 0.04, 0.05), 0.05))

    def _cupboard(self) -> None:
        x, wide, deep = self.x0, self._u(0.4, 1.0) * (self.x1 - self.x0), min(0.5 * self.plan.depth, 500.0)
        body, count = self._paint(0.4), int(self.rng.integers(2, 5))
        top = self._u(0.4, 1.0) * (self.top - self.floor) + self.floor
        self.build.box((x, self.floor, self.far), (x + wide, top, self.far + deep), body)
        for k in range(count):
            a, b = x + wide * k / count + 4, x + wide * (k + 1) / count - 4
            self._frame((a, self.floor + 8), (b, top - 8), self.far + deep, (self._u(40, 80), 12), body)
            self.build.rod((b - 40, top - 300, self.far + deep + 30), (b - 40, top - 180, self.far + deep + 30), 6, self.bar)

    def _table(self) -> None:
        wood = s.timber(self.rng, finishes.pick(self.rng, finishes.WOODS), 120, 1, False)
        x, y, z = self._u(0, 0.4) * self.width, self.plan.floor_y + self._u(700, 760), self.far + 500
        self.build.box((x, y, z - 350), (x + 900, y + 35, z + 350), wood)
        for dx, dz in ((40, -300), (840, -300), (40, 300), (840, 300)):
            self.build.box((x + dx, self.plan.floor_y, z + dz), (x + dx + 45, y, z + dz + 45), wood)

    def _door(self) -> None:
        x, y, wide, tall = self._u(-0.1, 0.3) * self.width, self.plan.floor_y, self._u(650, 800), self._u(1950, 2050)
        leaf = self._paint(0.3)
        self.build.box((x, y, self.far), (x + wide, y + tall, self.far + 15), leaf)
        self._frame((x - 70, y - 70), (x + wide + 70, y + tall + 70), self.far, (70, 28), self._paint(0.2))
        for low, top in ((0.1, 0.45), (0.52, 0.93)):
            self._frame((x + 110, y + low * tall), (x + wide - 110, y + top * tall), self.far + 15, (20, 8), leaf)

    def _logs(self) -> None:
        wood = s.timber(self.rng, finishes.WOODS[1], 120, 1, False)
        for k in range(int(self.rng.integers(3, 8))):
            y, x = self.plan.floor_y + 60 + 80 * (k // 3), 0.25 * self.width + 0.22 * self.width * (k % 3)
            self.build.capped_rod((x, y, self.far + 30), (x + self._u(-60, 60), y, -60), self._u(35, 50), wood)

    def _clothes(self) -> None:
        y, z = self.top - 120, -0.55 * self.plan.depth
        self.build.rod((self.x0, y, z), (self.x1, y, z), 14, self.bar)
        for _ in range(int(self.rng.integers(4, 12))):
            x, tall = self._u(0.05, 0.9) * self.width, self._u(600, 1100)
            self.build.box((x, y - tall, z - 200), (x + self._u(20, 50), y - 40, z + 200), self._paint(0.6))

    def _books(self) -> None:
        x = self._u(0.02, 0.3) * self.width
        while x < 0.85 * self.width:
            wide, tall = self._u(15, 55), min(self._u(170, 280), self.top - self.floor - 20)
            self.build.box(
                (x, self.floor, self.far), (x + wide, self.floor + tall, self.far + self._u(120, 160)), self._paint(0.6)
            )
            x += wide + (self._u(0, 120) if self.rng.random() < 0.15 else 1.0)
