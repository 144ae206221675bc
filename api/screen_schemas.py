"""What goes in and out of POST /screenings, as types."""

from __future__ import annotations

from typing import Annotated, Any, Literal, NotRequired

from pydantic import Field, with_config
from typing_extensions import TypedDict

from api.schemas import CLOSED, Corners
from api.schemas_facts import In
from vision.errors import SCREEN_CODES

ScreenCode = Annotated[str, Field(json_schema_extra={"enum": sorted(SCREEN_CODES)}, description="a code of the closed list")]


class ScreenFacts(In):
    """What is said about all photos; corners for each photo, or null where the program is to find the outline."""

    cards: list[Annotated[str, Field(max_length=200)]] = Field(default=[], max_length=20, description="CARD texts as in a check")
    head: bool = Field(default=True, description="false where nothing is above the opening")
    corners: list[Corners | None] = Field(default=[], max_length=100, description="rough corners of each photo's opening")


@with_config(CLOSED)
class ReasonOut(TypedDict):
    """A measured value beyond its limit, with unit and source; no value where it is a condition."""

    code: ScreenCode
    level: Literal["rough", "again"]
    value: float | None
    limit: float | None
    unit: str
    source: str
    text: str


@with_config(CLOSED)
class BandOut(TypedDict):
    """A rough size: by the check's own adjustment, or estimated from one reference."""

    how: Literal["measured", "estimated"]
    width_mm: Annotated[float, Field(description="the narrowest width where it is measured")]
    u_width_mm: Annotated[float, Field(ge=0, description="one standard deviation of width_mm, as this photo tells it")]
    height_mm: NotRequired[float]
    u_height_mm: NotRequired[Annotated[float, Field(ge=0, description="one standard deviation of height_mm, likewise")]]
    assumes: NotRequired[Annotated[str, Field(description="kind of the one reference it rests on, where nobody stated it")]]


@with_config(CLOSED)
class ScreeningOut(TypedDict):
    """What is said of one photo, with the message to send back and its drawing (SVG)."""

    format: Literal[1]
    name: str
    sha256: str
    verdict: Literal["good to measure", "good for a rough quote only", "ask again"]
    reasons: list[ReasonOut]
    facts: dict[str, float]
    outline: Literal["marked", "proposed", "not known"]
    references: list[str]
    message: str
    drawing: str
    band: NotRequired[BandOut]
    better_u_width_mm: NotRequired[
        Annotated[
            float,
            Field(
                ge=0,
                description="one standard deviation of the least certain width, as planned for a photo of the same opening taken "
                "straight on with a measured sheet on either side; not this photo's",
            ),
        ]
    ]


@with_config(CLOSED)
class ScreeningsOut(TypedDict):
    """One answer for each photo, in their order."""

    format: Literal[1]
    photos: list[ScreeningOut]


ANSWER: dict[int | str, dict[str, Any]] = {200: {"description": "An answer for each photo", "model": ScreeningsOut}}
