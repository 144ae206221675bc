"""What the table says about the door line: which plane the sizes are those of, and what of the side walls was seen."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any


def depth_lines(data: dict[str, Any]) -> Iterator[str]:
    """Nothing where the sizes are those at the arrises."""
    line = data["door_line"]
    if not line:
        return
    depth = f"{line['depth_mm']:g} ± {line['u_depth_mm']:g} mm"
    yield f"all sizes are those {depth} behind the wall face"
    for side in ("left", "right"):
        one = line[side]
        if one["seen"]:
            fact = f"its joint shows that it goes back {one['flare_mm_per_m']:+.1f} ± {one['u_flare_mm_per_m']:.1f} mm/m"
            yield f"{side} side wall: {fact} (+ makes the opening wider)"
        else:
            yield f"{side} side wall: not seen, taken as square to ± {one['u_flare_mm_per_m']:.0f} mm/m"
