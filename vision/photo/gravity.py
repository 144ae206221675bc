"""Which way is down, as some phones write it into their maker note, read with limits on every offset.

The format is nowhere stated by the maker. What is used here is public in ExifTool's list of tags (tag 0x0008: three signed
rationals, "XYZ coordinates of the acceleration vector in units of g"): a header of ten letters and two bytes of version, the
byte order MM or II, a 16-bit count, and entries of twelve bytes as in TIFF 6.0, whose offsets count from the start of the note.
How its axes lie to the picture (down = -y, -x, -z of what is written, in the frame of the sensor's rows) was tried on photos of
four phones, back camera, stored upright (orientation 1) and on their side (6); other orientations follow from these by turning.
"""

from __future__ import annotations

import math
import struct

Vector = tuple[float, float, float]
HEADER = b"Apple iOS\x00"
ENTRIES_AT = 14
"""bytes; header, version, byte order; the count stands here"""
TAG, SIGNED_RATIONAL = 0x0008, 10
MOST_ENTRIES = 200
"""notes have some forty"""
TURNS = {1: (1, 0, 0, 1), 3: (-1, 0, 0, -1), 6: (0, -1, 1, 0), 8: (0, 1, -1, 0)}
"""by EXIF orientation the rotation (row by row) from the sensor's to the upright picture's x and y; mirrored ones are left out"""


def acceleration(note: bytes) -> Vector | None:
    """The acceleration vector (g) as written in a maker note; None where there is none or the note is broken."""
    if not note.startswith(HEADER) or len(note) < ENTRIES_AT + 2:
        return None
    order = {b"MM": ">", b"II": "<"}.get(note[12:14])
    if order is None:
        return None
    (count,) = struct.unpack_from(f"{order}H", note, ENTRIES_AT)
    for k in range(min(count, MOST_ENTRIES)):
        at = ENTRIES_AT + 2 + 12 * k
        if at + 12 > len(note):
            return None
        tag, kind, number, offset = struct.unpack_from(f"{order}HHII", note, at)
        if tag == TAG:
            return _rationals(note, order, offset) if (kind, number) == (SIGNED_RATIONAL, 3) else None
    return None


def _rationals(note: bytes, order: str, offset: int) -> Vector | None:
    if offset + 24 > len(note):
        return None
    a, b, c, d, e, f = struct.unpack_from(f"{order}6i", note, offset)
    return (a / b, c / d, e / f) if b and d and f else None


def down_in_picture(note: bytes, orientation: int, *, tolerance: float) -> Vector | None:
    """Unit vector down in the upright picture's camera frame (x right, y down, z forward).

    None without one, where its length is more than `tolerance` off 1 g (the hand moved), and where the picture so turned would
    hang sideways or head down (another camera of the phone, or a picture turned by hand).
    """
    felt, turn = acceleration(note), TURNS.get(orientation)
    if felt is None or turn is None:
        return None
    size = math.sqrt(sum(v * v for v in felt))
    if abs(size - 1) > tolerance:
        return None
    x, y, z = -felt[1] / size, -felt[0] / size, -felt[2] / size
    down = (turn[0] * x + turn[1] * y, turn[2] * x + turn[3] * y, z)
    return down if down[1] > abs(down[0]) else None
