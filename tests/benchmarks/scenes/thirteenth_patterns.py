"""Flat patterns of the thirteenth family: which tile a point belongs to, how far the joint is, and soft noise."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

Array = np.ndarray
LARGEST_PX = 1400  # of a texture's side


@dataclass(frozen=True)
class Laid:
    """Tiles on a periodic field: a number per tile, millimetres to the joint's middle, and the place inside the tile."""

    number: Array
    joint: Array
    u: Array
    v: Array
    repeat: tuple[float, float]
    px_per_mm: float


def noise(rng: np.random.Generator, shape: tuple[int, int], scale_px: float) -> Array:
    """Periodic soft noise of unit spread; coarse noise is made small and enlarged."""
    shrink = max(1.0, scale_px / 3.0)
    small = tuple(max(8, round(side / shrink)) for side in shape)
    sigma = scale_px * small[1] / shape[1]
    rim = int(np.ceil(3 * sigma)) + 1
    rough = np.pad(rng.standard_normal(small, dtype=np.float32), rim, mode="wrap")
    field = cv2.GaussianBlur(rough, (2 * rim + 1, 2 * rim + 1), sigma)[rim:-rim, rim:-rim]
    field = (field - field.mean()) / max(float(field.std()), 1e-9)
    if small == tuple(shape):
        return field
    wrapped = np.pad(field, 4, mode="wrap")
    factor = (shape[0] / small[0], shape[1] / small[1])
    return cv2.warpAffine(
        wrapped,
        np.array([[1 / factor[1], 0, 4 + 0.5 / factor[1] - 0.5], [0, 1 / factor[0], 4 + 0.5 / factor[0] - 0.5]]),
        (shape[1], shape[0]),
        flags=cv2.INTER_CUBIC | cv2.WARP_INVERSE_MAP,
    )


def _field(repeat: tuple[float, float]) -> tuple[Array, Array, float]:
    px = min(2.0, LARGEST_PX / max(repeat))
    nx, ny = (max(16, round(side * px)) for side in repeat)
    x = (np.arange(nx, dtype=np.float32) + 0.5) * (repeat[0] / nx)
    y = (np.arange(ny, dtype=np.float32) + 0.5) * (repeat[1] / ny)
    return *np.meshgrid(x, y), px


def _rim(u: Array, v: Array, w: Array | float, h: Array | float) -> Array:
    return np.minimum(np.minimum(u, w - u), np.minimum(v, h - v))


def rows(rng: np.random.Generator, w: float, h: float, shift: float) -> Laid:
    """Courses, each moved by `shift` of a tile against the one below; a negative shift is random."""
    steps = round(1 / shift) if shift > 0 else (4 if shift < 0 else 1)
    nx = max(1, round(720 / w))
    ny = steps * max(1, round(720 / h / steps))
    x, y, px = _field((nx * w, ny * h))
    row = np.minimum((y // h).astype(int), ny - 1)
    moved = rng.random(ny) if shift < 0 else np.arange(ny) * shift
    along = x + (moved[row] * w).astype(np.float32)
    column = (along // w).astype(int) % nx
    u, v = np.mod(along, w), np.mod(y, h)
    return Laid(row * 97 + column * 13, _rim(u, v, w, h), u, v, (nx * w, ny * h), px)


def herringbone(rng: np.random.Generator, w: float, h: float, shift: float) -> Laid:
    """Bricks twice as long as high, laid in a zigzag."""
    side = 4 * h * max(1, round(560 / (4 * h)))
    x, y, px = _field((side, side))
    i, j = (x // h).astype(int), (y // h).astype(int)
    kind = (i - j) % 4
    flat = kind < 2
    i0, j0 = i - (kind == 1), j - (kind == 2)
    u, v = x - i0 * h, y - j0 * h
    rim = _rim(u, v, np.where(flat, 2 * h, h), np.where(flat, h, 2 * h))
    period = round(side / h)
    return Laid((i0 % period) * 97 + (j0 % period) * 13 + flat, rim, u, v, (side, side), px)


def basket(rng: np.random.Generator, w: float, h: float, shift: float) -> Laid:
    """Blocks of two or three bricks, lying and standing by turns."""
    count = 2 if shift < 0.4 else 3
    block = count * h
    side = 2 * block * max(1, round(500 / (2 * block)))
    x, y, px = _field((side, side))
    i, j = (x // block).astype(int), (y // block).astype(int)
    a, b = np.mod(x, block), np.mod(y, block)
    flat = (i + j) % 2 == 0
    across = np.where(flat, b, a)
    k = (across // h).astype(int)
    u, v = np.where(flat, a, b), across - k * h
    return Laid(i * 97 + j * 13 + k, _rim(u, v, block, h), u, v, (side, side), px)


def hexagons(rng: np.random.Generator, w: float, h: float, shift: float) -> Laid:
    """Hexagons, or round pennies where `shift` says so."""
    tall = w * np.sqrt(3)
    nx, ny = max(1, round(560 / w)), max(1, round(560 / tall))
    x, y, px = _field((nx * w, ny * tall))
    best: list[Array] = []
    for half in (0.0, 0.5):
        m, n = np.round(x / w - half), np.round(y / tall - half)
        dx, dy = x - (m + half) * w, y - (n + half) * tall
        best.append(np.stack([dx * dx + dy * dy, dx, dy, (m % nx) * 97 + (n % ny) * 13 + 7 * half * 2]))
    pick = best[0][0] < best[1][0]
    _, dx, dy, number = np.where(pick, best[0], best[1])
    rim = w / 2 - (np.hypot(dx, dy) if shift > 0.4 else np.maximum(abs(dx), abs(dx) / 2 + abs(dy) * np.sqrt(3) / 2))
    return Laid(number.astype(int), rim, dx + w / 2, dy + w / 2, (nx * w, ny * tall), px)


def diagonal(rng: np.random.Generator, w: float, h: float, shift: float) -> Laid:
    """Squares on their corners."""
    k = max(1, round(560 / (w * np.sqrt(2))))
    side = k * w * np.sqrt(2)
    x, y, px = _field((side, side))
    p, q = (x + y) / np.sqrt(2), (x - y) / np.sqrt(2)
    u, v = np.mod(p, w), np.mod(q, w)
    # one repeat in x moves both p and q by k tiles
    i, j = np.floor(p / w).astype(int), np.floor(q / w).astype(int)
    wrap = j // k
    return Laid((i - wrap * k) % (2 * k) * 97 + (j % k) * 13, _rim(u, v, w, w), u, v, (side, side), px)


def upright(laid: Laid) -> Laid:
    """The same laid on end: rows become columns."""
    turned = (np.ascontiguousarray(a.T) for a in (laid.number, laid.joint, laid.v, laid.u))
    number, joint, u, v = turned
    return Laid(number, joint, u, v, laid.repeat[::-1], laid.px_per_mm)
