"""Panes: cut sizes on the grid, area, weight, and who carries it."""

from __future__ import annotations

import math

from vision.judge.door_records import Pane, Side
from vision.judge.doors import Door
from vision.judge.quantities import parse_quantity

ROUNDING_MM = 1e-6
"""mm; a size that is a whole number of grid steps but for float64 rounding stays that size"""
HINGES = ((2, "two_hinges_mass", "two_hinges_width"), (3, "three_hinges_mass", "three_hinges_width"))


def down(value_mm: float, door: Door) -> float:
    """Rounded down to the grid, never up."""
    grid = door.value("grid")
    return math.floor((value_mm + ROUNDING_MM) / grid) * grid


def masses(area_m2: float, door: Door) -> tuple[float, float]:
    """Lightest and heaviest (kg) by the two readings of the nominal thickness: its inches, and its millimetres."""
    if door.glass is None:
        raise ValueError(f"{door.kind} has no glass")
    by_inches = parse_quantity(door.glass, "length", where="glass")
    thicknesses = (by_inches, door.value("thickness"))
    if door.numbers["thickness"].trust == "hardware sheet":
        thicknesses = (door.value("thickness"),) * 2
    low, high = (area_m2 * t / 1000.0 * door.value("glass_density") for t in (min(thicknesses), max(thicknesses)))
    return low, high


def people(mass_kg: float, door: Door) -> int:
    """How many people carry it: one, two, or two with suction cups and a third hand."""
    return 1 + (mass_kg >= door.value("two_people_from")) + (mass_kg >= door.value("three_people_from"))


def hinges(mass_kg: float, width_mm: float, door: Door) -> int | None:
    """The fewest hinges that hold this weight and width; None where the table knows none."""
    for count, mass, width in HINGES:
        if door.has(mass) and mass_kg <= door.value(mass) and width_mm <= door.value(width) + ROUNDING_MM:
            return count
    return None


def pane(
    door: Door,
    name: str,
    widths_mm: tuple[float, float],
    height_mm: float,
    *,
    corner_mm: tuple[float, float],
    tapered: Side | None = None,
    hung: bool = False,
) -> Pane:
    """A pane of these widths at bottom and top; `corner_mm` is where its bottom left corner stands."""
    bottom, top = widths_mm
    area = (bottom + top) / 2 * height_mm / 1e6
    low, high = masses(area, door)
    return Pane(
        name=name,
        thickness=f"{door.glass} ({door.numbers['thickness'].text})",
        bottom_mm=bottom,
        top_mm=top,
        left_mm=height_mm,
        right_mm=height_mm,
        tapered_edge=tapered if bottom != top else None,
        at_x_mm=corner_mm[0],
        at_y_mm=corner_mm[1],
        area_m2=area,
        mass_low_kg=low,
        mass_kg=high,
        people=people(high, door),
        hinges=hinges(high, max(bottom, top), door) if hung else None,
    )
