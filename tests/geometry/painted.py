"""Pictures of edges and cards with exact truth: drawn several times too large in linear light, blurred, averaged, encoded.

Nothing of ours is used: the sRGB curve is written again (IEC 61966-2-1), JPEG is Pillow's, perspective is OpenCV's.
"""

from __future__ import annotations

import io
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

Array = NDArray[np.float64]
FINE = 5
"""sub-pixels along each side of a pixel"""
Colour = tuple[float, float, float]


def encoded(linear: Array) -> NDArray[np.uint8]:
    """Linear light 0 to 1 as sRGB codes."""
    x = np.clip(linear, 0, 1)
    code = np.where(x <= 0.0031308, 12.92 * x, 1.055 * x ** (1 / 2.4) - 0.055)
    return np.asarray(np.round(255 * code), dtype=np.uint8)


def light(code: Colour) -> Array:
    """sRGB codes 0 to 255 as linear light."""
    c = np.array(code) / 255
    return np.asarray(np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4))


def as_jpeg(pixels: NDArray[np.uint8], quality: int = 92) -> NDArray[np.uint8]:
    """Through Pillow's encoder, with the usual half resolution of the colour differences."""
    out = io.BytesIO()
    Image.fromarray(pixels).save(out, "JPEG", quality=quality)
    return np.asarray(Image.open(out).convert("RGB"))


@dataclass(frozen=True)
class Line:
    """A narrow line beside the edge, on its right (1) or left (-1) side: width in px and sRGB colour."""

    side: int
    width_px: float
    colour: Colour


@dataclass(frozen=True)
class Edge:
    """A nearly upright edge between two colours: at the middle row x = `at`, moved by `slope` a row, bent by `sag`."""

    left: Colour
    right: Colour
    at: float = 40.0
    slope: float = 0.0
    sag: float = 0.0
    line: Line | None = None

    def x(self, y: Array, rows: int) -> Array:
        """Position (px) at these rows."""
        t = 2 * y / (rows - 1) - 1
        return np.asarray(self.at + self.slope * (y - (rows - 1) / 2) + self.sag * (1 - t * t))


def picture_of(
    edge: Edge, *, rows: int = 400, columns: int = 80, blur_px: float = 0.8, noise: float = 0.006, seed: int = 0
) -> NDArray[np.uint8]:
    """The edge as a camera would store it; `blur_px` is the sd of the blur before the pixel's square, `noise` that of white."""
    y = (np.arange(rows * FINE) + 0.5) / FINE - 0.5
    x = (np.arange(columns * FINE) + 0.5) / FINE - 0.5
    distance = x[None, :] - edge.x(y, rows)[:, None]
    linear = np.where(distance[..., None] > 0, light(edge.right), light(edge.left)).astype(np.float32)
    if edge.line is not None:
        along = distance * edge.line.side
        linear[(along > 0) & (along < edge.line.width_px)] = light(edge.line.colour)
    soft = cv2.GaussianBlur(linear, (0, 0), blur_px * FINE)
    pixels = soft.reshape(rows, FINE, columns, FINE, 3).mean(axis=(1, 3))
    rng = np.random.default_rng(seed)
    grain = rng.normal(0, noise, pixels.shape) * np.sqrt(np.clip(pixels, 0.02, 1))
    return encoded(pixels + grain)
