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
    "curb: colour changes on the weakest quarter": (6.21, 5.42, 5.93, 6.09, 6.05, 5.53),
    "curb: goes on beyond the walls": (-3.44, -4.47, -3.01, -3.34, -3.06, -1.85),
    "curb: walls beyond": (-0.44, -0.05, -0.39, -0.40, -0.16, -1.18),
    "curb: strip beside the wall differs, inside": (2.39, 4.08, 2.33, 1.84, 2.12, 2.17),
    "curb: strip beside the wall differs, outside": (-5.84, -4.09, -5.34, -6.31, -5.81, -7.00),
    "curb: colour changes up to the wall": (2.16, 3.42, 1.91, 2.01, 2.20, 1.70),
    "curb: stands out among its neighbours": (-4.34, -3.75, -4.42, -4.23, -4.82, -3.49),
    "curb: a line into the depth from both ends": (1.89, 1.27, 1.55, 2.09, 2.10, 2.30),
    "head: strip beside the wall differs, inside": (-0.10, -0.04, -0.56, 0.19, -0.33, 0.01),
    "head: strip beside the wall differs, outside": (-1.40, -0.50, -1.58, -0.95, -1.92, -1.19),
    "head: walls just beyond": (-1.10, -0.57, -0.78, -0.48, -1.09, -3.27),
    "head: colour changes up to the wall": (2.48, 2.11, 2.09, 2.33, 2.75, 2.71),
    "head: stands out among its neighbours": (-3.49, -1.89, -2.85, -4.00, -3.94, -3.48),
    "head: a thin line of another colour": (-1.55, -0.72, -1.82, -1.70, -1.76, -1.78),
    "head: a line into the depth from the fainter end": (0.48, 0.62, 0.37, 0.43, 0.92, -0.03),
    "head: walls inside, joints left out": (0.04, -0.00, 0.13, -0.19, 0.24, 0.81),
    "head: walls beyond, joints left out": (-3.15, -2.56, -3.15, -3.34, -3.47, -2.06),
    "walls: clear, fainter one": (2.19, 1.09, 3.42, 1.41, 2.39, 2.69),
    "face: differs from what is inside": (0.29, 1.24, 0.05, 0.48, 0.10, 0.07),
    "face: differs from what is inside, fainter": (3.20, 2.51, 2.47, 3.01, 3.05, 3.96),
    "walls: line outside, clearer": (-8.62, -8.66, -7.10, -8.58, -8.14, -6.08),
    "walls: line outside": (8.88, 10.38, 6.70, 7.53, 8.73, 5.81),
    "walls: line inside, clearer": (-4.21, -2.61, -3.91, -2.96, -3.67, -7.95),
    "walls: line inside": (-1.02, -1.66, -0.94, -2.30, -2.08, 3.40),
    "walls: run on below": (8.75, 6.41, 9.03, 7.66, 8.79, 11.82),
    "curb: weakest quarter": (-1.16, -0.56, -1.01, -0.71, -0.83, -0.81),
    "curb: alike all along": (4.35, 4.41, 4.39, 3.60, 4.07, 3.82),
    "curb: line inside": (-1.04, -1.50, -1.15, -0.93, -1.04, -0.55),
    "curb: runs on": (6.72, 8.16, 6.11, 7.24, 5.05, 3.40),
    "curb: runs on, clearer": (-5.81, -5.30, -5.77, -5.59, -5.27, -4.75),
    "curb: the same past a corner": (-0.68, -0.28, -0.74, -0.55, -1.21, -0.50),
    "curb: up to the fainter corner": (0.51, 0.41, 0.31, 0.43, 0.45, 0.82),
    "curb: up to both corners": (0.03, -0.15, 0.60, -0.12, 0.32, -0.54),
    "no head": (-0.18, 0.22, -1.20, -0.28, 0.09, 0.52),
    "walls: run on above": (-1.38, -1.76, -0.25, -1.70, -1.94, 0.67),
    "walls: run on above, clearer": (0.95, 0.52, -0.35, 0.88, 1.45, 2.35),
    "walls: the same past the head": (1.52, 1.43, 1.66, 1.33, 1.40, 1.23),
    "head: clear": (3.23, 2.38, 2.68, 3.51, 3.28, 3.28),
    "head: line outside": (-0.93, -0.30, -1.26, -0.69, -1.00, -1.26),
    "head: line inside": (0.24, -0.54, 0.46, 0.54, -0.10, 1.08),
    "head: the same past a corner": (-1.55, -1.62, -1.53, -1.58, -1.52, -1.42),
    "head: up to the fainter corner": (-0.82, -0.88, -0.18, -0.73, -0.90, -0.60),
    "head: up to both corners": (2.00, 2.11, 1.77, 2.03, 1.85, 1.53),
    "face: differs round the corners": (-3.01, -3.53, -2.59, -2.82, -2.49, -2.68),
    "face: differs round a corner": (0.09, 0.19, -0.17, -0.50, 0.10, -0.93),
    "lower corners": (0.78, 0.78, 0.36, 0.99, 0.34, 1.36),
    "lower corners, worse": (-1.35, -0.94, -0.88, -1.44, -1.99, -0.56),
    "lower corners: edges up to them": (0.66, 0.73, 0.77, 0.66, 1.11, -0.27),
    "upper corners": (-2.46, -2.38, -2.30, -2.15, -2.89, -1.27),
    "upper corners, worse": (2.14, 2.28, 1.35, 2.03, 2.18, 1.24),
    "upper corners: edges up to them": (2.54, 3.14, 1.06, 2.37, 3.39, 1.59),
    "upper corners: an edge up to them": (-0.34, -0.47, 0.54, -0.92, -0.39, 0.35),
    "upper corners: edges past them": (-3.71, -3.65, -4.61, -3.35, -3.76, -2.14),
    "upper corners: an edge past them": (-1.91, -1.79, -1.86, -2.00, -2.00, -1.98),
    "depth: the eye is beside it": (-3.43, -3.09, -3.44, -3.60, -2.74, -3.16),
    "depth: lines all along": (9.29, 8.45, 9.13, 9.55, 8.74, 8.59),
    "depth: line all along, clearest": (-5.59, -4.61, -4.84, -5.52, -5.12, -4.94),
    "depth: lines at the corners": (7.68, 7.00, 7.52, 8.07, 6.67, 8.02),
    "depth: lines begin": (-0.98, 1.59, -2.44, -1.19, -0.61, 0.03),
    "depth: line begins, clearest": (-1.17, -0.99, -0.19, -0.86, -1.17, -1.91),
    "depth: line begins above": (-0.03, -1.04, 0.62, 0.30, -0.03, -0.18),
    "depth: line begins below": (0.37, -1.92, 1.11, 0.20, 0.64, 0.34),
    "depth: lines go on outward": (-1.85, -2.64, -1.68, -1.69, -1.04, -1.03),
    "depth: line goes on outward, clearest": (-0.85, -0.02, -1.51, -0.81, -0.97, -0.66),
    "depth: line inward only": (0.19, 0.44, 0.21, 0.31, 0.50, -0.72),
    "": (-18.50, -21.81, -17.87, -16.66, -17.97, -20.30),
}
"""log odds that a candidate is the opening, by the clues of trace_choice.py; none of them has 0, "" is the constant. The first
column is fitted to all five authors' rooms, each further one to all but one author's"""
