"""The records of what was seen in each photo and what the user states, on the way to the adjustment."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from vision.geometry.cards import CardFacts, CardSpec
from vision.geometry.edges import EdgePoints
from vision.geometry.lines import SeenLine
from vision.geometry.look import CardLook, Look
from vision.geometry.rivals import Beside
from vision.geometry.start import PlaneView
from vision.settings import CardSettings

Array = NDArray[np.float64]
LEAST_OF_DEPTH = 0.05
"""share of the scale on the plane, below which no stated depth takes it"""
IN_PLANE_MM = 30.0
"""mm; nearer to the opening plane than this a card needs something there to be stuck to"""


@dataclass(frozen=True)
class SeenCard:
    """One card of one photo: what was seen of it and what is stated about it."""

    number: int
    photo: int
    look: CardLook
    spec: CardSpec
    corners_px: Array
    sides: tuple[EdgePoints | None, ...]
    inside: bool = False
    alone: bool = False
    """True where it has control lengths of its own and shares no size error"""
    used: bool = True
    why: str = ""
    """where it is not used: why not"""
    moved_px: tuple[float, float, float, float] = (0.0, 0.0, 0.0, 0.0)
    """px; how far each side (bottom, right, top, left) went when it was observed once more along a better curve"""
    doubted_mm: float = 0.0
    """mm; how far off its plane it may stand beyond what is stated, of a card that contradicts and is used all the same"""

    @property
    def offset_mm(self) -> float:
        """Depth behind the opening plane as stated, else that of a card lying on it."""
        return -self.spec.kind.thickness_mm if self.spec.offset_mm is None else self.spec.offset_mm

    def offset_sd_mm(self, settings: CardSettings) -> float:
        """sd of the offset that all cards stated alike share."""
        return self.spec.offset_sd_mm if self.spec.offset_sd_mm is not None else settings.offset_common_sd_mm

    @property
    def plane_unknown(self) -> bool:
        """True for a card that cannot lie in the opening plane and whose offset is not stated."""
        return self.inside and self.spec.offset_mm is None

    @property
    def floats(self) -> bool:
        """True for a card found inside the outline of which a statement about all of its kind says that it lies in the plane."""
        offset = self.spec.offset_mm
        return self.inside and offset is not None and abs(offset) < IN_PLANE_MM and not self.look.candidate.known


@dataclass(frozen=True)
class SeenPhoto:
    """One usable photo: its look, first view, refined corners (4, 2) px, outline points, plumb lines and cards."""

    look: Look
    view: PlaneView
    corners_px: Array
    outline: Mapping[str, EdgePoints]
    plumb: tuple[tuple[Array, EdgePoints], ...]
    cards: tuple[SeenCard, ...] = ()
    lines: tuple[SeenLine, ...] = ()
    beside: Mapping[str, Beside] = field(default_factory=dict)
    """edges of which two lines may be the one meant; `outline` has them moved already"""
    unclear: Mapping[str, float] = field(default_factory=dict)
    """edges that stand in `outline` as their corners were marked: px between two equally clear lines, 0 where there is no line"""
    second: tuple[SeenCard, ...] = ()
    """the same cards, none of them used, and sheets that contradict them, used: what else may carry the scale"""
    plumb_alike: tuple[int, ...] = ()
    """for each plumb line how many lines beside it look like it and stand in one row with it, as joints do"""

    @property
    def used(self) -> tuple[SeenCard, ...]:
        """The cards that take part."""
        return tuple(c for c in self.cards if c.used)

    def leaving_out(self, reasons: Mapping[int, str]) -> SeenPhoto:
        """The photo with some cards set aside, by number, and why."""
        gone = {n: why for n, why in reasons.items() if any(c.used and c.number == n for c in self.cards)}
        return replace(
            self, cards=tuple(replace(c, used=False, why=gone[c.number]) if c.number in gone else c for c in self.cards)
        )


@dataclass(frozen=True)
class Demands:
    """What the user states beside the photos, mm; `control_scale_sd` is the tape's relative share in control lengths."""

    cards: CardFacts
    has_head: bool
    height_mm: float | None
    at_mm: dict[str, float]
    level_cards: tuple[int, ...]
    control_scale_sd: float
    """0 where another tape measured the control lengths"""
    level_curb: bool = False
    """whether the curb was said to be level"""
    door_line_mm: tuple[float, float] | None = None
    """depth behind the wall face of the plane that is to be measured, and its sd"""


def squared_to_curb(photo: SeenPhoto) -> tuple[PlaneView, Array]:
    """The view with x along the curb, and the corners (4, 2) in its unit."""
    plane = photo.view.on_plane(photo.corners_px)
    d = plane[1] - plane[0]
    c, s = d / np.linalg.norm(d)
    turn = np.array([[c, s], [-s, c]])
    R = photo.view.R.copy()
    R[:, :2] = photo.view.R[:, :2] @ turn.T
    return PlaneView(R, photo.view.origin, photo.view.camera), plane @ turn.T


def opening_width_by(card: SeenCard, photo: SeenPhoto) -> float:
    """Width of the opening at the curb (mm) that this card alone implies in the first view; good to a percent or two.

    A card at a depth d behind the plane looks smaller than on it by D / (D + d), D the camera's distance from the plane.
    """
    view, corners = squared_to_curb(photo)
    plane = view.on_plane(card.corners_px)
    s = np.linalg.norm(np.roll(plane, -1, axis=0) - plane, axis=1)
    w, h = card.spec.size_mm or (card.spec.kind.width_mm, card.spec.kind.height_mm)
    on_it = math.sqrt(w * h / max(float((s[0] + s[2]) * (s[1] + s[3]) / 4), 1e-18))
    unit = on_it - card.offset_mm / max(abs(float(view.R[:, 2] @ view.origin)), 1e-9)
    return max(unit, LEAST_OF_DEPTH * on_it) * float(corners[1, 0])
