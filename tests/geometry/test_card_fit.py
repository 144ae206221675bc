"""The joint fit of a card's sides: slopes, and sides drawn with the very model that is fitted."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from vision.geometry.card_fit import PRINTED, Samples, fit_card
from vision.geometry.side_model import (
    BLUR,
    DEPTH,
    HIDES,
    LAMP,
    OWN,
    SHARP,
    SHIFT,
    TANGENT,
    TILT,
    UNKNOWNS,
    Levels,
    Prediction,
    Setting,
    together,
)

Array = NDArray[np.float64]
BINS = (np.arange(36) + 0.5) * 0.5 - 9.0
ALONG = np.linspace(-0.8, 0.8, 7)
NOISE = 0.004
"""of full scale; a bin's mean over six lines of an ordinary photo"""
TRUE = np.array([0.0, 0.0, 0.3, 1.0, np.log(0.9), 0.3, np.log(1.0), 0.5, 1.0, 0.0, 0.25])


def setting(face: float, wall: float, foot: float = -0.2) -> Setting:
    """Levels without hue, (7, 3) each."""
    tint = np.array([1.0, 0.95, 0.9])
    levels = Levels(np.full((7, 3), face) * tint, np.full((7, 3), wall) * tint, False, False)
    return Setting(levels, foot, BINS, ALONG, (5.0, 3.0))


def drawn(of: Setting, q: Array, way: str, rng: np.random.Generator) -> Samples:
    """A side with these unknowns and noise; distances vary within their bins."""
    x = np.broadcast_to(BINS, (7, len(BINS))) + rng.uniform(-0.2, 0.2, (7, len(BINS)))
    code = np.moveaxis(Prediction(x, q[None], together([of])).code, 0, -1)
    count = np.full(x.shape, 6.0)
    return Samples(code + rng.normal(0, NOISE, code.shape), count, x, np.full(3, NOISE * np.sqrt(6.0)), of, way)


@pytest.mark.parametrize("foot", [0.4, -0.3], ids=["flank seen", "flank hidden"])
@pytest.mark.parametrize("levels", [(0.7, 0.4), (0.05, 0.4)], ids=["bright", "dark"])
def test_slopes_are_those_of_the_prediction(foot: float, levels: tuple[float, float]) -> None:
    """Central differences of 1e-5; the slopes by height and tangent of the tabled shade are differences of 1e-4 themselves."""
    of, rng = setting(*levels, foot), np.random.default_rng(1)
    x = BINS + rng.uniform(-0.2, 0.2, (7, len(BINS)))
    q = TRUE + np.array([0.2, 0.1, 0.05, -0.1, 0.03, 0.02, 0.1, 0.1, 0.1, 0.0, 0.05])
    J, sides = Prediction(x, q[None], together([of])).slopes, together([of])
    for i in range(UNKNOWNS):
        d = np.zeros(UNKNOWNS)
        d[i] = 1e-5
        up, down = (Prediction(x, (q + sign * d)[None], sides).code for sign in (1, -1))
        assert np.allclose(J[i], (up - down) / 2e-5, atol=2e-5), i


def test_sides_seen_together_are_what_each_is_alone() -> None:
    """Two sides with other levels, feet and places, in one pass and in two: the same codes and slopes to rounding."""
    ofs, rng = [setting(0.7, 0.4, 0.4), setting(0.05, 0.5, -0.3)], np.random.default_rng(2)
    x = BINS + rng.uniform(-0.2, 0.2, (14, len(BINS)))
    q = np.stack([TRUE, TRUE])
    q[1, [SHIFT, TILT, LAMP, TANGENT]] = 0.4, 0.2, 0.1, 0.5
    both = Prediction(x, q, together(ofs))
    for i, of in enumerate(ofs):
        block = slice(7 * i, 7 * i + 7)
        alone = Prediction(x[block], q[i : i + 1], together([of]))
        assert np.allclose(both.code[:, block], alone.code, atol=1e-12)
        assert np.allclose(both.slopes[:, :, block], alone.slopes, atol=1e-9)


def test_even_shade_ends_far_from_the_foot() -> None:
    """All of the depth at the foot, 1 - 4 / sqrt(17) of it at four heights (a strip's form factor), nearly none at ten."""
    assert HIDES[0] > 0.9
    assert HIDES[8] < 1 - 3.6 / np.hypot(1, 3.6)
    assert HIDES[-1] < 0.01


@pytest.mark.parametrize("face", [0.75, 0.05], ids=["bright", "dark"])
def test_sides_of_one_card_are_found_where_they_are(face: float) -> None:
    """Four sides, shifted by up to half a pixel, one under the lamp's shadow: each within four stated sd, and within 0.15 px."""
    rng, of = np.random.default_rng(5), setting(face, 0.5)
    lamps = {"lower": (0.3, 1.0), "upright": (0.1, 0.4), "upper": (0.0, 0.2)}
    ways, shifts = ("lower", "upright", "upper", "upright"), rng.uniform(-0.5, 0.5, 4)
    sides = []
    for way, shift in zip(ways, shifts, strict=True):
        q = TRUE.copy()
        q[[SHIFT, TILT, LAMP, TANGENT]] = shift, 0.1, *lamps[way]
        q[DEPTH] = 0.34 * (1 - 0.5 * face)
        sides.append(drawn(of, q, way, rng))
    fitted = fit_card(sides, 0.9, 1.0)
    sd = np.sqrt(np.diag(fitted.covariance))
    for i, side in enumerate(fitted.sides):
        off = float(side.unknowns[SHIFT] - shifts[i])
        assert abs(off) < min(4 * sd[i], 0.15), ways[i]
        assert side.unknowns[TILT] == pytest.approx(0.1, abs=0.08)  # its own sd is some 0.03


def test_the_lit_side_of_a_dark_card_is_surer_than_the_one_in_shadow() -> None:
    """A shadow as dark as the card may be the card; above, where no lamp's shadow falls, nothing is."""
    rng, of = np.random.default_rng(6), setting(0.1, 0.5)
    low, high = TRUE.copy(), TRUE.copy()
    low[LAMP], high[LAMP] = 0.5, 0.0
    ways = ("lower", "upright", "upper", "upright")
    fitted = fit_card([drawn(of, low if w == "lower" else high, w, rng) for w in ways], 0.9, 1.0)
    sd = np.sqrt(np.diag(fitted.covariance))
    assert sd[0] > 1.3 * sd[2]


def test_a_blur_other_than_the_outlines_is_found_by_all_sides_together() -> None:
    """Told 0.9 px, true 1.1: found to 0.05, since the prior of a tenth gives way to the pixels."""
    rng, of = np.random.default_rng(7), setting(0.75, 0.3)
    q = TRUE.copy()
    q[BLUR] = np.log(1.1)
    fitted = fit_card([drawn(of, q, w, rng) for w in ("lower", "upright", "upper", "upright")], 0.9, 1.0)
    assert float(np.exp(fitted.sides[0].unknowns[BLUR])) == pytest.approx(1.1, abs=0.05)


def test_ink_on_paper_is_read_with_its_sharpening_and_without_shadows() -> None:
    """Sharpened by 0.5 it is found to 0.02 px; shade and lamp stay out of it."""
    rng, of = np.random.default_rng(8), replace(setting(0.03, 0.8), foot=0.0)
    q = TRUE.copy()
    q[[SHIFT, LAMP, TANGENT, DEPTH, SHARP]] = 0.2, 0.0, 0.0, 0.0, 0.5
    fitted = fit_card([drawn(of, q, PRINTED, rng) for _ in range(4)], 0.9, 0.0)
    for side in fitted.sides:
        assert side.unknowns[SHIFT] == pytest.approx(0.2, abs=0.02)
        assert side.unknowns[[LAMP, TANGENT, DEPTH]] == pytest.approx(0.0)
    assert len(fitted.sides[0].unknowns) == UNKNOWNS > OWN
