"""Faults made in steps from good photos with truth: what they do to the pixels, and which reasons name them."""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from tests.benchmarks.scene_files import Scene
from tests.benchmarks.screening_warps import (
    Made,
    Making,
    askew,
    cards_of,
    corners_of,
    cropped,
    no_reference,
    reference_bent,
    reference_cut,
    reference_inside,
    smaller,
    wider,
)
from vision.photo.metadata import EXIF_IFD, TAG_FOCAL_35MM, TAG_PIXEL_X, TAG_PIXEL_Y
from vision.photo.quality import FULL_SCALE

Pixels = NDArray[np.uint8]

Points = NDArray[np.float64]
SEED, QUALITY = 20261125, 92
MOST_BURNT = 0.1
"""of a reference's face"""


@dataclass(frozen=True)
class Fault:
    """A fault in one step: what it makes of the picture of a scene, the reasons that name it, and the file's JPEG quality."""

    name: str
    codes: frozenset[str]
    made: Making
    quality: int = QUALITY


def _blur(sd: float) -> Callable[[Pixels, Scene], Pixels]:
    return lambda p, _: np.asarray(cv2.GaussianBlur(p, (0, 0), sd), np.uint8)


def _shake(px: int) -> Callable[[Pixels, Scene], Pixels]:
    kernel = np.eye(px, dtype=np.float32) / px
    return lambda p, _: np.asarray(cv2.filter2D(p, -1, kernel), np.uint8)


def _dark(stops: float) -> Making:
    """Less light, and the noise of it; not of photos with a burnt-out reference, which less light would not have burnt out."""

    def made(p: Pixels, scene: Scene) -> Made | None:
        if any(float(np.mean(np.all(_face(p, card) >= FULL_SCALE, axis=-1))) > MOST_BURNT for card in cards_of(scene)):
            return None
        rng = np.random.default_rng(SEED)
        return Made(np.clip(p * 2.0 ** (-stops / 2.2) + rng.normal(0, 2.0 * stops, p.shape), 0, 255).astype(np.uint8), np.eye(3))

    return made


def _face(p: Pixels, card: Points) -> Pixels:
    """Pixels (h, w, 3) of the upright middle of a reference."""
    middle, half = card.mean(axis=0), 0.35 * np.ptp(card, axis=0)
    (x0, y0), (x1, y1) = np.maximum(middle - half, 0).astype(int), (middle + half).astype(int) + 1
    return p[y0:y1, x0:x1]


def _bright(stops: float) -> Callable[[Pixels, Scene], Pixels]:
    return lambda p, _: np.clip(p * 2.0 ** (stops / 2.2), 0, 255).astype(np.uint8)


def _glare(share: float) -> Callable[[Pixels, Scene], Pixels]:
    """A lamp's reflection round the middle of the left edge, `share` of the edge long: full scale, with a soft rim."""

    def made(p: Pixels, scene: Scene) -> Pixels:
        foot, top = corners_of(scene)[[0, 3]]
        (x, y), length = (foot + top) / 2, float(np.linalg.norm(top - foot))
        spot = np.zeros(p.shape[:2], np.float32)
        cv2.circle(spot, (round(x), round(y)), max(round(share * length / 2), 1), 255.0, -1)
        spot = np.asarray(cv2.GaussianBlur(spot, (0, 0), 12.0), np.float32)
        return np.clip(p + 1.3 * spot[..., None], 0, 255).astype(np.uint8)

    return made


def _towel(share: float) -> Callable[[Pixels, Scene], Pixels]:
    """A striped cloth over the right edge, from its top down over `share` of it, a seventh of its length wide on either side."""

    def made(p: Pixels, scene: Scene) -> Pixels:
        foot, top = corners_of(scene)[[1, 2]]
        length = float(np.linalg.norm(top - foot))
        low = top + share * (foot - top)
        out = p.copy()
        x0, x1 = (int(v) for v in (min(top[0], low[0]) - length / 7, max(top[0], low[0]) + length / 7))
        y0, y1 = max(int(top[1]) - 30, 0), int(low[1])
        cloth = out[y0:y1, max(x0, 0) : x1]
        stripes = (np.arange(cloth.shape[1]) // 40 % 2 * 60 + 110).astype(np.uint8)
        cloth[:] = stripes[None, :, None] * np.array([1.0, 0.8, 0.7])
        return out

    return made


def _still(made: Callable[[Pixels, Scene], Pixels]) -> Making:
    """A fault that moves nothing."""
    return lambda p, scene: Made(made(p, scene), np.eye(3))


def _cut(p: Pixels, scene: Scene) -> Made:
    """The right wall is beyond the border."""
    x = corners_of(scene)[[1, 2], 0].min()
    return Made(np.ascontiguousarray(p[:, : int(x) - 20]), np.eye(3))


def _unharmed(p: Pixels, _: Scene) -> Made:
    return Made(p, np.eye(3))


SMALL = frozenset({"too-small", "resized", "no-metadata"})
BLUR, DARK, BRIGHT = frozenset({"blur"}), frozenset({"too-dark", "noise"}), frozenset({"burnt-out", "glare", "card-burnt"})
EDITED = frozenset({"resized", "cropped", "edited", "too-small"})
WIDE = frozenset({"wide-lens", "card-small"})
FAULTS = (
    *(Fault(f"blur {sd}", BLUR, _still(_blur(sd))) for sd in (1.5, 3.0, 6.0)),
    *(Fault(f"shaken {px}", BLUR, _still(_shake(px))) for px in (8, 16, 32)),
    *(Fault(f"dark {stops}", DARK, _dark(stops)) for stops in (2.0, 4.0)),
    *(Fault(f"bright {stops}", BRIGHT, _still(_bright(stops))) for stops in (1.5, 3.0)),
    *(Fault(f"messenger {by}", SMALL, smaller(by, with_metadata=False), quality=70) for by in (0.6, 0.4, 0.25)),
    *(Fault(f"resized {by}", EDITED, smaller(by, with_metadata=True)) for by in (0.5, 0.3)),
    Fault("cropped", EDITED, cropped(0.12)),
    *(Fault(f"lens {mm} mm", WIDE, wider(mm)) for mm in (18.0, 13.0)),
    *(Fault(f"askew {deg}", frozenset({"oblique"}), askew(deg)) for deg in (25.0, 45.0)),
    *(Fault(f"glare {share}", frozenset({"glare", "edge-hidden"}), _still(_glare(share))) for share in (0.15, 0.4)),
    *(Fault(f"towel {share}", frozenset({"edge-hidden"}), _still(_towel(share))) for share in (0.3, 0.8)),
    Fault("wall cut off", frozenset({"opening-cut"}), _cut),
    Fault("no reference", frozenset({"card-missing"}), no_reference),
    Fault("reference cut", frozenset({"card-cut", "card-missing"}), reference_cut),
    *(Fault(f"bent {share}", frozenset({"card-bent"}), reference_bent(share)) for share in (0.01, 0.04)),
    Fault("reference inside", frozenset({"card-plane", "card-missing"}), reference_inside(0.75)),
    Fault("quality 10", frozenset({"compressed"}), _unharmed, quality=10),
)
"""Not among them: a reference too small of itself, which would be another one (a wider lens and a smaller copy make it small
with all that is round it); a camera further aside with side walls as they are then seen."""


def as_file(pixels: Pixels, exif: bytes | None, quality: int = QUALITY, made: Made | None = None) -> bytes:
    """JPEG of these pixels, upright, with the EXIF of the photo and what a fault makes it state."""
    out = io.BytesIO()
    image = Image.fromarray(pixels)
    if exif is None or (made is not None and not made.with_metadata):
        image.save(out, "JPEG", quality=quality)
        return out.getvalue()
    kept = Image.Exif()
    kept.load(exif)
    kept[0x0112] = 1
    fields = kept.get_ifd(EXIF_IFD)
    fields[TAG_PIXEL_X], fields[TAG_PIXEL_Y] = (made and made.stated_px) or image.size
    if made is not None and made.focal_35mm is not None:
        fields[TAG_FOCAL_35MM] = made.focal_35mm
    image.save(out, "JPEG", quality=quality, exif=kept.tobytes())
    return out.getvalue()
