"""World points of every kind of edge, and where the unknowns stand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tests.tolerances import EXACT, LINEAR
from vision.geometry.camera import Camera
from vision.geometry.line_model import LineModel
from vision.geometry.model import NUISANCES, STEP, Array, CardModel, Edge, Layout, Nominal, State, card_size, world_points
from vision.settings import CARD_KINDS

CARDS = (
    CardModel(CARD_KINDS["letter"], False, 0, 0, -0.1, 2.0),
    CardModel(CARD_KINDS["id-1"], True, 1, 0, -0.76, 2.0, -0.5),
)
EDGES: list[Edge] = [(n, 0, 0) for n in ("left", "right", "curb", "head")]
EDGES += [("card", k, side) for k in (0, 1) for side in range(4)] + [("plumb", 0, 0)]
EDGES += [("line", k, part) for k in (0, 1) for part in range(3)] + [("line", 2, 0), ("line", 3, 0)]
LINES = (LineModel(False), LineModel(True), LineModel(True, "left"), LineModel(True, "right"))


def nominal(has_head: bool = True) -> Nominal:
    return Nominal(CARDS, 2, 1, 1, has_head, 1900.0, True, LINES)


def state() -> State:
    return State(
        cameras=(Camera(np.diag([1.0, -1, -1]), np.array([-700.0, 1000, 2500]), 3000.0, 1511.5, 2015.5, 0.0, 0.0),),
        opening=np.array([1420.0, 0.002, 2.5, -0.0013, -1.8, 1990.0, 0.0017, 0.0005, 1.5, 60.0, 0.004, -0.003, 0.01]),
        cards=np.array([[-180.0, 900.0, 0.03, 0.4], [1560.0, 300.0, -0.05, -0.2]]),
        sizes=np.array([[0.7, -0.4], [0.05, 0.02]]),
        offsets=np.array([1.3]),
        plumb=np.array([[600.0, 0.0008]]),
        tape=0.3,
        nuisance=np.zeros((len(EDGES), NUISANCES)),
        lines=np.array(
            [
                [1480.0, 0.004, 900.0, 1220.0, -25.0],
                [60.0, -0.003, 700.0, 1000.0, -22.0],
                [1300.0, 0.002, 100.0, 700.0, 0.0],
                [350.0, -0.006, 90.0, 600.0, 0.0],
            ]
        ),
    )


def parameters(edge: Edge) -> Array:
    """Curve parameters along an edge: mm for walls and lines, -1 to 1 for a card's side."""
    return np.linspace(-1, 1, 5) if edge[0] == "card" else np.linspace(20.0, 1400.0, 5)


@pytest.mark.parametrize("has_head", [True, False])
@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_derivatives_of_an_edge_agree_with_differences(edge: Edge, has_head: bool) -> None:
    """By every unknown, those that it does not name included."""
    if edge[0] == "head" and not has_head:
        return
    of, at = nominal(has_head), state()
    layout = Layout(of, 1, len(EDGES))
    t = parameters(edge)
    _, _, derivatives = world_points(edge, t, at, of, layout)
    ours = np.zeros((layout.size, len(t), 3))
    for column, derivative in derivatives:
        ours[column] += derivative
    for column in range(layout.cameras[-1].stop, layout.size):
        step = np.zeros(layout.size)
        step[column] = 1e-5
        up, down = (world_points(edge, t, layout.stepped(at, s), of, layout)[0] for s in (step, -step))
        difference = (up - down) / 2e-5
        assert ours[column] == pytest.approx(difference, rel=LINEAR, abs=LINEAR), column


@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_the_direction_of_an_edge_agrees_with_differences(edge: Edge) -> None:
    """By the curve parameter."""
    of, at = nominal(), state()
    layout = Layout(of, 1, len(EDGES))
    t = parameters(edge)
    along = world_points(edge, t, at, of, layout)[1]
    h = 1e-4
    difference = (world_points(edge, t + h, at, of, layout)[0] - world_points(edge, t - h, at, of, layout)[0]) / (2 * h)
    assert along == pytest.approx(difference, rel=LINEAR, abs=LINEAR)


def test_a_step_and_back_is_no_step() -> None:
    """All unknowns but rotation and focal length add, and each has one place; the latter is back to the square of its step."""
    of, at = nominal(), state()
    layout = Layout(of, 1, len(EDGES))
    step = np.random.default_rng(2).normal(0, 1e-3, layout.size)
    back = layout.stepped(layout.stepped(at, step), -step)
    for name in ("opening", "cards", "sizes", "offsets", "plumb", "lines", "tape", "nuisance"):
        assert getattr(back, name) == pytest.approx(getattr(at, name), abs=EXACT)
    assert pytest.approx(at.cameras[0].R, abs=EXACT) == back.cameras[0].R
    assert back.cameras[0].f == pytest.approx(at.cameras[0].f * (1 - step[layout.cameras[0].start + 6] ** 2), rel=EXACT)


def test_the_unknowns_fill_the_vector_without_gap_or_overlap() -> None:
    """Each column belongs to one unknown."""
    layout = Layout(nominal(), 2, 3)
    columns = [*layout.offsets, layout.tape]
    for part in (*layout.cameras, layout.opening, *layout.cards, *layout.sizes, *layout.plumb, *layout.lines, *layout.nuisance):
        columns += range(part.start, part.stop)
    assert sorted(columns) == list(range(layout.size))


def test_a_turned_card_has_its_height_along_the_bottom() -> None:
    """Nominal sides and their excess change places together."""
    at = state()
    assert card_size(CARDS[0], at) == pytest.approx((215.9 + 0.7, 279.4 - 0.4), abs=EXACT)
    assert card_size(CARDS[1], at) == pytest.approx((53.98 + 0.02, 85.60 + 0.05), abs=EXACT)


def test_a_card_lies_behind_the_plane_by_its_offsets() -> None:
    """Nominal, own and common offset add; behind is away from the camera."""
    of, at = nominal(), state()
    z = world_points(("card", 0, 0), np.zeros(1), at, of, Layout(of, 1, 0))[0][0, 2]
    assert z == pytest.approx(-(-0.1 + 0.4 + 1.3), abs=EXACT)


def test_the_sides_of_a_card_meet_in_its_corners() -> None:
    """Bottom, right, top and left edge share their ends."""
    of, at = nominal(), state()
    ends = [world_points(("card", 1, k), np.array([-1.0, 1.0]), at, of, Layout(of, 1, 0))[0] for k in range(4)]
    bottom, right, top, left = ends
    for one, other in ((bottom[1], right[0]), (right[1], top[1]), (top[0], left[1]), (left[0], bottom[0])):
        assert one == pytest.approx(other, abs=EXACT)


def test_the_ends_of_a_level_stand_square_to_it_and_its_length_apart() -> None:
    """Along the level they are one length apart, and each runs at a right angle to it."""
    of, at = nominal(), state()
    layout = Layout(of, 1, 0)
    for k in (0, 1):
        first, second = (world_points(("line", k, part), np.array([0.0, 30.0]), at, of, layout)[0] for part in (1, 2))
        along = second[0] - first[0]
        assert np.linalg.norm(along) == pytest.approx(at.lines[k, 3], abs=1e-9)
        assert along @ (first[1] - first[0]) == pytest.approx(0.0, abs=1e-6)
        assert first[0, 2] == -at.lines[k, 4]


def test_a_step_between_the_arrises_moves_walls_and_what_lies_on_them() -> None:
    """The left arris comes forward by half of it, the right one and a card on its wall's face go back by half."""
    of, at = nominal(), state()
    plain = replace(at, opening=np.where(np.arange(13) == STEP, 0.0, at.opening))
    for edge, share in ((("left", 0, 0), 0.5), (("right", 0, 0), -0.5), (("card", 1, 0), -0.5), (("card", 0, 0), 0.0)):
        z, z0 = (world_points(edge, np.array([0.5]), s, of, Layout(of, 1, 0))[0][0, 2] for s in (at, plain))
        assert z - z0 == pytest.approx(share * at.opening[STEP], abs=1e-9)


def test_a_bowed_wall_keeps_its_ends() -> None:
    """Bow is counted from the chord: nothing at curb and head, all of it half way up."""
    of, at = nominal(), state()
    x = world_points(("left", 0, 0), np.array([0.0, 995.0, 1990.0]), at, of, Layout(of, 1, 0))[0][:, 0]
    assert x == pytest.approx([0.0, 0.002 * 995 + 2.5, 0.002 * 1990], abs=EXACT)
