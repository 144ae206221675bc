"""A thing that is marked twice is refused; two things are not."""

from __future__ import annotations

import pytest

from api.marked_once import require_once
from vision.check import BadInput, CardCorners, CheckRequest, MarkedLine, PlumbLine

STRING = ((100.0, 80.0), (110.0, 2900.0))
SQUARE = ((100.0, 200.0), (200.0, 200.0), (200.0, 100.0), (100.0, 100.0))
PHOTOS = (("a.jpg", b""), ("b.jpg", b""))


def moved(points: tuple[tuple[float, float], ...], x: float, y: float) -> tuple[tuple[float, float], ...]:
    return tuple((a + x, b + y) for a, b in points)


@pytest.mark.parametrize(
    ("marks", "where"),
    [
        ({"plumb_lines": (PlumbLine(1, STRING), PlumbLine(1, moved(STRING, 9.0, -300.0)))}, "plumb line"),  # type: ignore[arg-type]
        ({"plumb_lines": (PlumbLine(1, STRING), PlumbLine(1, STRING[::-1]))}, "plumb line"),  # type: ignore[arg-type]
        ({"lines": (MarkedLine(2, "level", STRING), MarkedLine(2, "level", moved(STRING, -8, 500)))}, "level or joint"),  # type: ignore[arg-type]
        ({"card_corners": (CardCorners(1, "a4", SQUARE), CardCorners(1, "a4", moved(SQUARE, 6, 6)))}, "card corners"),  # type: ignore[arg-type]
    ],
)
def test_one_thing_marked_twice_is_refused(marks: dict[str, object], where: str) -> None:
    """The error says which two marks are meant and to leave one out."""
    with pytest.raises(BadInput, match=f"{where}: found number 2 lies on number 1; needed each thing marked once"):
        require_once(CheckRequest(photos=PHOTOS, **marks))  # type: ignore[arg-type]


def test_a_card_is_said_once_to_be_level() -> None:
    """Its number a second time is refused, as a second mark is; another number is another card."""
    require_once(CheckRequest(photos=PHOTOS, level_cards=(1, 2)))
    with pytest.raises(BadInput, match="level card: found card 1 twice"):
        require_once(CheckRequest(photos=PHOTOS, level_cards=(1, 2, 1)))


def test_two_things_are_two() -> None:
    """Strings beside each other, the same string in two photos, two stretches of one joint, cards one above the other."""
    joint = MarkedLine(1, "grout", STRING)
    require_once(
        CheckRequest(
            photos=PHOTOS,
            plumb_lines=(PlumbLine(1, STRING), PlumbLine(1, moved(STRING, 60, 0)), PlumbLine(2, STRING)),  # type: ignore[arg-type]
            lines=(joint, MarkedLine(1, "grout", moved(STRING, 10, 2900))),  # type: ignore[arg-type]
            card_corners=(CardCorners(1, "a4", SQUARE), CardCorners(1, "a4", moved(SQUARE, 0, 150))),  # type: ignore[arg-type]
        )
    )
