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
    "curb: colour changes on the weakest quarter": 5.68,
    "curb: goes on beyond the walls": -2.70,
    "curb: walls beyond": -0.29,
    "curb: strip beside the wall differs, inside": 1.73,
    "curb: strip beside the wall differs, outside": -5.30,
    "curb: colour changes up to the wall": 1.76,
    "curb: stands out among its neighbours": -4.06,
    "curb: a line into the depth from both ends": 2.07,
    "head: strip beside the wall differs, inside": -0.90,
    "head: strip beside the wall differs, outside": -1.52,
    "head: walls just beyond": -1.38,
    "head: colour changes up to the wall": 2.88,
    "head: stands out among its neighbours": -3.64,
    "head: a thin line of another colour": -1.67,
    "head: a line into the depth from the fainter end": 0.49,
    "head: walls inside, joints left out": 0.81,
    "head: walls beyond, joints left out": -2.27,
    "walls: line outside, clearer": -9.87,
    "walls: line outside": 9.71,
    "walls: line inside, clearer": -5.09,
    "walls: line inside": -1.48,
    "walls: run on below": 7.63,
    "curb: weakest quarter": -1.52,
    "curb: alike all along": 3.49,
    "curb: line inside": -1.47,
    "curb: runs on": 6.26,
    "curb: runs on, clearer": -6.84,
    "curb: the same past a corner": -1.28,
    "curb: up to the fainter corner": 0.03,
    "curb: up to both corners": 0.46,
    "no head": 1.23,
    "walls: run on above": -1.74,
    "walls: run on above, clearer": 1.87,
    "walls: the same past the head": 1.25,
    "head: clear": 3.42,
    "head: line outside": -0.35,
    "head: line inside": 0.11,
    "head: the same past a corner": -1.53,
    "head: up to the fainter corner": -0.75,
    "head: up to both corners": 1.65,
    "face: differs round the corners": -2.52,
    "face: differs round a corner": 0.42,
    "lower corners": 0.90,
    "lower corners, worse": -1.95,
    "lower corners: edges up to them": 1.16,
    "upper corners": -2.46,
    "upper corners, worse": 1.56,
    "upper corners: edges up to them": 2.72,
    "upper corners: an edge up to them": 0.35,
    "upper corners: edges past them": -3.93,
    "upper corners: an edge past them": -1.97,
    "depth: lines all along": 8.85,
    "depth: line all along, clearest": -5.34,
    "depth: lines at the corners": 6.02,
    "depth: lines begin": -2.25,
    "depth: line begins, clearest": -0.33,
    "depth: line begins above": 0.53,
    "depth: line begins below": 1.14,
    "depth: lines go on outward": -0.43,
    "depth: line goes on outward, clearest": -0.87,
    "depth: line inward only": 0.37,
    "walls: clear, fainter one": 0.0,
    "face: differs from what is inside": 0.0,
    "face: differs from what is inside, fainter": 0.0,
    "depth: the eye is beside it": 0.0,
    "": -12.71,
}
"""log odds that a candidate is the opening, by the clues of trace_choice.py; none of them has 0, "" is the constant"""
