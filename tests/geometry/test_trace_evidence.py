"""What is seen of candidate outlines, each clue on a picture painted for it, and that all of them are weighed."""

from __future__ import annotations

import numpy as np
import pytest

from tests.geometry.test_trace_plane import CURB, HEAD, LEFT, RIGHT, SIZE, Colour, box, quad_of, ray, view_with
from vision.geometry.arris_sight import Reduced
from vision.geometry.trace_beside import beside, with_beside
from vision.geometry.trace_choice import Choice, agreed, alike, chosen, clues_of, tried
from vision.geometry.trace_lines import Line, View
from vision.geometry.trace_quads import Quad, with_edge
from vision.geometry.trace_sight import sight_clues
from vision.geometry.trace_weights import FIRST, OUTLINE

TRIM: Colour = (110, 140, 70)
WIDE = 4
"""px of the small picture; a trim of 16 px at 12 MP"""


def trimmed() -> View:
    """The opening with a trim on the face beside both walls and above the head; it stands on nothing."""
    trim = ([(LEFT - WIDE, CURB), (LEFT, CURB), (LEFT, HEAD), (LEFT - WIDE, HEAD - WIDE)], TRIM)
    other = ([(RIGHT + WIDE, CURB), (RIGHT, CURB), (RIGHT, HEAD), (RIGHT + WIDE, HEAD - WIDE)], TRIM)
    return view_with(trim, other, (box(LEFT - WIDE, HEAD - WIDE, RIGHT + WIDE, HEAD), TRIM), *lines_into_depth())


def lines_into_depth() -> list[tuple[list[tuple[float, float]], Colour]]:
    """The soffit in a colour of its own, so that lines run into the depth from the upper corners."""
    rear = [ray_up((x, HEAD), 24) for x in (LEFT, RIGHT)]
    return [([(LEFT, HEAD), (RIGHT, HEAD), rear[1], rear[0]], (40, 42, 50))]


def ray_up(corner: tuple[float, float], down: float) -> tuple[float, float]:
    """The point `down` px below an upper corner on its line into the depth."""
    return ray(corner, -down)


def picture_of(view: View) -> Reduced:
    """The small picture itself for the network: here it is the photo too."""
    return Reduced(view.square.small, np.ones(2), 300.0)


def true_quad(view: View) -> Quad:
    """The opening's own outline."""
    return quad_of(view)


def moved(quad: Quad, *, walls: float = 0.0, head: float = 0.0) -> Quad:
    """The outline with walls and head so many px further out."""
    quad = with_edge(with_edge(quad, "left", Line(quad.left.at - walls, 0.0)), "right", Line(quad.right.at + walls, 0.0))
    return with_edge(quad, "head", Line(quad.head[0].line.at - head, 0.0))


def of(view: View, *quads: Quad) -> dict[str, list[float]]:
    """Clues by name, each of all candidates."""
    return {name: value.tolist() for name, value in clues_of(view, quads).items()}


def test_every_clue_has_its_weight_and_no_weight_is_left_over() -> None:
    """The names in the tables of weights are the clues and the constant."""
    view = view_with()
    seen = sight_clues(picture_of(view), np.array([true_quad(view).corners(view)]), has_head=True)

    assert set(FIRST) == {*clues_of(view, [true_quad(view)]), ""}
    assert set(OUTLINE) == {*FIRST, *seen}
    assert all(np.isfinite(v).all() for v in [*of(view, true_quad(view)).values(), *seen.values()])
    assert {len(models) for models in FIRST.values()} == {7}  # all six authors, and each left out
    assert {len(models) for models in OUTLINE.values()} == {11}  # all ten hands, and each left out


def test_both_borders_of_a_trim_are_put_up_all_round() -> None:
    """From a trim's outer border the candidates hold the inner one on all three sides at once, and the other way round."""
    view = trimmed()
    inner = true_quad(view)
    outer = moved(inner, walls=WIDE, head=WIDE)

    for start, end in ((outer, inner), (inner, outer)):
        found = with_beside(view, [start], 1)
        assert min(np.abs(one.corners(view) - end.corners(view)).max() for one in found) < 1.0


def test_lines_beside_an_edge_are_told_with_their_side() -> None:
    """The trim's outer border lies outside of the walls."""
    view = trimmed()

    lines = beside(view, true_quad(view))

    for name in ("left", "right"):
        assert [one.inward for one in lines[name] if one.inward < 0] == pytest.approx([-WIDE], abs=1.0)


def test_lines_into_the_depth_begin_at_the_openings_corners_and_not_at_the_trims() -> None:
    """A trim's outer corner has a mitre at most; the line between soffit and side wall begins at the inner one."""
    view = trimmed()
    inner = true_quad(view)

    clues = of(view, inner, moved(inner, walls=WIDE, head=WIDE))

    assert clues["depth: line begins above"][0] > clues["depth: line begins above"][1] + 0.3


def test_from_a_rear_corner_the_line_goes_on_outward() -> None:
    """The back wall's corners lie on the lines from the front ones, which go on beyond them."""
    view = view_with(*lines_into_depth())
    front = true_quad(view)
    x, y = ray_up((LEFT, HEAD), 24)
    rear = moved(front, walls=LEFT - x, head=HEAD - y)

    clues = of(view, front, rear)

    assert clues["depth: line goes on outward, clearest"][1] > clues["depth: line goes on outward, clearest"][0] + 0.3


def test_the_curb_ends_where_the_walls_are() -> None:
    """Up to the trim's outer border the curb is not seen: it ends at the inner one."""
    view = trimmed()
    inner = true_quad(view)

    clues = of(view, inner, moved(inner, walls=WIDE))

    assert clues["curb: up to the fainter corner"][0] > 0.7
    assert clues["curb: up to the fainter corner"][1] < 0.6
    assert clues["lower corners, worse"][0] > clues["lower corners, worse"][1] + 0.4


@pytest.mark.parametrize(("head", "walls"), [(20.0, 0.0), (0.0, -15.0)], ids=["head too high", "walls too narrow"])
def test_edges_meet_and_end_at_the_corners_of_the_opening_only(head: float, walls: float) -> None:
    """A head in the face has no walls up to it; of a pane taken for the opening the head goes on past the corners."""
    view = view_with()
    right = true_quad(view)

    clues = of(view, right, moved(right, head=head, walls=walls))

    assert clues["upper corners"][0] > 0.5
    assert clues["upper corners"][1] < 0.1


def test_a_wall_that_goes_on_above_the_head_is_told() -> None:
    """A soffit's rear edge taken for the head: the walls' edges run on up to the front one."""
    view = view_with()
    right = true_quad(view)

    clues = of(view, right, moved(right, head=-20.0))

    assert clues["walls: the same past the head"][0] < 0.2
    assert clues["walls: the same past the head"][1] > 0.8


def test_the_face_is_one_round_an_upper_corner() -> None:
    """Beside the wall and above the head lies the same face; round a rear corner lie a side wall and a soffit."""
    view = view_with(*lines_into_depth())
    right = true_quad(view)

    clues = of(view, right, moved(right, walls=-12.0, head=-12.0))

    assert clues["face: differs round a corner"][0] < 0.2
    assert clues["face: differs round a corner"][1] > 0.4


def test_shares_of_all_candidates_and_of_none_are_one() -> None:
    """The true outline wins by these clues among all that lies beside it, and what is alike adds up."""
    view = trimmed()
    inner = true_quad(view)
    every = tried(view, [moved(inner, walls=WIDE, head=WIDE), inner])

    choices, none = chosen(view, every, picture_of(view), (FIRST, OUTLINE))

    assert sum(c.share for c in choices) + none == pytest.approx(1.0)
    assert np.abs(choices[0].corners - inner.corners(view)).max() < 1.5
    assert alike(choices)[0]


def test_the_confidence_is_what_every_model_gives_the_outline_and_what_is_alike() -> None:
    """Of three models the second thinks of another outline: its share decides, in the middle with those without the network."""
    view = view_with()
    right = true_quad(view)
    near, far = moved(right, walls=0.5), moved(right, walls=30.0)
    shares = ((0.6, 0.2, 0.5), (0.3, 0.1, 0.4), (0.1, 0.6, 0.1))
    first = np.array([[0.5, 0.4], [0.2, 0.3], [0.1, 0.1]])
    choices = [Choice(q, q.corners(view), np.array(s), f) for q, s, f in zip((right, near, far), shares, first, strict=True)]

    assert choices[0].share == pytest.approx(1.3 / 3)
    assert alike(choices) == [True, True, False]
    assert agreed(choices) == pytest.approx((0.3 + 0.7) / 2)


def test_a_quad_without_a_head_has_every_clue_too() -> None:
    """Clues of the head are nothing there, and one says that there is none."""
    view = view_with()
    right = true_quad(view)
    open_above = Quad(right.left, right.right, right.curb, (), right.walls, 20.0)

    clues = of(view, open_above)

    assert clues["no head"] == [1.0]
    assert clues["head: clear"] == clues["upper corners"] == [0.0]
    assert SIZE[0] > CURB


def test_bars_on_a_wall_have_the_same_wall_inside_and_outside() -> None:
    """A towel rail's bars make an outline, but what is seen through it is the face."""
    bars = [box(x - 1, 80, x + 2, 150) for x in (20, 45)] + [box(20, y - 1, 45, y + 2) for y in (80, 150)]
    view = view_with(*((bar, (235, 60, 60)) for bar in bars))
    right = true_quad(view)
    rail = with_edge(with_edge(right, "left", Line(20.0, 0.0)), "right", Line(45.0, 0.0))
    rail = with_edge(with_edge(rail, "head", Line(80.0, 0.0)), "curb", Line(150.0, 0.0))

    clues = of(view, right, rail)

    assert clues["face: differs from what is inside"][0] > 0.7
    assert clues["face: differs from what is inside"][1] < 0.3
    assert clues["depth: the eye is beside it"][0] == 0.0
    assert clues["depth: the eye is beside it"][1] == 1.0
