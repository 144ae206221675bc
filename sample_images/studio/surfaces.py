"""Materials: linear reflectances in sRGB primaries, patterns drawn at two pixels per millimetre."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import mitsuba as mi
import numpy as np

PX_PER_MM = 2.0
RGB = tuple[float, float, float]


@dataclass(frozen=True)
class Surface:
    """A Mitsuba material and the millimetres that one repeat of its pattern covers."""

    bsdf: dict[str, Any]
    repeat_mm: tuple[float, float] = (1000.0, 1000.0)
    shift_mm: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True)
class Tile:
    width_mm: float
    height_mm: float
    rgb: RGB
    grout_rgb: RGB = (0.55, 0.53, 0.5)
    grout_mm: float = 3.0
    half_bond: bool = False
    roughness: float = 0.15
    variation: float = 0.03  # tile to tile
    vein: float = 0.0  # within a tile
    shift_mm: tuple[float, float] = (37.0, 53.0)


def plain(rgb: RGB) -> Surface:
    return Surface({"type": "diffuse", "reflectance": {"type": "rgb", "value": list(rgb)}})


def lacquer(rgb: RGB, roughness: float = 0.25) -> Surface:
    """Plastic, lacquered wood, glazed ware."""
    return Surface(
        {
            "type": "roughplastic",
            "alpha": roughness,
            "nonlinear": True,
            "diffuse_reflectance": {"type": "rgb", "value": list(rgb)},
        }
    )


def metal(rgb: RGB = (0.72, 0.72, 0.73), roughness: float = 0.12) -> Surface:
    return Surface(
        {
            "type": "roughconductor",
            "alpha": roughness,
            "material": "none",
            "specular_reflectance": {"type": "rgb", "value": list(rgb)},
        }
    )


def paint(rgb: RGB, rng: np.random.Generator, mottle: float = 0.012) -> Surface:
    """Emulsion paint: a matt colour with the faint unevenness of a roller."""
    side = 768
    uneven = mottle * (0.6 * _noise(rng, side, 4.0) + 0.8 * _noise(rng, side, 40.0))
    picture = np.clip(np.array(rgb) * (1 + uneven[..., None]), 0.01, 0.92)
    return Surface({"type": "diffuse", "reflectance": _bitmap(picture)}, (side * 1.0, side * 1.0))


def tiled(tile: Tile, rng: np.random.Generator) -> Surface:
    """Glazed tiles with matt grout; joints lie on the multiples of the tile size less the shift."""
    columns = max(2, 2 * round(700 / tile.width_mm / 2))
    rows = max(2, 2 * round(700 / tile.height_mm / 2))
    repeat = (columns * tile.width_mm, rows * tile.height_mm)
    nx, ny = (int(np.ceil(side * PX_PER_MM)) for side in repeat)
    x = (np.arange(nx) + 0.5) * repeat[0] / nx
    y = (np.arange(ny) + 0.5) * repeat[1] / ny
    row = (y // tile.height_mm).astype(int)
    from_row_joint = _to_joint(y, tile.height_mm)[:, None]
    x_grid = np.broadcast_to(x, (ny, nx)) + (tile.half_bond * (row % 2) * tile.width_mm / 2)[:, None]
    column = ((x_grid // tile.width_mm).astype(int)) % columns
    joint = np.minimum(from_row_joint, _to_joint(x_grid, tile.width_mm))
    grout = np.clip((tile.grout_mm / 2 - joint) * nx / repeat[0] + 0.5, 0, 1)[..., None]
    tone = 1 + tile.variation * rng.standard_normal((rows, columns, 1))
    tint = 1 + 0.4 * tile.variation * rng.standard_normal((rows, columns, 3))
    glaze = np.array(tile.rgb) * (tone * tint)[row[:, None], column]
    if tile.vein:
        soft = _noise(rng, max(nx, ny), 60.0)[:ny, :nx]
        lines = np.exp(-((_noise(rng, max(nx, ny), 110.0)[:ny, :nx] / 0.12) ** 2))
        glaze = glaze * (1 + tile.vein * (0.5 * soft - lines))[..., None]
    speck = 1 + 0.05 * rng.standard_normal((ny, nx, 1))
    picture = np.clip(glaze * (1 - grout) + np.array(tile.grout_rgb) * speck * grout, 0.01, 0.92)
    surface = {
        "type": "blendbsdf",
        "weight": _bitmap(grout),
        "glaze": {"type": "roughplastic", "alpha": tile.roughness, "diffuse_reflectance": _bitmap(picture)},
        "grout": {"type": "diffuse", "reflectance": _bitmap(picture)},
    }
    return Surface(surface, repeat, tile.shift_mm)


def printed(picture: np.ndarray) -> Surface:
    """A picture (h, w, 3) stretched over a card; row 0 is the card's top."""
    return Surface(
        {
            "type": "roughplastic",
            "alpha": 0.3,
            "nonlinear": True,
            "diffuse_reflectance": _bitmap(picture[::-1], "clamp"),
        }
    )


def _to_joint(x: np.ndarray, size: float) -> np.ndarray:
    inside = np.mod(x, size)
    return np.minimum(inside, size - inside)


def _noise(rng: np.random.Generator, side: int, scale_px: float) -> np.ndarray:
    """Periodic smooth noise of unit standard deviation."""
    f = np.fft.fftfreq(side)
    low = np.exp(-2 * (np.pi * scale_px) ** 2 * (f[:, None] ** 2 + f[None, :] ** 2))
    low[0, 0] = 0
    field = np.fft.ifft2(np.fft.fft2(rng.standard_normal((side, side))) * low).real
    return field / field.std()


def _bitmap(picture: np.ndarray, wrap: str = "repeat") -> dict[str, Any]:
    """A linear picture as a texture; row 0 of the array lies at v = 0, the bottom."""
    texels = mi.Bitmap(np.ascontiguousarray(picture.astype(np.float32)))
    return {"type": "bitmap", "bitmap": texels, "raw": True, "wrap_mode": wrap, "filter_type": "bilinear"}
