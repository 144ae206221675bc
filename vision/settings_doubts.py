"""Thresholds of doubts about reference cards: when one is said, left out or refused, and what is said to stay unseen."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class DoubtSettings:
    """Cards held against everything else in the photo. Chances are of a normal distribution, two-sided."""

    odd_card_sd: float = 4.5
    """standard deviations of one thing that a card may be, against all other evidence; about one in 150 000 by chance"""
    doubted_card_sd: float = 3.5
    """standard deviations from which it is said; one in 2 000 by chance, of some four things a card that can be told apart"""
    guessed_card_sd: float = 2.5
    """the same of a card that was taken for one by its size alone, from which it is left out: the others do without it"""
    odd_side_sd: float = 3.5
    """standard deviations of one side of a card against all the rest, beyond which its own doubt is taken to be as large"""
    most_odd_sides: int = 6
    """sides; where more than so many contradict the rest, something else is wrong"""
    said_side_px: float = 1.5
    """px at 12 MP; a shadow moves a side by as much (published); what contradicts from further off is said"""
    far_side_px: float = 4.0
    """px at 12 MP; a side that is further off than any shadow holds the order: the card is in question"""
    rival: float = 10.83
    """squared standard deviations (chi-square of one degree, 0.999) by which one card must explain more than any other"""
    harmless_sd: float = 1.0
    """stated standard deviations; a bulge that moves no size by as much is said but holds nothing"""
    power: float = 1.64
    """normal quantile of 0.95: how much more than the limit a lie must be to be found 19 times in 20, as the report says"""
    wholly: float = 0.15
    """relative; a card may be wrong by as much in size and no one would say: then the photo shows nothing of it"""
    crooked_mm_per_m: float = 25.0
    """mm/m; twice the widest published tolerance of squareness of openings (1.3 to 11.7 mm/m)"""
    crooked_sure_sd: float = 3.0
    """standard deviations that an opening must be over it"""
    step_mm: float = 10.0
    """mm off the wall, for which it is said what a lie does where it cannot be seen at all"""
    step: float = 0.01
    """relative size, for the same"""
