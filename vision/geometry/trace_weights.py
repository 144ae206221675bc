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
    "curb: colour changes on the weakest quarter": 4.43,
    "curb: goes on beyond the walls": -1.74,
    "curb: walls beyond": -0.88,
    "curb: strip beside the wall differs, inside": 2.17,
    "curb: strip beside the wall differs, outside": -4.43,
    "curb: colour changes up to the wall": 2.35,
    "curb: stands out among its neighbours": -4.19,
    "curb: a line into the depth from both ends": 2.68,
    "head: strip beside the wall differs, inside": -0.41,
    "head: strip beside the wall differs, outside": -1.60,
    "head: walls just beyond": -1.97,
    "head: colour changes up to the wall": 3.45,
    "head: stands out among its neighbours": -2.52,
    "head: a thin line of another colour": -1.09,
    "head: a line into the depth from the fainter end": 0.90,
    "head: walls inside, joints left out": 3.40,
    "head: walls beyond, joints left out": -1.49,
    "walls: line outside, clearer": -4.93,
    "walls: line outside": 8.35,
    "walls: line inside, clearer": -4.66,
    "walls: line inside": -0.30,
    "walls: run on below": 6.23,
    "curb: weakest quarter": -0.07,
    "curb: alike all along": 2.35,
    "curb: line inside": -1.49,
    "curb: runs on": 3.02,
    "curb: runs on, clearer": -4.64,
    "curb: the same past a corner": -1.14,
    "curb: up to the fainter corner": -0.11,
    "curb: up to both corners": 0.39,
    "no head": 3.04,
    "walls: run on above": -3.29,
    "walls: run on above, clearer": 1.70,
    "walls: the same past the head": 1.18,
    "head: clear": 3.71,
    "head: line outside": -0.09,
    "head: line inside": 1.52,
    "head: the same past a corner": -2.31,
    "head: up to the fainter corner": -0.85,
    "head: up to both corners": 2.06,
    "face: differs round the corners": -3.25,
    "face: differs round a corner": 0.29,
    "lower corners": 1.76,
    "lower corners, worse": -2.61,
    "lower corners: edges up to them": 1.15,
    "upper corners": -3.05,
    "upper corners, worse": 1.78,
    "upper corners: edges up to them": 2.17,
    "upper corners: an edge up to them": 0.44,
    "upper corners: edges past them": -2.67,
    "upper corners: an edge past them": -2.12,
    "depth: lines all along": 10.00,
    "depth: line all along, clearest": -3.54,
    "depth: lines at the corners": 4.33,
    "depth: lines begin": -1.82,
    "depth: line begins, clearest": -1.30,
    "depth: line begins above": -0.87,
    "depth: line begins below": -0.27,
    "depth: lines go on outward": -1.18,
    "depth: line goes on outward, clearest": -0.77,
    "depth: line inward only": 1.02,
    "": -17.13,
}
"""log odds that a candidate is the opening, by the clues of trace_choice.py; none of them has 0, "" is the constant"""
