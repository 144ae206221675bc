"""When the outline that the program finds alone may be used."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class TraceSettings:
    """Limits of the tracing."""

    confidence: float = 0.65
    """0 to 1; share of the odds that the outline found must have"""
    search_px: float = 8.0
    """px at 12 MP; how far the outline found in the reduced picture is refined in the photo"""
