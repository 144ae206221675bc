"""What the fourth family takes from the studio of the sample photographs, in one place, and a few words of its own."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

ROOT = Path(__file__).resolve().parents[3]
sys.path.insert(0, str(ROOT / "sample_images"))

from studio import develop, record, run, things, trace  # noqa: E402
from studio.camera import Camera, aimed, focal_px  # noqa: E402
from studio.opening import Opening  # noqa: E402
from studio.room import Finish, Lamp, Room  # noqa: E402
from studio.shapes import Builder, placed, rounded_rectangle  # noqa: E402
from studio.shot import Development, Expected, Shot, smaller  # noqa: E402
from studio.sizes import ID1_RANGE_MM, NOMINAL_MM  # noqa: E402
from studio.surfaces import Surface, lacquer, metal, paint, plain  # noqa: E402
from studio.things import PlumbLine  # noqa: E402

Array = npt.NDArray[Any]
Rng = np.random.Generator
RGB = tuple[float, float, float]

__all__ = [
    "ID1_RANGE_MM",
    "NOMINAL_MM",
    "RGB",
    "ROOT",
    "Array",
    "Builder",
    "Camera",
    "Development",
    "Expected",
    "Finish",
    "Lamp",
    "Opening",
    "PlumbLine",
    "Rng",
    "Room",
    "Shot",
    "Surface",
    "aimed",
    "chance",
    "develop",
    "focal_px",
    "lacquer",
    "metal",
    "one_of",
    "paint",
    "placed",
    "plain",
    "record",
    "rounded_rectangle",
    "run",
    "smaller",
    "textured",
    "things",
    "trace",
]


def one_of(rng: Rng, *choices: Any) -> Any:
    return choices[int(rng.integers(len(choices)))]


def chance(rng: Rng, share: float) -> bool:
    return bool(rng.random() < share)


def textured(
    picture: Array, repeat_mm: tuple[float, float], roughness: float = 0.2, shine: Array | None = None, wrap: str = "repeat"
) -> Surface:
    """A linear picture (h, w, 3), row 0 at the bottom, that covers repeat_mm once; shine (h, w): 1 glazed, 0 matt."""
    texels = _texture(picture, wrap)
    glossy = {"type": "roughplastic", "alpha": roughness, "nonlinear": True, "diffuse_reflectance": texels}
    matt = {"type": "diffuse", "reflectance": texels}
    if shine is None:
        return Surface(glossy if roughness < 0.5 else matt, repeat_mm)
    weight = _texture(shine[..., None], wrap)
    return Surface({"type": "blendbsdf", "weight": weight, "first": matt, "second": glossy}, repeat_mm)


def _texture(picture: Array, wrap: str) -> dict[str, Any]:
    import mitsuba as mi

    texels = mi.Bitmap(np.ascontiguousarray(np.clip(picture, 0.008, 0.92).astype(np.float32)))
    return {"type": "bitmap", "bitmap": texels, "raw": True, "wrap_mode": wrap, "filter_type": "bilinear"}
