"""Tiles, mosaics and stone, each a function (rng) -> Surface with colours of its own drawing."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from .eleventh_grain import RGB, Surface, cells, cloud, coated, grid, jointed

GLAZES: Sequence[RGB] = (
    (0.78, 0.78, 0.76), (0.70, 0.66, 0.58), (0.10, 0.22, 0.20), (0.06, 0.10, 0.22), (0.32, 0.12, 0.08),
    (0.45, 0.52, 0.42), (0.05, 0.05, 0.055), (0.62, 0.42, 0.36), (0.36, 0.46, 0.52), (0.55, 0.40, 0.14),
)  # fmt: skip
FILLERS: Sequence[RGB] = ((0.62, 0.61, 0.58), (0.34, 0.33, 0.32), (0.12, 0.12, 0.12), (0.74, 0.73, 0.7), (0.45, 0.38, 0.3))


def _pick(rng: np.random.Generator, among: Sequence[RGB]) -> RGB:
    return among[int(rng.integers(len(among)))]


def laid(
    rng: np.random.Generator,
    piece: tuple[float, float],
    rgb: RGB,
    *,
    filler: RGB | None = None,
    joint: float = 2.5,
    bond: float = 0.0,
    uneven: float = 0.04,
    within: float = 0.0,
    roughness: float = 0.1,
) -> Surface:
    """Rectangular pieces in courses; bond is the share of a piece by which every other course is moved."""
    w, h = piece
    columns, rows = max(2, round(900 / w)), 2 * max(1, round(450 / h))
    size = (columns * w, rows * h)
    x, y = grid(size)
    row = (y // h).astype(int)
    x = x + bond * w * (row % 2)
    column = (x // w).astype(int) % columns
    fx, fy = np.mod(x, w), np.mod(y, h)
    edge = np.minimum(np.minimum(fx, w - fx), np.minimum(fy, h - fy))
    mask = np.clip(joint / 2 - edge + 0.5, 0, 1)
    tone = 1 + uneven * rng.standard_normal((rows, columns, 1)) + 0.4 * uneven * rng.standard_normal((rows, columns, 3))
    glaze = np.array(rgb) * tone[row, column]
    if within:
        local = cloud(rng, x.shape, 14) * rng.uniform(0.3, 1.0, (rows, columns))[row, column]
        rim = np.exp(-((edge / 5) ** 2))
        glaze = glaze * np.clip(1 + within * (local[..., None] - 0.7 * rim[..., None]), 0.2, 2)
    return jointed(glaze, mask, filler or _pick(rng, FILLERS), size, roughness)


def sticks(rng: np.random.Generator) -> Surface:
    """Long narrow tiles set upright, one course above the other."""
    return laid(
        rng, (float(rng.choice([20, 25, 32])), float(rng.choice([145, 200, 245]))), _pick(rng, GLAZES), uneven=0.09, joint=2
    )


def metro(rng: np.random.Generator) -> Surface:
    """Bevelled brick tiles in a third or half bond."""
    bond = float(rng.choice([0.33, 0.5]))
    return laid(rng, (200, 100), _pick(rng, GLAZES), bond=bond, within=0.12, roughness=0.06)


def handmade(rng: np.random.Generator) -> Surface:
    """Small hand-cut glazed squares, every one of another tone, with hardly a joint."""
    return laid(rng, (100, 100), _pick(rng, GLAZES), uneven=0.22, within=0.14, joint=1.2, roughness=0.05)


def big(rng: np.random.Generator) -> Surface:
    """Large matt slabs with a cement look."""
    grey = rng.uniform(0.22, 0.6) * np.array([1.0, 0.98, 0.94])
    return laid(rng, (600, 600), tuple(grey), joint=2, uneven=0.03, within=0.06, roughness=0.3)


def plain_square(rng: np.random.Generator) -> Surface:
    """The white square tile of every rented room."""
    side = float(rng.choice([150, 200, 108]))
    return laid(rng, (side, side), (0.76, 0.76, 0.74), filler=_pick(rng, FILLERS), joint=3, uneven=0.02, roughness=0.08)


def hexagons(rng: np.random.Generator) -> Surface:
    """A mosaic of hexagons, a few of them in a second colour."""
    return _six(rng, float(rng.choice([52, 95])), round_pieces=False)


def pennies(rng: np.random.Generator) -> Surface:
    """A mosaic of small discs."""
    return _six(rng, 26.0, round_pieces=True)


def _six(rng: np.random.Generator, pitch: float, round_pieces: bool) -> Surface:
    columns, rows = round(620 / pitch), 2 * round(310 / (pitch * 0.866))
    step = pitch * np.sqrt(3) / 2
    size = (columns * pitch, rows * step)
    x, y = grid(size)
    best, owner, reach = np.full(x.shape, 1e9), np.zeros(x.shape, int), np.full(x.shape, 1e9)
    for offset in (-1, 0, 1):
        row = np.floor(y / step).astype(int) + offset
        shifted = x - (row % 2) * pitch / 2
        column = np.floor(shifted / pitch).astype(int)
        dx, dy = shifted - (column + 0.5) * pitch, y - (row + 0.5) * step
        away = np.hypot(dx, dy)
        nearer = away < best
        best = np.where(nearer, away, best)
        reach = np.where(nearer, np.maximum(abs(dx), abs(dx) / 2 + abs(dy) * 0.8660254), reach)
        owner = np.where(nearer, (row % rows) * columns + column % columns, owner)
    far = best if round_pieces else reach
    mask = np.clip(far - (pitch / 2 - 1.2) + 0.5, 0, 1)
    colours = np.tile(np.array(_pick(rng, GLAZES)), (rows * columns, 1))
    colours[rng.random(rows * columns) < rng.choice([0, 0.12])] = _pick(rng, GLAZES)
    colours = colours * (1 + 0.06 * rng.standard_normal((rows * columns, 1)))
    return jointed(colours[owner], mask, _pick(rng, FILLERS), size, 0.15)


def pebbles(rng: np.random.Generator) -> Surface:
    """River stones set on a net."""
    size = (720.0, 720.0)
    first, second, owner, count = cells(rng, size, 42)
    mask = np.clip(3.2 - (second - first) / 1.6, 0, 1)
    tones = np.array(_pick(rng, ((0.42, 0.38, 0.33), (0.55, 0.53, 0.5), (0.2, 0.2, 0.21)))) * rng.uniform(0.55, 1.35, (count, 1))
    return jointed(tones[owner] * (1 - 0.012 * first[..., None]), mask, (0.3, 0.28, 0.25), size, 0.35)


def terrazzo(rng: np.random.Generator) -> Surface:
    """Chips of two sizes in a pale binder, polished."""
    size = (720.0, 720.0)
    ground = np.array(_pick(rng, ((0.70, 0.68, 0.64), (0.62, 0.55, 0.5), (0.33, 0.34, 0.35))))
    chips = np.array([(0.12, 0.12, 0.13), (0.5, 0.28, 0.18), (0.78, 0.76, 0.72), (0.34, 0.38, 0.34), (0.6, 0.48, 0.3)])
    picture = np.tile(ground, (*grid(size)[0].shape, 1))
    for pitch, share in ((9.0, 0.5), (24.0, 0.45)):
        first, second, owner, count = cells(rng, size, pitch, 0.48)
        radius = (pitch * rng.uniform(0.22, 0.5, count) * (rng.random(count) < share))[owner]
        inside = (first < radius) & (second - first > 0.16 * pitch)
        picture[inside] = chips[rng.integers(0, len(chips), count)][owner][inside]
    return coated(picture, size, 0.12)


def marble(rng: np.random.Generator) -> Surface:
    """Polished stone with strong veins."""
    size = (1400.0, 1400.0)
    x, _y = grid(size)
    dark = rng.random() < 0.35
    ground, vein = ((0.05, 0.055, 0.06), (0.6, 0.55, 0.45)) if dark else ((0.76, 0.75, 0.73), (0.22, 0.22, 0.24))
    amount = np.zeros(x.shape)
    turn = rng.uniform(0.5, 2.0)
    for scale, thin, weight in ((160.0, 0.03, 0.9), (70.0, 0.045, 0.45), (28.0, 0.06, 0.2)):
        field = cloud(rng, x.shape, (scale, scale * turn)) + 0.25 * cloud(rng, x.shape, scale / 5)
        amount = np.maximum(amount, weight * np.exp(-np.abs(field) / thin) * np.clip(0.6 + 0.5 * cloud(rng, x.shape, 120), 0, 1))
    soft = 0.09 * cloud(rng, x.shape, 90)
    picture = np.array(ground) * (1 + soft[..., None])
    return coated(picture + (np.array(vein) - picture) * amount[..., None], size, 0.05)


TILES: dict[str, Callable[[np.random.Generator], Surface]] = {
    "sticks": sticks, "metro": metro, "handmade": handmade, "big": big, "plain_square": plain_square,
    "hexagons": hexagons, "pennies": pennies, "pebbles": pebbles, "terrazzo": terrazzo, "marble": marble,
}  # fmt: skip
