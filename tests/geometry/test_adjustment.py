"""The one adjustment: its derivatives, its minimum, and a covariance whose sources add up."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from scipy.linalg import solve_triangular

from tests.benchmarks.edge_draws import draw
from tests.benchmarks.edge_truth import SETTINGS, Scene
from tests.tolerances import EXACT, LINEAR
from vision.errors import CannotMeasure
from vision.geometry.adjustment import HUBER, Problem, Solution
from vision.geometry.assemble import Assembly, assemble
from vision.geometry.edges import EdgePoints
from vision.geometry.model import NUISANCES, Array, G, Layout, State
from vision.geometry.priors import FINISHED_ALIKE, EdgeObservation, Prior
from vision.geometry.sizes import propagate, size_functions

LAYOUT = "2 letters measured opposite"
"""has every kind of unknown: measured sizes with the tape's share, common and own offsets, a plumb line, all four edges"""


@cache
def scene() -> Scene:
    return draw(LAYOUT, np.random.default_rng(11))


@cache
def assembled() -> Assembly:
    made = scene()
    return assemble([made.photo], replace(made.demands, level_cards=(2,)), SETTINGS)


@cache
def solved() -> Solution:
    return assembled().problem.solve(assembled().start, assembled().camera_priors, settled=1e-20)


def residuals(state: State, problem: Problem | None = None) -> Array:
    of = problem or assembled().problem
    return of.evaluate(state, of.vector(state, assembled().camera_priors))[0]


def cost(state: State) -> float:
    """Huber's cost of the edge points and the squares of the priors, written again."""
    r = np.abs(residuals(state))
    points = assembled().problem.points
    edge = np.where(r[:points] > HUBER, 2 * HUBER * r[:points] - HUBER**2, r[:points] ** 2)
    return float(edge.sum() + np.sum(r[points:] ** 2))


def natural_steps() -> Array:
    """The step in each parameter that alone changes the weighted residuals by one."""
    return np.asarray(1 / np.sqrt(np.sum(solved().J ** 2, axis=0)))


def test_damping_by_what_each_step_brought_ends_in_the_same_minimum() -> None:
    """To a thousandth of a standard deviation in every size of the opening."""
    other = assembled().problem.solve(assembled().start, assembled().camera_priors, settled=1e-20, bent_valley=True)
    sd = np.sqrt(np.diag(solved().inverse()))[solved().layout.opening]
    assert np.abs((other.state.opening - solved().state.opening) / sd).max() < 1e-3


def test_the_problem_has_every_kind_of_row() -> None:
    """No source of error is missing from the test case."""
    expected = {
        "edge noise", "wall bow", "focal length", "principal point", "lens", "tape", "card plane", "card size",
        "vertical, plumb line", "vertical, level card", "edge bias, opening", "edge bias, cards",
        "arris planes", "door line", "side walls", "curb fall",
    }  # fmt: skip
    assert set(assembled().problem.sources) == expected


def test_the_jacobian_agrees_with_differences_in_every_parameter() -> None:
    """Away from the minimum, with all nuisances in play; first order against central differences."""
    problem, layout = assembled().problem, solved().layout
    rng = np.random.default_rng(3)
    at = layout.stepped(solved().state, 3 * rng.normal(0, 1, layout.size) * natural_steps())
    _, J = problem.evaluate(at, problem.vector(at, assembled().camera_priors))
    for column, natural in enumerate(natural_steps()):
        step = np.zeros(layout.size)
        step[column] = min(0.01 * natural, 1e-3)
        difference = (residuals(layout.stepped(at, step)) - residuals(layout.stepped(at, -step))) / (2 * step[column])
        largest = max(float(np.abs(difference).max()), EXACT)
        assert J[:, column] == pytest.approx(difference, abs=LINEAR * largest), column


def test_every_adjusted_parameter_is_at_its_best() -> None:
    """Nudged either way, alone, the cost rises."""
    layout, lowest = solved().layout, cost(solved().state)
    for column, natural in enumerate(natural_steps()):
        for sign in (1, -1):
            step = np.zeros(layout.size)
            step[column] = sign * 0.05 * natural
            assert cost(layout.stepped(solved().state, step)) > lowest, column


def test_the_cost_is_that_of_the_residuals() -> None:
    """The solution's own number is the one that the test writes again."""
    assert solved().cost == pytest.approx(cost(solved().state), rel=EXACT)


def test_the_sources_add_up_to_the_covariance() -> None:
    """Sum of F F' over the sources is J N^-1 J' for functions of all unknowns, here by orthogonal decomposition."""
    scale = natural_steps()
    jacobian = np.random.default_rng(4).normal(0, 1, (12, len(scale))) * scale
    R = np.linalg.qr(solved().J * scale)[1]
    half = solve_triangular(R, (jacobian * scale).T, trans="T").T
    total = sum(f @ f.T for f in solved().factors(jacobian).values())
    assert total == pytest.approx(half @ half.T, rel=EXACT, abs=EXACT * float(np.abs(half @ half.T).max()))


def test_the_covariance_is_the_inverse_of_the_normal_matrix() -> None:
    """N^-1 N is the unit matrix, to rounding times the condition of N (1e10 in units in which it has ones on its diagonal)."""
    scale = natural_steps()
    N = solved().J.T @ solved().J * np.outer(scale, scale)
    inverse = solved().inverse() / np.outer(scale, scale)
    assert inverse @ N == pytest.approx(np.eye(len(N)), abs=LINEAR)


def test_a_tape_that_reads_long_makes_the_photo_read_long() -> None:
    """The shared variable is + where the tape reads long: control lengths then come out long, and so does every size."""
    sizes = propagate(solved(), size_functions(scene().at_mm, True, scene().opening.height, True))
    names = [n for n in sizes.names if n.startswith(("width_top", "width_middle", "width_bottom", "height", "diagonal"))]
    assert np.all(sizes.select(names).sources["tape"] > 0)


def test_measured_lengths_shared_with_the_tape_move_all_sizes_in_proportion() -> None:
    """One sd of the tape is nearly its relative sd of every size: less what the standard's tolerance holds against it."""
    sizes = propagate(solved(), size_functions(scene().at_mm, True, scene().opening.height, True))
    share = sizes.sources["tape"][:7, 0] / sizes.mean[:7]
    assert np.all(share < scene().demands.control_scale_sd)
    assert np.all(share > 0.5 * scene().demands.control_scale_sd)


def test_control_lengths_of_another_tape_share_nothing() -> None:
    """The tape's variable is then without effect."""
    made = scene()
    other = assemble([made.photo], replace(made.demands, control_scale_sd=0.0), SETTINGS)
    solution = other.problem.solve(other.start, other.camera_priors)
    sizes = propagate(solution, size_functions(made.at_mm, True, made.opening.height, True))
    assert np.abs(sizes.sources["tape"]).max() < EXACT


def moved(points: EdgePoints, by_px: float) -> EdgePoints:
    """One point of the edge displaced square to the wall."""
    at = points.points_px.copy()
    at[len(at) // 2, 0] += by_px
    return replace(points, points_px=at)


def width_with_slip(by_px: float) -> float:
    made = scene()
    photo = replace(made.photo, outline={**made.photo.outline, "left": moved(made.photo.outline["left"], by_px)})
    assembly = assemble([photo], made.demands, SETTINGS)
    solution = assembly.problem.solve(assembly.start, assembly.camera_priors, settled=1e-12)
    return propagate(solution, size_functions(made.at_mm, True, made.opening.height, True)).value("width_middle")


def test_one_wild_point_pulls_no_harder_than_a_poor_one() -> None:
    """Beyond the robust limit the pull does not grow: thirty pixels off do as much as three."""
    none, poor, wild = (width_with_slip(px) for px in (0.0, 3.0, 30.0))
    assert 0 < abs(poor - none) < 0.5
    assert wild == pytest.approx(poor, abs=0.2 * abs(poor - none))


def test_the_result_does_not_depend_on_the_start() -> None:
    """From a start two percent off in width and ten pixels off at the corners it comes to the same sizes."""
    made = scene()
    rng = np.random.default_rng(6)
    rough = replace(made.photo, corners_px=made.photo.corners_px + rng.uniform(-10, 10, (4, 2)))
    other = assemble([rough], replace(made.demands, level_cards=(2,)), SETTINGS)
    again = other.problem.solve(other.start, other.camera_priors, settled=1e-20)
    sd = np.sqrt(np.diag(solved().inverse()))[solved().layout.opening]
    assert again.cost == pytest.approx(solved().cost, rel=EXACT)
    assert (again.state.opening - solved().state.opening) / sd == pytest.approx(np.zeros(len(sd)), abs=LINEAR)


def test_a_level_card_is_one_more_witness_of_gravity() -> None:
    """With the plumb line alone the leans are stated no better than with a level card beside it."""
    made = scene()
    alone = assemble([made.photo], made.demands, SETTINGS)
    without = alone.problem.solve(alone.start, alone.camera_priors)
    functions = size_functions(made.at_mm, True, made.opening.height, True)
    assert propagate(solved(), functions).u("lean_left") < propagate(without, functions).u("lean_left")


def test_what_fits_no_camera_is_refused() -> None:
    """Points that are not numbers end as cards-disagree, not as numbers."""
    layout = Layout(assembled().nominal, 1, 1)
    points = assembled().observations[0].points
    broken = replace(points, points_px=np.full_like(points.points_px, np.nan))
    observation = EdgeObservation(("left", 0, 0), 0, broken, (0.0, 2000.0))
    prior = Prior((layout.opening.start + G,), (1.0,), 0.0, 1.0, "unused")
    problem = Problem(assembled().nominal, [observation], [prior], layout)
    start = replace(assembled().start, nuisance=np.zeros((1, NUISANCES)), foot={})
    with pytest.raises(CannotMeasure) as refused:
        problem.solve(start, assembled().camera_priors)
    assert refused.value.code == "cards-disagree"


def width_variance(finish: float) -> float:
    """Of the distance between both arrises' shifts, px^2, before anything is seen: each is 2 px in doubt, so 8 if independent."""
    made = scene()
    outline = {
        name: replace(points, bias_sd_px=2.0, finish_px=finish if name in ("left", "right") else 0.0)
        for name, points in made.photo.outline.items()
    }
    problem = assemble([replace(made.photo, outline=outline)], made.demands, SETTINGS).problem
    left, right = (problem.layout.nuisance[i].start for i, o in enumerate(problem.observations) if o.edge[0] in ("left", "right"))
    rows = [p for p in problem.priors if {left, right} & set(p.columns)]
    R = np.zeros((len(rows), problem.layout.size))
    for row, prior in zip(R, rows, strict=True):
        row[list(prior.columns)] = np.array(prior.coefficients) / prior.sd
    used = np.flatnonzero(np.any(R, axis=0))
    covariance = np.linalg.pinv(R[:, used].T @ R[:, used])
    at = [int(np.flatnonzero(used == column)[0]) for column in (left, right)]
    return float(np.array([1.0, -1.0]) @ covariance[np.ix_(at, at)] @ np.array([1.0, -1.0]))


@pytest.mark.parametrize("finish", [0.0, 1.0, 2.0])
def test_arrises_finished_alike_are_doubted_together(finish: float) -> None:
    """Variance of a sum with correlation r: 2 s^2 + 2 r s^2, where the shared part of each is FINISHED_ALIKE of its finish."""
    shared = FINISHED_ALIKE * finish
    assert width_variance(finish) == pytest.approx(2 * 2.0**2 + 2 * shared**2, rel=1e-6)
