"""The 35 mm equivalent focal length and the signs of cropping (CIPA DC-008, tags 0xA405, 0xA002, 0xA003)."""

from __future__ import annotations

import io

import numpy as np
import pillow_heif
import pytest
from PIL import Image
from PIL.TiffImagePlugin import IFDRational

from vision.photo.intake import read_photo
from vision.photo.metadata import EXIF_IFD, TAG_FOCAL_35MM, TAG_PIXEL_X, TAG_PIXEL_Y, Metadata, read_metadata
from vision.settings import IntakeSettings

pillow_heif.register_heif_opener()
DIGITAL_ZOOM, FOCAL = 0xA404, 0x920A
WIDTH, HEIGHT = 640, 480


def data(
    tags: dict[int, object] | None, kind: str = "JPEG", size: tuple[int, int] = (WIDTH, HEIGHT), orientation: int = 1
) -> bytes:
    """A picture with these tags in its EXIF part; None for no metadata at all."""
    image, out = Image.fromarray(np.full((size[1], size[0], 3), 128, dtype=np.uint8)), io.BytesIO()
    if tags is None:
        image.save(out, kind)
        return out.getvalue()
    exif = Image.Exif()
    exif[0x0112] = orientation
    exif.get_ifd(EXIF_IFD).update(tags)
    image.save(out, kind, exif=exif.tobytes())
    return out.getvalue()


def metadata(tags: dict[int, object] | None, kind: str = "JPEG", size: tuple[int, int] = (WIDTH, HEIGHT)) -> Metadata:
    with Image.open(io.BytesIO(data(tags, kind, size))) as image:
        return read_metadata(image)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "HEIF"])
def test_the_focal_length_is_read(kind: str) -> None:
    """In every format that carries EXIF."""
    assert metadata({TAG_FOCAL_35MM: 26}, kind).focal_35mm == 26.0


def test_it_reaches_the_photo() -> None:
    """Through intake, also of a turned picture."""
    photo = read_photo("room3.jpg", data({TAG_FOCAL_35MM: 26}, orientation=6), IntakeSettings())
    assert photo.focal_35mm == 26.0
    assert (photo.width, photo.height) == (HEIGHT, WIDTH)


def test_no_metadata_is_a_normal_case() -> None:
    """Nothing is known, and nothing is wrong."""
    assert metadata(None) == Metadata(None, False, False)


def test_other_metadata_without_the_field_says_nothing() -> None:
    """The true focal length alone does not tell the angle of view."""
    assert metadata({FOCAL: IFDRational(415, 100)}).focal_35mm is None


@pytest.mark.parametrize("value", [0, 1, 7, 201, 6062, 65535])
def test_absurd_values_are_not_believed(value: int) -> None:
    """Some cameras write 0 or thousands (METROLOGY.md 2.2: 6062 to 65535 seen)."""
    assert metadata({TAG_FOCAL_35MM: value}).focal_35mm is None


@pytest.mark.parametrize("value", [13, 24, 26, 52, 77, 120])
def test_lenses_of_phones_are_believed(value: int) -> None:
    """Wide, main and long."""
    assert metadata({TAG_FOCAL_35MM: value}).focal_35mm == float(value)


def test_digital_zoom_is_inside_the_field_already() -> None:
    """57 mm with a zoom ratio of 1.971 is 57 mm (ECOSYSTEM.md 1.3: 29 x 1.971 = 57)."""
    assert metadata({TAG_FOCAL_35MM: 57, DIGITAL_ZOOM: IFDRational(1971, 1000)}).focal_35mm == 57.0


@pytest.mark.parametrize("stored", [(640, 480), (480, 640)])
def test_the_size_as_taken_is_the_size_as_stored(stored: tuple[int, int]) -> None:
    """Whichever way round the writer put it."""
    assert metadata({TAG_FOCAL_35MM: 26, TAG_PIXEL_X: stored[0], TAG_PIXEL_Y: stored[1]}) == Metadata(26.0, False, False)


@pytest.mark.parametrize("stored", [(4032, 3024), (3024, 4032), (1280, 960)])
def test_a_resized_picture_keeps_its_angle_of_view(stored: tuple[int, int]) -> None:
    """Same ratio of sides, fewer pixels."""
    assert metadata({TAG_FOCAL_35MM: 26, TAG_PIXEL_X: stored[0], TAG_PIXEL_Y: stored[1]}) == Metadata(26.0, False, True)


@pytest.mark.parametrize("size", [(640, 400), (500, 480), (480, 480)])
def test_a_cropped_picture_has_lost_it(size: tuple[int, int]) -> None:
    """Another ratio of sides: the angle of view is not known any more."""
    assert metadata({TAG_FOCAL_35MM: 26, TAG_PIXEL_X: 640, TAG_PIXEL_Y: 480}, size=size) == Metadata(None, True, False)


def test_the_photo_says_that_it_was_cropped() -> None:
    """So that a later stage can."""
    cropped = data({TAG_FOCAL_35MM: 26, TAG_PIXEL_X: 4032, TAG_PIXEL_Y: 3024}, size=(640, 400))
    assert read_photo("room3.jpg", cropped, IntakeSettings()).cropped


@pytest.mark.parametrize("value", ["26", "twenty-six", (26, 28), b"\x00\x1a"])
def test_a_field_of_another_type_does_no_harm(value: object) -> None:
    """A text or a pair where a number belongs: read if it is one, else absent."""
    exif = Image.Exif()
    exif.get_ifd(EXIF_IFD)[TAG_FOCAL_35MM] = value
    image = Image.new("RGB", (WIDTH, HEIGHT))
    image.getexif = lambda: exif  # type: ignore[method-assign]
    assert read_metadata(image).focal_35mm in (None, 26.0)


def test_a_division_by_nothing_does_no_harm() -> None:
    """0/0 in a size field."""
    exif = Image.Exif()
    exif.get_ifd(EXIF_IFD).update({TAG_FOCAL_35MM: IFDRational(26, 1), TAG_PIXEL_X: IFDRational(0, 0), TAG_PIXEL_Y: 480})
    image = Image.new("RGB", (WIDTH, HEIGHT))
    image.getexif = lambda: exif  # type: ignore[method-assign]
    assert read_metadata(image) == Metadata(26.0, False, False)


def test_a_broken_block_is_the_same_as_none() -> None:
    """EXIF that does not parse leaves the picture readable."""
    sound = data({TAG_FOCAL_35MM: 26})
    at = sound.index(b"Exif\0\0") + 6
    photo = read_photo("room3.jpg", sound[:at] + b"\xff" * 16 + sound[at + 16 :], IntakeSettings())
    assert photo.focal_35mm is None
    assert photo.pixels.shape == (HEIGHT, WIDTH, 3)
