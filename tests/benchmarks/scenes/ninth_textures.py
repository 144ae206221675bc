"""Materials of the ninth rooms: numpy pictures (linear, row 0 at the bottom) and the reflectances that carry them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import mitsuba as mi
import numpy as np

from sample_images.studio.surfaces import Surface

RGB = tuple[float, float, float]
LARGEST_PX = 3600
DARKEST, LIGHTEST = 0.012, 0.88


def shade(code: str) -> RGB:
    """'c8b9a0' as a colour picker shows it -> linear reflectances."""
    value = np.array([int(code[i : i + 2], 16) for i in (0, 2, 4)]) / 255
    linear = np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)
    return tuple(float(v) for v in np.clip(linear, DARKEST, LIGHTEST))  # type: ignore[return-value]


def cloud(rng: np.random.Generator, shape: tuple[int, int], scale_px: float | tuple[float, float]) -> np.ndarray:
    """Periodic smooth noise, standard deviation 1; two scales (down, across) stretch it."""
    down, across = scale_px if isinstance(scale_px, tuple) else (scale_px, scale_px)
    fy, fx = np.fft.fftfreq(shape[0])[:, None], np.fft.rfftfreq(shape[1])[None, :]
    low = np.exp(-2 * np.pi**2 * ((fy * down) ** 2 + (fx * across) ** 2))
    low[0, 0] = 0.0
    field = np.fft.irfft2(np.fft.rfft2(rng.standard_normal(shape, dtype=np.float32)) * low, s=shape)
    return (field / field.std()).astype(np.float32)


def texture(picture: np.ndarray, wrap: str = "repeat") -> dict[str, Any]:
    data = np.ascontiguousarray(np.clip(picture, 0.0, 1.0).astype(np.float32))
    return {"type": "bitmap", "bitmap": mi.Bitmap(data), "raw": True, "wrap_mode": wrap, "filter_type": "bilinear"}


def matt(
    picture: np.ndarray | RGB, repeat_mm: tuple[float, float] = (1000.0, 1000.0), shift_mm: tuple[float, float] = (0.0, 0.0)
):
    """A surface without gloss."""
    return Surface({"type": "diffuse", "reflectance": _colour(picture)}, repeat_mm, shift_mm)


def glossy(
    picture: np.ndarray | RGB,
    roughness: float,
    repeat_mm: tuple[float, float] = (1000.0, 1000.0),
    shift_mm: tuple[float, float] = (0.0, 0.0),
) -> Surface:
    """Lacquer, plastic, enamel, satin paint, polished stone."""
    inner = {"type": "roughplastic", "alpha": roughness, "nonlinear": True, "diffuse_reflectance": _colour(picture)}
    return Surface(inner, repeat_mm, shift_mm)


def metal(code: str = "c9c9c6", roughness: float = 0.18) -> Surface:
    colour = {"type": "rgb", "value": list(shade(code))}
    return Surface({"type": "roughconductor", "alpha": roughness, "material": "none", "specular_reflectance": colour})


def clear_tape() -> Surface:
    """A film that lets most of what is under it through."""
    film = {"type": "roughplastic", "alpha": 0.2, "diffuse_reflectance": {"type": "rgb", "value": [0.75, 0.74, 0.68]}}
    return Surface({"type": "mask", "opacity": 0.22, "inner": film})


@dataclass(frozen=True)
class Tiling:
    """Tiles on a wall or a floor. Bond: how far every further row is moved, in tiles; hex: sixes, width from flat to flat."""

    width_mm: float
    height_mm: float
    colour: str
    grout: str
    joint_mm: float = 2.5
    bond: float = 0.0
    hexagons: bool = False
    gloss: float = 0.12
    uneven: float = 0.03  # from tile to tile
    vein: float = 0.0
    speck: float = 0.0
    cloudy: float = 0.02
    shift_mm: tuple[float, float] = (0.0, 0.0)


def tiles(kind: Tiling, rng: np.random.Generator) -> Surface:
    """Glazed or stone tiles with matt joints."""
    repeat, shape, joint, index = _hexagons(kind) if kind.hexagons else _rectangles(kind)
    px = shape[1] / repeat[0]
    grout = np.clip((kind.joint_mm / 2 - joint) * px + 0.5, 0, 1)[..., None]
    count = int(index.max()) + 1
    tone = (1 + kind.uneven * rng.standard_normal((count, 1))) * (1 + 0.35 * kind.uneven * rng.standard_normal((count, 3)))
    body = np.array(shade(kind.colour), np.float32) * tone[index].astype(np.float32)
    body *= (1 + kind.cloudy * cloud(rng, shape, 30 * px))[..., None]
    if kind.vein:
        body *= _veins(rng, shape, px, kind.vein)[..., None]
    if kind.speck:
        body *= (1 + kind.speck * cloud(rng, shape, 1.3 * px))[..., None]
    body *= (1 - 0.08 * np.exp(-np.maximum(joint - kind.joint_mm / 2, 0) / 1.2))[..., None]
    gap = (
        np.array(shade(kind.grout), np.float32)
        * (1 + 0.06 * cloud(rng, shape, 0.8) + 0.06 * cloud(rng, shape, 60 * px))[..., None]
    )
    picture = np.clip(body * (1 - grout) + gap * grout, DARKEST, LIGHTEST)
    drawn = texture(picture)
    bsdf = {
        "type": "blendbsdf",
        "weight": texture(grout),
        "first": {"type": "roughplastic", "alpha": kind.gloss, "diffuse_reflectance": drawn},
        "second": {"type": "diffuse", "reflectance": texture(picture)},
    }
    return Surface(bsdf, repeat, kind.shift_mm)


def _rectangles(kind: Tiling) -> tuple[tuple[float, float], tuple[int, int], np.ndarray, np.ndarray]:
    columns = max(2, round(1150 / kind.width_mm))
    rows = max(6, 6 * round(1150 / kind.height_mm / 6))
    repeat = (columns * kind.width_mm, rows * kind.height_mm)
    shape = _pixels(repeat)
    y, x = _places(shape, repeat)
    row = np.floor(y / kind.height_mm).astype(int)
    across = x + row * kind.bond * kind.width_mm
    column = np.floor(across / kind.width_mm).astype(int) % columns
    joint = np.minimum(_nearest(across, kind.width_mm), _nearest(y, kind.height_mm))
    return repeat, shape, joint.astype(np.float32), row * columns + column


def _hexagons(kind: Tiling) -> tuple[tuple[float, float], tuple[int, int], np.ndarray, np.ndarray]:
    side = kind.width_mm
    columns, pairs = max(2, round(900 / side)), max(2, round(900 / side / np.sqrt(3)))
    repeat = (columns * side, pairs * side * np.sqrt(3))
    shape = _pixels(repeat)
    y, x = _places(shape, repeat)
    found, numbers = [], []
    for half in (0.0, 0.5):
        for up in (0, 1):
            i = np.floor(x / side - half) + half
            j = np.floor(y / (side * np.sqrt(3)) - half) + half + up
            for over in (0, 1):
                found.append(np.hypot(x - (i + over) * side, y - j * side * np.sqrt(3)))
                number = 2 * ((i + over) % columns) + columns * 4 * (j % pairs)
                numbers.append(number)
    distance = np.stack(np.broadcast_arrays(*found))
    order = np.argsort(distance, axis=0)[:2]
    near, next_ = np.take_along_axis(distance, order, 0)
    joint = (next_ - near) / 2
    index = np.take_along_axis(np.stack(np.broadcast_arrays(*numbers)), order[:1], 0)[0]
    return repeat, shape, joint.astype(np.float32), np.round(index).astype(int)


def _veins(rng: np.random.Generator, shape: tuple[int, int], px: float, strength: float) -> np.ndarray:
    wide, fine = cloud(rng, shape, 110 * px / 2), cloud(rng, shape, 22 * px / 2)
    line = np.exp(-(((wide + 0.35 * fine) / 0.09) ** 2)) + 0.5 * np.exp(-(((wide - 0.7 + 0.3 * fine) / 0.06) ** 2))
    return np.clip(1 + strength * (0.35 * fine - line), 0.25, 1.6)


def _pixels(repeat: tuple[float, float]) -> tuple[int, int]:
    px = min(1.9, LARGEST_PX / max(repeat))
    return 32 * round(repeat[1] * px / 32), 32 * round(repeat[0] * px / 32)  # quick to transform


def _places(shape: tuple[int, int], repeat: tuple[float, float]) -> tuple[np.ndarray, np.ndarray]:
    y = (np.arange(shape[0]) + 0.5) * repeat[1] / shape[0]
    x = (np.arange(shape[1]) + 0.5) * repeat[0] / shape[1]
    return y[:, None], x[None, :]


def _nearest(at: np.ndarray, step: float) -> np.ndarray:
    inside = np.mod(at, step)
    return np.minimum(inside, step - inside)


def _colour(picture: np.ndarray | RGB) -> dict[str, Any]:
    if isinstance(picture, np.ndarray):
        return texture(np.clip(picture, DARKEST, LIGHTEST))
    return {"type": "rgb", "value": [float(v) for v in picture]}
