"""Linear light to the file of a phone in the twelfth rooms: lens, sensor, smoothing, tone, sharpening, JPEG."""

from __future__ import annotations

import io
from dataclasses import dataclass

import cv2
import numpy as np
from PIL import Image
from studio.develop import to_srgb

from .twelfth_fabric import Rng

TINTS = {"bulb": (0.74, 1.0, 1.6), "downlights": (0.86, 1.0, 1.26), "within": (0.9, 1.0, 1.18), "mixed": (0.9, 1.0, 1.2)}


@dataclass(frozen=True)
class Phone:
    blur: float
    shake: float
    shake_deg: float
    fall: float
    noise: float
    smooth: float
    local: float
    contrast: float
    stops: float
    balance: tuple[float, float, float]
    sharpen: float
    radius: float
    quality: int
    sideways: bool


def draw_phone(rng: Rng, scheme: str) -> Phone:
    u = rng.uniform
    tint = np.array(TINTS.get(scheme, (1.0, 1.0, 1.0))) * np.exp(rng.normal(0, 0.04, 3))
    dark = scheme in ("bulb", "within")
    return Phone(
        blur=float(u(0.55, 1.25)),
        shake=float(u(1, 2.6)) if rng.random() < 0.25 else 0.0,
        shake_deg=float(u(0, 180)),
        fall=float(u(0.03, 0.28)),
        noise=float(u(0.006, 0.02)) * (1.6 if dark else 1.0),
        smooth=float(u(0.3, 1.0)),
        local=float(u(0.05, 0.4)),
        contrast=float(u(0.0, 0.35)),
        stops=float(np.clip(rng.normal(0, 0.3), -0.8, 0.5)),
        balance=tuple(float(t) for t in tint / tint[1]),  # type: ignore[arg-type]
        sharpen=float(u(0.15, 1.1)),
        radius=float(u(0.8, 1.7)),
        quality=int(rng.integers(75, 96)),
        sideways=bool(rng.random() < 0.2),
    )


def develop(linear: np.ndarray, phone: Phone, rng: Rng, scale: float) -> np.ndarray:
    """The upright photo, 8 bit."""
    picture = cv2.GaussianBlur(np.maximum(linear, 0), (0, 0), max(0.3, phone.blur * scale))
    if phone.shake * scale > 0.8:
        picture = cv2.filter2D(picture, -1, _streak(phone.shake * scale, phone.shake_deg))
    picture *= np.asarray(phone.balance, np.float32)
    picture *= _gain(picture) * 2.0**phone.stops
    rows, columns = picture.shape[:2]
    y, x = np.linspace(-1, 1, rows, dtype=np.float32), np.linspace(-1, 1, columns, dtype=np.float32)
    r2 = (0.5 * (x[None, :] ** 2 + y[:, None] ** 2))[..., None]
    picture *= 1 - phone.fall * r2
    grain = rng.standard_normal(picture.shape, dtype=np.float32)
    picture = picture + phone.noise * np.sqrt(0.02 + 0.18 * np.maximum(picture, 0)) * grain
    picture = _smoothed(np.clip(picture, 0, 6).astype(np.float32), phone.smooth)
    encoded = _toned(picture, phone)
    soft = cv2.GaussianBlur(encoded, (0, 0), max(0.4, phone.radius * scale))
    detail = encoded - soft
    encoded = encoded + phone.sharpen * np.sign(detail) * np.maximum(np.abs(detail) - 0.004, 0)
    return np.clip(np.round(encoded * 255), 0, 255).astype(np.uint8)


def _gain(picture: np.ndarray) -> float:
    """Middle-weighted metering that lets lamps and panes burn out."""
    small = cv2.resize(picture, (120, 120), interpolation=cv2.INTER_AREA).mean(axis=2)
    middle = small[15:105, 15:105]
    mean = float(np.exp(np.mean(np.log(np.maximum(middle, 1e-3 * small.max() + 1e-6)))))
    return min(0.22 / mean, 0.95 / float(np.percentile(small, 93) + 1e-6))


def _smoothed(picture: np.ndarray, amount: float) -> np.ndarray:
    """Noise reduction: colour more than brightness."""
    if amount < 0.15:
        return picture
    root = np.sqrt(picture)
    grey = root.mean(axis=2, keepdims=True)
    colour = cv2.GaussianBlur(root - grey, (0, 0), 0.6 + 1.4 * amount)
    kept = cv2.bilateralFilter(np.ascontiguousarray(grey[..., 0]), 5, 0.015 + 0.05 * amount, 1.4)[..., None]
    return np.maximum((1 - 0.7 * amount) * grey + 0.7 * amount * kept + colour, 0) ** 2


def _toned(picture: np.ndarray, phone: Phone) -> np.ndarray:
    """Bright and dark places are brought together, then a shoulder and some contrast."""
    light = picture.mean(axis=2)
    small = cv2.resize(np.log(light + 0.01), (160, 160), interpolation=cv2.INTER_AREA)
    base = cv2.bilateralFilter(small.astype(np.float32), 0, 0.8, 14)
    base = cv2.resize(base, light.shape[::-1], interpolation=cv2.INTER_CUBIC)
    picture = picture * np.exp(-phone.local * (base - np.float32(np.log(0.2))))[..., None]
    knee = 0.62
    above = np.maximum(picture - knee, 0)
    picture = np.where(picture > knee, knee + (1 - knee) * (1 - np.exp(-above / (1 - knee) * 0.9)), picture)
    encoded = to_srgb(np.clip(picture, 0, 1).astype(np.float32))
    curve = encoded * encoded * (3 - 2 * encoded)
    return ((1 - phone.contrast) * encoded + phone.contrast * curve).astype(np.float32)


def _streak(length: float, degrees: float) -> np.ndarray:
    half = int(np.ceil(length)) + 1
    y, x = np.mgrid[-half : half + 1, -half : half + 1]
    c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    along, across = np.abs(c * x + s * y), np.abs(c * y - s * x)
    kernel = np.clip(length / 2 + 0.5 - along, 0, 1) * np.clip(1 - across, 0, 1)
    return np.asarray(kernel / kernel.sum())


def jpeg(upright: np.ndarray, phone: Phone, equivalent_mm: float) -> bytes:
    picture = Image.fromarray(np.ascontiguousarray(np.rot90(upright)) if phone.sideways else upright)
    exif = Image.Exif()
    exif[0x0110] = "Guest House Phone"
    exif[0x0112] = 6 if phone.sideways else 1
    more = exif.get_ifd(0x8769)
    more[0x920A], more[0xA405] = round(equivalent_mm / 26 * 5.6, 2), round(equivalent_mm)
    more[0xA002], more[0xA003] = picture.size
    sink = io.BytesIO()
    picture.save(sink, "JPEG", quality=phone.quality, subsampling=2, exif=exif.tobytes())
    return sink.getvalue()
