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
    "drawn: beside what is inside": (0.20, 0.15, -0.01, 0.59, -0.04, 0.17, 0.09),
    "drawn: corners": (-1.20, -1.15, -1.35, -0.78, -0.21, -1.29, -0.97),
    "drawn: corner, fainter one": (0.44, 0.35, 0.43, 0.33, 0.28, 0.41, 0.33),
    "drawn: edges": (1.79, 1.28, 2.02, 0.88, 0.63, 2.33, 1.96),
    "drawn: edge, fainter one": (0.42, 0.61, 0.38, 0.84, -0.81, 0.49, 0.34),
    "drawn: curb": (-0.06, -0.11, 0.02, -0.35, 0.02, 0.51, -0.05),
    "drawn: head": (-0.31, -0.31, -0.57, -0.30, 0.52, -0.54, -0.14),
    "corners": (1.62, 1.53, 1.29, 1.37, 1.20, 1.95, 1.68),
    "corners: fainter one": (-0.15, -0.13, 0.03, -0.15, 0.06, -0.28, -0.22),
    "corners: none there": (0.51, 0.67, 0.28, 3.01, 0.36, -0.66, -0.05),
    "corners: walls": (-0.03, -0.07, -0.32, 0.82, -0.50, 0.36, 0.04),
    "corners: wall, fainter one": (0.25, 0.18, 0.28, -0.02, 0.64, 0.17, 0.22),
    "corners: curb": (-0.64, -0.80, -0.78, -0.26, -0.45, -0.45, -0.73),
    "corners: head": (-0.05, 0.07, -0.09, 0.19, 0.17, -0.22, -0.08),
    "seen: walls, fainter one": (0.23, 0.36, 0.26, 0.44, 0.14, 0.14, 0.26),
    "seen: walls": (1.23, 1.13, 1.09, 1.18, 1.02, 1.28, 1.26),
    "seen: curb": (0.62, 0.59, 0.48, 0.73, 0.85, 0.48, 0.61),
    "seen: head": (0.40, 0.29, 0.39, 0.35, 0.81, 0.40, 0.41),
    "seen: walls end": (1.74, 1.36, 10.36, 1.95, 0.14, 0.68, 1.68),
    "seen: curb ends": (-0.97, -0.87, -0.07, -1.54, -1.90, -1.21, -1.75),
    "seen: head ends": (0.16, 0.30, 0.38, 1.05, 3.13, -0.30, -1.46),
    "": (2.06, 1.42, 0.88, 3.66, 1.75, 2.54, 1.77),
}
"""the same by all clues, of the candidates that FIRST finds likeliest: ten hands, each seen by a network that had not seen his"""
