"""When the outline that the program finds alone may be used."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class TraceSettings:
    """Limits of the tracing."""

    confidence: float = 0.6
    """0 to 1; how sure the outline must be more than: the middle of the least shares of the odds that any model gives it, with
    the network and without it. Of 132 photos of four authors (seventh to tenth), each judged by a network and models that were
    shown none of his, 58 were found and 3 wrong without a word at it (10, 11 and 15 px); at 0.55 62 and 4, one of them by 377 px,
    at 0.5 64 and 4; before there was a network 52 were found and 1 wrong"""
    search_px: float = 8.0
    """px at 12 MP; how far the outline found in the reduced picture is refined in the photo"""
