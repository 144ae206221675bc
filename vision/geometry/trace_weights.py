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
    "curb: colour changes on the weakest quarter": (6.20, 5.28, 5.96, 6.16, 6.00, 5.59),
    "curb: goes on beyond the walls": (-3.66, -4.62, -3.34, -3.63, -3.21, -1.99),
    "curb: walls beyond": (-0.09, 0.22, 0.03, 0.02, 0.27, -1.13),
    "curb: strip beside the wall differs, inside": (2.18, 3.48, 2.06, 1.74, 1.93, 2.23),
    "curb: strip beside the wall differs, outside": (-5.79, -4.33, -5.39, -6.25, -5.73, -6.97),
    "curb: colour changes up to the wall": (2.24, 3.32, 2.03, 2.04, 2.27, 1.82),
    "curb: stands out among its neighbours": (-4.27, -3.60, -4.38, -4.13, -4.71, -3.56),
    "curb: a line into the depth from both ends": (1.85, 1.40, 1.59, 2.08, 2.01, 2.33),
    "head: strip beside the wall differs, inside": (-0.33, -0.37, -0.73, -0.10, -0.62, -0.02),
    "head: strip beside the wall differs, outside": (-1.27, -0.32, -1.28, -0.83, -1.77, -1.26),
    "head: walls just beyond": (-0.81, -0.05, -0.61, -0.23, -0.80, -3.35),
    "head: colour changes up to the wall": (1.46, 0.91, 1.01, 1.51, 1.63, 2.73),
    "head: stands out among its neighbours": (-3.54, -1.90, -2.94, -4.07, -3.99, -3.51),
    "head: a thin line of another colour": (-1.86, -1.23, -2.22, -2.19, -2.00, -1.69),
    "head: a line into the depth from the fainter end": (0.66, 0.93, 0.62, 0.63, 1.13, -0.04),
    "head: walls inside, joints left out": (0.29, 0.55, 0.31, -0.04, 0.45, 0.86),
    "head: walls beyond, joints left out": (-3.43, -3.04, -3.42, -3.71, -3.76, -1.96),
    "walls: clear, fainter one": (1.65, 0.55, 2.88, 0.85, 1.80, 2.67),
    "face: differs from what is inside": (1.01, 1.58, 0.88, 1.16, 0.84, 0.08),
    "face: differs from what is inside, fainter": (2.08, 1.46, 1.34, 2.03, 1.93, 4.00),
    "walls: line outside, clearer": (-9.13, -8.95, -7.76, -9.14, -8.78, -5.95),
    "walls: line outside": (9.04, 10.08, 7.20, 7.77, 8.99, 5.57),
    "walls: line inside, clearer": (-3.82, -2.71, -3.55, -2.93, -3.29, -7.55),
    "walls: line inside": (-0.90, -1.37, -0.70, -1.65, -1.82, 2.85),
    "walls: run on below": (7.88, 5.62, 8.09, 6.86, 7.82, 12.06),
    "curb: weakest quarter": (-1.42, -0.84, -1.21, -1.06, -1.09, -0.86),
    "curb: alike all along": (4.22, 4.39, 4.23, 3.49, 3.86, 3.91),
    "curb: line inside": (-1.43, -1.92, -1.57, -1.26, -1.51, -0.60),
    "curb: runs on": (6.81, 7.77, 6.13, 7.37, 5.29, 3.55),
    "curb: runs on, clearer": (-5.96, -5.31, -5.80, -5.78, -5.58, -4.66),
    "curb: the same past a corner": (-0.72, -0.41, -0.80, -0.61, -1.22, -0.45),
    "curb: up to the fainter corner": (0.56, 0.42, 0.36, 0.50, 0.53, 0.84),
    "curb: up to both corners": (0.08, 0.00, 0.65, -0.05, 0.36, -0.60),
    "no head": (-0.34, -0.02, -1.25, -0.33, -0.06, 0.52),
    "walls: run on above": (-1.42, -2.25, -0.36, -1.64, -1.92, 0.79),
    "walls: run on above, clearer": (0.47, 0.49, -0.89, 0.60, 0.87, 2.17),
    "walls: the same past the head": (1.45, 1.44, 1.56, 1.25, 1.32, 1.22),
    "head: clear": (3.84, 2.85, 3.50, 4.06, 3.92, 3.34),
    "head: line outside": (-0.84, -0.34, -1.01, -0.52, -1.01, -1.34),
    "head: line inside": (-0.13, -0.92, 0.03, 0.02, -0.40, 1.12),
    "head: the same past a corner": (-1.27, -1.18, -1.21, -1.29, -1.27, -1.48),
    "head: up to the fainter corner": (-0.65, -0.66, -0.02, -0.57, -0.69, -0.61),
    "head: up to both corners": (1.97, 2.04, 1.70, 2.04, 1.78, 1.53),
    "face: differs round the corners": (-2.09, -2.49, -1.54, -1.97, -1.46, -2.63),
    "face: differs round a corner": (-0.57, -0.59, -0.94, -1.04, -0.54, -0.96),
    "lower corners": (1.02, 0.77, 0.64, 1.28, 0.68, 1.42),
    "lower corners, worse": (-1.80, -1.54, -1.50, -1.96, -2.44, -0.51),
    "lower corners: edges up to them": (0.65, 0.89, 0.80, 0.65, 1.03, -0.32),
    "upper corners": (-2.56, -2.59, -2.38, -2.34, -2.96, -1.23),
    "upper corners, worse": (1.61, 1.64, 0.87, 1.52, 1.65, 1.20),
    "upper corners: edges up to them": (2.79, 3.36, 1.39, 2.62, 3.67, 1.58),
    "upper corners: an edge up to them": (0.12, 0.10, 0.99, -0.36, 0.06, 0.42),
    "upper corners: edges past them": (-4.53, -4.48, -5.43, -4.22, -4.70, -2.17),
    "upper corners: an edge past them": (-1.82, -1.81, -1.77, -1.89, -1.87, -1.91),
    "depth: the eye is beside it": (-3.81, -3.53, -3.89, -4.22, -3.23, -3.10),
    "depth: lines all along": (9.34, 8.50, 9.13, 9.53, 8.90, 8.53),
    "depth: line all along, clearest": (-5.47, -4.69, -4.79, -5.35, -5.09, -4.99),
    "depth: lines at the corners": (7.70, 7.16, 7.52, 8.06, 6.73, 7.98),
    "depth: lines begin": (-0.93, 1.21, -2.28, -1.16, -0.64, 0.30),
    "depth: line begins, clearest": (-1.09, -0.85, -0.31, -0.86, -1.09, -1.85),
    "depth: line begins above": (0.40, -0.39, 1.06, 0.91, 0.49, -0.49),
    "depth: line begins below": (0.48, -1.46, 1.24, 0.43, 0.75, 0.26),
    "depth: lines go on outward": (-1.53, -2.49, -1.38, -1.34, -0.76, -0.92),
    "depth: line goes on outward, clearest": (-0.97, -0.12, -1.59, -0.97, -1.10, -0.67),
    "depth: line inward only": (0.28, 0.41, 0.33, 0.39, 0.56, -0.64),
    "": (-17.41, -19.46, -16.94, -15.97, -16.74, -20.62),
}
"""log odds that a candidate is the opening, by the clues of trace_choice.py; none of them has 0, "" is the constant. The first
column is fitted to all five authors' rooms, each further one to all but one author's"""
