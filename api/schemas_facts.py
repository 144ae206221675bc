"""What comes in over HTTP, as types: the facts of a check."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from api.schemas import Corners, Point


class In(BaseModel):
    """Base of what comes in: frozen; an unknown key or another JSON type is an error, not guessed at."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False, strict=True)


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
    kind: str = Field(description="a4, letter, id-1, sheet, quarter or WxHmm, with what a CARD text may add")
    corners: Corners


class PlumbLineIn(In):
    """Two rough points on a plumb line seen in the photo."""

    photo: int = Field(default=1, ge=1, description="number of the photo, from 1")
    line: list[Point] = Field(min_length=2, max_length=2)


class LevelIn(PlumbLineIn):
    """Two rough points along one long side of a spirit level, standing or lying, its bubble in the middle.

    With its length (mm) it is a reference too; then the points are two of its corners.
    """

    length: float | None = Field(default=None, description="mm, the whole length", examples=[1828.8])
    length_sd: float | None = Field(default=None, description="mm, its standard deviation (1 unless stated)")
    offset: float | None = Field(
        default=None, description="mm, depth of the level's face behind the opening plane, negative in front (-25 unless stated)"
    )
    offset_sd: float | None = Field(default=None, description="mm, its standard deviation (2, or 5 where no depth is stated)")


class SideJointIn(PlumbLineIn):
    """Two rough points on a joint or edge that runs back on a side wall, level from front to back."""

    side: Literal["left", "right"]


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
    corners_within_px: float | None = Field(
        default=None,
        description="px of the full-size photo, 1 to 40: how well `corners` are marked (15 unless stated)",
        examples=[4],
    )
    plumb_lines: list[PlumbLineIn] = Field(default_factory=list, max_length=50)
    level_cards: list[int] = Field(default_factory=list, max_length=50, description="numbers of cards set with a level")
    levels: list[LevelIn] = Field(default_factory=list, max_length=50, description="spirit levels in the photos")
    grout_lines: list[PlumbLineIn] = Field(
        default_factory=list, max_length=50, description="joints between tiles that a tiler set by level, two rough points each"
    )
    side_joints: list[SideJointIn] = Field(
        default_factory=list, max_length=50, description="joints on the side walls, which say how these go back to the door line"
    )
    level_curb: bool = Field(default=False, description="take the curb as level where nothing better is vertical")
    door_line: float | None = Field(
        default=None, description="mm behind the wall face of the plane to be measured, as the middle of the curb", examples=[60]
    )
    door_line_sd: float | None = Field(default=None, description="mm, its standard deviation (3 unless stated)")
    head: bool = Field(default=True, description="false where nothing is above the opening")
    height: str | None = Field(default=None, description="height of the opening, any notation", examples=["80 in"])
    door: str | None = Field(default=None, description="kind of door to work out sizes for", examples=["hinged-door"])
    hardware: dict[str, str | dict[str, str]] | None = Field(
        default=None, description="hardware sheet: numbers that overrule the built-in ones", examples=[{"gap_strike": "5 mm"}]
    )
