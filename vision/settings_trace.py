"""When the outline that the program finds alone may be used."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class TraceSettings:
    """Limits of the tracing."""

    confidence: float = 0.82
    """0 to 1; how sure the outline must be more than: the least share of the odds that any model gives it, less where another
    line is as clear. Of 171 photos of six authors (seventh to twelfth), each seen by networks and one model that were shown none
    of his, 65 were found and 1 wrong without a word at it (10.2 px); at 0.8 70 and 3 (10, 12 and 31), at 0.7 83 and 8, one of
    them by 79, at 0.85 55 and 1"""
    search_px: float = 8.0
    """px at 12 MP; how far the outline found in the reduced picture is refined in the photo"""
