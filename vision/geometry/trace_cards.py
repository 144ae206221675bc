"""References as a clue to the outline: people put them on the wall beside the opening, and their scale tells its size.

The finder looks in the squared picture, where every patch of the opening's plane has its true proportions.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from vision.geometry.by_shape import find_cards
from vision.geometry.camera import CameraPrior
from vision.geometry.cards import CardCandidate
from vision.geometry.one_thing import ends_at_corners, one_thing
from vision.geometry.trace_choice import Choice
from vision.geometry.trace_frame import FINE, Squared
from vision.geometry.trace_weights import REFERENCES
from vision.settings import CARD_KINDS, Settings

Array = NDArray[np.float64]
PLAUSIBLE_MM = (500.0, 2500.0)
"""mm; width of a shower's opening: doors are made for about 600 to 2000 (common practice, no source), widened"""
EDGE_SHARE = 0.9
"""of a reference's size; what of it must be on both sides of an edge to lie across it"""


def references(square: Squared, prior: CameraPrior, settings: Settings) -> list[CardCandidate]:
    """What is surely a reference and no tile; corners in px of the small picture. `prior` is the photo's."""
    high, wide = square.fine.shape[:2]
    its = replace(prior, cx=(wide - 1) / 2, cy=(high - 1) / 2, f=prior.f * wide / (2 * prior.cx + 1))
    found = find_cards(square.fine, tuple(CARD_KINDS.values()), None, its, settings)
    sure = [c for c in found if c.kind and one_thing(square.fine, c) and ends_at_corners(square.fine, c.corners_px)]
    return [replace(c, corners_px=(c.corners_px + 0.5) / FINE - 0.5) for c in sure]


def with_references(choices: Sequence[Choice], none: float, cards: Sequence[CardCandidate]) -> tuple[list[Choice], float]:
    """The candidates and the share of "none of them" with the references' say, likeliest first."""
    odds = np.array([c.share for c in choices]) * np.exp([clues_of(c.corners, cards) @ np.array(REFERENCES) for c in choices])
    total = float(odds.sum()) + none
    shared = [replace(c, share=float(s) / total) for c, s in zip(choices, odds, strict=True)]
    return sorted(shared, key=lambda c: -c.share), none / total


def clues_of(corners: Array, cards: Sequence[CardCandidate]) -> Array:
    """Of an outline (4, 2): 1 or 0 for a reference across one of its edges, and for one beside it at a plausible width."""
    width = float(np.linalg.norm(corners[1] - corners[0]))
    across = beside = False
    for card in cards:
        quad = card.corners_px
        inside = _inside(corners, quad.mean(axis=0) + EDGE_SHARE * (quad - quad.mean(axis=0)))
        d, e = quad[2] - quad[0], quad[3] - quad[1]
        mm = width * float(np.sqrt(np.prod(card.sides_mm) / max(abs(d[0] * e[1] - d[1] * e[0]) / 2, 1e-9)))
        gap = max(corners[:, 0].min() - quad[:, 0].max(), quad[:, 0].min() - corners[:, 0].max())
        across |= bool(inside.any() and not inside.all())
        beside |= bool(not inside.any() and PLAUSIBLE_MM[0] < mm < PLAUSIBLE_MM[1] and gap < width)
    return np.array([float(across), float(beside)])


def _inside(corners: Array, points: Array) -> NDArray[np.bool_]:
    """Which points (n, 2) lie within an outline."""
    bl, br, tr, tl = corners
    x, y = points.T
    left, right = (np.interp(y, [top[1], foot[1]], [top[0], foot[0]]) for top, foot in ((tl, bl), (tr, br)))
    head, curb = (np.interp(x, [a[0], b[0]], [a[1], b[1]]) for a, b in ((tl, tr), (bl, br)))
    return np.asarray((x > left) & (x < right) & (y > head) & (y < curb))
