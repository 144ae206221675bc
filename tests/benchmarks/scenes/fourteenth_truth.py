"""The truth of a room as its camera sees it, the proof by rays, and the picture with the truth drawn over it."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import cv2
import mitsuba as mi
import numpy as np

from sample_images.studio import record
from sample_images.studio.camera import Camera
from sample_images.studio.things import Card, PlumbLine
from sample_images.studio.trace import where_pixels_land

from .fourteenth_plan import Room

ASIDE = 0.4
EXPECTED = SimpleNamespace(status=None, suspect=(), reasons=(), findings=(), cannot_measure=None)
WIDTHS = ("width_top", "width_middle", "width_bottom")
ALL = (*WIDTHS, "height_left", "height_right", "diagonal_rising", "diagonal_falling")


def written(
    room: Room, camera: Camera, cards: list[Card], options: list[str], line: PlumbLine | None
) -> tuple[dict[str, Any], str]:
    """The JSON's facts and the readings."""
    number = room.name.rsplit("_", 1)[-1]
    shot: Any = SimpleNamespace(
        title=f"Room {int(number)} {room.of.title}", seed=room.seed, opening=room.hole.opening, cards=cards, plumb_line=line,
        options=options, expected=EXPECTED, note=f"{room.layout}: drawn at random; every reading is right", slips_mm={},
        room=SimpleNamespace(bullnose_mm=0, bead_mm=0), readings=ALL if room.hole.opening.head else WIDTHS,
    )  # fmt: skip
    facts = record.truth(shot, camera)
    facts["opening"]["edge_taken"] = room.hole.words
    facts = {"scene": facts.pop("scene"), "seed": facts.pop("seed"), "layout": room.layout, **facts}
    facts["origin"] = "rendered for this project with Mitsuba 3 by fourteenth_rooms.py; no real place"
    facts["made"] = {
        key: value
        for key, value in room.made.items()
        if key != "words" and isinstance(value, str | int | float | bool | list | dict)
    }
    return facts, record.readings(shot)


def prove(room: Room, scene: mi.Scene, camera: Camera, cards: list[Card]) -> str:
    """Empty if rays on either side of every edge meet what they should, else what is wrong."""
    corners = camera.project(np.column_stack([room.hole.opening.corners, np.zeros(4)]))
    if (corners < 2).any() or (corners > [camera.width - 3, camera.height - 3]).any():
        return "a corner lies outside of the picture"
    hidden_most = 0.0
    for side, points in room.hole.opening.edges(61).items():
        wrong, hidden, ends = _along(room, scene, camera, side, points[1:-1])
        hidden_most = max(hidden_most, hidden)
        if wrong or hidden > 0.4 or (ends and side in ("left", "right", "curb")):
            return f"{side}: {wrong} rays astray, {hidden:.0%} hidden, ends hidden: {ends}"
    room.made["hidden"] = round(hidden_most, 3)
    for card in cards:
        if trouble := _card(scene, camera, card):
            return trouble
    return ""


def _along(room: Room, scene: mi.Scene, camera: Camera, side: str, points: np.ndarray) -> tuple[int, float, bool]:
    """Rays astray, the part that is hidden, and whether a lower end is."""
    away = {"left": (-ASIDE, 0), "right": (ASIDE, 0), "curb": (0, -ASIDE), "head": (0, ASIDE)}[side]
    wanted = [np.column_stack([points + np.array(away) * way, np.zeros(len(points))]) for way in (1, -1)]
    out, into = (where_pixels_land(scene, camera, camera.project(p)) for p in wanted)
    before = [hit[:, 2] > 0.3 for hit in (out, into)]
    through = side == "curb" and room.hole.goes_on
    if through:  # the ray meets the floor or the sill a little before the plane
        before[0] = (out[:, 2] > 0.3) & (np.abs(out[:, 1] - points[:, 1]) > 1.2)
        good = np.abs(out[:, 1] - points[:, 1]) < 1.2
    else:
        good = np.linalg.norm(out - wanted[0], axis=1) < 0.25
    inner = into[:, 2] < -0.002
    hidden = before[0] | before[1]
    astray = ~hidden & ~(good & inner)
    lower = hidden[[0, 1, 2]] if side in ("left", "right") else hidden[[0, 1, -2, -1]]
    return int(astray.sum()), float(hidden.mean()), bool(lower.any())


def _card(scene: mi.Scene, camera: Camera, card: Card) -> str:
    corners = card.outline()
    middle = corners.mean(axis=0)
    for a, b in ((0, 1), (1, 2), (2, 3), (3, 0)):
        t = np.linspace(0.12, 0.88, 13)[:, None]
        line = corners[a] + t * (corners[b] - corners[a])
        out = (
            line
            - middle
            - (((line - middle) @ (corners[b] - corners[a]))[:, None] * (corners[b] - corners[a]))
            / np.sum((corners[b] - corners[a]) ** 2)
        )
        out /= np.linalg.norm(out, axis=1, keepdims=True)
        on = where_pixels_land(scene, camera, camera.project(line - ASIDE * out))
        off = where_pixels_land(scene, camera, camera.project(line + ASIDE * 2.5 * out))
        taped = np.abs(on[:, 2] - card.front_z_mm - 0.08) < 0.05 if card.tape else np.zeros(len(line), bool)
        hidden = (on[:, 2] > card.front_z_mm + 2) | (off[:, 2] > card.front_z_mm + 2)
        missed = (np.abs(on[:, 2] - card.front_z_mm) > 0.03) & ~taped & ~hidden
        above = (off[:, 2] > card.front_z_mm - 0.02) & ~taped & ~hidden
        if missed.mean() > 0.1 or above.mean() > 0.1 or hidden.mean() > 0.25:
            return f"a card: {missed.mean():.0%} missed, {above.mean():.0%} beyond its side, {hidden.mean():.0%} hidden"
    return ""


def drawn_over(picture: np.ndarray, facts: dict[str, Any]) -> np.ndarray:
    """Edges in colours, corners by number, cards in yellow."""
    shown = np.ascontiguousarray(picture.copy())

    def put(points: list, rgb: tuple[int, int, int]) -> None:
        cv2.polylines(shown, [np.round(np.array(points) * 8).astype(np.int32)], False, rgb, 1, cv2.LINE_AA, 3)

    for (_, points), rgb in zip(
        facts["edges_px"].items(), ((255, 0, 0), (0, 255, 0), (0, 160, 255), (255, 0, 255)), strict=False
    ):
        put(points, rgb)
    for card in facts["cards"]:
        put([*card["corners_px"], card["corners_px"][0]], (255, 230, 0))
    for x, y in facts["opening"]["corners_px"]:
        cv2.circle(shown, (round(x), round(y)), 4, (255, 255, 255), 1, cv2.LINE_AA)
    return shown
