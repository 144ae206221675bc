"""Thresholds of the tape's side: what tape and level can be trusted to, and when to ask. See `vision/settings.py`."""

from __future__ import annotations

from dataclasses import dataclass

INCH = 25.4


@dataclass(frozen=True)
class TapeSettings:
    """What a tape reading can be trusted to."""

    placement_sd_mm: float = 1.0
    """mm; where the tape ran: squareness, height, contact (common practice, no source)"""
    placement_repeat_sd_mm: float = 0.5
    """mm; the part of the placement that changes when the same person reads the same length again (common practice, no source)"""
    us_resolution_mm: float = INCH / 16
    """mm; inch readings are read to 1/16 in unless written finer"""
    metric_resolution_mm: float = 1.0
    """mm; metric readings without decimals"""
    mark_shift_mm: float = INCH / 32
    """mm; "light" and "strong" move a reading by 1/32 in (common practice, no source)"""
    max_reading_mm: float = 10_000.0
    """mm; a longer reading is not an opening for a glass door"""


@dataclass(frozen=True)
class LevelSettings:
    """What a hand level or a straightedge can be trusted to."""

    accuracy_sd_mm_per_m: float = 1.0 / 3**0.5
    """mm/m; makers state 0.5 or 1.0 mm/m (common practice, no source); 1.0 as the limit of a rectangular distribution"""
    contact_sd_mm: float = 0.5
    """mm; grout, bow and dirt between level and wall (common practice, no source)"""
    straight_sd_mm: float = 3.0
    """mm; bow of a wall or of head against curb before anything is known of it; the same as the photo's prior for walls"""
    default_length_mm: float = 60 * INCH
    """mm; a curb level read without a stated length was read over the width, of about this length"""


@dataclass(frozen=True)
class QuestionSettings:
    """When to ask although nothing contradicts. Common practice, no source."""

    round_at_least: int = 5
    """readings; five on a grid of quarter inches happen once in a thousand by chance"""
    nominal_mm: tuple[float, ...] = tuple(INCH * size for size in (30, 32, 36, 48, 60))
    """mm; sizes by which tubs and pans are sold"""
    width_mm: tuple[float, float] = (INCH * 18, INCH * 96)
    """mm; openings are seldom narrower or wider"""
    height_mm: tuple[float, float] = (INCH * 50, INCH * 108)
    """mm; from the rim of a tub, or from a curb"""
    spread_mm: float = INCH * 1.5
    """mm; top against bottom width"""
    lean: float = 1.5 / 72
    """ratio; of one wall"""
    third_low_mm: float = INCH / 16
    """mm; two readings by one hand and tape further apart than this want a third"""
    third_high_mm: float = INCH / 8
    """mm; further apart than this they differ"""
