"""What hangs, lies and stands about in the third family: fittings and clutter."""

from __future__ import annotations

import itertools
from collections.abc import Callable

import cv2
import numpy as np
from studio.shapes import Builder
from studio.surfaces import Surface, lacquer, metal, plain
from third_build import build_plan
from third_cards import INKS, Dress, bank_picture, hang
from third_patterns import EARTHS, GREYS, TINTS, WHITES, Rng, cloud, gloss, matt, near, one_of
from third_plan import Plan


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
    for n, (a, b) in enumerate(itertools.pairwise(lines)):
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


def furnish(plan: Plan, dresses: tuple[Dress, ...], rng: Rng, cover: str) -> Callable[[Builder], None]:
    """What stands about; draws from its own generator so that building a scene twice gives the same one."""
    seed = int(rng.integers(2**31))

    def make(build: Builder) -> None:
        own = np.random.default_rng(seed)
        build_plan(build, plan, own)
        for dress in dresses:
            hang(build, dress)
        {"door": hall_set, "window": sill_set}.get(plan.kind, shower_set)(build, plan, own)
        clutter(build, plan, dresses, own, cover)

    return make


def clutter(build: Builder, plan: Plan, dresses: tuple[Dress, ...], rng: Rng, cover: str) -> None:
    width, floor, out = plan.opening.width_mm, plan.floor_y, plan.edge.band_mm
    taken = [(*d.card.centre_mm, d.card.size_mm[0] / 2 + 60, d.card.size_mm[1] / 2 + 60) for d in dresses]
    for item in rng.permutation(["switch", "socket", "picture", "radiator", "towel"])[: int(rng.integers(1, 4))]:
        half = {"switch": (60, 60), "socket": (60, 60), "picture": (150, 190), "radiator": (170, 380), "towel": (160, 340)}[
            str(item)
        ]
        for _ in range(12):
            gap = out + half[0] + float(rng.uniform(40, 500))
            x = one_of(rng, (-gap, width + gap))
            y = floor + (300 if item == "socket" else float(rng.uniform(1000, 1500)))
            clear = all(abs(x - a) > w + half[0] or abs(y - b) > h + half[1] for a, b, w, h in taken)
            if clear and plan.left_x + half[0] < x < plan.right_x - half[0]:
                on_wall(build, rng, str(item), x, y, plan.wall_z)
                taken.append((x, y, *half))
                break
    if cover == "towel":
        x, y = one_of(rng, (-out - 10, width + out + 10)), float(rng.uniform(0.55, 0.75)) * plan.opening.height_mm
        if all(abs(x - a) > w + 130 or abs(y - 170 - b) > h + 240 for a, b, w, h in taken[: len(dresses)]):
            cloth(build, rng, x, y, (200, min(420.0, 0.2 * plan.opening.height_mm)), 0.0)
    elif cover == "bin" and plan.kind in ("shower", "door"):
        on_floor(build, rng, "bin", float(rng.uniform(0.15, 0.85)) * width, 130, floor)
    elif cover == "mop":
        on_floor(build, rng, "mop", one_of(rng, (-out - 30.0, width + out - 30)), 260, floor)
    for item in rng.permutation(["mat", "scale", "basket", "toilet", "mat"])[: int(rng.integers(1, 4))]:
        flat = item in ("mat", "scale")
        x = (
            float(rng.uniform(0.2, 0.8)) * width
            if flat
            else one_of(rng, (-out - float(rng.uniform(330, 520)), width + out + float(rng.uniform(330, 520))))
        )
        on_floor(build, rng, str(item), x, float(rng.uniform(450, 900)) if flat else float(rng.uniform(180, 330)), floor)
