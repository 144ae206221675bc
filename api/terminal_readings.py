"""Words for the terminal about readings of one length that were taken more than once."""

from __future__ import annotations

from typing import Any

from api.console import plain
from vision.check import plain_names


def governs(data: dict[str, Any]) -> str:
    """Which reading governs, as it was written; of several the smallest."""
    name = data["order"].get("governing_reading")
    if name not in data["readings"]:
        return ""
    one = data["readings"][name]
    again = f", the smallest of {len(one['texts'])}" if "texts" in one else ""
    return f": the {plain_names([name])}, written {one.get('smallest_text', one['text'])!r}{again}"


def tape_cell(one: dict[str, Any]) -> str:
    """As written and in mm; of several readings all of them, their mean, and what sizes are made from."""
    if "texts" not in one:
        return f"{plain(one['text'])}\n{one['tape_mm']:.1f} mm"
    texts = "; ".join(plain(text) for text in one["texts"])
    uses = f"\nsizes use {one['smallest_mm']:.1f} mm" if one["is_length"] else ""
    return f"{texts}\nmean {one['tape_mm']:.1f} mm{uses}"
