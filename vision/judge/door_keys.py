"""The closed list of numbers that kinds of door are made of, in plain words, and what each form cannot do without."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from vision.judge.quantities import Dimension

Form = Literal["hinged", "panel-and-door", "screen", "fill", "sliding", "kit"]
"""How sizes come from readings: one leaf; a leaf beside a panel; a panel with a free edge; one piece wall to wall; panels
that pass each other; a kit by its range."""

OPENINGS = ("shower", "tub", "doorway", "window", "wall")


@dataclass(frozen=True)
class Key:
    """One number: its words on the order sheet and what it measures."""

    words: str
    dimension: Dimension = "length"
    may_be_zero: bool = False


NUMBERS: Mapping[str, Key] = MappingProxyType(
    {
        "grid": Key("sizes are rounded down to"),
        "glass_density": Key("density of glass", "density"),
        "glass_tolerance": Key("glass may come out larger by", may_be_zero=True),
        "thickness": Key("glass thickness"),
        "two_people_from": Key("two people carry from", "mass"),
        "three_people_from": Key("suction cups and a third hand from", "mass"),
        "two_hinges_mass": Key("two hinges carry up to", "mass"),
        "two_hinges_width": Key("two hinges hold a door up to"),
        "three_hinges_mass": Key("three hinges carry up to", "mass"),
        "three_hinges_width": Key("three hinges hold a door up to"),
        "panel_min": Key("narrowest panel"),
        "bow_limit": Key("bow of a wall up to"),
        "curb_level_limit": Key("curb out of level up to"),
        "curb_level_note": Key("curb out of level without a word up to"),
        "width_min": Key("narrowest opening"),
        "width_max": Key("widest opening"),
        "height_min": Key("lowest opening"),
        "height_max": Key("highest opening"),
        "clear_way": Key("clear way in at least"),
        "gap_hinge": Key("gap at the hinge side", may_be_zero=True),
        "gap_strike": Key("gap at the strike side", may_be_zero=True),
        "gap_glass": Key("gap from glass to glass", may_be_zero=True),
        "gap_panel": Key("gap from panel to wall", may_be_zero=True),
        "gap_bottom": Key("gap under the door", may_be_zero=True),
        "gap_panel_bottom": Key("gap under the panel", may_be_zero=True),
        "gap_top": Key("gap under the head", may_be_zero=True),
        "lean_hinge": Key("lean of the hinge wall up to", "slope"),
        "lean_square": Key("square glass up to a lean of", "slope"),
        "lean_taper": Key("tapered glass up to a lean of", "slope"),
        "lean_limit": Key("lean of a wall up to", "slope"),
        "door_width": Key("door width"),
        "door_min": Key("narrowest door"),
        "door_max": Key("widest door"),
        "panel_width": Key("panel width"),
        "panel_height": Key("panel height"),
        "screen_min": Key("narrowest screen"),
        "screen_max": Key("widest screen"),
        "overlap": Key("overlap of the panels"),
        "overlap_min": Key("overlap at least"),
        "side_allowance": Key("wall profiles and bumpers, both sides", may_be_zero=True),
        "header_less": Key("header shorter than the opening by", may_be_zero=True),
        "track_less": Key("track shorter than the opening by", may_be_zero=True),
        "take_up": Key("wall profile takes up a lean of, each side"),
        "kit_min": Key("narrowest opening that the kit fits"),
        "kit_max": Key("widest opening that the kit fits"),
        "less_width": Key("clearance in width, both sides"),
        "less_height": Key("clearance in height, both ends"),
        "diagonal_limit": Key("diagonals differ by at most"),
    }
)

FORMS: Mapping[Form, frozenset[str]] = MappingProxyType(
    {
        "hinged": frozenset({"gap_hinge", "gap_strike", "gap_bottom", "gap_top", "lean_hinge", "lean_square", "lean_taper"}),
        "panel-and-door": frozenset(
            {"door_width", "gap_hinge", "gap_glass", "gap_panel", "gap_bottom", "gap_panel_bottom", "gap_top", "lean_hinge"}
            | {"lean_square", "lean_taper"}
        ),
        "screen": frozenset({"gap_panel", "gap_panel_bottom", "gap_top", "lean_square", "lean_taper"}),
        "fill": frozenset({"less_width", "less_height"}),
        "sliding": frozenset({"overlap", "overlap_min", "side_allowance", "header_less", "track_less", "lean_limit"}),
        "kit": frozenset({"take_up", "lean_limit"}),
    }
)
"""Form -> numbers that its kinds must have."""

_ALL = frozenset(
    {"grid", "panel_min", "bow_limit", "curb_level_limit", "curb_level_note", "width_min", "width_max", "height_min"}
    | {"height_max", "clear_way"}
)
_GLASS = frozenset({"glass_density", "glass_tolerance", "thickness", "two_people_from", "three_people_from"})
_HUNG = frozenset(
    {"two_hinges_mass", "two_hinges_width", "three_hinges_mass", "three_hinges_width", "door_min", "door_max", "hinge_wall"}
)
_MORE: Mapping[Form, frozenset[str]] = MappingProxyType(
    {
        "hinged": _HUNG,
        "panel-and-door": _HUNG | {"panel_height"},
        "screen": frozenset({"panel_width", "panel_height", "screen_min", "screen_max", "hinge_wall"}),
        "fill": frozenset(),
        "sliding": frozenset({"panel_height", "take_up"}),
        "kit": frozenset({"kit_min", "kit_max", "header_less", "track_less"}),
    }
)
_PLUMB_FILL = frozenset({"lean_square", "lean_taper"})


def taken_by(form: Form, *, glass: bool, plumb: bool) -> frozenset[str]:
    """What a hardware sheet may say of a kind of this form: the numbers it uses, and `hinge_wall` where it has one.

    `glass`: whether glass is ordered; `plumb`: whether a piece from wall to wall stands plumb, else its diagonals count.
    """
    taken = _ALL | FORMS[form] | _MORE[form] | (_GLASS if glass else frozenset())
    if form == "fill":
        taken |= _PLUMB_FILL if plumb else {"diagonal_limit"}
    return taken | {"name", "glass"}
