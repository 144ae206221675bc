"""The third family's reference cards: what is printed on them and how they are put up."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np
from studio.shapes import Builder, placed, rounded_rectangle
from studio.surfaces import Surface, lacquer, plain
from studio.things import CORNER_RADIUS_MM, THICKNESS_MM, Card
from third_patterns import RGB, TINTS, WHITES, Rng, gloss, matt, near, one_of

INKS: tuple[RGB, ...] = (
    (0.05, 0.12, 0.35),
    (0.4, 0.05, 0.08),
    (0.03, 0.22, 0.16),
    (0.5, 0.3, 0.04),
    (0.05, 0.05, 0.06),
    (0.3, 0.1, 0.32),
)
TAPES: tuple[RGB, ...] = ((0.62, 0.52, 0.27), (0.07, 0.2, 0.5), (0.75, 0.75, 0.74), (0.1, 0.1, 0.1))
ID1_DESIGNS = ("fade", "hills", "slants", "dark", "stripe", "blank")
PAGES = ("plain", "text", "form", "squared", "tinted")


@dataclass(frozen=True)
class Dress:
    card: Card
    words: str
    tape: RGB | None = None  # None: putty behind it
    curl_mm: float = 0.0
    curled: int = 0  # 0 the lower edge, 1 and 2 a lower corner


def bank_picture(rng: Rng, design: str) -> np.ndarray:
    """(270, 428, 3), linear, row 0 on top; colours to the rim, a chip on most, no sign or figure."""
    y, x = np.mgrid[0:270, 0:428] / np.array([270.0, 428.0])[:, None, None]
    a, b, c = (np.array(near(rng, one_of(rng, INKS if design == "dark" else INKS + TINTS + WHITES[:2]))) for _ in range(3))
    if design == "fade":
        t = np.clip(0.6 * x + 0.5 * y + 0.15 * np.sin(5 * x + 3 * y), 0, 1)[..., None]
        picture = a * (1 - t) + (0.3 * b + 0.45) * t
    elif design == "hills":
        picture = (0.35 + 0.4 * y)[..., None] * np.array([1.0, 1.1, 1.3])
        for low, ink in ((0.45, 0.5 * a + 0.1), (0.62, a), (0.8, 0.6 * b)):
            picture = np.where((y > low + 0.09 * np.sin(7 * x + 9 * low))[..., None], ink, picture)
    elif design == "slants":
        part = np.floor(2.3 * (x + 0.6 * y))[..., None]
        picture = np.where(part == 0, a, np.where(part == 1, 0.5 * b + 0.3, c))
    elif design == "dark":
        picture = 0.35 * a * (1 + 0.25 * np.sin(40 * (x - y)))[..., None] * np.ones(3)
    else:
        picture = np.broadcast_to(0.72 + 0.02 * a, (270, 428, 3)).copy()
        if design == "stripe":
            picture[32:92] = (0.03, 0.03, 0.035)
    if design not in ("stripe", "blank"):
        picture[96:150, 48:116] = (0.6, 0.47, 0.2)
        picture[96:150:13, 48:116] = picture[96:150, 48:116:17] = (0.3, 0.22, 0.08)
    for row in (190, 228):
        for start in np.cumsum(rng.integers(24, 60, 5)):
            picture[row : row + 10, start : start + 18] = 0.5 * picture[row : row + 10, start : start + 18] + 0.12
    return picture


def page(rng: Rng, design: str, size_mm: tuple[float, float]) -> np.ndarray:
    """A sheet at 3 pixels per millimetre, linear, row 0 on top."""
    width, height = (round(3 * side) for side in size_mm)
    white = one_of(rng, ((0.66, 0.6, 0.3), (0.42, 0.56, 0.62), (0.66, 0.48, 0.46))) if design == "tinted" else (0.84, 0.84, 0.83)
    picture = np.empty((height, width, 3), np.float32)
    picture[:] = white
    if design == "squared":
        for axis in (picture, picture.swapaxes(0, 1)):
            axis[14::15] = (0.55, 0.63, 0.75)
    if design in ("text", "form"):
        ink, rows = (0.12, 0.12, 0.13), range(150, height - 90, 16)
        picture[66:84, 66 : width // 2] = one_of(rng, INKS)
        for row in rows:
            if row // 16 % 9 == 0:
                continue
            ends = 66 + np.cumsum(rng.integers(12, 42, 60))
            for start, end in itertools.pairwise(ends):
                if end < width - 66 * (1 + (row // 16 % 9 == 8)):
                    picture[row : row + 6, start : end - 6] = ink
        if design == "form":
            picture[height // 3 : height // 2, 66 : width - 66] = 0.7 * np.array(near(rng, one_of(rng, TINTS))) + 0.25
            for row in np.linspace(height // 3, height // 2, 6).astype(int):
                picture[row : row + 2, 66 : width - 66] = (0.1, 0.1, 0.1)
    return picture


def hang(build: Builder, dress: Dress) -> None:
    """The card or sheet, its tape or the putty that it stands off on."""
    card = dress.card
    if card.kind == "id-1":
        outline = rounded_rectangle(*card.size_mm, CORNER_RADIUS_MM["id-1"])
        build.slab(
            outline,
            THICKNESS_MM["id-1"],
            placed(*card.centre_mm, card.back_z_mm, card.turn_deg),
            card.surface,
            plain((0.6, 0.6, 0.6)),
        )
    else:
        paper(build, dress)
    (width, height), place = card.size_mm, placed(*card.centre_mm, card.front_z_mm + 0.04, card.turn_deg)
    if not dress.tape:
        return
    film, corner = lacquer(dress.tape, 0.4), card.kind != "id-1"
    spots = (
        [(sx * (width / 2 - 4), sy * (height / 2 - 4), -45.0 * sx * sy) for sx in (-1, 1) for sy in (-1, 1)]
        if corner
        else [(4.0, height / 2 + 5, 0.0)]
    )
    for across, up, turn in spots:
        strip = rounded_rectangle(*((54.0, 16.0) if corner else (15.0, 30.0)), 0.0)
        local = place @ placed(across, up, 0.0, turn)
        build.slab(strip, 0.08, local, film)


def paper(build: Builder, dress: Dress) -> None:
    """A thin sheet whose lower edge, or one lower corner, comes off the wall a little."""
    card, (width, height) = dress.card, dress.card.size_mm
    grid = np.linspace(-0.5, 0.5, 41)
    x, y = (g.ravel() for g in np.meshgrid(grid * width, grid * height))
    reach = {0: y + height / 2, 1: np.hypot(x + width / 2, y + height / 2), 2: np.hypot(x - width / 2, y + height / 2)}[
        dress.curled
    ]
    lift = dress.curl_mm * np.clip(1 - reach / 55.0, 0, 1) ** 2
    place = placed(*card.centre_mm, card.front_z_mm, card.turn_deg)
    points = np.column_stack([x, y, lift]) @ place[:3, :3].T + place[:3, 3]
    i = (np.arange(40)[:, None] * 41 + np.arange(40)).ravel()
    faces = np.concatenate([np.stack([i, i + 1, i + 41], 1), np.stack([i + 1, i + 42, i + 41], 1)])
    uv = np.column_stack([x / width + 0.5, y / height + 0.5]) * np.array(card.surface.repeat_mm)
    build.mesh(points, faces, uv, card.surface)


def card_surface(rng: Rng, kind: str, design: str, size_mm: tuple[float, float]) -> Surface:
    if kind == "id-1":
        picture = bank_picture(rng, design)
        upright = size_mm[1] > size_mm[0]
        return Surface(gloss((np.rot90(picture) if upright else picture)[::-1], 0.25, "clamp"))
    return Surface(matt(page(rng, design, size_mm)[::-1]))
