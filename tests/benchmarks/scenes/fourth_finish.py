"""From light to a phone's JPEG: focus, metering, tone, noise and its removal, sharpening with a halo."""

from __future__ import annotations

import io
from dataclasses import dataclass

import cv2
import numpy as np
from PIL import Image

from .fourth_base import Array, Development, Rng, chance, develop


@dataclass(frozen=True)
class Phone:
    blur_px: float
    defocus_px: float  # radius of the disc
    exposure: float  # stops
    warmth: float  # what is left of the lamps' colour, 0 to 1
    grain: float  # at mid grey, linear, relative
    smoothing: float  # strength of the noise reduction, 0 to 1
    halo: float  # amount of sharpening
    halo_px: float
    lift: float  # local contrast levelled out, 0 to 1
    contrast: float
    shading: float
    largest_bytes: int
    sideways: bool


def draw_phone(rng: Rng) -> Phone:
    return Phone(
        blur_px=float(rng.uniform(0.5, 0.9)),
        defocus_px=float(rng.uniform(1.2, 2.4)) if chance(rng, 0.12) else 0.0,
        exposure=float(rng.normal(0, 0.3)),
        warmth=float(rng.uniform(0.3, 0.8)),
        grain=float(rng.choice([0.006, 0.01, 0.018, 0.03])),
        smoothing=float(rng.uniform(0.5, 0.95)),
        halo=float(rng.uniform(0.2, 1.1)),
        halo_px=float(rng.uniform(0.8, 1.7)),
        lift=float(rng.uniform(0.05, 0.3)),
        contrast=float(rng.uniform(0.2, 0.9)),
        shading=float(rng.uniform(0, 0.25)),
        largest_bytes=int(rng.uniform(1.3e6, 2.0e6)),
        sideways=chance(rng, 0.3),
    )


def finish(linear: Array, phone: Phone, seed: int, scale: float = 1.0) -> Array:
    """The upright photo, 8 bit; scale is that of a preview, so that blur and halo shrink with it."""
    rng = np.random.default_rng([seed, 41])
    picture: Array = np.nan_to_num(linear.astype(np.float32))
    if phone.defocus_px * scale > 0.6:
        picture = cv2.filter2D(picture, -1, _disc(phone.defocus_px * scale))
    picture = cv2.GaussianBlur(picture, (0, 0), max(phone.blur_px * scale, 0.3))
    picture = picture / _balance(picture, phone.warmth)
    picture *= _meter(picture) * 2.0**phone.exposure
    h, w = picture.shape[:2]
    y, x = np.linspace(-1, 1, h, dtype=np.float32)[:, None], np.linspace(-1, 1, w, dtype=np.float32)[None, :]
    picture *= (1 - phone.shading * (x * x + y * y) / 2)[..., None]
    picture = np.maximum(picture + _grain(rng, picture, phone.grain), 0)
    picture = _level(picture, phone.lift)
    picture = picture * (1 + picture / 9.0) / (1 + picture)  # shoulder: three times mid white still shows
    picture = picture * 1.6
    encoded = np.clip(develop.to_srgb(np.clip(picture, 0, 1.2)), 0, 1.1)
    encoded += phone.contrast * 0.1 * np.sin(2 * np.pi * (np.clip(encoded, 0, 1) - 0.5))
    encoded = _denoise(encoded, phone.smoothing)
    encoded += phone.halo * (encoded - cv2.GaussianBlur(encoded, (0, 0), max(phone.halo_px * scale, 0.4)))
    return np.asarray(np.clip(np.round(encoded * 255), 0, 255).astype(np.uint8))


def jpeg(upright: Array, phone: Phone, equivalent_mm: float) -> bytes:
    """As good as fits into the phone's size, by a few steps of quality."""
    how = Development(largest_bytes=phone.largest_bytes, orientation=6 if phone.sideways else 1)
    picture = Image.fromarray(np.ascontiguousarray(np.rot90(upright)) if phone.sideways else upright)
    low, high, best = 35, 95, b""
    exif = develop._metadata(picture, how.orientation, equivalent_mm)
    while high - low > 2:
        quality = (low + high) // 2
        sink = io.BytesIO()
        picture.save(sink, "JPEG", quality=quality, subsampling=2, exif=exif)
        if len(sink.getvalue()) <= how.largest_bytes:
            low, best = quality, sink.getvalue()
        else:
            high = quality
    return best or sink.getvalue()


def _disc(radius: float) -> Array:
    side = int(np.ceil(radius)) + 1
    y, x = np.mgrid[-side : side + 1, -side : side + 1]
    kernel = np.clip(radius + 0.5 - np.hypot(x, y), 0, 1).astype(np.float32)
    return np.asarray(kernel / kernel.sum())


def _balance(picture: Array, warmth: float) -> Array:
    """What is light in the picture is taken for white, a share of the cast is left."""
    some = picture[::8, ::8].reshape(-1, 3)
    light = some.mean(axis=1)
    low, high = np.percentile(light, (75, 97))
    cast = some[(light >= low) & (light <= high)].mean(axis=0)
    return np.asarray((cast / cast.mean()) ** (1 - warmth), np.float32)


def _meter(picture: Array) -> float:
    small = np.maximum(cv2.resize(picture, (90, 120), interpolation=cv2.INTER_AREA).mean(axis=2), 1e-6)
    weight = np.exp(-((np.linspace(-1, 1, 120)[:, None] ** 2 + np.linspace(-1, 1, 90)[None, :] ** 2) / 1.4))
    middle = float(np.exp((np.log(small) * weight).sum() / weight.sum()))
    bright = float(np.percentile(small, 92))
    return min(0.24 / middle, 0.8 / bright * 1.25)


def _level(picture: Array, share: float) -> Array:
    """Dark parts of the room lifted, light ones held back, as phones do."""
    light = np.maximum(picture.mean(axis=2), 1e-4)
    wide = max(4, round(min(light.shape) / 24))
    small = cv2.resize(np.log(light), (light.shape[1] // wide, light.shape[0] // wide), interpolation=cv2.INTER_AREA)
    base = cv2.GaussianBlur(small, (0, 0), 2.0)
    base = cv2.resize(base, (light.shape[1], light.shape[0]), interpolation=cv2.INTER_CUBIC)
    return np.asarray(picture * np.exp(np.clip(share * (np.log(0.22) - base), -0.7, 0.7))[..., None])


def _grain(rng: Rng, picture: Array, level: float) -> Array:
    spread = level * 0.18 * np.sqrt(0.1 + 0.9 * picture / 0.18)
    return np.asarray(spread * rng.standard_normal(picture.shape, dtype=np.float32))


def _denoise(encoded: Array, strength: float) -> Array:
    """Colour blotches smoothed away, brightness smoothed where it is nearly even."""
    colour = cv2.cvtColor(np.clip(encoded, 0, 1.1).astype(np.float32), cv2.COLOR_RGB2YCrCb)
    for channel in (1, 2):
        colour[..., channel] = cv2.bilateralFilter(colour[..., channel], 7, 0.06, 1.0 + 2.0 * strength)
    smooth = cv2.bilateralFilter(colour[..., 0], 7, 0.03 + 0.06 * strength, 1.7)
    colour[..., 0] = (1 - strength) * colour[..., 0] + strength * smooth
    return np.asarray(cv2.cvtColor(colour, cv2.COLOR_YCrCb2RGB))
