"""Which formats are taken, and how other bytes are refused: by the name of what they are, where it is known."""

from __future__ import annotations

from PIL import Image

from vision.errors import CannotMeasure

FORMATS = ("JPEG", "PNG", "WEBP", "HEIF")
"""Decoders that user bytes may reach; everything else is refused by Pillow before any of its code runs."""
TAKEN = "JPEG, PNG, WebP or HEIC"
_BRAND_AT = 4
"""bytes; where the name of a box stands in files of the ISO base media family (ISO/IEC 14496-12, 4.2)"""
_OTHERS: tuple[tuple[bytes, str], ...] = (
    (b"BM", "a BMP picture"),
    (b"GIF8", "a GIF picture"),
    (b"II*\x00", "a TIFF picture or a camera's raw file"),
    (b"MM\x00*", "a TIFF picture or a camera's raw file"),
    (b"%PDF", "a PDF document"),
    (b"\x00\x00\x00\x0cjP  ", "a JPEG 2000 picture"),
    (b"\xff\x0a", "a JPEG XL picture"),
    (b"\x00\x00\x00\x0cJXL ", "a JPEG XL picture"),
)
"""first bytes of formats that people have photos in (from memory; a test writes those that Pillow can write)"""


def other_format(data: bytes) -> str | None:
    """What these bytes are by their beginning, where that is a known format which is not taken."""
    if data[_BRAND_AT : _BRAND_AT + 8] in (b"ftypavif", b"ftypavis"):
        return "an AVIF picture"
    return next((name for start, name in _OTHERS if data.startswith(start)), None)


def unreadable(name: str, data: bytes, problem: Exception, max_pixels: int) -> CannotMeasure:
    """Why a file could not be opened: too many pixels, a format that is not taken, or no picture at all."""
    if isinstance(problem, (Image.DecompressionBombError, Image.DecompressionBombWarning)):
        return too_large(f"{name}: far more pixels than a camera takes", f"at most {max_pixels / 1e6:.0f} megapixels")
    other = other_format(data)
    if other is not None:
        remedy = "open it in a picture program, save it as JPEG or PNG in its full size, and send that"
        return _refused("not-an-image", f"{name}: {other}, a format that is not taken", TAKEN, remedy)
    found = f"{name}: {len(data)} bytes that do not decode as a picture"
    return _refused("not-an-image", found, f"a complete {TAKEN} file", "send the original photo file again")


def too_large(found: str, needed: str) -> CannotMeasure:
    """More bytes or pixels than are taken."""
    return _refused("too-large", found, needed, "send the photo as the phone took it, not stitched or enlarged")


def _refused(code: str, found: str, needed: str, remedy: str) -> CannotMeasure:
    return CannotMeasure("intake", code, found=found, needed=needed, remedy=remedy)
