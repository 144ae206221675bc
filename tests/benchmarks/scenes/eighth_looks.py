"""Finishes of the eighth rooms: tiles with tilted faces, plaster, boards, wallpaper, stone, enamel; colours are linear."""

from __future__ import annotations

import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import mitsuba as mi
import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[3] / "sample_images"))

from studio.surfaces import Surface

PX = 1.5
"""texels a millimetre"""
RGB = tuple[float, float, float]
SIZES: tuple[tuple[float, float], ...] = (
    (98, 98),
    (148, 148),
    (198, 198),
    (65, 198),
    (74, 149),
    (148, 298),
    (298, 74),
    (198, 398),
    (298, 598),
    (598, 298),
    (598, 598),
    (48, 48),
)
TONES: tuple[RGB, ...] = (
    (0.74, 0.73, 0.71),
    (0.62, 0.60, 0.55),
    (0.46, 0.44, 0.41),
    (0.30, 0.42, 0.38),
    (0.22, 0.34, 0.46),
    (0.55, 0.62, 0.60),
    (0.16, 0.17, 0.18),
    (0.60, 0.47, 0.36),
    (0.44, 0.25, 0.17),
    (0.66, 0.60, 0.42),
    (0.34, 0.40, 0.24),
)
PAINTS: tuple[RGB, ...] = (
    (0.80, 0.79, 0.76),
    (0.72, 0.70, 0.64),
    (0.55, 0.60, 0.58),
    (0.42, 0.50, 0.56),
    (0.40, 0.45, 0.34),
    (0.68, 0.55, 0.44),
    (0.62, 0.40, 0.34),
    (0.22, 0.28, 0.32),
    (0.74, 0.68, 0.50),
)


@dataclass(frozen=True)
class Look:
    """A finish, what it is called, and its mean colour."""

    surface: Surface
    name: str
    rgb: RGB


def field(rng: np.random.Generator, shape: tuple[int, int], sigma: tuple[float, float]) -> np.ndarray:
    """Periodic smooth noise of unit deviation; sigma in texels, down and across."""
    fy, fx = np.fft.fftfreq(shape[0])[:, None], np.fft.rfftfreq(shape[1])[None, :]
    low = np.exp(-2 * np.pi**2 * (fy * sigma[0]) ** 2) * np.exp(-2 * np.pi**2 * (fx * sigma[1]) ** 2)
    low[0, 0] = 0
    white = rng.standard_normal(shape, dtype=np.float32)
    out = np.fft.irfft2(np.fft.rfft2(white) * low.astype(np.float32), s=shape)
    return (out / out.std()).astype(np.float32)


def bitmap(picture: np.ndarray, wrap: str = "repeat") -> dict[str, Any]:
    """A linear picture; row 0 lies at v = 0."""
    held = mi.Bitmap(np.ascontiguousarray(picture.astype(np.float32)))
    return {"type": "bitmap", "bitmap": held, "raw": True, "wrap_mode": wrap, "filter_type": "bilinear"}


def normals(slope_u: np.ndarray, slope_v: np.ndarray, nested: dict[str, Any]) -> dict[str, Any]:
    """The material under a map of surface slopes; it turns the shading alone."""
    n = np.stack([-slope_u, -slope_v, np.ones_like(slope_u)], axis=2)
    n /= np.linalg.norm(n, axis=2, keepdims=True)
    return {"type": "normalmap", "normalmap": bitmap(0.5 * n + 0.5), "nested": nested}


def varied(rng: np.random.Generator, rgb: RGB, by: float = 0.08) -> RGB:
    """Nearly this colour."""
    return tuple(float(np.clip(c * (1 + rng.normal(0, by)), 0.03, 0.86)) for c in rgb)  # type: ignore[return-value]


def tiles(rng: np.random.Generator, size: tuple[float, float] | None = None, rgb: RGB | None = None) -> Look:
    """Wall or floor tiles: bond, gloss, grout and the tilt of each face are drawn."""
    width, height = size or SIZES[rng.integers(len(SIZES))]
    body = varied(rng, rgb or TONES[rng.integers(len(TONES))])
    joint = float(rng.uniform(1.5, 4.0))
    grout = TONES[(0, 2, 6)[rng.integers(3)]] if rng.random() < 0.5 else varied(rng, (0.5, 0.49, 0.46), 0.15)
    half = bool(rng.random() < (0.6 if width > 1.5 * height else 0.1))
    gloss = float(np.exp(rng.uniform(np.log(0.04), np.log(0.35))))
    pitch = (width + joint, height + joint)
    count = tuple(max(2, 2 * round(430 / p)) for p in pitch)
    repeat = (count[0] * pitch[0], count[1] * pitch[1])
    nx, ny = (round(side * PX) for side in repeat)
    across, down = (
        (np.arange(nx, dtype=np.float32) + 0.5) / nx * repeat[0],
        (np.arange(ny, dtype=np.float32) + 0.5) / ny * repeat[1],
    )
    x, y = np.meshgrid(across.astype(np.float32), down.astype(np.float32))
    row = (y // pitch[1]).astype(int) % count[1]
    shifted = x + half * (row % 2) * pitch[0] / 2
    column = (shifted // pitch[0]).astype(int) % count[0]
    inside_x, inside_y = np.mod(shifted, pitch[0]), np.mod(y, pitch[1])
    off_x, off_y = np.minimum(inside_x, pitch[0] - inside_x), np.minimum(inside_y, pitch[1] - inside_y)
    mask = np.clip((joint / 2 - np.minimum(off_x, off_y)) * PX + 0.5, 0, 1)
    picture = _glaze(rng, body, (ny, nx), (row, column), min(width, height))
    sand = 1 + 0.06 * rng.standard_normal((ny, nx, 1), dtype=np.float32)
    picture = np.clip(picture * (1 - mask[..., None]) + np.array(grout, np.float32) * sand * mask[..., None], 0.01, 0.9)
    tilt = 0.0016 if min(width, height) > 120 else 0.004
    sides = [rng.normal(0, tilt, (count[1], count[0])).astype(np.float32)[row, column] for _ in range(2)]
    for axis, (inside, off) in enumerate(((inside_x, off_x), (inside_y, off_y))):
        fall = np.clip(1 - (off - joint / 2) / 1.6, 0, 1) * (off > joint / 2)
        sides[axis] = (sides[axis] - 0.25 * fall * np.where(inside > pitch[axis] / 2, 1, -1)) * (1 - mask)
    inner = {
        "type": "blendbsdf",
        "weight": bitmap(mask[..., None]),
        "tile": {"type": "roughplastic", "alpha": gloss, "nonlinear": True, "diffuse_reflectance": bitmap(picture)},
        "grout": {"type": "diffuse", "reflectance": bitmap(picture)},
    }
    shift = tuple(float(rng.uniform(0, p)) for p in pitch)
    name = f"tiles {width:.0f} x {height:.0f}{' half bond' if half else ''}, gloss {gloss:.2f}, grout {joint:.1f}"
    return Look(Surface(normals(sides[0], sides[1], inner), repeat, shift), name, body)


def _glaze(rng: np.random.Generator, body: RGB, shape: tuple[int, int], cell: tuple[np.ndarray, ...], least: float) -> np.ndarray:
    """Colour of every texel: even, clouded, veined or speckled, from tile to tile a little different."""
    apart = float(rng.uniform(0.005, 0.05))
    tone = 1 + apart * rng.standard_normal((64, 64, 1)) + 0.3 * apart * rng.standard_normal((64, 64, 3))
    colour = (np.array(body) * tone).astype(np.float32)[cell[0] % 64, cell[1] % 64]
    style = rng.choice(["even", "cloud", "vein", "speck"], p=[0.4, 0.25, 0.2, 0.15] if least > 90 else [0.75, 0.25, 0, 0])
    if style == "cloud":
        colour = colour * (1 + 0.06 * field(rng, shape, (50, 50)) + 0.03 * field(rng, shape, (8, 8)))[..., None]
    if style == "vein":
        lines = np.exp(-((field(rng, shape, (90, 60)) / 0.05) ** 2)) + 0.5 * np.exp(-((field(rng, shape, (40, 60)) / 0.03) ** 2))
        colour = colour * (1 - 0.28 * np.clip(lines, 0, 1) + 0.04 * field(rng, shape, (60, 60)))[..., None]
    if style == "speck":
        spots = field(rng, shape, (2.2, 2.2))
        colour = colour * np.where(spots > 1.5, 0.6, np.where(spots < -1.6, 1.25, 1.0))[..., None]
    return colour


def plaster(rng: np.random.Generator, rgb: RGB | None = None) -> Look:
    """Painted plaster with the marks of roller and trowel."""
    body = varied(rng, rgb or PAINTS[rng.integers(len(PAINTS))], 0.05)
    shape = (1200, 1200)
    rough = float(rng.uniform(0.15, 1.0))
    wave, grain = field(rng, shape, (60, 60)), field(rng, shape, (2.0, 2.0))
    picture = np.array(body) * (1 + rough * (0.012 * wave + 0.012 * grain) + 0.006 * field(rng, shape, (200, 120)))[..., None]
    slopes = [rough * (0.012 * np.gradient(wave, axis=a) * 40 + 0.05 * field(rng, shape, (2, 2))) for a in (1, 0)]
    inner: dict[str, Any] = {"type": "diffuse", "reflectance": bitmap(np.clip(picture, 0.01, 0.9))}
    if rng.random() < 0.3:
        inner = {"type": "roughplastic", "alpha": 0.35, "diffuse_reflectance": bitmap(np.clip(picture, 0.01, 0.88))}
    return Look(Surface(normals(slopes[0], slopes[1], inner), (750.0, 750.0)), f"plaster, roughness {rough:.1f}", body)


def timber(rng: np.random.Generator, rgb: RGB | None = None, board_mm: float = 0.0, painted: bool | None = None) -> Look:
    """Wood whose grain runs along v; with a board width there are joints."""
    stains: tuple[RGB, ...] = ((0.52, 0.36, 0.2), (0.36, 0.2, 0.1), (0.62, 0.5, 0.34), (0.16, 0.1, 0.06))
    paints: tuple[RGB, ...] = ((0.78, 0.77, 0.74), (0.6, 0.64, 0.62), (0.32, 0.38, 0.4), (0.7, 0.66, 0.56))
    is_painted = bool(rng.random() < 0.5) if painted is None else painted
    body = varied(rng, rgb or (paints if is_painted else stains)[rng.integers(4)])
    boards = 8
    width = board_mm * boards if board_mm else 640.0
    shape = (1600, round(width * PX))
    strength = 0.02 if is_painted else 0.16
    streak = 0.6 * field(rng, shape, (220, 3)) + 0.4 * field(rng, shape, (60, 1.0)) + 0.3 * field(rng, shape, (400, 20))
    picture = np.array(body, np.float32) * (1 + strength * streak)[..., None]
    slope = 0.02 * field(rng, shape, (100, 1.5))
    if board_mm:
        x = (np.arange(shape[1]) + 0.5) / PX
        index, inside = (x // board_mm).astype(int), np.mod(x, board_mm)
        picture = picture * (1 + (0.02 if is_painted else 0.1) * rng.standard_normal(boards + 1))[index][None, :, None]
        off = np.minimum(inside, board_mm - inside)
        picture = picture * np.clip(0.35 + off / 2.2, 0.35, 1)[None, :, None]
        slope = slope - 0.5 * (np.clip(1 - off / 4.0, 0, 1) * np.where(inside > board_mm / 2, 1, -1))[None, :]
    inner = {
        "type": "roughplastic",
        "alpha": float(rng.uniform(0.15, 0.4)),
        "nonlinear": True,
        "diffuse_reflectance": bitmap(np.clip(picture, 0.01, 0.86)),
    }
    surface = Surface(normals(slope, np.zeros(shape), inner), (width, shape[0] / PX), (float(rng.uniform(0, 300)), 0.0))
    return Look(
        surface, f"{'painted' if is_painted else 'stained'} wood" + (f", boards {board_mm:.0f}" if board_mm else ""), body
    )


def wallpaper(rng: np.random.Generator) -> Look:
    """Paper with a pattern of our own: stripes, sprigs, lattice or arcs."""
    ground, mark = (varied(rng, PAINTS[i]) for i in rng.permutation(len(PAINTS))[:2])
    shape, side = (960, 960), 600.0
    v, u = np.mgrid[0:960, 0:960] / 960.0
    style = str(rng.choice(["stripes", "sprigs", "lattice", "arcs"]))
    if style == "stripes":
        wave = np.cos(2 * np.pi * 8 * u) + 0.6 * np.cos(2 * np.pi * 16 * u + 1.0)
        drawn = 0.7 * (wave > 0.55)
    elif style == "sprigs":
        a, b = np.mod(6 * u + 0.5 * (np.floor(6 * v) % 2), 1) - 0.5, np.mod(6 * v, 1) - 0.5
        turn = np.arctan2(b, a)
        drawn = 0.9 * ((np.hypot(a, b) < 0.28 * np.abs(np.cos(2.5 * turn + 0.4))) | ((np.abs(a) < 0.018) & (b < 0) & (b > -0.4)))
    elif style == "lattice":
        p, q = np.mod(8 * (u + v), 1), np.mod(8 * (u - v), 1)
        drawn = 0.8 * ((np.minimum(p, 1 - p) < 0.05) | (np.minimum(q, 1 - q) < 0.05) | (np.hypot(p - 0.5, q - 0.5) < 0.1))
    else:
        a, b = np.mod(7 * u + 0.5 * (np.floor(10 * v) % 2), 1) - 0.5, np.mod(10 * v, 1)
        drawn = 0.75 * (np.mod(np.hypot(a, 0.7 * b), 0.14) < 0.045)
    fibre = 1 + 0.012 * field(rng, shape, (1.2, 3.0)) + 0.008 * field(rng, shape, (80, 80))
    picture = (np.array(ground) * (1 - drawn[..., None]) + np.array(mark) * drawn[..., None]) * fibre[..., None]
    surface = Surface({"type": "diffuse", "reflectance": bitmap(np.clip(picture, 0.01, 0.88))}, (side, side))
    return Look(surface, f"wallpaper, {style}", ground)


def stone(rng: np.random.Generator, rgb: RGB | None = None) -> Look:
    """A polished or honed plate: grained or veined."""
    body = varied(rng, rgb or ((0.7, 0.69, 0.67), (0.5, 0.48, 0.45), (0.2, 0.2, 0.21), (0.62, 0.55, 0.45))[rng.integers(4)])
    shape = (800, 1600)
    grain = 0.10 * field(rng, shape, (1.5, 1.5)) + 0.06 * field(rng, shape, (5, 5)) + 0.04 * field(rng, shape, (60, 60))
    if rng.random() < 0.4:
        grain = 0.3 * grain - 0.3 * np.exp(-((field(rng, shape, (40, 80)) / 0.06) ** 2))
    picture = np.clip(np.array(body) * (1 + grain)[..., None], 0.01, 0.88)
    alpha = float(rng.uniform(0.05, 0.3))
    inner = {"type": "roughplastic", "alpha": alpha, "nonlinear": True, "diffuse_reflectance": bitmap(picture)}
    return Look(Surface(inner, (1000.0, 500.0), (float(rng.uniform(0, 900)), 0.0)), "stone", body)


def coated(rgb: RGB, alpha: float = 0.2) -> Surface:
    """Plain lacquer, enamel or plastic."""
    return Surface(
        {"type": "roughplastic", "alpha": alpha, "nonlinear": True, "diffuse_reflectance": {"type": "rgb", "value": list(rgb)}}
    )


def plain_matt(rgb: RGB) -> Surface:
    """Cloth, card, skin."""
    return Surface({"type": "diffuse", "reflectance": {"type": "rgb", "value": list(rgb)}})


def shiny(rgb: RGB, alpha: float) -> Surface:
    """Metal; an alpha of 0 is a mirror."""
    kind: dict[str, Any] = {"type": "conductor"} if alpha == 0 else {"type": "roughconductor", "alpha": alpha}
    return Surface({**kind, "material": "none", "specular_reflectance": {"type": "rgb", "value": list(rgb)}})
