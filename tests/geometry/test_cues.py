"""Cues: joints of the face and lines that run back, seen through the adjusted camera and held against it."""

from __future__ import annotations

import math
from dataclasses import replace

import cv2
import numpy as np
import pytest

from tests.benchmarks.cue_grids import Grid, with_segments
from tests.benchmarks.cue_scenes import OFF, ON, concluded
from tests.benchmarks.edge_draws import draw
from tests.benchmarks.edge_truth import LAYOUTS, Nothing, Scene
from tests.benchmarks.lying_cards import LIES, lied
from tests.geometry.scenery import LETTER_MM, Patch, Wall, picture
from vision.check import CheckRequest, check
from vision.geometry.camera import Camera
from vision.geometry.cues import STEPS, Cue, cues_in, cues_of
from vision.geometry.joints import face_segments, families
from vision.settings import Settings
from vision.settings_joints import JointSettings

SHEET, OPPOSITE = "1 letter measured beside", "2 id-1 opposite corners"
JOINTS = JointSettings()
HELD = replace(OFF, joints=JOINTS)
PITCH, YAW = (math.radians(0.5), 0.0, 0.0), (0.0, math.radians(0.5), 0.0)
"""turns of half a degree, ten times what the cues' own sd is"""


def scene(layout: str = SHEET, *, lie: str = "nothing", step: float = 0.0, seed: int = 1, tile: float | None = 150.0) -> Scene:
    rng = np.random.default_rng([13, seed])
    made = draw(layout, rng)
    made = lied(made, LIES[lie], step, rng) if lie != "nothing" else made
    return replace(made, photo=with_segments(made, Grid(tile), JOINTS, rng))


def perfect() -> Scene:
    """Nothing is untrue, and every end is where it belongs."""
    made = draw(SHEET, np.random.default_rng(3))
    return replace(made, photo=with_segments(made, Grid(150.0), JOINTS, Nothing()))


def camera_of(made: Scene) -> Camera:
    c = made.camera
    R = np.asarray(cv2.Rodrigues(c.rvec)[0])
    return Camera(R, c.tvec.ravel(), *(float(v) for v in (c.K[0, 0], c.K[0, 2], c.K[1, 2], *c.distortion[:2])))


def opening_of(made: Scene) -> np.ndarray:
    out = np.zeros(13)
    out[0], out[5] = made.opening.width, made.opening.height
    return out


def seen(made: Scene, turn: tuple[float, float, float] = (0.0, 0.0, 0.0)) -> dict[str, Cue]:
    assert made.photo.look.segments is not None
    camera = camera_of(made).moved(np.array([*turn, *[0.0] * 8]))
    found = cues_in(0, made.photo.look.segments, camera, opening_of(made), scale=1.0, settings=JOINTS)
    return {c.name: c for c in found}


def test_a_perfect_grid_seen_by_the_true_camera_shows_no_tilt() -> None:
    """All six cues are there, and each is zero to a fiftieth of a degree: ends lie where they were put, the fit adds nothing."""
    found = seen(perfect())
    assert set(found) == {"upright fan", "upright spacing", "level fan", "level spacing", "back level", "back square"}
    assert max(abs(c.tilt_deg) for c in found.values()) < 0.02


@pytest.mark.parametrize(
    ("turn", "those"),
    [(PITCH, ("upright fan", "level spacing", "back level")), (YAW, ("level fan", "upright spacing", "back square"))],
)
def test_a_camera_that_is_turned_by_half_a_degree_shows_it(turn: tuple[float, float, float], those: tuple[str, ...]) -> None:
    """In the three cues of that turn, as half a degree to a tenth; in the other three a fifth of it at most."""
    found = seen(perfect(), turn)
    for name, cue in found.items():
        assert abs(cue.tilt_deg) == pytest.approx(0.5, abs=0.05) if name in those else abs(cue.tilt_deg) < 0.1, name


def test_the_derivatives_by_the_camera_are_those_of_the_cues() -> None:
    """By differences over other steps than those taken inside (half as far and to both sides), with the same joints."""
    made = perfect()
    found = seen(made)
    for k in (0, 1, 6):
        for name, cue in found.items():
            step = np.zeros(11)
            step[k] = STEPS[k] * 20
            there, back = (seen_moved(made, sign * step)[name].tilt_deg for sign in (1, -1))
            slope = (there - back) / (2 * step[k])
            reach = 0.03 * max(1.0, float(np.abs(cue.by_camera[:3]).max()))
            assert cue.by_camera[k] == pytest.approx(slope, abs=reach), (name, k)


def seen_moved(made: Scene, step: np.ndarray) -> dict[str, Cue]:
    assert made.photo.look.segments is not None
    camera = camera_of(made).moved(step)
    return {c.name: c for c in cues_in(0, made.photo.look.segments, camera, opening_of(made), scale=1.0, settings=JOINTS)}


def test_the_stated_sd_of_each_cue_is_that_of_grids_as_untrue_as_they_may_be() -> None:
    """Thirty grids of different tiles: root mean square over sd within 0.6 and 1.4 (chi-square limits of 99.9 % for 30)."""
    scores: dict[str, list[float]] = {}
    for seed in range(30):
        for name, cue in seen(scene(seed=seed, tile=(100.0, 150.0, 200.0)[seed % 3])).items():
            scores.setdefault(name, []).append(cue.tilt_deg / cue.sd_deg)
    for name, z in scores.items():
        assert 0.6 * min(1.0, len(z) / 30) < np.sqrt(np.mean(np.square(z))) < 1.4 + 0.4 * (len(z) < 20), (name, len(z))


def test_honest_cards_are_not_contradicted() -> None:
    """No finding in six scenes of two layouts."""
    for layout in (SHEET, OPPOSITE):
        for seed in range(3):
            assert concluded(scene(layout, seed=seed), HELD).opening.findings == ()


@pytest.mark.parametrize("lie", ["top off", "right off"])
def test_a_sheet_whose_edge_stands_off_is_found_by_the_joints_of_the_face(lie: str) -> None:
    """Two degrees, of which the only sheet itself says nothing; without a tiled face nobody can tell."""
    said = concluded(scene(lie=lie, step=2.0), HELD).opening.findings
    assert [f.code for f in said if f.code.startswith("cue")] == ["cue-disagrees"]
    assert "joints of the wall face" in next(f.text for f in said if f.code == "cue-disagrees")
    assert not any(f.code == "cue-disagrees" for f in concluded(scene(lie=lie, step=2.0, tile=None), HELD).opening.findings)


def test_cues_do_not_enter_unless_the_settings_say_so() -> None:
    """Held against the camera they change nothing; entered they narrow the widths and have their own line in the budget."""
    made = scene()
    off, held, on = (concluded(made, s).opening.quantities for s in (OFF, HELD, ON))
    assert held.value("width_top") == off.value("width_top")
    assert on.u("width_top") < 0.8 * off.u("width_top")
    assert any(source.startswith("cue, ") for source in on.budget("width_top"))
    assert not any(source.startswith("cue, ") for source in held.budget("width_top"))


def test_a_cue_that_contradicts_does_not_enter() -> None:
    """It is said, and the sizes are those without it."""
    made = scene(lie="top off", step=2.0)
    off, on = concluded(made, OFF).opening, concluded(made, ON).opening
    assert "cue-disagrees" in {f.code for f in on.findings}
    assert on.quantities.value("width_top") == off.quantities.value("width_top")


def test_no_segments_no_cues() -> None:
    """Nor where they lie all over the picture without any order."""
    made = scene()
    solution = concluded(made, OFF).solution
    assert cues_of([replace(made.photo, look=replace(made.photo.look, segments=None))], solution, JOINTS) == []
    ends = np.random.default_rng(0).uniform(0, 3000, (300, 2, 2))
    assert cues_of([replace(made.photo, look=replace(made.photo.look, segments=ends))], solution, JOINTS) == []


def test_joints_of_a_painted_picture_are_found_where_they_are() -> None:
    """Upright and level joints every 150 mm, and none of the wall's other edges beside them."""
    of = picture(Wall(tiles_mm=150.0, patches=(Patch((1650, 900), LETTER_MM),)))
    H = of.shot.homography()
    f = 26.0 * math.hypot(*of.shot.size) / math.hypot(36, 24)
    R = cv2.Rodrigues(np.radians(of.shot.turn_deg))[0] @ np.diag([1.0, -1.0, -1.0])
    t = -R @ (np.array([*of.shot.aim, 0.0]) - of.shot.distance_mm * R[2])
    w, h = of.shot.size
    camera = Camera(R, t, f, (w - 1) / 2, (h - 1) / 2, 0.0, 0.0)
    assert np.allclose(H @ [0, 0, 1] / (H @ [0, 0, 1])[2], [*camera.project(np.zeros((1, 3)))[0], 1])
    opening = np.zeros(13)
    opening[0], opening[5] = of.wall.width_mm, of.wall.height_mm
    segments = face_segments(of.pixels, JOINTS)
    assert segments is not None
    found = families(segments, camera, opening, JOINTS)
    assert [family.axis for family in found] == [0, 1]
    scale = math.hypot(w, h) / Settings().camera.reference_diagonal_px
    cues = cues_in(0, segments, camera, opening, scale=scale, settings=JOINTS)
    assert {c.name for c in cues} >= {"upright fan", "level fan"}
    assert all(abs(c.tilt_deg) < 3 * c.sd_deg for c in cues), [(c.name, c.tilt_deg, c.sd_deg) for c in cues]


def test_a_whole_check_of_a_tiled_wall_says_nothing_against_an_honest_sheet() -> None:
    """The segments go all the way from the photo's bytes."""
    of = picture(Wall(tiles_mm=170.0, patches=(Patch((1650, 900), LETTER_MM),)))
    report = check(CheckRequest((("room.jpg", of.data),), cards=("letter",), corners=(of.corners_px(3),)))  # type: ignore[arg-type]
    assert report.opening is not None
    assert "cue-disagrees" not in {f.code for f in report.findings}


def test_every_layout_may_have_cues() -> None:
    """None of them fails."""
    for layout in LAYOUTS:
        assert seen(scene(layout, seed=4))
