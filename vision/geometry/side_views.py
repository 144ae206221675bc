"""Sides of a card as the fits take them, whatever the card is: where outward is, what lies beside, which way points run."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from vision.geometry.card_side import SideFacts, SideView, observe_sides
from vision.geometry.edges import EdgePoints
from vision.geometry.start import PlaneView
from vision.geometry.strips import Strip
from vision.settings import EdgeSettings

Array = NDArray[np.float64]
CARD_SHARE = 0.35
"""share of a card's size that is looked at beside its sides"""


@dataclass(frozen=True)
class Around:
    """What is known when a card's sides are fitted: the plane as seen so far, and the blur (px) of the photo's clean edges."""

    view: PlaneView
    blur_px: float


def seen_sides(views: Sequence[SideView | None], *, trim: float, settings: EdgeSettings) -> tuple[EdgePoints | None, ...]:
    """The sides of one card together, None where one cannot be seen."""
    found = observe_sides(views, trim=trim, settings=settings)
    return tuple(None if v is None else directed(p, v.extent) for p, v in zip(found, views, strict=True))


def outside_of(strip: Strip, curve: Array, extent: tuple[float, float], centre: Array) -> int:
    """+1 where positions grow away from the card's centre."""
    at = float(np.interp(float(np.mean(extent)), np.arange(strip.lines), curve))
    return 1 if (centre[1] if strip.transposed else centre[0]) < at else -1


def outward_normal(ends: Array, centre: Array) -> Array:
    """Unit normal (2,) of a line through two points (2, 2), away from a centre."""
    along = ends[1] - ends[0]
    normal = np.array([-along[1], along[0]]) / np.linalg.norm(along)
    return np.asarray(normal if normal @ (ends.mean(axis=0) - centre) > 0 else -normal)


def side_view(strip: Strip, ends: Array, curve: Array, centre: Array, *, facts: SideFacts, foot: Array) -> SideView:
    """One side of a card near `curve`, between its corners `ends` (2, 2) px."""
    extent = strip.extent(ends[0], ends[1])
    normal = outward_normal(ends, centre)
    facts = replace(facts, outside=outside_of(strip, curve, extent, centre), foot_px=float(foot @ normal), down=float(normal[1]))
    return SideView(strip, curve, extent, facts, CARD_SHARE * 2 * float(normal @ (ends.mean(axis=0) - centre)))


def directed(points: EdgePoints | None, extent: tuple[float, float]) -> EdgePoints | None:
    """`along` runs from the edge's first end to its second, whichever way the scan lines run."""
    if points is None or extent[0] < extent[1]:
        return points
    return replace(points, along=-points.along)
