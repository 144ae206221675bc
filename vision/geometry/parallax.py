"""A narrow strip along an edge: a trim on the face, whose inner border is the edge, or the front of what lies behind, whose outer
border is. No pixel of one strip tells which; where the camera stood tells.

What lies in the face is as wide on both walls and under the head. A line that runs along an edge at a depth d behind the face is
seen beside it by d times the tangent of the angle at which it is seen, which differs from edge to edge unless the camera stood
in the middle. So the widths and hues of strips along two edges or three are held against both, and against lines that have
nothing to do with each other. Where that leaves a doubt nothing is said, and `rivals.py` takes the middle.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from vision.geometry.locate import Course
from vision.geometry.start import USUAL_DISTANCE_MM, PlaneView
from vision.geometry.strips import Strip, linear_of

Array = NDArray[np.float64]
SURE = 0.97
"""probability from which a strip is taken for what it is; its rest stays as a doubt"""
NEAREST_PX, WIDEST_MM = 5.0, 40.0
"""px at 12 MP from which two lines are two, and mm up to which they may belong together"""
SAME_PX = 2.0
"""px at 12 MP; courses nearer than this are one"""
TRIM_MM, TRIM_SPREAD = 10.0, 0.6
"""median width of a trim in sight, and the sd of its logarithm: profiles show 6 to 15 mm (common practice, no source)"""
DEPTHS_MM = (10.0, 900.0)
"""depth behind the face at which a line on a side wall may run, any as likely on a logarithmic scale: a bead, a joint, a lining's
rear, the rear corner (by judgement)"""
SHALLOW_MM = 60.0
"""mm; lines behind the face less deep than this may as well belong to a trim that stands out or is rounded, so nothing is said"""
HUE_SD, HUE_CHANCE = 0.07, 0.8
"""of the logarithms of red and blue against green: how much one surface differs from wall to wall by the light that falls on it,
and over how much two of different colour do (by judgement)"""
FAINT_SHARE, FAINT = 0.65, 0.1
"""share of the followed course's score under which another one is seldom the edge, and how much more seldom (of 14 such in 112
rendered rooms one was)"""
CHANCE_MM, CHANCE = 35.0, 0.1
"""mm over which lines that have nothing to do with each other lie anywhere, and how likely such are against either cause"""
GOES_ON, LEAST_EDGES = 0.6, 2
"""how likely what runs along one edge is seen along another as well, and on how many it must be seen"""
LEAST_LIGHT = 0.01
"""of full scale; added to all colours, since what is as dark has no hue"""
LINE_PX, LINE_SHARE, PLACE_SD = 0.7, 0.05, 0.02
"""px, share of the width, and tangent: how well two lines' distance is seen before the edges are fitted, how alike a strip is all
round, and how well four rough corners tell the angle at which a wall is seen"""
EDGES = ("left", "right", "head")
Followed = tuple[Course, tuple[float, float]]
"""Where an edge was followed, and the extent of the whole edge along its strip's scan lines"""
_WIDTHS = np.exp(np.linspace(np.log(TRIM_MM) - 2.5 * TRIM_SPREAD, np.log(TRIM_MM) + 2.5 * TRIM_SPREAD, 160))
_OF_WIDTH = np.exp(-0.5 * (np.log(_WIDTHS / TRIM_MM) / TRIM_SPREAD) ** 2)
_OF_WIDTH /= _OF_WIDTH.sum()
_DEPTHS = np.exp(np.linspace(np.log(DEPTHS_MM[0]), np.log(DEPTHS_MM[1]), 320))


@dataclass(frozen=True)
class Told:
    """Where an edge is: `shift` px per scan line beside the course that was followed, give or take `doubt_px`.

    `border`: which border of a strip that is, "inner" or "outer"; `wide_px`: how far the other one lies.
    """

    shift: Array
    doubt_px: float
    border: str
    wide_px: float = 0.0


@dataclass(frozen=True)
class _Strip:
    """Two lines of one edge: the shift (px per scan line) from the followed course to the outer and to the inner one.

    With how wide it is (mm), a millimetre in px, the tangent at which what lies behind is seen, the camera's distance (mm), and
    its hue (2,).
    """

    outer: Array
    inner: Array
    width_mm: float
    px_per_mm: float
    tangent: float
    distance_mm: float
    hue: Array
    faint: str = ""
    """which of its borders, "outer" or "inner", is so much fainter than the other that it is seldom the edge; none if empty"""

    def in_the_face(self) -> Array:
        """Likelihood (per mm) of the width for every width of a trim."""
        return _normal(self.width_mm - _WIDTHS, np.hypot(LINE_PX / self.px_per_mm, LINE_SHARE * self.width_mm))

    def behind(self) -> Array:
        """The same for every depth of a line on the side wall."""
        tangents = self.tangent * _DEPTHS / (1 + _DEPTHS / self.distance_mm)
        sd = np.linalg.norm(np.broadcast_arrays(LINE_PX / self.px_per_mm, LINE_SHARE * self.width_mm, PLACE_SD * _DEPTHS), axis=0)
        return _normal(self.width_mm - tangents, sd)


def told_by_parallax(
    courses: Mapping[str, Followed], strips: Mapping[str, Strip], view: PlaneView, scale: float
) -> dict[str, Told]:
    """By edge, of those that the widths of strips along two edges or more tell; empty where they leave a doubt.

    `courses`: of each edge; `view`: the first view by the followed courses; `scale` of the photo.
    """
    found = [tuple(_strips(n, courses[n], strips[n], view, scale)) if n in courses else () for n in EDGES]
    groups = [g for g in product(*((None, *of) for of in found)) if sum(strip is not None for strip in g) >= LEAST_EDGES]
    if not groups:
        return {}
    in_face, deep, shallow = (np.array(column) for column in zip(*(_likelihoods(group) for group in groups), strict=True))
    total = float(in_face.sum() + deep.sum() + shallow.sum()) + CHANCE * len(groups)
    of_face = bool(in_face.sum() > deep.sum())
    weights = in_face if of_face else deep
    best, told = groups[int(np.argmax(weights))], {}
    for k, (name, strip) in enumerate(zip(EDGES, best, strict=True)):
        likely = float(weights[[one[k] is strip for one in groups]].sum()) / total
        if strip is not None and likely >= SURE:
            told[name] = _told(strip, likely, of_face=of_face)
    return told if len(told) >= LEAST_EDGES else {}


def _told(strip: _Strip, likely: float, *, of_face: bool) -> Told:
    wide = strip.width_mm * strip.px_per_mm
    doubt = float(np.sqrt(likely * (1 - likely)) * wide)
    return Told(strip.inner, doubt, "inner", wide) if of_face else Told(strip.outer, doubt, "outer", wide)


def _likelihoods(group: Sequence[_Strip | None]) -> tuple[float, float, float]:
    """Of these strips, as one trim's, as lines at one depth, and as such at a shallow one, against lines that are anywhere."""
    strips = [strip for strip in group if strip is not None]
    face, behind = _OF_WIDTH, np.full(len(_DEPTHS), 1 / len(_DEPTHS))
    for strip in strips:
        face = face * strip.in_the_face() * CHANCE_MM * (FAINT if strip.faint == "inner" else 1.0)
        behind = behind * strip.behind() * CHANCE_MM * (FAINT if strip.faint == "outer" else 1.0)
    share = _one_colour(strips) * GOES_ON ** len(strips) * (1 - GOES_ON) ** (len(group) - len(strips))
    deep = _DEPTHS >= SHALLOW_MM
    return share * float(face.sum()), share * float(behind[deep].sum()), share * float(behind[~deep].sum())


def _one_colour(group: Sequence[_Strip]) -> float:
    """How much likelier the hues of strips are of one surface than of as many."""
    first, *rest = (strip.hue for strip in group)
    sd = np.sqrt(2) * HUE_SD
    return float(np.prod([np.prod(_normal(hue - first, sd)) * HUE_CHANCE**2 for hue in rest]))


def _strips(name: str, followed: Followed, strip: Strip, view: PlaneView, scale: float) -> Iterator[_Strip]:
    """What lies between the followed course of an edge and each of its others."""
    course, (a, b) = followed[0], sorted(followed[1])
    lines = np.clip(np.round(np.linspace(a, b, 13)[2:-2]).astype(int), 0, strip.lines - 1)
    camera = -view.R.T @ view.origin
    own = view.on_plane(strip.to_photo(lines.astype(np.float64), course.curve[lines]))
    # how far inside a point is on the plane, and the camera's own place in the same terms
    axis, sign = (1, -1.0) if name == "head" else (0, 1.0 if name == "left" else -1.0)
    tangent = sign * float(camera[axis] - own[:, axis].mean()) / abs(float(camera[2]))
    taken: list[float] = [0.0]
    shares = course.shares or (1.0,) * len(course.others)
    for away, share in zip(course.others, shares, strict=True):
        there = view.on_plane(strip.to_photo(lines.astype(np.float64), course.curve[lines] + away[lines]))
        inward = float(np.median(sign * (there - own)[:, axis])) * USUAL_DISTANCE_MM
        apart_px = float(np.abs(away[lines]).mean())
        if any(abs(inward - other) < SAME_PX * abs(inward) / max(apart_px, 1e-9) * max(scale, 0.5) for other in taken):
            continue
        taken.append(inward)
        if apart_px >= NEAREST_PX * max(scale, 0.5) and abs(inward) <= WIDEST_MM:
            borders = (np.zeros_like(away), away) if inward > 0 else (away, np.zeros_like(away))
            seen_at = USUAL_DISTANCE_MM * abs(float(camera[2]))
            hue = _hue(strip, lines, course.curve[lines], away[lines])
            faint = "" if share >= FAINT_SHARE else "inner" if inward > 0 else "outer"
            yield _Strip(*borders, abs(inward), apart_px / abs(inward), tangent, seen_at, hue, faint)


def _hue(strip: Strip, lines: NDArray[np.int_], first: Array, away: Array) -> Array:
    """Logarithms of red and blue against green (2,) of the light between two lines, a fifth left out at either border."""
    share = np.linspace(0.2, 0.8, 7)
    column = np.round(first[:, None] + share * away[:, None]).astype(np.int64) - strip.first[lines][:, None]
    light = linear_of(strip.pixels[lines[:, None], np.clip(column, 0, strip.pixels.shape[1] - 1)] / 255.0)
    red, green, blue = np.median(light.reshape(-1, 3), axis=0) + LEAST_LIGHT
    return np.asarray(np.log(np.array([red, blue]) / green))


def _normal(off: Array, sd: Array | float) -> Array:
    return np.asarray(np.exp(-0.5 * (off / sd) ** 2) / (sd * np.sqrt(2 * np.pi)))
