"""Reference cards of the fourth family as bodies: where they hang, what holds them, how they enter the truth."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from .fourth_base import Array, Builder, Rng, Surface, chance, lacquer, one_of, placed, plain, rounded_rectangle
from .fourth_finishes import tint

THICKNESS_MM = {"id-1": 0.76, "a4": 0.1, "letter": 0.1, "quarter": 0.1}
CORNER_MM = {"id-1": 3.18}


@dataclass(frozen=True)
class Strip:
    """A piece of tape over a card's rim: across and up from the centre in half sides, turned on its own."""

    across: float
    up: float
    turn_deg: float
    size_mm: tuple[float, float]
    surface: Surface


@dataclass(frozen=True)
class Hung:
    """A card on the wall; for our own print size_mm is the printed frame and paper the cut sheet about it."""

    kind: str
    size_mm: tuple[float, float]  # as it hangs: horizontal side, vertical side
    centre_mm: tuple[float, float]
    front_z_mm: float
    picture: Surface
    look: str
    turn_deg: float = 0.0
    quarter_turns: int = 0  # the picture turned on the card
    tape: tuple[Strip, ...] = ()
    paper: Array | None = None  # (4, 2) corners of the sheet about the frame's centre, anticlockwise from the lower left
    side: Surface = field(default_factory=lambda: plain((0.7, 0.7, 0.68)))

    def outline(self) -> Array:
        """World corners (4, 3) of what is measured: bottom-left, bottom-right, top-right, top-left, as if sharp."""
        place = placed(*self.centre_mm, self.front_z_mm, self.turn_deg)
        flat = np.column_stack([rounded_rectangle(*self.size_mm, 0.0), np.zeros(4)])
        return np.asarray(flat @ place[:3, :3].T + place[:3, 3])

    def reach(self) -> Array:
        """World corners (n, 3) of the whole body."""
        place = placed(*self.centre_mm, self.front_z_mm, self.turn_deg)
        flat = self.paper if self.paper is not None else rounded_rectangle(*self.size_mm, 0.0)
        return np.asarray(np.column_stack([flat, np.zeros(len(flat))]) @ place[:3, :3].T + place[:3, 3])


def hang(build: Builder, card: Hung) -> None:
    thick = THICKNESS_MM[card.kind]
    flat = card.paper if card.paper is not None else rounded_rectangle(*card.size_mm, CORNER_MM.get(card.kind, 0.0))
    place = placed(*card.centre_mm, card.front_z_mm, card.turn_deg)
    n = len(flat)
    front = np.column_stack([flat, np.zeros(n)]) @ place[:3, :3].T + place[:3, 3]
    back = front - [0, 0, thick]
    fan = np.stack([np.zeros(n - 2), np.arange(1, n - 1), np.arange(2, n)], 1)
    build.mesh(front, fan, _on_picture(card, flat), card.picture)
    i, j = np.arange(n), (np.arange(n) + 1) % n
    rim = np.concatenate([np.stack([i + n, j + n, i], 1), np.stack([i, j + n, j], 1)])
    build.mesh(np.concatenate([front, back]), rim, np.zeros((2 * n, 2)), card.side)
    build.mesh(back, fan[:, ::-1], np.zeros((n, 2)), card.side)
    for piece in card.tape:
        at = place[:3, :3] @ [piece.across * card.size_mm[0] / 2, piece.up * card.size_mm[1] / 2, 0]
        where = placed(card.centre_mm[0] + at[0], card.centre_mm[1] + at[1], card.front_z_mm, card.turn_deg + piece.turn_deg)
        build.slab(rounded_rectangle(*piece.size_mm, 0.0), 0.06, where, piece.surface)


def _on_picture(card: Hung, flat: Array) -> Array:
    """Pattern coordinates in millimetres: the picture's repeat is the card as it was printed."""
    if card.paper is not None:
        return np.asarray(flat + np.array(card.picture.repeat_mm) / 2)
    share = flat / np.array(card.size_mm)
    turned = {0: share, 1: np.column_stack([share[:, 1], -share[:, 0]])}[card.quarter_turns % 2]
    return np.asarray((turned + 0.5) * np.array(card.picture.repeat_mm))


def tape_for(rng: Rng, kind: str) -> tuple[Strip, ...]:
    """How people fix a card: strips over the corners, one over the upper rim, strips at both sides, or nothing seen."""
    skin = one_of(
        rng, plain((0.62, 0.52, 0.3)), plain(tint(rng, "blue")), lacquer((0.72, 0.72, 0.7), 0.15), plain((0.05, 0.05, 0.05))
    )
    if kind == "id-1":
        if chance(rng, 0.65):
            return ()
        width = float(rng.uniform(9, 14))
        return (Strip(float(rng.uniform(-0.4, 0.4)), 1.0, float(rng.normal(0, 4)), (width, 22.0), skin),)
    if kind == "quarter":
        size = (float(rng.uniform(10, 15)), 14.0)
        return tuple(Strip(float(rng.uniform(-0.4, 0.4)), up * 1.2, float(rng.normal(0, 5)), size, skin) for up in (1, -1))
    way = one_of(rng, "corners", "corners", "top", "sides", "putty")
    width, long = float(one_of(rng, 15, 19, 25, 38)), float(rng.uniform(45, 80))
    if way == "corners":
        below = (-1, 1) if chance(rng, 0.7) else (1,)
        return tuple(
            Strip(0.96 * across, 0.96 * up, 45.0 * across * up + float(rng.normal(0, 8)), (width, long), skin)
            for across in (-1, 1)
            for up in below
        )
    if way == "top":
        return tuple(Strip(across, 1.0, float(rng.normal(0, 5)), (width, long), skin) for across in (-0.6, 0.6))
    if way == "sides":
        return tuple(Strip(a, float(rng.uniform(-0.5, 0.5)), 90 + float(rng.normal(0, 5)), (width, long), skin) for a in (-1, 1))
    return ()
