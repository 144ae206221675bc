"""When the outline that the program finds alone may be used."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class TraceSettings:
    """Limits of the tracing."""

    confidence: float = 0.85
    """0 to 1; share of the odds that every model must give the outline found more of. Of 157 photos of full size (the committed,
    the fifth's, seventh's, eighth's and ninth's), each judged by weights and a network that were shown none of its author's, 84
    were found and 2 wrong without a word at it (11 and 15 px); at 0.7 92 and 2, at 0.55 95 and 4, one of them by 698 px; of the
    tenth's 32 one is 377 px off at 0.84"""
    search_px: float = 8.0
    """px at 12 MP; how far the outline found in the reduced picture is refined in the photo"""
