"""Sub-pixel sides of a card: a model of face, flank, shadow and lens fitted to luma and colour along all its sides at once.

A bank card is a millimetre thick: its flank and its contact shadow move an edge by half a pixel and more, and differ in colour
from an edge. So the sides are fitted as pictures of these things, with what is known beforehand as priors (`card_fit.py`); what
the pixels cannot tell (the flank of a dark card, a shadow as dark as the card) stays in the doubt of the position.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from vision.geometry.card_fit import PRINTED, FittedSide, Samples, fit_card
from vision.geometry.clipped import BURNT_BLUR_PX, burnt_blurs, cut_off
from vision.geometry.edge_shape import BlockFit, Shape
from vision.geometry.edges import EdgePoints, Found, edge_points
from vision.geometry.profiles import Profiles, stored_profiles
from vision.geometry.side_model import BLUR, SHIFT, TILT, Levels, Setting, light_of
from vision.geometry.strips import Strip
from vision.settings import EdgeSettings

Array = NDArray[np.float64]
LEAST_REACH_PX, REACH_PX = 5.0, 9.0
"""px; how far to either side the pixels are compared with the model, at least (ink: no further than it goes) and at most"""
FACE_PX, WALL_PX = (2.4, 6.0), 3.0
"""px; where the face shows its own level, before what is printed on it; and from where on the wall does, a little shaded"""
FACE_REACH_PX = 5.0
"""px; how far inward a side's pixels count, before what is printed on the card does"""
USUAL_BLUR_PX = 1.0
"""px; a blur beyond it stretches the lengths above"""
NEARER_PX, UNEVEN = 2.0, 0.15
"""px by which less is looked at where the wall is uneven, and share of the step from which it is: a shadow's foot is by less"""
INK_BLUR_PX = 2.2
"""px; so near to the inner border of a printed frame its white shows"""
CLIPPED = 0.985
"""of full scale; a level above may have been brighter than the file can say"""
MISFIT, SHADE = 0.05, 0.2
"""of the step and of so much of the wall's level, which is what a shadow changes; no bin of a model of a side is better. At the
true parameters a painted side in even light is off by 0.012 of its step: all along the side alike and over two or three bins, so
that the blocks and bins, which are counted as if they were independent, must be taken for worse"""
LEAST_NOISE = 0.002
"""of full scale; half a code"""
HIDDEN_BESIDE_BRIGHT, HIDDEN_BESIDE_DARK = 0.03, 0.1
"""px per px of thickness; what shadows of other shapes (several lamps, a window) do to a side whose contrast is the wall's own
level, beyond what the fit says: a dark card's shadow looks like the card. From the 60 bank cards of the `dev` rooms"""
OF_FLANK = 0.5
"""px per px by which the edge of a card's back shows beside that of its face: the flank may send as much light as the face, as
the wall or more than either (a white core, a lamp above it), so the face may seem to end anywhere on it. Sides of bank cards in
rooms of five authors whose flank is seen were off by 0.33, 0.37, 0.32, 0.58 and 0.41 px rms (stated 0.26), those whose flank is
hidden by 0.24, 0.21, 0.17, 0.38 and 0.24 (stated 0.25): 1 276 in all"""
MOST_HIDDEN = 4.0
"""wall's level over the step, beyond which colour or a shadow's own shape decide"""
RIM = 0.2
"""of the thickness; most that worn rims of a cut card are rounded (0.15 mm of a bank card; common practice, no source)"""
RIM_MEAN, RIM_SD = 0.25, (1 / 9 - 1 / 16) ** 0.5
"""of that; how far inside the border the face seems to end, with a rounding of 0 to RIM as light as anything from face to wall:
mean and sd of a product of two even draws"""
DARK_BLURS, BRIGHT_BLURS, PAPER_BLURS, PAPER_PX = 0.12, 0.05, 0.11, 0.5
"""blurs; the same of a card darker than the wall, whose rim and shadow the light makes alike on all sides, of one that is
brighter, and of paper, which a phone's tones, smoothing and sharpening make larger or smaller; px of thickness below which a card
is paper. What the sides of one card had in common in rendered rooms, true lines against seen ones: of three authors who wrote
plain sRGB dark cards 0.12, 0.18, 0.10 px (162 of them), bright ones 0.00, 0.04 and 0.00 (98), sheets 0.11, 0.11 and 0.10 (138);
bright ones of three more 0.18 and 0.17 (46, a phone's development) and 0.00 (6): 0.1 over all six, most of it in `TONE_PX`"""
TONE_PX = 0.3
"""px for a step from nothing to full scale (linear light as decoded), alike for all edges of a photo: what is brighter seems
larger by it, what is darker smaller. How a phone bends its tones is not in the file, and one edge does not tell it from its
place. Of four authors of rendered rooms three wrote plain sRGB (0.0 to 0.1 px), one a phone's shoulder and contrast (0.45 px, 29
rooms)"""
FLANK_LIT = {"lower": 0.4, "upper": 1.8}
"""light on a flank that faces down or up over that on an upright one: lamps hang above, so what lies flat has about twice the
light of a wall, and a floor gives back a fifth of that (common practice, no source). With one level for all, flanks that face up
made bright cards seem 0.20 and 0.16 px too large (rooms of our own, of four others; 27 and 25 sides), those that face down 0.17
and 0.08 px too small (21 and 28)"""
LOWER = 0.7
"""sine of the angle from which a side counts as lower or upper"""


@dataclass(frozen=True)
class SideFacts:
    """What is known of a side before it is fitted.

    `outside` is +1 where positions grow away from the card; `thick_px` its thickness as seen; `foot_px` how far outside the edge
    of its face that of its back shows (negative: hidden); `blur_px` the blur of the photo's clean edges; `down` how much of the
    outward normal points down in the picture, -1 to 1; `ink_px`: breadth of a printed border, which has no flank or shadow, 0 for
    a card; `line_px`: sd of what a line that the side lies along does to it.
    """

    outside: int
    thick_px: float
    foot_px: float
    blur_px: float
    down: float
    ink_px: float = 0.0
    line_px: float = 0.0


@dataclass(frozen=True)
class SideView:
    """Where one side is looked for: its strip, a rough curve (one position a scan line), scan-line coordinates of its ends.

    `reach` px at most are looked at beside it.
    """

    strip: Strip
    curve: Array
    extent: tuple[float, float]
    facts: SideFacts
    reach: float

    @property
    def span(self) -> tuple[float, float]:
        """The ends in growing order."""
        a, b = sorted(self.extent)
        return a, b


def observe_sides(views: Sequence[SideView | None], *, trim: float, settings: EdgeSettings) -> tuple[EdgePoints | None, ...]:
    """Sub-pixel points of a card's sides, each None where it cannot be followed.

    `trim` px are left out at either end. `step` of a result is card less wall, in linear luma and colour differences as stored.
    """
    read = [None if v is None else _read(v, trim) for v in views]
    seen = [(i, v, *r) for i, (v, r) in enumerate(zip(views, read, strict=True)) if v is not None and r is not None]
    out: list[EdgePoints | None] = [None] * len(views)
    if not seen:
        return tuple(out)
    facts = seen[0][1].facts
    fitted = fit_card([s for _, _, _, s in seen], facts.blur_px, facts.thick_px)
    alike = _alike(fitted.covariance)
    for k, (i, view, profile, samples) in enumerate(seen):
        sd = float(np.sqrt(fitted.covariance[k, k]))
        out[i] = _points(view, (profile, samples), fitted.sides[k], (sd, alike), settings)
    return tuple(out)


def _alike(covariance: Array) -> float:
    """Variance (px^2) that all sides have in common: how much of the card's size is in doubt."""
    n = len(covariance)
    return max(float(covariance.sum() - np.trace(covariance)) / (n * (n - 1)), 0.0) if n > 1 else 0.0


def _points(
    view: SideView, read: tuple[Profiles, Samples], side: FittedSide, doubts: tuple[float, float], settings: EdgeSettings
) -> EdgePoints | None:
    """The points of one fitted side; `doubts`: sd (px) of its place and variance (px^2) that all sides have in common."""
    (profile, samples), q, facts = read, side.unknowns, view.facts
    rim = RIM * facts.thick_px
    if not (abs(q[SHIFT]) < 5.9 and np.isfinite(side.own_sd).all()):
        return None
    edge = q[SHIFT] + RIM_MEAN * rim
    place = facts.outside * (edge + q[TILT] * samples.setting.along + side.own)
    blocks = len(place)
    fit = BlockFit(place, side.own_sd, np.zeros(blocks), np.ones(blocks), side.own_sd)
    step = _step(samples.setting.levels)
    alike, tone = _alike_px(samples.setting.levels, facts), tone_px(step)
    flank = OF_FLANK * max(facts.foot_px, 0.0)
    doubt = float(
        np.linalg.norm((doubts[0], RIM_SD * rim, alike, tone, flank, facts.line_px, _hidden(samples.setting.levels, facts)))
    )
    found = Found(profile.centre, fit, Shape(float(np.exp(q[BLUR]))), shift=0.0, step=step, coloured=0.0, line_doubt=doubt)
    points = edge_points(view.strip, view.curve, found, view.span, settings)
    common = float(np.linalg.norm((np.sqrt(doubts[1]), RIM_SD * rim, alike)))
    if points is None:
        return None
    own = float(np.sqrt(max(points.bias_sd_px**2 - alike**2 - tone**2, 0.0)))
    most = 0.95 * float(np.sqrt(max(points.bias_sd_px**2 - tone**2, 0.0)))
    burnt = cut_off(samples.setting.levels)
    return replace(points, common_px=min(common, most), tone_px=tone, sag_sd_px=own, cut_off=burnt)


def tone_px(step: Array) -> float:
    """Sd (px) of how far out a side seems to lie by the phone's tones, below 0 for inward; `step` (3,) as in `EdgePoints`."""
    return TONE_PX * float(step[0])


def _alike_px(levels: Levels, facts: SideFacts) -> float:
    """Px; sd of what all sides of this card have in common beyond what their fit knows."""
    if facts.ink_px:
        return 0.0
    usual = PAPER_BLURS if facts.thick_px < PAPER_PX else BRIGHT_BLURS if levels.face_brighter else DARK_BLURS
    if not levels.burnt_out:
        return usual * facts.blur_px
    return max(usual * facts.blur_px, burnt_blurs(levels) * max(facts.blur_px, BURNT_BLUR_PX))


def _read(view: SideView, trim: float) -> tuple[Profiles, Samples] | None:
    """Averages along one side and what they are compared with; None where it is too short or lies outside the picture."""
    a, b = view.span
    lines = (max(int(np.ceil(a + trim)), 0), min(int(np.floor(b - trim)) + 1, view.strip.lines))
    if lines[1] - lines[0] < 8:
        return None
    blocks = int(np.clip((lines[1] - lines[0]) // 6, 3, 16))
    most = REACH_PX * _stretch(view.facts)
    reach = min(view.reach if view.facts.ink_px else max(view.reach, LEAST_REACH_PX), most)
    least = min(LEAST_REACH_PX * _stretch(view.facts), reach)
    while True:
        profile = stored_profiles(view.strip, view.curve, lines, blocks, reach)
        samples = _samples(profile, view)
        if samples is None or view.facts.ink_px or reach <= least or _even(samples):
            return None if samples is None else (profile, samples)
        reach = max(reach - NEARER_PX, least)


def _even(samples: Samples) -> bool:
    """Whether the wall, from where its level is read outward, looks alike near and far: a joint would pass for a shadow."""
    luma, count, x = samples.code[..., 0], samples.count, samples.x
    wall_from = samples.setting.reach[1]
    middle = 0.5 * (wall_from + float(samples.setting.bins[-1]))
    near, far = np.where((x > wall_from) & (x <= middle), count, 0.0), np.where(x > middle, count, 0.0)
    if not (near.any(axis=1).all() and far.any(axis=1).all()):
        return True
    levels = [(luma * part).sum(axis=1) / part.sum(axis=1) for part in (near, far)]
    face = np.where(x < -wall_from, count, 0.0)
    step = np.abs((luma * face).sum(axis=1) / np.maximum(face.sum(axis=1), 1e-9) - levels[0])
    return float(np.median(np.abs(levels[1] - levels[0]))) < UNEVEN * max(float(np.median(step)), LEAST_NOISE)


def _samples(profile: Profiles, view: SideView) -> Samples | None:
    """The profile with distances counted outward, its levels and its noise; None where a side lies outside the picture."""
    facts, (a, b) = view.facts, view.span
    order = slice(None, None, facts.outside)
    m = profile.u.shape[1]
    half = 0.25 * m
    bins = (np.arange(m) + 0.5) * 0.5 - half
    x = np.where(profile.count > 0, profile.u * facts.outside, 0.0)[:, order]
    count, code = profile.count[:, order], profile.colour[:, order]
    x = np.where(count > 0, x, bins[None, :])
    stretch = _stretch(facts)
    wall_from = min(WALL_PX * stretch, half - 2.0)
    face_to = facts.ink_px - INK_BLUR_PX * stretch if facts.ink_px else FACE_PX[1] * stretch
    face_from = min(FACE_PX[0] * stretch, face_to - 1.0, half - 1.5)
    face, face_noise = _plateau(code, count, (x < -face_from) & (x > -min(half - 0.5, face_to)))
    wall, wall_noise = _plateau(code, count, (x > wall_from) & (x < half - 0.5))
    if not (np.isfinite(face).all() and np.isfinite(wall).all()):
        return None
    size = float(np.linalg.norm(np.median(wall - face, axis=0)))
    if size < 1e-4:
        return None
    floor = MISFIT * float(np.hypot(size, SHADE * np.linalg.norm(np.median(wall, axis=0))))
    usual = np.sqrt(max(float(np.median(count)), 1.0))
    noise = np.sqrt(np.maximum(face_noise, wall_noise) ** 2 + (usual * max(floor, LEAST_NOISE)) ** 2)
    light = light_of(face), light_of(wall)
    levels = Levels(*light, *(bool(np.median(level.max(axis=1)) > CLIPPED) for level in light))
    along = 2 * (profile.centre - a) / max(b - a, 1e-9) - 1
    way = PRINTED if facts.ink_px else "lower" if facts.down > LOWER else "upper" if facts.down < -LOWER else "upright"
    lit = FLANK_LIT.get(way, 1.0) if levels.face_brighter else 1.0  # a dark card's core may be as light as any wall
    setting = Setting(levels, facts.foot_px, bins, along, (min(FACE_REACH_PX * stretch, face_to), wall_from), lit)
    return Samples(code, count, x, noise, setting, way)


def _stretch(facts: SideFacts) -> float:
    """How much wider than usual a side is spread out by the photo's blur."""
    return max(facts.blur_px / USUAL_BLUR_PX, 1.0)


def _plateau(code: Array, count: Array, mask: Array) -> tuple[Array, Array]:
    """Mean codes (b, 3) of each block where the mask holds, and the scatter (3,) of a single sample."""
    weight = np.where(mask, count, 0.0)
    with np.errstate(invalid="ignore", divide="ignore"):
        mean = np.einsum("bm,bmc->bc", weight, code) / weight.sum(axis=1)[:, None]
    used = weight > 0
    if not used.any():
        return mean, np.zeros(3)
    rest = ((code - mean[:, None, :]) * np.sqrt(count)[..., None])[used]
    return mean, np.asarray(1.4826 * np.median(np.abs(rest), axis=0))


def _step(levels: Levels) -> Array:
    """Card less wall, (3,): linear luma and colour differences as stored."""
    face, wall = (np.median(level, axis=0) for level in (levels.face, levels.wall))
    weights = np.array([0.2126, 0.7152, 0.0722])
    out = [np.array([v @ weights, 0.5 * (v[2] - v @ weights), 0.5 * (v[0] - v @ weights)]) for v in (face, wall)]
    return np.asarray(out[0] - out[1])


def _hidden(levels: Levels, facts: SideFacts) -> float:
    """px; sd of what a shadow of another shape than the model's may do to this side."""
    share = HIDDEN_BESIDE_BRIGHT if levels.face_brighter else HIDDEN_BESIDE_DARK
    face, wall = (np.median(level, axis=0) for level in (levels.face, levels.wall))
    wall_over_step = float(np.linalg.norm(wall) / max(float(np.linalg.norm(wall - face)), 1e-9))
    return share * facts.thick_px * min(wall_over_step, MOST_HIDDEN)
