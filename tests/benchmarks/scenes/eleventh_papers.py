"""What walls are covered with besides tile: paper, paint, plaster, brick, boards. Each is a function (rng) -> Surface."""

from __future__ import annotations

from collections.abc import Callable

import cv2
import numpy as np

from .eleventh_grain import PX_PER_MM, RGB, Surface, cloud, coated, grid, pixels

PAINTS: tuple[RGB, ...] = (
    (0.80, 0.79, 0.76), (0.72, 0.66, 0.52), (0.45, 0.55, 0.50), (0.28, 0.36, 0.45), (0.62, 0.42, 0.38), (0.16, 0.20, 0.17),
    (0.52, 0.50, 0.47), (0.75, 0.68, 0.30), (0.66, 0.74, 0.78), (0.09, 0.12, 0.2), (0.38, 0.40, 0.26),
)  # fmt: skip


def _colour(rng: np.random.Generator) -> np.ndarray:
    return np.array(PAINTS[int(rng.integers(len(PAINTS)))]) * rng.uniform(0.85, 1.1)


def emulsion(rng: np.random.Generator) -> Surface:
    """Rolled paint with scuffs and a fine orange peel."""
    size = (1100.0, 1100.0)
    shape = grid(size)[0].shape
    uneven = 0.012 * cloud(rng, shape, 60) + 0.014 * cloud(rng, shape, 1.6)
    scuff = np.clip(cloud(rng, shape, (26, 9)) - 2.6, 0, 1) * 0.12
    return coated(_colour(rng) * (1 + uneven - scuff)[..., None], size, None if rng.random() < 0.6 else 0.35)


def stripes(rng: np.random.Generator) -> Surface:
    """Wallpaper in upright stripes of several widths."""
    size = (530.0, 600.0)
    x, _ = grid(size)
    ground = np.array((0.74, 0.71, 0.64)) * rng.uniform(0.85, 1.05)
    band, thin = _colour(rng), _colour(rng) * 0.7
    period = float(rng.choice([53.0, 106.0, 132.5]))
    at = np.mod(x, period) / period
    picture = np.where((at < 0.46)[..., None], band, ground)
    picture = np.where(((abs(at - 0.56) < 0.018) | (abs(at - 0.9) < 0.018))[..., None], thin, picture)
    weave = 1 + 0.02 * cloud(rng, x.shape, (0.9, 5))
    return coated(picture * weave[..., None], size)


def damask(rng: np.random.Generator) -> Surface:
    """A mirrored ornament, tone on tone with a sheen."""
    size = (528.0, 640.0)
    x, y = grid(size)
    ground = _colour(rng)
    w, h = 264.0, 320.0
    u = np.mod(x / w + 0.5 * (np.floor(y / h * 2) % 2), 1) * 2 - 1
    v = np.mod(y / h * 2, 1) * 2 - 1
    r, a = np.hypot(u, 0.8 * v), np.arctan2(v, np.abs(u))
    leaf = np.cos(5 * a + 4 * r) * np.exp(-((r - 0.45) ** 2) / 0.08) + np.exp(-((r / 0.16) ** 2))
    scroll = np.cos(14 * r - 3 * a) * np.exp(-((r - 0.75) ** 2) / 0.03)
    ink = 1 / (1 + np.exp(-14 * (np.maximum(leaf, scroll) - 0.35)))
    lift = rng.uniform(1.35, 1.9) if ground.mean() < 0.4 else rng.uniform(0.62, 0.8)
    return coated(ground * (1 + (lift - 1) * ink[..., None]), size, 0.4)


def floral(rng: np.random.Generator) -> Surface:
    """Blossoms and leaves strewn over a pale or dark ground."""
    size = (640.0, 640.0)
    n = pixels(size[0])
    dark = rng.random() < 0.4
    picture = np.tile(np.array((0.06, 0.09, 0.10) if dark else (0.76, 0.73, 0.68), np.float32), (n, n, 1))
    bloom = [tuple(float(c) for c in rng.uniform(0.25, 0.75, 3) * np.array([1.1, 0.6, 0.7])) for _ in range(3)]
    for _ in range(60):
        centre, scale = rng.uniform(0, n, 2), rng.uniform(14, 34) * PX_PER_MM
        turn = rng.uniform(0, 360)
        for dx in (-n, 0, n):
            for dy in (-n, 0, n):
                _blossom(picture, centre + np.array([dx, dy]), scale, turn, bloom[int(turn) % 3])
    return coated(cv2.GaussianBlur(picture, (0, 0), 0.7), size)


def _blossom(picture: np.ndarray, centre: np.ndarray, scale: float, turn: float, rgb: RGB) -> None:
    n = picture.shape[0]
    if not (-2 * scale < centre[0] < n + 2 * scale and -2 * scale < centre[1] < n + 2 * scale):
        return
    for k in range(5):
        angle = np.radians(turn + 72 * k)
        at = centre + 0.55 * scale * np.array([np.cos(angle), np.sin(angle)])
        place = (round(float(at[0])), round(float(at[1])))
        shade = tuple(c * (0.8 + 0.08 * k) for c in rgb)
        cv2.ellipse(picture, place, (round(0.5 * scale), round(0.3 * scale)), turn + 72 * k, 0, 360, shade, -1, cv2.LINE_AA)
    middle = (round(float(centre[0])), round(float(centre[1])))
    cv2.circle(picture, middle, round(0.2 * scale), (0.7, 0.55, 0.15), -1, cv2.LINE_AA)
    leaf = centre + 1.4 * scale * np.array([np.cos(np.radians(turn + 36)), np.sin(np.radians(turn + 36))])
    where = (round(float(leaf[0])), round(float(leaf[1])))
    cv2.ellipse(picture, where, (round(0.6 * scale), round(0.2 * scale)), turn + 50, 0, 360, (0.15, 0.26, 0.12), -1, cv2.LINE_AA)


def boards(rng: np.random.Generator) -> Surface:
    """Upright boards with tongue and groove, bare wood or painted."""
    width = float(rng.choice([70.0, 95.0, 140.0]))
    count = round(1000 / width)
    size = (count * width, 1200.0)
    x, _ = grid(size)
    board = (x // width).astype(int) % count
    groove = np.exp(-((np.minimum(np.mod(x, width), width - np.mod(x, width)) / 2.0) ** 2))
    grain = cloud(rng, x.shape, (1.4, 90)) * 0.10 + cloud(rng, x.shape, (9, 260)) * 0.12
    if rng.random() < 0.5:
        rgb, grain = _colour(rng), 0.15 * grain
    else:
        rgb = np.array(((0.42, 0.26, 0.13), (0.58, 0.44, 0.27), (0.16, 0.09, 0.05))[int(rng.integers(3))])
    tone = (1 + 0.08 * rng.standard_normal(count))[board]
    return coated(rgb * (tone * (1 + grain) * (1 - 0.75 * groove))[..., None], size, 0.3)


def brick(rng: np.random.Generator) -> Surface:
    """A bare brick wall, sometimes whitewashed."""
    w, h = 225.0, 75.0
    size = (4 * w, 12 * h)
    x, y = grid(size)
    wobble = 1.6 * cloud(rng, x.shape, 9)
    row = (y // h).astype(int)
    xs = x + (row % 2) * w / 2
    column = (xs // w).astype(int) % 4
    edge = np.minimum(np.minimum(np.mod(xs, w), w - np.mod(xs, w)), np.minimum(np.mod(y, h), h - np.mod(y, h))) + wobble
    mortar = np.clip((5.5 - edge) / 2 + 0.5, 0, 1)[..., None]
    clay = np.array((0.34, 0.14, 0.08)) * (1 + 0.25 * rng.standard_normal((12, 4, 1)))[row, column]
    clay = clay * (1 + 0.18 * cloud(rng, x.shape, 3) + 0.1 * cloud(rng, x.shape, 20))[..., None]
    picture = clay * (1 - mortar) + np.array((0.46, 0.43, 0.38)) * mortar
    if rng.random() < 0.4:
        cover = np.clip(0.85 + 0.12 * cloud(rng, x.shape, 14) - 0.15 * mortar[..., 0], 0, 1)[..., None]
        picture = picture * (1 - cover) + 0.72 * cover
    return coated(picture, size)


def blocks(rng: np.random.Generator) -> Surface:
    """Painted concrete blocks: one colour, sunken joints, pores."""
    w, h = 400.0, 200.0
    size = (2 * w, 4 * h)
    x, y = grid(size)
    xs = x + ((y // h).astype(int) % 2) * w / 2
    edge = np.minimum(np.minimum(np.mod(xs, w), w - np.mod(xs, w)), np.minimum(np.mod(y, h), h - np.mod(y, h)))
    shade = 1 - 0.28 * np.exp(-((edge / 4.5) ** 2)) - 0.35 * np.clip(cloud(rng, x.shape, 1.3) - 1.9, 0, 1)
    return coated(_colour(rng) * (shade + 0.02 * cloud(rng, x.shape, 2))[..., None], size, 0.4)


def plaster(rng: np.random.Generator) -> Surface:
    """Raw plaster, half dry, with filled patches of another grey."""
    size = (1300.0, 1300.0)
    shape = grid(size)[0].shape
    damp = 1 / (1 + np.exp(-3 * cloud(rng, shape, 130)))
    patch = 1 / (1 + np.exp(-25 * (cloud(rng, shape, (90, 60)) - 1.2)))
    trowel = 0.03 * cloud(rng, shape, (40, 5)) + 0.03 * cloud(rng, shape, 2)
    raw = np.array((0.58, 0.46, 0.38)) * (1 - 0.3 * damp[..., None])
    picture = raw + (np.array((0.74, 0.73, 0.71)) - raw) * patch[..., None]
    return coated(picture * (1 + trowel[..., None]), size)


def backer(rng: np.random.Generator) -> Surface:
    """Board for tiling: sheets with taped joints and rows of screws."""
    size = (1200.0, 800.0)
    x, y = grid(size)
    tone = 0.02 * cloud(rng, x.shape, 3) + 0.02 * cloud(rng, x.shape, 50)
    rgb = np.array(((0.5, 0.5, 0.48), (0.36, 0.48, 0.40), (0.50, 0.30, 0.16))[int(rng.integers(3))])
    picture = rgb * (1 + tone[..., None])
    for at, size_along, across in ((600.0, 1200.0, x), (400.0, 800.0, y)):
        edge = np.minimum(abs(across - at), size_along - abs(across - at)) if at == 0 else abs(across - at)
        smear = np.clip((48 + 9 * cloud(rng, x.shape, 30) - edge) / 8, 0, 1)[..., None]
        picture = picture * (1 - smear) + np.array((0.68, 0.67, 0.63)) * smear
    screw = np.hypot(np.mod(x, 200) - 100, np.mod(y, 200) - 100)
    return coated(np.where((screw < 4.5)[..., None], 0.2, picture), size)


def limewash(rng: np.random.Generator) -> Surface:
    """Cloudy lime paint or polished cement."""
    size = (1500.0, 1500.0)
    shape = grid(size)[0].shape
    tone = 0.09 * cloud(rng, shape, 110) + 0.06 * cloud(rng, shape, (30, 18)) + 0.015 * cloud(rng, shape, 2)
    return coated(_colour(rng) * (1 + tone[..., None]), size, None if rng.random() < 0.5 else 0.22)


PAPERS: dict[str, Callable[[np.random.Generator], Surface]] = {
    "emulsion": emulsion, "stripes": stripes, "damask": damask, "floral": floral, "boards": boards, "brick": brick,
    "blocks": blocks, "plaster": plaster, "backer": backer, "limewash": limewash,
}  # fmt: skip
