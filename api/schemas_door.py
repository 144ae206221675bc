"""The order for a kind of door, as it goes out under `order.door`."""

from __future__ import annotations

from typing import Annotated, Literal, NotRequired

from pydantic import ConfigDict, Field, with_config
from typing_extensions import TypedDict

from vision.errors import CODES

CLOSED = ConfigDict(extra="forbid", allow_inf_nan=False)
Code = Annotated[str, Field(json_schema_extra={"enum": sorted(CODES)}, description="a code of the closed list")]
Side = Literal["left", "right"]
Trust = Literal[
    "published", "published, from memory", "common practice", "common practice, from memory", "our default", "hardware sheet",
]  # fmt: skip


@with_config(CLOSED)
class NumberOut(TypedDict):
    """One number of the hardware: as written, in its unit, how far to trust it, and whose it is."""

    key: str
    text: str
    value: float
    unit: Literal["mm", "mm/m", "kg", "kg/m3"]
    trust: Trust
    source: str
    owner: str


@with_config(CLOSED)
class RoomOut(TypedDict):
    """What is left of a gap when everything runs against it: gap and rounding, less the rest."""

    gap_mm: float
    rounding_mm: float
    glass_mm: float
    tape_95_mm: float
    shape_95_mm: float
    same_way_mm: float
    left_mm: float


@with_config(CLOSED)
class OrderSizeOut(TypedDict):
    """One size to order once every hold is cleared; without `value_mm` it is withheld, `because` says why."""

    name: str
    status: Literal["given", "withheld"]
    rule: str
    because: list[Code]
    value_mm: NotRequired[float]
    room: NotRequired[RoomOut]


@with_config(CLOSED)
class PaneOut(TypedDict):
    """One piece of glass, seen from outside: widths at bottom and top, heights left and right."""

    name: str
    thickness: str
    bottom_mm: float
    top_mm: float
    left_mm: float
    right_mm: float
    area_m2: float
    mass_low_kg: float
    mass_kg: float
    people: int
    tapered_edge: NotRequired[Side]
    square_edge: NotRequired[Side]
    hinges: NotRequired[int]


@with_config(CLOSED)
class GapOut(TypedDict):
    """What is left open along one edge, at its two ends."""

    edge: str
    ends: list[str]
    first_mm: float
    second_mm: float
    middle_mm: NotRequired[
        Annotated[float, Field(description="least gap where the middle width was taken, if the walls' belly is all on this one")]
    ]


@with_config(CLOSED)
class HoldOut(TypedDict):
    """A limit that is crossed, or a number that is not known; `limit` says whose limit it is."""

    code: Code
    text: str
    next: str
    decides: str
    limit: NotRequired[NumberOut]


@with_config(CLOSED)
class ReminderOut(TypedDict):
    """Something to keep in mind, with its source; it decides nothing."""

    text: str
    trust: Trust
    source: str


@with_config(CLOSED)
class DoorOut(TypedDict):
    """Sizes for one kind of door, to be ordered by a person once every hold is cleared."""

    kind: str
    title: str
    opening: str
    sizes: list[OrderSizeOut]
    panes: list[PaneOut]
    gaps: list[GapOut]
    holds: list[HoldOut]
    questions: list[str]
    reminders: list[ReminderOut]
    numbers: list[NumberOut]
    hinge_wall: NotRequired[Side]
    either_wall: NotRequired[
        Annotated[bool, Field(description="neither wall is shown to be better for the hinges: hinge_wall is only worked out for")]
    ]
    hardware: NotRequired[str]
