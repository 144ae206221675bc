"""What the table says about the door line: which plane the sizes are those of, and what of the side walls was seen."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from vision.check import plus_minus


def depth_lines(data: dict[str, Any]) -> Iterator[str]:
    """Nothing where the sizes are those at the arrises."""
    line = data["door_line"]
    if not line:
        return
    depth = plus_minus(line["depth_mm"], line["u_depth_mm"], "mm")
    yield f"all sizes are those {depth} behind the wall face"
    for side in ("left", "right"):
        one = line[side]
        if one["seen"]:
            flare = plus_minus(one["flare_mm_per_m"], one["u_flare_mm_per_m"], "mm/m", signed=True)
            fact = f"its joint shows that it goes back {flare}"
            yield f"{side} side wall: {fact} (+ makes the opening wider)"
        else:
            yield f"{side} side wall: not seen, taken as square to ± {one['u_flare_mm_per_m']:.0f} mm/m"
