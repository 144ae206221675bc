"""Where a photo file has been: what its own fields say of resizing, cropping, editing and saving again. Nothing is decoded."""

from __future__ import annotations

import io
from dataclasses import dataclass

import numpy as np
from PIL import Image

from vision.photo.formats import FORMATS, unreadable
from vision.photo.metadata import EXIF_IFD, TAG_PIXEL_X, TAG_PIXEL_Y, Metadata, read_metadata
from vision.settings import IntakeSettings

TAG_CHANGED, TAG_TAKEN = 0x0132, 0x9003
"""EXIF DateTime (when the file was changed) and DateTimeOriginal"""
ANNEX_K_LUMA = (
    16, 11, 10, 16, 24, 40, 51, 61, 12, 12, 14, 19, 26, 58, 60, 55, 14, 13, 16, 24, 40, 57, 69, 56, 14, 17, 22, 29, 51, 87, 80,
    62, 18, 22, 37, 56, 68, 109, 103, 77, 24, 35, 55, 64, 81, 104, 113, 92, 49, 64, 78, 87, 103, 121, 120, 101,
    72, 92, 95, 98, 112, 100, 103, 99,
)  # fmt: skip
"""ITU-T T.81 (1992) table K.1, row by row (from memory); its mean against a file's own gives the usual quality scale"""
HISTORY = (b"xmpMM:History", b"stEvt:action")
"""of XMP's media management (ISO 16684-1): what programs write that keep a list of changes"""


@dataclass(frozen=True)
class Provenance:
    """`size_px` as stored, `stated_px` by EXIF (both unordered: short, long side), None without it.

    `quality` is the JPEG quality in percent, None for other formats; `traces` are signs of editing in words.
    """

    size_px: tuple[int, int]
    stated_px: tuple[int, int] | None
    metadata: Metadata
    quality: float | None
    traces: tuple[str, ...]

    @property
    def times_smaller(self) -> float:
        """Long side by EXIF over the real one; 1 where EXIF says nothing."""
        return 1.0 if self.stated_px is None else self.stated_px[1] / max(self.size_px)

    @property
    def ratio_change(self) -> float:
        """Relative change of the sides' ratio against EXIF; 0 where EXIF says nothing."""
        if self.stated_px is None:
            return 0.0
        return abs((self.stated_px[1] / self.stated_px[0]) / (max(self.size_px) / min(self.size_px)) - 1)


def read_provenance(name: str, data: bytes) -> Provenance:
    """What the file says of itself. Raises CannotMeasure (not-an-image) where it has no header of a picture."""
    try:
        with Image.open(io.BytesIO(data), formats=list(FORMATS)) as image:
            metadata = read_metadata(image)
            return Provenance(
                (int(image.size[0]), int(image.size[1])), _stated(image), metadata, _quality(image), tuple(_traces(image))
            )
    except Exception as problem:  # as in intake: decoders raise whatever they like
        raise unreadable(name, data, problem, IntakeSettings().max_pixels) from problem


def _stated(image: Image.Image) -> tuple[int, int] | None:
    try:
        exif = image.getexif().get_ifd(EXIF_IFD)
        sides = sorted(int(exif[tag]) for tag in (TAG_PIXEL_X, TAG_PIXEL_Y))
    except Exception:  # missing or broken: nothing is stated
        return None
    return (sides[0], sides[1]) if sides[0] > 0 else None


def _quality(image: Image.Image) -> float | None:
    """By the usual scaling of the standard's example tables: S = 5000 / Q under 50, 200 - 2 Q above."""
    tables = getattr(image, "quantization", None)
    if not tables or 0 not in tables or len(tables[0]) != 64:
        return None
    scale = 100.0 * float(np.mean(tables[0])) / float(np.mean(ANNEX_K_LUMA))
    return float(np.clip(5000.0 / scale if scale > 100 else (200.0 - scale) / 2, 1.0, 100.0))


def _traces(image: Image.Image) -> list[str]:
    out = []
    try:
        exif = image.getexif()
        changed, taken = str(exif.get(TAG_CHANGED, "")), str(exif.get_ifd(EXIF_IFD).get(TAG_TAKEN, ""))
    except Exception:
        changed = taken = ""
    if len(changed) >= 19 and len(taken) >= 19 and changed[:19] > taken[:19]:
        out.append("changed after it was taken")
    xmp = image.info.get("xmp", b"")
    xmp = xmp if isinstance(xmp, bytes) else str(xmp).encode()
    if any(word in xmp for word in HISTORY):
        out.append("a list of changes in its metadata")
    return out
