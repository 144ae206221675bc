"""The judge's sentences: what a suspect amount means, in words one can read out on the phone.

How much, and which way; which known slip that may be is said in one place only, by `slips.py`, which tries all of them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from vision.names import plain_names
from vision.units import inches_text


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


def measure_again(names: Sequence[str]) -> str:
    """What to do about readings in doubt, in one step whatever it is that doubts them."""
    how = "without looking at the list and from the hook, and to read out twice"
    return f"Ask whoever measured to measure again, {how}: the {plain_names(names)}."


def first_the_slip(names: Sequence[str], ask: str, otherwise: str) -> str:
    """The one known slip that fits is asked about before anything is measured again: that costs a look at the sheet or a call."""
    rest = f"{otherwise[:1].lower()}{otherwise[1:]}"
    return f"First ask about the {plain_names(names)}, where one known slip fits: {ask} If it was not that: {rest}"


BEYOND_TWO, IN_SEVERAL = "in a way that no one or two mistakes explain", "in more than one or two readings"
"""how readings contradict where nothing explains it, and where no single ones do but one known slip in several does"""
WHERE_TAKEN = "State the height of the opening, or how far above the curb each width was taken (at)."
"""what is asked where nobody knows at what height the widths were taken"""
ALL_AGAIN = "Measure all readings again, with a second tape, and take a new photo with the card in the plane of the opening."


def way_of(name: str, amount_mm: float) -> str:
    """Which way a reading is off: long or short, or for a level reading the direction it says too much of."""
    if name.startswith(("plumb", "bow")):
        return "too far into the opening" if amount_mm > 0 else "too far out of the opening"
    if name == "curb_level":
        return "too high on the right" if amount_mm > 0 else "too high on the left"
    return "long" if amount_mm > 0 else "short"


def length_explanation(names: Sequence[str], amount_mm: float, u_mm: float, *, everything: bool = False) -> str:
    """A sentence for an amount added to one reading, or the same amount to several (or to `everything`)."""
    size = f"{inches_text(abs(amount_mm))} ({abs(amount_mm):.1f} mm, give or take {2 * u_mm:.1f} mm at 95 %)"
    subject = "all readings alike are" if everything else f"the {plain_names(names)} alike read"
    if len(names) == 1:
        subject = f"the {plain_names(names)} reads"
    return f"{subject} {size} {way_of(names[0], amount_mm)}"


def factor_explanation(factor: float, u_factor: float) -> str:
    """A sentence for all readings being `factor` times what the photo says."""
    return f"all readings are {factor:.4g} times what the photo says (give or take {2 * u_factor:.2g} at 95 %)"
