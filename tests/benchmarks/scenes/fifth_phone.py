"""From light to file: exposure, white balance, noise and its smoothing, tone curve, sharpening, JPEG with metadata."""

from __future__ import annotations

import io
from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt
from PIL import Image

from .fifth_studio import Picture

LARGEST_BYTES = 1_700_000


@dataclass(frozen=True)
class Phone:
    """Noise is the standard deviation at mid grey in linear light before smoothing, relative to mid grey."""

    stops: float
    cast: tuple[float, float, float]
    blur_px: float
    noise: float
    smoothing: float
    sharpening: float
    contrast: float
    quality: int


def drawn(rng: np.random.Generator) -> Phone:
    return Phone(
        stops=float(np.clip(rng.normal(0, 0.22), -0.5, 0.4)),
        cast=(float(1 + rng.normal(0, 0.03)), 1.0, float(1 + rng.normal(0, 0.04))),
        blur_px=float(rng.uniform(0.6, 1.0)),
        noise=float(rng.uniform(0.015, 0.05)),
        smoothing=float(rng.uniform(0.02, 0.05)),
        sharpening=float(rng.uniform(0.25, 0.75)),
        contrast=float(rng.uniform(0.05, 0.35)),
        quality=int(rng.integers(88, 96)),
    )


def develop(linear: Picture, phone: Phone, rng: np.random.Generator, scale: float = 1.0) -> npt.NDArray[np.uint8]:
    """The upright photo, 8 bit; scale: size of a preview against the whole, for the widths of blurs."""
    picture = np.asarray(cv2.GaussianBlur(linear, (0, 0), max(phone.blur_px * scale, 0.25)), np.float32)
    picture = picture * _balance(picture, phone.cast)
    picture *= _exposure(picture) * 2.0**phone.stops
    if scale == 1.0:
        picture = _denoised(picture + _grain(picture, phone.noise, rng), phone.smoothing)
    encoded = _curve(picture, phone.contrast)
    soft = cv2.GaussianBlur(encoded, (0, 0), max(1.2 * scale, 0.3))
    encoded = encoded + phone.sharpening * (encoded - soft)
    return np.asarray(np.clip(np.round(encoded * 255), 0, 255), np.uint8)


def _balance(picture: Picture, cast: tuple[float, float, float]) -> Picture:
    """Nearly half of the way to grey, and the cast that stays."""
    small = cv2.resize(picture, (240, 240), interpolation=cv2.INTER_AREA).reshape(-1, 3)
    mean = np.minimum(small, np.percentile(small, 97)).mean(axis=0)
    return np.asarray((mean.mean() / mean) ** 0.45 * np.array(cast), np.float32)


def _exposure(picture: Picture) -> float:
    """Geometric mean to 0.26, held back so that nine tenths of the picture stay below three quarters."""
    small = cv2.resize(picture, (240, 240), interpolation=cv2.INTER_AREA).mean(axis=2)
    mean = float(np.exp(np.mean(np.log(np.maximum(small, 0.01 * np.percentile(small, 95))))))
    return float(min(0.26 / mean, 0.75 / float(np.percentile(small, 90))))


def _curve(linear: Picture, contrast: float) -> Picture:
    """Gamma with a shoulder that keeps lamps from clipping hard, and a mild S."""
    x = np.maximum(linear, 0)
    knee = 0.6
    x = np.where(x < knee, x, knee + (1 - knee) * (1 - np.exp(-(x - knee) / (1 - knee))))
    y = np.where(x <= 0.0031308, 12.92 * x, 1.055 * np.maximum(x, 1e-9) ** (1 / 2.4) - 0.055)
    return np.asarray(y + contrast * (y * y * (3 - 2 * y) - y), np.float32)


def _grain(picture: Picture, level: float, rng: np.random.Generator) -> Picture:
    spread = level * 0.18 * np.sqrt(0.12 + 0.88 * np.maximum(picture.mean(axis=2, keepdims=True), 0) / 0.18)
    noise = cv2.GaussianBlur(rng.standard_normal(picture.shape, dtype=np.float32), (0, 0), 0.6) / 0.47
    return np.asarray(spread * noise, np.float32)


def _denoised(linear: Picture, strength: float) -> Picture:
    """Smooths where neighbours are alike, in roughly even steps of brightness; colour more than light."""
    coded = np.sqrt(np.clip(linear, 0, 4)).astype(np.float32)
    luma, red, blue = cv2.split(cv2.cvtColor(coded, cv2.COLOR_RGB2YCrCb))
    luma = cv2.bilateralFilter(luma, 5, 1.6 * strength, 1.6)
    red, blue = (cv2.bilateralFilter(c, 7, 1.6 * strength, 2.5) for c in (red, blue))
    calm = cv2.cvtColor(cv2.merge([luma, red, blue]), cv2.COLOR_YCrCb2RGB)
    return np.asarray(np.maximum(calm, 0) ** 2, np.float32)


def jpeg(upright: npt.NDArray[np.uint8], phone: Phone, equivalent_mm: float) -> tuple[bytes, int]:
    """4:2:0 with metadata, lower in quality only as far as the size asks; the bytes and the quality."""
    picture = Image.fromarray(upright)
    exif = Image.Exif()
    exif[0x010F], exif[0x0110], exif[0x0112] = "Guest House", "Guest House Phone", 1
    exif[0x0132] = "2026:05:09 16:02:11"
    details = exif.get_ifd(0x8769)
    details[0x829A], details[0x829D], details[0x8827] = 1 / 50, 1.8, 250
    details[0x920A] = round(equivalent_mm / 26 * 5.6, 2)
    details[0xA405] = round(equivalent_mm)
    details[0xA002], details[0xA003] = picture.size
    data, quality = b"", phone.quality
    for quality in range(phone.quality, 40, -2):
        sink = io.BytesIO()
        picture.save(sink, "JPEG", quality=quality, subsampling=2, optimize=True, exif=exif.tobytes())
        data = sink.getvalue()
        if len(data) <= LARGEST_BYTES:
            break
    return data, quality
