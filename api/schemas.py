"""What goes out and what comes in over HTTP, as types: the report (format 1), the facts of a check, and problem details."""

from __future__ import annotations

from typing import Annotated, Any, Literal, NotRequired

from pydantic import BaseModel, ConfigDict, Field, TypeAdapter, with_config
from typing_extensions import TypedDict

from api.schemas_closure import ClosureOut, QuestionOut, ReadingName, SlipOut
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
class WallOut(TypedDict, total=False):
    """One wall; lean + = top into the opening, bow + = middle into the opening."""

    lean_mm_per_m: float
    u_lean_mm_per_m: Sd
    bow_mm: float
    u_bow_mm: Sd


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


@with_config(CLOSED)
class CurbOut(TypedDict, total=False):
    """The curb; level + = right end higher, against_head + = the height grows to the right."""

    level_mm_per_m: float
    u_level_mm_per_m: Sd
    against_head_mm_per_m: float
    u_against_head_mm_per_m: Sd


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
    photo_mm: float | None
    u_photo_mm: Sd | None
    difference_mm: Annotated[float | None, Field(description="tape minus photo")]
    verdict: Literal["agrees", "suspect", "cannot tell"]
    smallest_visible_slip_mm: Sd | None
    smallest_visible_common_slip_mm: Sd | None
    explanations: list[ExplanationOut]


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
    reasons: list[FindingOut]
    next: list[str]


@with_config(CLOSED)
class ReportOut(TypedDict):
    """The report of one check, format 1. All `u_` values are one standard deviation; numbers are unrounded."""

    format: Literal[1]
    cards: list[CardOut]
    sizes: SizesOut
    proportions: ProportionsOut
    walls: WallsOut
    curb: CurbOut
    not_measured: dict[QuantityName, CannotMeasureOut]
    readings: dict[ReadingName, ReadingOut]
    closure: ClosureOut
    slips: list[SlipOut]
    questions: list[QuestionOut]
    findings: list[FindingOut]
    order: OrderOut
    cannot_measure: NotRequired[CannotMeasureOut]


def report_schema() -> dict[str, Any]:
    """JSON schema (draft 2020-12) of format 1."""
    return TypeAdapter(ReportOut).json_schema()


class In(BaseModel):
    """Base of what comes in: frozen, and a key that is not known is an error rather than ignored."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


class ReadingIn(In):
    """A reading with what belongs to it: a width its height above the curb, a level reading its direction and length."""

    text: str = Field(description="the reading as written", examples=["56 1/4"])
    at: str | None = Field(default=None, description="height above the curb, any notation; widths only", examples=["72 in"])
    way: str | None = Field(default=None, description="direction of a level reading", examples=["into", "left low"])
    over: str | None = Field(default=None, description="length a level reading was read over", examples=["72 in"])


class SecondSetIn(In):
    """A further set of readings: by whom, and with which tape (the same, or the class of another one)."""

    by: str | None = Field(default=None, description="who read this set; leave out for the same person")
    tape: str | None = Field(default=None, description="same (default), or the class of another tape")
    readings: dict[str, str | ReadingIn] = Field(default_factory=dict)


class CardCornersIn(In):
    """Corners of a card, or of a pane or tile of known size, pointed out by hand."""

    photo: int = Field(default=1, ge=1, description="number of the photo, from 1")
    kind: str = Field(description="a4, letter, id-1 or WxHmm, with what a CARD text may add")
    corners: Corners


class PlumbLineIn(In):
    """Two rough points on a plumb line seen in the photo."""

    photo: int = Field(default=1, ge=1, description="number of the photo, from 1")
    line: list[Point] = Field(min_length=2, max_length=2)


class Facts(In):
    """Everything about a check but the photos. Every key may be left out."""

    unit: str | None = Field(default=None, description="unit of readings that name none: in, ft, mm, cm or m")
    decimal_comma: bool = Field(default=False, description="whether 142,8 means 142.8")
    tape: str | None = Field(default=None, description="us (default), class-1, class-2 or class-3")
    control_tape: str | None = Field(
        default=None, description="same (default) or other: did the same tape measure the cards' lengths"
    )
    readings: dict[str, str | ReadingIn] = Field(default_factory=dict, description="readings by name, as written")
    second: list[SecondSetIn] = Field(default_factory=list, max_length=20, description="further sets of the same readings")
    by: str | None = Field(default=None, description="who read the first set")
    level_length: str | None = Field(default=None, description="length of the level, for plumb readings", examples=["72 in"])
    cards: list[str] = Field(default_factory=list, max_length=50, description="CARD texts, as on the command line")
    card_offset: float | None = Field(default=None, description="mm behind the opening plane, for all cards")
    card_corners: list[CardCornersIn] = Field(default_factory=list, max_length=50)
    corners: list[Corners | None] = Field(
        default_factory=list, max_length=50, description="rough corners of the opening, one entry per photo, null for none"
    )
    plumb_lines: list[PlumbLineIn] = Field(default_factory=list, max_length=50)
    level_cards: list[int] = Field(default_factory=list, max_length=50, description="numbers of cards set with a level")
    head: bool = Field(default=True, description="false where nothing is above the opening")
    height: str | None = Field(default=None, description="height of the opening, any notation", examples=["80 in"])


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
