"""When the outline that the program finds alone may be used."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class TraceSettings:
    """Limits of the tracing."""

    confidence: float = 0.6
    """0 to 1; share of the odds that the outline found must have: the least over which, with weights fitted to nine tenths of the
    photos at a time (`tests/benchmarks/outline_fit.py`), no more than one in a hundred of the other tenth was wrong (1 of 97)"""
    search_px: float = 8.0
    """px at 12 MP; how far the outline found in the reduced picture is refined in the photo"""
