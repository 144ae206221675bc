"""The tape against itself, known slips and questions, as they go out."""

from __future__ import annotations

from typing import Annotated, Literal, NotRequired

from pydantic import ConfigDict, Field, with_config
from typing_extensions import TypedDict

from vision.errors import QUESTION_CODES

CLOSED = ConfigDict(extra="forbid", allow_inf_nan=False)
Sd = Annotated[float, Field(ge=0, description="one standard deviation")]
LengthName = Literal[
    "width_top", "width_middle", "width_bottom", "height_left", "height_right", "diagonal_rising", "diagonal_falling",
    "height_middle",
]  # fmt: skip
ReadingName = Literal[LengthName, "plumb_left", "plumb_right", "curb_level", "bow_left", "bow_right"]


@with_config(CLOSED)
class ClosedReadingOut(TypedDict):
    """One reading in the figure of all readings; level readings as signed amounts over their length."""

    value_mm: float
    u_mm: Sd
    redundancy: Annotated[float, Field(ge=0, le=1, description="share of a slip that shows in this reading's residual")]
    w: NotRequired[Annotated[float, Field(description="standardised residual (Baarda); absent where nothing checks the reading")]]
    smallest_slip_mm: NotRequired[
        Annotated[float, Field(ge=0, description="smallest slip that the readings alone would show; absent where none would")]
    ]
    adjusted_mm: float
    u_adjusted_mm: Sd
    alike: Annotated[list[ReadingName], Field(description="readings whose slips cannot be told from this one's")]


@with_config(CLOSED)
class FigureLengthOut(TypedDict):
    """A length of the adjusted figure."""

    value_mm: float
    u_mm: Sd


@with_config(CLOSED)
class FigureSlopeOut(TypedDict):
    """A slope of the adjusted figure."""

    value_mm_per_m: float
    u_mm_per_m: Sd


@with_config(CLOSED)
class ClosureOut(TypedDict, total=False):
    """The tape against itself; empty without readings. `redundancy` counts the independent checks."""

    redundancy: int
    closes: bool
    readings: dict[ReadingName, ClosedReadingOut]
    figure: dict[str, FigureLengthOut | FigureSlopeOut]
    text: list[str]


@with_config(CLOSED)
class SlipOut(TypedDict):
    """A known slip that would bring all readings into agreement, or the word that none fits (code "none")."""

    code: str
    readings: list[ReadingName]
    exact: bool
    amount_mm: NotRequired[
        Annotated[float, Field(description='reading less what it should be, on the first of the readings; not with code "none"')]
    ]
    text: str
    question: str
    named: Annotated[bool, Field(description="false: it fits, but an error of no meaning would have matched it too easily")]


@with_config(CLOSED)
class QuestionOut(TypedDict):
    """Something to ask before ordering; it holds nothing."""

    code: Annotated[str, Field(json_schema_extra={"enum": sorted(QUESTION_CODES)})]
    readings: list[ReadingName]
    text: str
    ask: str
