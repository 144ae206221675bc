"""What the adjustment is given: observed edges, and everything known before them as linear observations of the unknowns."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.linalg import solve_triangular

from vision.geometry.camera import CameraPrior
from vision.geometry.edges import EdgePoints
from vision.geometry.model import CL, CR, H0, OPENING_EDGES, SH, Edge, G, Layout, Nominal

FINISHED_ALIKE = 0.9
"""share of the doubt about an arris's finish that the other arris has too: one trade made both, seen from two sides"""
SKEW = 0.3
"""of the sd of its sag, that of the skew bend of an edge of the opening (by judgement: with 1 the squared error of 81 rooms is
the same to 0.01, and a lone bank card is refused more often)"""
STRAIGHT_PX = 0.02
"""px; sd of the skew bend of what is short or straight in itself, as a card's side and a string are"""
OUTWARD = (2, 3)
"""sides of a card, top and left, whose normal points away from it"""
LOOSE = 1e4
"""multiple of a parameter's natural scale that stands for "nothing known"; keeps unused parameters defined"""


@dataclass(frozen=True)
class EdgeObservation:
    """One imaged edge: which edge, in which photo (index), its points, and the curve parameters where its ends start."""

    edge: Edge
    photo: int
    points: EdgePoints
    ends: tuple[float, float]


@dataclass(frozen=True)
class Prior:
    """A linear observation of the unknowns: sum of coefficients times parameters equals `target` with this sd."""

    columns: tuple[int, ...]
    coefficients: tuple[float, ...]
    target: float
    sd: float
    source: str
    off: tuple[tuple[str, float], ...] = ()
    """by the name of a vertical, how far the target moves if it is out of true by one (mm/mm)"""


def opening_priors(layout: Layout, nominal: Nominal, bow_sd_mm: float) -> list[Prior]:
    """Priors of the opening: the walls' bow, and loose ones for what is not observed (no head, no vertical)."""
    base = layout.opening.start
    out = [Prior((base + c,), (1.0,), 0.0, bow_sd_mm, "wall bow") for c in (CL, CR)]
    if not nominal.has_head:
        out += [Prior((base + H0,), (1.0,), nominal.chord_mm, LOOSE, "unused"), Prior((base + SH,), (1.0,), 0.0, LOOSE, "unused")]
    if not nominal.gravity:
        out.append(Prior((base + G,), (1.0,), 0.0, LOOSE, "unused"))
    return out


def camera_priors(layout: Layout, cameras: Sequence[CameraPrior]) -> list[Prior]:
    """Priors of focal length, principal point and lens of every photo."""
    out = []
    for prior, s in zip(cameras, layout.cameras, strict=True):
        at = s.start
        out += [
            Prior((at + 6,), (1.0,), 0.0, prior.f_relative_sd, "focal length"),
            Prior((at + 7,), (1.0,), 0.0, prior.principal_point_sd, "principal point"),
            Prior((at + 8,), (1.0,), 0.0, prior.principal_point_sd, "principal point"),
            Prior((at + 9,), (1.0,), 0.0, prior.k1_sd, "lens"),
            Prior((at + 10,), (1.0,), 0.0, prior.k2_sd, "lens"),
        ]
    return out


def nuisance_priors(layout: Layout, observations: Sequence[EdgeObservation]) -> list[Prior]:
    """Shifts of both ends, sag and skew bend of every imaged edge, with the sd that the edge's fit earned.

    Without the last a course that is off by a tenth of a pixel in shape would pass for one that tells a wall's bow, which is a
    little askew in perspective, from the sag of what was seen, which is not: 5 mm of bow in a straight wall.

    Edges that are alike share part of their shift: their priors are correlated, and whitened by the inverse of their
    covariance's Cholesky factor.
    """
    out = []
    alike: dict[tuple[int, str, int], list[tuple[int, int]]] = {}
    for i, (s, observation) in enumerate(zip(layout.nuisance, observations, strict=True)):
        own = range(4)
        if any(shared_px(observation)):
            own = range(2, 4)
            for end in (0, 1):
                alike.setdefault((observation.photo, *_family(observation, end)), []).append((i, end))
        source = _source(observation)
        points = observation.points
        shape = points.sag_sd_px or points.bias_sd_px
        skew = max(SKEW * shape, STRAIGHT_PX) if observation.edge[0] in OPENING_EDGES else STRAIGHT_PX
        sds = (points.bias_sd_px, points.bias_sd_px, shape, skew)
        out += [Prior((s.start + k,), (1.0,), 0.0, sds[k], source) for k in own]
    for members in alike.values():
        columns = [layout.nuisance[i].start + end for i, end in members]
        common = np.array([shared_px(observations[i]) for i, _ in members])
        total = np.array([observations[i].points.bias_sd_px for i, _ in members])
        covariance = common @ common.T + np.diag(np.maximum(total**2 - (common**2).sum(axis=1), 1e-4))
        whitening = solve_triangular(np.linalg.cholesky(covariance), np.eye(len(columns)), lower=True)
        source = _source(observations[members[0][0]])
        for k, row in enumerate(whitening):
            used = tuple(columns[: k + 1]), tuple(float(v) for v in row[: k + 1])
            out.append(Prior(*used, 0.0, 1.0, source))
    return out


def _family(observation: EdgeObservation, end: int) -> tuple[str, int]:
    """What is alike: all sides of all cards, from end to end; the feet of both arrises, and their tops."""
    return ("card", 0) if observation.edge[0] == "card" else ("arris", end)


def shared_px(observation: EdgeObservation) -> tuple[float, float]:
    """Sds (px, signed like the edge's shift) of what the shift of an end has in common with that of its like, of two causes.

    The sides of all cards in a photo share lens, light and wear (`EdgePoints.common_px`), so all seem to lie further out or
    further in, and the phone's tones (`EdgePoints.tone_px`), by which bright cards seem larger while dark ones seem smaller;
    normals of bottom and right point inward, those of top and left outward. Both arrises of an opening are finished alike, so
    both seem to lie further in or further out, and a width is wrong twice over: the shifts have opposite signs, since both
    normals point the same way.
    """
    points, name = observation.points, observation.edge[0]
    if name == "card":
        sign = 1.0 if observation.edge[2] in OUTWARD else -1.0
        return sign * points.common_px, sign * points.tone_px
    share = {"left": -FINISHED_ALIKE, "right": FINISHED_ALIKE}.get(str(name), 0.0)
    return share * points.finish_px, 0.0


def _source(observation: EdgeObservation) -> str:
    """The line of the budget that an edge's doubt goes into."""
    kinds = {"card": "edge bias, cards", "plumb": "vertical, plumb line", "line": "edge bias, lines"}
    return "corners marked" if observation.points.marked else kinds.get(observation.edge[0], "edge bias, opening")
