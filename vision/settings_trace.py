"""When the outline that the program finds alone may be used."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class TraceSettings:
    """Limits of the tracing."""

    confidence: float = 0.55
    """0 to 1; share of the odds that every model must give the outline found more of. Of 316 photos of five authors, each
    judged by weights that were fitted to the other authors' rooms, 188 were found and 3 wrong without a word at it; at 0.4 206
    and 7, at 0.45 203 and 4, at 0.5 192 and 4, at 0.6 181 and 3"""
    search_px: float = 8.0
    """px at 12 MP; how far the outline found in the reduced picture is refined in the photo"""
