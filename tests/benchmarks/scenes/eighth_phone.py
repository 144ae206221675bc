"""The eighth rooms' phone: from light to a JPEG through lens, colour mosaic, noise, smoothing, tone curve and sharpening."""

from __future__ import annotations

import io
from dataclasses import dataclass

import cv2
import numpy as np
from PIL import Image

BAYER = ((0, 1), (1, 2))
"""colour of each pixel of a two by two cell: red, green, green, blue"""


@dataclass(frozen=True)
class Phone:
    """How one photo is developed."""

    stops: float
    blur_px: float
    shift: tuple[float, float]  # lateral colour: red and blue are larger by this
    vignette: float
    electrons: float  # at white
    smoothing: float
    sharpening: float
    contrast: float
    cast: tuple[float, float, float]
    quality: int
    equivalent_mm: int


def draw_phone(light: str, equivalent_mm: int, rng: np.random.Generator) -> Phone:
    """Dim light asks for fewer electrons and more smoothing."""
    dim = light in ("sconce", "mixed", "inside")
    return Phone(
        stops=float(rng.normal(0, 0.18)),
        blur_px=float(rng.uniform(0.55, 0.95)),
        shift=(float(rng.normal(0, 1.2e-4)), float(rng.normal(0, 1.2e-4))),
        vignette=float(rng.uniform(0.05, 0.3)),
        electrons=float(rng.uniform(900, 2500) if dim else rng.uniform(2500, 9000)),
        smoothing=float(rng.uniform(0.5, 1.0)),
        sharpening=float(rng.uniform(0.3, 0.8)),
        contrast=float(rng.uniform(0.0, 0.35)),
        cast=(float(rng.normal(1, 0.04)), 1.0, float(rng.normal(1, 0.05))),
        quality=int(rng.integers(85, 97)),
        equivalent_mm=equivalent_mm,
    )


def develop(linear: np.ndarray, phone: Phone, centre: tuple[float, float], rng: np.random.Generator) -> bytes:
    """The photo as a file."""
    light = np.nan_to_num(linear.astype(np.float32), nan=0.0, posinf=3.0, neginf=0.0)
    light = _lens(light, phone, centre)
    light *= _balance(light)
    light *= _exposure(light) * 2.0**phone.stops
    colour = _denoise(demosaic(_sensor(light, phone, rng)), phone)
    colour = np.clip(colour * np.array(phone.cast, np.float32), 0, None)
    shown = _tone(colour, phone.contrast)
    for px, share in ((0.9, 0.7), (2.2, 0.3)):
        shown = shown + phone.sharpening * share * (shown - cv2.GaussianBlur(shown, (0, 0), px))
    return _jpeg(np.clip(np.round(shown * 255), 0, 255).astype(np.uint8), phone)


def _lens(light: np.ndarray, phone: Phone, centre: tuple[float, float]) -> np.ndarray:
    """Blur, darker corners, red and blue of a slightly different size."""
    out = cv2.GaussianBlur(light, (0, 0), phone.blur_px)
    height, width = out.shape[:2]
    for channel, grow in ((0, phone.shift[0]), (2, phone.shift[1])):
        m = np.array([[1 + grow, 0, -grow * centre[0]], [0, 1 + grow, -grow * centre[1]]])
        out[..., channel] = cv2.warpAffine(
            np.ascontiguousarray(out[..., channel]), m, (width, height), flags=cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE
        )
    y, x = np.mgrid[0:height, 0:width].astype(np.float32)
    r2 = ((x - centre[0]) ** 2 + (y - centre[1]) ** 2) / (0.25 * (width**2 + height**2))
    return np.maximum(out, 0) * (1 - phone.vignette * r2)[..., None]


def _balance(light: np.ndarray) -> np.ndarray:
    """White balance that goes three quarters of the way to grey."""
    small = cv2.resize(light, (200, 200), interpolation=cv2.INTER_AREA).reshape(-1, 3)
    mean = np.mean(np.sqrt(np.maximum(small, 0)), axis=0) ** 2
    return ((mean[1] / np.maximum(mean, 1e-6)) ** 0.75).astype(np.float32)


def _exposure(light: np.ndarray) -> float:
    """Brings the mean to a fifth; the brightest fiftieth stays below white unless the room would be too dark."""
    small = cv2.resize(light, (300, 300), interpolation=cv2.INTER_AREA).mean(axis=2)
    mean = float(np.exp(np.mean(np.log(small + 1e-3 * small.max()))))
    return min(0.22 / mean, max(0.14 / mean, 0.95 / float(np.percentile(small, 98))))


def _sensor(light: np.ndarray, phone: Phone, rng: np.random.Generator) -> np.ndarray:
    """One colour a pixel, with the noise of light and of reading."""
    height, width = light.shape[:2]
    mosaic = np.empty((height, width), np.float32)
    for i in (0, 1):
        for j in (0, 1):
            mosaic[i::2, j::2] = light[i::2, j::2, BAYER[i][j]]
    spread = np.sqrt(np.maximum(mosaic, 0) / phone.electrons + (4.0 / phone.electrons) ** 2)
    return np.clip(mosaic + spread * rng.standard_normal(mosaic.shape, dtype=np.float32), 0, 1.0)


def demosaic(mosaic: np.ndarray) -> np.ndarray:
    """Green from the four neighbours corrected by the pixel's own curvature; red and blue by smooth differences from green."""
    height, width = mosaic.shape
    cells = np.zeros((3, height, width), np.float32)
    for i in (0, 1):
        for j in (0, 1):
            cells[BAYER[i][j], i::2, j::2] = 1
    cross = np.array([[0, 0, -1, 0, 0], [0, 0, 2, 0, 0], [-1, 2, 4, 2, -1], [0, 0, 2, 0, 0], [0, 0, -1, 0, 0]], np.float32) / 8
    green = np.where(cells[1] > 0, mosaic, cv2.filter2D(mosaic, -1, cross, borderType=cv2.BORDER_REFLECT_101))
    tent = np.array([[1, 2, 1], [2, 4, 2], [1, 2, 1]], np.float32) / 4
    found = [green + cv2.filter2D((mosaic - green) * cells[c], -1, tent, borderType=cv2.BORDER_REFLECT_101) for c in (0, 2)]
    return np.stack([found[0], green, found[1]], axis=2)


def _denoise(colour: np.ndarray, phone: Phone) -> np.ndarray:
    """Edge-keeping smoothing of brightness, broad smoothing of colour, in a square-root scale."""
    root = np.sqrt(np.clip(colour, 0, 1.2)).astype(np.float32)
    grey = root @ np.array([0.25, 0.5, 0.25], np.float32)
    spread = 0.5 / np.sqrt(phone.electrons)
    reach = 2.2 * spread * (0.5 + phone.smoothing) + 0.006
    smooth = cv2.bilateralFilter(grey, 7, reach * 2.0, 1.6)
    brightness = grey + 0.85 * phone.smoothing * (smooth - grey)
    chroma = root - grey[..., None]
    chroma = cv2.bilateralFilter(np.ascontiguousarray(chroma), 5, 0.05 + 4 * spread, 1.6)
    chroma = cv2.GaussianBlur(chroma, (0, 0), 0.8 + 0.8 * phone.smoothing)
    return np.maximum(brightness[..., None] + chroma, 0) ** 2


def _tone(colour: np.ndarray, contrast: float) -> np.ndarray:
    """A shoulder toward white, the display's curve, a gentle S."""
    knee = 0.7
    high = np.maximum(colour - knee, 0)
    rolled = np.where(colour > knee, knee + (1 - knee) * (1 - np.exp(-high / (1 - knee))), colour)
    shown = np.where(rolled <= 0.0031308, 12.92 * rolled, 1.055 * np.maximum(rolled, 1e-9) ** (1 / 2.4) - 0.055)
    shown = np.clip(shown, 0, 1)
    return ((1 - contrast) * shown + contrast * shown * shown * (3 - 2 * shown)).astype(np.float32)


def _jpeg(shown: np.ndarray, phone: Phone) -> bytes:
    exif = Image.Exif()
    exif[0x010F], exif[0x0110], exif[0x0112] = "Guest House", "House Phone Eight", 1
    exif[0x0132] = "2026:05:21 15:02:11"
    details = exif.get_ifd(0x8769)
    details[0x829D], details[0x8827] = 1.8, round(400_000 / phone.electrons)
    details[0x9003] = "2026:05:21 15:02:11"
    details[0x920A] = round(phone.equivalent_mm / 26 * 5.7, 2)
    details[0xA405] = phone.equivalent_mm
    details[0xA002], details[0xA003] = shown.shape[1], shown.shape[0]
    sink = io.BytesIO()
    Image.fromarray(shown).save(sink, "JPEG", quality=phone.quality, subsampling=2, optimize=True, exif=exif.tobytes())
    return sink.getvalue()
