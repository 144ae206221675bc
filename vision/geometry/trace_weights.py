"""What the clues of the tracing weigh: fitted by `tests/benchmarks/outline_fit.py`, which writes `last` and OUTLINE here."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Weights:
    """Log odds that a level line is an edge of the curb or head (`first`, by CLUES), then that it is the front one (`second`).

    `last` weighs CLUES, MORE_CLUES and FURTHER: log odds against the other lines between the same walls.
    """

    first: tuple[float, ...]
    first_constant: float
    second: tuple[float, ...]
    second_constant: float
    last: tuple[float, ...]


HEAD = Weights(
    (4.0, 3.8, -5.4, 3.3, -4.3, 2.8, -0.7, 0.2, 0.6, 1.4),
    -7.3,
    (1.8, 0.5, -1.5, 0.6, 0.8, 2.0, -1.2, 1.0, -1.6, 0.9, 2.0, -1.7, -1.6, 3.5),
    -6.3,
    (2.9, 1.6, 1.2, 1.7, -0.1, 1.4, -1.1, 1.8, -1.2, 2.9, 2.1, -1.7, -2.4, 3.2, -1.8, -2.3, 0.8, 1.0, 1.6, -0.3),
)
CURB = Weights(
    (-0.2, 9.4, -5.5, 0.1, -1.0, 4.0, -1.0, 1.5, 4.0, 0.4),
    -9.5,
    (-0.7, 2.1, -1.7, 0.1, -0.7, 3.8, -3.4, 2.1, 1.9, -1.4, 2.9, -1.5, -0.3, 3.8),
    -6.3,
    (0.0, 0.9, -1.4, 0.9, 0.0, 1.3, -4.4, 1.5, 3.0, 1.3, 3.1, -1.6, 1.3, 3.3, -1.5, -2.4, 1.8, 2.0, 0.8, 0.0),
)
OUTLINE = {
    "drawn: beside what is inside": (-0.09, -0.09, -0.15, -0.00, -0.14, -0.08, -0.13),
    "drawn: corners": (-0.03, -0.05, -0.07, 0.03, 0.12, 0.02, 0.00),
    "drawn: corner, fainter one": (0.06, 0.04, 0.05, 0.06, 0.07, 0.08, 0.05),
    "drawn: edges": (0.58, 0.48, 0.57, 0.50, 0.05, 0.85, 0.65),
    "drawn: edge, fainter one": (0.23, 0.24, 0.22, 0.24, -0.09, 0.31, 0.21),
    "drawn: curb": (0.07, 0.04, 0.08, -0.03, -0.03, 0.42, 0.05),
    "drawn: head": (0.03, 0.07, -0.05, 0.09, 0.17, -0.10, 0.14),
    "corners": (0.37, 0.33, 0.30, 0.26, 0.34, 0.40, 0.35),
    "corners: fainter one": (0.09, 0.08, 0.12, 0.06, 0.13, 0.08, 0.07),
    "corners: none there": (0.12, 0.18, -0.13, 0.76, 0.03, -0.29, -0.02),
    "corners: walls": (0.25, 0.18, 0.16, 0.39, 0.24, 0.32, 0.25),
    "corners: wall, fainter one": (0.12, 0.09, 0.10, 0.11, 0.20, 0.14, 0.11),
    "corners: curb": (-0.11, -0.16, -0.13, 0.01, -0.00, -0.03, -0.13),
    "corners: head": (0.10, 0.12, 0.10, 0.19, 0.25, 0.00, 0.08),
    "seen: walls, fainter one": (0.35, 0.35, 0.31, 0.38, 0.28, 0.31, 0.36),
    "seen: walls": (0.57, 0.53, 0.49, 0.59, 0.47, 0.54, 0.58),
    "seen: curb": (0.35, 0.31, 0.27, 0.36, 0.42, 0.27, 0.33),
    "seen: head": (0.27, 0.20, 0.23, 0.23, 0.40, 0.25, 0.28),
    "seen: walls end": (0.48, 0.21, 4.01, 0.44, 0.22, 0.04, 0.44),
    "seen: curb ends": (-0.42, -0.36, -0.09, -0.46, -0.39, -0.53, -0.64),
    "seen: head ends": (0.24, 0.17, 0.59, 0.47, 0.69, 0.09, -0.60),
    "": (0.52, 0.06, -0.02, 0.80, 0.61, 0.83, 0.36),
}
"""log odds of candidate outlines by clue, "" the constants: of the model fitted to six hands' photos, each seen by networks that
had not seen his, and of those without each hand"""
