"""A card that stands off its plane as an explanation of a contradiction, beside what may be wrong with the readings.

A card off by x changes the photo's sizes by x times `effect`, so the differences d = tape - photo by a = -x effect; the photo
itself has an opinion m +- s of x, which is independent of its sizes. What is left of d and of that opinion together,

    T(x) = (d - a x)' M (d - a x) + ((x - m) / s)^2 - (m / s)^2        with x within REACH_MM

ranks with the T of all other hypotheses (x = 0 leaves T(nothing)).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from vision.gaussian import Array

REACH_MM = 100.0
"""mm; a card further off than this is seen to be by anyone who looks at the picture (a ledge, a block or a niche is less)"""


@dataclass(frozen=True)
class PlaneDoubt:
    """One card: `seen_mm` +- `u_mm` off its plane as the photo has it (u may be infinite), change of each size per mm."""

    card: int
    seen_mm: float
    u_mm: float
    effect: Mapping[str, float]


@dataclass(frozen=True)
class PlaneFound:
    """This card, this far off its plane (mm, + toward the camera) explains the differences but for `left` (T)."""

    card: int
    off_mm: float
    u_mm: float
    left: float


def standing_off(doubts: Sequence[PlaneDoubt], names: Sequence[str], whiten: Array, residual: Array) -> tuple[PlaneFound, ...]:
    """Each card's best distance off its plane; `whiten` (k, n) and `residual` (k,) are whitened, nuisances taken out."""
    found = []
    for doubt in doubts:
        a = whiten @ np.array([-doubt.effect.get(name, 0.0) for name in names])
        sharp = 0.0 if not np.isfinite(doubt.u_mm) else doubt.u_mm**-2
        information = float(a @ a) + sharp
        if information <= 0:
            continue
        x = float(np.clip((float(a @ residual) + sharp * doubt.seen_mm) / information, -REACH_MM, REACH_MM))
        left = float(np.sum((residual - a * x) ** 2)) + sharp * ((x - doubt.seen_mm) ** 2 - doubt.seen_mm**2)
        found.append(PlaneFound(doubt.card, x, information**-0.5, left))
    return tuple(sorted(found, key=lambda one: one.left))


def plane_words(found: Sequence[PlaneFound]) -> str:
    """What would bring everything into agreement, in words."""
    return " or ".join(
        f"card {one.card} standing {abs(one.off_mm):.0f} mm (give or take {2 * one.u_mm:.0f} at 95 %) "
        f"{'in front of' if one.off_mm > 0 else 'behind'} its plane, or of another size accordingly,"
        for one in found
    )
