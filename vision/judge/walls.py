"""What is known of the walls, and by which witness: the photo where it has a vertical, else plumb readings that close."""

from __future__ import annotations

from vision.gaussian import Gaussian
from vision.judge.closure import Closure
from vision.judge.figure import BOWS, LEANS


def known_walls(photo: Gaussian | None, closure: Closure) -> Gaussian | None:
    """Leans, taper, rack and level of the curb (mm/m), bows and widths (mm): all of one witness.

    `photo` is what the photo gives to the outside. Without a vertical in it the tape's figure counts, if it has both leans and
    closes; a bow that only the photo saw is added to it.
    """
    figure = closure.figure
    if figure is None or not from_tape(photo, closure):
        return photo
    seen = [] if photo is None else [name for name in BOWS if name in photo.names and name not in figure.names]
    return figure if photo is None or not seen else figure.joined(photo.select(seen))


def from_tape(photo: Gaussian | None, closure: Closure) -> bool:
    """Whether the leans are the tape's: the photo has none, and the readings have both and do not contradict one another."""
    if photo is not None and set(LEANS) <= set(photo.names):
        return False
    return closure.figure is not None and not closure.findings and set(LEANS) <= set(closure.figure.names)
