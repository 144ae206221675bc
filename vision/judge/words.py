"""The judge's sentences: what a suspect amount means, in words one can read out on the phone.

A known amount (an inch, a foot, a case length, a factor between units) is only a label put on a fitted amount that lies
within the stated number of standard deviations of it; labels never take part in the decision. Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from vision.units import MM_PER_INCH, inches_text

PLAIN_NAMES = {
    "width_top": "top width",
    "width_middle": "middle width",
    "width_bottom": "bottom width",
    "height_left": "left height",
    "height_middle": "middle height",
    "height_right": "right height",
    "diagonal_rising": "rising diagonal (bottom left to top right)",
    "diagonal_falling": "falling diagonal (top left to bottom right)",
    "plumb_left": "plumb of the left wall",
    "plumb_right": "plumb of the right wall",
    "curb_level": "level of the curb",
    "curb_fall": "fall of the curb",
    "bow_left": "bow of the left wall",
    "bow_right": "bow of the right wall",
}


@dataclass(frozen=True)
class Shown:
    """What the photo has already, so that nobody is asked for it again."""

    cards_all_round: bool = False
    vertical: bool = False

    def again(self, *, plumb: bool) -> str:
        """What to take the photo again with."""
        wanted = ["a plumb line in it"] if plumb and not self.vertical else []
        wanted += [] if self.cards_all_round else ["a reference card near each corner of the opening"]
        how = f"with {' and '.join(wanted)}" if wanted else "from nearer, straight on and in even light"
        return f"Take the photo again {how}"


@dataclass(frozen=True)
class _Known:
    """An amount that a known mistake makes, from `low` to `high`; what to say where the reading is long, and short."""

    low: float
    high: float
    long: str
    short: str


_LENGTHS = (
    _Known(
        MM_PER_INCH,
        MM_PER_INCH,
        "an inch (started at the one-inch mark, or read the wrong whole inch?)",
        "an inch (an inch taken off that was never added, or read the wrong whole inch?)",
    ),
    _Known(12 * MM_PER_INCH, 12 * MM_PER_INCH, "a foot (the wrong foot mark?)", "a foot (the wrong foot mark?)"),
    _Known(
        100.0,
        100.0,
        "10 cm (started at the 10 cm mark?)",
        "10 cm (10 cm taken off that were never added?)",
    ),
    _Known(
        2.5 * MM_PER_INCH,
        3.5 * MM_PER_INCH,
        "about a tape case, 2-1/2 to 3-1/2 in (the case added although the blade was bent into the corner?)",
        "about a tape case, 2-1/2 to 3-1/2 in (the case not added?)",
    ),
)
"""exact amounts first, then the range of tape cases"""

_FACTORS = (
    _Known(25.4, 25.4, "millimetres taken for inches?", "inches taken for millimetres?"),
    _Known(2.54, 2.54, "centimetres taken for inches?", "inches taken for centimetres?"),
    _Known(10.0, 10.0, "millimetres taken for centimetres?", "centimetres taken for millimetres?"),
)


def plain_names(names: Sequence[str], *, last: str = "and") -> str:
    """'top width', 'top width and left height', 'top width, middle width and left height'; `last` is the last joining word."""
    words = [PLAIN_NAMES.get(name, name.replace("_", " ")) for name in names]
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} {last} {words[-1]}"


def way_of(name: str, amount_mm: float) -> str:
    """Which way a reading is off: long or short, or for a level reading the direction it says too much of."""
    if name.startswith(("plumb", "bow")):
        return "too far into the opening" if amount_mm > 0 else "too far out of the opening"
    if name == "curb_level":
        return "too high on the right" if amount_mm > 0 else "too high on the left"
    return "long" if amount_mm > 0 else "short"


def length_explanation(names: Sequence[str], amount_mm: float, u_mm: float, *, reach: float, everything: bool = False) -> str:
    """A sentence for an amount added to one reading, or the same amount to several (or to `everything`).

    `reach` is how many standard deviations a known amount may be away.
    """
    size = f"{inches_text(abs(amount_mm))} ({abs(amount_mm):.1f} mm, give or take {2 * u_mm:.1f} mm)"
    way = way_of(names[0], amount_mm)
    subject = "all readings alike are" if everything else f"the {plain_names(names)} alike read"
    if len(names) == 1:
        subject = f"the {plain_names(names)} reads"
    fits = [
        known.long if amount_mm > 0 else known.short
        for known in _LENGTHS
        if known.low - reach * u_mm <= abs(amount_mm) <= known.high + reach * u_mm and way in ("long", "short")
    ]
    return f"{subject} {size} {way}{_what_fits(fits)}"


def factor_explanation(factor: float, u_factor: float, *, reach: float) -> str:
    """A sentence for all readings being `factor` times what the photo says."""
    size, sd = (factor, u_factor) if factor >= 1.0 else (1.0 / factor, u_factor / factor**2)
    fits = [
        known.long if factor >= 1.0 else known.short for known in _FACTORS if abs(size - known.low) <= reach * sd * max(1.0, size)
    ]
    return f"all readings are {factor:.4g} times what the photo says (give or take {2 * u_factor:.2g}){_what_fits(fits)}"


def _what_fits(fits: Sequence[str]) -> str:
    return f"; this fits {', or '.join(fits)}" if fits else ""
