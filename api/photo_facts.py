"""What is stated about a photo needs one: without it nothing of that could count, and whoever stated it would not learn so."""

from __future__ import annotations

from vision.check import CheckRequest
from vision.errors import BadInput


def require_nothing_of_a_photo(request: CheckRequest) -> None:
    """BadInput where a request without a photo states something about one."""
    for where, stated in (
        ("corners", request.corners),
        ("corners within", request.corners_within_px is not None),
        ("card", request.cards),
        ("card offset", request.card_offset_mm is not None),
        ("card corners", request.card_corners),
        ("plumb line", request.plumb_lines),
        ("level card", request.level_cards),
        ("level or joint", request.lines),
        ("level curb", request.level_curb),
        ("door line", request.door_line_mm is not None),
    ):
        if stated:
            raise without_photo(where)


def without_photo(where: str) -> BadInput:
    """What is said of an option that is about a photo, where there is none."""
    return BadInput(where, f"{where.removeprefix('--')} but no photo", "the photo", "add it, or leave the option out")
