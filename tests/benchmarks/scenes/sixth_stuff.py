"""Materials of the sixth rooms and the builder that carries them: plain, glossy, metal, bumped patterns, see-through."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import cv2
import mitsuba as mi
import numpy as np
from numpy.typing import NDArray

from tests.benchmarks.scenes.sixth_studio import Builder, Surface

Array = NDArray[Any]
RGB = tuple[float, float, float]
SEE_THROUGH = ("mask",)


@dataclass(frozen=True)
class Pattern:
    """One repeat of a finish: linear colour (h, w, 3), row 0 below; relief (h, w) in mm; where it is matt (h, w) 0 to 1."""

    colour: Array
    repeat_mm: tuple[float, float]
    relief_mm: Array | None = None
    matt: Array | None = None
    alpha: float = 0.2


class Site(Builder):
    """The studio's builder, which puts no second side on see-through materials, and a grid for sheets that are not flat."""

    def material(self, surface: Surface) -> Any:
        if surface.bsdf["type"] not in SEE_THROUGH:
            return super().material(surface)
        if id(surface) not in self._loaded:
            self._loaded[id(surface)] = mi.load_dict(surface.bsdf)
            self._kept.append(surface)
        return self._loaded[id(surface)]

    def grid(self, points: Array, surface: Surface) -> None:
        """A (rows, columns, 3) sheet of points, row 0 below, the pattern stretched over it once."""
        rows, columns, _ = points.shape
        at = np.arange(rows * columns).reshape(rows, columns)
        a, b, c, d = at[:-1, :-1].ravel(), at[:-1, 1:].ravel(), at[1:, 1:].ravel(), at[1:, :-1].ravel()
        faces = np.concatenate([np.stack([a, b, c], 1), np.stack([a, c, d], 1)])
        v, u = np.mgrid[0 : 1 : rows * 1j, 0 : 1 : columns * 1j]
        uv = np.stack([u.ravel(), v.ravel()], 1) * np.array(surface.repeat_mm)
        self.mesh(points.reshape(-1, 3), faces, uv, surface)

    def sphere_lamp(self, centre: tuple[float, float, float], radius: float, rgb: RGB) -> None:
        """A glowing ball."""
        glow = {"type": "area", "radiance": {"type": "rgb", "value": list(rgb)}}
        self.add({"type": "sphere", "center": list(centre), "radius": radius, "emitter": glow})


def linear(rgb: RGB) -> RGB:
    """Eye colours (0 to 1, as on a screen) to reflectances."""
    r, g, b = (0.02 + 0.86 * c**2.2 for c in rgb)
    return r, g, b


def plain(rgb: RGB) -> Surface:
    return Surface({"type": "diffuse", "reflectance": {"type": "rgb", "value": list(rgb)}})


def glossy(rgb: RGB, alpha: float = 0.15) -> Surface:
    return Surface({"type": "roughplastic", "alpha": alpha, "diffuse_reflectance": {"type": "rgb", "value": list(rgb)}})


def metal(rgb: RGB = (0.7, 0.7, 0.7), alpha: float = 0.15) -> Surface:
    tint = {"type": "rgb", "value": list(rgb)}
    return Surface({"type": "roughconductor", "alpha": alpha, "material": "none", "specular_reflectance": tint})


def texture(values: Array, wrap: str = "repeat") -> dict[str, Any]:
    """A linear picture; row 0 of the array lies at v = 0, below."""
    kept = np.ascontiguousarray(values.astype(np.float32))
    bitmap = mi.Bitmap(kept if kept.ndim == 3 else kept[..., None])
    return {"type": "bitmap", "bitmap": bitmap, "raw": True, "wrap_mode": wrap, "filter_type": "bilinear"}


def finished(pattern: Pattern, shift_mm: tuple[float, float] = (0.0, 0.0)) -> Surface:
    """A finish as a material: glossy where it is not matt, and bumped by its relief."""
    colour = mi.load_dict(texture(np.clip(pattern.colour, 0.01, 0.9)))
    shine = {"type": "roughplastic", "alpha": pattern.alpha, "diffuse_reflectance": colour}
    made: dict[str, Any] = shine
    if pattern.matt is not None:
        dull = {"type": "diffuse", "reflectance": colour}
        made = {"type": "blendbsdf", "weight": texture(pattern.matt), "shine": shine, "dull": dull}
    if pattern.relief_mm is not None:
        made = {"type": "bumpmap", "relief": texture(_never_flat(pattern.relief_mm)), "scale": 1.0, "under": made}
    return Surface(made, pattern.repeat_mm, shift_mm)


def _never_flat(relief_mm: Array) -> Array:
    """With the slightest of waves: where a relief has no slope at all, Mitsuba 3.6.4's bump map returns no number."""
    rng = np.random.default_rng(0)
    return np.asarray(relief_mm + 0.006 * cloud(rng, (relief_mm.shape[0], relief_mm.shape[1]), (32, 32)))


def stretched(picture: Array, alpha: float | None, relief_mm: Array | None = None) -> Surface:
    """A picture (h, w, 3), row 0 on top, stretched once over a card or sheet; alpha None is matt."""
    shown = texture(np.clip(picture[::-1], 0.01, 0.9), "clamp")
    made: dict[str, Any] = {"type": "diffuse", "reflectance": shown}
    if alpha is not None:
        made = {"type": "roughplastic", "alpha": alpha, "diffuse_reflectance": shown}
    if relief_mm is not None:
        made = {"type": "bumpmap", "relief": texture(_never_flat(relief_mm[::-1]), "clamp"), "scale": 1.0, "under": made}
    return Surface(made)


def seen_through(surface: Surface, opacity: Array | float) -> Surface:
    """The same with holes or partly clear: opacity a number, or a picture (h, w), row 0 on top."""
    how = opacity if isinstance(opacity, float) else texture(opacity[::-1], "clamp")
    inner = {"type": "twosided", "under": surface.bsdf}
    return Surface({"type": "mask", "opacity": how, "under": inner}, surface.repeat_mm, surface.shift_mm)


def cloud(rng: np.random.Generator, shape: tuple[int, int], cells: tuple[int, int]) -> Array:
    """Smooth noise that repeats, of about unit spread."""
    rough = rng.standard_normal(cells).astype(np.float32)
    wide = np.pad(rough, 3, mode="wrap")
    scale = (shape[0] / cells[0], shape[1] / cells[1])
    big = cv2.resize(wide, (round(wide.shape[1] * scale[1]), round(wide.shape[0] * scale[0])), interpolation=cv2.INTER_CUBIC)
    top, left = round(3 * scale[0]), round(3 * scale[1])
    cut = big[top : top + shape[0], left : left + shape[1]]
    return np.asarray(cut / cut.std())
