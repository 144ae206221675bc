"""Reference cards and sheets on the face, their prints, and the camera that has them all in view."""

from __future__ import annotations

from typing import Any

import numpy as np

from sample_images.studio import sizes
from sample_images.studio.camera import Camera, aimed, focal_px
from sample_images.studio.surfaces import Surface, plain, printed
from sample_images.studio.things import Card

from . import fourteenth_cloth as cloth
from . import fourteenth_grain as g
from .fourteenth_plan import Room

MARGIN = 0.025


def _print(rng: np.random.Generator, kind: str) -> np.ndarray:
    """A picture for a card or a sheet, row 0 on top."""
    ny, nx = (270, 428) if kind == "id-1" else (594, 420)
    white = g.colour("fbfaf6") * rng.uniform(0.85, 0.95)
    picture = np.ones((ny, nx, 3)) * white
    y, x = np.mgrid[0:ny, 0:nx]
    ink = g.colour(str(rng.choice([*cloth.PAINTS, "1a1a1a", "16304f", "5a1212"])))
    style = rng.integers(6) if kind == "id-1" else rng.choice([0, 0, 0, 6, 7, 8, 3])
    if style == 1:
        picture[:] = ink
    elif style == 2:
        picture[:], picture[int(0.14 * ny) : int(0.36 * ny)] = ink, g.colour("141414")
    elif style == 3:
        picture[:] = ink + (white - ink) * ((x / nx + y / ny) / 2)[..., None]
    elif style == 4:
        picture[(np.hypot(x - 0.78 * nx, y - 0.3 * ny) < 0.17 * ny) | ((y > 0.6 * ny) & (y < 0.68 * ny) & (x < 0.6 * nx))] = ink
    elif style == 5:
        picture[g.cloud(rng, (ny, nx), (30, 40)) > 0.3] = ink
    elif style == 6:  # lines of writing
        line = (y % 18 < 6) & (x > 0.1 * nx) & (x < 0.9 * nx) & (y > 0.08 * ny) & (y < 0.9 * ny)
        picture[line & (g.cloud(rng, (ny, nx), (1, 4)) > -0.2)] = g.colour("333333")
    elif style == 7:  # squared
        picture[(x % 21 < 1) | (y % 21 < 1)] = g.colour("8fa6bd")
    elif style == 8:
        picture[:] = g.colour(str(rng.choice(["e8dcb4", "cfe0cf", "d8d8d6", "f0c9c0", "6b6b6b"])))
    return np.clip(picture, 0.01, 0.9)


def _size(rng: np.random.Generator, kind: str, lying: bool) -> tuple[float, float]:
    short, long = sorted(sizes.true_size(kind, rng))
    return (long, short) if lying else (short, long)


def place_cards(rng: np.random.Generator, room: Room) -> list[Card]:
    """As the layout wants them: beside the opening, now and then above it."""
    kind = {"sheet": str(rng.choice(["a4", "letter"])), "letters": str(rng.choice(["letter", "letter", "a4"]))}.get(
        room.layout, "id-1"
    )
    h = room.head_y if room.hole.opening.head else 0.93 * room.head_y
    low, high, rising = rng.uniform(0.03, 0.28), rng.uniform(0.7, 0.97), rng.random() < 0.5
    spots = {
        "sheet": [(str(rng.choice(["left", "right"])), rng.uniform(0.2, 0.85))],
        "four": [("left", low), ("left", high), ("right", low + rng.uniform(-0.03, 0.1)), ("right", high - rng.uniform(0, 0.1))],
    }.get(room.layout, [("left", low if rising else high), ("right", high if rising else low)])
    return [_card(rng, room, kind, (side, float(at) * h)) for side, at in spots]


def _card(rng: np.random.Generator, room: Room, kind: str, spot: tuple[str, float]) -> Card:
    side, y = spot
    hole = room.hole
    on_casing = hole.face_z < 0
    lying = kind == "id-1" and rng.random() < 0.6 and not (on_casing and hole.edges[side].width < 130)
    lying = lying or (kind != "id-1" and rng.random() < 0.2)
    size = _size(rng, kind, lying)
    y = max(y, hole.floor_y + 0.5 * size[1] + 110)
    curve, way, _, _ = hole.wall(side)
    gap = float(rng.uniform(8, 22) if on_casing else room.flat + rng.choice([rng.uniform(6, 25), rng.uniform(15, 90)]))
    x = float(curve(np.array(y))) + way * (gap + 0.5 * size[0])
    turn = 0.0 if on_casing else float(rng.normal(0, 1.3 if kind == "id-1" else 0.8))
    white = float(rng.uniform(0.72, 0.88))
    front: Surface = printed(_print(rng, kind)) if rng.random() < 0.75 else plain((white, white, white * rng.uniform(0.93, 1)))
    tape = None
    if rng.random() < 0.3 and not on_casing:
        tape = plain(((0.7, 0.68, 0.6), (0.1, 0.25, 0.55), (0.75, 0.62, 0.35))[rng.integers(3)])
    box = (x - size[0] / 2 - 25, y - size[1] / 2 - 25, x + size[0] / 2 + 25, y + size[1] / 2 + 25)
    room.taken.append(box)
    return Card(kind, size, (x, y), front, turn, float(rng.uniform(0.03, 0.35)), tape=tape)


def options(rng: np.random.Generator, cards: list[Card], camera: Camera) -> list[str]:
    """The command line's cards, numbered from left to right."""
    ordered = sorted(cards, key=lambda card: tuple(camera.project(card.outline()).mean(axis=0)))
    if cards[0].kind == "id-1":
        return ["--card", "id-1@0+-0.5"]
    found = []
    for number, card in enumerate(ordered, 1):
        a, b = (round(v + float(rng.normal(0, 0.12)), 1) for v in sorted(card.size_mm))
        which = f"#{number}" if len(cards) > 1 else ""
        found += ["--card", f"{card.kind}{which}@0+-0.5={a:g}x{b:g}mm+-0.15"]
    return found


def place_camera(rng: np.random.Generator, room: Room, cards: list[Card]) -> tuple[Camera, float]:
    """Draws until opening and cards are in the picture; the camera's equivalent focal length beside it."""
    flat = np.column_stack([room.hole.opening.corners, np.zeros(4)])
    points = np.concatenate([flat, *(card.outline() for card in cards)])
    if room.hole.opening.head:
        points = np.concatenate([points, flat[2:] + np.array([0.0, 25.0, 0.0])])
    span = np.ptp(points, axis=0)
    for attempt in range(400):
        upright = (span[1] > span[0]) if rng.random() < 0.8 else rng.random() < 0.5
        wide = rng.random()
        equivalent = float(rng.uniform(24, 28) if wide < 0.72 else rng.uniform(19, 24) if wide < 0.92 else rng.uniform(14.5, 19))
        camera = _camera(rng, room, points, equivalent=equivalent, upright=bool(upright), hurry=attempt > 150)
        seen = camera.project(points) / [camera.width, camera.height]
        if seen.min() > MARGIN and seen.max() < 1 - MARGIN and (np.ptp(seen[:4], axis=0).max() > 0.3 or attempt > 300):
            return camera, equivalent
    raise RuntimeError("no camera sees everything")


def _camera(rng: np.random.Generator, room: Room, points: np.ndarray, **how: Any) -> Camera:
    width, height = (3024, 4032) if how["upright"] else (4032, 3024)
    middle = (points.min(axis=0) + points.max(axis=0)) / 2
    focal = focal_px(how["equivalent"], width, height)
    span = np.ptp(points, axis=0)
    need = focal * max(span[0] / width, span[1] / height) / (1 - 2 * MARGIN)
    distance = float(
        np.clip(need * rng.uniform(1.02, 1.5) + 60, 1500 if not how["hurry"] else 1200, 3200 if not how["hurry"] else 3500)
    )
    yaw = np.radians(float(np.clip(rng.normal(0, 12), -30, 30)) * (0.4 if how["hurry"] else 1.0))
    floor = room.hole.floor_y
    eye = float(rng.uniform(1150, 1650)) if rng.random() < 0.6 else float(middle[1] - floor + rng.uniform(-350, 350))
    place = np.array([middle[0] + distance * np.sin(yaw), floor + np.clip(eye, 420, 1900), distance * np.cos(yaw)])
    target = middle + rng.normal(0, 1, 3) * [0.06 * span[0], 0.05 * span[1], 0]
    k1 = float(np.clip(rng.normal(0.0, 0.018), -0.05, 0.05)) - (0.03 if how["equivalent"] < 19 else 0.0)
    return Camera(
        width=width,
        height=height,
        f_px=focal * (1 + 0.02 * float(rng.uniform(-1, 1))),
        cx=(width - 1) / 2 + float(rng.normal(0, 14)),
        cy=(height - 1) / 2 + float(rng.normal(0, 14)),
        k1=k1,
        k2=float(np.clip(rng.normal(0, 0.004), -0.01, 0.01)),
        position_mm=place,
        rotation=aimed(place, target, float(np.clip(rng.normal(0, 1.7), -5, 5))),
    )
