"""What speaks for and against an outline that was found: lines further out, a joint instead of the curb, references beside it."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from vision.geometry.cards import CardCandidate
from vision.geometry.trace import _refined
from vision.geometry.trace_cards import clues_of, with_references
from vision.geometry.trace_choice import Choice
from vision.geometry.trace_frame import FINE, Squared
from vision.geometry.trace_lines import Line, view_of
from vision.geometry.trace_marks import Level
from vision.geometry.trace_outer import joint_for_curb, rivals
from vision.geometry.trace_quads import Quad
from vision.photo.intake import Photo
from vision.settings import CARD_KINDS, Settings

Array = NDArray[np.float64]
SIZE = (300, 240)
"""height and width (px) of the small picture"""
LEFT, RIGHT, HEAD, CURB = 60, 180, 60, 240
FACE, INSIDE, STRIPE = (170, 170, 165), (90, 95, 110), (40, 60, 45)


def squared_of(*patches: tuple[tuple[float, float, float, float], tuple[int, int, int]]) -> Squared:
    """The face with rectangles (left, top, right, bottom; px of the small picture) painted over one another."""
    fine = np.empty((SIZE[0] * FINE, SIZE[1] * FINE, 3), np.uint8)
    fine[:] = FACE
    for (x0, y0, x1, y1), colour in patches:
        fine[round(y0 * FINE) : round(y1 * FINE), round(x0 * FINE) : round(x1 * FINE)] = colour
    return Squared(fine[::FINE, ::FINE].copy(), fine, np.ones(SIZE, np.bool_), np.array([120.0, 150.0]), np.eye(3))


def quad_of() -> Quad:
    """The outline at LEFT, RIGHT, HEAD, CURB; edges lie between pixels."""
    level = [Level(Line(y - 0.5, 0.0), 1.0) for y in (CURB, HEAD)]
    return Quad(Line(LEFT - 0.5, 0.0), Line(RIGHT - 0.5, 0.0), (level[0],), (level[1],), (0.8,) * 4, HEAD)


OPENING = ((LEFT, HEAD, RIGHT, CURB), INSIDE)


@pytest.mark.parametrize(
    ("stripe", "edges"),
    [
        (None, set()),
        ((LEFT - 3, HEAD, LEFT, CURB), {"left"}),
        ((LEFT - 3, 0, LEFT, SIZE[0]), set()),
        ((LEFT - 9, HEAD, LEFT, CURB), set()),
        ((LEFT, HEAD - 9, RIGHT, HEAD), {"head"}),
        ((0, HEAD - 9, SIZE[1], HEAD), set()),
    ],
    ids=["none", "first course", "joint of the face", "casing", "soffit", "frieze"],
)
def test_a_line_further_out_that_ends_with_the_edge_may_be_the_edge(
    stripe: tuple[float, float, float, float] | None, edges: set[str]
) -> None:
    """A strip along the edge that ends at its corners leaves it in doubt; one that goes on beyond them belongs to the face."""
    view = view_of(squared_of(OPENING, *([(stripe, STRIPE)] if stripe else [])))

    found = rivals(view, quad_of())

    assert set(found) == edges
    if "head" in found:
        assert found["head"].head[0].line.at == pytest.approx(HEAD - 9.5, abs=0.6)
    if "left" in found:
        assert found["left"].left.at == pytest.approx(LEFT - 3.5, abs=0.6)


@pytest.mark.parametrize(("below", "expected"), [((70, 60, 55), True), ((160, 120, 90), False)], ids=["same", "another"])
def test_a_thin_line_between_like_colours_is_a_joint(below: tuple[int, int, int], expected: bool) -> None:
    """The curb's line divides its top from its front; where both are of one colour and it is light itself, it is a joint."""
    front = ((LEFT, CURB, RIGHT, SIZE[0]), below)
    top, joint = ((LEFT, CURB - 20, RIGHT, CURB), (72, 62, 57)), ((LEFT, CURB - 1, RIGHT, CURB + 1), (125, 115, 100))

    assert joint_for_curb(view_of(squared_of(OPENING, top, front, joint)), quad_of()) is expected


def card(left: float, bottom: float, size: float = 40.0) -> CardCandidate:
    """A Letter sheet `size` px wide with this lower left corner."""
    kind = CARD_KINDS["letter"]
    high = size * kind.height_mm / kind.width_mm
    x, y = np.array([0, size, size, 0.0]), np.array([0, 0, -high, -high])
    return CardCandidate(np.column_stack([left + x, bottom + y]), False, kind, False)


CORNERS = np.array([[60.0, 240.0], [180.0, 240.0], [180.0, 60.0], [60.0, 60.0]])


@pytest.mark.parametrize(
    ("there", "clues"),
    [
        (card(10, 150), (0, 1)),
        (card(40, 150), (1, 0)),
        (card(100, 150), (0, 0)),
        (card(10, 150, 8.0), (0, 0)),
        (card(340, 150), (0, 0)),
    ],
    ids=["beside", "across the wall's edge", "inside", "opening of 3.2 m", "far away"],
)
def test_what_a_reference_says_of_an_outline(there: CardCandidate, clues: tuple[int, int]) -> None:
    """Beside the opening at a scale that makes it a shower's width it speaks for it, across an edge against it."""
    assert clues_of(CORNERS, [there]).tolist() == list(clues)


def test_a_reference_beside_it_raises_the_odds_of_an_outline() -> None:
    """Shares still sum to one, and a candidate with a reference across its edge falls behind."""
    other = CORNERS + np.array([-35.0, 0.0])
    choices = [Choice(quad_of(), c, np.zeros(8), 0.2) for c in (other, CORNERS)]

    after, none = with_references(choices, 0.6, [card(10, 150)])

    assert after[0].corners is CORNERS
    assert after[0].share > 0.5
    assert sum(c.share for c in after) + none == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("wide", "twice"), [(0, []), (12, ["left"]), (40, [])], ids=["none", "first course", "further than a rough corner is off"]
)
def test_a_wall_beside_which_another_line_is_as_clear_is_told(wide: int, twice: list[str]) -> None:
    """At 12 MP: the wall's edge lies a strip of another colour further out than the outline; no other edge has such a line."""
    pixels = np.empty((4032, 3024, 3), np.uint8)
    pixels[:] = 120, 120, 115
    pixels[1000:3400, 800:2200] = 200, 200, 190
    pixels[1000:3400, 800 : 800 + wide] = 60, 70, 80
    left, right, head, curb = 799.5 + wide, 2199.5, 999.5, 3399.5
    corners = np.array([(left, curb), (right, curb), (right, head), (left, head)])

    fine, found = _refined(Photo("a", "", pixels, 26.0), corners, ("left", "right", "curb", "head"), Settings())

    assert found == twice
    assert np.abs(fine - corners).max() < 2.5  # courses are told to a pixel at either end, and two of them cross
