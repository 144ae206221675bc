"""Bytes of a photo file -> an upright picture, or a refusal that says why. Files are made here with Pillow and pillow-heif."""

from __future__ import annotations

import io
import struct
import time
import tracemalloc
import zlib
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pillow_heif
import pytest
from numpy.typing import NDArray
from PIL import Image, features

from vision.errors import CannotMeasure
from vision.photo.intake import Photo, read_photo, read_reduced
from vision.photo.provenance import read_provenance
from vision.settings import IntakeSettings

pillow_heif.register_heif_opener()
SETTINGS = IntakeSettings()
HEIGHT, WIDTH = 360, 600
SAMPLE = Path(__file__).resolve().parents[2] / "sample_images" / "room3_sheet_beside.jpg"
ORIENTATION = 0x0112
CODES_OFF = 10
"""codes; what a good JPEG, WebP or HEIC may change in patches of one colour"""


def scene() -> NDArray[np.uint8]:
    """Four different quarters, wider than high: any turn or mirror shows."""
    quarters = np.array([[(230, 40, 40), (40, 200, 60)], [(50, 60, 220), (220, 220, 210)]], dtype=np.uint8)
    return quarters.repeat(HEIGHT // 2, axis=0).repeat(WIDTH // 2, axis=1)


def written(image: Image.Image, kind: str, **options: object) -> bytes:
    out = io.BytesIO()
    image.save(out, kind, **options)
    return out.getvalue()


def read(data: bytes, settings: IntakeSettings = SETTINGS) -> Photo:
    return read_photo("room3.jpg", data, settings)


def refusal(data: bytes, settings: IntakeSettings = SETTINGS) -> CannotMeasure:
    with pytest.raises(CannotMeasure) as refused:
        read(data, settings)
    return refused.value


def assert_is_scene(photo: Photo, off: int = CODES_OFF) -> None:
    """The middles of the quarters have their colours."""
    assert photo.pixels.dtype == np.uint8
    assert photo.pixels.shape == (HEIGHT, WIDTH, 3)
    for y, x in ((90, 150), (90, 450), (270, 150), (270, 450)):
        assert np.abs(photo.pixels[y, x].astype(int) - scene()[y, x].astype(int)).max() <= off


WRITTEN = [
    ("JPEG", {"quality": 95}), ("PNG", {}), ("WEBP", {"quality": 95}), ("WEBP", {"lossless": True}), ("HEIF", {"quality": 95}),
]  # fmt: skip


@pytest.mark.parametrize(("kind", "options"), WRITTEN)
def test_what_phones_and_browsers_write_is_read(kind: str, options: dict[str, object]) -> None:
    """JPEG, PNG, WebP and HEIC."""
    assert_is_scene(read(written(Image.fromarray(scene()), kind, **options)))


def as_stored(orientation: int) -> Image.Image:
    """The scene as a camera stores it that says it must be turned like this to be upright (EXIF 2.3, tag 274)."""
    undo = {
        1: None, 2: Image.Transpose.FLIP_LEFT_RIGHT, 3: Image.Transpose.ROTATE_180, 4: Image.Transpose.FLIP_TOP_BOTTOM,
        5: Image.Transpose.TRANSPOSE, 6: Image.Transpose.ROTATE_90, 7: Image.Transpose.TRANSVERSE, 8: Image.Transpose.ROTATE_270,
    }[orientation]  # fmt: skip
    image = Image.fromarray(scene())
    return image if undo is None else image.transpose(undo)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "HEIF"])
@pytest.mark.parametrize("orientation", range(1, 9))
def test_every_orientation_gives_the_same_upright_picture(kind: str, orientation: int) -> None:
    """All eight values of the tag, in every format, end as one picture."""
    exif = Image.Exif()
    exif[ORIENTATION] = orientation
    options = {} if kind == "PNG" else {"quality": 95}
    assert_is_scene(read(written(as_stored(orientation), kind, exif=exif.tobytes(), **options)))


@pytest.mark.parametrize("mode", ["L", "CMYK", "P", "RGBA", "LA", "1"])
def test_other_kinds_of_pixels_become_rgb(mode: str) -> None:
    """Grey, four-colour print, palette, with transparency, black and white."""
    image = Image.fromarray(scene()).convert(mode)
    kind = "JPEG" if mode == "CMYK" else "PNG"
    photo = read(written(image, kind))
    assert photo.pixels.shape == (HEIGHT, WIDTH, 3)
    assert photo.pixels.dtype == np.uint8
    expected = np.asarray(image.convert("RGB")).astype(int)
    assert np.abs(photo.pixels.astype(int) - expected).max() <= (60 if mode == "CMYK" else 0)
    assert photo.pixels.std() > 20


def test_sixteen_bits_are_scaled_and_not_cut_off() -> None:
    """A 16-bit grey ramp becomes an 8-bit one."""
    ramp = np.tile(np.linspace(0, 65535, 256).astype(np.uint16), (600, 1))
    photo = read(written(Image.fromarray(ramp), "PNG"))
    assert np.abs(photo.pixels[300, :, 1].astype(int) - np.arange(256)).max() <= 1


def test_a_dark_sixteen_bit_picture_stays_dark() -> None:
    """Its codes are out of 65535, however small they are."""
    photo = read(written(Image.fromarray(np.full((400, 600), 200, dtype=np.uint16)), "PNG"))
    assert photo.pixels.max() <= 1


def test_the_photo_keeps_its_name_and_a_fingerprint() -> None:
    """Same bytes, same sha-256; other bytes, another."""
    data = written(Image.fromarray(scene()), "PNG")
    assert read(data).name == "room3.jpg"
    assert read(data).sha256 == read(data).sha256
    assert len(read(data).sha256) == 64
    assert read(written(Image.fromarray(255 - scene()), "PNG")).sha256 != read(data).sha256


def test_width_and_height_are_those_of_the_upright_picture() -> None:
    """A turned file says so."""
    exif = Image.Exif()
    exif[ORIENTATION] = 6
    photo = read(written(Image.fromarray(scene()), "JPEG", exif=exif.tobytes()))
    assert (photo.width, photo.height) == (HEIGHT, WIDTH)


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"not a picture",
        b"\xff\xd8\xff",
        b"\x89PNG\r\n\x1a\n",
        b"RIFF\x00\x00\x00\x00WEBP",
        b"\x00" * 4096,
        b"GIF89a" + b"\x00" * 40,
    ],
    ids=["empty", "text", "start of a JPEG", "start of a PNG", "start of a WebP", "zeros", "start of a GIF"],
)
def test_what_is_no_picture_is_refused(data: bytes) -> None:
    """not-an-image, naming the file, with what to send instead."""
    refused = refusal(data)
    assert (refused.stage, refused.code) == ("intake", "not-an-image")
    assert "room3.jpg" in refused.found
    assert refused.remedy


@pytest.mark.parametrize("kind", ["GIF", "BMP", "TIFF", "PPM", "ICO"])
def test_formats_that_no_phone_writes_do_not_reach_a_decoder(kind: str) -> None:
    """Sound pictures, but of formats that are not on the list."""
    assert refusal(written(Image.fromarray(scene()), kind)).code == "not-an-image"


@pytest.mark.parametrize("kind", ["GIF", "BMP", "TIFF", "AVIF", "JPEG2000", "PDF"])
@pytest.mark.parametrize("reader", [refusal, lambda data: _provenance_refusal(data)], ids=["check", "screening"])
def test_a_sound_picture_of_another_format_is_called_by_its_name(kind: str, reader: Callable[[bytes], CannotMeasure]) -> None:
    """What it is, what is taken, and how to make the one from the other; not that it would not decode."""
    if not features.check("avif") and kind == "AVIF":
        pytest.skip("needs a Pillow with AVIF")
    refused = reader(written(Image.fromarray(scene()), kind))
    assert {"JPEG2000": "JPEG 2000"}.get(kind, kind) in refused.found
    assert "JPEG, PNG, WebP" in refused.needed
    assert "save it as JPEG" in refused.remedy


def _provenance_refusal(data: bytes) -> CannotMeasure:
    with pytest.raises(CannotMeasure) as refused:
        read_provenance("room3.jpg", data)
    return refused.value


@pytest.mark.parametrize("data", [b"text", b"\x89PNG\r\n\x1a\n", b"BM"])
def test_a_refusal_names_no_class_of_a_library(data: bytes) -> None:
    """Nor words that only its authors know."""
    for refused in (refusal(data), _provenance_refusal(data)):
        assert "Error" not in refused.found
        assert "DOS" not in refused.found


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "HEIF"])
def test_a_file_that_was_cut_off_is_refused(kind: str) -> None:
    """Half of its bytes are not half of a picture."""
    noise = np.random.default_rng(1).integers(0, 256, (480, 640, 3), dtype=np.uint8)
    data = written(Image.fromarray(noise), kind)
    assert refusal(data[: len(data) // 2]).code == "not-an-image"


def test_too_many_bytes_are_refused_unread() -> None:
    """By their number alone, of which is said only that it is more than the limit: the rest has not been read."""
    refused = refusal(b"x" * 1001, IntakeSettings(max_bytes=1000))
    assert (refused.stage, refused.code) == ("intake", "too-large")
    assert refused.found == "room3.jpg: more than 0.001 MB"
    assert refused.needed == "at most 0.001 MB"


def test_as_many_bytes_as_allowed_are_read() -> None:
    """The limit itself is inside."""
    data = written(Image.fromarray(scene()), "PNG")
    assert_is_scene(read(data, IntakeSettings(max_bytes=len(data))))


def png_header(width: int, height: int) -> bytes:
    """A PNG that claims this size and holds next to nothing (PNG specification, 5: signature, IHDR, IDAT, IEND)."""

    def chunk(name: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))

    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", zlib.compress(b"\0" * 1000)) + chunk(b"IEND", b"")


@pytest.mark.parametrize(("width", "height"), [(30_000, 30_000), (8_000, 8_000), (2**31 - 1, 2**31 - 1), (60_000_001, 1)])
def test_a_header_that_claims_too_many_pixels_is_refused_before_decoding(width: int, height: int) -> None:
    """A few hundred bytes that would become gigabytes: refused at once and without the memory."""
    tracemalloc.start()
    started = time.perf_counter()
    refused = refusal(png_header(width, height))
    took, peak = time.perf_counter() - started, tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert refused.code == "too-large"
    assert "decompression" not in refused.found
    assert took < 0.5
    assert peak < 5_000_000


def test_a_chunk_that_claims_to_be_huge_is_refused() -> None:
    """A length field of two gigabytes in a file of forty bytes (ECOSYSTEM.md 0.2) costs nothing."""
    data = png_header(640, 640)
    at = data.index(b"IDAT") - 4
    tracemalloc.start()
    assert refusal(data[:at] + struct.pack(">I", 2**31 - 1) + data[at + 4 : at + 20]).code == "not-an-image"
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < 5_000_000


def mutants(data: bytes, count: int, seed: int) -> list[bytes]:
    """Bytes flipped, cut out, repeated and cut off, from a seed; more often near the front, where the structure is."""
    rng, out = np.random.default_rng(seed), []
    for _ in range(count):
        changed = bytearray(data)
        for _ in range(int(rng.integers(1, 8))):
            at = int(len(changed) * rng.uniform() ** 3)
            what = int(rng.integers(4))
            if what == 0 and changed:
                changed[min(at, len(changed) - 1)] = int(rng.integers(256))
            elif what == 1:
                del changed[at : at + int(rng.integers(1, 40))]
            elif what == 2:
                changed[at:at] = changed[at : at + int(rng.integers(1, 40))]
            else:
                changed[at : at + 4] = rng.choice([b"\xff\xff\xff\xff", b"\x00\x00\x00\x00", b"\x7f\xff\xff\xff"])
        out.append(bytes(changed[: int(rng.integers(1, len(changed) + 2))] if rng.uniform() < 0.2 else changed))
    return out


def assert_read_or_refused(data: bytes) -> None:
    """Any other exception fails the test by itself."""
    try:
        photo = read(data)
    except CannotMeasure as problem:
        photo, code = None, problem.code
    assert photo is None or photo.pixels.shape == (photo.height, photo.width, 3)
    assert photo is not None or code in ("not-an-image", "too-large")


def test_damaged_jpegs_of_a_sample_are_read_or_refused() -> None:
    """Three hundred seeded mutants of one of our own photos, made small with its metadata: no other error ever comes out."""
    if not SAMPLE.exists():
        pytest.skip("the sample photo is not in this checkout")
    with Image.open(SAMPLE) as image:
        data = written(image.resize((378, 504)), "JPEG", quality=90, exif=image.getexif().tobytes())
    for mutant in mutants(data, 300, seed=1):
        assert_read_or_refused(mutant)


@pytest.mark.parametrize("kind", ["PNG", "WEBP", "HEIF"])
def test_damaged_files_of_other_formats_are_read_or_refused(kind: str) -> None:
    """Three hundred of each."""
    exif = Image.Exif()
    exif[ORIENTATION] = 6
    data = written(Image.fromarray(scene()), kind, exif=exif.tobytes())
    for mutant in mutants(data, 300, seed=2):
        assert_read_or_refused(mutant)


def test_a_jpeg_that_lost_bytes_on_the_way_is_refused() -> None:
    """Its rows are moved and its end is missing, so a size taken from it would be wrong; at full and at reduced scale."""
    data = SAMPLE.read_bytes()
    short = data[: len(data) // 3] + data[len(data) // 3 + 5000 :]

    assert refusal(short).code == "not-an-image"
    assert "breaks off" in refusal(short).found
    with pytest.raises(CannotMeasure, match="breaks off"):
        read_reduced("room3.jpg", short, SETTINGS, 1008)


def test_an_even_grey_picture_is_whole() -> None:
    """The grey of missing data is no sign of them where the whole picture has it."""
    assert read(written(Image.new("RGB", (300, 200), (128, 128, 128)), "JPEG")).width == 300


@pytest.mark.parametrize(("kind", "factor"), [("JPEG", 4.0), ("PNG", 4.0), ("WEBP", 4.0)])
def test_a_reduced_picture_is_the_full_one_made_smaller(kind: str, factor: float) -> None:
    """Upright, whatever the format; points go to the full picture and back."""
    exif = Image.Exif()
    exif[ORIENTATION] = 6
    small = read_reduced("a", written(Image.fromarray(scene()), kind, exif=exif), SETTINGS, 150)
    full = read(written(Image.fromarray(scene()), kind, exif=exif))

    assert (small.factor, small.size_px) == (factor, (full.width, full.height))
    corner = np.array([[0.0, 0.0]])
    assert small.at_full_size(corner) == pytest.approx(np.full((1, 2), factor / 2 - 0.5))
    assert small.reduced(small.at_full_size(corner)) == pytest.approx(corner)
    y, x = small.photo.height // 4, small.photo.width // 4
    # the middle of a quarter of one colour; what a good JPEG or WebP may change
    assert small.photo.pixels[y, x] == pytest.approx(full.pixels[full.height // 4, full.width // 4], abs=CODES_OFF)
