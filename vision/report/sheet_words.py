"""Words of the order sheet that do not depend on the check, and the letters that say whose number stands there."""

from __future__ import annotations

from collections.abc import Sequence

from vision.judge.door_keys import NUMBERS
from vision.judge.doors import Door, Number
from vision.units import inches_text

CANNOT_TELL = (
    "How far the walls lean toward you or away from you: put a level on each wall.",
    "Whether the walls stand square to the curb, how deep the returns are, whether the curb falls to the inside.",
    "Backing, pipes and wires behind the tile.",
    "An eighth of an inch: one reading alone is not that certain either; measuring again is what helps.",
)
"""what one straight-on photo does not show"""

CAUTIONS = (
    "Tempered glass cannot be cut, drilled or notched afterwards. A wrong size is scrap.",
    "Safety glazing: every pane near a shower or tub must be of a kind that the code allows, and carries its permanent mark.",
    "Carry glass upright on its edge; wear gloves, long sleeves, glasses and shoes; set it down on wood or rubber, not on "
    "tile; have the way free first.",
    "Before drilling find out what is behind: wires, pipes, vents, heating. No hammer on tile; keep the dust wet or "
    "in a vacuum: it holds silica.",
    "Check with the local building authority or a licensed glazier. This sheet is no substitute for either; it orders nothing.",
)

TO_SIGN = (
    "Measured and read back by",
    "Order compared with this sheet, figure by figure, by",
    "Drawing and swing agreed by the customer",
)
TO_FILL = ("Job and room", "Measured on", "Tape and place of the line")

READY = "Every condition that this check can see is met. A person decides, signs, and orders."
HOLD = "Do not order yet. Someone must clear each hold below first."
NO_DOOR = "No kind of door was stated, so no sizes were worked out."

SHORT_NAMES = {"plumb_left": "left plumb", "plumb_right": "right plumb", "curb_level": "curb level", "curb_fall": "curb fall",
               "bow_left": "left bow", "bow_right": "right bow"}  # fmt: skip
"""level readings, short enough for the table"""

_WAYS = {"plumb": ("into", "out", "plumb"), "bow": ("into", "out", "straight"), "curb": ("right", "left", "level")}
"""what a level reading is called where it is positive, negative, and nothing"""


def level_amount(name: str, value_mm: float) -> str:
    """A level reading as its amount and direction: '1/16 in out', 'plumb', '1/8 in right' (that end of the curb is high)."""
    amount = inches_text(abs(value_mm), denominator=32)
    positive, negative, none = _WAYS[name.split("_")[0]]
    return none if amount == "0 in" else f"{amount} {positive if value_mm > 0 else negative}"


def plain_code(code: str) -> str:
    """A code in words: 'suspect-reading' -> 'suspect reading'."""
    return code.replace("-", " ")


LETTERS = {
    "hardware sheet": "H",
    "published": "S",
    "published, from memory": "s",
    "common practice": "C",
    "common practice, from memory": "c",
    "our default": "D",
}
"""trust -> the letter after a number"""
_MEANS = {
    "H": "your hardware sheet",
    "S": "published: check the edition that holds where you are",
    "s": "published, from memory: check before citing",
    "C": "common practice, no source",
    "c": "common practice, from memory, no source",
    "D": "default of this program, not a rule of the trade",
}


def shortened(text: str, numbers: Sequence[Number]) -> str:
    """'3/16 in (common practice, no source)' -> '3/16 in [C]', for every label of these numbers."""
    for label, letter in sorted({(n.label, LETTERS[n.trust]) for n in numbers}, key=lambda one: -len(one[0])):
        text = text.replace(f" ({label})", f" [{letter}]")
    return text


def whose_numbers(numbers: Sequence[Number], door: Door) -> tuple[str, ...]:
    """What the letters mean, and which numbers and choices are the user's own or published."""
    there = [letter for letter in _MEANS if any(LETTERS[n.trust] == letter for n in numbers)]
    lines = ["; ".join(f"[{letter}] {_MEANS[letter]}" for letter in there) + "."]
    own = [f"{key} {text}" for key, text in door.stated]
    own += [
        f"{NUMBERS[n.key].words} {n.text}{f' ({n.source})' if n.source else ''}" for n in numbers if n.trust == "hardware sheet"
    ]
    if door.hardware is not None and own:
        lines.append(f"From {door.hardware}: {'; '.join(own)}.")
    cited = [f"{NUMBERS[n.key].words} {n.text}: {n.source}" for n in numbers if n.trust.startswith("published")]
    if cited:
        lines.append(f"Sources: {'; '.join(cited)}.")
    return tuple(lines)
