"""Look-alikes and other things on the face beside the openings of the thirteenth family."""

from __future__ import annotations

import numpy as np

from . import thirteenth_finishes as finishes
from . import thirteenth_surfaces as s
from .thirteenth_furniture import Furnished

Rect = tuple[float, float, float, float]


class Around(Furnished):
    """On the face beside the opening; keeps clear of what is in `taken`."""

    def dress(self, taken: list[Rect]) -> list[str]:
        self.taken = list(taken)
        options = finishes.words(
            "picture mirror_on door_on radiator_on switch cabinet_on panel panel pipe "
            "pilaster rail_on border_on towel hooks window_on shelf_over step mat mat"
        )
        chosen = [str(finishes.pick(self.rng, options)) for _ in range(int(self.rng.integers(1, 7)))]
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
        )

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
            out += float(finishes.pick(self.rng, (6, 6, 40)))
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

    def _step(self) -> bool:
        """A lower step before a curb or tub."""
        low = -self.plan.floor_y
        if self.plan.bottom not in ("curb", "tub") or low < 110:
            return False
        over, deep = self._u(-80, 120), self._u(180, 380)
        top = self.plan.floor_y + self._u(0.3, 0.6) * low
        at = (-over, self.plan.floor_y, 16.0)
        self.build.box(at, (self.width + over, top, deep), finishes.ledge(self.rng)[1])
        return True

    def _mat(self) -> bool:
        """A straight-sided mat on the floor along the opening."""
        x, wide, z = self._u(-0.2, 0.5) * self.width, self._u(400, 900), self._u(20, 450)
        surface = s.cloth(self.rng, finishes.tint(self.rng), finishes.tint(self.rng, 0.6))
        y = self.plan.floor_y
        self.build.box((x, y, z), (x + wide, y + 10, z + self._u(300, 600)), surface)
        return True

    def _hooks(self) -> bool:
        at = self._free((260, 60), self.plan.floor_y + 1400, self.plan.floor_y + 1900)
        for k in range(3 if at else 0):
            self.build.capped_rod((at[0] + 90 * k, at[1] + 30, 0), (at[0] + 90 * k, at[1] + 40, 55), 9, self.bar)
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
