"""A rough size from references found at reduced scale: which of them agree, and what their scale makes of the outline."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vision.geometry.camera import camera_prior
from vision.geometry.cards import CardCandidate
from vision.geometry.seeing import inside_polygon
from vision.geometry.start import PlaneView, view_of_rectangle
from vision.photo.intake import Reduced
from vision.screening_reasons import Reason
from vision.settings import Settings

Array = NDArray[np.float64]
MOST_CANDIDATES = 8
"""references that people put up; more are tiles, and none of them carries a rough size"""
AGREE_SDS = 2.0
"""standard deviations by which two references' scales may differ and still be one"""
MOST_APART = 1 / 3
"""of a width; where references that contradict one another differ by more, none of them tells a size"""


@dataclass(frozen=True)
class Band:
    """A rough size (mm) with its sd, and how it came: "measured" by the check's adjustment or "estimated" from references."""

    width_mm: float
    u_width_mm: float
    height_mm: float | None
    u_height_mm: float | None
    how: str
    assumes: str | None = None
    """the kind of the one reference that it rests on, where nobody stated it"""


@dataclass(frozen=True)
class Estimate:
    """A rough size, or None; whether all references lie inside the outline, where they carry none (None: there are none); and
    the reason that two contradict each other."""

    band: Band | None
    all_inside: bool | None
    contradicted: tuple[Reason, ...] = ()


@dataclass(frozen=True)
class _Scale:
    """What one reference says: mm for one unit of the outline's plane, its relative sd, and how large it is seen (px^2)."""

    card: CardCandidate
    mm: float
    sd: float
    area_px2: float


@dataclass(frozen=True)
class References:
    """References found at reduced scale, and `doubtful` patches of the shape of one that may as well be tiles or fittings.

    `factor`: pixels of the photo for one of the picture in which they were found.
    """

    sure: tuple[CardCandidate, ...]
    doubtful: tuple[CardCandidate, ...]
    factor: float = 1.0

    def shortest_px(self) -> float:
        """The shorter side of the largest, in px of the picture in which they were found; 0 without any."""
        return max((_shorter_side(c.corners_px) for c in self.sure), default=0.0) / self.factor


def estimated(
    small: Reduced, corners: Array, found: References, settings: Settings, *, head: bool, stated: bool = False
) -> Estimate:
    """A rough size from the corners (4, 2) px as they are and the references.

    Its u holds what rough corners, the references' depth and their rough sides may do, and references that contradict one
    another. `stated`: whether anybody said of which kinds they are.
    """
    prior = camera_prior(*small.size_px, small.photo.focal_35mm, settings.camera)
    cards = [c for c in found.sure if c.kind is not None]
    outside = [c for c in cards if not inside_polygon(corners, c.corners_px, prior.f)]
    all_inside = not outside if cards else None
    view = view_of_rectangle(corners, prior, has_head=head)
    outline = view.on_plane(corners)
    if not 0 < len(outside) <= MOST_CANDIDATES or not np.all(np.isfinite(outline)):
        return Estimate(None, all_inside)
    scales = [s for c in outside if (s := _scale(c, view, found.factor * settings.screen.rough_side_px)) is not None]
    if not scales:
        return Estimate(None, all_inside)
    group, against = _agreeing(scales, settings)
    weights = np.array([s.sd**-2 for s in group])
    mm = float(np.exp(np.average([math.log(s.mm) for s in group], weights=weights)))
    side = float(1 / math.sqrt(np.mean(weights)))  # what makes one of a kind look too large does so to all of them
    apart = max((abs(s.mm / mm - 1) for s in against), default=0.0)
    scale = math.hypot(*small.size_px) / settings.camera.reference_diagonal_px
    corner = settings.screen.rough_corner_px * scale * math.sqrt(2) / float(np.linalg.norm(corners[1] - corners[0]))
    u = math.hypot(side, corner, settings.screen.rough_depth_mm / mm, prior.f_relative_sd / 2, apart)
    w, h = _sides(outline)
    said = (_contradiction(w, group, against),) if against else ()
    if apart > MOST_APART:
        return Estimate(None, all_inside, said)
    height, u_height = (h * mm, h * mm * u) if head else (None, None)
    lone = group[0].card
    assumes = lone.kind.name if lone.kind is not None and len(group) == 1 and not lone.known and not stated else None
    return Estimate(Band(w * mm, w * mm * u, height, u_height, "estimated", assumes), all_inside, said)


def _contradiction(width: float, group: Sequence[_Scale], against: Sequence[_Scale]) -> Reason:
    (one, mm), (other, more) = ((s.card.kind.name if s.card.kind else "", s.mm * width) for s in (group[0], against[0]))
    text = (
        f"what was taken for references contradicts itself: by one ({one}) the opening is about {mm:.0f} mm wide, by another "
        f"({other}) {more:.0f} mm; at least one is none, or not in the plane of the opening"
    )
    return Reason(
        "not-consistent", "rough", abs(more - mm), None, "mm between two widths", "the references' scales at 2 sd", text
    )


def scale_mm(card: CardCandidate, view: PlaneView) -> float | None:
    """mm for one unit of the outline's plane, by this reference; None where it does not lie on it."""
    plane = view.on_plane(card.corners_px)
    if card.kind is None or not np.all(np.isfinite(plane)):
        return None
    return math.sqrt(math.prod(card.sides_mm) / max(math.prod(_sides(plane)), 1e-18))


def _scale(card: CardCandidate, view: PlaneView, rough_side_px: float) -> _Scale | None:
    mm = scale_mm(card, view)
    if mm is None:
        return None
    return _Scale(card, mm, rough_side_px / _shorter_side(card.corners_px), float(np.ptp(card.corners_px, axis=0).prod()))


def _agreeing(scales: Sequence[_Scale], settings: Settings) -> tuple[list[_Scale], list[_Scale]]:
    """The most that agree (of as many, those with the largest), and, unless they are the majority, those against them."""

    def agrees(a: _Scale, b: _Scale) -> bool:
        depth = math.sqrt(2) * settings.screen.rough_depth_mm / min(a.mm, b.mm)
        return abs(math.log(a.mm / b.mm)) <= AGREE_SDS * math.hypot(a.sd, b.sd, depth)

    groups = [[b for b in scales if agrees(a, b)] for a in sorted(scales, key=lambda s: -s.area_px2)]
    group = max(groups, key=len)
    against = [s for s in scales if not any(s is g for g in group)]
    return group, against if len(against) >= len(group) else []


def _shorter_side(corners: Array) -> float:
    return float(np.linalg.norm(np.roll(corners, -1, axis=0) - corners, axis=1).min())


def _sides(quad: Array) -> tuple[float, float]:
    s = np.linalg.norm(np.roll(quad, -1, axis=0) - quad, axis=1)
    return float(s[0] + s[2]) / 2, float(s[1] + s[3]) / 2
