"""Wall and floor finishes of the fourth family, painted as pictures: two pixels a millimetre, linear, periodic."""

from __future__ import annotations

import colorsys
from collections.abc import Callable

import numpy as np

from .fourth_base import RGB, Array, Rng, Surface, chance, one_of, paint, textured

PX = 2.0  # pixels per millimetre
Made = tuple[Surface, str]


def tint(rng: Rng, family: str | None = None) -> RGB:
    """A linear colour of a family that is sold for bathrooms."""
    hue, saturation, value = {
        "white": (rng.uniform(0.06, 0.6), rng.uniform(0, 0.05), rng.uniform(0.66, 0.84)),
        "cream": (rng.uniform(0.09, 0.13), rng.uniform(0.1, 0.3), rng.uniform(0.55, 0.75)),
        "grey": (rng.uniform(0.05, 0.65), rng.uniform(0, 0.1), rng.uniform(0.16, 0.5)),
        "dark": (rng.uniform(0, 1), rng.uniform(0, 0.4), rng.uniform(0.03, 0.1)),
        "green": (rng.uniform(0.25, 0.45), rng.uniform(0.2, 0.6), rng.uniform(0.12, 0.5)),
        "blue": (rng.uniform(0.5, 0.66), rng.uniform(0.2, 0.65), rng.uniform(0.12, 0.5)),
        "earth": (rng.uniform(0.02, 0.08), rng.uniform(0.4, 0.75), rng.uniform(0.18, 0.5)),
        "pink": (rng.uniform(0.95, 1.0), rng.uniform(0.15, 0.4), rng.uniform(0.4, 0.65)),
        "yellow": (rng.uniform(0.11, 0.15), rng.uniform(0.4, 0.7), rng.uniform(0.45, 0.65)),
    }[family or one_of(rng, "white", "white", "cream", "grey", "grey", "dark", "green", "blue", "earth", "pink", "yellow")]
    return colorsys.hsv_to_rgb(hue, saturation, value)


def clouds(rng: Rng, shape: tuple[int, int], across_px: float) -> Array:
    """Periodic smooth noise, mean 0, standard deviation 1."""
    fy, fx = np.fft.fftfreq(shape[0])[:, None], np.fft.rfftfreq(shape[1])[None, :]
    low = np.exp(-2 * (np.pi * across_px) ** 2 * (fy**2 + fx**2))
    low[0, 0] = 0
    field = np.fft.irfft2(np.fft.rfft2(rng.standard_normal(shape)) * low, shape)
    return np.asarray(field / field.std())


def _grid(repeat: tuple[float, float]) -> tuple[Array, Array]:
    ny, nx = round(repeat[1] * PX), round(repeat[0] * PX)
    y, x = (np.arange(ny) + 0.5) * repeat[1] / ny, (np.arange(nx) + 0.5) * repeat[0] / nx
    return np.broadcast_to(x, (ny, nx)), np.broadcast_to(y[:, None], (ny, nx))


def _lay(rng: Rng, cell: Array, edge: Array, rgb: RGB, grout: RGB, joint: float, uneven: float, rough: float) -> Surface:
    """Glazed pieces: which piece (h, w) each pixel belongs to and how far in millimetres it is from the piece's rim."""
    ny, nx = cell.shape
    count = int(cell.max()) + 1
    tone = 1 + uneven * rng.standard_normal((count, 1)) + 0.4 * uneven * rng.standard_normal((count, 3))
    inside = np.clip((edge - joint / 2) * PX + 0.5, 0, 1)
    rounding = 1 - 0.18 * np.exp(-np.maximum(edge - joint / 2, 0) / 1.3)
    flow = 1 + 0.25 * uneven * clouds(rng, (ny, nx), 14)
    glaze = np.array(rgb) * np.clip(tone, 0.3, 1.8)[cell] * (rounding * flow)[..., None]
    dirt = np.array(grout) * (1 + 0.05 * rng.standard_normal((ny, nx, 1)) + 0.06 * clouds(rng, (ny, nx), 90)[..., None])
    return textured(glaze * inside[..., None] + dirt * (1 - inside[..., None]), (nx / PX, ny / PX), rough, np.clip(inside, 0, 1))


def tiles(rng: Rng, size: tuple[float, float] | None = None) -> Made:
    """Rectangular tiles, stacked or in half or third bond."""
    w, h = size or one_of(rng, (300, 600), (600, 300), (200, 200), (150, 75), (250, 330), (400, 200), (98, 98), (1200, 600))
    bond = one_of(rng, 0.0, 0.0, 0.5, 1 / 3) if w > h else 0.0
    columns = max(1, round(1300 / w))
    rows = 6 if bond else max(2, round(1100 / h))
    x, y = _grid((w * columns, h * rows))
    row = np.minimum((y // h).astype(int), rows - 1)
    along = x + bond * row * w
    column = (along // w).astype(int) % columns
    edge = np.minimum(np.minimum(along % w, w - along % w), np.minimum(y % h, h - y % h))
    white = tint(rng, "white")
    rgb, grout = tint(rng), one_of(rng, tint(rng, "grey"), white, tint(rng, "dark"))
    surface = _lay(
        rng, row * columns + column, edge, rgb, grout, rng.uniform(1.2, 4), rng.uniform(0.01, 0.09), rng.uniform(0.06, 0.3)
    )
    return surface, f"tiles {w:g} x {h:g}"


def two_tone(rng: Rng) -> Made:
    """Small squares laid as a chequered pattern."""
    w = float(one_of(rng, 48, 73, 98, 148))
    n = 2 * max(2, round(450 / w))
    x, y = _grid((w * n, w * n))
    i, j = (x // w).astype(int), (y // w).astype(int)
    edge = np.minimum(np.minimum(x % w, w - x % w), np.minimum(y % w, w - y % w))
    odd = ((i + j) % 2)[..., None]
    picture = np.where(odd, np.array(tint(rng, "white")), np.array(tint(rng)))
    inside = np.clip((edge - 1) * PX + 0.5, 0, 1)
    picture = picture * (1 + 0.03 * clouds(rng, x.shape, 30)[..., None])
    picture = picture * inside[..., None] + np.array(tint(rng, "grey")) * (1 - inside[..., None])
    return textured(picture, (w * n, w * n), rng.uniform(0.1, 0.3), inside), f"chequered tiles {w:g}"


def pennies(rng: Rng) -> Made:
    """Round mosaic in staggered rows."""
    p = float(one_of(rng, 21, 28, 40))
    rise = p * 0.866
    cols, rows = round(700 / p), 2 * round(350 / rise)
    x, y = _grid((cols * p, rows * rise))
    best = np.full(x.shape, 9e9)
    cell = np.zeros(x.shape, int)
    base = np.round(y / rise - 0.5).astype(int)
    for step in (-1, 0, 1):
        row = base + step
        shift = 0.5 * (row % 2)
        column = np.round(x / p - 0.5 - shift).astype(int)
        far = np.hypot(x - (column + 0.5 + shift) * p, y - (row + 0.5) * rise)
        closer = far < best
        best, cell = np.where(closer, far, best), np.where(closer, (row % rows) * cols + column % cols, cell)
    surface = _lay(
        rng, cell, 0.46 * p - best, tint(rng), tint(rng, one_of(rng, "white", "grey")), 0.1, rng.uniform(0.03, 0.1), 0.15
    )
    return surface, f"round mosaic {p:g}"


def kiln(rng: Rng) -> Made:
    """Hand-made squares, every one another tone."""
    surface, name = _lay_squares(rng, float(one_of(rng, 98, 118, 132)))
    return surface, name


def _lay_squares(rng: Rng, w: float) -> Made:
    n = round(1100 / w)
    x, y = _grid((w * n, w * n))
    wobble = 0.8 * clouds(rng, x.shape, 25)
    edge = np.minimum(np.minimum(x % w, w - x % w), np.minimum(y % w, w - y % w)) + 0.4 * wobble
    cell = (y // w).astype(int) * n + (x // w).astype(int)
    rgb = tint(rng, one_of(rng, "green", "blue", "earth", "cream", "white"))
    return _lay(rng, cell, np.maximum(edge, 0), rgb, tint(rng, "cream"), 2.0, 0.16, 0.07), f"hand-made squares {w:g}"


def slab(rng: Rng) -> Made:
    """Large veined panels with hairline joints."""
    w, h = one_of(rng, (800, 1300), (600, 1200), (1000, 1000))
    x, y = _grid((w, h))
    bend = 0.6 * clouds(rng, x.shape, 160) + 0.2 * clouds(rng, x.shape, 30)
    vein = np.exp(-((bend / rng.uniform(0.02, 0.06)) ** 2)) + 0.5 * np.exp(-(((clouds(rng, x.shape, 90) - 0.6) / 0.05) ** 2))
    ground, line = tint(rng, one_of(rng, "white", "grey", "dark", "cream")), tint(rng, one_of(rng, "grey", "earth", "white"))
    share = np.clip(rng.uniform(0.3, 0.8) * vein, 0, 1)[..., None]
    picture = (np.array(ground) * (1 - share) + np.array(line) * share) * (1 + 0.03 * clouds(rng, x.shape, 70)[..., None])
    edge = np.minimum(np.minimum(x, w - x), np.minimum(y, h - y))
    picture = np.where((edge < 0.7)[..., None], np.array(tint(rng, "grey")), picture)
    return textured(picture, (w, h), rng.uniform(0.06, 0.25)), f"veined panels {w:g} x {h:g}"


def trowelled(rng: Rng) -> Made:
    """Cement or lime, clouded by the trowel, with pores."""
    x, _ = _grid((1100, 1100))
    tone = 0.1 * clouds(rng, x.shape, 120) + 0.05 * clouds(rng, x.shape, 12) + 0.02 * rng.standard_normal(x.shape)
    pores = clouds(rng, x.shape, 1.6) > 3.1
    picture = np.array(tint(rng, one_of(rng, "grey", "cream", "earth", "green", "pink")))
    picture = picture * np.clip(1 + rng.uniform(0.5, 1.3) * tone - 0.45 * pores, 0.2, 2)[..., None]
    return textured(picture, (1100, 1100), 0.6), "trowelled cement"


def boards(rng: Rng) -> Made:
    """Wood, or tiles and vinyl that look like it."""
    w = float(one_of(rng, 90, 140, 190))
    rows = round(900 / w)
    x, y = _grid((1200, w * rows))
    row = (y // w).astype(int)
    grain = np.stack([clouds(rng, (x.shape[0], 64), 3)] * 1)[0]
    streak = np.repeat(grain, -(-x.shape[1] // 64), axis=1)[:, : x.shape[1]]
    tone = (1 + 0.18 * rng.standard_normal(rows))[row] + 0.1 * streak + 0.06 * clouds(rng, x.shape, 60)
    picture = np.array(tint(rng, one_of(rng, "earth", "cream", "grey"))) * np.clip(tone, 0.4, 1.7)[..., None]
    picture = np.where(((y % w) < 1.2)[..., None], 0.25 * picture, picture)
    return textured(picture, (1200, w * rows), 0.35), f"boards {w:g}"


def papered(rng: Rng) -> Made:
    """Wallpaper: leaves or stripes."""
    x, y = _grid((530, 640))
    ground, mark = np.array(tint(rng, one_of(rng, "cream", "white", "green", "blue", "dark"))), np.array(tint(rng))
    drawn = np.zeros(x.shape)
    if chance(rng, 0.4):
        drawn = ((x % 53) < rng.uniform(8, 26)).astype(float)
    for _ in range(0 if drawn.any() else 60):
        cx, cy, turn, size = rng.uniform(0, 530), rng.uniform(0, 640), rng.uniform(0, np.pi), rng.uniform(22, 60)
        dx, dy = (x - cx + 265) % 530 - 265, (y - cy + 320) % 640 - 320
        u, v = np.cos(turn) * dx + np.sin(turn) * dy, np.cos(turn) * dy - np.sin(turn) * dx
        drawn = np.maximum(drawn, (np.abs(v) < 0.28 * size * (1 - (u / size) ** 2)) & (np.abs(v) > 0.8))
    share = 0.75 * drawn[..., None]
    picture = (ground * (1 - share) + mark * share) * (1 + 0.02 * rng.standard_normal((*x.shape, 1)))
    return textured(picture, (530, 640), 0.6), "wallpaper"


def painted(rng: Rng) -> Made:
    rgb = tint(rng)
    return paint(rgb, rng, rng.uniform(0.008, 0.03)), "paint"


WALLS: tuple[Callable[[Rng], Made], ...] = (
    tiles, painted, tiles, slab, two_tone, painted, kiln, trowelled,
    tiles, papered, pennies, boards, painted, slab, tiles, trowelled,
)  # fmt: skip
WET: tuple[Callable[[Rng], Made], ...] = (tiles, slab, kiln, tiles, pennies, trowelled, two_tone, tiles)
FLOORS: tuple[Callable[[Rng], Made], ...] = (tiles, boards, pennies, two_tone, slab, trowelled)
