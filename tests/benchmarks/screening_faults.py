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

Pixels = NDArray[np.uint8]
Points = NDArray[np.float64]
SEED, QUALITY = 20261125, 92


@dataclass(frozen=True)
class Fault:
    """A fault in one step: what it does to the picture of a scene, the reasons that name it, and how corners move with it."""

    name: str
    codes: frozenset[str]
    made: Callable[[Pixels, Scene], Pixels]
    scale: float = 1.0
    with_metadata: bool = True
    quality: int = QUALITY


def _blur(sd: float) -> Callable[[Pixels, Scene], Pixels]:
    return lambda p, _: np.asarray(cv2.GaussianBlur(p, (0, 0), sd), np.uint8)


def _shake(px: int) -> Callable[[Pixels, Scene], Pixels]:
    kernel = np.eye(px, dtype=np.float32) / px
    return lambda p, _: np.asarray(cv2.filter2D(p, -1, kernel), np.uint8)


def _dark(stops: float) -> Callable[[Pixels, Scene], Pixels]:
    def made(p: Pixels, _: Scene) -> Pixels:
        rng = np.random.default_rng(SEED)
        return np.clip(p * 2.0 ** (-stops / 2.2) + rng.normal(0, 2.0 * stops, p.shape), 0, 255).astype(np.uint8)

    return made


def _bright(stops: float) -> Callable[[Pixels, Scene], Pixels]:
    return lambda p, _: np.clip(p * 2.0 ** (stops / 2.2), 0, 255).astype(np.uint8)


def _small(scale: float) -> Callable[[Pixels, Scene], Pixels]:
    return lambda p, _: np.asarray(cv2.resize(p, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA), np.uint8)


def corners_of(scene: Scene) -> Points:
    """True corners (4, 2) px of the opening: bottom-left, bottom-right, top-right, top-left."""
    return np.array(scene.truth["opening"]["corners_px"], dtype=np.float64)


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


def _cut(p: Pixels, scene: Scene) -> Pixels:
    """The right wall is beyond the border."""
    x = corners_of(scene)[[1, 2], 0].min()
    return np.ascontiguousarray(p[:, : int(x) - 20])


def _without_cards(p: Pixels, scene: Scene) -> Pixels:
    """Every reference painted over with what surrounds it."""
    mask = np.zeros(p.shape[:2], np.uint8)
    for card in scene.truth["cards"]:
        cv2.fillConvexPoly(mask, np.round(np.array(card["corners_px"])).astype(np.int32), 255)
    mask = np.asarray(cv2.dilate(mask, np.ones((31, 31), np.uint8)), np.uint8)
    third = (p.shape[1] // 6, p.shape[0] // 6)  # the filling is smooth: made small, where it is quick
    small = cv2.inpaint(cv2.resize(p, third), cv2.resize(mask, third, interpolation=cv2.INTER_NEAREST), 5, cv2.INPAINT_TELEA)
    return np.where(mask[..., None] > 0, cv2.resize(small, (p.shape[1], p.shape[0])), p).astype(np.uint8)


SMALL = frozenset({"too-small", "resized", "no-metadata"})
BLUR, DARK, BRIGHT = frozenset({"blur"}), frozenset({"too-dark", "noise"}), frozenset({"burnt-out", "glare"})
FAULTS = (
    *(Fault(f"blur {sd}", BLUR, _blur(sd)) for sd in (1.5, 3.0, 6.0)),
    *(Fault(f"shaken {px}", BLUR, _shake(px)) for px in (8, 16, 32)),
    *(Fault(f"dark {stops}", DARK, _dark(stops)) for stops in (2.0, 4.0)),
    *(Fault(f"bright {stops}", BRIGHT, _bright(stops)) for stops in (1.5, 3.0)),
    *(Fault(f"small {scale}", SMALL, _small(scale), scale, with_metadata=False) for scale in (0.6, 0.4, 0.25)),
    *(Fault(f"glare {share}", frozenset({"glare", "edge-hidden"}), _glare(share)) for share in (0.15, 0.4)),
    *(Fault(f"towel {share}", frozenset({"edge-hidden"}), _towel(share)) for share in (0.3, 0.8)),
    Fault("wall cut off", frozenset({"opening-cut"}), _cut),
    Fault("no reference", frozenset({"card-missing"}), _without_cards),
    Fault("quality 10", frozenset({"compressed"}), lambda p, _: p, quality=10),
)


def as_file(pixels: Pixels, exif: bytes | None, quality: int = QUALITY) -> bytes:
    """JPEG of these pixels, upright."""
    out = io.BytesIO()
    image = Image.fromarray(pixels)
    if exif is not None:
        kept = Image.Exif()
        kept.load(exif)
        kept[0x0112] = 1
        image.save(out, "JPEG", quality=quality, exif=kept.tobytes())
    else:
        image.save(out, "JPEG", quality=quality)
    return out.getvalue()
