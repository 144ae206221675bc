"""When the outline that the program finds alone may be used."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class TraceSettings:
    """Limits of the tracing."""

    confidence: float = 0.55
    """0 to 1; share of the odds that every model must give the outline found more of. Of 395 photos of six authors, each judged
    by weights that were fitted to the other authors' photos, 248 were found and 3 wrong without a word at it; at 0.45 267 and
    9, at 0.5 256 and 7, at 0.6 241 and 3, at 0.65 231 and 2"""
    search_px: float = 8.0
    """px at 12 MP; how far the outline found in the reduced picture is refined in the photo"""
