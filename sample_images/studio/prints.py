"""Patterns for cards, of our own making: pictures (h, w, 3), linear, row 0 on top."""

from __future__ import annotations

import numpy as np

RGB = tuple[float, float, float]


def stripe(ground: RGB, band: RGB, at: tuple[float, float] = (0.12, 0.34)) -> np.ndarray:
    """A blank with one band across, as on a door card."""
    picture = np.tile(np.array(ground), (270, 428, 1))
    low, high = (round(a * 270) for a in at)
    picture[low:high] = band
    return picture


def waves(ground: RGB, line: RGB, count: int = 5) -> np.ndarray:
    """Slow waves across the middle, nothing near the rim."""
    y, x = np.mgrid[0:270, 0:428] / 270.0
    phase = y * count + 0.35 * np.sin(5 * x) * np.cos(2.2 * y)
    inside = (np.minimum.reduce([x, y, x.max() - x, 1 - y]) > 0.12)[..., None]
    drawn = (np.abs(np.mod(phase, 1) - 0.5) < 0.12)[..., None] & inside
    return np.where(drawn, np.array(line), np.array(ground))


def rings(ground: RGB, line: RGB) -> np.ndarray:
    """Three rings in a corner and a row of dots."""
    y, x = np.mgrid[0:270, 0:428] / 270.0
    r = np.hypot(x - 1.2, y - 0.42)
    drawn = (np.abs(np.mod(r, 0.11) - 0.055) < 0.016) & (r < 0.3)
    drawn |= (np.hypot(np.mod(x, 0.09) - 0.045, y - 0.82) < 0.022) & (x > 0.15) & (x < 0.8)
    return np.where(drawn[..., None], np.array(line), np.array(ground))
