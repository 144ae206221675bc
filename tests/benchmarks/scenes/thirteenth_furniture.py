"""Furniture behind and look-alikes beside the openings of the thirteenth family, and clutter before them."""

from __future__ import annotations

import numpy as np

from . import thirteenth_finishes as finishes
from . import thirteenth_surfaces as s
from .thirteenth_inside import Inside

Rect = tuple[float, float, float, float]


class Furnished(Inside):
    """The inside with larger things."""

    def _frame(self, *rest: object) -> None:
        if rest:
            super()._frame(*rest)  # type: ignore[arg-type]
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
        wood = s.timber(self.rng, finishes.pick(self.rng, finishes.WOODS), 120, 1, False)  # type: ignore[arg-type]
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


class Around(Furnished):
    """On the face beside the opening and in front of it; keeps clear of what is in `taken`."""

    def dress(self, taken: list[Rect]) -> list[str]:
        self.taken = list(taken)
        options = [
            "picture",
            "mirror_on",
            "door_on",
            "radiator_on",
            "switch",
            "cabinet_on",
            "panel",
            "panel",
            "pipe",
            "pilaster",
            "rail_on",
            "border_on",
            "towel",
            "hooks",
            "window_on",
            "shelf_over",
        ]
        chosen = [str(finishes.pick(self.rng, options)) for _ in range(int(self.rng.integers(1, 6)))]
        done = [name for name in dict.fromkeys(chosen) if getattr(self, "_" + name)()]
        self._skirting()
        return done

    def _free(self, size: tuple[float, float], low: float, top: float) -> tuple[float, float] | None:
        """A place on the face for a rectangle, beside the opening."""
        for _ in range(8):
            left = self.rng.random() < 0.5
            side = self.plan.profiles["left" if left else "right"]
            out = side.front_mm + side.gap_mm if side.casing is None else side.casing[0] + side.casing[1]
            far = self.plan.beyond[0 if left else 1]
            room = far - out - size[0] - 25
            if room < 0:
                continue
            gap = out + 20 + self._u(0, room)
            x = -gap - size[0] if left else self.width + gap
            y = self._u(low, max(low, top - size[1]))
            if all(x > r[2] + 15 or x + size[0] < r[0] - 15 or y > r[3] + 15 or y + size[1] < r[1] - 15 for r in self.taken):
                self.taken.append((x, y, x + size[0], y + size[1]))
                return x, y
        return None

    def _flat(self, size: tuple[float, float], proud: float, fill: s.Surface, frame: float) -> bool:
        floor = self.plan.floor_y
        at = self._free(size, floor + 700, min(self.plan.ceiling_y - 100, floor + 2000))
        if at is None:
            return False
        x, y = at
        self.build.box((x, y, -14), (x + size[0], y + size[1], proud), fill)
        if frame:
            self._frame(at, (x + size[0], y + size[1]), 0.0, (frame, proud + 10), self._paint(0.6))
        return True

    def _picture(self) -> bool:
        fill = s.wallpaper(
            self.rng,
            finishes.tint(self.rng),
            finishes.tint(self.rng, 0.8),
            str(finishes.pick(self.rng, ("leaves", "check", "dots"))),
        )
        return self._flat((self._u(120, 450), self._u(120, 600)), 8, fill, self._u(8, 40))

    def _mirror_on(self) -> bool:
        return self._flat(
            (self._u(200, 500), self._u(300, 900)),
            5,
            s.metal((0.85, 0.87, 0.87), 0.02),
            float(finishes.pick(self.rng, (0, 20, 40))),
        )  # type: ignore[arg-type]

    def _cabinet_on(self) -> bool:
        return self._flat((self._u(200, 500), self._u(300, 800)), self._u(100, 180), self._paint(0.3), 0)

    def _window_on(self) -> bool:
        return self._flat((self._u(250, 500), self._u(400, 900)), 2, s.plain((0.02, 0.025, 0.035), 0.05), self._u(35, 60))

    def _switch(self) -> bool:
        return self._flat((82, 82), 9, self.white if self.rng.random() < 0.7 else self.bar, 0)

    def _panel(self) -> bool:
        """A moulding that frames an empty field."""
        size = (self._u(150, 600), self._u(400, 1300))
        at = self._free(size, self.plan.floor_y + 200, self.plan.ceiling_y - 150)
        if at:
            moulding = self.surfaces_trim()
            self._frame(at, (at[0] + size[0], at[1] + size[1]), 0.0, (self._u(12, 40), self._u(6, 16)), moulding)
        return at is not None

    def surfaces_trim(self) -> s.Surface:
        return self.plan.surfaces[str(finishes.pick(self.rng, ("trim", "face")))]

    def _door_on(self) -> bool:
        """A second doorway beside the opening, from the floor up: dark, or with a leaf."""
        size = (self._u(350, 800), self._u(1950, 2050))
        at = self._free(size, self.plan.floor_y, self.plan.floor_y + size[1])
        if at:
            leaf = s.plain((0.02, 0.02, 0.02)) if self.rng.random() < 0.5 else self._paint(0.3)
            self.build.box((at[0], at[1], -14), (at[0] + size[0], at[1] + size[1], 1.5), leaf)
            self._frame(
                (at[0], at[1] - 90), (at[0] + size[0], at[1] + size[1]), 0.0, (self._u(40, 90), self._u(10, 20)), self._paint(0.2)
            )
        return at is not None

    def _radiator_on(self) -> bool:
        wide, tall = self._u(150, 500), self._u(500, 1400)
        at = self._free((wide, tall), self.plan.floor_y + 150, self.plan.floor_y + 1800)
        if at:
            for k in range(int(tall / 80)):
                self.build.rod((at[0], at[1] + 80 * k, 55), (at[0] + wide, at[1] + 80 * k, 55), 11, self.bar)
            for dx in (0.0, wide):
                self.build.rod((at[0] + dx, at[1], 55), (at[0] + dx, at[1] + tall, 55), 16, self.bar)
        return at is not None

    def _pipe(self) -> bool:
        at = self._free((40, 400), self.plan.floor_y, self.plan.ceiling_y)
        clear = at and all(r[2] < at[0] - 5 or r[0] > at[0] + 45 for r in self.taken[:-1])
        if at and clear:
            surface = finishes.bar(self.rng)[1] if self.rng.random() < 0.5 else self.white
            for dx in (0, 30)[: int(self.rng.integers(1, 3))]:
                self.build.rod(
                    (at[0] + dx, self.plan.floor_y, 18), (at[0] + dx, self.plan.ceiling_y, 18), self._u(6, 14), surface
                )
        return bool(clear)

    def _pilaster(self) -> bool:
        wide = self._u(60, 200)
        at = self._free((wide, 400), self.plan.floor_y, self.plan.ceiling_y)
        clear = at and all(r[2] < at[0] - 15 or r[0] > at[0] + wide + 15 for r in self.taken[:-1])
        if at and clear:
            self.taken.append((at[0], -1e4, at[0] + wide, 1e4))
            surface = self.plan.surfaces["face"] if self.rng.random() < 0.5 else self._paint()
            self.build.box((at[0], self.plan.floor_y, -14), (at[0] + wide, self.plan.ceiling_y, self._u(12, 60)), surface)
        return bool(clear)

    def _level_strip(self, surface: s.Surface, tall: float, proud: float) -> bool:
        """A rail or course along the face, up to near the edges; it misses the cards."""
        for _ in range(6):
            y = self.plan.floor_y + self._u(400, 1700)
            if all(y > r[3] + 8 or y + tall < r[1] - 8 for r in self.taken):
                break
        else:
            return False
        for side, way in (("left", -1), ("right", 1)):
            profile = self.plan.profiles[side]
            out = profile.front_mm + profile.gap_mm if profile.casing is None else profile.casing[0] + profile.casing[1]
            out += float(finishes.pick(self.rng, (6, 6, 40)))  # type: ignore[arg-type]
            start = -out if way < 0 else self.width + out
            end = -self.plan.beyond[0] if way < 0 else self.width + self.plan.beyond[1]
            if abs(end - start) > 20 and (end - start) * way > 0:
                self.build.box((min(start, end), y, -14), (max(start, end), y + tall, proud), surface)
        return True

    def _rail_on(self) -> bool:
        return self._level_strip(self.surfaces_trim(), self._u(30, 70), self._u(8, 22))

    def _border_on(self) -> bool:
        return self._level_strip(s.tiles(self.rng, finishes.tile_look(self.rng, small=True)), self._u(40, 150), self._u(0.4, 2))

    def _skirting(self) -> None:
        if not self.plan.skirting:
            return
        self.plan_y, tall = self.plan.floor_y, self.plan.skirting
        for side, way in (("left", -1), ("right", 1)):
            profile = self.plan.profiles[side]
            out = profile.front_mm + profile.gap_mm if profile.casing is None else profile.casing[0] + profile.casing[1]
            start = -out - 4 if way < 0 else self.width + out + 4
            end = -self.plan.beyond[0] if way < 0 else self.width + self.plan.beyond[1]
            if (end - start) * way > 20:
                self.build.box(
                    (min(start, end), self.plan_y, -14), (max(start, end), self.plan_y + tall, 14), self.plan.surfaces["trim"]
                )

    def _hooks(self) -> bool:
        at = self._free((260, 60), self.plan.floor_y + 1400, self.plan.floor_y + 1900)
        for k in range(3 if at else 0):
            self.build.capped_rod((at[0] + 90 * k, at[1] + 30, 0), (at[0] + 90 * k, at[1] + 40, 55), 9, self.bar)  # type: ignore[index]
        return at is not None

    def _towel(self) -> bool:
        wide, tall = self._u(150, 450), self._u(400, 800)
        at = self._free((wide, tall), self.plan.floor_y + 500, self.plan.floor_y + 1700)
        if at:
            self._cloth_at(at[0], at[1] + tall, (wide, tall), 60.0)
            self.build.rod((at[0] - 20, at[1] + tall, 60), (at[0] + wide + 20, at[1] + tall, 60), 9, self.bar)
        return at is not None

    def _cloth_at(self, x: float, top: float, size: tuple[float, float], z: float) -> None:
        across = np.linspace(0, 1, 61)
        wave = z + 12 + 6 * np.sin(2 * np.pi * self._u(2, 5) * across)
        a = np.column_stack([x + size[0] * across, np.full(61, top - size[1]), wave])
        b = np.column_stack([x + size[0] * across, np.full(61, top), np.full(61, z + 10)])
        surface = s.cloth(self.rng, finishes.tint(self.rng), finishes.tint(self.rng, 0.6))
        self.build.strip(a, b, a[:, :2], b[:, :2], surface)

    def _shelf_over(self) -> bool:
        if self.plan.head != "lintel" or self.plan.kind in ("wall niche", "mirror recess", "pass-through"):
            return False
        y = float(self.plan.opening.corners[2:, 1].max()) + self._u(40, 180)
        if any(y < r[3] + 10 and y + 40 > r[1] - 120 for r in self.taken):
            return False
        self.build.box(
            (self._u(-120, 60), y, 0),
            (self.width + self._u(-60, 120), y + self._u(18, 40), self._u(60, 180)),
            finishes.ledge(self.rng)[1],
        )
        return True

    # -- before the opening --------------------------------------------------------------------------------------------------

    def clutter(self) -> list[str]:
        options = ["stool", "basket", "plant", "pole", "hanging", "mat_over", "bottles_front", "bucket", "ladder", "cable"]
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
