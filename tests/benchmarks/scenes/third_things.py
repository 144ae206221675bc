"""What hangs, lies and stands about in the third family: reference cards with their dress, fittings, clutter."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from studio.shapes import Builder, placed, rounded_rectangle
from studio.surfaces import Surface, lacquer, metal, plain
from studio.things import CORNER_RADIUS_MM, THICKNESS_MM, Card

from third_build import Plan
from third_looks import EARTHS, GREYS, RGB, TINTS, WHITES, Rng, cloud, gloss, matt, near, one_of

INKS: tuple[RGB, ...] = (
    (0.05, 0.12, 0.35),
    (0.4, 0.05, 0.08),
    (0.03, 0.22, 0.16),
    (0.5, 0.3, 0.04),
    (0.05, 0.05, 0.06),
    (0.3, 0.1, 0.32),
)
TAPES: tuple[RGB, ...] = ((0.62, 0.52, 0.27), (0.07, 0.2, 0.5), (0.75, 0.75, 0.74), (0.1, 0.1, 0.1))
ID1_DESIGNS = ("fade", "hills", "slants", "dark", "stripe", "blank")
PAGES = ("plain", "text", "form", "squared", "tinted")


@dataclass(frozen=True)
class Dress:
    card: Card
    words: str
    tape: RGB | None = None  # None: putty behind it
    curl_mm: float = 0.0
    curled: int = 0  # 0 the lower edge, 1 and 2 a lower corner


def bank_picture(rng: Rng, design: str) -> np.ndarray:
    """(270, 428, 3), linear, row 0 on top; colours to the rim, a chip on most, no sign or figure."""
    y, x = np.mgrid[0:270, 0:428] / np.array([270.0, 428.0])[:, None, None]
    a, b, c = (np.array(near(rng, one_of(rng, INKS if design == "dark" else INKS + TINTS + WHITES[:2]))) for _ in range(3))
    if design == "fade":
        t = np.clip(0.6 * x + 0.5 * y + 0.15 * np.sin(5 * x + 3 * y), 0, 1)[..., None]
        picture = a * (1 - t) + (0.3 * b + 0.45) * t
    elif design == "hills":
        picture = (0.35 + 0.4 * y)[..., None] * np.array([1.0, 1.1, 1.3])
        for low, ink in ((0.45, 0.5 * a + 0.1), (0.62, a), (0.8, 0.6 * b)):
            picture = np.where((y > low + 0.09 * np.sin(7 * x + 9 * low))[..., None], ink, picture)
    elif design == "slants":
        part = np.floor(2.3 * (x + 0.6 * y))[..., None]
        picture = np.where(part == 0, a, np.where(part == 1, 0.5 * b + 0.3, c))
    elif design == "dark":
        picture = 0.35 * a * (1 + 0.25 * np.sin(40 * (x - y)))[..., None] * np.ones(3)
    else:
        picture = np.broadcast_to(0.72 + 0.02 * a, (270, 428, 3)).copy()
        if design == "stripe":
            picture[32:92] = (0.03, 0.03, 0.035)
    if design not in ("stripe", "blank"):
        picture[96:150, 48:116] = (0.6, 0.47, 0.2)
        picture[96:150:13, 48:116] = picture[96:150, 48:116:17] = (0.3, 0.22, 0.08)
    for row in (190, 228):
        for start in np.cumsum(rng.integers(24, 60, 5)):
            picture[row : row + 10, start : start + 18] = 0.5 * picture[row : row + 10, start : start + 18] + 0.12
    return picture


def page(rng: Rng, design: str, size_mm: tuple[float, float]) -> np.ndarray:
    """A sheet at 3 pixels per millimetre, linear, row 0 on top."""
    width, height = (round(3 * side) for side in size_mm)
    white = one_of(rng, ((0.66, 0.6, 0.3), (0.42, 0.56, 0.62), (0.66, 0.48, 0.46))) if design == "tinted" else (0.84, 0.84, 0.83)
    picture = np.empty((height, width, 3), np.float32)
    picture[:] = white
    if design == "squared":
        for axis in (picture, picture.swapaxes(0, 1)):
            axis[14::15] = (0.55, 0.63, 0.75)
    if design in ("text", "form"):
        ink, rows = (0.12, 0.12, 0.13), range(150, height - 90, 16)
        picture[66:84, 66 : width // 2] = one_of(rng, INKS)
        for row in rows:
            if row // 16 % 9 == 0:
                continue
            ends = 66 + np.cumsum(rng.integers(12, 42, 60))
            for start, end in zip(ends[:-1], ends[1:], strict=True):
                if end < width - 66 * (1 + (row // 16 % 9 == 8)):
                    picture[row : row + 6, start : end - 6] = ink
        if design == "form":
            picture[height // 3 : height // 2, 66 : width - 66] = 0.7 * np.array(near(rng, one_of(rng, TINTS))) + 0.25
            for row in np.linspace(height // 3, height // 2, 6).astype(int):
                picture[row : row + 2, 66 : width - 66] = (0.1, 0.1, 0.1)
    return picture


def hang(build: Builder, dress: Dress) -> None:
    """The card or sheet, its tape or the putty that it stands off on."""
    card = dress.card
    if card.kind == "id-1":
        outline = rounded_rectangle(*card.size_mm, CORNER_RADIUS_MM["id-1"])
        build.slab(
            outline,
            THICKNESS_MM["id-1"],
            placed(*card.centre_mm, card.back_z_mm, card.turn_deg),
            card.surface,
            plain((0.6, 0.6, 0.6)),
        )
    else:
        paper(build, dress)
    (width, height), place = card.size_mm, placed(*card.centre_mm, card.front_z_mm + 0.04, card.turn_deg)
    if not dress.tape:
        return
    film, corner = lacquer(dress.tape, 0.4), card.kind != "id-1"
    spots = (
        [(sx * (width / 2 - 4), sy * (height / 2 - 4), -45.0 * sx * sy) for sx in (-1, 1) for sy in (-1, 1)]
        if corner
        else [(4.0, height / 2 + 5, 0.0)]
    )
    for across, up, turn in spots:
        strip = rounded_rectangle(*((54.0, 16.0) if corner else (15.0, 30.0)), 0.0)
        local = place @ placed(across, up, 0.0, turn)
        build.slab(strip, 0.08, local, film)


def paper(build: Builder, dress: Dress) -> None:
    """A thin sheet whose lower edge, or one lower corner, comes off the wall a little."""
    card, (width, height) = dress.card, dress.card.size_mm
    grid = np.linspace(-0.5, 0.5, 41)
    x, y = (g.ravel() for g in np.meshgrid(grid * width, grid * height))
    reach = {0: y + height / 2, 1: np.hypot(x + width / 2, y + height / 2), 2: np.hypot(x - width / 2, y + height / 2)}[
        dress.curled
    ]
    lift = dress.curl_mm * np.clip(1 - reach / 55.0, 0, 1) ** 2
    place = placed(*card.centre_mm, card.front_z_mm, card.turn_deg)
    points = np.column_stack([x, y, lift]) @ place[:3, :3].T + place[:3, 3]
    i = (np.arange(40)[:, None] * 41 + np.arange(40)).ravel()
    faces = np.concatenate([np.stack([i, i + 1, i + 41], 1), np.stack([i + 1, i + 42, i + 41], 1)])
    uv = np.column_stack([x / width + 0.5, y / height + 0.5]) * np.array(card.surface.repeat_mm)
    build.mesh(points, faces, uv, card.surface)


def card_surface(rng: Rng, kind: str, design: str, size_mm: tuple[float, float]) -> Surface:
    if kind == "id-1":
        picture = bank_picture(rng, design)
        upright = size_mm[1] > size_mm[0]
        return Surface(gloss((np.rot90(picture) if upright else picture)[::-1], 0.25, "clamp"))
    return Surface(matt(page(rng, design, size_mm)[::-1]))


def cloth(build: Builder, rng: Rng, x: float, top: float, size: tuple[float, float], z: float) -> None:
    """A towel gathered on a hook before the wall face."""
    width, length = size
    picture = np.array(near(rng, one_of(rng, TINTS + WHITES + EARTHS))) * (1 + 0.07 * cloud(rng, (512, 512), 3))[..., None]
    surface, across = Surface(matt(picture), (320.0, 320.0)), np.linspace(-0.5, 0.5, 61)
    build.capped_rod((x, top + 8, z), (x, top + 8, z + 45), 7, metal())
    lines = []
    for t in np.linspace(0, 1, 36):
        spread = width * (0.25 + 0.75 * min(1.0, 2.2 * t))
        fold = 16 * min(1.0, 3 * t) * np.sin(2 * np.pi * 3.2 * across + 2 * t)
        lines.append(np.column_stack([x + spread * across, top - length * (t + 0.06 * across * t), z + 26 + fold]))
    for n, (a, b) in enumerate(zip(lines[:-1], lines[1:], strict=True)):
        u = (across + 0.5) * width
        v = np.full_like(u, length / 35)
        build.strip(a, b, np.column_stack([u, -n * v]), np.column_stack([u, -(n + 1) * v]), surface)


def flask(build: Builder, rng: Rng, x: float, y: float, z: float) -> None:
    rgb, tall, wide = near(rng, one_of(rng, TINTS + WHITES + INKS)), float(rng.uniform(120, 240)), float(rng.uniform(24, 38))
    if rng.random() < 0.5:
        build.box((x - wide, y, z - 0.6 * wide), (x + wide, y + tall, z + 0.6 * wide), lacquer(rgb, 0.2))
    else:
        build.capped_rod((x, y, z), (x, y + tall, z), wide, lacquer(rgb, 0.2))
    build.capped_rod((x, y + tall, z), (x, y + tall + 30, z), 0.4 * wide, lacquer((0.75, 0.75, 0.74)))
    build.rod((x, y + tall + 28, z), (x + 30, y + tall + 26, z + 8), 4, lacquer((0.75, 0.75, 0.74)))


def shower_set(build: Builder, plan: Plan, rng: Rng) -> None:
    """Mixer, riser rail with a hand shower, shelves in a corner, a grab bar, flasks, perhaps the old curtain's rod."""
    width, height, z = plan.opening.width_mm, plan.opening.height_mm, plan.back_z
    x, low, chrome = float(rng.uniform(0.2, 0.8)) * width, 0.42 * height, metal()
    steel = chrome if rng.random() < 0.7 else lacquer((0.05, 0.05, 0.05), 0.3)
    build.capped_rod((x - 150, low, z + 55), (x + 150, low, z + 55), 24, steel)
    for side in (-75, 75):
        build.capped_rod((x + side, low, z), (x + side, low, z + 50), 16, steel)
    build.capped_rod((x, low + 130, z + 55), (x, low + 0.45 * height, z + 55), 11, steel)
    tip = (x, low + 0.42 * height, z + 75)
    build.rod(tip, (x, tip[1] + 60, z + 150), 12, steel)
    build.capped_rod((x, tip[1] + 62, z + 150), (x, tip[1] + 40, z + 175), 52, steel)
    for n in range(12):
        t = np.array([n, n + 1]) / 12
        hose = np.column_stack(
            [x + 120 * np.sin(np.pi * t), low + 0.4 * height * t - 130 * np.sin(np.pi * t), np.full(2, z + 72)]
        )
        build.rod(tuple(hose[0]), tuple(hose[1]), 7, steel)
    right = rng.random() < 0.5
    corner, glass = (width - 12 if right else 12.0), lacquer((0.6, 0.66, 0.66), 0.1)
    for up in (0.45, 0.62):
        build.box(
            (corner - (210 if right else 0), up * height, z), (corner + (0 if right else 210), up * height + 8, z + 190), glass
        )
        for n in range(int(rng.integers(1, 3))):
            flask(build, rng, corner + (-1 if right else 1) * (60 + 80 * n), up * height + 8, z + 80)
    if rng.random() < 0.4:
        build.capped_rod((0.12 * width, 0.36 * height, z + 60), (0.12 * width, 0.62 * height, z + 60), 16, metal(roughness=0.3))
    if rng.random() < 0.4:
        build.rod((0, height - 55, -70), (width, height - 55, -70), 13, lacquer((0.76, 0.76, 0.75)))
    for _ in range(int(rng.integers(0, 3))):
        flask(build, rng, float(rng.uniform(0.1, 0.9)) * width, plan.foot.round_mm + 2, -0.6 * plan.foot.depth_mm)


def hall_set(build: Builder, plan: Plan, rng: Rng) -> None:
    width, z, floor = plan.opening.width_mm, plan.back_z, plan.floor_y
    picture = 0.25 + 0.2 * cloud(rng, (64, 64), 14)[..., None] * np.array(one_of(rng, TINTS))
    frame(build, (0.4 * width, 1350 + floor), (420, 320), z, Surface(gloss(np.clip(picture, 0.02, 0.8), 0.2)))
    top = lacquer(near(rng, one_of(rng, EARTHS)), 0.35)
    build.box((0.5 * width, floor + 700, z + 14), (0.5 * width + 900, floor + 730, z + 340), top)
    for x in (0.5 * width + 20, 0.5 * width + 840):
        build.box((x, floor, z + 40), (x + 40, floor + 700, z + 80), top)
    build.capped_rod((0.6 * width, floor + 730, z + 170), (0.6 * width, floor + 900, z + 170), 60, lacquer(one_of(rng, TINTS)))


def sill_set(build: Builder, plan: Plan, rng: Rng) -> None:
    y, z, x = plan.foot.round_mm + 1, -0.6 * plan.depth, float(rng.uniform(0.15, 0.85)) * plan.opening.width_mm
    build.capped_rod((x, y, z), (x, y + 90, z), 45, lacquer(near(rng, one_of(rng, EARTHS)), 0.4))
    for turn in rng.uniform(0, 2 * np.pi, 9):
        build.ball((x + 45 * np.cos(turn), y + 130 + 40 * np.sin(3 * turn), z + 25 * np.sin(turn)), 24, plain((0.08, 0.2, 0.06)))
    flask(build, rng, 0.5 * plan.opening.width_mm, y, z)


def frame(build: Builder, centre: tuple[float, float], size: tuple[float, float], z: float, picture: Surface) -> None:
    (x, y), (w, h) = centre, (size[0] / 2, size[1] / 2)
    build.box((x - w, y - h, z), (x + w, y + h, z + 18), lacquer((0.1, 0.08, 0.07), 0.3))
    flat = np.array(
        [
            [x - w + 18, y - h + 18, z + 19],
            [x + w - 18, y - h + 18, z + 19],
            [x + w - 18, y + h - 18, z + 19],
            [x - w + 18, y + h - 18, z + 19],
        ]
    )
    build.quad(flat, picture, np.array([[0, 0], [1, 0], [1, 1], [0, 1]]) * picture.repeat_mm)


def on_wall(build: Builder, rng: Rng, item: str, x: float, y: float, z: float) -> None:
    """Switch, socket, picture, mirror, radiator or towel on the wall face; about 300 x 450 mm at most."""
    white = lacquer((0.78, 0.78, 0.77), 0.2)
    if item in ("switch", "socket"):
        build.box((x - 41, y - 41, z), (x + 41, y + 41, z + 9), white)
        if item == "switch":
            build.box((x - 27, y - 27, z + 9), (x + 27, y + 27, z + 13), white)
        else:
            build.disc((x, y, z + 9.5), np.array([0, 0, 1.0]), 20, plain((0.5, 0.5, 0.49)))
    elif item == "picture":
        frame(build, (x, y), (260, 340), z, Surface(gloss(cv2.resize(bank_picture(rng, "hills"), (260, 340)), 0.2, "clamp")))
    elif item == "radiator":
        for across in (-140, 140):
            build.rod((x + across, y - 330, z + 50), (x + across, y + 330, z + 50), 14, white)
        for up in np.linspace(-310, 310, 13):
            build.rod((x - 140, y + up, z + 50), (x + 140, y + up, z + 50), 10, white)
    else:
        cloth(build, rng, x, y + 250, (240, 520), z)


def on_floor(build: Builder, rng: Rng, item: str, x: float, z: float, floor: float) -> None:
    if item == "bin":
        build.rod((x, floor, z), (x, floor + 260, z), 100, metal(roughness=0.3))
        build.capped_rod((x, floor + 260, z), (x, floor + 285, z), 103, lacquer((0.08, 0.08, 0.08), 0.3))
    elif item == "mat":
        picture = np.array(near(rng, one_of(rng, TINTS + GREYS))) * (1 + 0.1 * cloud(rng, (600, 600), 4))[..., None]
        build.box((x - 350, floor, z - 230), (x + 350, floor + 12, z + 230), Surface(matt(picture), (375.0, 375.0)))
    elif item == "scale":
        build.box((x - 150, floor, z - 150), (x + 150, floor + 30, z + 150), lacquer((0.1, 0.1, 0.11), 0.1))
    elif item == "basket":
        build.box((x - 180, floor, z - 140), (x + 180, floor + 420, z + 140), lacquer((0.5, 0.38, 0.24), 0.5))
    elif item == "toilet":
        ware = lacquer((0.8, 0.8, 0.79), 0.08)
        build.capped_rod((x, floor, z), (x, floor + 380, z), 150, ware)
        build.capped_rod((x, floor + 380, z), (x, floor + 410, z), 190, ware)
        build.box((x - 180, floor + 400, 22), (x + 180, floor + 760, max(60.0, z - 150)), ware)
    else:  # a mop that leans against the wall
        build.rod((x, floor + 30, z), (x + 60, floor + 1250, 14), 12, lacquer((0.1, 0.25, 0.5)))
        build.box((x - 130, floor, z - 45), (x + 130, floor + 40, z + 45), plain((0.6, 0.6, 0.58)))
