"""Sub-pixel edges on painted pictures with exact truth: every kind of edge is true within its stated bias.

METHOD.md, section 3: the mean signed error of every kind of edge must be zero within its stated sd. Edges of equal grey are the
test of the colour direction.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from tests.geometry.painted import Edge, Line, as_jpeg, picture_of
from tests.tolerances import EXACT, SAMPLED_SD
from vision.geometry.edges import EdgePoints, observe_edge
from vision.geometry.strips import take_strip
from vision.settings import EdgeSettings

ROWS = 300
DRAWS = 6
SETTINGS = EdgeSettings()
LIGHT, MIDDLE, DARK = (205, 204, 200), (150, 150, 150), (70, 72, 75)
PLAIN = {
    "dark, light": Edge(DARK, LIGHT),
    "light, dark": Edge(LIGHT, DARK),
    "white on white": Edge((228, 228, 226), (240, 240, 238)),
    "paint and tile": Edge((214, 206, 190), (176, 186, 190)),
    "colours and light": Edge((90, 60, 50), (150, 170, 190)),
    "slanted": Edge(DARK, LIGHT, slope=0.06),
    "bent by the lens": Edge(DARK, LIGHT, sag=1.5),
}
EQUAL = {
    "equal grey, strong colours": Edge((200, 120, 120), (105, 160, 150)),
    "equal grey, soft colours": Edge((190, 160, 140), (160, 168, 175)),
    "nearly equal grey": Edge((200, 130, 120), (150, 160, 150)),
}
"""luma differs by 1.5, 0.3 and 6 codes of 255"""
LINED = {
    "dark line": (Edge(LIGHT, MIDDLE, line=Line(1, 2.0, (60, 60, 60))), 1),
    "dark line on the left": (Edge(LIGHT, MIDDLE, line=Line(-1, 2.0, (60, 60, 60))), -1),
    "bright line": (Edge((100, 104, 100), MIDDLE, line=Line(1, 2.5, (230, 230, 230))), 1),
    "shadow beside a card": (Edge(LIGHT, (182, 181, 176), line=Line(1, 1.5, (120, 120, 117))), 1),
}


def observed(edge: Edge, seed: int, *, jpeg: bool, sides: tuple[int, ...] = (-1, 1)) -> tuple[Edge, EdgePoints | None]:
    """One picture of the edge, moved by part of a pixel and turned a little, and what is seen from a start within a pixel."""
    rng = np.random.default_rng(seed)
    drawn = replace(edge, at=edge.at + rng.uniform(-0.5, 0.5), slope=edge.slope + rng.normal(0, 0.003))
    pixels = picture_of(drawn, rows=ROWS, blur_px=rng.uniform(0.6, 1.4), seed=seed)
    pixels = as_jpeg(pixels) if jpeg else pixels
    ends = [np.array([float(drawn.x(np.array([y]), ROWS)[0]), y]) for y in (0.0, ROWS - 1.0)]
    strip = take_strip(pixels, ends[0], ends[1], 30)
    curve = drawn.x(np.arange(strip.lines) + strip.start, ROWS) + rng.uniform(-0.8, 0.8)
    extent = strip.extent(*ends)
    return drawn, observe_edge(strip, curve, extent, scale=1.0, settings=SETTINGS, line_sides=sides, trim=(8.0, 8.0))


def errors(drawn: Edge, points: EdgePoints) -> np.ndarray:
    return points.points_px[:, 0] - drawn.x(points.points_px[:, 1], ROWS)


@cache
def mean_errors(edge: Edge, jpeg: bool, sides: tuple[int, ...]) -> tuple[np.ndarray, np.ndarray]:
    """Mean error and stated bias sd of each draw; every edge must be found."""
    pairs = []
    for seed in range(DRAWS):
        drawn, points = observed(edge, seed, jpeg=jpeg, sides=sides)
        assert points is not None, "an edge that is there was not found"
        pairs.append((errors(drawn, points).mean(), points.bias_sd_px))
    found, stated = np.array(pairs).T
    return found, stated


def assert_true_within_its_bias(edge: Edge, jpeg: bool, sides: tuple[int, ...] = (-1, 1)) -> None:
    """The root mean square of the mean errors is no more than that of the stated sds, to what so few draws allow."""
    found, stated = mean_errors(edge, jpeg, sides)
    rms, allowed = (float(np.sqrt(np.mean(v**2))) for v in (found, stated))
    assert rms <= allowed * (1 + SAMPLED_SD(DRAWS)), f"errors {np.round(found, 2)}, stated {np.round(stated, 2)}"


@pytest.mark.parametrize("jpeg", [False, True], ids=["raw", "jpeg"])
@pytest.mark.parametrize("name", PLAIN)
def test_a_plain_edge_is_true_within_its_bias(name: str, jpeg: bool) -> None:
    """Whatever the colours, slope or bend, noise and JPEG."""
    assert_true_within_its_bias(PLAIN[name], jpeg)


@pytest.mark.parametrize("jpeg", [False, True], ids=["raw", "jpeg"])
@pytest.mark.parametrize("name", PLAIN)
def test_a_plain_edge_is_trusted_to_a_tenth_of_a_pixel(name: str, jpeg: bool) -> None:
    """Its bias prior is hardly widened, and no line is seen beside it."""
    assert float(np.median(mean_errors(PLAIN[name], jpeg, (-1, 1))[1])) < 1.2 * SETTINGS.bias_sd_px


@pytest.mark.parametrize("jpeg", [False, True], ids=["raw", "jpeg"])
@pytest.mark.parametrize("name", EQUAL)
def test_an_edge_between_equal_greys_is_true_within_its_bias(name: str, jpeg: bool) -> None:
    """In colour the edge is obvious."""
    assert_true_within_its_bias(EQUAL[name], jpeg)


@pytest.mark.parametrize("jpeg", [False, True], ids=["raw", "jpeg"])
@pytest.mark.parametrize("name", [n for n in LINED if n != "bright line"])
def test_a_line_on_a_known_side_does_not_pull_the_edge(name: str, jpeg: bool) -> None:
    """A joint or a contact shadow of a pixel or two, where it is known on which side of the edge it lies."""
    # Not tested: a line three times brighter than the step, after JPEG. Beside a card, the only edge whose side is known, a
    # shadow is darker than the wall; a bright bead at an opening has no known side, and the next test holds its bias.
    edge, side = LINED[name]
    assert_true_within_its_bias(edge, jpeg, (side,))


@pytest.mark.parametrize("name", LINED)
def test_a_line_on_an_unknown_side_is_owned_up_to(name: str) -> None:
    """The edge may be at either side of the line: where nobody says which, the stated bias covers both."""
    assert_true_within_its_bias(LINED[name][0], False)


@pytest.mark.parametrize("name", ["dark, light", "white on white", "bent by the lens"])
def test_points_scatter_as_they_say(name: str) -> None:
    """About their own smooth course, the points' rms is 0.5 to 1.5 of their stated sd."""
    ratios = []
    for seed in range(DRAWS):
        drawn, points = observed(PLAIN[name], seed, jpeg=False)
        assert points is not None
        smooth = np.polyval(np.polyfit(points.along, errors(drawn, points), 2), points.along)
        ratios.append(np.mean(((errors(drawn, points) - smooth) / points.sd_px) ** 2))
    assert 0.5 < float(np.sqrt(np.mean(ratios))) < 1.5


def test_points_are_normal_to_a_slanted_edge() -> None:
    """They lie on it, wherever the scan lines cross it."""
    drawn, points = observed(PLAIN["slanted"], 3, jpeg=False)
    assert points is not None
    assert float(np.abs(errors(drawn, points)).max()) < SETTINGS.bias_sd_px


def test_along_runs_over_the_whole_edge() -> None:
    """From -1 at one end of the extent to 1 at the other, trimmed parts left out."""
    _, points = observed(PLAIN["dark, light"], 0, jpeg=False)
    assert points is not None
    assert points.along == pytest.approx(2 * points.points_px[:, 1] / (ROWS - 1) - 1, abs=EXACT)
    assert -0.98 < points.along.min() < -0.85
    assert 0.85 < points.along.max() < 0.98


def test_the_step_has_the_sign_of_its_sides() -> None:
    """Growing position: dark to light is positive in luma, and turns with the sides."""
    for name, sign in (("dark, light", 1), ("light, dark", -1)):
        points = observed(PLAIN[name], 1, jpeg=False)[1]
        assert points is not None
        assert sign * points.step[0] > 0.3


def test_blur_is_measured() -> None:
    """A softer picture has a larger fitted blur, by what it was blurred with."""
    fitted = []
    for blur in (0.8, 2.0):
        pixels = picture_of(Edge(DARK, LIGHT, slope=0.01), rows=ROWS, blur_px=blur)
        ends = np.array([38.0, 0.0]), np.array([42.0, ROWS - 1.0])
        strip = take_strip(pixels, *ends, 30)
        points = observe_edge(strip, strip.of_polyline(np.array(ends)), (0.0, ROWS - 1.0), scale=1.0, settings=SETTINGS)
        assert points is not None
        fitted.append(points.blur_px)
    # the square of a pixel adds 1/12 px^2, and a bin of half a pixel 1/48
    assert fitted == pytest.approx([np.sqrt(b**2 + 1 / 12 + 1 / 48) for b in (0.8, 2.0)], rel=0.1)


def test_a_hidden_stretch_is_left_out() -> None:
    """A third of the edge is covered: its blocks are dropped, the rest is true, and the share kept says so."""
    edge = Edge(DARK, LIGHT, slope=0.004)
    pixels = picture_of(edge, rows=ROWS)
    pixels[90:180, 20:70] = (120, 118, 110)
    ends = [np.array([float(edge.x(np.array([y]), ROWS)[0]), y]) for y in (0.0, ROWS - 1.0)]
    strip = take_strip(pixels, ends[0], ends[1], 30)
    points = observe_edge(strip, strip.of_polyline(np.array(ends)), (0.0, ROWS - 1.0), scale=1.0, settings=SETTINGS)
    assert points is not None
    assert 0.5 < points.kept_share < 0.8
    assert not np.any((points.points_px[:, 1] > 100) & (points.points_px[:, 1] < 170))
    assert abs(float(errors(edge, points).mean())) < SETTINGS.bias_sd_px


def test_where_there_is_no_edge_none_is_found() -> None:
    """A plain wall, with the noise of a camera."""
    pixels = picture_of(Edge(LIGHT, LIGHT), rows=ROWS, seed=2)
    ends = np.array([40.0, 0.0]), np.array([40.0, ROWS - 1.0])
    strip = take_strip(pixels, *ends, 30)
    points = observe_edge(strip, strip.of_polyline(np.array(ends)), (0.0, ROWS - 1.0), scale=1.0, settings=SETTINGS)
    assert points is None or points.bias_sd_px > 3 * SETTINGS.bias_sd_px


def test_too_short_an_edge_is_not_followed() -> None:
    """Fewer than eight scan lines say nothing."""
    strip = take_strip(picture_of(Edge(DARK, LIGHT), rows=40), np.array([40.0, 10.0]), np.array([40.0, 16.0]), 30)
    assert observe_edge(strip, np.full(strip.lines, 40.0), (0.0, 6.0), scale=1.0, settings=SETTINGS) is None
