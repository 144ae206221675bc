"""The kinds of edge of the table: how each is drawn at random."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from tests.benchmarks.edge_pictures import PX_PER_MM, Arris, Light, OnWall
from tests.benchmarks.phone import Phone

Array = NDArray[np.float64]
Rng = np.random.Generator
ArrisDraw = Callable[[Rng], tuple[Arris, Phone]]
CardDraw = Callable[[Rng], tuple[OnWall, Light, Phone]]
GREY = np.array([0.2126, 0.7152, 0.0722])
"""share of each colour in luminance (ITU-R BT.709)"""


def phone(rng: Rng) -> Phone:
    """An ordinary photo in daylight or lamp light."""
    return Phone(
        blur_px=float(rng.uniform(0.6, 1.2)),
        grain=float(rng.uniform(0.004, 0.012)),
        sharpening=float(rng.uniform(0.0, 0.4)),
        quality=int(rng.integers(84, 96)),
    )


def sharpened(rng: Rng) -> Phone:
    """With the overshoot of a phone that wants to look crisp."""
    return replace(phone(rng), sharpening=float(rng.uniform(0.7, 1.4)), sharpening_px=float(rng.uniform(0.9, 1.8)))


def blurred(rng: Rng) -> Phone:
    """Out of focus or moved a little."""
    return replace(phone(rng), blur_px=float(rng.uniform(2.0, 3.5)))


def noisy(rng: Rng) -> Phone:
    """In the light of one lamp, and stored small."""
    return replace(phone(rng), grain=float(rng.uniform(0.025, 0.045)), quality=int(rng.integers(70, 85)))


def surface(rng: Rng, low: float, high: float, colour: float = 0.06) -> Array:
    """A surface of about this lightness (linear), with some hue."""
    return np.asarray(np.clip(rng.uniform(low, high) * np.exp(rng.normal(0, colour, 3)), 0.015, 0.9))


def of_luminance(colour: Array, wanted: float) -> Array:
    """The colour made as light as wanted, within what can be shown."""
    return np.asarray(np.clip(colour * wanted / float(colour @ GREY), 0.01, 0.92))


def _light_dark(rng: Rng) -> Arris:
    return Arris(
        surface(rng, 0.45, 0.75), surface(rng, 0.05, 0.25, 0.2), joint_px=float(rng.uniform(60, 200)), joint=np.full(3, 0.3)
    )


def _dark_light(rng: Rng) -> Arris:
    return Arris(
        surface(rng, 0.05, 0.2, 0.2), surface(rng, 0.4, 0.75), joint_px=float(rng.uniform(60, 200)), joint=np.full(3, 0.2)
    )


def _white_white(rng: Rng) -> Arris:
    face = surface(rng, 0.55, 0.75, 0.02)
    return Arris(face, np.clip(face * rng.choice([0.85, 1.14]) * np.exp(rng.normal(0, 0.01, 3)), 0, 0.9))


def _equal_grey(rng: Rng) -> Arris:
    """A painted face against tile of equal luminance: colours apart by as much as green paint and red tile, or half of it."""
    face = np.clip(rng.uniform(0.2, 0.45) * np.exp(rng.normal(0, 0.2, 3)), 0, 0.9)
    tile = of_luminance(face[[2, 0, 1]] * np.exp(rng.normal(0, 0.3, 3)), float(face @ GREY) * float(np.exp(rng.normal(0, 0.03))))
    while np.abs(tile / face - 1).max() < 0.25:
        tile = of_luminance(tile * np.exp(rng.normal(0, 0.4, 3)), float(face @ GREY))
    return Arris(face, tile)


def _shaded(rng: Rng) -> Arris:
    """The side wall darkens toward the arris, or away from it."""
    return replace(_light_dark(rng), shade=(float(rng.uniform(-0.4, 0.5)), float(rng.uniform(3, 30))))


def _foreshortened(rng: Rng) -> float:
    """px that a millimetre of the side wall's depth shows: its tangent of 0.15 to 0.4 from where people stand."""
    return float(rng.uniform(0.15, 0.4)) * PX_PER_MM


def _joint(rng: Rng, colour: Array) -> Arris:
    """A joint of 1.5 to 4 mm on the side wall, right at the arris: seen aslant it is a third of a pixel to two wide."""
    return replace(_light_dark(rng), bands=((0.0, float(rng.uniform(1.5, 4.0)) * _foreshortened(rng), colour),))


def _bead(rng: Rng) -> Arris:
    """A metal or white profile of 2 to 4 mm, flush with the face; its other leg of 9 mm lies on the side wall in other light."""
    colour = surface(rng, 0.3, 0.8, 0.03) if rng.random() < 0.7 else surface(rng, 0.05, 0.3, 0.03)
    base = _light_dark(rng) if rng.random() < 0.5 else _dark_light(rng)
    leg = (0.0, 9.0 * _foreshortened(rng), colour * rng.uniform(0.3, 1.0))
    return replace(base, bands=((-float(rng.uniform(2.0, 4.0)) * PX_PER_MM, 0.0, colour), leg))


def _rounded(rng: Rng) -> Arris:
    """A rounded arris of 1.5 to 6 mm, of the inside's material; half of them of the face's own tile."""
    inside = surface(rng, 0.2, 0.5, 0.1)
    turned = np.clip(inside * rng.uniform(1.2, 2.0), 0, 0.9)
    face = turned * np.exp(rng.normal(0, 0.02, 3)) if rng.random() < 0.5 else surface(rng, 0.4, 0.75)
    return Arris(np.clip(face, 0, 0.9), inside, round_px=float(rng.uniform(1.5, 6.0)) * PX_PER_MM, turned=turned)


ARRISES: Mapping[str, ArrisDraw] = {
    "light face, dark opening": lambda r: (_light_dark(r), phone(r)),
    "dark face, light opening": lambda r: (_dark_light(r), phone(r)),
    "white on white": lambda r: (_white_white(r), phone(r)),
    "equal grey": lambda r: (_equal_grey(r), phone(r)),
    "shaded toward the arris": lambda r: (_shaded(r), phone(r)),
    "dark joint at the arris": lambda r: (_joint(r, surface(r, 0.02, 0.06)), phone(r)),
    "light joint at the arris": lambda r: (_joint(r, surface(r, 0.45, 0.75)), phone(r)),
    "bead at the arris": lambda r: (_bead(r), phone(r)),
    "rounded arris": lambda r: (_rounded(r), phone(r)),
    "sharpened": lambda r: ((_light_dark if r.random() < 0.5 else _dark_light)(r), sharpened(r)),
    "blurred": lambda r: ((_light_dark if r.random() < 0.5 else _dark_light)(r), blurred(r)),
    "noisy": lambda r: ((_light_dark if r.random() < 0.5 else _dark_light)(r), noisy(r)),
}
WHITE, DARK = (0.65, 0.85), (0.02, 0.12)
PAINT, TILE, DIM = (0.4, 0.7), (0.25, 0.6), (0.08, 0.25)
CARD_MM, LETTER_MM, FRAME_MM = (85.6, 53.98), (215.9, 279.4), (78.0, 88.0)


def light(rng: Rng) -> Light:
    """A room's light: some from all sides, some from a lamp above, at most a little aside."""
    return Light(
        float(rng.uniform(0.4, 0.95)), (float(rng.normal(0, 0.5)), float(rng.uniform(0.2, 1.8))), float(rng.uniform(0.05, 0.4))
    )


def card(rng: Rng, face: tuple[float, float], wall: tuple[float, float], *, tiled: bool = False) -> OnWall:
    """A bank card (the sizes and limits of the standard), taped on with up to half a millimetre of air behind it."""
    colour = surface(rng, *face)
    flank = surface(rng, 0.6, 0.8) if rng.random() < 0.5 else colour
    turned = CARD_MM if rng.random() < 0.7 else CARD_MM[::-1]
    air = float(rng.choice([0.0, rng.uniform(0.0, 0.5)]))
    joint = np.full(3, float(rng.choice([0.1, 0.3, 0.6])))
    tile = float(rng.uniform(40, 200)) if tiled else 0.0
    return OnWall(turned, 0.76, colour, flank, surface(rng, *wall), air, 3.18, tile, joint)


def sheet(rng: Rng, wall: tuple[float, float], *, tiled: bool = False) -> OnWall:
    """A sheet of paper, its borders up to a millimetre off the wall."""
    white = surface(rng, 0.72, 0.85, 0.02)
    joint = np.full(3, float(rng.choice([0.1, 0.3, 0.6])))
    air, tile = abs(float(rng.normal(0, 0.4))), float(rng.uniform(60, 250)) if tiled else 0.0
    return OnWall(LETTER_MM, 0.1, white, white, surface(rng, *wall), air, 0.0, tile, joint)


def frame(rng: Rng) -> OnWall:
    """Our own print: black ink on white paper."""
    white = surface(rng, 0.72, 0.85, 0.02)
    return replace(sheet(rng, PAINT), sides_mm=FRAME_MM, face=white, ring_mm=9.0, rim_mm=10.0)


CARDS: Mapping[str, tuple[str, CardDraw]] = {
    "white card on paint": ("id-1", lambda r: (card(r, WHITE, (0.25, 0.5)), light(r), phone(r))),
    "white card on white paint": ("id-1", lambda r: (card(r, (0.72, 0.85), (0.5, 0.62)), light(r), phone(r))),
    "white card on dark paint": ("id-1", lambda r: (card(r, WHITE, DIM), light(r), phone(r))),
    "dark card on paint": ("id-1", lambda r: (card(r, DARK, PAINT), light(r), phone(r))),
    "white card on tile": ("id-1", lambda r: (card(r, WHITE, TILE, tiled=True), light(r), phone(r))),
    "dark card on tile": ("id-1", lambda r: (card(r, DARK, PAINT, tiled=True), light(r), phone(r))),
    "white card, sharpened": ("id-1", lambda r: (card(r, WHITE, (0.25, 0.5)), light(r), sharpened(r))),
    "white card, blurred": ("id-1", lambda r: (card(r, WHITE, (0.25, 0.5)), light(r), blurred(r))),
    "white card, noisy": ("id-1", lambda r: (card(r, WHITE, (0.25, 0.5)), light(r), noisy(r))),
    "sheet on paint": ("letter", lambda r: (sheet(r, (0.25, 0.55)), light(r), phone(r))),
    "sheet on white paint": ("letter", lambda r: (sheet(r, (0.55, 0.66)), light(r), phone(r))),
    "sheet on tile": ("letter", lambda r: (sheet(r, TILE, tiled=True), light(r), phone(r))),
    "printed frame": ("quarter", lambda r: (frame(r), light(r), phone(r))),
}
