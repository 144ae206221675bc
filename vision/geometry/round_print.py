"""Of sheets found round what is printed on them, those that count beside the cards that were found by themselves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import cv2
import numpy as np

from vision.geometry.card_seen import MOST_RAGGED_PX, RefinedCard
from vision.geometry.consistency import FAR_OFF
from vision.geometry.cut import mm_per_unit
from vision.geometry.seen import SeenPhoto
from vision.geometry.shapes import same_place

RAGGED = 1.2
"""how much more ragged than a card's typical side the worst of a sheet's may be: grain does that"""
LARGER = 1.1
"""ratio of areas from which one sheet lies round another and is not the same one, followed worse"""


def with_sheets(found: Sequence[RefinedCard], sheets: Sequence[RefinedCard], photo: SeenPhoto) -> list[RefinedCard]:
    """The cards found, with a sheet in place of what is printed on it, and further sheets where these tell the same scale.

    A picture in a frame looks like a print on a sheet too, so a sheet found so does not contradict a card; where there is no
    card it counts by itself. None that is stated goes.
    """
    instead: list[RefinedCard] = []
    further: list[RefinedCard] = []
    for sheet in _one_per_place([s for s in sheets if _followed(s)]):
        inside = [r for r in found if same_place(sheet[1], r[1])]
        if not inside:
            further.append(sheet)
        elif not any(r[0].candidate.known for r in inside):
            instead.append(sheet)
    kept = [*(r for r in found if not any(same_place(s[1], r[1]) for s in instead)), *instead]
    scales = [_scale(r, photo) for r in kept]
    usual = float(np.median(scales)) if scales else None
    if usual is None:
        return [*kept, *further]
    alike = [s for s in further if abs(_scale(s, photo) / usual - 1) < FAR_OFF]
    return [*kept, *((replace(look, by_scale=True), corners, sides) for look, corners, sides in alike)]


def _followed(sheet: RefinedCard) -> bool:
    """True where each side was followed about as well as a card's typical one: a line askew to a side is ragged."""
    return all(side is not None and side.ragged_px < RAGGED * MOST_RAGGED_PX for side in sheet[2])


def _one_per_place(sheets: Sequence[RefinedCard]) -> list[RefinedCard]:
    """Of sheets at one place the clearest, or one that is larger by far: what lies inside is then printed on it."""
    out: list[RefinedCard] = []
    for sheet in sorted(sheets, key=lambda r: -min(float(np.linalg.norm(s.step)) for s in r[2] if s is not None)):
        inside = [kept for kept in out if same_place(kept[1], sheet[1])]
        if all(_area(sheet) > LARGER * _area(kept) for kept in inside):
            out = [kept for kept in out if not any(kept is one for one in inside)] + [sheet]
    return out


def _area(card: RefinedCard) -> float:
    return abs(float(cv2.contourArea(card[1].astype(np.float32))))


def _scale(card: RefinedCard, photo: SeenPhoto) -> float:
    look, corners, _ = card
    return mm_per_unit(look.candidate, photo.view.on_plane(corners))
