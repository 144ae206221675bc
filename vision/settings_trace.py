"""When the outline that the program finds alone may be used."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class TraceSettings:
    """Limits of the tracing."""

    confidence: float = 0.65
    """0 to 1; share of the odds that the outline found must have more than. Of 287 photos of four authors, each judged by weights
    that were fitted to the other three's rooms, 3 were wrong without a word at it and 170 found (at 0.5 6 and 189, at 0.6 4 and
    181, at 0.7 2 and 163): the least limit at which about one in a hundred rooms of a new author is wrong"""
    search_px: float = 8.0
    """px at 12 MP; how far the outline found in the reduced picture is refined in the photo"""
