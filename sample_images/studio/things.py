"""What lies, hangs and stands about: reference cards, a plumb line, shower fittings, clutter. Makes and names are nobody's."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .opening import Opening
from .shapes import Builder, placed, rounded_rectangle
from .surfaces import Surface, lacquer, metal, plain

THICKNESS_MM = {"id-1": 0.76, "letter": 0.1, "a4": 0.1}
CORNER_RADIUS_MM = {"id-1": 3.18, "letter": 0.0, "a4": 0.0}


@dataclass(frozen=True)
class Card:
    kind: str
    size_mm: tuple[float, float]  # true size, as it hangs: horizontal side, vertical side
    centre_mm: tuple[float, float]
    surface: Surface
    turn_deg: float = 0.0
    back_z_mm: float = 0.0  # where its back lies: 0 on the wall face, + toward the camera
    block: Surface | None = None  # what it is fixed to when it stands off the wall
    tape: Surface | None = None

    @property
    def front_z_mm(self) -> float:
        return self.back_z_mm + THICKNESS_MM[self.kind]

    def outline(self) -> np.ndarray:
        """World corners of the front face (4, 3), bottom-left bottom-right top-right top-left; rounded corners as if sharp."""
        flat = rounded_rectangle(*self.size_mm, 0.0)
        place = placed(*self.centre_mm, self.front_z_mm, self.turn_deg)
        return np.column_stack([flat, np.zeros(4)]) @ place[:3, :3].T + place[:3, 3]


@dataclass(frozen=True)
class PlumbLine:
    x_mm: float
    top_mm: float  # height of the nail above the curb
    bottom_mm: float  # height of the weight's tip
    surface: Surface
    z_mm: float = 4.0
    thickness_mm: float = 1.8

    def ends(self) -> np.ndarray:
        """A point a little below the nail and one a little above the weight, world (2, 3)."""
        return np.array([[self.x_mm, self.top_mm - 90, self.z_mm], [self.x_mm, self.bottom_mm + 150, self.z_mm]])


def hang_card(build: Builder, card: Card) -> None:
    width, height = card.size_mm
    outline = rounded_rectangle(width, height, CORNER_RADIUS_MM[card.kind])
    place = placed(*card.centre_mm, card.back_z_mm, card.turn_deg)
    build.slab(outline, THICKNESS_MM[card.kind], place, card.surface)
    if card.block:
        (x, y), half = card.centre_mm, 0.36 * min(card.size_mm)
        build.box((x - half, y - half, 0.0), (x + half, y + half, card.back_z_mm), card.block)
    if card.tape:
        strip = rounded_rectangle(19.0, 46.0, 0.0)
        for across, up in ((-0.33, 0.5), (0.33, 0.5), (0.0, -0.5)):
            at = placed(*card.centre_mm, 0, card.turn_deg)[:3, :3] @ [across * width, up * height, 0]
            where = (card.centre_mm[0] + at[0], card.centre_mm[1] + at[1], card.front_z_mm)
            build.slab(strip, 0.08, placed(*where, card.turn_deg + 5 * across), card.tape)


def hang_plumb_line(build: Builder, line: PlumbLine) -> None:
    x, z, low = line.x_mm, line.z_mm, line.bottom_mm
    build.rod((x, low + 60, z), (x, line.top_mm, z), line.thickness_mm / 2, line.surface)
    steel = metal(roughness=0.3)
    build.capped_rod((x, line.top_mm, 0.0), (x, line.top_mm, z + 5), 1.6, steel)
    brass = metal((0.75, 0.6, 0.3), 0.3)
    build.capped_rod((x, low + 12, z), (x, low + 60, z), 9.0, brass)
    build.ball((x, low + 12, z), 9.0, brass)


def shower_fittings(build: Builder, opening: Opening, right: bool = True, head_y: float = 1900.0, z: float = -540.0) -> None:
    """Arm, head, valve plate and lever on one side wall."""
    chrome, side = metal(), -1 if right else 1
    wall = opening.right if right else opening.left
    x = float(wall(np.array(head_y)))
    tip = (x + side * 330, head_y - 60, z)
    build.rod((x, head_y, z), (x + side * 150, head_y + 25, z), 11, chrome)
    build.rod((x + side * 150, head_y + 25, z), tip, 11, chrome)
    build.ball((x + side * 150, head_y + 25, z), 11, chrome)
    build.capped_rod(tip, (tip[0] + side * 10, tip[1] - 45, z), 85, lacquer((0.75, 0.76, 0.78), 0.15))
    x = float(wall(np.array(1050.0)))
    build.capped_rod((x, 1050, z), (x + side * 9, 1050, z), 80, chrome)
    build.capped_rod((x, 1050, z), (x + side * 60, 1050, z), 24, chrome)
    build.rod((x + side * 52, 1050, z), (x + side * 58, 965, z + 10), 8, chrome)


def bottle(build: Builder, x: float, y: float, z: float, rgb: tuple[float, float, float], height: float = 190.0) -> None:
    body = lacquer(rgb, 0.2)
    build.capped_rod((x, y, z), (x, y + height, z), 32, body)
    build.capped_rod((x, y + height, z), (x, y + height + 28, z), 17, lacquer((0.8, 0.8, 0.78), 0.2))


def bin_(build: Builder, x: float, y: float, z: float, surface: Surface) -> None:
    build.rod((x, y, z), (x, y + 270, z), 105, surface)
    build.disc((x, y + 255, z), np.array([0, 1.0, 0]), 104, plain((0.05, 0.05, 0.05)))


def mat(build: Builder, x: float, y: float, z: float, size: tuple[float, float], surface: Surface) -> None:
    build.box((x - size[0] / 2, y, z - size[1] / 2), (x + size[0] / 2, y + 11, z + size[1] / 2), surface)


def towel(build: Builder, x: float, top: float, size: tuple[float, float], surface: Surface, folds: float = 4.5) -> None:
    """A towel over a rail on the wall face; x is its middle."""
    width, length = size
    chrome = metal()
    build.rod((x - width / 2 - 50, top, 60), (x + width / 2 + 50, top, 60), 9, chrome)
    for end in (x - width / 2 - 45, x + width / 2 + 45):
        build.capped_rod((end, top, 0), (end, top, 66), 11, chrome)
    across = np.linspace(0, 1, 81)
    rows = np.linspace(0, 1, 41)
    wave = np.sin(2 * np.pi * folds * across)
    for front in (1, -1):
        lines = []
        for r in rows:
            depth = 60 + front * (10 + 4 * r) + 7 * r * wave
            drop = (length if front == 1 else 0.8 * length) * r
            lines.append(np.column_stack([x + (across - 0.5) * width, np.full(81, top + 9 - drop), depth]))
        for a, b, ra, rb in zip(lines[:-1], lines[1:], rows[:-1], rows[1:], strict=True):
            u = across * width
            build.strip(
                a, b, np.column_stack([u, np.full(81, ra * length)]), np.column_stack([u, np.full(81, rb * length)]), surface
            )


def cabinet(
    build: Builder, low: tuple[float, float, float], high: tuple[float, float, float], body: Surface, top: Surface
) -> None:
    build.box(low, high, body)
    build.box((low[0] - 12, high[1], low[2]), (high[0] + 12, high[1] + 24, high[2] + 14), top)
