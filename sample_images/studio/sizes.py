"""True sizes of reference cards, drawn within their standards, and what a ruler says about them."""

from __future__ import annotations

import numpy as np

NOMINAL_MM = {"id-1": (85.60, 53.98), "letter": (215.9, 279.4), "a4": (210.0, 297.0)}
ID1_RANGE_MM = ((85.47, 85.72), (53.92, 54.03))
PAPER_TOLERANCE_MM = {"a4": 2.0, "letter": 1.6}
RULER_SD_MM = 0.2
STEEL_RULE_SD_MM = 0.1  # read twice, with a steel rule


def true_size(kind: str, rng: np.random.Generator) -> tuple[float, float]:
    if kind == "id-1":
        return tuple(float(rng.uniform(*limits)) for limits in ID1_RANGE_MM)  # type: ignore[return-value]
    spread = PAPER_TOLERANCE_MM[kind]
    return tuple(float(nominal + rng.uniform(-spread, spread)) for nominal in NOMINAL_MM[kind])  # type: ignore[return-value]


def measured(
    kind: str, size_mm: tuple[float, float], rng: np.random.Generator, *, sd_mm: float = RULER_SD_MM, stated_mm: float = 0.3
) -> tuple[str, tuple[float, float]]:
    """The command line's card, with both lengths as a ruler gives them, and these lengths."""
    lengths = tuple(round(float(side + rng.normal(0, sd_mm)), 1) for side in size_mm)
    return f"{kind}={lengths[0]:g}x{lengths[1]:g}mm+-{stated_mm:g}", lengths  # type: ignore[return-value]
