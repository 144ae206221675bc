"""References, lamps, camera and development of the thirteenth family."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

from sample_images.studio import sizes
from sample_images.studio.camera import Camera, aimed, focal_px
from sample_images.studio.shot import Development
from sample_images.studio.surfaces import printed
from sample_images.studio.things import Card

from . import thirteenth_finishes as finishes
from . import thirteenth_surfaces as s
from .thirteenth_plan import Plan, UnfitError

COUNTS = {"sheet": 1, "opposite": 2, "four": 4, "letters": 2}


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
        return [(*box[:, :2].min(0) - 6, *box[:, :2].max(0) + 6) for box in boxes]


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
        raise UnfitError("no room for a card")
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
    raise UnfitError("does not fit into the picture")


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
        white_balance=tuple(float(t) for t in tint / tint[1]),
        shading=float(rng.uniform(0.0, 0.25)),
    )
    return Darkroom(how, float(rng.uniform(-0.1, 0.45)), int(rng.integers(70, 96)), int(rng.choice([0, 2, 2])))


def contrasted(upright: np.ndarray, amount: float) -> np.ndarray:
    """An S-shaped curve around middle grey."""
    t = np.arange(256) / 255.0
    curve = t + amount * (t - 0.5) * 4 * t * (1 - t) * 0.6
    return np.clip(np.round(255 * curve), 0, 255).astype(np.uint8)[upright]
