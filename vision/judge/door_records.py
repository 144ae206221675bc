"""What the judge says about one kind of door: sizes, glass, gaps, holds. Lengths in mm, masses in kg. No arithmetic here.

Seen from outside, left and right as in the photo. A size is given or withheld, never both; nothing here is an order.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from vision.judge.doors import Door, Number

Side = Literal["left", "right"]


@dataclass(frozen=True)
class Room:
    """Whether a size still goes in when everything runs against it.

    `left_mm` = gap and rounding, less what the glass may come out larger, less the tape and the wall shape at 95 %
    (added in quadrature), less the walls' common lean where it was not taken off the size.
    """

    gap_mm: float
    rounding_mm: float
    glass_mm: float
    tape_95_mm: float
    shape_95_mm: float
    same_way_mm: float
    left_mm: float


@dataclass(frozen=True)
class OrderSize:
    """One size to order. `value_mm` is None while withheld, and `withheld` holds the codes that say why."""

    name: str
    words: str
    value_mm: float | None
    withheld: tuple[str, ...]
    rule: str
    """how it comes from the readings, in words with each number's label"""
    room: Room | None = None


@dataclass(frozen=True)
class Pane:
    """One piece of glass as the fabricator needs it: widths at bottom and top, heights left and right.

    With a `tapered_edge` the edge on that side is not square to the bottom; the opposite edge is.
    """

    name: str
    thickness: str
    bottom_mm: float
    top_mm: float
    left_mm: float
    right_mm: float
    tapered_edge: Side | None
    at_x_mm: float
    """where its bottom left corner stands, from the foot of the left wall"""
    at_y_mm: float
    """how far its bottom edge stands above the curb"""
    area_m2: float
    mass_low_kg: float
    mass_kg: float
    """by the thicker reading of the nominal thickness; limits are held against this one"""
    people: int
    hinges: int | None = None
    """how many hinges carry it, None where it hangs on none or more than the table knows would be needed"""

    @property
    def square_edge(self) -> Side | None:
        """The edge that is square to the bottom where the other one is tapered."""
        return None if self.tapered_edge is None else ("right" if self.tapered_edge == "left" else "left")


@dataclass(frozen=True)
class Gap:
    """What is left open along one edge, at its two ends (bottom and top, or left and right)."""

    edge: str
    first_mm: float
    second_mm: float
    ends: tuple[str, str] = ("bottom", "top")
    middle_mm: float | None = None
    """what is left at least where the middle width was taken, if the belly of the walls is all on this one; None without one"""

    @property
    def least_mm(self) -> float:
        """The smallest of what is known of it."""
        return min(self.first_mm, self.second_mm, *(() if self.middle_mm is None else (self.middle_mm,)))


@dataclass(frozen=True)
class Hold:
    """A limit that is crossed or a number that is not known: the fact, who decides, what next, and whose limit it is."""

    code: str
    text: str
    next: str
    decides: str
    limit: Number | None = None


@dataclass(frozen=True)
class DoorOrder:
    """Sizes to order once every hold is cleared, for one kind of door."""

    door: Door
    sizes: tuple[OrderSize, ...]
    panes: tuple[Pane, ...]
    gaps: tuple[Gap, ...]
    holds: tuple[Hold, ...]
    questions: tuple[str, ...]
    hinge_wall: Side | None = None
    either_wall: bool = False
    """neither wall is shown to be better for the hinges: `hinge_wall` is only the one that the sizes were worked out for"""
    used: tuple[Number, ...] = ()
    """every number that entered, in the order of the data"""
