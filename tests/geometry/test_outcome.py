"""The adjusted state as a record: what is given, what is refused, and why."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from types import SimpleNamespace

import numpy as np
import pytest
from scipy import stats

from tests.benchmarks.edge_draws import draw
from tests.benchmarks.edge_truth import SETTINGS, Scene
from tests.tolerances import EXACT
from vision.gaussian import Gaussian
from vision.geometry.adjustment import Solution
from vision.geometry.assemble import Assembly, assemble
from vision.geometry.opening import NO_VERTICAL, PROPORTIONS, QUANTITIES, SIZES, Opening
from vision.geometry.outcome import LENGTHS, _without_metadata, opening_of
from vision.geometry.seen import Demands, SeenPhoto

LAYOUT = "4 id-1"


@cache
def scene() -> Scene:
    return draw(LAYOUT, np.random.default_rng(31))


def outcome(photo: SeenPhoto, demands: Demands, *, scale_refused: bool = False) -> Opening:
    assembly: Assembly = assemble([photo], demands, SETTINGS)
    solution: Solution = assembly.problem.solve(assembly.start, assembly.camera_priors)
    return opening_of([photo], assembly, solution, demands, SETTINGS, findings=(), scale_refused=scale_refused)


@cache
def whole() -> Opening:
    return outcome(scene().photo, scene().demands)


@cache
def shape_only() -> Opening:
    cards = tuple(replace(c, inside=True) for c in scene().photo.cards)
    return outcome(replace(scene().photo, cards=cards), scene().demands, scale_refused=True)


@cache
def headless() -> Opening:
    photo = scene().photo
    outline = {n: p for n, p in photo.outline.items() if n != "head"}
    return outcome(replace(photo, outline=outline), replace(scene().demands, has_head=False))


def test_with_a_head_and_a_vertical_everything_is_measured() -> None:
    """All names of the contract are given and none is refused."""
    assert set(whole().quantities.names) == set(QUANTITIES)
    assert whole().not_measured == {}
    assert whole().vertical == "plumb line"


def test_what_is_not_given_is_refused_with_a_reason() -> None:
    """Every name is in exactly one of the two, whatever was left out."""
    for opening in (whole(), shape_only(), headless()):
        assert set(opening.not_measured) | set(opening.quantities.names) == set(QUANTITIES)
        assert not set(opening.not_measured) & set(opening.quantities.names)
        assert all(reason.remedy for reason in opening.not_measured.values())


def test_without_a_vertical_leans_are_refused() -> None:
    """no-vertical for the lean of each wall, the curb's level and the plumb rectangle."""
    opening = outcome(replace(scene().photo, plumb=()), scene().demands)
    assert {n: r.code for n, r in opening.not_measured.items()} == dict.fromkeys(NO_VERTICAL, "no-vertical")
    assert opening.vertical is None


def test_a_level_card_is_a_vertical() -> None:
    """A card set with a level gives the leans as well; both together are several."""
    stated = replace(scene().demands, level_cards=(1,))
    assert outcome(replace(scene().photo, plumb=()), stated).vertical == "card"
    assert outcome(scene().photo, stated).vertical == "several"


def test_where_the_scale_is_refused_no_length_is_given() -> None:
    """Lengths are refused as card-plane, proportions, taper and rack stay, and a finding says what to do."""
    opening = shape_only()
    assert {n for n, r in opening.not_measured.items() if r.code == "card-plane"} == set(LENGTHS)
    assert set(PROPORTIONS) <= set(opening.quantities.names)
    assert [f.code for f in opening.findings] == ["card-plane"]
    assert not any(c.used for c in opening.cards)
    assert opening.smallest_width_mm is None


def test_where_the_scale_is_refused_the_shape_still_testifies() -> None:
    """All seven sizes for the judge, with one more source of relative sd one; ratios as good as before."""
    shape, sizes = shape_only().shape, whole().shape
    assert shape is not None
    assert sizes is not None
    assert shape.names == SIZES
    assert shape.sources["scale"][:, 0] == pytest.approx(shape.mean, rel=EXACT)
    assert set(shape.sources) - set(sizes.sources) == {"scale"}


def test_the_shape_is_that_of_the_truth() -> None:
    """Errors of the shape record pass a chi-square test at one in a thousand."""
    shape = shape_only().shape
    assert shape is not None
    true = scene().opening.quantities(dict(shape_only().at_mm))
    error = shape.mean - np.array([true[n] for n in shape.names])
    # two combinations of the seven sizes are fixed by the others to within the walls' bow, so that C is inverted on its range
    values, vectors = np.linalg.eigh(shape.covariance)
    good = values > 1e-6
    assert float(np.sum((vectors[:, good].T @ error) ** 2 / values[good])) < stats.chi2(int(good.sum())).ppf(0.999)


def test_without_a_head_widths_need_a_height() -> None:
    """Neither head nor height: no size at all, and no-head says which fact would help."""
    assert not set(SIZES) & set(headless().quantities.names)
    assert {headless().not_measured[n].code for n in SIZES} == {"no-head"}
    assert {"taper", "rack", "lean_left", "lean_right"} <= set(headless().quantities.names)


def test_without_a_head_a_stated_height_gives_the_widths() -> None:
    """They end 25 mm below it; the middle one is at half of it."""
    photo = scene().photo
    open_above = replace(photo, outline={n: p for n, p in photo.outline.items() if n != "head"})
    opening = outcome(open_above, replace(scene().demands, has_head=False, height_mm=1800.0))
    assert opening.at_mm == {"width_top": 1775.0, "width_middle": 900.0, "width_bottom": 25.0}
    assert set(SIZES[:3]) <= set(opening.quantities.names)
    assert {opening.not_measured[n].code for n in SIZES[3:]} == {"no-head"}
    for name in (*SIZES[3:], "width_over_height", "left_over_right_height"):
        assert opening.not_measured[name].found == "no head above the opening"
    assert "top_over_bottom_width" in opening.quantities.names


def test_a_width_is_measured_where_its_reading_was_taken() -> None:
    """`at` moves it; a height outside the opening is refused instead."""
    opening = outcome(scene().photo, replace(scene().demands, at_mm={"width_top": 1500.0, "width_middle": 5000.0}))
    true = scene().opening.quantities(dict(opening.at_mm) | {"width_middle": 1000.0})
    assert opening.at_mm["width_top"] == 1500.0
    assert abs(opening.quantities.value("width_top") - true["width_top"]) < 3.5 * opening.quantities.u("width_top")
    assert "width_middle" in opening.not_measured
    assert "width_middle" not in opening.at_mm


def test_the_smallest_width_is_no_larger_than_any_width() -> None:
    """Between the walls at any height, not only where it was measured."""
    opening = whole()
    assert opening.smallest_width_mm is not None
    assert opening.smallest_width_mm <= min(opening.quantities.value(n) for n in SIZES[:3]) + EXACT


def test_cards_are_reported_with_their_plane() -> None:
    """Offset as taken and its sd: common and own together."""
    for card in whole().cards:
        assert card.used
        assert (card.photo, card.kind, card.offset_mm) == (1, "id-1", -0.76)
        assert card.u_offset_mm == pytest.approx(np.hypot(2.0, 0.5), rel=EXACT)


def test_edges_are_drawn_where_they_are_seen() -> None:
    """The adjusted edges pass through the observed points to a few tenths of a pixel."""
    geometry, photo = whole().photos[0], scene().photo
    for name, points in photo.outline.items():
        line = geometry.edges_px[name]
        k = int(np.argmax(np.ptp(line, axis=0)))
        order = np.argsort(line[:, k])
        at = np.interp(points.points_px[:, k], line[order, k], line[order, 1 - k])
        assert float(np.abs(at - points.points_px[:, 1 - k]).max()) < 10 * SETTINGS.edges.bias_sd_px


def test_proportions_of_a_width_that_is_nowhere_are_refused_for_that() -> None:
    """Both name the same fault as the width, not a missing head."""
    opening = outcome(scene().photo, replace(scene().demands, at_mm={"width_middle": 5000.0, "width_bottom": 5000.0}))
    names = ("width_middle", "width_bottom", "width_over_height", "top_over_bottom_width")
    assert {opening.not_measured[n].code for n in names} == {"edge-hidden"}


@pytest.mark.parametrize(
    ("height_mm", "refused"), [(5000.0, {"width_top", "width_middle"}), (3200.0, {"width_top"}), (1900.0, set())]
)
def test_without_a_head_no_width_is_taken_far_above_the_walls_that_are_seen(height_mm: float, refused: set[str]) -> None:
    """The walls are followed up to 1.81 m: what would lie more than a tenth above is edge-hidden, with both heights."""
    photo = scene().photo
    open_above = replace(photo, outline={n: p for n, p in photo.outline.items() if n != "head"})
    opening = outcome(open_above, replace(scene().demands, has_head=False, height_mm=height_mm))
    hidden = {n: r for n, r in opening.not_measured.items() if r.code == "edge-hidden" and n in SIZES}
    assert set(hidden) == refused
    assert set(opening.at_mm) == set(SIZES[:3]) - refused
    assert all("the photo shows the walls up to" in r.found for r in hidden.values())


@pytest.mark.parametrize(("references", "share", "holds"), [(1, 0.0, True), (1, 0.3, True), (3, 0.0, False), (3, 0.9, True)])
def test_a_missing_focal_length_is_said_with_what_it_does(references: int, share: float, holds: bool) -> None:
    """A share that rounds to nothing is no reason: where one reference alone holds the order, that is what is said."""
    sizes = Gaussian(("width_top",), np.array([1400.0]), {"focal length": np.array([[share]]), "edges": np.array([[1 - share]])})
    look = SimpleNamespace(name="room.jpg", prior=SimpleNamespace(from_metadata=False))
    photo = SimpleNamespace(look=look, used=(None,) * references)
    (finding,) = _without_metadata([photo], sizes)  # type: ignore[list-item]

    assert (finding.code, finding.holds) == ("no-metadata", holds)
    assert ("0 %" in finding.text) is False
    assert ("one reference alone" in finding.text) == (references == 1)
    assert ("variance" in finding.text) == (share > 0)
