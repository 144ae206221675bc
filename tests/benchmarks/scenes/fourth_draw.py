"""One room of the fourth family: opening, wall, light, cards, camera, clutter, all from (seed, room, attempt)."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from . import fourth_behind as behind
from . import fourth_clutter as clutter
from .fourth_base import (
    Array,
    Builder,
    Camera,
    Expected,
    Finish,
    Lamp,
    Opening,
    PlumbLine,
    Rng,
    Room,
    Shot,
    aimed,
    chance,
    focal_px,
    lacquer,
    metal,
    one_of,
    paint,
    plain,
    things,
)  # fmt: skip
from .fourth_cards import Hung, hang
from .fourth_finish import Phone, draw_phone
from .fourth_finishes import FLOORS, WET, tint
from .fourth_light import COOL, inner_lamp, lamps, shine, weights
from .fourth_ours import Print, printed_page, read_page
from .fourth_place import hang_all, options
from .fourth_plan import LAYOUTS, SEED, Lot, draw_opening, draw_shell
from .fourth_walls import Shell, build_shell

RIM_PX = 45


@dataclass(frozen=True)
class Drawn:
    lot: Lot
    attempt: int
    shot: Shot
    shell: Shell
    phone: Phone
    build: Callable[[Builder], None]
    edge_taken: str


def draw(lot: Lot, attempt: int, pages: Path) -> Drawn:
    seed = [SEED, 2, list(LAYOUTS).index(lot.layout), lot.number, attempt]
    rng = np.random.default_rng(seed)
    opening = draw_opening(rng, lot.opening)
    shell, names = draw_shell(rng, lot)
    page: Print | None = None
    if lot.layout == "ours":
        page = printed_page(rng, read_page(pages / f"ours_{one_of(rng, 'a4', 'letter')}.png"))
    cards, stated = hang_all(rng, lot.layout, opening, shell, page)
    camera, equivalent = _camera(rng, opening, shell, cards)
    words = options(rng, cards, stated, camera, page)
    line = _plumb(rng, opening, shell, cards) if lot.plumb else None
    box = (-shell.left, opening.width_mm + shell.right, shell.floor, shell.ceiling, shell.length)
    light = tuple(lamps(rng, lot.light, opening, box, camera.position_mm))
    if lot.opening in ("shower", "tub"):
        light += tuple(inner_lamp(rng, lot.light, opening, shell.ceiling, shell.depth))
    phone = draw_phone(rng)
    number = SEED * 1000 + list(LAYOUTS).index(lot.layout) * 100 + lot.number
    shot = Shot(
        lot.name, f"Room {200 + number % 1000} {lot.opening}", number, opening, _room(shell, light), camera,
        cards, Expected(None), words, plumb_line=line, equivalent_mm=equivalent,
        note=_note(lot, shell, names, cards, attempt),
    )  # fmt: skip
    later = int(rng.integers(2**31))
    return Drawn(lot, attempt, shot, shell, phone, lambda build: _build(build, lot, shot, shell, light, later), _taken(shell))


def _note(lot: Lot, shell: Shell, names: tuple[str, str], cards: tuple[Hung, ...], attempt: int) -> str:
    looks = ", ".join(card.look for card in cards)
    again = f"; drawn {attempt + 1} times" if attempt else ""
    return (
        f"{len(cards)} {cards[0].kind}: {looks}; face {names[0]}, reveal {names[1]}, edges {shell.sides.name}, "
        f"below {shell.foot.name}; light {lot.light}; every reading is right{again}"
    )


def _taken(shell: Shell) -> str:
    return f"walls and head: {shell.sides.truth}; below: {shell.foot.truth}; the readings were taken to the same lines"


def _room(shell: Shell, light: tuple[Lamp, ...]) -> Room:
    """The studio's record asks for one; the walls are ours."""
    s = shell
    return Room(Finish(s.face, s.reveal, s.reveal, s.below, s.face, s.ground, s.ground, s.sky, s.walls), light)


def _camera(rng: Rng, opening: Opening, shell: Shell, cards: tuple[Hung, ...]) -> tuple[Camera, float]:
    """As people stand: about the middle, phone at chest or eye height, all cards and edges in the picture."""
    points = np.concatenate([np.column_stack([opening.corners, np.zeros(4)]), *(card.reach() for card in cards)])
    low, high = points[:, :2].min(axis=0), points[:, :2].max(axis=0)
    span = high - low
    landscape = bool(span[0] > 1.12 * span[1]) or (span[0] > 0.85 * span[1] and chance(rng, 0.3))
    width, height = (4032, 3024) if landscape else (3024, 4032)
    equivalent = float(one_of(rng, 24, 25, 26, 26, 27, 28))
    distance = float(rng.uniform(2300, 2900) if chance(rng, 0.85) else rng.uniform(1900, 3200))
    aside = float(rng.choice([-1, 1]) * rng.uniform(380, 620) if chance(rng, 0.15) else rng.normal(0, 150))
    eye = shell.floor + float(rng.uniform(1230, 1600))
    middle, roll = (low + high) / 2 + rng.normal(0, 40, 2), float(rng.normal(0, 1.1))
    draws = rng.standard_normal(5)
    while True:
        place = np.array([opening.width_mm / 2 + aside, eye, distance])
        camera = Camera(
            width, height, focal_px(equivalent, width, height) * (1 + 0.015 * draws[0]),
            (width - 1) / 2 + 10 * draws[1], (height - 1) / 2 + 10 * draws[2], 0.014 * draws[3], 0.005 * draws[4],
            place, aimed(place, np.array([*middle, 0.0]), roll),
        )  # fmt: skip
        seen = camera.project(points)
        if (seen > RIM_PX).all() and (seen < np.array([width, height]) - RIM_PX).all():
            return camera, equivalent
        distance *= 1.03
        if distance > 3600:
            raise SystemExit("the opening does not fit into the picture")


def _plumb(rng: Rng, opening: Opening, shell: Shell, cards: tuple[Hung, ...]) -> PlumbLine:
    spans = [(card.reach()[:, 0].min() - 30, card.reach()[:, 0].max() + 30) for card in cards]
    while True:
        x = float(rng.uniform(0.14, 0.86)) * opening.width_mm
        if not any(a < x < b for a, b in spans):
            break
    skin = one_of(rng, plain((0.02, 0.02, 0.02)), plain((0.8, 0.8, 0.78)), plain((0.75, 0.25, 0.02)), plain((0.7, 0.65, 0.05)))
    top = opening.height_mm + shell.sides.band_mm + float(rng.uniform(30, 90))
    return PlumbLine(x, top, float(rng.uniform(50, 140)), skin, float(rng.uniform(2.5, 6)), float(rng.uniform(1.2, 2.2)))


def _build(build: Builder, lot: Lot, shot: Shot, shell: Shell, light: tuple[Lamp, ...], seed: int) -> None:
    rng, opening = np.random.default_rng(seed), shot.opening
    build_shell(build, shell, opening)
    _behind(rng, build, lot, shell, opening)
    for lamp, weight in zip(light, weights(light, opening, shell.depth), strict=True):
        shine(build, lamp, weight)
    taken = []
    for card in shot.cards:
        hang(build, card)
        reach: Array = card.reach()
        taken.append((*reach[:, :2].min(axis=0), *reach[:, :2].max(axis=0)))
    if shot.plumb_line:
        things.hang_plumb_line(build, shot.plumb_line)
    clutter.wall_things(rng, build, opening, shell.left, shell.right, shell.floor, taken)
    clutter.floor_things(rng, build, opening, shell.left, shell.right, shell.floor)
    clutter.on_edges(rng, build, lot.opening, opening, shell.foot_depth)


def _behind(rng: Rng, build: Builder, lot: Lot, shell: Shell, opening: Opening) -> None:
    kind, lit = lot.opening, lot.light == "behind"
    if kind in ("shower", "tub"):
        back = shell.reveal if chance(rng, 0.6) else one_of(rng, *WET)(rng)[0]
        floor = (shell.foot.band or shell.below) if kind == "tub" else one_of(rng, *FLOORS)(rng)[0]
        behind.alcove(build, shell, opening, back, floor, kind == "tub")
        head = float(rng.uniform(0.88, 0.97)) * opening.height_mm
        things.shower_fittings(build, opening, chance(rng, 0.5), head, -0.55 * shell.depth)
    elif kind == "doorway":
        glow = float(4e6 if lit else rng.uniform(2e5, 1.6e6)) / 350**2
        behind.next_room(
            build, shell, opening, paint(tint(rng), rng), one_of(rng, *FLOORS)(rng)[0], (glow, 0.9 * glow, 0.75 * glow)
        )
    elif kind == "window":
        glow = float(rng.uniform(2.0, 4.5)) if lit else float(one_of(rng, 0.03, rng.uniform(0.3, 1.2), rng.uniform(0.8, 2.0)))
        sky = one_of(rng, *COOL)
        bar = lacquer(tint(rng, one_of(rng, "white", "dark", "earth")), 0.3)
        behind.pane(build, shell, opening, (glow * sky[0], glow * sky[1], glow * sky[2]), bar, float(rng.uniform(0.4, 0.6)))
    else:
        back = metal((0.86, 0.87, 0.86), 0.02) if chance(rng, 0.4) else one_of(rng, *WET)(rng)[0]
        shelf = lacquer(tint(rng), 0.2) if chance(rng, 0.5) else None
        behind.niche(build, shell, opening, back, shelf, opening.height_mm * float(rng.uniform(0.35, 0.65)))
