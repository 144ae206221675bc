"""The door line behind the arrises: what is not seen of the way back stands in the budget, what is seen moves the width."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from tests.benchmarks.edge_draws import points
from tests.benchmarks.edge_scenes import HONEST
from tests.benchmarks.edge_truth import SETTINGS, Scene
from tests.geometry.drawn_verticals import BIAS, LAYOUT, added, bare
from tests.geometry.test_outcome import outcome
from tests.tolerances import EXACT
from vision.geometry.depth import at_door_line
from vision.geometry.lines import LineFacts, SeenLine
from vision.geometry.model import DEEP, FALL, FL, FR, H0, W0
from vision.geometry.opening import SIZES, Opening
from vision.geometry.sizes import corners

SCENES = 60
DEPTH_MM, DEPTH_SD_MM = 300.0, 4.0
"""deep enough for the side walls to be most of the widths' doubt where they are not seen"""
HEIGHTS_MM = (250.0, 1750.0)
"""joints far below and above the camera: at its height a joint says nothing"""
DEPTH = SETTINGS.depth
WIDTHS = SIZES[:3]


def drawn(rng: np.random.Generator, *, seen: bool) -> tuple[Scene, dict[str, float]]:
    """A scene with a stated door line, side walls as their prior has them, and the true widths and heights there."""
    scene = bare(rng, LAYOUT)
    deep = rng.normal(DEPTH_MM, DEPTH_SD_MM)
    flare = dict(zip(("left", "right"), rng.normal(0, DEPTH.flare_sd, 2), strict=True))
    fall = rng.normal(0, DEPTH.curb_fall_sd)
    scene = replace(scene, demands=replace(scene.demands, door_line_mm=(DEPTH_MM, DEPTH_SD_MM)))
    if seen:
        scene = added(scene, *(joint(scene, side, y, flare[side], rng) for side in flare for y in HEIGHTS_MM))
    truth = scene.opening.quantities(scene.at_mm)
    at_line = {n: truth[n] + deep * (flare["left"] + flare["right"]) for n in WIDTHS}
    return scene, at_line | {n: truth[n] + deep * fall for n in ("height_left", "height_right")}


def joint(scene: Scene, side: str, y: float, flare: float, rng: np.random.Generator) -> SeenLine:
    """A joint on a side wall from behind the arris to two feet back, level as the setting says."""
    foot = scene.opening.wall(side, np.array([y]))[0]
    way = np.array([-flare if side == "left" else flare, rng.normal(0, DEPTH.joint_level_sd), -1.0])
    world = foot + np.linspace(60, 660, 121)[:, None] * way
    px = scene.camera.project(world)
    facts = LineFacts("back", px[[0, -1]] + rng.uniform(-4, 4, (2, 2)), side=side)
    return SeenLine(facts, points(px, 0.03, BIAS, rng))


@cache
def results(seen: bool) -> tuple[np.ndarray, np.ndarray]:
    """Errors and u of widths and heights at the door line, (scenes, 5) mm."""
    rng, errors, stated = np.random.default_rng(51), [], []
    for _ in range(SCENES):
        scene, true = drawn(rng, seen=seen)
        q = outcome(scene.photo, scene.demands).quantities
        errors.append([q.value(n) - true[n] for n in true])
        stated.append([q.u(n) for n in true])
    return np.array(errors), np.array(stated)


@pytest.mark.parametrize("seen", [False, True])
def test_sizes_at_the_door_line_are_as_certain_as_they_say(seen: bool) -> None:
    """Whether the side walls are seen or taken as square: no bias, and u over rms as everywhere."""
    errors, stated = results(seen)
    assert np.all(np.abs(errors.mean(axis=0)) < 3.3 * np.sqrt(np.mean(stated**2, axis=0) / SCENES))
    ratio = stated.mean(axis=0) / np.sqrt(np.mean(errors**2, axis=0))
    assert np.all((ratio > HONEST[0]) & (ratio < HONEST[1])), ratio


def test_side_walls_that_are_seen_carry_the_widths() -> None:
    """Two joints a wall more than halve what the side walls add."""
    unseen, seen = (results(s)[1][:, 1].mean() for s in (False, True))
    rng = np.random.default_rng(51)
    scene, _ = drawn(rng, seen=True)
    added_by = {s: outcome_of(scene, s).quantities.budget("width_middle")["side walls"] for s in (False, True)}
    assert seen < 0.7 * unseen
    assert added_by[False] == pytest.approx(DEPTH_MM * DEPTH.flare_sd * math.sqrt(2), rel=1e-6)
    assert added_by[True] < 0.5 * added_by[False]


def outcome_of(scene: Scene, seen: bool) -> Opening:
    return outcome(scene.photo if seen else replace(scene.photo, lines=()), scene.demands)


@cache
def pair() -> tuple[Opening, Opening]:
    """The same photo without and with a stated door line of 60 mm."""
    scene = bare(np.random.default_rng(52))
    return outcome(scene.photo, scene.demands), outcome(scene.photo, replace(scene.demands, door_line_mm=(60.0, 3.0)))


@pytest.mark.parametrize("name", SIZES)
def test_the_budget_grows_and_adds_up(name: str) -> None:
    """Nothing is added to a size that nothing is known of, but its doubt grows by lines of its own whose squares add up."""
    plain, behind = (o.quantities for o in pair())
    assert behind.value(name) == pytest.approx(plain.value(name), abs=EXACT)
    budget = behind.budget(name)
    assert sum(v * v for v in budget.values()) == pytest.approx(behind.u(name) ** 2, abs=EXACT)
    ours = {s: budget.get(s, 0.0) for s in ("side walls", "curb fall")}
    assert behind.u(name) == pytest.approx(math.sqrt(plain.u(name) ** 2 + sum(v * v for v in ours.values())), rel=1e-6)
    assert ours["side walls"] == pytest.approx(60 * DEPTH.flare_sd * math.sqrt(2), rel=1e-6) or not name.startswith("width")
    assert {"side walls", "curb fall", "door line"} & set(plain.budget(name)) == set()


def test_the_record_says_what_was_seen() -> None:
    """Depth with its sd, and for each side wall how it goes back and whether the photo shows it."""
    plain, behind = pair()
    assert plain.door_line is None
    assert behind.door_line is not None
    assert (behind.door_line.depth_mm, behind.door_line.u_depth_mm, behind.door_line.seen) == (60.0, 3.0, ())
    assert behind.door_line.flares["left"] == pytest.approx((0.0, 1000 * DEPTH.flare_sd), abs=1e-6)
    scene, _ = drawn(np.random.default_rng(53), seen=True)
    seen = outcome_of(scene, True).door_line
    assert seen is not None
    assert seen.seen == ("left", "right")
    assert seen.flares["left"][1] < 500 * DEPTH.flare_sd


def test_leans_do_not_hang_on_the_door_line() -> None:
    """Taper, rack and bow are those of the arrises."""
    plain, behind = (o.quantities for o in pair())
    for name in ("taper", "rack", "bow_left", "curb_against_head"):
        assert behind.u(name) == pytest.approx(plain.u(name), rel=1e-6)


def test_the_figure_at_the_door_line_closes() -> None:
    """Its corners are those of the arrises moved out by the flare and down by the curb's fall."""
    opening = np.zeros(13)
    opening[[W0, H0, DEEP, FL, FR, FALL]] = 1400.0, 1950.0, 60.0, 0.02, 0.01, 0.015
    there = corners(at_door_line(opening))
    foot = np.array([60 * 0.02, 60 * 0.015])
    expected = corners(opening) + np.array([(-1.2, -0.9), (0.6, -0.9), (0.6, 0.0), (-1.2, 0.0)]) + foot
    assert there == pytest.approx(expected, abs=EXACT)


def test_references_on_both_sides_make_a_step_between_the_arrises_harmless() -> None:
    """Each lies on its own wall's face, so the step counts for little; with one sheet beside the opening it counts."""
    steps = {}
    for layout in ("2 letters measured opposite", "1 letter measured beside"):
        scene = bare(np.random.default_rng(54), layout)
        steps[layout] = outcome(scene.photo, scene.demands).quantities.budget("width_middle")["arris planes"]
    both, one = steps.values()
    assert both < 0.3 * one
    assert one < SETTINGS.depth.arris_step_sd_mm
