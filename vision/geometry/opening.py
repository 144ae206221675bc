"""The record of a measured opening."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from vision.errors import CannotMeasure, Finding
from vision.gaussian import Gaussian
from vision.geometry.camera import Camera
from vision.geometry.lens import bent, straightened

SIZES = ("width_top", "width_middle", "width_bottom", "height_left", "height_right", "diagonal_rising", "diagonal_falling")
WIDTHS = SIZES[:3]
PROPORTIONS = ("width_over_height", "top_over_bottom_width", "left_over_right_height")
OTHERS = (
    "lean_left",
    "lean_right",
    "bow_left",
    "bow_right",
    "taper",
    "rack",
    "curb_level",
    "curb_against_head",
    "plumb_rectangle",
)
NO_VERTICAL = ("lean_left", "lean_right", "curb_level", "plumb_rectangle")
"""what hangs on a vertical"""
QUANTITIES = SIZES + PROPORTIONS + OTHERS


@dataclass(frozen=True)
class CardSeen:
    """One reference card in one photo, as numbered for the user (from 1, photo by photo, left to right)."""

    number: int
    photo: int
    kind: str
    corners_px: NDArray[np.float64]
    """shape (4, 2), bottom-left, bottom-right, top-right, top-left of the upright photo"""
    offset_mm: float
    """depth of the card's plane behind the opening plane"""
    u_offset_mm: float
    used: bool
    why: str = ""
    """where it is not used: why not"""


@dataclass(frozen=True)
class CardPlane:
    """How far card `number` may stand off its stated plane, toward the camera: what the photo makes of it, and what it does.

    `seen_mm` with `u_mm` is the distance that fits the photo best (u infinite where it cannot be seen); `effect` is the change of
    each size for each mm that it really stands off.
    """

    number: int
    seen_mm: float
    u_mm: float
    effect: Mapping[str, float]


@dataclass(frozen=True)
class PhotoGeometry:
    """What the pictures of the report need of one photo."""

    width: int
    height: int
    edges_px: Mapping[str, NDArray[np.float64]]
    """left, right, curb, head: polylines of shape (n, 2) where the adjusted edge is seen"""
    H_image_wall: NDArray[np.float64] | None
    """3 x 3, maps wall millimetres (x, y, 1) to pixels; the lens term is left out (for looking at only)"""
    marked: frozenset[str] = frozenset()
    """edges that were not seen, for which the marked corners stand"""
    number: int = 1
    """of the photo, in the order in which they were given"""
    camera: Camera | None = None
    """as adjusted; None where the lens bends nothing"""
    verticals_px: Mapping[str, NDArray[np.float64]] = field(default_factory=dict)
    """plumb lines, spirit levels and joints, by the names that `VerticalSeen` has: ends (2, 2) of what was followed of each"""

    def straightened(self, points_px: NDArray[np.float64]) -> NDArray[np.float64]:
        """Pixels (n, 2) of the photo as `H_image_wall` has them."""
        return points_px if self.camera is None else straightened(points_px, self.camera)

    def bent(self, points_px: NDArray[np.float64]) -> NDArray[np.float64]:
        """Pixels (n, 2) of `H_image_wall` where the photo shows them."""
        return points_px if self.camera is None else bent(points_px, self.camera)


@dataclass(frozen=True)
class WallShape:
    """Lean and bow of one wall over its height: heights above the curb, distance into the opening and its sd, each (n,) mm.

    `against` is "plumb" (a plumb line through the foot) or "chord" (the line from foot to top: bow alone).
    """

    at_mm: NDArray[np.float64]
    value_mm: NDArray[np.float64]
    u_mm: NDArray[np.float64]
    against: str


@dataclass(frozen=True)
class VerticalSeen:
    """How far one vertical is off against everything else, with the sd of that difference (mm/m)."""

    name: str
    off_mm_per_m: float
    u_off_mm_per_m: float

    @property
    def score(self) -> float:
        """In sd."""
        return self.off_mm_per_m / self.u_off_mm_per_m


@dataclass(frozen=True)
class DoorLine:
    """The plane that the sizes are those of: its depth behind the arrises (mm), and how the side walls go back to it.

    `flares` by "left" and "right": how much wider each makes the opening (mm per m of depth), and its sd; `seen` are the walls
    on which a joint that runs back was followed, the others are taken as square within their sd.
    """

    depth_mm: float
    u_depth_mm: float
    flares: Mapping[str, tuple[float, float]]
    seen: tuple[str, ...]


@dataclass(frozen=True)
class Opening:
    """Everything the photos say.

    `quantities` holds those of QUANTITIES that could be measured: sizes and plumb_rectangle and bows in mm, leans, taper,
    rack, curb_level and curb_against_head in mm/m, proportions as ratios. Where the scale is refused it holds no sizes but
    `shape` still has all sizes with one more source "scale" of relative sd 1, for the judge only.
    """

    quantities: Gaussian
    shape: Gaussian | None
    """the seven sizes for the judge (those measurable); equals quantities' sizes where the scale is not refused"""
    at_mm: Mapping[str, float]
    """height above the curb of each measured width"""
    vertical: str | None
    """"plumb line", "card", "several" or None"""
    has_head: bool
    scale_refused: bool
    not_measured: Mapping[str, CannotMeasure]
    cards: tuple[CardSeen, ...]
    findings: tuple[Finding, ...] = ()
    photos: tuple[PhotoGeometry, ...] = ()
    height_mm: float | None = None
    """mean height of the opening (or the stated height where there is no head)"""
    smallest_width_mm: float | None = None
    """the narrowest width between the walls at any height"""
    wall_shapes: Mapping[str, WallShape] = field(default_factory=dict)
    """"left" and "right"; empty where the scale is refused"""
    verticals: tuple[VerticalSeen, ...] = ()
    """those that others control"""
    door_line: DoorLine | None = None
    """where it was stated; sizes are then those at the door line"""
    diagnostics: Mapping[str, float] = field(default_factory=dict)
    card_planes: tuple[CardPlane, ...] = ()
    """of the cards that carry the sizes"""
    unseen: tuple[str, ...] = ()
    """what these photos cannot tell of their cards, as sentences"""
