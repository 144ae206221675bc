"""Lamps and daylight of a small bathroom, all out of the picture."""

from __future__ import annotations

from .opening import Opening
from .room import Lamp

RGB = tuple[float, float, float]
WARM: RGB = (1.0, 0.86, 0.68)
DAY: RGB = (1.0, 0.97, 0.92)
COOL: RGB = (0.82, 0.92, 1.0)


def lamps(
    opening: Opening,
    ceiling: float,
    room_rgb: RGB = DAY,
    alcove_rgb: RGB = WARM,
    strength: tuple[float, float] = (9.0, 16.0),
) -> tuple[Lamp, ...]:
    """Two panels in the room's ceiling and a smaller one over the alcove; the ceiling is given above the curb."""
    middle, top = opening.width_mm / 2, ceiling - 4.0
    room = tuple(strength[0] * c for c in room_rgb)
    alcove = tuple(strength[1] * c for c in alcove_rgb)
    return (
        Lamp((middle - 500, top, 1500), (0, -1, 0), (420, 420), room),
        Lamp((middle + 600, top, 1900), (0, -1, 0), (420, 420), room),
        Lamp((middle + 60, top, -560), (0, -1, 0), (260, 260), alcove),
    )


def window(x: float, facing: int, rgb: RGB = COOL, strength: float = 3.0, z: float = 2300.0) -> Lamp:
    """Daylight from a side wall of the room; facing +1 shines to the right."""
    return Lamp((x, 1350, z), (facing, 0, 0), (1000, 1100), tuple(strength * c for c in rgb))
