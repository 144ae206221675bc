"""Sides of a card that are seen in one place from a rough curve and in another from a better one: either may be the border."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from vision.geometry.edges import EdgePoints
from vision.geometry.seen import SeenCard

STEADY_PX = 0.3
"""px at 12 MP; a side that moves by less when it is observed again is the same (19 of 20 sides move by less than 0.36)"""
EITHER = 0.45
"""share of the move that stays as a doubt: of 28 sides of cards in rooms of three authors that moved by half a pixel or more,
eight were right before and the others after, so an error is all of it in about one case of four"""


def observed_twice(card: SeenCard, again: Sequence[EdgePoints | None], scale: float) -> SeenCard:
    """The card with its sides as observed again (those that were not keep their points), and a doubt of those that moved."""
    moved = [max(m, _apart_px(old, new)) for m, old, new in zip(card.moved_px, card.sides, again, strict=True)]
    sides = (_doubted(new or old, m, scale) for old, new, m in zip(card.sides, again, moved, strict=True))
    bottom, right, top, left = moved
    return replace(card, sides=tuple(sides), moved_px=(bottom, right, top, left))


def _doubted(points: EdgePoints | None, moved_px: float, scale: float) -> EdgePoints | None:
    if points is None or moved_px <= STEADY_PX * scale:
        return points
    return replace(points, bias_sd_px=float(np.hypot(points.bias_sd_px, EITHER * moved_px)))


def _apart_px(old: EdgePoints | None, new: EdgePoints | None) -> float:
    """How far (px) one observation of a side lies beside another on average; 0 where there are no two."""
    if old is None or new is None or new is old:
        return 0.0
    centre = old.points_px.mean(axis=0)
    normal = np.linalg.svd(old.points_px - centre, full_matrices=False)[2][1]
    return abs(float(((new.points_px - centre) @ normal).mean()))
