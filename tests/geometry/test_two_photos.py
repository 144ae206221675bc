"""Two photos of one opening in one adjustment."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from scipy import stats

from tests.benchmarks.edge_draws import draw, draw_camera, observe
from tests.benchmarks.edge_scenes import INDEPENDENT
from tests.benchmarks.edge_truth import SETTINGS, Scene
from vision.gaussian import Gaussian
from vision.geometry.adjustment import Solution
from vision.geometry.assemble import Assembly, assemble
from vision.geometry.seen import SeenPhoto
from vision.geometry.sizes import propagate, size_functions

LAYOUT = "2 id-1 opposite corners"


@cache
def scene() -> tuple[Scene, SeenPhoto]:
    """The scene, and a second photo of the same wall with the same cards on it."""
    rng = np.random.default_rng(21)
    first = draw(LAYOUT, rng)
    seen = observe(first.opening, draw_camera(first.opening, rng), first.cards, rng)
    number = len(first.cards)
    cards = tuple(replace(c, number=c.number + number, photo=2) for c in seen.cards)
    return first, replace(seen, look=replace(seen.look, number=2), cards=cards)


@cache
def adjusted(photos: str) -> tuple[Assembly, Solution, Gaussian]:
    first, second = scene()
    chosen = {"first": [first.photo], "second": [second], "both": [first.photo, second]}[photos]
    assembly = assemble(chosen, first.demands, SETTINGS)
    solution = assembly.problem.solve(assembly.start, assembly.camera_priors)
    return assembly, solution, propagate(solution, size_functions(first.at_mm, True, first.opening.height, True))


@pytest.mark.parametrize("one", ["first", "second"])
def test_two_photos_are_no_worse_than_one(one: str) -> None:
    """No quantity is stated with a larger sd than from either photo alone."""
    alone, both = adjusted(one)[2], adjusted("both")[2]
    assert {n: (both.u(n), alone.u(n)) for n in alone.names if both.u(n) > alone.u(n)} == {}


def test_a_card_seen_twice_is_one_card() -> None:
    """Two photos of two cards have two cards, one common offset and one size error between them."""
    nominal, models = adjusted("both")[0].nominal, adjusted("both")[0].models
    assert len(nominal.cards) == 2
    assert models[1] == models[3]
    assert models[2] == models[4]
    assert (nominal.offset_groups, nominal.size_groups) == (1, 1)


def test_each_photo_has_its_own_camera_and_edge_biases() -> None:
    """What belongs to a picture is not shared."""
    assembly, solution, _ = adjusted("both")
    assert len(solution.state.cameras) == 2
    assert len(assembly.observations) == len(adjusted("first")[0].observations) + len(adjusted("second")[0].observations)
    assert len(solution.state.nuisance) == len(assembly.observations)


@pytest.mark.parametrize("photos", ["first", "second", "both"])
def test_the_truth_is_within_what_is_stated(photos: str) -> None:
    """Whitened errors of one scene pass a chi-square test at one in a thousand."""
    first, _ = scene()
    stated = adjusted(photos)[2].select(INDEPENDENT)
    true = first.opening.quantities(first.at_mm)
    error = stated.mean - np.array([true[n] for n in INDEPENDENT])
    scale = 1 / stated.sd
    whitened = np.linalg.solve(np.linalg.cholesky(stated.covariance * np.outer(scale, scale)), error * scale)
    assert float(whitened @ whitened) < stats.chi2(len(INDEPENDENT)).ppf(0.999)


def test_the_size_of_a_card_does_not_average_out() -> None:
    """The same cards are as unknown in size to two photos as to one: that line of the budget hardly shrinks."""
    alone, both = adjusted("first")[2], adjusted("both")[2]
    assert both.budget("width_middle")["card size"] > 0.5 * alone.budget("width_middle")["card size"]


def test_two_places_of_the_camera_see_how_deep_a_card_lies() -> None:
    """By parallax: the line that one photo alone cannot lower falls to less than a third."""
    alone, both = adjusted("first")[2], adjusted("both")[2]
    # 0.26 here: a step between the arrises, unknown too, takes a little of what the parallax tells
    assert both.budget("width_middle")["card plane"] < 0.33 * alone.budget("width_middle")["card plane"]
