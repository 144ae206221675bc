"""What goes in and out of POST /plans, as types."""

from __future__ import annotations

from typing import Annotated, Literal, NotRequired

from pydantic import Field, with_config
from typing_extensions import TypedDict

from api.schemas import CLOSED, Sd, SizeName
from api.schemas_facts import In
from vision.check import PlanRequest

Length = Annotated[str, Field(max_length=100, description="a length in any notation", examples=["56 in"])]


class PlanIn(In):
    """A photo that is not taken yet: the opening, from where, and which references will be where."""

    width: Length
    height: Length
    references: list[Annotated[str, Field(max_length=200)]] = Field(
        max_length=20,
        description="CARD [lying] PLACE [PLACE ...]; PLACE is left or right and top, middle or bottom joined by a hyphen, curb, "
        "or X,Y in mm from the foot of the left wall",
        examples=[["id-1 left-top right-bottom"]],
    )
    distance: Length = "2.4 m"
    focal_35mm: float | None = Field(default=26.0, description="35 mm equivalent; null where the file will carry none")
    head: bool = Field(default=True, description="false where nothing is above the opening")
    plumb_line: bool = Field(default=False, description="whether a plumb line will hang in the opening")
    unit: str | None = Field(default=None, description="unit of lengths that name none: in, ft, mm, cm or m")

    def request(self) -> PlanRequest:
        """As the one door wants it."""
        return PlanRequest(
            width=self.width,
            height=self.height,
            references=tuple(self.references),
            distance=self.distance,
            focal_35mm=self.focal_35mm,
            head=self.head,
            plumb_line=self.plumb_line,
            unit=self.unit,
        )


@with_config(CLOSED)
class PlannedOpening(TypedDict):
    """The opening as planned."""

    width_mm: float
    height_mm: float
    head: bool


@with_config(CLOSED)
class PlannedReference(TypedDict):
    """One reference: its centre from the foot of the left wall, and its sides along bottom and left edge."""

    kind: str
    centre_mm: list[float]
    sides_mm: list[float]


@with_config(CLOSED)
class PlannedSize(TypedDict):
    """What a size would be known to, and which slip of its reading would show."""

    value_mm: float
    u_mm: Sd
    budget_mm: dict[str, Sd]
    at_mm: NotRequired[float]
    smallest_visible_slip_mm: Sd
    smallest_visible_common_slip_mm: Sd
    vouched_for: Annotated[bool, Field(description="whether a reading that fits would be told to agree")]


@with_config(CLOSED)
class PlannedWalls(TypedDict, total=False):
    """What lean, taper and rack would be known to; leans need a plumb line."""

    u_lean_left_mm_per_m: Sd
    u_lean_right_mm_per_m: Sd
    u_taper_mm_per_m: Sd
    u_rack_mm_per_m: Sd


@with_config(CLOSED)
class ChangeOut(TypedDict):
    """One thing to do otherwise, and the largest u of the widths before and after."""

    text: str
    before_mm: Sd
    after_mm: Sd


@with_config(CLOSED)
class PlanOut(TypedDict):
    """A plan, format 1; `changes` stand in the order of what is left."""

    format: Literal[1]
    opening: PlannedOpening
    distance_mm: float
    references: list[PlannedReference]
    sizes: dict[SizeName, PlannedSize]
    walls: PlannedWalls
    changes: list[ChangeOut]
    warnings: Annotated[list[str], Field(description="why such a photo may be refused whatever its uncertainty")]
