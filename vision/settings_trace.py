"""When the outline that the program finds alone may be used."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class TraceSettings:
    """Limits of the tracing."""

    confidence: float = 0.7
    """0 to 1; how sure the outline must be more than: the middle of the least shares of the odds that any model gives it, with
    the network and without it. Of 158 photos of five authors (seventh to eleventh), each judged by a network that was shown none
    of his, 54 were found and 2 wrong without a word at it (10 and 12 px); at 0.6 61 and 4, one of them by 377 px and one by 47,
    at 0.5 68 and 4, at 0.8 44 and none"""
    search_px: float = 8.0
    """px at 12 MP; how far the outline found in the reduced picture is refined in the photo"""
