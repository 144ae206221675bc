"""Bytes -> Photo: decoding behind limits, upright, with its metadata."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True)
class Photo:
    """An upright picture: `pixels` is uint8 RGB (sRGB encoded), shape (height, width, 3)."""

    name: str
    sha256: str
    pixels: NDArray[np.uint8]
    focal_35mm: float | None
    """35 mm equivalent focal length from the metadata, None without"""

    @property
    def height(self) -> int:
        return int(self.pixels.shape[0])

    @property
    def width(self) -> int:
        return int(self.pixels.shape[1])
