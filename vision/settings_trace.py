"""When the outline that the program finds alone may be used: limits of each clue, in the clue's own unit."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class TraceSettings:
    """Limits below which (above which, for `hidden_strip`) the corners are asked for, set on random rooms drawn for trying
    (40 and the samples, none of them of the tests' scenes) so that no wrong outline of theirs passes with any room to spare."""

    head_odds: float = -0.5
    """log odds that the level line found is the front edge of the head"""
    head_margin: float = 1.0
    """log odds by which it must beat the next line"""
    curb_odds: float = -0.5
    """as for the head"""
    curb_margin: float = 1.4
    """as for the head"""
    wall_score: float = 0.66
    """0 to 1; how clearly the colour changes across the fainter wall's edge on average"""
    hidden_strip: float = 0.3
    """0 to 1; by how much the walls' edges are clearer just above the head line than further up. Where they go on for the height
    of a soffit and then end, the line is the soffit's rear edge and the front one is not seen"""
    rival: float = 0.4
    """log odds by which the whole outline must beat the next one"""
    confidence: float = 0.65
    """0 to 1; half is reached where the weakest clue stands at its limit; above half since one of 50 rooms was wrong at 0.53"""
    search_px: float = 8.0
    """px at 12 MP; how far the outline found in the reduced picture is refined in the photo"""
