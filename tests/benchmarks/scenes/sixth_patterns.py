"""Finishes of a bathroom that is being refitted, as repeating patterns at 1.6 pixels a millimetre."""

from __future__ import annotations

from collections.abc import Callable

import cv2
import numpy as np

from tests.benchmarks.scenes.sixth_stuff import RGB, Array, Pattern, cloud, linear

PX = 1.6
Rng = np.random.Generator
Body = Callable[[tuple[int, int]], Array]
STONES: tuple[RGB, ...] = (
    (0.82, 0.80, 0.76), (0.62, 0.60, 0.57), (0.36, 0.36, 0.38), (0.75, 0.68, 0.58), (0.52, 0.56, 0.55), (0.9, 0.9, 0.89)
)  # fmt: skip
GLAZES: tuple[RGB, ...] = (
    (0.93, 0.93, 0.91), (0.20, 0.38, 0.40), (0.16, 0.24, 0.38), (0.55, 0.66, 0.58), (0.80, 0.56, 0.50), (0.12, 0.13, 0.14),
    (0.90, 0.82, 0.62),
)  # fmt: skip
PAINTS: tuple[RGB, ...] = (
    (0.95, 0.94, 0.91), (0.86, 0.83, 0.76), (0.60, 0.68, 0.64), (0.42, 0.50, 0.58), (0.80, 0.62, 0.52), (0.34, 0.36, 0.36),
    (0.93, 0.88, 0.70),
)  # fmt: skip
GROUTS: tuple[RGB, ...] = ((0.85, 0.84, 0.82), (0.60, 0.59, 0.57), (0.32, 0.31, 0.31), (0.72, 0.66, 0.58))


def pick(rng: Rng, kinds: tuple[RGB, ...]) -> Array:
    return np.array(linear(kinds[int(rng.integers(len(kinds)))]))


def laid(w: float, h: float, joint: float, bond: int) -> tuple[Array, Array, Array, tuple[float, float]]:
    """Number of each pixel's tile, place in it from its middle (2, h, w) in mm, share of grout, repeat.

    Bond 1 is stacked, 2 half, 3 a third.
    """
    columns = max(1, round(1100 / w))
    rows = bond * max(1, round(1100 / h / bond))
    repeat = (columns * w, rows * h)
    nx, ny = round(repeat[0] * PX), round(repeat[1] * PX)
    y = (np.arange(ny, dtype=np.float32) + 0.5)[:, None] * repeat[1] / ny
    row = (y // h).astype(int)
    x = np.mod((np.arange(nx, dtype=np.float32) + 0.5)[None] * repeat[0] / nx + (row % bond) * w / bond, repeat[0])
    place = np.stack(np.broadcast_arrays(x % w - w / 2, y % h - h / 2)).astype(np.float32)
    to_joint = np.minimum(np.minimum(x % w, w - x % w), np.minimum(y % h, h - y % h))
    grout = np.clip((joint / 2 - to_joint) * PX + 0.5, 0, 1).astype(np.float32)
    return row * columns + (x // w).astype(int), place, grout, repeat


def tiles(rng: Rng, w: float, h: float, joint: float, bond: int, body: Body, **look: float) -> Pattern:
    """Tiles whose body is a picture (h, w, 3); each lies a little tilted, so that lamps break in the joints."""
    number, place, grout, repeat = laid(w, h, joint, bond)
    count = int(number.max()) + 1
    spread = look.get("spread", 0.03)
    tone = (1 + spread * rng.standard_normal((count, 1)) + 0.3 * spread * rng.standard_normal((count, 3))).astype(np.float32)
    colour = body((number.shape[0], number.shape[1])) * tone[number]
    rough = 1 + 0.06 * rng.standard_normal((*number.shape, 1)).astype(np.float32)
    colour = colour * (1 - grout[..., None]) + pick(rng, GROUTS) * rough * grout[..., None]
    waves = look.get("waves", 0.0) * cloud(rng, number.shape, (round(repeat[1] / 45), round(repeat[0] / 45)))
    tilt = 0.0012 * rng.standard_normal((2, count)).astype(np.float32)
    waves = waves + tilt[0][number] * place[0] + tilt[1][number] * place[1]
    soft = cv2.GaussianBlur(grout, (0, 0), 1.2)
    return Pattern(colour, repeat, waves - 0.6 * soft, np.clip(grout * 1.2, 0, 1), look.get("alpha", 0.12))


def slab(rng: Rng) -> Pattern:
    """Large rectified plates with a stone's clouds and veins, joints of 1 to 2 mm."""
    colour, vein = pick(rng, STONES), rng.uniform(0, 0.22)
    w, h = ((600, 1200), (1200, 600), (600, 600), (450, 900))[int(rng.integers(4))]

    def body(shape: tuple[int, int]) -> Array:
        soft = 0.05 * cloud(rng, shape, (9, 7)) + 0.03 * cloud(rng, shape, (60, 50))
        bend = cloud(rng, shape, (5, 4)) + 0.35 * cloud(rng, shape, (25, 20))
        lines = np.exp(-((bend / 0.07) ** 2))
        return np.asarray(colour * (1 + soft - vein * lines)[..., None])

    return tiles(rng, w, h, rng.uniform(1, 2), int(rng.integers(1, 3)), body, alpha=float(rng.choice([0.07, 0.18, 0.32])))


def metro(rng: Rng) -> Pattern:
    """Small glazed bricks, hand-made or flat."""
    colour = pick(rng, GLAZES)
    w, h = ((150, 75), (200, 65), (120, 60), (75, 150), (100, 100))[int(rng.integers(5))]

    def body(shape: tuple[int, int]) -> Array:
        return np.asarray(colour * (1 + 0.05 * cloud(rng, shape, (40, 40)))[..., None])

    wavy = float(rng.choice([0.0, 0.12, 0.3]))
    return tiles(rng, w, h, rng.uniform(1.5, 3.2), int(rng.integers(1, 4)), body, spread=0.06, waves=wavy, alpha=0.06)


def wood(rng: Rng) -> Pattern:
    """Wood-look planks, lying."""
    tone = np.array(linear(((0.66, 0.52, 0.38), (0.50, 0.42, 0.35), (0.78, 0.70, 0.60))[int(rng.integers(3))]))

    def body(shape: tuple[int, int]) -> Array:
        grain = 0.10 * cloud(rng, shape, (150, 5)) + 0.08 * cloud(rng, shape, (500, 12)) + 0.06 * cloud(rng, shape, (20, 3))
        return np.asarray(tone * (1 + grain)[..., None])

    return tiles(rng, 1150, 196, rng.uniform(1.5, 2.5), 1, body, spread=0.09, alpha=0.3)


def terrazzo(rng: Rng) -> Pattern:
    """Chips of stone in cement, plates of 600."""
    ground, kinds = pick(rng, STONES[:2] + STONES[5:]), [pick(rng, STONES + GLAZES) for _ in range(4)]

    def body(shape: tuple[int, int]) -> Array:
        picture = np.tile(ground.astype(np.float32), (*shape, 1))
        for _ in range(2600):
            centre, size = rng.uniform(0, 1, 2) * [shape[1], shape[0]], rng.gamma(2.0, 2.6) + 1.5
            turn = np.sort(rng.uniform(0, 2 * np.pi, 6))
            points = centre + size * rng.uniform(0.6, 1.2, (6, 1)) * np.stack([np.cos(turn), np.sin(turn)], 1)
            cv2.fillPoly(picture, [np.round(points * 8).astype(np.int32)], kinds[int(rng.integers(4))].tolist(), cv2.LINE_AA, 3)
        return picture

    return tiles(rng, 600, 600, 1.8, 1, body, spread=0.02, alpha=0.15)


def pebbles(rng: Rng) -> Pattern:
    """River pebbles in grout, for floors and back walls."""
    side = 1000
    seeds = (np.stack(np.meshgrid(np.arange(25), np.arange(25)), -1).reshape(-1, 2) + rng.uniform(0.1, 0.9, (625, 2))) * 40
    free = np.full((side, side), 255, np.uint8)
    free[seeds[:, 1].astype(int), seeds[:, 0].astype(int)] = 0
    _, label = cv2.distanceTransformWithLabels(free, cv2.DIST_L2, 5, labelType=cv2.DIST_LABEL_PIXEL)
    rim = (label != np.roll(label, 1, 0)) | (label != np.roll(label, 1, 1))
    inside = cv2.distanceTransform((~rim).astype(np.uint8), cv2.DIST_L2, 5)
    grout = np.clip(4.0 - inside, 0, 1)[..., None]
    tone = pick(rng, STONES) * (1 + 0.2 * rng.standard_normal((int(label.max()) + 1, 1)))
    colour = tone[label] * (1 - grout) + pick(rng, GROUTS) * grout
    dome = 4.0 * np.sqrt(np.clip(inside - 3, 0, 14) / 14)
    return Pattern(colour, (side / PX, side / PX), cv2.GaussianBlur(dome.astype(np.float32), (0, 0), 1.5), None, 0.2)


def plaster(rng: Rng) -> Pattern:
    """Painted plaster with the stipple of a roller, a stroke or a filled patch still to be seen."""
    shape, colour = (1600, 1600), pick(rng, PAINTS)
    soft = 0.02 * cloud(rng, shape, (6, 8)) + 0.012 * cloud(rng, shape, (400, 400))
    patch = np.clip(cloud(rng, shape, (4, 4)) - 1.5, 0, 0.3)[..., None] * rng.choice([0.0, 1.0])
    picture = colour * (1 + soft[..., None]) * (1 - patch) + 0.7 * patch
    relief = 0.05 * cloud(rng, shape, (330, 330)) + 0.25 * cloud(rng, shape, (12, 12))
    return Pattern(picture, (1000.0, 1000.0), relief, None, 0.4)


def board(rng: Rng) -> Pattern:
    """Backer board: grey or ochre, seams under mesh tape, screws every 200 mm."""
    shape = (1920, 1440)  # 1200 high, 900 wide
    colour = np.array(linear(((0.66, 0.66, 0.64), (0.74, 0.68, 0.55), (0.55, 0.60, 0.64))[int(rng.integers(3))]))
    picture = colour * (1 + 0.03 * cloud(rng, shape, (12, 9)) + 0.02 * cloud(rng, shape, (480, 360)))[..., None]
    y, x = np.mgrid[0 : shape[0], 0 : shape[1]] / PX
    from_seam = np.minimum(np.minimum(x, 900 - x), np.minimum(y, 1200 - y))
    mesh = ((x % 6 < 1) | (y % 6 < 1)) & (from_seam < 26)
    picture = np.where(((from_seam < 26) & ~mesh)[..., None], 0.85 * picture + 0.08, picture)
    picture = np.where((from_seam < 1.2)[..., None], 0.25 * picture, picture)
    r = np.hypot((x + 60) % 300 - 150, y % 200 - 100)
    picture = np.where((r < 4.2)[..., None], np.array([0.33, 0.33, 0.35]) * np.where(r < 1.6, 0.3, 1.0)[..., None], picture)
    return Pattern(picture.astype(np.float32), (900.0, 1200.0), (-0.5 * np.exp(-((r / 5) ** 2))).astype(np.float32), None, 0.5)


def membrane(rng: Rng) -> Pattern:
    """Waterproofing painted on by brush, with bands of tape in it."""
    shape = (1440, 1440)
    bases: tuple[RGB, ...] = ((0.72, 0.26, 0.22), (0.24, 0.56, 0.42), (0.22, 0.42, 0.66), (0.45, 0.48, 0.50))
    colour = np.array(linear(bases[int(rng.integers(4))]))
    strokes = 0.6 * cloud(rng, shape, (150, 9)) + 0.5 * cloud(rng, shape, (40, 30)) + 0.8 * cloud(rng, shape, (10, 10))
    y, x = np.mgrid[0 : shape[0], 0 : shape[1]] / PX
    band = ((np.abs(x - 640) < 60) | (np.abs(y - 300) < 60)).astype(np.float32)
    tone = 1 + 0.07 * strokes - 0.16 * cv2.GaussianBlur(band, (0, 0), 1.5)
    return Pattern((colour * tone[..., None]).astype(np.float32), (900.0, 900.0), 0.07 * strokes + 0.5 * band, None, 0.22)


def greenboard(rng: Rng) -> Pattern:
    """Green plasterboard, joints and screws filled with white."""
    shape = (1920, 1440)
    colour = np.array(linear(((0.60, 0.70, 0.62), (0.70, 0.68, 0.72), (0.78, 0.77, 0.74))[int(rng.integers(3))]))
    y, x = np.mgrid[0 : shape[0], 0 : shape[1]] / PX
    off = 9 * cloud(rng, shape, (30, 30))
    white = np.clip((70 + off - np.abs(x - 450)) / 9, 0, 1)
    white = np.maximum(white, np.clip((26 + 0.6 * off - np.hypot((x + 60) % 300 - 150, y % 300 - 150)) / 6, 0, 1))[..., None]
    fill = 0.74 * (1 + 0.03 * cloud(rng, shape, (90, 9)))[..., None]
    picture = colour * (1 + 0.015 * cloud(rng, shape, (300, 300)))[..., None] * (1 - white) + fill * white
    return Pattern(picture.astype(np.float32), (900.0, 1200.0), None, None, 0.5)


KINDS: dict[str, Callable[[Rng], Pattern]] = {
    f.__name__: f for f in (slab, metro, wood, terrazzo, pebbles, plaster, board, membrane, greenboard)
}
