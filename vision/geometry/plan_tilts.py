"""Would a photo that is not taken yet leave open which way the wall is tilted: asked of the check's own test."""

from __future__ import annotations

from vision.errors import CannotMeasure
from vision.geometry.consistency import require_one_tilt
from vision.geometry.plan import PlannedShot, solved
from vision.settings import Settings


def both_tilts(shot: PlannedShot, settings: Settings) -> str | None:
    """What the check would find, where the mirrored tilt fits exact edges so well that it would refuse the photo; else None.

    Real edges have errors, so with some luck a photo that is warned of here is measured, and with bad luck another one is not.
    Raises BadInput as `vision.geometry.plan.expect`.
    """
    photo, assembly, solution = solved(shot, settings)
    try:
        require_one_tilt([photo], assembly, solution)
    except CannotMeasure as problem:
        return problem.found
    return None
