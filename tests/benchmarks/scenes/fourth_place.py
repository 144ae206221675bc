"""Where the cards of each layout hang, how large they truly are, and what is stated of them."""

from __future__ import annotations

import numpy as np

from .fourth_base import ID1_RANGE_MM, NOMINAL_MM, Camera, Opening, Rng, chance, one_of
from .fourth_cards import THICKNESS_MM, Hung, tape_for
from .fourth_ours import Print, cut_sheet
from .fourth_prints import LOOKS, SHEETS, bank_card, sheet
from .fourth_walls import Shell

MEASURED_SD_MM = 0.15
OFFSET_SD_MM = 0.5
Corner = tuple[int, str]  # -1 left or 1 right; low, high or middle
ROUND: tuple[Corner, ...] = ((-1, "high"), (1, "high"), (-1, "low"), (1, "low"))


def corners_of(rng: Rng, layout: str) -> tuple[Corner, ...]:
    if layout == "sheet":
        return ((one_of(rng, -1, 1), "middle"),)
    if layout in ("opposite", "letters"):
        return ((-1, "low"), (1, "high")) if chance(rng, 0.5) else ((-1, "high"), (1, "low"))
    return ROUND


def _offset(rng: Rng, stated: float, thickness: float) -> float:
    """How far the front stands before the wall: about the stated, never nearer than the card is thick."""
    while (true := float(rng.normal(stated, OFFSET_SD_MM))) < thickness + 0.02:
        pass
    return true


def _centre(
    rng: Rng, opening: Opening, shell: Shell, corner: Corner, size: tuple[float, float], rim: float
) -> tuple[float, float]:
    side, level = corner
    w, h = size
    gap, band = float(rng.uniform(22, 75)) + rim, shell.sides.band_mm
    high, wide = opening.height_mm, opening.width_mm
    if shell.framed and level != "middle" and chance(rng, 0.35):
        inward = float(rng.uniform(0.0, 0.16)) * wide + w / 2
        x = inward if side < 0 else wide - inward
        return x, (high + band + gap + h / 2 if level == "high" else -shell.foot.band_mm - gap - h / 2)
    x = -band - gap - w / 2 if side < 0 else wide + band + gap + w / 2
    if level == "middle":
        return x, high * float(rng.uniform(0.32, 0.68))
    inset = float(rng.uniform(-0.01, 0.13)) * high + h / 2 + rim
    return x, (high - inset if level == "high" else inset + 0.02 * high)


def hang_all(rng: Rng, layout: str, opening: Opening, shell: Shell, page: Print | None) -> tuple[tuple[Hung, ...], float]:
    """The cards and the offset that will be stated for all of them, millimetres before the wall."""
    stated = round(float(rng.uniform(2.0, 3.0) if layout in ("opposite", "four") else rng.uniform(1.2, 1.8)), 1)
    spread = 3.5 if chance(rng, 0.15) else 1.1
    places = corners_of(rng, layout)
    order = rng.permutation(4) if chance(rng, 0.3) else np.arange(4)
    paper = one_of(rng, "a4", "letter")
    cards = []
    for number, corner in enumerate(places):
        turn = float(np.clip(rng.normal(0, spread), -6, 6))
        if page is not None:
            cards.append(_ours(rng, page, int(order[number]), opening, shell, corner, stated, turn))
        elif layout in ("opposite", "four"):
            cards.append(_bank(rng, opening, shell, corner, stated, turn))
        else:
            cards.append(_sheet(rng, paper, opening, shell, corner, stated, turn))
    return tuple(cards), stated


def _ours(rng: Rng, page: Print, which: int, opening: Opening, shell: Shell, corner: Corner, stated: float, turn: float) -> Hung:
    size = page.size_mm(which)
    centre = _centre(rng, opening, shell, corner, size, 10.0)
    front = _offset(rng, stated, THICKNESS_MM["quarter"])
    look = f"quarter {which + 1}"
    return Hung(
        "quarter", size, centre, front, page.surface(which), look, turn, 0, tape_for(rng, "quarter"), cut_sheet(rng, size)
    )


def _bank(rng: Rng, opening: Opening, shell: Shell, corner: Corner, stated: float, turn: float) -> Hung:
    true = tuple(float(rng.uniform(*limits)) for limits in ID1_RANGE_MM)
    standing = chance(rng, 0.25)
    size = (true[1], true[0]) if standing else (true[0], true[1])
    look = one_of(rng, *LOOKS)
    centre, front = _centre(rng, opening, shell, corner, size, 0.0), _offset(rng, stated, THICKNESS_MM["id-1"])
    name = f"{look}{' standing' if standing else ''}"
    return Hung("id-1", size, centre, front, bank_card(rng, look), name, turn, int(standing), tape_for(rng, "id-1"))


def _sheet(rng: Rng, kind: str, opening: Opening, shell: Shell, corner: Corner, stated: float, turn: float) -> Hung:
    nominal = NOMINAL_MM[kind]
    true = tuple(float(side + np.clip(rng.normal(0, 0.7), -1.5, 1.5)) for side in nominal)
    lying = chance(rng, 0.3)
    size = (true[1], true[0]) if lying else (true[0], true[1])
    look = one_of(rng, *SHEETS)
    centre, front = _centre(rng, opening, shell, corner, size, 0.0), _offset(rng, stated, THICKNESS_MM[kind])
    name = f"{look}{' lying' if lying else ''}"
    return Hung(kind, size, centre, front, sheet(rng, look, nominal), name, turn, int(lying), tape_for(rng, kind))


def options(rng: Rng, cards: tuple[Hung, ...], stated: float, camera: Camera, page: Print | None) -> tuple[str, ...]:
    """The command line's words: numbers left to right as they are seen, lengths as a person measured them."""
    at = f"@-{stated:g}+-{OFFSET_SD_MM:g}"
    if page is not None:
        w, h = (round(float(v + rng.normal(0, MEASURED_SD_MM)), 1) for v in page.total_mm())
        return ("--card", f"quarter{at}={w:.1f}x{h:.1f}mm+-{MEASURED_SD_MM:g}")
    if cards[0].kind == "id-1":
        return ("--card", f"id-1{at}")
    seen = sorted(cards, key=lambda card: tuple(camera.project(card.outline()).mean(axis=0)))
    words: list[str] = []
    for number, card in enumerate(seen, 1):
        short, long = (round(float(v + rng.normal(0, MEASURED_SD_MM)), 1) for v in sorted(card.size_mm))
        mark = f"#{number}" if len(cards) > 1 else ""
        words += ["--card", f"{card.kind}{mark}{at}={short:g}x{long:g}mm+-{MEASURED_SD_MM:g}"]
    return tuple(words)
