"""The names of readings as they are said and written to people: one place, for tape and judge alike."""

from __future__ import annotations

from collections.abc import Sequence

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


def cards_called(numbers: Sequence[int]) -> str:
    """'card 3', 'cards 1 and 2', 'cards 1, 2 and 3'."""
    *first, last = map(str, numbers)
    return f"cards {', '.join(first)} and {last}" if first else f"card {last}"


def plain_names(names: Sequence[str], *, last: str = "and") -> str:
    """'top width', 'top width and left height', 'top width, middle width and left height'; `last` is the last joining word."""
    words = [PLAIN_NAMES.get(name, name.replace("_", " ")) for name in names]
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} {last} {words[-1]}"
