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
    "curb: colour changes on the weakest quarter": 5.65,
    "curb: goes on beyond the walls": -3.48,
    "curb: walls beyond": -0.60,
    "curb: strip beside the wall differs, inside": 2.04,
    "curb: strip beside the wall differs, outside": -5.60,
    "curb: colour changes up to the wall": 1.63,
    "curb: stands out among its neighbours": -3.64,
    "curb: a line into the depth from both ends": 1.93,
    "head: strip beside the wall differs, inside": -0.39,
    "head: strip beside the wall differs, outside": -1.08,
    "head: walls just beyond": -1.38,
    "head: colour changes up to the wall": 2.72,
    "head: stands out among its neighbours": -3.24,
    "head: a thin line of another colour": -1.96,
    "head: a line into the depth from the fainter end": 0.10,
    "head: walls inside, joints left out": -0.54,
    "head: walls beyond, joints left out": -2.61,
    "walls: clear, fainter one": 2.34,
    "face: differs from what is inside": -0.37,
    "face: differs from what is inside, fainter": 2.82,
    "walls: line outside, clearer": -9.00,
    "walls: line outside": 9.56,
    "walls: line inside, clearer": -3.91,
    "walls: line inside": -0.62,
    "walls: run on below": 8.36,
    "curb: weakest quarter": -1.55,
    "curb: alike all along": 4.30,
    "curb: line inside": -1.33,
    "curb: runs on": 8.08,
    "curb: runs on, clearer": -7.33,
    "curb: the same past a corner": -0.65,
    "curb: up to the fainter corner": 0.18,
    "curb: up to both corners": 0.39,
    "no head": -0.08,
    "walls: run on above": -1.35,
    "walls: run on above, clearer": 1.99,
    "walls: the same past the head": 1.35,
    "head: clear": 2.91,
    "head: line outside": -0.96,
    "head: line inside": 0.25,
    "head: the same past a corner": -1.45,
    "head: up to the fainter corner": -0.66,
    "head: up to both corners": 1.88,
    "face: differs round the corners": -2.81,
    "face: differs round a corner": 0.25,
    "lower corners": 0.93,
    "lower corners, worse": -1.16,
    "lower corners: edges up to them": 0.63,
    "upper corners": -2.14,
    "upper corners, worse": 1.38,
    "upper corners: edges up to them": 2.51,
    "upper corners: an edge up to them": 0.06,
    "upper corners: edges past them": -3.91,
    "upper corners: an edge past them": -1.95,
    "depth: the eye is beside it": -2.81,
    "depth: lines all along": 9.43,
    "depth: line all along, clearest": -6.03,
    "depth: lines at the corners": 7.55,
    "depth: lines begin": -1.32,
    "depth: line begins, clearest": -0.77,
    "depth: line begins above": 0.19,
    "depth: line begins below": 0.48,
    "depth: lines go on outward": -1.44,
    "depth: line goes on outward, clearest": -0.94,
    "depth: line inward only": -0.27,
    "": -17.46,
}
"""log odds that a candidate is the opening, by the clues of trace_choice.py; none of them has 0, "" is the constant"""
