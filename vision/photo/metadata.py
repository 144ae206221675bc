"""What a photo's metadata says about the camera, taken for what it is worth."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from PIL import Image

from vision.photo.gravity import Vector, down_in_picture

EXIF_IFD = 0x8769
TAG_FOCAL_35MM = 0xA405
TAG_PIXEL_X = 0xA002
TAG_PIXEL_Y = 0xA003
TAG_MAKER_NOTE = 0x927C
TAG_LENS_MODEL = 0xA434
ORIENTATION = 0x0112
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
    down: Vector | None = None
    """unit vector of gravity in the upright picture's camera frame (x right, y down, z forward)"""


def read_metadata(image: Image.Image, gravity_tolerance: float = 0.05) -> Metadata:
    """The 35 mm equivalent focal length and signs of cropping, from EXIF (CIPA DC-008).

    The 35 mm field already holds any digital zoom, so it is never multiplied. Its definition is ambiguous (diagonal or long
    side); the caller's prior covers that. Gravity comes from the maker note, within `gravity_tolerance` (g) of 1 g.
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
    down = None if cropped else _down(image, exif, gravity_tolerance)
    return Metadata(focal if plausible and not cropped else None, cropped, resized, down)


def _down(image: Image.Image, exif: Mapping[int, object], tolerance: float) -> Vector | None:
    """Gravity from the maker note; a picture that its decoder has turned already keeps its old orientation beside it."""
    note, lens = exif.get(TAG_MAKER_NOTE), exif.get(TAG_LENS_MODEL)
    if not isinstance(note, bytes) or (isinstance(lens, str) and "front" in lens.lower()):
        return None
    orientation = image.info.get("original_orientation") or image.getexif().get(ORIENTATION, 1)
    return down_in_picture(note, int(orientation), tolerance=tolerance) if isinstance(orientation, int) else None


def _number(value: object) -> float | None:
    """A finite positive float from whatever a maker put into the field."""
    try:
        number = float(value)  # type: ignore[arg-type]
    except (TypeError, ValueError, ZeroDivisionError, OverflowError):
        return None
    return number if math.isfinite(number) and number > 0 else None
