"""Finishes of the seventh family: tiles in three bonds, veined plates, mosaic, boards, plaster, panels; linear colours."""

from __future__ import annotations

import sys
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import cv2
import mitsuba as mi
import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[3] / "sample_images"))

from studio.surfaces import RGB, Surface, lacquer

GREYS: tuple[RGB, ...] = ((0.74, 0.74, 0.72), (0.62, 0.6, 0.57), (0.44, 0.44, 0.44), (0.27, 0.27, 0.28), (0.12, 0.12, 0.13))
BEIGES: tuple[RGB, ...] = ((0.72, 0.69, 0.62), (0.66, 0.6, 0.52), (0.56, 0.5, 0.42))
HUES: tuple[RGB, ...] = (
    (0.66, 0.58, 0.46),
    (0.5, 0.38, 0.28),
    (0.36, 0.47, 0.43),
    (0.2, 0.33, 0.36),
    (0.24, 0.3, 0.44),
    (0.58, 0.45, 0.38),
    (0.62, 0.64, 0.55),
    (0.7, 0.62, 0.58),
    (0.1, 0.17, 0.2),
    (0.42, 0.45, 0.5),
)
EQUAL_GREY: tuple[tuple[RGB, RGB], ...] = (
    ((0.46, 0.36, 0.3), (0.31, 0.405, 0.38)),
    ((0.3, 0.36, 0.5), (0.44, 0.335, 0.29)),
    ((0.52, 0.5, 0.36), (0.6, 0.475, 0.5)),
)
KINDS = ("tile", "tile", "marble", "plaster", "plaster", "panel", "brick", "mosaic", "boards")


@dataclass(frozen=True)
class Look:
    """A finish, its mean colour and what it is, for the notes."""

    surface: Surface
    rgb: RGB
    name: str

    def shifted(self, x: float, y: float) -> Look:
        return replace(self, surface=replace(self.surface, shift_mm=(x, y)))


@dataclass(frozen=True)
class Tiling:
    size_mm: tuple[float, float]
    rgb: RGB
    grout_rgb: RGB
    grout_mm: float = 2.5
    bond: float = 0.0  # part of a tile by which each row is shifted
    vary: float = 0.02
    vein: float = 0.0
    gloss: float = 0.12  # roughness of the glaze
    rows: bool = True  # False: boards, no joints across


def bitmap(picture: np.ndarray, wrap: str = "repeat") -> dict[str, Any]:
    texels = mi.Bitmap(np.ascontiguousarray(picture.astype(np.float32)))
    return {"type": "bitmap", "bitmap": texels, "raw": True, "wrap_mode": wrap, "filter_type": "bilinear"}


def noise(rng: np.random.Generator, shape: tuple[int, int], cells: int) -> np.ndarray:
    """Smooth noise of unit deviation, `cells` blobs across the longer side; it wraps round."""
    small = rng.standard_normal((cells + 1, cells + 1)).astype(np.float32)
    small[-1], small[:, -1] = small[0], small[:, 0]
    field = cv2.resize(small, shape[::-1], interpolation=cv2.INTER_CUBIC)
    return field / max(float(field.std()), 1e-6)


def tiled(plan: Tiling, rng: np.random.Generator) -> Surface:
    w, h = plan.size_mm
    step = 3 if 0.3 < plan.bond < 0.4 else 2 if plan.bond else 1
    columns = max(2, round(800 / w))
    rows = step * max(1, round(800 / h / step)) if plan.rows else 1
    rows = max(rows, 2) if plan.rows and h < 700 else rows
    repeat = (columns * w, rows * h)
    density = 2.2 if max(repeat) < 1300 else 1.5
    nx, ny = (int(np.ceil(side * density)) for side in repeat)
    x, y = (np.arange(nx, dtype=np.float32) + 0.5) * repeat[0] / nx, (np.arange(ny, dtype=np.float32) + 0.5) * repeat[1] / ny
    row = np.minimum((y // h).astype(int), rows - 1)
    across = np.mod(x[None, :] + (plan.bond * w * (row % step if step > 1 else 0 * row))[:, None], repeat[0])
    column = np.minimum((across // w).astype(int), columns - 1)
    to_side = np.minimum(np.mod(across, w), w - np.mod(across, w))
    if plan.rows:
        inside = np.mod(y, h)
        to_side = np.minimum(to_side, np.minimum(inside, h - inside)[:, None])
    grout = np.clip((plan.grout_mm / 2 - to_side) * density + 0.5, 0, 1)[..., None].astype(np.float32)
    tone = 1 + plan.vary * rng.standard_normal((rows, columns, 1)) + 0.3 * plan.vary * rng.standard_normal((rows, columns, 3))
    glaze = (np.array(plan.rgb) * tone).astype(np.float32)[row[:, None], column]
    glaze *= (1 + 0.012 * noise(rng, (ny, nx), 90))[..., None]
    if plan.vein:
        wave = noise(rng, (ny, nx), 5) + 0.5 * noise(rng, (ny, nx), 17)
        glaze *= (1 + plan.vein * (0.3 * noise(rng, (ny, nx), 9) - np.exp(-((wave / 0.11) ** 2))))[..., None]
    body = np.array(plan.grout_rgb, np.float32) * (1 + 0.06 * noise(rng, (ny, nx), 200))[..., None]
    picture = np.clip(glaze * (1 - grout) + body * grout, 0.01, 0.9)
    return Surface(
        {"type": "roughplastic", "alpha": plan.gloss, "nonlinear": True, "diffuse_reflectance": bitmap(picture)},
        repeat,
        (float(rng.uniform(0, w)), float(rng.uniform(0, h))),
    )


def plaster(rgb: RGB, rng: np.random.Generator, mottle: float) -> Surface:
    uneven = 0.5 * noise(rng, (1024, 1024), 180) + 0.4 * noise(rng, (1024, 1024), 14)
    picture = np.clip(np.array(rgb) * (1 + mottle * uneven)[..., None], 0.01, 0.9)
    return Surface({"type": "diffuse", "reflectance": bitmap(picture)}, (1024.0, 1024.0))


def colour(rng: np.random.Generator, light: bool | None = None) -> RGB:
    """A wall's colour, each a little different."""
    pool = [*GREYS, *GREYS[:3], *GREYS[:2], *BEIGES, *BEIGES, *HUES]
    if light is not None:
        pool = [c for c in pool if (sum(c) / 3 > 0.42) == light]
    base = np.array(pool[rng.integers(len(pool))]) * (1 + 0.06 * rng.standard_normal()) * (1 + 0.02 * rng.standard_normal(3))
    return tuple(float(v) for v in np.clip(base, 0.05, 0.8))  # type: ignore[return-value]


def look(rng: np.random.Generator, rgb: RGB, kind: str | None = None) -> Look:
    """A finish of one kind in one colour."""
    kind = kind or str(rng.choice(KINDS))
    if kind == "plaster":
        return Look(plaster(rgb, rng, float(rng.uniform(0.006, 0.02))), rgb, "painted plaster")
    if kind == "panel":
        return Look(lacquer(rgb, float(rng.uniform(0.15, 0.3))), rgb, "panel")
    light_grout = rng.random() < 0.6
    grout = tuple(float(rng.uniform(0.5, 0.7) if light_grout else rng.uniform(0.08, 0.25)) * t for t in (1.0, 0.98, 0.94))
    plan = Tiling((300.0, 300.0), rgb, grout, gloss=float(rng.uniform(0.07, 0.25)))  # type: ignore[arg-type]
    sizes = {
        "tile": [(150, 150), (200, 200), (330, 330), (300, 600), (600, 300), (450, 450), (250, 400), (600, 600), (100, 100)],
        "marble": [(600, 600), (600, 300), (900, 450)],
        "brick": [(200, 100), (150, 75), (240, 65), (300, 75)],
        "mosaic": [(48, 48), (25, 25), (32, 32), (48, 23)],
        "boards": [(95, 1000), (120, 1000), (160, 1000)],
    }[kind]
    size = sizes[rng.integers(len(sizes))]
    changes: dict[str, Any] = {
        "tile": {"bond": float(rng.choice([0, 0, 0.5, 1 / 3])), "grout_mm": float(rng.uniform(1.8, 4)), "vary": 0.015},
        "marble": {"vein": float(rng.uniform(0.1, 0.25)), "grout_mm": float(rng.uniform(1.2, 2)), "vary": 0.01},
        "brick": {"bond": float(rng.choice([0.5, 0.5, 1 / 3, 0])), "gloss": 0.06, "vary": 0.035, "grout_mm": 2.5},
        "mosaic": {"vary": 0.08, "grout_mm": float(rng.uniform(1.8, 3)), "bond": float(rng.choice([0, 0, 0.5]))},
        "boards": {"rows": False, "grout_mm": 2.5, "vary": 0.02, "gloss": 0.3, "grout_rgb": tuple(0.45 * c for c in rgb)},
    }[kind]
    plan = replace(plan, size_mm=(float(size[0]), float(size[1])), **changes)
    return Look(tiled(plan, rng), rgb, f"{kind} {size[0]} x {size[1]}" if kind != "boards" else f"boards {size[0]}")
