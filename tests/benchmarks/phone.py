"""Light on a sensor -> the pixels of a phone's file: grain, mosaic and its undoing, tone curve, sharpening, JPEG.

Written for the painted pictures; nothing of ours is used. The sRGB curve is that of IEC 61966-2-1, the colours are taken one a
pixel in the usual pattern of two greens, a red and a blue and filled in again by colour differences, so that the grain comes out
as blotches of colour, and JPEG is Pillow's with colour differences at half resolution.
"""

from __future__ import annotations

import io
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

Array = NDArray[np.float64]
GAIN = (1.9, 1.0, 1.6)
"""by which a phone lifts red and blue to make daylight white (common practice, no source): their grain with them"""
MIDDLE = np.array([[0.25, 0.5, 0.25], [0.5, 1.0, 0.5], [0.25, 0.5, 0.25]])
CROSS = np.array([[0.0, 0.25, 0.0], [0.25, 1.0, 0.25], [0.0, 0.25, 0.0]])
BEND = np.zeros((5, 5))
BEND[2, 2], BEND[0, 2], BEND[4, 2], BEND[2, 0], BEND[2, 4] = 0.5, -0.125, -0.125, -0.125, -0.125
"""what the pixel's own colour adds to green taken from its neighbours (the usual linear correction, from memory)"""


@dataclass(frozen=True)
class Phone:
    """How a photo is made. `blur_px` is the lens's sd before the pixel's square; `grain` the sd of green at full light."""

    blur_px: float = 0.9
    grain: float = 0.006
    sharpening: float = 0.2
    sharpening_px: float = 1.2
    quality: int = 90


def coded(linear: Array) -> Array:
    """Linear light as sRGB codes 0 to 1."""
    x = np.clip(linear, 0, 1)
    return np.asarray(np.where(x <= 0.0031308, 12.92 * x, 1.055 * np.maximum(x, 1e-9) ** (1 / 2.4) - 0.055))


def on_sensor(fine: NDArray[np.float32], factor: int, blur_px: float) -> NDArray[np.float32]:
    """A picture `factor` times as fine as the sensor, (h f, w f, 3), through the lens and averaged over each pixel's square."""
    soft = np.asarray(cv2.GaussianBlur(fine, (0, 0), blur_px * factor))
    h, w = fine.shape[0] // factor, fine.shape[1] // factor
    return np.asarray(soft.reshape(h, factor, w, factor, 3).mean(axis=(1, 3)), dtype=np.float32)


def demosaiced(light: NDArray[np.float32], grain: float, rng: np.random.Generator) -> NDArray[np.float32]:
    """One colour a pixel with its grain, the others filled in: green by neighbours, red and blue by their difference."""
    h, w, _ = light.shape
    y, x = np.mgrid[0:h, 0:w]
    masks = ((y % 2 == 0) & (x % 2 == 0), (y + x) % 2 == 1, (y % 2 == 1) & (x % 2 == 1))
    seen = []
    for c, mask in enumerate(masks):
        spread = grain * np.sqrt(GAIN[c] * (np.maximum(light[..., c], 0) + 0.02))
        noisy = light[..., c] + rng.standard_normal((h, w), dtype=np.float32) * spread.astype(np.float32)
        seen.append(np.where(mask, noisy, 0).astype(np.float32))
    green = cv2.filter2D(seen[1], -1, CROSS, borderType=cv2.BORDER_REFLECT_101)
    for c in (0, 2):
        green = green + np.where(masks[c], cv2.filter2D(seen[c], -1, BEND, borderType=cv2.BORDER_REFLECT_101), 0)
    out = [green, green, green]
    for c in (0, 2):
        difference = np.where(masks[c], seen[c] - green, 0).astype(np.float32)
        out[c] = green + cv2.filter2D(difference, -1, MIDDLE, borderType=cv2.BORDER_REFLECT_101)
    return np.stack(out, axis=-1)


def developed(light: NDArray[np.float32], phone: Phone, rng: np.random.Generator) -> NDArray[np.uint8]:
    """Sensor light (h, w, 3) as the phone's upright picture, before JPEG."""
    code = coded(demosaiced(light, phone.grain, rng).astype(np.float64)).astype(np.float32)
    if phone.sharpening:
        code = code + phone.sharpening * (code - np.asarray(cv2.GaussianBlur(code, (0, 0), phone.sharpening_px)))
    return np.asarray(np.clip(np.round(255 * code), 0, 255), dtype=np.uint8)


def as_file(pixels: NDArray[np.uint8], quality: int, focal_35mm: float | None = None) -> bytes:
    """A JPEG with colour differences at half resolution, and the focal length where one is given."""
    exif, out = Image.Exif(), io.BytesIO()
    if focal_35mm is not None:
        exif.get_ifd(0x8769)[0xA405] = round(focal_35mm)
    Image.fromarray(pixels).save(out, "JPEG", quality=quality, subsampling=2, exif=exif)
    return out.getvalue()


def as_stored(pixels: NDArray[np.uint8], quality: int) -> NDArray[np.uint8]:
    """Through the file and back."""
    return np.asarray(Image.open(io.BytesIO(as_file(pixels, quality))).convert("RGB"))
