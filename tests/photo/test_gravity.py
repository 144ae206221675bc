"""Gravity in a maker note, from bytes made here after ExifTool's list of tags (0x0008: three signed rationals, in g)."""

from __future__ import annotations

import math
import struct

import numpy as np
import pytest

from tests.photo.test_metadata import data
from tests.tolerances import EXACT
from vision.photo.gravity import TAG, acceleration, down_in_picture
from vision.photo.intake import read_photo
from vision.photo.metadata import TAG_LENS_MODEL, TAG_MAKER_NOTE, TAG_PIXEL_X, TAG_PIXEL_Y
from vision.settings import IntakeSettings

TOLERANCE = IntakeSettings().gravity_tolerance
UPRIGHT = (0.005, -0.991, -0.153)
"""g; as a phone held upright and pointed a little down writes it, picture stored on its side (orientation 6)"""
ON_ITS_SIDE = (-0.927, -0.078, 0.372)
"""g; as one held across and pointed up writes it, picture stored upright (orientation 1)"""


def note(
    vector: tuple[float, float, float] = UPRIGHT, order: str = "MM", *, kind: int = 10, number: int = 3, tag: int = TAG
) -> bytes:
    """A maker note with one entry before ours; the three rationals stand at its end."""
    e = ">" if order == "MM" else "<"
    at = 14 + 2 + 2 * 12 + 4
    entries = struct.pack(f"{e}HHIi", 1, 9, 1, 14) + struct.pack(f"{e}HHII", tag, kind, number, at)
    values = b"".join(struct.pack(f"{e}ii", round(v * 100000), 100000) for v in vector)
    return b"Apple iOS\0\0\1" + order.encode() + struct.pack(f"{e}H", 2) + entries + bytes(4) + values


@pytest.mark.parametrize("order", ["MM", "II"])
def test_the_vector_is_read_in_either_byte_order(order: str) -> None:
    """Offsets count from the start of the note."""
    assert acceleration(note(order=order)) == pytest.approx(UPRIGHT, abs=EXACT)


def test_a_phone_held_upright_has_down_below() -> None:
    """Turned by orientation 6: y is down, and a camera pointed down a little sees down ahead of it."""
    x, y, z = down_in_picture(note(), 6, tolerance=TOLERANCE) or (0, 0, 0)
    size = math.sqrt(sum(v * v for v in UPRIGHT))
    assert (x, y, z) == pytest.approx((0.005 / size, 0.991 / size, 0.153 / size), abs=EXACT)


def test_a_phone_held_across_has_down_below_too() -> None:
    """Orientation 1: the long side lies across, and the camera pointed up."""
    x, y, z = down_in_picture(note(ON_ITS_SIDE), 1, tolerance=TOLERANCE) or (0, 0, 0)
    size = math.sqrt(sum(v * v for v in ON_ITS_SIDE))
    assert (x, y, z) == pytest.approx((0.078 / size, 0.927 / size, -0.372 / size), abs=EXACT)


@pytest.mark.parametrize(("orientation", "vector"), [(3, (0.927, 0.078, 0.372)), (8, (-0.005, 0.991, -0.153))])
def test_a_phone_held_the_other_way_round_has_down_below(orientation: int, vector: tuple[float, float, float]) -> None:
    """Half a turn of the phone and of the picture cancel."""
    _, y, _ = down_in_picture(note(vector), orientation, tolerance=TOLERANCE) or (0, 0, 0)
    assert y > 0.9


@pytest.mark.parametrize(
    ("broken", "why"),
    [
        (b"", "no note"),
        (b"Somebody else" + note()[13:], "another maker's"),
        (note()[:40], "cut before its values"),
        (note()[:20], "cut within an entry"),
        (note(kind=5), "not signed"),
        (note(number=2), "two numbers"),
        (note(tag=9), "no such tag"),
        (note()[:12] + b"XX" + note()[14:], "no byte order"),
        (note()[:-4] + bytes(4), "a fraction over nothing"),
        (note()[:14] + b"\xff\xff", "more entries than bytes"),
        (note((0.0, -1.2, 0.0)), "a hand that moved"),
        (note((0.9, 0.43, 0.0)), "a picture that would hang sideways"),
    ],
)
def test_a_note_that_cannot_be_trusted_is_the_same_as_none(broken: bytes, why: str) -> None:
    """Nothing is guessed, and nothing is raised."""
    assert down_in_picture(broken, 6, tolerance=TOLERANCE) is None, why


def test_any_bytes_are_read_without_a_fault() -> None:
    """A thousand notes with random bytes in them, and every cut of a sound one."""
    rng = np.random.default_rng(3)
    for _ in range(1000):
        some = bytearray(note())
        for k in rng.integers(0, len(some), 6):
            some[k] = rng.integers(0, 256)
        down_in_picture(bytes(some), 6, tolerance=TOLERANCE)
    assert [acceleration(note()[:n]) for n in range(len(note()))] == [None] * len(note())


def test_a_photo_carries_it() -> None:
    """Read from a whole JPEG; not from a crop, whose middle is another's, nor from the camera on the screen's side."""

    def down(**tags: object) -> tuple[float, float, float] | None:
        known = {"note": TAG_MAKER_NOTE, "lens": TAG_LENS_MODEL, "x": TAG_PIXEL_X, "y": TAG_PIXEL_Y}
        file = data({known[k]: v for k, v in tags.items()}, size=(64, 48), orientation=6)
        return read_photo("room3.jpg", file, IntakeSettings()).down

    assert down(note=note()) == pytest.approx(down_in_picture(note(), 6, tolerance=TOLERANCE), abs=EXACT)
    assert down() is None
    assert down(note=note(), lens="front camera 2.7mm f/2.2") is None
    assert down(note=note(), x=64, y=64) is None
