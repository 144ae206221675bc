"""Walls and curb as lines for the terminal."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from vision.check import inches_text, plus_minus

Data = dict[str, Any]
FALLBACK_HEIGHT_MM = 72 * 25.4
"""mm; where no height was measured, lean is also given over 72 in, the length of a long level"""


def wall_lines(data: Data) -> Iterator[str]:
    """Lean, bow, taper, rack and the widest plumb rectangle, and how the curb lies."""
    walls, curb = data["walls"], data["curb"]
    height, height_words = _height(data)
    for side in ("left", "right"):
        one = walls.get(side, {})
        if "lean_mm_per_m" in one:
            way = "into" if one["lean_mm_per_m"] >= 0 else "out of"
            yield f"{side} wall: top leans {way} the opening by {_slope(one, 'lean_mm_per_m', height)}{height_words}"
        if "bow_mm" in one:
            yield f"{side} wall: bow {plus_minus(one['bow_mm'], one['u_bow_mm'], 'mm', signed=True)} (+ is into the opening)"
    if "taper_mm_per_m" in walls:
        way = "wider" if walls["taper_mm_per_m"] >= 0 else "narrower"
        yield f"taper: the top is {way} by {_slope(walls, 'taper_mm_per_m', height)}{height_words}"
    if "rack_mm_per_m" in walls:
        way = "right" if walls["rack_mm_per_m"] >= 0 else "left"
        yield f"rack: tops to the {way} by {_slope(walls, 'rack_mm_per_m', height)}{height_words}"
    if "plumb_rectangle_mm" in walls:
        value, u = walls["plumb_rectangle_mm"], walls["u_plumb_rectangle_mm"]
        yield f"plumb rectangle: {inches_text(value)} wide ({plus_minus(value, u, 'mm')})"
    if "vertical" in walls:
        yield f"vertical taken from: {walls['vertical']}"
    if "level_mm_per_m" in curb:
        end = "right" if curb["level_mm_per_m"] >= 0 else "left"
        yield f"curb: {end} end higher by {_per_m(curb['level_mm_per_m'], curb['u_level_mm_per_m'])}"
    if "against_head_mm_per_m" in curb:
        side, u = ("right" if curb["against_head_mm_per_m"] >= 0 else "left"), curb["u_against_head_mm_per_m"]
        yield f"curb against head: the height grows to the {side} by {_per_m(curb['against_head_mm_per_m'], u)}"


def _slope(one: Data, key: str, height_mm: float) -> str:
    inches = inches_text(abs(one[key]) * height_mm / 1000, denominator=32)
    inches = "under 1/32 in" if inches == "0 in" else inches
    return f"{_per_m(one[key], one[f'u_{key}'])}, {inches}"


def _per_m(value: float, u: float) -> str:
    return plus_minus(abs(value), u, "mm/m", digits=2)


def _height(data: Data) -> tuple[float, str]:
    """Height over which lean is told in inches, and its words."""
    heights = [size["value_mm"] for name, size in data["sizes"].items() if name.startswith("height")]
    if not heights:
        return FALLBACK_HEIGHT_MM, " over 72 in"
    mean = sum(heights) / len(heights)
    return mean, f" over the height of {inches_text(mean)}"
