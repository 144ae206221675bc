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
    "curb: colour changes on the weakest quarter": (5.73, 4.74, 5.45, 5.64, 5.58, 4.95, 6.20),
    "curb: goes on beyond the walls": (-3.11, -3.80, -2.69, -3.18, -2.64, -1.49, -3.66),
    "curb: walls beyond": (-0.16, -0.06, 0.00, -0.01, 0.20, -1.47, -0.09),
    "curb: strip beside the wall differs, inside": (2.02, 3.05, 1.80, 1.68, 1.74, 2.04, 2.18),
    "curb: strip beside the wall differs, outside": (-5.78, -4.44, -5.44, -6.23, -5.80, -6.89, -5.79),
    "curb: colour changes up to the wall": (2.39, 3.38, 2.28, 2.19, 2.43, 2.11, 2.24),
    "curb: stands out among its neighbours": (-4.33, -3.75, -4.39, -4.27, -4.76, -3.69, -4.27),
    "curb: a line into the depth from both ends": (2.18, 1.90, 1.94, 2.40, 2.36, 2.78, 1.85),
    "head: strip beside the wall differs, inside": (-0.74, -0.76, -1.03, -0.62, -0.99, -0.51, -0.33),
    "head: strip beside the wall differs, outside": (-1.12, -0.31, -1.22, -0.68, -1.54, -0.95, -1.27),
    "head: walls just beyond": (-1.52, -0.70, -1.28, -1.14, -1.56, -4.06, -0.81),
    "head: colour changes up to the wall": (1.23, 0.77, 0.84, 1.16, 1.38, 2.42, 1.46),
    "head: stands out among its neighbours": (-3.70, -2.23, -3.14, -4.20, -4.21, -3.54, -3.54),
    "head: a thin line of another colour": (-1.66, -1.06, -1.97, -1.83, -1.71, -1.78, -1.86),
    "head: a line into the depth from the fainter end": (0.43, 0.55, 0.30, 0.36, 0.81, -0.17, 0.66),
    "head: walls inside, joints left out": (0.34, 0.41, 0.27, 0.19, 0.55, 1.09, 0.29),
    "head: walls beyond, joints left out": (-2.96, -2.57, -2.86, -3.09, -3.27, -1.43, -3.43),
    "walls: clear, fainter one": (1.11, -0.02, 2.03, 0.45, 1.12, 2.08, 1.65),
    "face: differs from what is inside": (0.75, 1.47, 0.73, 0.81, 0.46, -0.37, 1.01),
    "face: differs from what is inside, fainter": (1.72, 1.00, 0.81, 1.68, 1.64, 3.14, 2.08),
    "walls: line outside, clearer": (-9.80, -9.80, -8.61, -9.56, -9.69, -6.85, -9.13),
    "walls: line outside": (9.32, 10.14, 7.59, 8.17, 9.36, 5.98, 9.04),
    "walls: line inside, clearer": (-4.33, -3.14, -4.29, -3.66, -3.98, -7.18, -3.82),
    "walls: line inside": (-1.32, -1.91, -1.08, -1.85, -2.06, 0.73, -0.90),
    "walls: run on below": (8.82, 7.15, 8.95, 7.94, 8.91, 13.60, 7.88),
    "curb: weakest quarter": (-0.99, -0.30, -0.84, -0.67, -0.70, -0.35, -1.42),
    "curb: alike all along": (4.33, 4.45, 4.37, 3.85, 4.07, 4.00, 4.22),
    "curb: line inside": (-1.23, -1.58, -1.28, -1.06, -1.30, -0.49, -1.43),
    "curb: runs on": (6.76, 7.82, 6.06, 7.39, 5.36, 3.14, 6.81),
    "curb: runs on, clearer": (-6.43, -6.09, -6.38, -6.43, -6.06, -5.13, -5.96),
    "curb: the same past a corner": (-0.91, -0.67, -1.05, -0.78, -1.46, -0.68, -0.72),
    "curb: up to the fainter corner": (0.52, 0.34, 0.35, 0.48, 0.51, 0.79, 0.56),
    "curb: up to both corners": (0.15, 0.19, 0.62, 0.04, 0.34, -0.47, 0.08),
    "no head": (-0.51, -0.27, -1.31, -0.45, -0.30, 0.47, -0.34),
    "walls: run on above": (-1.48, -2.46, -0.55, -1.79, -2.18, 1.07, -1.42),
    "walls: run on above, clearer": (0.48, 0.30, -0.64, 0.55, 0.88, 1.44, 0.47),
    "walls: the same past the head": (1.42, 1.36, 1.54, 1.27, 1.32, 1.19, 1.45),
    "head: clear": (4.27, 3.46, 3.92, 4.45, 4.35, 3.85, 3.84),
    "head: line outside": (-0.04, 0.55, -0.13, 0.39, -0.09, -0.21, -0.84),
    "head: line inside": (-0.41, -1.05, -0.23, -0.38, -0.82, 0.71, -0.13),
    "head: the same past a corner": (-1.35, -1.26, -1.30, -1.38, -1.37, -1.54, -1.27),
    "head: up to the fainter corner": (-0.59, -0.63, -0.08, -0.42, -0.62, -0.79, -0.65),
    "head: up to both corners": (1.87, 2.02, 1.67, 1.85, 1.67, 1.70, 1.97),
    "face: differs round the corners": (-2.35, -2.73, -1.78, -2.26, -1.71, -2.86, -2.09),
    "face: differs round a corner": (-0.40, -0.36, -0.83, -0.76, -0.40, -0.84, -0.57),
    "lower corners": (0.78, 0.62, 0.30, 1.04, 0.48, 1.03, 1.02),
    "lower corners, worse": (-1.82, -1.65, -1.41, -1.88, -2.49, -0.72, -1.80),
    "lower corners: edges up to them": (0.84, 1.05, 1.01, 0.76, 1.26, 0.07, 0.65),
    "upper corners": (-1.95, -1.95, -1.60, -1.79, -2.31, -0.87, -2.56),
    "upper corners, worse": (0.50, 0.42, -0.42, 0.46, 0.47, -0.21, 1.61),
    "upper corners: edges up to them": (2.75, 3.08, 1.53, 2.68, 3.60, 1.67, 2.79),
    "upper corners: an edge up to them": (0.58, 0.65, 1.40, 0.13, 0.56, 1.12, 0.12),
    "upper corners: edges past them": (-4.06, -3.97, -4.80, -3.63, -4.33, -2.02, -4.53),
    "upper corners: an edge past them": (-2.14, -2.20, -2.23, -2.24, -2.19, -2.26, -1.82),
    "depth: the eye is beside it": (-4.92, -4.48, -4.98, -5.72, -4.38, -4.90, -3.81),
    "depth: lines all along": (9.62, 8.80, 9.54, 9.77, 9.26, 9.01, 9.34),
    "depth: line all along, clearest": (-5.58, -4.79, -4.95, -5.46, -5.21, -5.33, -5.47),
    "depth: lines at the corners": (7.53, 6.90, 7.38, 7.90, 6.53, 7.70, 7.70),
    "depth: lines begin": (-1.00, 1.04, -2.29, -1.31, -0.67, -0.22, -0.93),
    "depth: line begins, clearest": (-1.41, -1.51, -0.80, -1.15, -1.52, -1.76, -1.09),
    "depth: line begins above": (0.84, 0.36, 1.57, 1.35, 1.02, 0.11, 0.40),
    "depth: line begins below": (0.65, -0.94, 1.42, 0.62, 0.94, 0.49, 0.48),
    "depth: lines go on outward": (-1.80, -2.92, -1.74, -1.52, -1.15, -1.32, -1.53),
    "depth: line goes on outward, clearest": (-0.81, 0.06, -1.24, -0.90, -0.87, -0.61, -0.97),
    "depth: line inward only": (0.21, 0.19, 0.28, 0.40, 0.41, -0.49, 0.28),
    "": (-16.47, -18.03, -15.87, -15.55, -15.69, -18.91, -17.41),
}
"""log odds that a candidate is the opening, by the clues of trace_choice.py; none of them has 0, "" is the constant. The first
column is fitted to all six authors' photos, each further one to all but one author's"""
