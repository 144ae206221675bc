"""Light -> the file that a phone of today writes: mosaic, denoising, tone, local contrast, sharpening, JPEG."""

from __future__ import annotations

import io

import cv2
import numpy as np
from PIL import Image

from .ninth_plan import Phone

MID_GREY = 0.18
MODEL = "Guest House Phone 9"


def develop(linear: np.ndarray, how: Phone, seed: int, scale: float = 1.0) -> np.ndarray:
    """The upright photo, 8 bit."""
    rng = np.random.default_rng([seed, 9])
    light = _without_specks(np.minimum(linear, 40.0))
    light = light * (1 - how.glare) + how.glare * _wide_blur(np.minimum(light, 6.0), 0.03)
    light = cv2.GaussianBlur(light, (0, 0), max(how.blur_px * scale, 0.3))
    light *= (_balance(light) * np.array(how.balance)).astype(np.float32)
    light *= np.float32(_exposure(light))
    light = _evened(light, how.evening) * np.float32(2.0**how.exposure)
    light *= _shading(light.shape, how.shading)
    seen = _through_mosaic(light, how.noise, rng)
    tidy = _denoised(seen, how)
    toned = _tone(tidy, how.contrast)
    toned = _local(toned, how.local)
    return np.clip(np.round(_sharpened(toned, how, scale) * 255), 0, 255).astype(np.uint8)


def write_jpeg(upright: np.ndarray, how: Phone) -> bytes:
    """4:2:0; a portrait picture may be stored sideways, with the orientation saying so."""
    stored = np.ascontiguousarray(np.rot90(upright)) if how.sideways else upright
    picture = Image.fromarray(stored)
    exif = Image.Exif()
    exif[0x010F], exif[0x0110], exif[0x0112] = "Guest House", MODEL, 6 if how.sideways else 1
    exif[0x0132] = "2026:05:09 15:42:10"
    details = exif.get_ifd(0x8769)
    details[0x829A], details[0x829D], details[0x8827] = (
        (1 / 30 if how.noise > 0.02 else 1 / 80),
        1.7,
        1600 if how.noise > 0.02 else 125,
    )
    details[0x9003], details[0x920A] = "2026:05:09 15:42:10", round(how.equivalent_mm / 26 * 5.4, 2)
    details[0xA405] = round(how.equivalent_mm)
    details[0xA002], details[0xA003] = picture.size
    sink = io.BytesIO()
    picture.save(sink, "JPEG", quality=how.quality, subsampling=2, optimize=True, exif=exif.tobytes())
    return sink.getvalue()


def _without_specks(light: np.ndarray) -> np.ndarray:
    """Single pixels far brighter than all their neighbours are taken for hot ones; a line of them stays."""
    y = light.mean(axis=2)
    ring = np.array([[1, 1, 1], [1, 0, 1], [1, 1, 1]], np.uint8)
    hot = y > 1.5 * cv2.dilate(y, ring) + 0.01
    around = np.dstack([cv2.medianBlur(np.ascontiguousarray(light[..., k]), 3) for k in range(3)])
    return np.where(hot[..., None], around, light)


def _wide_blur(picture: np.ndarray, share: float) -> np.ndarray:
    small = cv2.resize(picture, None, fx=0.1, fy=0.1, interpolation=cv2.INTER_AREA)
    soft = cv2.GaussianBlur(small, (0, 0), max(1.0, share * max(small.shape)))
    return cv2.resize(soft, picture.shape[1::-1], interpolation=cv2.INTER_LINEAR)


def _balance(light: np.ndarray) -> np.ndarray:
    """Automatic white balance: four fifths of the way to a grey mean of what is neither black nor burnt out."""
    small = cv2.resize(light, (160, 160), interpolation=cv2.INTER_AREA).reshape(-1, 3)
    grey = small.mean(axis=1)
    used = small[(grey > np.percentile(grey, 10)) & (grey < np.percentile(grey, 92))]
    mean = used.mean(axis=0)
    return (mean[1] / np.maximum(mean, 1e-6)) ** 0.75


def _exposure(light: np.ndarray) -> float:
    small = cv2.resize(light, (240, 240), interpolation=cv2.INTER_AREA).mean(axis=2)
    middle = float(np.exp(np.mean(np.log(np.maximum(small, 1e-4)))))
    return min(0.3 / middle, 1.0 / float(np.percentile(small, 80)))


def _evened(light: np.ndarray, amount: float) -> np.ndarray:
    """What phones do where a window or a lamp is in the picture: large bright parts are held back, large dark ones lifted."""
    y = np.log(np.maximum(light.mean(axis=2), 1e-3))
    small = cv2.resize(y, None, fx=0.1, fy=0.1, interpolation=cv2.INTER_AREA)
    base = _guided(small, small, 12, 0.15)
    gain = np.exp(-amount * np.clip(base - np.log(0.3), -1.8, 2.5))
    return light * cv2.resize(gain, y.shape[1::-1], interpolation=cv2.INTER_LINEAR)[..., None]


def _shading(shape: tuple[int, ...], amount: float) -> np.ndarray:
    y, x = (np.linspace(-1, 1, n, dtype=np.float32) for n in shape[:2])
    r2 = 0.5 * (x[None, :] ** 2 + y[:, None] ** 2)
    return (1 - amount * r2 * r2)[..., None]


def _through_mosaic(light: np.ndarray, level: float, rng: np.random.Generator) -> np.ndarray:
    """One colour a pixel with shot and read noise, then interpolated again; values in the square root of light."""
    h, w = light.shape[:2]
    raw = np.empty((h, w), np.float32)
    for dy, dx, channel in ((0, 0, 0), (0, 1, 1), (1, 0, 1), (1, 1, 2)):
        raw[dy::2, dx::2] = light[dy::2, dx::2, channel]
    spread = level * np.sqrt(MID_GREY * np.maximum(raw, 0) + 0.02 * MID_GREY**2)
    raw += spread * rng.standard_normal(raw.shape, dtype=np.float32)
    coded = np.sqrt(np.clip(raw / 4.0, 0, 1))
    mosaic = np.round(coded * 65535).astype(np.uint16)
    return cv2.cvtColor(mosaic, cv2.COLOR_BayerBG2RGB_EA).astype(np.float32) / 65535 * 2.0


def _guided(guide: np.ndarray, what: np.ndarray, radius: int, eps: float) -> np.ndarray:
    """Smooths where the guide is flat and keeps its edges."""
    box = lambda a: cv2.blur(a, (2 * radius + 1, 2 * radius + 1))  # noqa: E731
    mean, target = box(guide), box(what)
    spread = box(guide * guide) - mean * mean
    gain = (box(guide * what) - mean * target) / (spread + eps)
    return box(gain) * guide + box(target - gain * mean)


def _denoised(root: np.ndarray, how: Phone) -> np.ndarray:
    """In the square root of light, where noise is even: brightness a little, colour much. Gives light back."""
    y, b, r = _split(root)
    sd = 0.5 * how.noise * np.sqrt(MID_GREY) + 0.006
    smooth = _guided(y, y, 2, (how.denoise * sd) ** 2)
    b, r = (_guided(channel, channel, 4, (4 * sd) ** 2) for channel in (b, r))
    green = smooth - 0.3 * r - 0.11 * b
    return np.square(np.clip(np.stack([green + r, green, green + b], axis=-1), 0, 2))


def _split(root: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Brightness and the differences of blue and red from green."""
    r, g, b = root[..., 0], root[..., 1], root[..., 2]
    blue, red = b - g, r - g
    return g + 0.3 * red + 0.11 * blue, blue, red


def _tone(light: np.ndarray, contrast: float) -> np.ndarray:
    """Shoulder, then the display's curve, then a slight S."""
    x = light / 1.0
    soft = np.where(x > 0.55, 0.55 + 0.45 * (1 - np.exp(-(x - 0.55) / 0.45)), x)
    code = np.where(soft <= 0.0031308, 12.92 * soft, 1.055 * np.power(np.maximum(soft, 1e-7), 1 / 2.4) - 0.055)
    return np.clip(code + contrast * code * (1 - code) * (2 * code - 1) * 1.6, 0, 1).astype(np.float32)


def _local(code: np.ndarray, amount: float) -> np.ndarray:
    """Local contrast against an edge-keeping base, as phones add it."""
    y = code @ np.array([0.3, 0.59, 0.11], np.float32)
    small = cv2.resize(y, None, fx=0.25, fy=0.25, interpolation=cv2.INTER_AREA)
    base = cv2.resize(_guided(small, small, 14, 0.02), y.shape[1::-1], interpolation=cv2.INTER_LINEAR)
    return code + (amount * (y - base))[..., None]


def _sharpened(code: np.ndarray, how: Phone, scale: float) -> np.ndarray:
    """Unsharp masking of brightness; faint differences are left alone and halos are limited."""
    y = code @ np.array([0.3, 0.59, 0.11], np.float32)
    detail = y - cv2.GaussianBlur(y, (0, 0), max(how.halo_px * scale, 0.4))
    core = np.sign(detail) * np.maximum(np.abs(detail) - 0.004, 0)
    return code + (0.09 * np.tanh(how.sharpening * core / 0.09))[..., None]
