"""The part of the terminal's report about outlines that the program found."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any


def outline_lines(data: Mapping[str, Any]) -> Iterator[str]:
    """One line for each photo whose corners nobody marked."""
    for one in data["outline"]:
        if one["by"] == "program" and "corners_px" in one:
            corners = " ".join(f"{x:.0f},{y:.0f}" for x, y in one["corners_px"])
            yield f"photo {one['photo']}: {corners} (confidence {one['confidence']:.2f})"
