"""What the walls let nobody order: taper and lean against their limit, and the plumb rectangle between them.

Limits are common practice, no source; the hardware sheet overrules them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from vision.gaussian import Gaussian
from vision.judge.verdicts import Reason
from vision.judge.words import WHERE_TAKEN, Shown
from vision.settings import OrderSettings
from vision.units import lean_text, length_text

_NAMES = {"lean_left": "left wall", "lean_right": "right wall"}
_LEVEL = "Level both walls: hold a level of 48 in or more against each and write down amount and direction."
NAMED_MM_PER_M = 0.4
"""1/32 in over 72 in; a rack of less is not worth a word"""
_PLUMB = "Hang a plumb line in the plane of the opening and take the photo again."


def wall_reasons(
    walls: Gaussian | None,
    shown: Shown,
    settings: OrderSettings,
    *,
    asked: bool,
    photo_taken: bool,
    square: Gaussian | None = None,
) -> Iterator[Reason]:
    """Taper and each wall's lean, known and shown to be within the limit: |value| + 2u.

    `shown` is what the photo has already; `asked` where another photo is asked for anyway; `square` holds the rack (mm/m), by
    photo or diagonals, where it is known: it needs no vertical, and without one it is all that speaks of walls that lean alike.
    """
    known = () if walls is None else walls.names
    unknown = not {"lean_left", "lean_right", "taper"} <= set(known)
    photo = _next_photo(shown, asked=asked)
    if unknown:
        by_photo = "nothing in the photo tells it well enough, and no plumb readings that close do"
        witness = by_photo if photo_taken else "there is no photo, and there are no plumb readings that close"
        text = f"how far the walls lean is not known: {witness}{_out_of_square(square, settings)}"
        yield Reason("level-both-walls", text, f"{_LEVEL}{photo}")
    names = [name for name in ("taper", "lean_left", "lean_right") if walls is not None and name in known]
    unsure = [name for name in names if walls is not None and _is_unsure(walls, name, settings)]
    for name in names:
        assert walls is not None
        yield from _within(name, walls, f"{_LEVEL}{photo}" if unknown else f"Level {_which(unsure)} by hand.{photo}", settings)


def _out_of_square(square: Gaussian | None, settings: OrderSettings) -> str:
    """What the rack says of walls whose leans are not known: nothing where it is not shown, or too small to name."""
    if square is None or "rack" not in square.names:
        return ""
    rack, reach = square.value("rack"), settings.lean_coverage * square.u("rack")
    if abs(rack) <= reach or abs(rack) < NAMED_MM_PER_M:
        return ""
    size = f"{_over_six_feet(rack)} over 72 in, give or take {_over_six_feet(reach)} at 95 %"
    return (
        f"; but together they are out of square to the curb by {size}: were the curb level, they would on average lean to the "
        f"{'right' if rack > 0 else 'left'}"
    )


def _reach(walls: Gaussian, name: str, settings: OrderSettings) -> tuple[float, float]:
    """|value| and what is added to it before it is held against the limit, mm/m."""
    return abs(walls.value(name)), settings.lean_coverage * walls.u(name)


def _is_unsure(walls: Gaussian, name: str, settings: OrderSettings) -> bool:
    """Within the limit as it is, but not shown to be; or beyond it, but so uncertain that not even its direction is shown."""
    value, reach = _reach(walls, name, settings)
    return value <= max(settings.lean_limit * 1000.0, reach) and value + reach > settings.lean_limit * 1000.0


def _within(name: str, walls: Gaussian, if_unsure: str, settings: OrderSettings) -> Iterator[Reason]:
    """Nothing where |value| + 2u is inside the limit; else a reason that says whether it is out, or just not shown."""
    value, limit = walls.value(name), settings.lean_limit * 1000.0
    size_mm_per_m, reach = _reach(walls, name, settings)
    if size_mm_per_m + reach <= limit:
        return
    code = "taper-over-limit" if name == "taper" else "lean-over-limit"
    size = f"{_over_six_feet(size_mm_per_m)} over 72 in, give or take {_over_six_feet(reach)} at 95 %"
    allowed = f"{_over_six_feet(limit)} is the limit"
    if name == "taper":
        way = f"{'wider' if value > 0 else 'narrower'} at the top than at the bottom"
        fact = f"the opening is {way} by {size}; {allowed}"
        unsure = f"taper cannot be shown to be within the limit: it is {size}; {allowed}"
        action = "Someone must decide: a tapered edge, a kind of door that takes it up, or the wall corrected first."
    else:
        wall = _NAMES[name]
        fact = f"the {wall} leans {'into' if value > 0 else 'out of'} the opening at the top by {size}; {allowed}"
        unsure = f"the {wall} cannot be shown to lean less than the limit: it is {size}; {allowed}"
        action = f"Level the {wall} and write down amount and direction; then someone must decide which door takes it up."
    if _is_unsure(walls, name, settings):
        yield Reason(code, unsure, if_unsure)
    else:
        yield Reason(code, fact, action)


def _which(unsure: Sequence[str]) -> str:
    """The walls to level by hand: all that cannot be shown to be within the limit, in one step."""
    return f"the {_NAMES[unsure[0]]}" if len(unsure) == 1 and unsure[0] in _NAMES else "both walls"


def _next_photo(shown: Shown, *, asked: bool) -> str:
    """What a photo could do about the walls; where one is asked for already, only what it should have besides."""
    if asked:
        return "" if shown.vertical else " Or hang a plumb line in the plane of the opening for the next photo."
    again = shown.again(plumb=True)
    return f" Or {again[:1].lower()}{again[1:]}."


def _over_six_feet(mm_per_m: float) -> str:
    return lean_text(mm_per_m * 72 * 25.4 / 1000.0)


def rectangle_reasons(walls: Gaussian | None, smallest_mm: float | None, settings: OrderSettings) -> Iterator[Reason]:
    """The plumb rectangle against the smallest width, both by the witness of the walls; silent where the leans are unknown."""
    if walls is None or not {"lean_left", "lean_right"} <= set(walls.names):
        return
    if smallest_mm is None and "plumb_rectangle" in walls.names:
        text = (
            "what the walls' lean takes from the smallest width is not known: at what heights the widths were taken is not stated"
        )
        yield Reason("rectangle-too-narrow", text, WHERE_TAKEN)
        return
    if smallest_mm is None or "plumb_rectangle" not in walls.names:
        text = "the widest plumb rectangle between the walls is not known"
        yield Reason("rectangle-too-narrow", text, f"Measure all three widths and level both walls. {_PLUMB}")
        return
    short = smallest_mm - walls.value("plumb_rectangle")
    if short > settings.rectangle_limit_mm:
        text = (
            f"a plumb rectangle between the walls is {length_text(short)} narrower than the smallest width: the walls lean "
            "the same way, and equal widths do not show it"
        )
        action = "Level both walls, write down amount and direction, and let someone decide: a square door does not fit here."
        yield Reason("rectangle-too-narrow", text, action)
