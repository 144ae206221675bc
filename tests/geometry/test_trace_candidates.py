"""Which outlines are put up at all: small openings among long lines, and both edges of a soffit."""

from __future__ import annotations

import numpy as np
import pytest

from vision.geometry import trace_lines, trace_quads
from vision.geometry.trace_frame import FINE, Picture, Squared
from vision.geometry.trace_lines import Line, View, uprights, view_of
from vision.geometry.trace_marks import Between, Level
from vision.geometry.trace_quads import KEEP, SHORTEST_WALL, _fronts, _pairs

HIGH, WIDE = 760, 560
LEFT, RIGHT, TOP, BOTTOM = 210, 354, 300, 460
"""px of the small picture; a window of 0.2 of its height"""
STRIPE, SHADE = 12, 9
"""px and codes; boards or tiles that run through the whole picture"""


def among_stripes() -> View:
    """A window of clear edges in a wall of upright stripes, each fainter and much longer than the window's edges."""
    small: Picture = np.empty((HIGH, WIDE, 3), np.uint8)
    small[:] = (140 + SHADE * (np.arange(WIDE) // STRIPE % 2))[None, :, None]
    small[TOP:BOTTOM, LEFT:RIGHT] = 30, 32, 40
    fine = np.repeat(np.repeat(small, FINE, axis=0), FINE, axis=1)
    depth = np.array([WIDE / 2, HIGH / 2])
    return view_of(Squared(small, fine, np.ones((HIGH, WIDE), np.bool_), depth, np.eye(3), 300.0))


def walls_seen(view: View) -> list[bool]:
    """Whether the window's left and right edges are among the upright lines."""
    at = [one.line.at for one in uprights(view, KEEP, SHORTEST_WALL)]
    return [any(abs(x - (edge - 0.5)) < 2 for x in at) for edge in (LEFT, RIGHT)]


def test_short_clear_edges_are_found_among_long_faint_ones(monkeypatch: pytest.MonkeyPatch) -> None:
    """The window's edges are among the lines, which they are not by what a line's whole length is worth."""
    view = among_stripes()
    assert walls_seen(view) == [True, True]
    monkeypatch.setattr(trace_lines, "CLEAREST", 0)
    assert walls_seen(view) == [False, False]


def test_a_small_window_is_among_the_pairs_that_are_tried() -> None:
    """Its two edges make a pair although the stripes make hundreds of taller ones."""
    view = among_stripes()
    pairs = _pairs(view, uprights(view, KEEP, SHORTEST_WALL))
    assert any(abs(a.at - (LEFT - 0.5)) < 2 and abs(b.at - (RIGHT - 0.5)) < 2 for (a, b), _ in pairs)


@pytest.mark.parametrize("raised", [True, False])
def test_a_raised_head_line_does_not_take_the_place_of_the_line_itself(raised: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """Both the soffit's front edge and the line that it was found from are put up, the front edge first."""
    front, level = Level(Line(100.0, 0.0), 1.0), Level(Line(120.0, 0.0), 1.0)
    monkeypatch.setattr(trace_quads, "with_front_edge", lambda _, rear: front if raised else rear)
    between = Between(among_stripes(), Line(LEFT, 0.0), Line(RIGHT, 0.0), (4.0, 300.0), True)
    assert _fronts(between, level) == ([front, level] if raised else [level])
