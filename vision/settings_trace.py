"""When the outline that the program finds alone may be used."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class TraceSettings:
    """Limits of the tracing."""

    confidence: float = 0.5
    """0 to 1; share of the odds that the outline found must have more than: likelier than all else together, and never where a
    line further out halves it. Of 516 looks (`tests/benchmarks/outline.py --looks`) of samples, scenes and `dev` rooms 448 were
    found so and 7 wrong, at 0.6 437 and 6, at 0.7 419 and 5, before a wall with a rival in the photo itself was in doubt"""
    search_px: float = 8.0
    """px at 12 MP; how far the outline found in the reduced picture is refined in the photo"""
