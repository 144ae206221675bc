"""Linear picture -> the file that a phone writes: blur, noise, tone curve, sharpening, JPEG, metadata (no position)."""

from __future__ import annotations

import io

import cv2
import numpy as np
from PIL import Image

from .shot import Development

MID_GREY = 0.18
MODEL = "Guest House Phone"
PAPER_WHITE = 0.93  # the brightest hundredth of the picture is kept below this


def develop(linear: np.ndarray, how: Development, seed: int) -> np.ndarray:
    """The upright photo, 8 bit."""
    rng = np.random.default_rng([seed, 77])
    picture = cv2.GaussianBlur(linear, (0, 0), how.blur_px)
    if how.motion_px:
        picture = cv2.filter2D(picture, -1, _streak(how.motion_px))
    picture = picture * np.asarray(how.white_balance, np.float32)
    picture *= exposure_factor(picture) * 2.0**how.exposure
    picture *= _shading(picture.shape, how.shading)
    picture = np.clip(picture + _noise(rng, picture, how.noise), 0, 1)
    encoded = to_srgb(picture)
    if how.sharpening:
        encoded += how.sharpening * (encoded - cv2.GaussianBlur(encoded, (0, 0), how.sharpening_px))
    return np.clip(np.round(encoded * 255), 0, 255).astype(np.uint8)


def exposure_factor(picture: np.ndarray) -> float:
    """Brings the geometric mean to a quarter unless that would burn out the light parts."""
    small = cv2.resize(picture, (300, 400), interpolation=cv2.INTER_AREA).mean(axis=2)
    mean = float(np.exp(np.mean(np.log(np.maximum(small, 1e-4 * small.max())))))
    return min(0.28 / mean, PAPER_WHITE / float(np.percentile(small, 99)))


def to_srgb(linear: np.ndarray) -> np.ndarray:
    return np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * np.maximum(linear, 1e-9) ** (1 / 2.4) - 0.055).astype(np.float32)


def to_linear(encoded: np.ndarray) -> np.ndarray:
    return np.where(encoded <= 0.04045, encoded / 12.92, ((encoded + 0.055) / 1.055) ** 2.4).astype(np.float32)


def write_jpeg(upright: np.ndarray, how: Development, equivalent_mm: float) -> bytes:
    """4:2:0, as good as fits into the allowed size."""
    picture = Image.fromarray(np.ascontiguousarray(np.rot90(upright)) if how.orientation == 6 else upright)
    exif = _metadata(picture, how.orientation, equivalent_mm) if how.metadata else b""
    data = b""
    for quality in range(93, 40, -3):
        sink = io.BytesIO()
        picture.save(sink, "JPEG", quality=quality, subsampling=2, optimize=True, **({"exif": exif} if exif else {}))
        data = sink.getvalue()
        if len(data) <= how.largest_bytes:
            break
    return data


def messenger_copy(photo: bytes, long_side_px: int, quality: int = 72) -> bytes:
    """What a chat program hands on: upright, smaller, without metadata, compressed again."""
    with Image.open(io.BytesIO(photo)) as opened:
        turn = opened.getexif().get(0x0112, 1)
        upright = opened.convert("RGB")
    if turn == 6:
        upright = upright.transpose(Image.Transpose.ROTATE_270)
    factor = long_side_px / max(upright.size)
    small = upright.resize((round(upright.width * factor), round(upright.height * factor)), Image.Resampling.BICUBIC)
    sink = io.BytesIO()
    small.save(sink, "JPEG", quality=quality, subsampling=2)
    return sink.getvalue()


def spoiled_copy(photo: bytes, how: Development, equivalent_mm: float, defocus_px: float, seed: int) -> bytes:
    """The same shot out of focus and shaken."""
    with Image.open(io.BytesIO(photo)) as opened:
        linear = to_linear(np.asarray(opened.convert("RGB"), np.float32) / 255)
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * round(defocus_px) + 1,) * 2).astype(np.float32)
    linear = cv2.filter2D(linear, -1, disc / disc.sum())
    linear = cv2.filter2D(linear, -1, _streak(how.motion_px)) if how.motion_px else linear
    rng = np.random.default_rng([seed, 78])
    encoded = to_srgb(np.clip(linear + _noise(rng, linear, how.noise), 0, 1))
    return write_jpeg(np.clip(np.round(encoded * 255), 0, 255).astype(np.uint8), how, equivalent_mm)


def _noise(rng: np.random.Generator, picture: np.ndarray, level: float) -> np.ndarray:
    """Noise as it is left by demosaicing and a phone's smoothing: a fine part in all channels, a blotchy one in colour."""
    shape = picture.shape
    light = picture.mean(axis=2, keepdims=True)
    spread = level * MID_GREY * np.sqrt(0.15 + 0.85 * np.maximum(light, 0) / MID_GREY)
    fine = _grain(rng, shape[:2], 0.6)[..., None]
    colour = np.stack([_grain(rng, shape[:2], 1.6) for _ in range(3)], axis=2)
    colour -= colour.mean(axis=2, keepdims=True)
    return (spread * (0.85 * fine + 0.65 * colour)).astype(np.float32)


def _grain(rng: np.random.Generator, shape: tuple[int, int], sigma_px: float) -> np.ndarray:
    field = cv2.GaussianBlur(rng.standard_normal(shape, dtype=np.float32), (0, 0), sigma_px)
    return field / field.std()


def _shading(shape: tuple[int, ...], amount: float) -> np.ndarray:
    y, x = (np.linspace(-1, 1, n, dtype=np.float32) for n in shape[:2])
    return (1 - amount * (x[None, :] ** 2 * 0.36 + y[:, None] ** 2 * 0.64))[..., None]


def _streak(length_px: float) -> np.ndarray:
    side = 2 * int(np.ceil(length_px / 2)) + 1
    kernel = np.zeros((side, side), np.float32)
    cv2.line(kernel, (0, side // 2 + side // 5), (side - 1, side // 2 - side // 5), 1.0, 1, cv2.LINE_AA)
    return kernel / kernel.sum()


def _metadata(picture: Image.Image, orientation: int, equivalent_mm: float) -> bytes:
    exif = Image.Exif()
    exif[0x010F] = "Guest House"
    exif[0x0110] = MODEL
    exif[0x0112] = orientation
    exif[0x0132] = "2026:03:14 10:21:35"
    details = exif.get_ifd(0x8769)
    details[0x829A] = 1 / 60  # exposure time
    details[0x829D] = 1.8
    details[0x8827] = 200
    details[0x9003] = "2026:03:14 10:21:35"
    details[0x920A] = round(equivalent_mm / 26 * 5.6, 2)  # focal length
    details[0xA405] = round(equivalent_mm)
    details[0xA002], details[0xA003] = picture.size
    return exif.tobytes()
