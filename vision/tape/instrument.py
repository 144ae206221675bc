"""What a tape can be trusted to, by the published limits of its class.

us         NIST Handbook 44, 5.52, metal tapes: 1/32 in to 6 ft, 1/16 in to 30 ft, 1/8 in to 55 ft
class-1..3 Directive 2014/32/EU Annex X (the same values in OIML R 35-1:2007): a + b L + c, in mm, L in metres rounded
           up to the next whole metre; c because an opening is read from the hook
"""

from __future__ import annotations

import math
from typing import Literal, cast, get_args

from vision.errors import BadInput
from vision.units import MM_PER_INCH as INCH

TapeClass = Literal["us", "class-1", "class-2", "class-3"]

FOOT = 12 * INCH

_US_STEPS = ((6 * FOOT, INCH / 32), (30 * FOOT, INCH / 16), (55 * FOOT, INCH / 8))
_CLASSES: dict[str, tuple[float, float, float]] = {
    "class-1": (0.1, 0.1, 0.1),
    "class-2": (0.3, 0.2, 0.2),
    "class-3": (0.6, 0.4, 0.3),
}
_CONTROL_LENGTH_MM = 2000.0
_EDGE_MM = 1e-6
"""mm; keeps a length that is exactly six feet or two metres on the near side of the step, whatever the rounding"""


def tape_class(name: str, *, where: str = "tape") -> TapeClass:
    """The class of this name; BadInput where there is none."""
    if name not in get_args(TapeClass):
        raise BadInput(where, repr(name), f"one of {', '.join(get_args(TapeClass))}", "state the class printed on the tape")
    return cast(TapeClass, name)


def tolerance_mm(tape: TapeClass, length_mm: float) -> float:
    """Largest permissible error (mm) of this class at this length, one end being the hook."""
    if tape == "us":
        for limit, tolerance in _US_STEPS:
            if length_mm <= limit + _EDGE_MM:
                return tolerance
        raise ValueError(f"no tolerance for {length_mm} mm")
    a, b, c = _CLASSES[tape]
    return a + b * math.ceil((length_mm - _EDGE_MM) / 1000.0) + c


def tape_sd_mm(tape: TapeClass, length_mm: float) -> float:
    """Standard deviation (mm): the error may be anywhere within the limit (rectangular, JCGM 100, 4.3.7)."""
    return tolerance_mm(tape, length_mm) / math.sqrt(3.0)


def control_scale_sd(tape: TapeClass) -> float:
    """Relative sd that a short control length takes over from the tape that measured it.

    The tape's error is taken as growing with the length: its limit at 2 m, per length, as rectangular.
    """
    return tape_sd_mm(tape, _CONTROL_LENGTH_MM) / _CONTROL_LENGTH_MM
