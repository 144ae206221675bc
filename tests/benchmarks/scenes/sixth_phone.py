"""Linear picture to the file of a phone: lens, Bayer mosaic, noise, demosaicing, smoothing, tone, sharpening, JPEG."""

from __future__ import annotations

import io
from dataclasses import asdict, dataclass

import cv2
import numpy as np
from PIL import Image

from tests.benchmarks.scenes.sixth_plan import Plan
from tests.benchmarks.scenes.sixth_stuff import Array

MOST_BYTES = 1_700_000
ILLUMINANT = {
    "window": (0.76, 0.88, 1.0), "bulb": (1.0, 0.74, 0.46), "work": (0.95, 0.95, 0.95), "flash": (0.96, 0.95, 0.93),
    "mixed": (0.92, 0.85, 0.78), "grazing": (1.0, 0.9, 0.75), "inside": (0.97, 0.93, 0.86), "overcast": (0.95, 0.98, 1.0),
}  # fmt: skip
"""what the phone takes its lamps for"""
LUMA = np.array([0.2126, 0.7152, 0.0722], np.float32)


@dataclass(frozen=True)
class Phone:
    """How one shot is developed."""

    blur_px: float
    cast: tuple[float, float, float]  # what the white balance leaves
    balance: float  # how far the balance goes towards grey
    stops: float
    electrons: float  # full well: fewer is noisier
    local: float  # strength of the local tone mapping
    sharpening: float
    radius_px: float
    vignette: float
    quality: int


def phone(plan: Plan) -> Phone:
    rng = plan.rng(8)
    low = plan.dealt["light"] in ("bulb", "work", "inside")
    cast = rng.normal(1.0, 0.025, 3)
    return Phone(
        blur_px=float(rng.uniform(0.55, 0.85)) + float(rng.choice([0, 0, 0, 0, 0.5])),
        cast=(float(cast[0]), 1.0, float(cast[2])),
        balance=float(rng.uniform(0.55, 0.9)),
        stops=float(rng.normal(0, 0.22)),
        electrons=float(rng.uniform(2000, 4500) if low else rng.uniform(5000, 12000)),
        local=float(rng.uniform(0.12, 0.28)),
        sharpening=float(rng.uniform(0.35, 0.95)),
        radius_px=float(rng.uniform(1.0, 1.5)),
        vignette=float(rng.uniform(0.05, 0.16)),
        quality=int(rng.integers(86, 96)),
    )


def develop(light: Array, plan: Plan) -> tuple[Array, dict[str, object]]:
    """The upright photo, 8 bit, and how it was made."""
    how, rng = phone(plan), plan.rng(9)
    picture: Array = cv2.GaussianBlur(light, (0, 0), how.blur_px)
    picture *= _vignette(picture.shape, how.vignette)
    lamp = np.array(ILLUMINANT[plan.dealt["light"]])
    gains = (lamp[1] / lamp) ** how.balance * np.array(how.cast)
    picture *= gains.astype(np.float32)
    small = cv2.resize(picture @ LUMA, (320, 320), interpolation=cv2.INTER_AREA)
    exposure = min(0.26 / float(np.exp(np.log(np.maximum(small, 1e-5)).mean())), 1.25 / float(np.percentile(small, 96)))
    raw = _mosaic(picture * (exposure * 2.0**how.stops), how, gains, rng)
    full = _smooth(_demosaic(raw))
    shown = _encode(_tone(full, how))
    luma = shown @ LUMA
    detail = luma - cv2.GaussianBlur(luma, (0, 0), how.radius_px)
    detail = np.sign(detail) * np.maximum(np.abs(detail) - 0.004, 0)
    shown = shown + how.sharpening * detail[..., None]
    return np.clip(np.round(shown * 255), 0, 255).astype(np.uint8), asdict(how)


def _vignette(shape: tuple[int, ...], amount: float) -> Array:
    y, x = (np.linspace(-1, 1, n, dtype=np.float32) for n in shape[:2])
    r2 = (x[None] ** 2 + y[:, None] ** 2) / 2
    return np.asarray((1 - amount * r2 - 0.5 * amount * r2 * r2)[..., None])


def _mosaic(picture: Array, how: Phone, gains: Array, rng: np.random.Generator) -> Array:
    """RGGB, shot and read noise of the channel before its gain, clipped at the full well; 16 bit with white at 16000."""
    raw = np.empty(picture.shape[:2], np.float32)
    for channel, rows, columns in ((0, 0, 0), (1, 0, 1), (1, 1, 0), (2, 1, 1)):
        seen = np.maximum(picture[rows::2, columns::2, channel], 0) / gains[channel]
        spread = np.sqrt(seen / how.electrons + (3.0 / how.electrons) ** 2)
        seen = seen + spread * rng.standard_normal(seen.shape, dtype=np.float32)
        raw[rows::2, columns::2] = np.clip(seen, 0, 3.0) * gains[channel]
    return np.clip(raw * 16000 + 500, 0, 65535).astype(np.uint16)


def _demosaic(raw: Array) -> Array:
    full = cv2.demosaicing(raw, cv2.COLOR_BayerBG2RGB_EA)  # OpenCV names RGGB by its second row and column
    return np.asarray((full.astype(np.float32) - 500) / 16000)


def _smooth(picture: Array) -> Array:
    """Colour noise away, a little of the grey noise: edge-keeping, in square-root light."""
    root = np.sqrt(np.maximum(picture, 0))
    luma: Array = (root @ LUMA).astype(np.float32)
    colour = cv2.GaussianBlur(cv2.medianBlur((root - luma[..., None]).astype(np.float32), 5), (0, 0), 1.6)
    luma = cv2.bilateralFilter(luma, 5, 0.035, 1.6)
    return np.asarray(np.maximum(luma[..., None] + colour, 0) ** 2)


def _tone(picture: Array, how: Phone) -> Array:
    """Shadows lifted and lights held by a wide blur of the brightness, then a shoulder."""
    light = np.maximum(picture @ LUMA, 1e-4)
    h, w = light.shape
    small = cv2.resize(np.log(light), (max(w // 16, 8), max(h // 16, 8)), interpolation=cv2.INTER_AREA)
    wide = cv2.resize(cv2.bilateralFilter(small, 9, 1.2, 6), (w, h), interpolation=cv2.INTER_CUBIC)
    gain = np.exp(np.clip(-how.local * (wide - np.log(0.22)), -0.7, 0.8))
    lifted = picture * gain[..., None]
    return np.asarray(lifted * (1 + lifted / 5.0) / (1 + 0.45 * lifted))


def _encode(picture: Array) -> Array:
    x = np.clip(picture, 0, 1)
    return np.where(x <= 0.0031308, 12.92 * x, 1.055 * np.maximum(x, 1e-9) ** (1 / 2.4) - 0.055).astype(np.float32)


def jpeg(upright: Array, plan: Plan, quality: int) -> tuple[bytes, int]:
    """The file, 4:2:0, at the phone's quality or as much lower as its size asks; and that quality."""
    picture = Image.fromarray(upright)
    for lower in range(quality, 40, -3):
        sink = io.BytesIO()
        picture.save(sink, "JPEG", quality=lower, subsampling=2, optimize=True, exif=_exif(picture, plan))
        if sink.tell() <= MOST_BYTES:
            break
    return sink.getvalue(), lower


def _exif(picture: Image.Image, plan: Plan) -> bytes:
    exif = Image.Exif()
    exif[0x010F], exif[0x0110], exif[0x0112] = "Invented", "Slate 6 (no such phone)", 1
    exif[0x0132] = "2026:09:21 08:14:09"
    details = exif.get_ifd(0x8769)
    details[0x829A], details[0x829D], details[0x8827] = 1 / 50, 1.7, 320
    details[0x920A] = round(plan.equivalent_mm / 26 * 5.4, 2)
    details[0xA405] = plan.equivalent_mm
    details[0xA002], details[0xA003] = picture.size
    return exif.tobytes()
