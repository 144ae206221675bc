"""Photos that are given more than once: a copy is no second witness."""

from __future__ import annotations

from collections.abc import Sequence

from vision.errors import Finding

ONCE = "Give each photo once; a second witness is another photo of the same opening, taken from another place."


def once_each(photos: Sequence[tuple[str, bytes]]) -> tuple[list[tuple[int, str, bytes]], list[Finding]]:
    """Each photo (name, bytes) once, with its number (from 1) among all that were given; and what is said of the copies."""
    first: dict[bytes, int] = {}
    out, again = [], []
    for number, (name, data) in enumerate(photos, start=1):
        if data in first:
            fact = f"Photo {number} ({name}) is the same file as photo {first[data]}; it tells nothing more and counts once."
            again.append(Finding("no-second-witness", fact, ONCE))
        else:
            first[data] = number
            out.append((number, name, data))
    return out, again
