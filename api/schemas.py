"""What goes out over HTTP, as types: the report (format 1) and problem details. What comes in: `api/schemas_facts.py`."""

from __future__ import annotations

from typing import Annotated, Any, Literal, NotRequired

from pydantic import BaseModel, ConfigDict, Field, TypeAdapter, with_config
from typing_extensions import TypedDict

from api.schemas_closure import ClosureOut, QuestionOut, ReadingName, SlipOut
from api.schemas_door import DoorOut
from vision.errors import CODES

CLOSED = ConfigDict(extra="forbid", allow_inf_nan=False)
"""No key that is not described, no number that is not finite."""

Point = Annotated[list[float], Field(min_length=2, max_length=2, description="[x, y] in pixels of the upright photo")]
Corners = Annotated[list[Point], Field(min_length=4, max_length=4, description="bottom-left, bottom-right, top-right, top-left")]
Code = Annotated[str, Field(json_schema_extra={"enum": sorted(CODES)}, description="a code of the closed list")]
Sd = Annotated[float, Field(ge=0, description="one standard deviation")]
SizeName = Literal[
    "width_top", "width_middle", "width_bottom", "height_left", "height_right", "diagonal_rising", "diagonal_falling"
]
QuantityName = Literal[
    SizeName, "width_over_height", "top_over_bottom_width", "left_over_right_height", "lean_left", "lean_right",
    "bow_left", "bow_right", "taper", "rack", "curb_level", "curb_against_head", "plumb_rectangle",
]  # fmt: skip


@with_config(CLOSED)
class CardOut(TypedDict):
    """One reference card, numbered as in the pictures."""

    number: int
    photo: int
    kind: str
    corners_px: Corners
    offset_mm: Annotated[float, Field(description="depth of the card's plane behind the opening plane")]
    u_offset_mm: Sd
    used: bool
    why_not_used: NotRequired[Annotated[str, Field(description="only where it is not used")]]


@with_config(CLOSED)
class SizeOut(TypedDict):
    """One size of the opening as the photo has it; the squares of `budget_mm` add up to the square of `u_mm`."""

    value_mm: float
    u_mm: Sd
    budget_mm: dict[str, Sd]


@with_config(CLOSED)
class WidthOut(SizeOut):
    """A width, parallel to the curb, `at_mm` above it."""

    at_mm: float


@with_config(CLOSED)
class SizesOut(TypedDict, total=False):
    """The sizes that were measured."""

    width_top: WidthOut
    width_middle: WidthOut
    width_bottom: WidthOut
    height_left: SizeOut
    height_right: SizeOut
    diagonal_rising: SizeOut
    diagonal_falling: SizeOut


@with_config(CLOSED)
class RatioOut(TypedDict):
    """A proportion, which needs no scale."""

    value: float
    u: Sd


@with_config(CLOSED)
class ProportionsOut(TypedDict, total=False):
    """The proportions that were measured."""

    width_over_height: RatioOut
    top_over_bottom_width: RatioOut
    left_over_right_height: RatioOut


@with_config(CLOSED)
class ShapePointOut(TypedDict):
    """Where a wall stands at one height above the curb; + is into the opening."""

    at_mm: float
    value_mm: float
    u_mm: Sd


@with_config(CLOSED)
class WallOut(TypedDict, total=False):
    """One wall; lean + = top into the opening, bow + = middle into the opening."""

    lean_mm_per_m: float
    u_lean_mm_per_m: Sd
    lean_budget_mm_per_m: Annotated[dict[str, float], Field(description="sd by source; squares add up to the lean's u squared")]
    bow_mm: float
    u_bow_mm: Sd
    shape: Annotated[list[ShapePointOut], Field(description="lean and bow over the height; 1.96 u_mm is the 95 % band")]
    shape_against: Annotated[
        Literal["plumb", "chord"],
        Field(description="distance from a plumb line through the foot, or from foot to top (bow alone)"),
    ]


@with_config(CLOSED)
class VerticalOut(TypedDict):
    """One vertical and how far it is off the others; beyond three u_off it is a finding."""

    name: str
    off_mm_per_m: float
    u_off_mm_per_m: Sd


@with_config(CLOSED)
class WallsOut(TypedDict, total=False):
    """Both walls; taper = -(lean left + lean right), rack = (lean left - lean right) / 2 + curb level."""

    left: WallOut
    right: WallOut
    taper_mm_per_m: float
    u_taper_mm_per_m: Sd
    rack_mm_per_m: float
    u_rack_mm_per_m: Sd
    plumb_rectangle_mm: float
    u_plumb_rectangle_mm: Sd
    vertical: Literal["plumb line", "level", "card", "grout", "gravity", "curb", "several"]
    verticals: Annotated[list[VerticalOut], Field(description="each vertical that others control, held against them")]


@with_config(CLOSED)
class CurbOut(TypedDict, total=False):
    """The curb; level + = right end higher, against_head + = the height grows to the right."""

    level_mm_per_m: float
    u_level_mm_per_m: Sd
    level_budget_mm_per_m: dict[str, float]
    against_head_mm_per_m: float
    u_against_head_mm_per_m: Sd


@with_config(CLOSED)
class OutlineOut(TypedDict):
    """The outline of one photo: marked by a person or found by the program; no corners where it was in doubt."""

    photo: int
    by: Literal["person", "program"]
    corners_px: NotRequired[Corners]
    confidence: NotRequired[Annotated[float, Field(ge=0, le=1)]]
    candidates_px: NotRequired[list[Corners]]


@with_config(CLOSED)
class SideWallOut(TypedDict):
    """How one side wall goes back from its arris; flare + = the opening grows wider, in mm per m of depth."""

    flare_mm_per_m: float
    u_flare_mm_per_m: Sd
    seen: Annotated[bool, Field(description="whether the photo shows it; else it is taken as square, within u")]


@with_config(CLOSED)
class DoorLineOut(TypedDict, total=False):
    """The plane behind the arrises that sizes are given for; empty where they are those at the arrises."""

    depth_mm: float
    u_depth_mm: Sd
    left: SideWallOut
    right: SideWallOut


@with_config(CLOSED)
class CannotMeasureOut(TypedDict):
    """Why a value, or the whole photo, could not be measured, and what to do."""

    stage: str
    code: Code
    found: str
    needed: str
    remedy: str


@with_config(CLOSED)
class ExplanationOut(TypedDict):
    """One known way to bring readings into agreement with the photo."""

    code: Literal["slip", "factor", "constant"]
    readings: list[ReadingName]
    amount_mm: float
    u_amount_mm: Sd
    text: str


@with_config(CLOSED)
class ReadingOut(TypedDict):
    """One tape reading, judged; null where the photo has no counterpart."""

    text: str
    tape_mm: float
    u_tape_mm: Sd
    photo_mm: Annotated[
        float | None,
        Field(
            description="with u_photo_mm as large as itself where the scale is refused: it then speaks by shape, and is no size"
        ),
    ]
    u_photo_mm: Sd | None
    difference_mm: Annotated[float | None, Field(description="tape minus photo")]
    verdict: Literal["agrees", "suspect", "cannot tell"]
    smallest_visible_slip_mm: Sd | None
    smallest_visible_common_slip_mm: Sd | None
    explanations: list[ExplanationOut]
    texts: NotRequired[Annotated[list[str], Field(description="all readings of this length, where it was read more than once")]]
    smallest_mm: NotRequired[Annotated[float, Field(description="the smallest of them: sizes to order are made from it")]]
    smallest_text: NotRequired[str]


@with_config(CLOSED)
class FindingOut(TypedDict):
    """A finding or a reason to hold: its code, the fact, and who does what next."""

    code: Code
    text: str
    next: str


@with_config(CLOSED)
class OrderOut(TypedDict):
    """Ready or on hold; `governing_width_mm` is absent while a width is suspect or none is given."""

    status: Literal["ready", "hold"]
    governing_width_mm: NotRequired[float]
    governing_reading: NotRequired[ReadingName]
    door: NotRequired[DoorOut]
    reasons: list[FindingOut]
    next: list[str]


@with_config(CLOSED)
class ReportOut(TypedDict):
    """The report of one check, format 1. All `u_` values are one standard deviation; numbers are unrounded."""

    format: Literal[1]
    outline: list[OutlineOut]
    cards: list[CardOut]
    sizes: SizesOut
    proportions: ProportionsOut
    walls: WallsOut
    curb: CurbOut
    door_line: DoorLineOut
    not_measured: dict[QuantityName, CannotMeasureOut]
    readings: dict[ReadingName, ReadingOut]
    recorded: dict[str, str]
    closure: ClosureOut
    slips: list[SlipOut]
    questions: list[QuestionOut]
    findings: list[FindingOut]
    notes: Annotated[list[FindingOut], Field(description="what else was seen; it holds nothing")]
    unseen: list[str]
    order: OrderOut
    cannot_measure: NotRequired[CannotMeasureOut]


def report_schema() -> dict[str, Any]:
    """JSON schema (draft 2020-12) of format 1."""
    return TypeAdapter(ReportOut).json_schema()


class Problem(BaseModel):
    """Problem details (RFC 9457), with what was found, what was needed, and what to do."""

    model_config = ConfigDict(extra="forbid")

    type: str = Field(description="kind of problem", examples=["about:blank"])
    title: str
    status: int
    detail: str
    found: str
    needed: str
    remedy: str


class Health(BaseModel):
    """Alive, and how many checks are under way or waiting."""

    status: Literal["ok"]
    checks: int
