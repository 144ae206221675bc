"""A height that is stated beside height readings under a head: the same length said twice, so it is held against them."""

from __future__ import annotations

from vision.errors import Finding
from vision.gaussian import Gaussian
from vision.judge.evidence import HEIGHTS
from vision.units import length_text

ROUNDING_MM = 1e-6
"""mm; an eighth that comes out of the arithmetic a hair larger is still an eighth"""


def height_findings(readings: Gaussian, height_mm: float | None, limit_mm: float, *, has_head: bool) -> tuple[Finding, ...]:
    """A finding where the stated height (mm) lies further than `limit_mm` from what both height readings (mm) leave open.

    Without a head the stated height is where the glass ends, and no reading need agree with it: then it is a note.
    """
    read = [readings.value(name) for name in HEIGHTS if name in readings.names]
    if height_mm is None or not read:
        return ()
    off = max(min(read) - height_mm, height_mm - max(read))
    if off <= limit_mm + ROUNDING_MM:
        return ()
    fact = f"the height is stated as {length_text(height_mm)} and read as {length_text(min(read))}"
    if max(read) - min(read) > ROUNDING_MM:
        fact += f" to {length_text(max(read))}"
    if not has_head:
        fact += f": {length_text(off)} apart; the photo's widths end at the stated one"
        ask = "Does the glass end at the stated height? If not, correct it; else nothing is to be done."
        return (Finding("readings-differ", fact, ask, holds=False),)
    remedy = "Correct the stated height, or leave it out: under a head the readings say it. Else measure both heights again."
    return (Finding("readings-differ", f"{fact}: {length_text(off)} apart", remedy),)
