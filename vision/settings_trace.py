"""When the outline that the program finds alone may be used."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class TraceSettings:
    """Limits of the tracing."""

    confidence: float = 0.6
    """0 to 1; share of the odds that the outline found must have more than. Of 316 photos of five authors, each judged by weights
    that were fitted to the other authors' rooms, 192 were found and 5 wrong without a word at it; at 0.5 198 and 6, at 0.75 165
    and 3, at 0.8 155 and 2"""
    search_px: float = 8.0
    """px at 12 MP; how far the outline found in the reduced picture is refined in the photo"""
