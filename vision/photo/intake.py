"""Bytes -> Photo: decoding behind limits, upright, with its metadata."""

from __future__ import annotations

import hashlib
import io
from dataclasses import dataclass, replace

import cv2
import numpy as np
import pillow_heif
from numpy.typing import NDArray
from PIL import Image, ImageOps

from vision.errors import CannotMeasure
from vision.photo.bars import NO_BARS, Bars, bars_of
from vision.photo.damage import broken_row
from vision.photo.formats import FORMATS, too_large, unreadable
from vision.photo.metadata import Metadata, read_metadata
from vision.settings import IntakeSettings

pillow_heif.register_heif_opener()
ORIENTATION = 274
"""tag of the EXIF orientation"""
TURNS = {
    1: (False, False, False),
    2: (False, True, False),
    3: (False, True, True),
    4: (False, False, True),
    5: (True, False, False),
    6: (True, True, False),
    7: (True, True, True),
    8: (True, False, True),
}
"""by orientation (EXIF 2.3, tag 274): rows and columns change places, then columns run from the right, rows from below"""
LARGER_ANYWAY = 1.25
"""ratio; a reduced picture that is larger than asked for by less than this is left as it is"""
MISSING_PX, GREY = (64, 8), 128
"""px wide and high at the lower right end of a picture as stored, four blocks of it; and the code of what was not in the file"""
BAND_ROWS = 64
"""rows that are turned at a time: under a megabyte at 12 MP"""


@dataclass(frozen=True)
class Photo:
    """An upright picture: `pixels` is uint8 RGB (sRGB encoded), shape (height, width, 3)."""

    name: str
    sha256: str
    pixels: NDArray[np.uint8]
    focal_35mm: float | None
    """35 mm equivalent focal length from the metadata, None without"""
    cropped: bool = False
    down: tuple[float, float, float] | None = None
    """gravity in the camera's frame (x right, y down, z forward, unit length) as the phone wrote it, None without"""
    bars: Bars = NO_BARS
    """what stands beside the photo in its picture"""

    @property
    def height(self) -> int:
        """Rows of the upright picture."""
        return int(self.pixels.shape[0])

    @property
    def width(self) -> int:
        """Columns of the upright picture."""
        return int(self.pixels.shape[1])


@dataclass(frozen=True)
class Reduced:
    """A photo at a fraction of its size: `photo` holds the small picture, one pixel of it is `factor` pixels of the file's.

    `full` is the photo at full size where decoding it could not be avoided (other formats than JPEG, small files).
    """

    photo: Photo
    factor: float
    full: Photo | None

    @property
    def size_px(self) -> tuple[int, int]:
        """Width and height of the upright picture at full size, to a pixel."""
        return round(self.photo.width * self.factor), round(self.photo.height * self.factor)

    def at_full_size(self, points_px: NDArray[np.float64]) -> NDArray[np.float64]:
        """Pixels (..., 2) of the full picture that are these of the small one; centres of pixels have whole numbers in both."""
        return (points_px + 0.5) * self.factor - 0.5

    def reduced(self, points_px: NDArray[np.float64]) -> NDArray[np.float64]:
        """The other way round."""
        return (points_px + 0.5) / self.factor - 0.5


def read_photo(name: str, data: bytes, settings: IntakeSettings) -> Photo:
    """Decode one photo, upright.

    JPEG, PNG, WebP and HEIC; the limits on bytes and pixels are checked before anything is decoded. Raises CannotMeasure
    with code too-large or not-an-image; whatever goes wrong inside a decoder ends as not-an-image.
    """
    return _decoded(name, data, settings, None)[0]


def require_large_enough(name: str, size_px: tuple[int, int], settings: IntakeSettings) -> None:
    """Refuse (too-small) a picture of this width and height in which no opening can be told."""
    if min(size_px) < settings.least_side_px:
        raise CannotMeasure(
            "intake",
            "too-small",
            found=f"{name}: {size_px[0]} x {size_px[1]} pixels",
            needed=f"at least {settings.least_side_px} pixels on the shorter side, better the 3000 of a phone's own file",
            remedy="send the photo in its full size, as a file or document, not a preview or a strip cut out of it",
        )


def read_reduced(name: str, data: bytes, settings: IntakeSettings, long_side_px: int) -> Reduced:
    """The photo at about `long_side_px`: JPEG is decoded at 1/2, 1/4 or 1/8 (DCT scaling, a third of the time), others whole.

    Raises as `read_photo`.
    """
    photo, size = _decoded(name, data, settings, long_side_px)
    factor = float(round(max(size) / max(photo.width, photo.height)))  # 1, 2, 4 or 8: sides that it does not divide are rounded
    full = photo if factor == 1.0 else None
    beyond = max(photo.width, photo.height) / long_side_px
    if beyond > LARGER_ANYWAY:
        wanted = (max(round(photo.width / beyond), 1), max(round(photo.height / beyond), 1))
        small = np.asarray(cv2.resize(photo.pixels, wanted, interpolation=cv2.INTER_AREA), dtype=np.uint8)
        photo = replace(photo, pixels=small)
        factor *= beyond
    return Reduced(photo, factor, full)


def _decoded(name: str, data: bytes, settings: IntakeSettings, long_side_px: int | None) -> tuple[Photo, tuple[int, int]]:
    """The photo, at the smallest scale of its decoder that is no smaller than asked for, and the size stored in the file."""
    if len(data) > settings.max_bytes:
        most = f"{settings.max_bytes / 1e6:.4g} MB"  # more has perhaps not been read at all, so how much there is is not known
        raise too_large(f"{name}: more than {most}", f"at most {most}")
    try:
        with Image.open(io.BytesIO(data), formats=list(FORMATS)) as image:
            width, height = image.size
            if width * height > settings.max_pixels:
                raise too_large(f"{name}: {width} x {height} pixels", f"at most {settings.max_pixels / 1e6:.0f} megapixels")
            metadata = read_metadata(image, settings.gravity_tolerance)
            if long_side_px is not None:
                wanted = max(max(width, height) // long_side_px, 1)
                image.draft(None, (max(width // wanted, 1), max(height // wanted, 1)))
            times = width // image.size[0]
            whole = _require_whole(name, image, times)
            pixels = _upright_rgb(image)
            if whole and times == 1 and image.mode == "RGB":
                _require_unbroken(name, _as_stored(pixels, image.getexif().get(ORIENTATION, 1)), _coarsest(image))
    except CannotMeasure:
        raise
    except Exception as problem:  # decoders raise whatever they like on hostile bytes; a list would never be complete
        raise unreadable(name, data, problem, settings.max_pixels) from problem
    return _photo(name, data, pixels, metadata), (width, height)


def _photo(name: str, data: bytes, pixels: NDArray[np.uint8], metadata: Metadata) -> Photo:
    """What the file says of the lens is not true of a picture with bars."""
    bars = bars_of(pixels)
    focal = None if bars else metadata.focal_35mm
    return Photo(name, hashlib.sha256(data).hexdigest(), pixels, focal, metadata.cropped, metadata.down, bars)


def _require_whole(name: str, image: Image.Image, times: int) -> bool:
    """Refuse a JPEG whose data end early: its decoder fills what is missing with an even grey of 128, and says nothing.

    Bytes that were lost on the way move all that follows to another place; what is measured in such a picture is wrong. `times`
    is how many times smaller than stored it has been decoded. False where it is no JPEG or too small to be asked.
    """
    wide, high = MISSING_PX[0] // times, MISSING_PX[1] // times
    width, height = image.size
    if image.format != "JPEG" or width < 2 * wide or height < 2 * high:
        return False
    image.load()
    boxes = (width - wide, height - high, width, height), (0, 0, wide, high)
    last, first = (np.asarray(image.crop(box)) == GREY for box in boxes)
    if last.all() and not first.all():
        raise _damaged(f"{name}: a picture that breaks off before its lower right end")
    return True


def _coarsest(image: Image.Image) -> float:
    """Codes to which a JPEG rounds the mean of a block: its coefficient is eight times that (T.81, A.3.3)."""
    tables = getattr(image, "quantization", None) or {0: [0]}
    return float(max(table[0] for table in tables.values())) / 8


def _require_unbroken(name: str, stored: NDArray[np.uint8], coarsest: float) -> None:
    """Refuse a picture (height, width, 3), as stored, with a break right across it or what it has between bars."""
    rows, columns = bars_of(stored, pairs=False).inner(*stored.shape[:2])
    if row := broken_row(stored[rows, columns], coarsest):
        where = f"{name}: a break right across the picture at row {rows.start + row}"
        raise _damaged(f"{where}, as where bytes were changed on the way or pictures were put together")


def _damaged(found: str) -> CannotMeasure:
    return CannotMeasure(
        "intake", "not-an-image", found=found, needed="the whole file", remedy="send the original photo file again"
    )


def _upright_rgb(image: Image.Image) -> NDArray[np.uint8]:
    """uint8 RGB with the EXIF orientation applied; 16-bit and float greys are scaled, not clipped."""
    if image.mode == "RGB":
        image.load()
        return _turned_in_bands(image, image.getexif().get(ORIENTATION, 1))
    upright = ImageOps.exif_transpose(image)
    if upright.mode.startswith(("I", "F")):
        grey = np.asarray(upright, dtype=np.float64)
        top = 65535.0 if upright.mode.startswith("I;16") or grey.max() > 255 else 255.0
        scaled = np.clip(grey / top * 255.0, 0, 255).astype(np.uint8)
        return np.repeat(scaled[..., None], 3, axis=2)
    return np.asarray(upright.convert("RGB"), dtype=np.uint8)


def _turned_in_bands(image: Image.Image, orientation: int) -> NDArray[np.uint8]:
    """The pixels upright. Each band is turned while it is in the processor's cache; whole pictures are not copied on the way."""
    swapped, from_right, from_below = TURNS.get(orientation, TURNS[1])
    width, height = image.size
    out = np.empty((width, height, 3) if swapped else (height, width, 3), dtype=np.uint8)
    for top in range(0, height, BAND_ROWS):
        bottom = min(top + BAND_ROWS, height)
        band = np.asarray(image.crop((0, top, width, bottom)))
        if swapped:
            band = np.asarray(cv2.transpose(band), dtype=np.uint8)
        if from_right or from_below:
            band = np.asarray(cv2.flip(band, -1 if from_right and from_below else int(from_right)), dtype=np.uint8)
        far = from_right if swapped else from_below
        place = slice(height - bottom, height - top) if far else slice(top, bottom)
        out[(slice(None), place) if swapped else place] = band
    return out


def _as_stored(upright: NDArray[np.uint8], orientation: int) -> NDArray[np.uint8]:
    """The upright pixels as the file has them; nothing is copied."""
    swapped, from_right, from_below = TURNS.get(orientation, TURNS[1])
    turned = upright[:: -1 if from_below else 1, :: -1 if from_right else 1]
    return turned.transpose(1, 0, 2) if swapped else turned
