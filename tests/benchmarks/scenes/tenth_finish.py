"""The tenth rooms' finishes: paint, plaster, concrete, wallpaper, wood, marble, terrazzo and tiles, drawn as linear bitmaps."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import cv2
import mitsuba as mi
import numpy as np

from sample_images.studio.surfaces import Surface

RGB = tuple[float, float, float]
MOST_PX = 1.9e6
FINEST = 1.5  # pixels per millimetre


@dataclass(frozen=True)
class Bond:
    """How tiles are laid; shift is the part of a tile by which each course is moved against the one below."""

    size_mm: tuple[float, float]
    joint_mm: float = 2.5
    courses: int = 1  # after so many courses the pattern comes back
    round: bool = False  # penny rounds


def noise(rng: np.random.Generator, shape: tuple[int, int], scale_px: tuple[float, float]) -> np.ndarray:
    """Periodic smooth noise of unit deviation; the scale is given down and across."""
    fy, fx = np.fft.fftfreq(shape[0]), np.fft.rfftfreq(shape[1])
    low = np.exp(-2 * np.pi**2 * ((scale_px[0] * fy[:, None]) ** 2 + (scale_px[1] * fx[None, :]) ** 2))
    low[0, 0] = 0
    field = np.fft.irfft2(np.fft.rfft2(rng.standard_normal(shape)) * low, shape)
    return (field / field.std()).astype(np.float32)


def bitmap(picture: np.ndarray, wrap: str = "repeat") -> dict[str, Any]:
    """A linear picture as a texture; row 0 lies at the bottom."""
    held = mi.Bitmap(np.ascontiguousarray(np.clip(picture, 0.008, 0.92).astype(np.float32)))
    return {"type": "bitmap", "bitmap": held, "raw": True, "wrap_mode": wrap, "filter_type": "bilinear"}


def matt(picture: np.ndarray, repeat_mm: tuple[float, float], shift_mm: tuple[float, float] = (0.0, 0.0)) -> Surface:
    return Surface({"type": "diffuse", "reflectance": bitmap(picture)}, repeat_mm, shift_mm)


def glossy(picture: np.ndarray, repeat_mm: tuple[float, float], rough: float, wrap: str = "repeat") -> Surface:
    body = {"type": "roughplastic", "alpha": rough, "nonlinear": True, "diffuse_reflectance": bitmap(picture, wrap)}
    return Surface(body, repeat_mm)


def mirror() -> Surface:
    return Surface({"type": "conductor", "material": "none", "specular_reflectance": {"type": "rgb", "value": 0.88}})


def _canvas(repeat_mm: tuple[float, float]) -> tuple[int, int, float]:
    fine = min(FINEST, float(np.sqrt(MOST_PX / (repeat_mm[0] * repeat_mm[1]))))
    return max(8, round(repeat_mm[1] * fine)), max(8, round(repeat_mm[0] * fine)), fine


def paint(rng: np.random.Generator, rgb: RGB, kind: str = "paint") -> Surface:
    """Emulsion, trowelled plaster, or concrete with pin-holes."""
    shape, repeat = (1100, 1100), (1100.0, 1100.0)
    tone = 0.008 * noise(rng, shape, (3, 3)) + 0.012 * noise(rng, shape, (60, 90))
    if kind == "plaster":
        tone += 0.05 * noise(rng, shape, (9, 40)) * noise(rng, shape, (70, 50)) + 0.02 * noise(rng, shape, (2, 2))
    if kind == "concrete":
        tone += 0.06 * noise(rng, shape, (30, 30)) + 0.07 * noise(rng, shape, (120, 60)) + 0.02 * noise(rng, shape, (1, 1))
        tone[noise(rng, shape, (2.2, 2.2)) > 3.2] -= 0.35
        tone[(np.arange(1100) % 550) < 3] -= 0.12
    return matt(np.array(rgb) * (1 + tone[..., None]), repeat)


def marbled(rng: np.random.Generator, shape: tuple[int, int], fine: float, rgb: RGB, vein: RGB) -> np.ndarray:
    """A stone with veins that fork and fade."""
    warp = 0.9 * noise(rng, shape, (90 * fine, 60 * fine)) + 0.25 * noise(rng, shape, (16 * fine, 16 * fine))
    line = np.exp(-((warp / 0.06) ** 2)) * np.clip(0.5 + 0.5 * noise(rng, shape, (110 * fine, 110 * fine)), 0, 1)
    line += 0.4 * np.exp(-(((warp - 0.8) / 0.12) ** 2)) + 0.12 * np.abs(noise(rng, shape, (40 * fine, 40 * fine)))
    part = np.clip(line, 0, 1)[..., None]
    return np.array(rgb) * (1 - part) + np.array(vein) * part


def chipped(rng: np.random.Generator, shape: tuple[int, int], fine: float, rgb: RGB) -> np.ndarray:
    """Terrazzo: angular chips of four colours in a ground."""
    picture = np.empty((*shape, 3), np.float32)
    picture[:] = rgb
    colours = np.clip(np.array(rgb) * rng.uniform(0.25, 1.6, (4, 1)) * rng.uniform(0.85, 1.15, (4, 3)), 0.02, 0.85)
    for _ in range(int(shape[0] * shape[1] / fine**2 / 260)):
        turn = np.sort(rng.uniform(0, 2 * np.pi, 5))
        reach = rng.uniform(0.4, 1, 5) * min(14.0, 3 + rng.exponential(3.5)) * fine
        points = rng.uniform(0, shape[::-1]) + np.stack([reach * np.cos(turn), reach * np.sin(turn)], 1)
        cv2.fillConvexPoly(picture, np.round(points).astype(np.int32), [float(c) for c in colours[rng.integers(4)]], cv2.LINE_AA)
    return picture


def _laid(bond: Bond) -> tuple[np.ndarray, np.ndarray, tuple[float, float], float]:
    """Number of the tile and share of joint at each pixel, the repeat and the pixels per millimetre."""
    w, h = bond.size_mm
    if bond.round:
        h = w * np.sqrt(3)
    columns = max(2, round(1000 / w))
    rows = bond.courses * max(1, round(1000 / h / bond.courses)) if bond.courses > 1 else max(2, round(1000 / h))
    repeat = (columns * w, rows * h)
    ny, nx, fine = _canvas(repeat)
    x, y = (np.arange(nx) + 0.5) * repeat[0] / nx, (np.arange(ny) + 0.5) * repeat[1] / ny
    if bond.round:
        distance = np.full((ny, nx), 1e9)
        ids = np.zeros((ny, nx), int)
        for k in range(2):
            dx, dy = np.mod(x + k * w / 2, w) - w / 2, np.mod(y + k * h / 2, h) - h / 2
            here = np.hypot(dx[None, :], dy[:, None])
            number = (2 * (((y + k * h / 2) // h).astype(int) % rows) + k)[:, None] * columns + (
                ((x + k * w / 2) // w).astype(int) % columns
            )
            ids = np.where(here < distance, number, ids)
            distance = np.minimum(here, distance)
        return ids, np.clip((distance - (w - bond.joint_mm) / 2) * fine + 0.5, 0, 1), repeat, fine
    row = (y // h).astype(int)
    moved = x[None, :] + ((row % bond.courses) / bond.courses * w)[:, None]
    to_joint = np.minimum(np.minimum(np.mod(y, h), h - np.mod(y, h))[:, None], np.minimum(np.mod(moved, w), w - np.mod(moved, w)))
    ids = row[:, None] * columns + (moved // w).astype(int) % columns
    return ids, np.clip((bond.joint_mm / 2 - to_joint) * fine + 0.5, 0, 1), repeat, fine


@dataclass(frozen=True)
class Ware:
    """What a tile is made of."""

    rgb: RGB
    joint_rgb: RGB
    stone: str = ""  # marble, terrazzo, wood, two
    spread: float = 0.03
    rough: float = 0.14
    vein: RGB = (0.3, 0.3, 0.32)


def tiles(rng: np.random.Generator, bond: Bond, ware: Ware) -> Surface:
    """Glazed, stone or wood-look tiles with matt joints."""
    ids, joint, repeat, fine = _laid(bond)
    shape = ids.shape
    count = int(ids.max()) + 1
    tone = 1 + ware.spread * rng.standard_normal((count, 1)) + 0.3 * ware.spread * rng.standard_normal((count, 3))
    if ware.stone == "two":
        tone = np.where(rng.random((count, 1)) < 0.3, tone * 0.45, tone)
    ground = np.broadcast_to(np.array(ware.rgb), (*shape, 3))
    if ware.stone == "marble":
        ground = marbled(rng, shape, fine, ware.rgb, ware.vein)
    if ware.stone == "terrazzo":
        ground = chipped(rng, shape, fine, ware.rgb)
    if ware.stone == "wood":
        ground = np.array(ware.rgb) * (1 + 0.16 * _grain(rng, shape, fine, along_x=True)[..., None])
    picture = ground * tone[ids] * (1 + 0.015 * noise(rng, shape, (8 * fine, 8 * fine))[..., None])
    speck = 1 + 0.06 * noise(rng, shape, (0.7, 0.7))[..., None]
    picture = picture * (1 - joint[..., None]) + np.array(ware.joint_rgb) * speck * joint[..., None]
    share = bitmap(joint[..., None])
    shift = tuple(float(s) for s in rng.uniform(0, bond.size_mm))
    held = bitmap(picture)
    glaze = {"type": "roughplastic", "alpha": ware.rough, "nonlinear": True, "diffuse_reflectance": held}
    return Surface(
        {"type": "blendbsdf", "weight": share, "a": glaze, "b": {"type": "diffuse", "reflectance": held}}, repeat, shift
    )


def _grain(rng: np.random.Generator, shape: tuple[int, int], fine: float, along_x: bool) -> np.ndarray:
    far, near = 260 * fine, 3 * fine
    scale = (near, far) if along_x else (far, near)
    wide = (near * 7, far) if along_x else (far, near * 7)
    bend = noise(rng, shape, wide)
    return 0.5 * noise(rng, shape, scale) + 0.45 * np.sin(9 * bend) + 0.3 * bend


def wood(rng: np.random.Generator, rgb: RGB, rough: float = 0.3, boards_mm: float = 0.0) -> Surface:
    """Wood with its grain along v; boards gives upright joints."""
    repeat = (840.0, 1000.0)
    ny, nx, fine = _canvas(repeat)
    tone = 1 + 0.17 * _grain(rng, (ny, nx), fine, along_x=False)
    if boards_mm:
        x = (np.arange(nx) + 0.5) / fine
        tone *= (1 + 0.07 * rng.standard_normal(64))[(x // boards_mm).astype(int) % 64]
        tone[:, np.mod(x, boards_mm) < 2.5] *= 0.3
    return glossy(np.array(rgb) * tone[..., None] * np.array([1.0, 0.99, 0.97]), repeat, rough)


def slab(rng: np.random.Generator, rgb: RGB, kind: str = "marble", rough: float = 0.12) -> Surface:
    """Polished stone without joints."""
    repeat = (1100.0, 1100.0)
    ny, nx, fine = _canvas(repeat)
    dark = tuple(0.35 * c + 0.05 for c in rgb)
    picture = marbled(rng, (ny, nx), fine, rgb, dark) if kind == "marble" else chipped(rng, (ny, nx), fine, rgb)
    return glossy(picture, repeat, rough)


def wallpaper(rng: np.random.Generator, rgb: RGB, ink: RGB, kind: str) -> Surface:
    """Printed paper: stripes, leaves, dots, chevrons or lattice."""
    cell, fine = 264, 2
    side = cell * fine
    mask = np.zeros((side, side), np.float32)
    y, x = np.mgrid[0:side, 0:side] / fine
    if kind == "stripes":
        mask = ((np.mod(x, 66) < 22) | (np.abs(np.mod(x, 66) - 44) < 2)).astype(np.float32)
    elif kind == "dots":
        mask = ((np.mod(x + 33 * (y // 66 % 2), 66) - 33) ** 2 + (np.mod(y, 66) - 33) ** 2 < 81).astype(np.float32)
    elif kind == "chevrons":
        mask = (np.mod(y + np.abs(np.mod(x, 66) - 33), 33) < 9).astype(np.float32)
    elif kind == "lattice":
        mask = np.minimum(np.mod(x + y, 88), np.mod(x - y, 88)) < 4
        mask = mask.astype(np.float32)
    else:
        for _ in range(60):
            at = rng.uniform(0, side, 2)
            axes = (int(rng.uniform(16, 42)), int(rng.uniform(5, 11)))
            for ox in (-side, 0, side):
                for oy in (-side, 0, side):
                    middle = (int(at[0] + ox), int(at[1] + oy))
                    cv2.ellipse(
                        mask, middle, axes, 23.0 * (int(at[0]) % 16), 0, 360, float(0.5 + at[1] / side / 2), -1, cv2.LINE_AA
                    )
    part = cv2.GaussianBlur(mask, (0, 0), 0.8)[..., None]
    return matt(np.array(rgb) * (1 - part) + np.array(ink) * part, (cell, cell))
