"""Two lines along an edge that are nearly as clear: a trim, a lining, the rear of a side wall. Which is meant, no pixel tells.

Of 1 344 edges of 112 rendered rooms, each from three draws of rough corners, 97 have a rival up to 14 px away with 0.65 of the
best course's score or more: it was the edge that was meant in 36 of them (33 of 60 in rooms with trims and linings, 3 of 37 in
others); of 14 with less, down to 0.55, in one; of 46 further away in 17. So near ones are taken in the middle, with half their
distance in doubt, as both borders of a line are; fainter ones are doubted; and far ones only the corners tell apart (marked.py).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from vision.errors import CannotMeasure, Finding
from vision.geometry.edges import EdgePoints
from vision.geometry.locate import Rival
from vision.geometry.look import Look
from vision.geometry.reach import asked_of_corners_px
from vision.geometry.rough_outline import RoughEdges
from vision.geometry.strips import Strip

Array = NDArray[np.float64]
ALIKE = 0.65
"""share of the best course's score from which a rival may as well be the edge"""
FAINTER = (1 / 14) ** 0.5
"""rms of an error that is the whole distance in one case of 14"""
STRIPS = {"inner": "in the face of the wall, as a trim does", "outer": "behind the face of the wall"}
"""what a strip is of which that border is the edge, in words"""
FAR_PX = 15.0
"""px at 12 MP; beyond it half the distance is worth no number, and fainter rivals are the edge as often (by judgement)"""


@dataclass(frozen=True)
class Beside:
    """What a rival does to an edge.

    `curve`: the line that is followed, a position per scan line; `shift` (px per scan line): where the edge is taken to be beside
    it, give or take `doubt_px`; `apart_px`: how far the two lines are apart, 0 where the edge is only doubted; `border`: which of
    a strip's borders is the edge, "inner" or "outer", where that is known.
    """

    curve: Array
    shift: Array
    doubt_px: float
    apart_px: float
    border: str = ""


def remedy_for(apart_px: Iterable[float]) -> str:
    """What tells lines apart that lie so far (px) from each other."""
    good = asked_of_corners_px(apart_px)
    pixels = f"{good} pixel{'s' if good > 1 else ''}"
    return f"enlarge the photo, mark these corners again to {pixels}, and state that they are good to {pixels} (corners-within)"


def hopeless_px(seen: Look, rivals: Mapping[str, Rival]) -> dict[str, float]:
    """How far apart (px) two lines are that are as clear as each other, of the edges for which that is too far."""
    far = FAR_PX * max(seen.scale, 0.5)
    return {name: r.apart_px for name, r in rivals.items() if r.apart_px > far}


def which_is_meant(seen: Look, apart_px: Mapping[str, float]) -> CannotMeasure:
    """The question which of two lines is the edge, where nothing but the corners could tell."""
    which = " and ".join(f"the {name} (some {px:.0f} pixels apart)" for name, px in apart_px.items())
    return CannotMeasure(
        "outline",
        "edge-hidden",
        found=f"{seen.name}: two lines that are nearly as clear along {which}",
        needed="corners that tell which of them is meant",
        remedy=remedy_for(apart_px.values()),
    )


def beside_rivals(curves: RoughEdges, rivals: Mapping[str, Rival]) -> dict[str, Beside]:
    """By edge, of rivals that are near enough."""
    out = {}
    for name, rival in rivals.items():
        alike = rival.share >= ALIKE
        half = 0.5 * rival.away
        doubt = float(np.abs(half).max()) if alike else FAINTER * rival.apart_px
        shift, apart = (half, rival.apart_px) if alike else (np.zeros_like(half), 0.0)
        out[name] = Beside(curves[name][0], shift, doubt, apart)
    return out


def moved_beside(
    outline: Mapping[str, EdgePoints], beside: Mapping[str, Beside], strips: Mapping[str, Strip]
) -> dict[str, EdgePoints]:
    """The outline's points moved to where the edge is taken to be, with their doubt."""
    return {n: _moved(p, beside[n], strips[n]) if n in beside else p for n, p in outline.items()}


def _moved(points: EdgePoints, by: Beside, strip: Strip) -> EdgePoints:
    """A band that the edge's own fit has taken in its middle already is not moved once more."""
    along, across = (0, 1) if strip.transposed else (1, 0)
    px, lines = points.points_px.copy(), np.arange(strip.lines)
    at = px[:, along] - strip.start
    wanted, there = np.interp(at, lines, by.shift), px[:, across] - np.interp(at, lines, by.curve)
    whole = float(wanted.mean())
    left = 1.0 - float(np.clip(np.median(there) / whole, 0.0, 1.0)) if abs(whole) > 0 else 0.0
    px[:, across] += left * wanted
    wider, finish = (float(np.hypot(sd, by.doubt_px)) for sd in (points.bias_sd_px, points.finish_px))
    sag = float(np.hypot(points.sag_sd_px, by.doubt_px)) if points.sag_sd_px else 0.0
    return replace(points, points_px=px, bias_sd_px=wider, finish_px=finish, sag_sd_px=sag)


def rival_findings(beside: Sequence[Mapping[str, Beside]]) -> list[Finding]:
    """What was taken in the middle, and the strips of which one border was, in words; it holds nothing, since the sizes'
    uncertainty says it."""
    middle = [_taken_between(name, b) for photo in beside for name, b in photo.items() if b.apart_px]
    told = [(border, [n for n, b in photo.items() if b.border == border]) for photo in beside for border in STRIPS]
    return middle + [_strip(names, border) for border, names in told if names]


def _taken_between(name: str, by: Beside) -> Finding:
    remedy, place = remedy_for([by.apart_px]), "between them" if np.any(by.shift) else "along the clearest"
    return Finding(
        "edge-hidden",
        f"Two lines some {by.apart_px:.0f} pixels apart are nearly as likely along the {name}; it was taken {place}, "
        f"with a standard deviation of {by.doubt_px:.0f} pixels.",
        f"{remedy[0].upper()}{remedy[1:]}.",
        holds=False,
    )


def _strip(names: Sequence[str], border: str) -> Finding:
    where = " and ".join([", the ".join(names[:-1]), f"the {names[-1]}"]) if len(names) > 1 else names[0]
    return Finding(
        "edge-hidden",
        f"A strip runs along the {where}. By where the camera stood it lies {STRIPS[border]}, so its {border} border was taken "
        "for the edge.",
        f"Hold the tape to the {border} border as well; if the other one is meant, mark the corners there and state how well "
        "(corners-within).",
        holds=False,
    )
