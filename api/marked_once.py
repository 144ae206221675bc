"""One thing is marked once: a string or a card that is marked twice would count as two witnesses that agree."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import combinations

from vision.check import CheckRequest
from vision.errors import BadInput

SAME_PX = 20.0
"""px; two rough marks (15 px each) of one line lie within this across it; no two strings or levels hang so close"""
Point = tuple[float, float]


def require_once(request: CheckRequest) -> None:
    """BadInput where two plumb lines, levels or joints, or two cards' corners in one photo mark the same thing, or a card is said
    twice to be level."""
    strings = [((one.photo, "plumb line"), one.line) for one in request.plumb_lines]
    lines = [((one.photo, one.kind), one.line) for one in request.lines]
    for what, marks in (("plumb line", strings), ("level or joint", lines)):
        for (i, (here, a)), (k, (there, b)) in combinations(enumerate(marks, 1), 2):
            if here == there and _same_line(a, b):
                raise _twice(what, i, k)
    for (i, one), (k, two) in combinations(enumerate(request.card_corners, 1), 2):
        if one.photo == two.photo and math.dist(_centre(one.corners), _centre(two.corners)) < SAME_PX:
            raise _twice("card corners", i, k)
    for number in request.level_cards:
        if request.level_cards.count(number) > 1:
            raise BadInput("level card", f"card {number} twice", "each card once", "leave one of the two out")


def _twice(what: str, first: int, second: int) -> BadInput:
    found = f"number {second} lies on number {first}"
    remedy = f"leave one of the two out: {what} {second} is no second witness"
    return BadInput(what, found, "each thing marked once", remedy)


def _same_line(a: Sequence[Point], b: Sequence[Point]) -> bool:
    """True where both ends of one segment lie near the other's line and the two overlap."""
    (x, y), (u, v) = a
    length = math.dist(a[0], a[1])
    if length == 0:
        return False
    d = (u - x) / length, (v - y) / length
    across = [abs((p - x) * d[1] - (q - y) * d[0]) for p, q in b]
    along = sorted((p - x) * d[0] + (q - y) * d[1] for p, q in b)
    return max(across) < SAME_PX and along[0] < length and along[1] > 0


def _centre(corners: Sequence[Point]) -> Point:
    return sum(x for x, _ in corners) / len(corners), sum(y for _, y in corners) / len(corners)
