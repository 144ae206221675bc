"""Do several photos show one opening? What is seen in one of another opening bends all sizes, and no residual says which."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from itertools import combinations

import numpy as np
from scipy.stats import chi2

from vision.errors import CannotMeasure, Finding
from vision.geometry.consistency import FAR_OFF
from vision.geometry.opening import SIZES, Opening
from vision.geometry.seen import SeenPhoto, opening_width_by
from vision.geometry.shapes import mean_sides
from vision.geometry.viewpoint import same_viewpoint
from vision.photo.copies import ONCE

COMPARED = {"width_middle": "middle width", "height_left": "left height", "height_right": "right height"}
"""sizes by which photos that contradict each other are told to be of two openings, in words"""
DIFFER_SD = 3.0
"""sds of their difference from which two sizes are not of one opening"""
BY_CHANCE, UNSEEN = 0.001, 1e-6
"""chance that all sizes together differ by so much in photos of one opening; and share of the largest variance under which a
combination of them is no size of its own (a diagonal follows from the others)"""
ANOTHER = (
    "Check each opening by itself; if this is the same one, mark its corners there again and look at what was taken for a card."
)

SAME_VIEWPOINT = (
    "it was taken from the same place as {}, or is a copy of it: it sees the same shadows and borders and tells nothing more"
)


def of_one_opening(
    photos: Sequence[SeenPhoto], chosen: Sequence[SeenPhoto], *, has_head: bool
) -> tuple[list[SeenPhoto], list[SeenPhoto], list[Finding]]:
    """Of the photos with their cards `chosen`, those of one opening, those that are left out, and what to say.

    `photos` are the same before the cards were chosen. A photo is left out where no reference in it can be used, since nothing
    else tells its opening from another one, where its outline has other proportions than that of the photo with most cards, and
    where it was taken from the same place as one that is kept.
    """
    if len(chosen) < 2:
        return list(chosen), [], []
    first = max(chosen, key=lambda p: len(p.used))
    kept, aside, findings = [first], [], []
    for before, photo in zip(photos, chosen, strict=True):
        if photo is first:
            continue
        name = photo.look.name
        if (other := _another(before, photo, first, has_head=has_head)) is not None:
            why = "its photo shows another opening"
            findings.append(Finding(other[0], f"{name} was left out: {other[1]}.", ANOTHER))
        elif (twin := next((p for p in kept if same_viewpoint(p, photo)), None)) is not None:
            why = f"its photo was taken from the same place as {twin.look.name}"
            findings.append(Finding("no-second-witness", f"{name} was left out: {SAME_VIEWPOINT.format(twin.look.name)}.", ONCE))
        else:
            kept.append(photo)
            continue
        aside.append(photo.leaving_out({c.number: why for c in photo.used}))
    return [p for p in chosen if any(p is k for k in kept)], aside, findings


def two_openings(alone: Mapping[str, Opening]) -> CannotMeasure | None:
    """Why photos cannot be measured together of which each can `alone`, by name: sizes that differ by more than they may, one by
    itself or all together. What both photos' errors share makes them differ less, so none is refused for that."""
    for (first, a), (second, b) in combinations(alone.items(), 2):
        scores = _differences(a, b)
        if not scores:
            continue
        name = max((n for n in scores if n in COMPARED), key=lambda n: scores[n], default=None)
        if name is not None and (scores[name] > DIFFER_SD or _differ_together(a, b)):
            (here, u_here), (there, u_there) = ((q.value(name), q.u(name)) for q in (a.quantities, b.quantities))
            together = "" if scores[name] > DIFFER_SD else ", and all sizes together differ by more than chance"
            return CannotMeasure(
                "adjustment",
                "unexplained",
                found=f"a {COMPARED[name]} of {here:.0f} mm (give or take {2 * u_here:.0f} at 95 %) in {first} and of "
                f"{there:.0f} mm (give or take {2 * u_there:.0f}) in {second}, each photo by itself{together}",
                needed="photos of one opening",
                remedy=f"{ANOTHER[:1].lower()}{ANOTHER[1:-1]}",
            )
    return None


def _differences(a: Opening, b: Opening) -> dict[str, float]:
    """By how many sds each size that both have differs."""
    names = [n for n in SIZES if n in a.quantities.names and n in b.quantities.names]
    q, r = a.quantities, b.quantities
    return {n: abs(q.value(n) - r.value(n)) / math.hypot(q.u(n), r.u(n)) for n in names}


def _differ_together(a: Opening, b: Opening) -> bool:
    """Whether the sizes that both have differ by more than their covariances let them."""
    at = [[o.quantities.index(n) for n in _differences(a, b)] for o in (a, b)]
    d = a.quantities.mean[at[0]] - b.quantities.mean[at[1]]
    C = sum((o.quantities.covariance[np.ix_(i, i)] for o, i in zip((a, b), at, strict=True)), np.zeros((len(d), len(d))))
    variance, way = np.linalg.eigh(C)
    own = variance > UNSEEN * variance.max()
    score = float(np.sum((way.T @ d)[own] ** 2 / variance[own]))
    return score > float(chi2.ppf(1 - BY_CHANCE, int(own.sum())))


def _another(before: SeenPhoto, photo: SeenPhoto, first: SeenPhoto, *, has_head: bool) -> tuple[str, str] | None:
    """The code and the fact that tell a photo's opening from that of the first; None where nothing does."""
    if first.used and not photo.used:
        if before.used and abs((here := _width(before)) / (there := _width(first)) - 1) >= FAR_OFF:
            fact = f"by its cards the opening is about {here:.0f} mm wide, by those of {first.look.name} about {there:.0f} mm"
            return "cards-disagree", fact
        code = "card-plane" if any(c.plane_unknown for c in photo.cards) else "card-missing"
        return code, "no reference in it can be used, so nothing tells that it shows this opening"
    if has_head:
        here, there = _proportion(photo), _proportion(first)
        if abs(here / there - 1) >= FAR_OFF:
            fact = f"its opening is {here:.2f} times as wide as high, that of {first.look.name} {there:.2f} times"
            return "unexplained", fact
    return None


def _width(photo: SeenPhoto) -> float:
    """Width of the opening (mm) that the photo's cards imply in its first view."""
    return float(np.median([opening_width_by(card, photo) for card in photo.used]))


def _proportion(photo: SeenPhoto) -> float:
    """Width over height of the outline in the photo's first view, good to some percent."""
    width, height = mean_sides(photo.view.on_plane(photo.corners_px))
    return float(width / height)
