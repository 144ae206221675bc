"""References, lamps, camera and development of the thirteenth family."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import mitsuba as mi
import numpy as np

from sample_images.studio import sizes
from sample_images.studio.camera import Camera, aimed, focal_px
from sample_images.studio.shapes import Builder
from sample_images.studio.shot import Development
from sample_images.studio.surfaces import printed
from sample_images.studio.things import Card

from . import thirteenth_finishes as finishes
from . import thirteenth_surfaces as s
from .thirteenth_plan import Plan

COUNTS = {"sheet": 1, "opposite": 2, "four": 4, "letters": 2}


class Unfit(Exception):
    """This draw cannot be photographed; the next attempt may."""


# -- references --------------------------------------------------------------------------------------------------------------


def print_of(rng: np.random.Generator, sheet: bool) -> tuple[str, s.Surface]:
    shape = (420, 300) if sheet else (270, 428)
    y, x = np.mgrid[0 : shape[0], 0 : shape[1]] / shape[0]
    wide = shape[1] / shape[0]
    name = str(
        finishes.pick(
            rng,
            ("white", "white", "white", "white", "grey", "text", "frame", "ruled")
            if sheet
            else ("white", "dark", "tint", "band", "field", "grey"),
        )
    )
    ground = {"white": (0.85,) * 3, "grey": (float(rng.uniform(0.3, 0.6)),) * 3, "dark": (0.03, 0.035, 0.05)}.get(name)
    picture = np.tile(np.array(ground or finishes.tint(rng, 0.0 if sheet else 0.6), float), (*shape, 1))
    ink = np.array(finishes.tint(rng, 0.9))
    if name in ("text", "ruled"):
        picture[:] = 0.84
        inside = (x > 0.08) & (x < wide - 0.08) & (y > 0.08) & (y < 0.9)
        line = np.mod(y * 36, 1) < (0.45 if name == "text" else 0.1)
        words = cv2.resize(rng.random((36, 60)), shape[::-1], interpolation=cv2.INTER_NEAREST) > 0.2
        picture[inside & line & (words | (name == "ruled"))] = ink
    if name == "frame":
        rim = np.minimum(np.minimum(x, wide - x), np.minimum(y, 1 - y))
        picture[(rim > 0.05) & (rim < 0.075)] = ink
    if name == "band":
        picture[(y > 0.14) & (y < 0.34)] = ink
    if name == "field":
        blob = (np.hypot(x - rng.uniform(0.3, 1.2), y - 0.5) < rng.uniform(0.1, 0.35)) | (
            (abs(y - 0.8) < 0.04) & (x > 0.15) & (x < 0.9)
        )
        picture[blob] = ink
    return name, printed(picture)


@dataclass(frozen=True)
class References:
    cards: tuple[Card, ...]
    options: tuple[str, ...]
    prints: tuple[str, ...]

    def rects(self) -> list[tuple[float, float, float, float]]:
        boxes = [card.outline() for card in self.cards]
        return [(*box[:, :2].min(0) - 6, *box[:, :2].max(0) + 6) for box in boxes]  # type: ignore[misc]


def references(rng: np.random.Generator, plan: Plan, layout: str) -> References:
    count, sheet = COUNTS[layout], layout in ("sheet", "letters")
    rising = rng.random() < 0.5
    spots = {1: [("left" if rising else "right", "any")], 4: [(a, b) for a in ("left", "right") for b in ("low", "high")]}.get(
        count
    )
    spots = spots or [("left", "low" if rising else "high"), ("right", "high" if rising else "low")]
    kind = str(finishes.pick(rng, ("a4", "letter"))) if sheet else "id-1"
    cards, options, prints = [], [], []
    for side, level in spots:
        true = sizes.true_size(kind, rng)
        name, surface = print_of(rng, sheet)
        size = true[::-1] if rng.random() < 0.35 else true
        turn = float(rng.normal(0, 0.9) if rng.random() < 0.8 else rng.uniform(-6, 6))
        tape = s.plain((0.7, 0.66, 0.5)) if rng.random() < (0.25 if sheet else 0.08) else None
        centre = _spot(rng, plan, (side, level), size)
        cards.append(Card(kind, size, centre, surface, turn, float(abs(rng.normal(0, 0.25))), tape=tape))
        options.append((kind, true))
        prints.append(name)
    if sheet:
        order = sorted(range(count), key=lambda k: cards[k].centre_mm[0])
        mark = (lambda n: f"#{n}@0+-0.5=") if count > 1 else (lambda n: "@0+-0.5=")
        stated = [sizes.measured(kind, options[k][1], rng, sd_mm=0.12, stated_mm=0.15)[0] for k in order]
        words = tuple(w for n, text in enumerate(stated, 1) for w in ("--card", text.replace("=", mark(n), 1)))
        return References(tuple(cards[k] for k in order), words, tuple(prints[k] for k in order))
    order = sorted(range(count), key=lambda k: cards[k].centre_mm[0])
    return References(tuple(cards[k] for k in order), ("--card", "id-1@0+-0.5"), tuple(prints[k] for k in order))


def _spot(rng: np.random.Generator, plan: Plan, where: tuple[str, str], size: tuple[float, float]) -> tuple[float, float]:
    """The centre of a card beside the opening, on the plane."""
    side, level = where
    profile = plan.profiles[side]
    hard = profile.front_mm + profile.gap_mm if profile.gap_mm else 0.0
    hard = profile.casing[0] + profile.casing[1] if profile.casing else hard
    far = plan.beyond[0 if side == "left" else 1]
    far = min(far, plan.band[0]) if plan.band else far
    spare = far - hard - size[0] * 1.06 - 22
    if spare < 0:
        raise Unfit("no room for a card")
    out = hard + 12 + size[0] * 0.53 + float(rng.uniform(0, 1) ** 1.3) * min(spare, 230)
    tall, half = plan.opening.height_mm, size[1] * 0.55
    low = max(half - 0.1 * tall, plan.floor_y + half + 160)
    share = {"low": rng.uniform(0.0, 0.3), "high": rng.uniform(0.7, 1.0), "any": rng.uniform(0.1, 0.9)}[level]
    y = max(low, half + float(share) * max(tall - 2 * half, 0))
    y = min(y, plan.ceiling_y - half - 20)
    if plan.dado_y is not None and abs(y - plan.dado_y) < 1 and size[1] > 100:
        y += 40
    return (-out if side == "left" else plan.opening.width_mm + out), y


# -- camera ------------------------------------------------------------------------------------------------------------------


def camera(rng: np.random.Generator, plan: Plan, refs: References) -> tuple[Camera, float]:
    """A hand-held phone that has the opening and every reference in view; the equivalent focal length comes along."""
    wanted = np.concatenate([np.column_stack([plan.opening.corners, np.zeros(4)]), *(c.outline() for c in refs.cards)])
    low, top = wanted[:, :2].min(0), wanted[:, :2].max(0)
    landscape = rng.random() < np.clip(0.1 + 0.75 * ((top[0] - low[0]) / (top[1] - low[1]) - 0.55), 0.05, 0.95)
    mm = float(rng.uniform(24, 28) if rng.random() < 0.8 else rng.uniform(17, 24))
    yaw = float(np.clip(rng.normal(0, 11), -30, 30))
    rise = float(rng.uniform(1150, 1700)) + plan.floor_y
    roll, aim = float(np.clip(rng.normal(0, 1.6), -6, 6)), rng.normal(0, 1, 2)
    k = (float(np.clip(rng.normal(0.0, 0.022), -0.06, 0.06)), float(rng.normal(0, 0.004)))
    margin = float(rng.uniform(0.02, 0.12))
    draw = rng.uniform(-1, 1, 3)
    width, height = (4032, 3024) if landscape else (3024, 4032)
    middle = (low + top) / 2
    for distance in np.geomspace(1350, 3200, 24):
        place = np.array([middle[0] + distance * np.sin(np.radians(yaw)), rise, distance * np.cos(np.radians(yaw))])
        place[0] = np.clip(place[0], -plan.beyond[0] + 130, plan.opening.width_mm + plan.beyond[1] - 130)
        target = np.array([*(middle + 0.035 * aim * (top - low)), 0.0])
        made = Camera(
            width, height, focal_px(mm, width, height) * (1 + 0.01 * draw[0]), (width - 1) / 2 + 18 * draw[1],
            (height - 1) / 2 + 18 * draw[2], k[0], k[1], place, aimed(place, target, roll),
        )  # fmt: skip
        seen = made.project(wanted)
        edge = margin * min(width, height)
        if (seen > edge).all() and (seen < np.array([width, height]) - edge).all():
            return made, mm
    raise Unfit("does not fit into the picture")


# -- light -------------------------------------------------------------------------------------------------------------------

WARM, DAY, COOL, TUBE = (1.0, 0.78, 0.52), (1.0, 0.97, 0.92), (0.75, 0.87, 1.0), (0.93, 1.0, 0.9)
LIGHTS = [
    "panels",
    "panels",
    "bulb",
    "window_left",
    "window_right",
    "window_left",
    "window_right",
    "flash",
    "flash",
    "within",
    "tube",
    "grazing",
    "sun",
    "sun",
    "blinds",
    "wall_lamp",
    "behind",
    "dusk",
]


class Lamps:
    """Draws one or two ways of lighting, and a weak fill."""

    def __init__(self, build: Builder, plan: Plan, seen: Camera, rng: np.random.Generator) -> None:
        self.build, self.plan, self.seen, self.rng = build, plan, seen, rng
        self.width, self.top = plan.opening.width_mm, plan.ceiling_y - 6

    def light(self) -> list[str]:
        chosen = list(dict.fromkeys(str(finishes.pick(self.rng, LIGHTS)) for _ in range(int(self.rng.integers(1, 3)))))
        for name in chosen:
            getattr(self, "_" + name)()
        fill = float(finishes.pick(self.rng, (0.15, 0.4, 1.0)))  # type: ignore[arg-type]
        self._lamp((self.width / 2, self.top, 2300), (0, -1, 0), (1800, 1500), DAY, fill)
        if self.rng.random() < 0.55 and self.plan.depth > 550:
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


# -- from light to file ------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Darkroom:
    how: Development
    contrast: float
    quality: int
    subsampling: int


def darkroom(rng: np.random.Generator) -> Darkroom:
    tint = np.exp(rng.normal(0, 0.07, 3))
    how = Development(
        exposure=float(np.clip(rng.normal(0, 0.4), -1.3, 0.7)),
        blur_px=float(rng.uniform(0.5, 1.05)),
        noise=float(rng.choice([0.006, 0.012, 0.02, 0.035])),
        sharpening=float(rng.uniform(0.0, 0.9)),
        sharpening_px=float(rng.uniform(0.8, 1.6)),
        white_balance=tuple(float(t) for t in tint / tint[1]),  # type: ignore[arg-type]
        shading=float(rng.uniform(0.0, 0.25)),
    )
    return Darkroom(how, float(rng.uniform(-0.1, 0.45)), int(rng.integers(70, 96)), int(rng.choice([0, 2, 2])))


def contrasted(upright: np.ndarray, amount: float) -> np.ndarray:
    """An S-shaped curve around middle grey."""
    t = np.arange(256) / 255.0
    curve = t + amount * (t - 0.5) * 4 * t * (1 - t) * 0.6
    return np.clip(np.round(255 * curve), 0, 255).astype(np.uint8)[upright]
