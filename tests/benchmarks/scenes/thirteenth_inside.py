"""What is seen through an opening of the thirteenth family: fittings, furniture, panes."""

from __future__ import annotations

import itertools
from collections.abc import Callable

import numpy as np

from sample_images.studio.shapes import Builder

from . import thirteenth_finishes as finishes
from . import thirteenth_surfaces as s
from .thirteenth_patterns import noise
from .thirteenth_plan import Plan

INSIDE: dict[str, str] = {
    "shower with a curb": "shower shelf inset window curtain rail border bench frame",
    "walk-in shower": "shower shelf inset window rail border bench post frame",
    "tub alcove": "tub tub tub shower inset window curtain rail border shelf frame",
    "wet room": "shower closet basin window radiator border post",
    "over a half wall": "shower inset window rail border post frame",
    "steam shower": "bench shower rail border inset",
    "wall niche": "shelf bottles bottles shelf border",
    "window over the tub": "window window window bottles",
    "mirror recess": "mirror mirror shelf bottles cupboard",
    "closet recess": "closet closet closet frame border window cupboard",
    "laundry recess": "washer washer washer shelf cupboard",
    "basin alcove": "basin basin mirror mirror tap_wall bottles frame",
    "doorway": "cupboard table frame window door radiator curtain",
    "window recess": "window window window curtain bottles",
    "pass-through": "cupboard table frame window shelf",
    "glazed porch": "window window radiator bottles door",
    "fireplace": "logs logs logs",
    "wardrobe": "clothes clothes shelf shelf rail",
    "book niche": "shelf shelf books books bottles",
}


class Inside:
    """Puts two to five things into the space behind the face."""

    def __init__(self, build: Builder, plan: Plan, rng: np.random.Generator) -> None:
        self.build, self.plan, self.rng = build, plan, rng
        self.x0, self.x1 = -plan.wider[0], plan.opening.width_mm + plan.wider[1]
        self.width, self.far = plan.opening.width_mm, -plan.depth
        sill = plan.bottom == "sill" and plan.wall is None and plan.ledge_depth >= plan.depth
        self.floor = 8.0 if sill else (plan.floor_y if plan.bottom == "sill" else plan.inner_floor_y)
        self.top = float(plan.opening.corners[2:, 1].min()) - 20
        self.bar = finishes.bar(rng)[1]
        self.white = s.plain((0.82, 0.82, 0.8), 0.08)
        self.things: list[str] = []

    def fill(self) -> list[str]:
        options = INSIDE[self.plan.kind].split()
        chosen = list(
            dict.fromkeys([options[0]] + [str(finishes.pick(self.rng, options)) for _ in range(int(self.rng.integers(1, 5)))])
        )
        if self.plan.kind == "tub alcove":
            self._basin_of_tub()
        for name in chosen:
            method: Callable[[], None] = getattr(self, "_" + name)
            method()
        return chosen

    def _u(self, low: float, high: float) -> float:
        return float(self.rng.uniform(low, max(high, low + 1e-3)))

    def _paint(self, dark: float = 0.3) -> s.Surface:
        return s.plain(finishes.tint(self.rng, dark), float(finishes.pick(self.rng, (0.1, 0.3, 1.0))))

    def _frame(
        self, low: tuple[float, float], high: tuple[float, float], z: float, bar: tuple[float, float], surface: s.Surface
    ) -> None:
        """Four bars around a rectangle: width and thickness."""
        (x0, y0), (x1, y1), (w, t) = low, high, bar
        for a, b in (
            ((x0, y0), (x1, y0 + w)),
            ((x0, y1 - w), (x1, y1)),
            ((x0, y0 + w), (x0 + w, y1 - w)),
            ((x1 - w, y0 + w), (x1, y1 - w)),
        ):
            self.build.box((*a, z), (*b, z + t), surface)

    def _shower(self) -> None:
        right = self.rng.random() < 0.5
        wall_x, y = (self.x1 if right else self.x0), self._u(1000, 1200) + self.plan.floor_y
        back = self.rng.random() < 0.6
        x = self._u(0.2, 0.8) * self.width if back else wall_x + (-45 if right else 45)
        z = self.far + 45 if back else self.far * self._u(0.4, 0.7)
        head = self.plan.floor_y + self._u(1900, 2100)
        self.build.rod((x, y - 200, z), (x, head, z), 10, self.bar)
        self.build.capped_rod((x - 130, y, z), (x + 130, y, z), 22, self.bar)
        tip = (x, head, z + self._u(200, 350))
        self.build.rod((x, head, z), tip, 9, self.bar)
        self.build.capped_rod(tip, (tip[0], tip[1] - 12, tip[2]), self._u(70, 130), self.bar)
        t = np.linspace(0, 1, 9)
        hose = np.stack([x + 60 * np.sin(np.pi * t), y - 30 - 420 * np.sin(np.pi * t) + 500 * t, np.full(9, z + 35)], 1)
        for a, b in itertools.pairwise(hose):
            self.build.rod(tuple(a), tuple(b), 7, self.bar)

    def _shelf(self) -> None:
        count, deep = int(self.rng.integers(1, 4)), min(self._u(80, 260), 0.8 * self.plan.depth)
        surface = finishes.ledge(self.rng)[1]
        for k in range(count):
            y = self.floor + (k + 1) / (count + 1) * (self.top - self.floor)
            self.build.box(
                (self.x0, y, self.far),
                (self.x1 if self.rng.random() < 0.7 else 0.4 * self.width, y + self._u(6, 30), self.far + deep),
                surface,
            )
            self._row(y + 30, self.far + deep / 2, int(self.rng.integers(0, 4)))

    def _row(self, y: float, z: float, count: int) -> None:
        for _ in range(count):
            x, r, h = self._u(0.1, 0.9) * self.width, self._u(18, 38), self._u(70, 210)
            self.build.capped_rod((x, y, z), (x, y + h, z), r, self._paint(0.5))
            self.build.capped_rod((x, y + h, z), (x, y + h + 22, z), 0.5 * r, self.white)

    def _bottles(self) -> None:
        deep = min(self.plan.depth, max(self.plan.ledge_depth, 60))
        self._row(self.floor, -0.6 * deep, int(self.rng.integers(2, 6)))

    def _inset(self) -> None:
        """A niche in the back wall, as a darker tiled field within a frame."""
        w, h = self._u(250, 600), self._u(250, 500)
        x, y = self._u(0.05, 0.6) * self.width, self.plan.floor_y + self._u(900, 1250)
        self.build.box(
            (x, y, self.far - 5), (x + w, y + h, self.far + 1), s.tiles(self.rng, finishes.tile_look(self.rng, small=True))
        )
        self._frame((x, y), (x + w, y + h), self.far, (self._u(4, 30), self._u(3, 12)), self.bar)

    def _window(self) -> None:
        low = (
            max(self.floor, self.plan.floor_y + self._u(850, 1300))
            if self.plan.kind not in ("glazed porch",)
            else self.floor + 60
        )
        low = self.floor + self._u(0, 60) if self.plan.kind in ("window recess", "window over the tub") else low
        w = self.width * (self._u(0.9, 1.0) if self.plan.depth < 500 else self._u(0.35, 0.8))
        x = (self.width - w) / 2 if self.plan.depth < 500 else self._u(0, self.width - w)
        top = min(self.top, low + self._u(500, 1300)) if self.plan.depth > 500 else self.top
        if top - low < 200:
            return
        self._pane(((x + 1, low), (x + w - 1, top)), self.far + 4)
        frame = self._paint(0.3)
        self._frame((x, low), (x + w, top), self.far + 5, (self._u(35, 70), self._u(20, 40)), frame)
        for k in range(int(self.rng.integers(0, 3))):
            at = x + w * (k + 1) / 3
            self.build.box((at - 16, low, self.far + 5), (at + 16, top, self.far + 30), frame)
        if self.rng.random() < 0.4:
            at = low + self._u(0.4, 0.7) * (top - low)
            self.build.box((x, at - 14, self.far + 5), (x + w, at + 14, self.far + 28), frame)

    def _pane(self, rect: tuple[tuple[float, float], tuple[float, float]], z: float) -> None:
        import mitsuba as mi

        (x0, y0), (x1, y1) = rect
        small = (64, 64)
        y = np.linspace(0, 1, 64)[:, None]
        green = np.array(finishes.pick(self.rng, ((0.1, 0.22, 0.06), (0.2, 0.25, 0.12), (0.3, 0.22, 0.15))))
        sky = np.array([0.75, 0.87, 1.0]) * self._u(0.7, 1.4)
        share = np.clip(4 * (self._u(0.3, 0.8) - y + 0.12 * noise(self.rng, small, 6)), 0, 1)[..., None]
        view = share * green * (1 + 0.35 * noise(self.rng, small, 2))[..., None] + (1 - share) * sky
        if self.rng.random() < 0.35:  # frosted
            view = np.broadcast_to(sky * self._u(0.5, 1.0), view.shape)
        view = np.clip(view * self._u(1.0, 5.0), 0.01, 8)
        place = mi.ScalarTransform4f().translate([(x0 + x1) / 2, (y0 + y1) / 2, z]) @ mi.ScalarTransform4f().scale(
            [(x1 - x0) / 2, (y1 - y0) / 2, 1.0]
        )
        glow = {"type": "area", "radiance": s.bitmap(view, "clamp")}
        self.build.add({"type": "rectangle", "to_world": place, "emitter": glow, "bsdf": {"type": "diffuse"}})

    def _curtain(self) -> None:
        """Drawn to one side, behind the edge."""
        w, side = self._u(0.1, 0.3) * self.width, self.rng.random() < 0.5
        x = 20.0 if side else self.width - w - 20
        deep = -min(self._u(60, 140), 0.8 * self.plan.depth)
        across = np.linspace(0, 1, 121)
        wave = deep + 18 * np.sin(2 * np.pi * self._u(4, 9) * across)
        top, low = self.top - self._u(0, 60), max(self.floor + 60, -200.0)
        a = np.column_stack([x + w * across, np.full(121, low), wave])
        b = np.column_stack([x + w * across, np.full(121, top), wave])
        surface = s.cloth(self.rng, finishes.tint(self.rng), finishes.tint(self.rng, 0.6))
        self.build.strip(
            a, b, np.column_stack([2.5 * w * across, a[:, 1]]), np.column_stack([2.5 * w * across, b[:, 1]]), surface
        )
        self.build.rod((0, top, deep), (self.width, top, deep), 11, self.bar)

    def _rail(self) -> None:
        y, z = self.floor + self._u(0.35, 0.7) * (self.top - self.floor), self.far + 60
        self.build.rod((0.15 * self.width, y, z), (0.85 * self.width, y, z), self._u(9, 18), self.bar)

    def _border(self) -> None:
        """A course of other tiles on the back wall, lying or standing."""
        look = finishes.tile_look(self.rng, small=True)
        surface, wide = s.tiles(self.rng, look), self._u(40, 180)
        if self.rng.random() < 0.6:
            y = self.floor + self._u(0.3, 0.8) * (self.top - self.floor)
            self.build.box((self.x0, y, self.far - 3), (self.x1, y + wide, self.far + 1), surface)
            return
        x = self._u(0.1, 0.8) * self.width
        self.build.box((x, self.plan.floor_y, self.far - 3), (x + 2 * wide, self.plan.ceiling_y, self.far + 1), surface)

    def _bench(self) -> None:
        y = self.plan.floor_y + self._u(400, 500)
        self.build.box(
            (self.x0, self.plan.floor_y, self.far), (self.x1, y, self.far + self._u(300, 400)), finishes.ledge(self.rng)[1]
        )

    def _post(self) -> None:
        x, z = self._u(0.1, 0.9) * self.width, -self._u(0.3, 0.7) * self.plan.depth
        self.build.box((x, self.floor, z), (x + self._u(12, 50), self.plan.ceiling_y, z + 25), self.bar)

    def _frame_on(self, fill: s.Surface) -> None:
        w, h = self._u(200, 600), self._u(200, 600)
        x, y = self._u(0, 0.6) * self.width, self.plan.floor_y + self._u(900, 1400)
        self.build.box((x, y, self.far), (x + w, y + h, self.far + 6), fill)
        self._frame((x, y), (x + w, y + h), self.far, (self._u(10, 45), 18), self._paint(0.6))

    def _tub(self) -> None:
        self._tap_wall()

    def _basin_of_tub(self) -> None:
        """The rims along the other three walls, and the hollow's slopes."""
        y, w = 0.0, self._u(40, 90)
        low = self.plan.inner_floor_y
        self.build.box((-40, low, self.far), (self.width + 40, y, self.far + w), self.white)
        for x in (-40.0, self.width - w):
            self.build.box((x, low, self.far), (x + w + 40, y, -60), self.white)

    def _tap_wall(self) -> None:
        x, y, z = self._u(0.2, 0.8) * self.width, max(self.floor, 0.0) + self._u(120, 250), self.far
        self.build.capped_rod((x, y, z), (x, y, z + 150), 16, self.bar)
        for dx in (-90, 90):
            self.build.capped_rod((x + dx, y, z), (x + dx, y, z + 55), 26, self.bar)
