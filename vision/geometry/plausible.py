"""Is the scale one that a person with a phone can have seen? What is taken for a reference may be something else of its shape."""

from __future__ import annotations

from collections.abc import Sequence

from vision.errors import Finding
from vision.geometry.model import State
from vision.geometry.seen import SeenPhoto
from vision.names import cards_called

HIGHEST_MM = 2200.0
"""mm above the curb, which nobody holds a phone above (common practice, no source)"""


def held_too_high(photos: Sequence[SeenPhoto], state: State) -> list[Finding]:
    """A finding for each photo that would have been taken from higher above the curb than anybody reaches."""
    out = []
    for photo, camera in zip(photos, state.cameras, strict=True):
        height = float((-camera.R.T @ camera.t)[1])
        if height > HIGHEST_MM:
            cards = cards_called([c.number for c in photo.used]) if photo.used else "the cards of another photo"
            out.append(
                Finding(
                    "scale-in-doubt",
                    f"By {cards} {photo.look.name} was taken from {height / 1000:.1f} m above the curb, higher than a "
                    "phone is held: what was taken for a reference is probably something smaller, and all sizes are too large.",
                    "Look at the numbers in the picture: state what was put up and mark its corners with card-corners.",
                )
            )
    return out
