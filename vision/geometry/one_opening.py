"""Do several photos show one opening? What is seen in one of another opening bends all sizes, and no residual says which."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from itertools import combinations

import numpy as np

from vision.errors import CannotMeasure, Finding
from vision.geometry.consistency import FAR_OFF
from vision.geometry.opening import Opening
from vision.geometry.seen import SeenPhoto, opening_width_by
from vision.geometry.shapes import mean_sides

COMPARED = {"width_middle": "middle width", "height_left": "left height", "height_right": "right height"}
"""sizes by which photos that contradict each other are told to be of two openings, in words"""
DIFFER_SD = 3.0
"""sds of their difference from which two sizes are not of one opening"""
ANOTHER = (
    "Check each opening by itself; if this is the same one, mark its corners there again and look at what was taken for a card."
)


def of_one_opening(
    photos: Sequence[SeenPhoto], chosen: Sequence[SeenPhoto], *, has_head: bool
) -> tuple[list[SeenPhoto], list[SeenPhoto], list[Finding]]:
    """Of the photos with their cards `chosen`, those of one opening, those that are left out, and what to say.

    `photos` are the same before the cards were chosen. A photo is left out where all its cards tell another scale than those of
    the others, or where its outline has other proportions than that of the photo with most cards.
    """
    if len(chosen) < 2:
        return list(chosen), [], []
    first = max(chosen, key=lambda p: len(p.used))
    kept, aside, findings = [], [], []
    for before, photo in zip(photos, chosen, strict=True):
        why = None if photo is first else _another(before, photo, first, has_head=has_head)
        if why is None:
            kept.append(photo)
            continue
        code, fact = why
        findings.append(Finding(code, f"{photo.look.name} was left out: {fact}.", ANOTHER))
        aside.append(photo.leaving_out({c.number: "its photo shows another opening" for c in photo.used}))
    return kept, aside, findings


def two_openings(alone: Mapping[str, Opening]) -> CannotMeasure | None:
    """Why photos cannot be measured together of which each can `alone`, by name: sizes that differ by more than they may."""
    for (first, a), (second, b) in combinations(alone.items(), 2):
        for name, size in COMPARED.items():
            if name not in a.quantities.names or name not in b.quantities.names:
                continue
            (here, u_here), (there, u_there) = ((q.value(name), q.u(name)) for q in (a.quantities, b.quantities))
            if abs(here - there) > DIFFER_SD * math.hypot(u_here, u_there):
                return CannotMeasure(
                    "adjustment",
                    "unexplained",
                    found=f"a {size} of {here:.0f} mm (give or take {2 * u_here:.0f} at 95 %) in {first} and of {there:.0f} mm "
                    f"(give or take {2 * u_there:.0f}) in {second}, each photo by itself",
                    needed="photos of one opening",
                    remedy=f"{ANOTHER[:1].lower()}{ANOTHER[1:-1]}",
                )
    return None


def _another(before: SeenPhoto, photo: SeenPhoto, first: SeenPhoto, *, has_head: bool) -> tuple[str, str] | None:
    """The code and the fact that tell a photo's opening from that of the first; None where nothing does."""
    if before.used and not photo.used and first.used:
        here, there = (_width(p) for p in (before, first))
        if abs(here / there - 1) >= FAR_OFF:
            return (
                "cards-disagree",
                f"by its cards the opening is about {here:.0f} mm wide, by those of {first.look.name} about {there:.0f} mm",
            )
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
