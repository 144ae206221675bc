"""What a photo's metadata says about the camera, taken for what it is worth."""

from __future__ import annotations

import math
from dataclasses import dataclass

from PIL import Image

EXIF_IFD = 0x8769
TAG_FOCAL_35MM = 0xA405
TAG_PIXEL_X = 0xA002
TAG_PIXEL_Y = 0xA003
PLAUSIBLE_35MM = (8.0, 200.0)
"""mm; some cameras write 0 or values in the thousands"""
RATIO_TOLERANCE = 0.01
"""relative; a resized copy keeps its sides' ratio to rounding, a crop does not"""


@dataclass(frozen=True)
class Metadata:
    """`focal_35mm` in mm (None: absent, absurd, or the picture was cropped); `cropped` when the stored size has another ratio."""

    focal_35mm: float | None
    cropped: bool
    resized: bool


def read_metadata(image: Image.Image) -> Metadata:
    """The 35 mm equivalent focal length and signs of cropping, from EXIF (CIPA DC-008).

    The 35 mm field already holds any digital zoom, so it is never multiplied. Its definition is ambiguous (diagonal or long
    side); the caller's prior covers that.
    """
    try:
        exif = image.getexif().get_ifd(EXIF_IFD)
    except Exception:  # a broken EXIF block is the same as none
        return Metadata(None, False, False)
    stored = sorted(v for v in (_number(exif.get(TAG_PIXEL_X)), _number(exif.get(TAG_PIXEL_Y))) if v)
    actual = sorted(float(v) for v in image.size)
    cropped = resized = False
    if len(stored) == 2 and stored != actual:
        ratio = (stored[1] / stored[0]) / (actual[1] / actual[0])
        cropped = abs(ratio - 1) > RATIO_TOLERANCE
        resized = not cropped
    focal = _number(exif.get(TAG_FOCAL_35MM))
    plausible = focal is not None and PLAUSIBLE_35MM[0] <= focal <= PLAUSIBLE_35MM[1]
    return Metadata(focal if plausible and not cropped else None, cropped, resized)


def _number(value: object) -> float | None:
    """A finite positive float from whatever a maker put into the field."""
    try:
        number = float(value)  # type: ignore[arg-type]
    except (TypeError, ValueError, ZeroDivisionError, OverflowError):
        return None
    return number if math.isfinite(number) and number > 0 else None
