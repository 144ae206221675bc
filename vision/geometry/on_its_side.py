"""Whether a picture lies on its side: turned by a quarter it shows the opening clearly, as it is it does not."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from vision.geometry.trace import Outline, trace
from vision.photo.intake import Photo
from vision.settings import Settings

Array = NDArray[np.float64]
TURNS = (1, 3)
"""quarters to the left by which a picture is turned"""
LYING = "whether the picture lies on its side: turned by a quarter it shows the opening more clearly"
CLEARER = 0.2
"""by which the outline of the turned picture must be surer, which is above the limit besides (at a limit of 0.6, by the network
before the present one). Of 53 rendered portrait photos
without metadata, laid on either side, 51 of 106 are told (7 are accepted as they lie); of 31 landscape ones, 16 of them in doubt,
none"""


def outline_of(photo: Photo, number: int, marked: Array | None, *, has_head: bool, settings: Settings) -> Outline:
    """The corners as marked, or as the program finds them."""
    if marked is not None:
        return Outline(number, "person", marked)
    return found_upright(photo, number, has_head=has_head, settings=settings)


def found_upright(photo: Photo, number: int, *, has_head: bool, settings: Settings) -> Outline:
    """The outline as the program finds it; where that is in doubt and the file does not say how the camera was held, with the
    doubt whether the picture lies on its side."""
    found = trace(photo, number, has_head=has_head, settings=settings)
    untold = photo.focal_35mm is None and photo.down is None
    if found.corners_px is not None or not untold or photo.width <= photo.height:
        return found
    surest = 0.0
    for quarters in TURNS:
        turned = replace(photo, pixels=np.ascontiguousarray(np.rot90(photo.pixels, quarters)))
        other = trace(turned, number, has_head=has_head, settings=settings)
        if other.corners_px is not None:
            surest = max(surest, other.confidence or 0.0)
    if surest < (found.confidence or 0.0) + CLEARER:
        return found
    return replace(found, doubt=LYING, lies=True)
