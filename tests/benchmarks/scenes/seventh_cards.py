"""References of the seventh family: bank-size cards of many printings and measured sheets, where they hang, what is stated."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import cv2
import numpy as np

from .seventh_looks import RGB, Surface, bitmap, noise
from .seventh_walls import Builder, House  # puts the studio on the path

# isort: split
from studio.shapes import placed, rounded_rectangle
from studio.surfaces import plain
from studio.things import Card

BANK_MM = (85.60, 53.98)
BANK_SD_MM, BANK_CUT_MM = 0.04, (0.12, 0.05)
PLANE_SD_MM = 0.5
BANK_OFF_MM, SHEET_OFF_MM = (0.8, 2.5), (0.12, 2.0)
SHEETS_MM = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
STYLES = ("blank", "stripe", "chip", "two", "photo", "waves", "dots", "fade", "rim")


@dataclass(frozen=True)
class Tape:
    centre_mm: tuple[float, float]
    size_mm: tuple[float, float]
    turn_deg: float
    z_mm: float
    rgb: RGB


@dataclass(frozen=True)
class Hung:
    cards: tuple[Card, ...]
    options: tuple[str, ...]
    tapes: tuple[Tape, ...]
    styles: tuple[str, ...]


def draw_cards(layout: str, house: House, wall_rgb: RGB, rng: np.random.Generator) -> Hung:
    if layout in ("sheet", "letters"):
        return _sheets(layout, house, wall_rgb, rng)
    return _bank(layout, house, wall_rgb, rng)


def _spots(layout: str, rng: np.random.Generator) -> list[tuple[str, str]]:
    other = {"left": "right", "right": "left"}
    side = str(rng.choice(["left", "right"]))
    if layout in ("opposite", "letters"):
        return [(side, "low"), (other[side], "high")]
    if layout == "four":
        return [(s, h) for s in other for h in ("low", "high")]
    return [(side, "low"), (side, "high")] if layout == "oneside" else [(side, "middle")]


def _place(house: House, spot: tuple[str, str], size: tuple[float, float], rng: np.random.Generator) -> tuple[float, float]:
    opening = house.opening
    side, level = spot
    height = opening.height_mm
    off = float(rng.uniform(60, 200)) + size[1] / 2
    y = {"low": off, "high": height - off, "middle": height / 2 + float(rng.normal(0, 160))}[level]
    gap = house.arris.face_ends_mm + float(rng.uniform(22, 75)) + size[0] / 2
    x = float(opening.left(np.array(y))) - gap if side == "left" else float(opening.right(np.array(y))) + gap
    return x, y


def _off(stated: float, limits: tuple[float, float], rng: np.random.Generator) -> float:
    while True:
        off = float(rng.normal(stated, PLANE_SD_MM))
        if limits[0] <= off <= limits[1]:
            return off


def _bank(layout: str, house: House, wall_rgb: RGB, rng: np.random.Generator) -> Hung:
    stated = round(float(rng.uniform(1.5, 1.8)), 1)
    cards, tapes, styles = [], [], []
    for spot in _spots(layout, rng):
        slip = [float(np.clip(rng.normal(0, BANK_SD_MM), -cut, cut)) for cut in BANK_CUT_MM]
        size = (BANK_MM[0] + slip[0], BANK_MM[1] + slip[1])
        picture, style = _print(wall_rgb, rng)
        if rng.random() < 0.2:  # standing
            size, picture = size[::-1], np.rot90(picture)
        front = Surface(
            {
                "type": "roughplastic",
                "alpha": float(rng.choice([0.08, 0.2, 0.35])),
                "nonlinear": True,
                "diffuse_reflectance": bitmap(picture[::-1], "clamp"),
            }
        )
        off = _off(stated, BANK_OFF_MM, rng)
        place, turn = _place(house, spot, size, rng), float(np.clip(rng.normal(0, 1.2), -3, 3))
        cards.append(Card("id-1", size, place, front, turn_deg=turn, back_z_mm=off - 0.76))
        styles.append(style)
        if rng.random() < 0.3:
            tapes.append(_tape(cards[-1], (0.0, 0.5), (11.0, 24.0), rng))
    return Hung(tuple(cards), ("--card", f"id-1@-{stated:g}+-{PLANE_SD_MM:g}"), tuple(tapes), tuple(styles))


def _sheets(layout: str, house: House, wall_rgb: RGB, rng: np.random.Generator) -> Hung:
    kind = str(rng.choice(list(SHEETS_MM)))
    stated = round(float(rng.uniform(0.7, 1.0)), 1)
    spots = sorted(_spots(layout, rng))  # left first: so are the numbers
    cards, options, tapes, styles = [], [], [], []
    rgb = RGBS_OF_TAPE[rng.integers(len(RGBS_OF_TAPE))]
    for number, spot in enumerate(spots, 1):
        size = tuple(side + float(rng.uniform(-1.5, 1.5)) for side in SHEETS_MM[kind])
        lengths = [round(side + float(rng.normal(0, 0.15)), 1) for side in size]
        picture, style = _paper(wall_rgb, rng)
        front = Surface({"type": "diffuse", "reflectance": bitmap(picture[::-1], "clamp")})
        off = _off(stated, SHEET_OFF_MM, rng)
        turn = float(np.clip(rng.normal(0, 0.9), -2.5, 2.5))
        card = Card(kind, size, _place(house, spot, size, rng), front, turn_deg=turn, back_z_mm=off - 0.1)
        cards.append(card)
        styles.append(style)
        name = kind if len(spots) == 1 else f"{kind}#{number}"
        options += ["--card", f"{name}@-{stated:g}+-{PLANE_SD_MM:g}={lengths[0]:g}x{lengths[1]:g}mm+-0.15"]
        where = [(-0.36, 0.5), (0.36, 0.5), (0.0, -0.5)] if rng.random() < 0.6 else [(0.0, 0.5), (0.02, -0.5)]
        tapes += [_tape(card, spot_, (19.0, 44.0), rng, rgb) for spot_ in where]
    return Hung(tuple(cards), tuple(options), tuple(tapes), tuple(styles))


RGBS_OF_TAPE: tuple[RGB, ...] = ((0.62, 0.5, 0.22), (0.1, 0.25, 0.5), (0.78, 0.77, 0.72), (0.2, 0.2, 0.2), (0.2, 0.42, 0.25))


def _tape(
    card: Card, spot: tuple[float, float], size: tuple[float, float], rng: np.random.Generator, rgb: RGB | None = None
) -> Tape:
    turn = np.radians(card.turn_deg)
    local = np.array([spot[0] * card.size_mm[0], spot[1] * card.size_mm[1]])
    x = card.centre_mm[0] + np.cos(turn) * local[0] - np.sin(turn) * local[1]
    y = card.centre_mm[1] + np.sin(turn) * local[0] + np.cos(turn) * local[1]
    angle = card.turn_deg + float(rng.normal(0, 5))
    return Tape((float(x), float(y)), size, angle, card.front_z_mm, rgb or RGBS_OF_TAPE[rng.integers(len(RGBS_OF_TAPE))])


def hang(build: Builder, hung: Hung) -> None:
    for card in hung.cards:
        outline = rounded_rectangle(*card.size_mm, 3.18 if card.kind == "id-1" else 0.0, 12)
        thick = 0.76 if card.kind == "id-1" else 0.1
        side = plain((0.7, 0.7, 0.68))
        build.slab(outline, thick, placed(*card.centre_mm, card.back_z_mm, card.turn_deg), card.surface, side)
    for tape in hung.tapes:
        strip = rounded_rectangle(*tape.size_mm, 0.0)
        build.slab(strip, 0.08, placed(*tape.centre_mm, tape.z_mm + 0.01, tape.turn_deg), plain(tape.rgb))


# Printing: linear pictures, row 0 on top.
LUMA = np.array([0.21, 0.72, 0.07])


def _colours(wall: RGB, rng: np.random.Generator) -> tuple[np.ndarray, np.ndarray]:
    """Ground and second colour; the ground is to be told from the wall."""
    plain_to_see = rng.random() < 0.85
    while True:
        bright = rng.random()
        ground = rng.uniform(0.55, 0.82, 3) if bright < 0.4 else rng.uniform(0.03, 0.5, 3)
        if bright > 0.75:
            ground = np.full(3, rng.uniform(0.03, 0.09)) * rng.uniform(0.8, 1.2, 3)
        second = rng.uniform(0.04, 0.8, 3)
        if _apart(ground, wall, 0.19, plain_to_see) and _apart(second, wall, 0.09, plain_to_see):
            return ground, second


def _apart(one: np.ndarray, wall: RGB, least: float, by_grey: bool) -> bool:
    """Told from the wall by its grey, or by one channel at least."""
    step = np.sqrt(one) - np.sqrt(np.array(wall))
    grey = abs(float(np.sqrt(one @ LUMA) - np.sqrt(np.array(wall) @ LUMA)))
    return grey > least if by_grey else float(np.abs(step).max()) > least


def _print(wall: RGB, rng: np.random.Generator) -> tuple[np.ndarray, str]:
    h, w = 432, 685
    style = str(rng.choice(STYLES))
    ground, second = _colours(wall, rng)
    picture = np.tile(ground.astype(np.float32), (h, w, 1))
    y, x = np.mgrid[0:h, 0:w].astype(np.float32) / h
    draw: dict[str, Callable[[], np.ndarray]] = {
        "blank": lambda: np.zeros((h, w)),
        "stripe": lambda: ((y > 0.12) & (y < 0.36)).astype(float),
        "chip": lambda: _marks(x, y),
        "two": lambda: np.clip((y - 0.35 - 0.35 * np.sin(1.3 * x + rng.uniform(0, 3))) * 200 + 0.5, 0, 1),
        "photo": lambda: 0.5 + 0.5 * np.tanh(noise(rng, (h, w), 6) + 2 * (y - 0.5)),
        "waves": lambda: 0.7 * (np.mod(7 * y + 0.5 * np.sin(4 * x), 1) < 0.3),
        "dots": lambda: (np.hypot(np.mod(x, 0.12) - 0.06, np.mod(y, 0.12) - 0.06) < 0.028).astype(float),
        "fade": lambda: x / x.max(),
        "rim": lambda: (np.minimum.reduce([x, y, x.max() - x, 1 - y]) < 0.04).astype(float),
    }
    if style == "rim":
        second = np.array([0.8, 0.8, 0.78])
        if not _apart(second, wall, 0.12, True):
            second = np.array([0.1, 0.1, 0.12])
    if style == "chip":
        second = np.array([0.75, 0.75, 0.72]) if ground.mean() < 0.35 else np.array([0.1, 0.1, 0.12])
    share = cv2.GaussianBlur(draw[style]().astype(np.float32), (0, 0), 0.8)[..., None]
    picture = picture * (1 - share) + second.astype(np.float32) * share
    if style == "chip":
        picture[160:250, 80:190] = (0.62, 0.5, 0.2)
        picture[200:204, 80:190] = picture[160:250, 132:136] = (0.3, 0.24, 0.1)
    return np.clip(picture, 0.02, 0.85), style


def _marks(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    """Bars where a card has figures: nothing that can be read."""
    figures = (np.abs(y - 0.68) < 0.035) & (np.mod(x, 0.34) < 0.26) & (np.mod(x, 0.065) < 0.04) & (x > 0.15) & (x < 1.4)
    return (figures | ((np.abs(y - 0.85) < 0.02) & (x > 0.15) & (x < 0.75))).astype(float)


TINTS = ((0.8, 0.74, 0.5), (0.55, 0.7, 0.78), (0.6, 0.78, 0.6), (0.8, 0.6, 0.6), (0.62, 0.66, 0.4))


def _paper(wall: RGB, rng: np.random.Generator) -> tuple[np.ndarray, str]:
    h, w = 1188, 840
    style = str(rng.choice(["blank", "blank", "print", "ruled", "drawing"]))
    ground = np.array([0.83, 0.83, 0.82]) * rng.uniform(0.97, 1.02)
    while rng.random() < 0.15 or not (_apart(ground, wall, 0.06, True) or _apart(ground, wall, 0.13, False)):
        ground = np.array(TINTS[rng.integers(len(TINTS))]) * rng.uniform(0.85, 1.05)
        style = f"tinted {style.removeprefix('tinted ')}"
    picture = np.tile(ground.astype(np.float32), (h, w, 1))
    ink = [float(v) for v in rng.uniform(0.05, 0.25, 3)]
    if style.endswith("ruled"):
        for y in range(120, h - 60, 32):
            cv2.line(picture, (0, y), (w, y), (0.45, 0.55, 0.7), 1, cv2.LINE_AA)
    elif style.endswith("print"):
        for y in range(110, h - 130, 26):
            x = 90
            while x < w - 110:
                step = int(rng.integers(12, 60))
                cv2.rectangle(picture, (x, y), (min(x + step, w - 90), y + 8), ink, -1)
                x += step + 9
    elif style.endswith("drawing"):
        for _ in range(9):
            a, b = (tuple(int(v) for v in rng.integers((120, 150), (w - 120, h - 150))) for _ in range(2))
            cv2.rectangle(picture, a, b, ink, 3, cv2.LINE_AA)
            cv2.circle(picture, b, int(rng.integers(15, 90)), ink, 3, cv2.LINE_AA)
    return np.clip(picture, 0.03, 0.87), style
