"""The reference cards: where they hang, what they show, how they are put up."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

from .fifth_draws import Plan
from .fifth_looks import bitmap, smooth
from .fifth_studio import RGB, Picture

from studio.shapes import Builder, placed, rounded_rectangle  # isort: skip
from studio.sizes import true_size  # isort: skip
from studio.surfaces import Surface, lacquer, plain  # isort: skip
from studio.things import CORNER_RADIUS_MM, THICKNESS_MM, Card  # isort: skip

STATED_MM = {"id-1": 1.4, "letter": 0.5, "a4": 0.5}  # what people would say; the true ones are drawn evenly
OFFSETS_MM = {"id-1": (0.8, 2.0), "letter": (0.1, 1.0), "a4": (0.1, 1.0)}
RULE_SD_MM = 0.15
INKS: tuple[RGB, ...] = (
    (0.05, 0.12, 0.3),
    (0.4, 0.06, 0.06),
    (0.04, 0.25, 0.15),
    (0.6, 0.3, 0.04),
    (0.2, 0.08, 0.3),
    (0.03, 0.03, 0.03),
)
TAPES: tuple[RGB, ...] = ((0.62, 0.5, 0.24), (0.75, 0.74, 0.7), (0.1, 0.22, 0.5), (0.05, 0.05, 0.05), (0.6, 0.6, 0.58))


@dataclass(frozen=True)
class Hung:
    card: Card
    tapes: tuple[tuple[float, float, float, float, float], ...]  # local x, y, width, height, turn
    tape: Surface


def hung_cards(plan: Plan, rng: np.random.Generator) -> tuple[tuple[Hung, ...], tuple[str, ...]]:
    """The cards of a layout and the command line's --card options, numbered left to right."""
    kind = str(rng.choice(["a4", "letter"])) if plan.layout in ("sheet", "letters") else "id-1"
    tape_rgb = TAPES[int(rng.integers(len(TAPES)))]
    hung = [_one(plan, kind, place, tape_rgb, rng) for place in _places(plan, rng)]
    hung.sort(key=lambda h: h.card.centre_mm[0])
    stated = f"@{-round(STATED_MM[kind] + float(rng.normal(0, 0.2)), 1):g}+-0.5"
    if kind == "id-1":
        return tuple(hung), ("--card", f"id-1{stated}")
    options: list[str] = []
    for number, item in enumerate(hung, 1):
        w, h = (round(float(side + rng.normal(0, RULE_SD_MM)), 1) for side in sorted(item.card.size_mm))
        options += ["--card", f"{kind}{f'#{number}' if len(hung) > 1 else ''}{stated}={w:g}x{h:g}mm+-{RULE_SD_MM:g}"]
    return tuple(hung), tuple(options)


def _places(plan: Plan, rng: np.random.Generator) -> list[tuple[int, float]]:
    """Side (-1 left, +1 right) and height as a share of the opening's."""

    def low() -> float:
        return float(rng.uniform(0.05, 0.16))

    def high() -> float:
        return float(rng.uniform(0.84, 0.95))

    side = int(rng.choice([-1, 1]))
    if plan.layout in ("sheet", "one"):
        return [(side, float(rng.uniform(0.3, 0.75)))]
    if plan.layout == "four":
        return [(-1, low()), (1, low()), (1, high()), (-1, high())]
    return [(side, low()), (-side, high())]


def _one(plan: Plan, kind: str, place: tuple[int, float], tape_rgb: RGB, rng: np.random.Generator) -> Hung:
    size = true_size(kind, rng)
    small = kind == "id-1"
    if rng.random() < (0.3 if small else 0.25):
        size = (size[1], size[0])  # a bank card stands, a sheet lies
    side, share = place
    gap = float(rng.uniform(14, 75) if small else rng.uniform(25, 90)) + plan.corner.strip_mm
    y = share * plan.opening.height_mm
    y = float(np.clip(y, size[1] / 2 + 30 - 0.6 * plan.base_mm, plan.opening.height_mm + 40 - size[1] / 2))
    wall = plan.opening.left if side < 0 else plan.opening.right
    x = float(wall(np.array(y))) + side * (gap + size[0] / 2)
    offset = float(rng.uniform(*OFFSETS_MM[kind]))
    picture = (bank_card(rng) if small else sheet(kind, rng)).astype(np.float32)
    if size[0] < size[1] if small else size[0] > size[1]:
        picture = np.ascontiguousarray(np.rot90(picture))
    front = Surface(
        {
            "type": "roughplastic",
            "alpha": 0.25 if small else 0.5,
            "nonlinear": True,
            "diffuse_reflectance": bitmap(picture[::-1], "clamp"),
        }
    )
    turn = float(np.clip(rng.normal(0, 1.2), -3, 3))
    card = Card(kind, size, (x, y), front, turn, offset - THICKNESS_MM[kind])
    return Hung(card, _tapes(size, small, rng), plain(tape_rgb))


def _tapes(
    size: tuple[float, float], small: bool, rng: np.random.Generator
) -> tuple[tuple[float, float, float, float, float], ...]:
    w, h = size[0] / 2, size[1] / 2
    draw = rng.random()
    if draw < (0.6 if small else 0.3):
        return ()  # putty behind
    if small:
        over = float(rng.uniform(2.5, 4.0))
        return ((float(rng.uniform(-0.3, 0.3)) * w, h + 13 - over, 12.0, 26.0, float(rng.uniform(-6, 6))),)
    if draw < 0.75:
        corners = ((-w, -h, 45.0), (w, -h, -45.0), (w, h, 45.0), (-w, h, -45.0))
        return tuple((x, y, 16.0, 52.0, turn + float(rng.uniform(-8, 8))) for x, y, turn in corners)
    return tuple((x * w, y * h, 19.0, 44.0, float(rng.uniform(-8, 8))) for x, y in ((-0.7, 0.98), (0.7, 0.98), (0.0, -0.98)))


def hang(build: Builder, hung: Hung) -> None:
    card = hung.card
    small = card.kind == "id-1"
    outline = rounded_rectangle(*card.size_mm, CORNER_RADIUS_MM[card.kind])
    place = placed(*card.centre_mm, card.back_z_mm, card.turn_deg)
    build.slab(
        outline, THICKNESS_MM[card.kind], place, card.surface, lacquer((0.7, 0.7, 0.69)) if small else plain((0.78, 0.78, 0.77))
    )
    for x, y, w, h, turn in hung.tapes:
        at = placed(0, 0, 0, card.turn_deg)[:3, :3] @ np.array([x, y, 0.0])
        where = (card.centre_mm[0] + at[0], card.centre_mm[1] + at[1], card.front_z_mm)
        build.slab(rounded_rectangle(w, h, 0.0), 0.08, placed(*where, card.turn_deg + turn), hung.tape)


def bank_card(rng: np.random.Generator) -> Picture:
    """(216, 342, 3): blank, coloured, with a picture, two-tone, with a stripe, with a chip and number."""
    grounds: tuple[RGB, ...] = (
        (0.8, 0.8, 0.79),
        (0.76, 0.74, 0.7),
        *INKS,
        (0.66, 0.5, 0.1),
        (0.25, 0.45, 0.55),
        (0.4, 0.4, 0.41),
    )
    ground = grounds[int(rng.integers(len(grounds)))]
    ink = INKS[int(rng.integers(len(INKS)))]
    picture = np.ones((216, 342, 3), np.float32) * np.array(ground, np.float32)
    kind = int(rng.integers(6))
    if kind == 1:
        blobs = smooth(rng, (216, 342), 55)[..., None]
        picture = picture * (1 + 0.35 * blobs) + 0.2 * np.array(ink, np.float32) * (blobs > 0.3)
    elif kind == 2:
        cut = int(rng.uniform(0.35, 0.65) * 342)
        picture[:, cut:] = ink
    elif kind == 3:
        picture[26:76] = (0.04, 0.04, 0.04)
        picture[96:126, 20:230] = (0.78, 0.78, 0.76)
    elif kind == 4:
        swirl = np.sin(0.05 * np.arange(342)[None, :] + 2.0 * smooth(rng, (216, 342), 90))
        picture = np.where(swirl[..., None] > 0.2, picture, 0.6 * picture + 0.25 * np.array(ink, np.float32))
    if kind in (0, 4, 1) and rng.random() < 0.6:
        picture[78:118, 34:84] = (0.62, 0.5, 0.22)
        light = float(np.mean(ground)) < 0.3
        for group in range(4):
            _print(picture, "0000", (34 + 70 * group, 152), 0.62, 0.75 if light else 0.06, 1)
    return picture


def sheet(kind: str, rng: np.random.Generator) -> Picture:
    """An upright page, 2.5 pixels a millimetre: blank, text, squared, big title, with a photo, or tinted."""
    w, h = (525, 742) if kind == "a4" else (540, 698)
    white = float(rng.uniform(0.76, 0.84))
    page = np.ones((h, w, 3), np.float32) * np.array((white, white, white * float(rng.uniform(0.95, 1.0))), np.float32)
    look = str(rng.choice(["blank", "text", "squared", "title", "photo", "tinted"], p=[0.3, 0.22, 0.12, 0.14, 0.12, 0.1]))
    if look == "tinted":
        page *= np.array(((1, 0.95, 0.6), (0.65, 0.85, 1.0), (0.75, 1, 0.75), (1, 0.7, 0.7))[int(rng.integers(4))], np.float32)
    if look == "squared":
        for q in np.arange(0, max(w, h), 12.5):
            cv2.line(page, (int(q), 0), (int(q), h), (0.5, 0.58, 0.7), 1)
            cv2.line(page, (0, int(q)), (w, int(q)), (0.5, 0.58, 0.7), 1)
    if look in ("text", "photo"):
        _lines(page, range(int(0.5 * h) if look == "photo" else 90, h - 70, 16), rng)
    if look == "photo":
        blob = smooth(rng, (int(0.36 * h), w - 120), 60)[..., None]
        page[60 : 60 + blob.shape[0], 60 : w - 60] = np.clip(
            np.array((0.3, 0.4, 0.3)) * (1 + 0.5 * blob) + 0.08 * blob * np.array((1, 0, -1)), 0.02, 0.8
        )
    if look == "title":
        words = ("ROOM 14", "WET FLOOR", "DO NOT USE", "KEEP DRY", "ROOM 9")[int(rng.integers(5))]
        _print(page, words, (40, h // 2 - 60), 2.9 if len(words) < 8 else 2.0, 0.05, 9)
        _lines(page, range(h // 2 + 30, h // 2 + 150, 22), rng)
    return page


def _print(picture: Picture, words: str, at: tuple[int, int], size: float, grey: float, stroke: int) -> None:
    mask = np.zeros(picture.shape[:2], np.uint8)
    cv2.putText(mask, words, at, cv2.FONT_HERSHEY_SIMPLEX, size, 255, stroke, cv2.LINE_AA)
    share = mask[..., None].astype(np.float32) / 255
    picture[:] = picture * (1 - share) + grey * share


def _lines(page: Picture, rows: range, rng: np.random.Generator) -> None:
    """Print too small to read."""
    for y in rows:
        x, end = 62, page.shape[1] - 62 - int(rng.uniform(0, 120) * (rng.random() < 0.3))
        while x < end:
            word = int(rng.uniform(10, 42))
            page[y : y + 6, x : min(x + word, end)] *= 0.45
            x += word + 7
