"""Every vertical for itself: its lean is right on average and as certain as it says; together they contradict where they do."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from tests.benchmarks.edge_scenes import HONEST, adjust
from tests.benchmarks.edge_truth import SETTINGS, Scene
from tests.geometry.drawn_verticals import bare, with_gravity, with_joints, with_level, with_level_curb
from tests.geometry.test_outcome import outcome
from tests.tolerances import EXACT
from vision.errors import Finding
from vision.geometry.assemble import assemble
from vision.geometry.verticals import odd_verticals, vertical_scores, vertical_word

Drawn = Callable[[Scene, np.random.Generator], Scene]
SCENES = 60
UNBIASED_SD = 3.3
"""sd of the mean of all scenes; one in a thousand beyond"""
ALONE: dict[str, tuple[str, str, float, Drawn]] = {
    "one joint": ("grout", "grout", 1.66, lambda s, r: with_joints(s, r, 1)),
    "joints upright": ("grout", "grout", 1.54, lambda s, r: with_joints(s, r, 4)),
    "joints both ways": ("grout", "grout", 1.54, lambda s, r: with_joints(s, r, 2, 2)),
    "level standing": ("level", "level", 1.0, lambda s, r: with_level(s, r, lying=False)),
    "level lying": ("level", "level", 1.0, lambda s, r: with_level(s, r, lying=True)),
    "level of stated length": ("level", "level", 1.0, lambda s, r: with_level(s, r, lying=False, measured=True)),
    "gravity": ("gravity", "gravity", 8.0, with_gravity),
    "curb": ("curb", "curb", 3.0, with_level_curb),
}
"""by name: the contract's word, the budget's, sd of the vertical itself (mm/m; several joints share 1.5), and the draw"""


@cache
def leans(name: str) -> tuple[np.ndarray, np.ndarray]:
    """Errors and stated u of both leans, (scenes, 2) mm/m."""
    rng, errors, stated = np.random.default_rng(41), [], []
    for _ in range(SCENES):
        result = adjust(ALONE[name][3](bare(rng), rng))
        rows = [result.stated.index(f"lean_{side}") for side in ("left", "right")]
        errors.append(result.error[rows])
        stated.append(result.stated.sd[rows])
    return np.array(errors), np.array(stated)


@pytest.mark.parametrize("name", ALONE)
def test_the_lean_is_right_on_average(name: str) -> None:
    """Mean error of either wall's lean within the sd of that mean."""
    errors, stated = leans(name)
    assert np.all(np.abs(errors.mean(axis=0)) < UNBIASED_SD * np.sqrt(np.mean(stated**2, axis=0) / SCENES))


@pytest.mark.parametrize("name", ALONE)
def test_the_lean_is_as_certain_as_it_says(name: str) -> None:
    """Mean stated u over the rms error as everywhere."""
    errors, stated = leans(name)
    ratio = stated.mean(axis=0) / np.sqrt(np.mean(errors**2, axis=0))
    assert np.all((ratio > HONEST[0]) & (ratio < HONEST[1])), ratio


@pytest.mark.parametrize("name", ALONE)
def test_each_vertical_has_its_word_and_its_line_in_the_budget(name: str) -> None:
    """The budget of a lean names it, no other vertical, with at least its own sd, and adds up to u squared."""
    rng = np.random.default_rng(5)
    made = ALONE[name][3](bare(rng), rng)
    opening = outcome(made.photo, made.demands)
    budget, u = opening.quantities.budget("lean_left"), opening.quantities.u("lean_left")
    word, source, sd, _ = ALONE[name]
    assert opening.vertical == word
    assert [s for s in budget if s.startswith("vertical")] == [f"vertical, {source}"]
    assert budget[f"vertical, {source}"] == pytest.approx(sd, rel=0.02)  # the camera's turn and the joints' own weights
    assert sum(v * v for v in budget.values()) == pytest.approx(u * u, abs=EXACT)


def test_the_curb_tells_nothing_of_itself() -> None:
    """Leans are given, with more than the curb's own sd, and its level is refused for want of a vertical."""
    rng = np.random.default_rng(6)
    made = with_level_curb(bare(rng), rng)
    opening = outcome(made.photo, made.demands)
    assert opening.not_measured["curb_level"].code == "no-vertical"
    assert "curb_level" not in opening.quantities.names
    assert opening.quantities.u("lean_left") > SETTINGS.cues.curb_sd_mm_per_m
    assert {"lean_left", "lean_right", "plumb_rectangle"} <= set(opening.quantities.names)


def test_beside_a_better_vertical_the_curb_takes_no_part() -> None:
    """A curb said to be level does not pull its own level toward zero."""
    rng = np.random.default_rng(7)
    made = with_level(bare(rng), rng, lying=False)
    plain, said = (outcome(made.photo, replace(made.demands, level_curb=s)) for s in (False, True))
    assert said.quantities.value("curb_level") == plain.quantities.value("curb_level")
    assert said.vertical == "level"


def findings(scene: Scene) -> list[Finding]:
    assembly = assemble([scene.photo], scene.demands, SETTINGS)
    solution = assembly.problem.solve(assembly.start, assembly.camera_priors)
    return odd_verticals(solution, scene.demands, SETTINGS.cues)


def turned(scene: Scene, mm_per_m: float, kind: str) -> Scene:
    """The scene with the lines of one kind turned in the picture by so much."""
    lines = []
    for line in scene.photo.lines:
        if line.facts.kind == kind:
            middle = line.points.points_px.mean(axis=0)
            d = line.points.points_px - middle
            moved = middle + d + mm_per_m / 1000 * np.stack([-d[:, 1], d[:, 0]], axis=1)
            line = replace(line, points=replace(line.points, points_px=moved))
        lines.append(line)
    return replace(scene, photo=replace(scene.photo, lines=tuple(lines)))


@pytest.mark.parametrize(("kind", "word"), [("level", "level 1"), ("grout", "joint")])
def test_a_vertical_that_contradicts_the_others_is_a_finding(kind: str, word: str) -> None:
    """A level, or the joints, 15 mm/m askew beside two verticals that agree: cue-disagrees, and which one it is."""
    rng = np.random.default_rng(8)
    made = bare(rng)
    plumb = replace(made, photo=replace(made.photo, plumb=draw_plumb(made)))
    all_three = with_level(with_joints(plumb, rng, 3), rng, lying=True)
    assert findings(all_three) == []
    (finding,) = findings(turned(all_three, 15.0, kind))
    assert finding.code == "cue-disagrees"
    assert word in finding.text


def draw_plumb(scene: Scene) -> tuple:  # type: ignore[type-arg]
    """A plumb line in the scene's middle, exact."""
    from tests.geometry.drawn_verticals import drawn

    way = (scene.opening.gravity, 1.0)
    foot = np.array([0.5 * scene.opening.width, 0.0])
    line = drawn(scene.camera, "grout", foot, way, span=(1700, 200), rng=np.random.default_rng(3))
    return ((line.facts.ends_px, line.points),)


def test_a_curb_that_is_out_of_level_contradicts_its_statement() -> None:
    """A curb 15 mm/m out of level, said to be level beside a level: cue-disagrees."""
    rng = np.random.default_rng(9)
    made = bare(rng)
    sloping = replace(made, opening=replace(made.opening, gravity=0.015), demands=replace(made.demands, level_curb=True))
    (finding,) = findings(with_level(sloping, rng, lying=False))
    assert finding.code == "cue-disagrees"
    assert "curb" in finding.text


def test_a_phone_that_moved_is_noticed_beside_a_plumb_line() -> None:
    """Gravity 50 mm/m off: cue-disagrees; as drawn from its prior: silence."""
    rng = np.random.default_rng(10)
    made = bare(rng)
    plumb = replace(made, photo=replace(made.photo, plumb=draw_plumb(made)))
    for out, expected in ((0.0, []), (0.05, ["cue-disagrees"])):
        down = with_gravity(plumb, rng, 0.0).photo.look.down
        assert down is not None
        look = replace(plumb.photo.look, down=down + np.array([out, 0.0, 0.0]))
        assert [f.code for f in findings(replace(plumb, photo=replace(plumb.photo, look=look)))] == expected


def test_chance_rarely_calls_verticals_contradictory() -> None:
    """Over drawn scenes with joints, a level and gravity the scores are those of a standard normal."""
    rng, scores = np.random.default_rng(12), []
    for _ in range(SCENES):
        made = with_gravity(with_level(with_joints(bare(rng), rng, 3), rng, lying=True), rng)
        assembly = assemble([made.photo], made.demands, SETTINGS)
        solution = assembly.problem.solve(assembly.start, assembly.camera_priors)
        scores.append({s.name: s.score for s in vertical_scores(solution)})
        assert vertical_word([made.photo], made.demands) == "several"
    for name in ("level 1", "the joints", "joint 2", "gravity of photo 1"):
        rms = float(np.sqrt(np.mean([s[name] ** 2 for s in scores])))
        assert 0.7 < rms < 1.3, name  # sd of an rms of 60 is 0.09


def test_the_joints_of_one_wall_share_their_error() -> None:
    """Twelve joints are hardly better than two: what the tiler's first line was out by stays."""
    u = []
    for count in (2, 12):
        rng = np.random.default_rng(13)
        made = with_joints(bare(rng), rng, count)
        u.append(outcome(made.photo, made.demands).quantities.budget("lean_left")["vertical, grout"])
    assert SETTINGS.cues.grout_common_sd_mm_per_m < u[1] < u[0] < 1.1 * u[1]


def test_a_level_of_stated_length_is_a_reference() -> None:
    """Beside one bank card it lowers the doubt of the widths; its length and its depth stand in the budget."""
    rng = np.random.default_rng(14)
    plain = bare(rng, "1 id-1 beside")
    before = outcome(plain.photo, plain.demands).quantities
    made = with_level(plain, rng, lying=True, measured=True)
    after = outcome(made.photo, made.demands).quantities
    assert after.u("width_bottom") < 0.8 * before.u("width_bottom")
    assert {"level length", "level plane"} <= set(after.budget("width_bottom"))
