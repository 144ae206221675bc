"""Where the references hang, how they are stated on the command line, and the plumb line."""

from __future__ import annotations

import numpy as np

from .eleventh_grain import Surface
from .eleventh_refs import THICKNESS_MM, Reference, card_face, sheet_face, strips_for
from .eleventh_walls import Place

from studio.camera import Camera  # isort: skip
from studio.sizes import measured, true_size  # isort: skip
from studio.surfaces import lacquer, plain  # isort: skip
from studio.things import PlumbLine  # isort: skip

CORNERS = {"bl": (-1, 0), "br": (1, 0), "tr": (1, 1), "tl": (-1, 1)}
"""side of the opening, and 1 for up"""


def places_of(rng: np.random.Generator, layout: str) -> list[tuple[int, float]]:
    """(side, share of the height) of every card of this layout."""
    if layout == "sheet":
        return [(int(rng.choice([-1, 1])), float(rng.uniform(0.25, 0.8)))]
    names = ["bl", "br", "tr", "tl"] if layout == "four" else [["bl", "tr"], ["br", "tl"]][int(rng.integers(2))]
    return [(CORNERS[n][0], float(rng.uniform(0.80, 0.97) if CORNERS[n][1] else rng.uniform(0.03, 0.2))) for n in names]


TAPES = ((0.62, 0.5, 0.22), (0.1, 0.25, 0.55), (0.75, 0.75, 0.72), (0.05, 0.05, 0.05), (0.6, 0.1, 0.1), (0.45, 0.47, 0.5))


def hang_all(rng: np.random.Generator, place: Place, layout: str) -> tuple[list[Reference], str]:
    """The references of a layout on this wall, and what they are."""
    kind = "id-1" if layout in ("opposite", "four") else str(rng.choice(["a4", "letter"]))
    alike = card_face(rng, False) if rng.random() < 0.25 else None
    hung = [_one(rng, place, spot, kind, alike=alike) for spot in places_of(rng, layout)]
    words = [what for _, what in hung if what]
    return [card for card, _ in hung], f"{len(hung)} {kind}{' (' + ', '.join(words) + ')' if words else ''}"


def _one(
    rng: np.random.Generator, place: Place, spot: tuple[int, float], kind: str, *, alike: Surface | None
) -> tuple[Reference, str]:
    """One card at its spot; several may be of one make."""
    size = true_size(kind, rng)
    on_casing = kind == "id-1" and place.edge.kind == "casing" and place.edge.width_mm > 66 and rng.random() < 0.7
    upright = bool(on_casing or rng.random() < (0.35 if kind == "id-1" else 0.78))
    if (kind == "id-1") == upright:
        size = (size[1], size[0])
    if kind == "id-1":
        face, what = (alike if alike and not upright else card_face(rng, upright)), ""
    else:
        face, what = sheet_face(rng, kind, not upright)
    gap, clear = _gap(rng, kind), bool(rng.random() < 0.4)
    curl = str(rng.choice(["flat", "belly", "lip", "ear", "roll"])) if kind != "id-1" else "flat"
    card = Reference(
        kind,
        size,
        _centre(rng, place, spot, size, on_casing=on_casing),
        (0.0 if on_casing else place.wall_z) + gap,
        face,
        float(np.clip(rng.normal(0, 1.6), -5, 5)),
        curl,
        float(rng.uniform(0.1, 1.0)) if curl != "flat" else 0.0,
        strips_for(rng, kind, size) if kind != "id-1" or gap < 0.3 else (),
        plain((0.7, 0.7, 0.68)) if clear else lacquer(TAPES[int(rng.integers(len(TAPES)))], 0.4),
        clear,
    )
    return card, what


def _gap(rng: np.random.Generator, kind: str) -> float:
    """What is between the wall and a card's back: nothing to speak of, rolled tape or putty."""
    if kind == "id-1":
        return float(rng.uniform(0.02, 0.2) if rng.random() < 0.5 else rng.uniform(0.4, 2.2))
    return float(rng.uniform(0.02, 0.3))


def _centre(
    rng: np.random.Generator, place: Place, spot: tuple[int, float], size: tuple[float, float], *, on_casing: bool
) -> tuple[float, float]:
    """The middle of a card beside the opening, clear of its edge, the skirting and the ceiling."""
    small = max(size) < 100
    (side, share), t, opening = spot, place.edge.width_mm, place.opening
    half_x, half_y = size[0] / 2 + 4, size[1] / 2 + 6
    y = share * opening.height_mm
    y = float(np.clip(y, place.floor_y + 110 + half_y, place.ceiling_y - 60 - half_y))
    out = t / 2 if on_casing else t + half_x + float(np.clip(rng.gamma(2.0, 22), 15 if small else 34, 110))
    wall = opening.left if side < 0 else opening.right
    over = _over_or_under(rng, place, spot, half_y) if half_y < 60 and not on_casing else None
    if over is not None:
        return float(wall(np.array(over))) - side * (half_x + float(rng.uniform(-30, 90))), over
    edge = float(wall(np.array(min(max(y, 0.0), opening.height_mm))))
    return edge + side * out, y


def _over_or_under(rng: np.random.Generator, place: Place, spot: tuple[int, float], half_y: float) -> float | None:
    """Height of a small card that hangs over the head, or under the foot of a tub, window or niche; None for beside."""
    opening, t = place.opening, place.edge.width_mm
    away = t + half_y + float(rng.uniform(8, 70))
    wants = rng.random() < 0.22
    if wants and spot[1] > 0.5 and opening.head:
        y = float(opening.corners[2:, 1].max()) + away
        return y if y + half_y < place.ceiling_y - 40 else None
    if wants and spot[1] < 0.5 and place.what in ("tub", "window", "niche"):
        return float(opening.corners[:2, 1].min()) - away
    return None


def options_for(
    rng: np.random.Generator, cards: list[Reference], camera: Camera, place: Place
) -> tuple[list[Reference], list[str]]:
    """The cards as the program numbers them, and how each is stated."""
    ordered = sorted(cards, key=lambda card: tuple(camera.project(card.corners()).mean(axis=0)))
    rule = bool(len(cards) > 1 or rng.random() < 0.5)
    words: list[str] = []
    for number, card in enumerate(ordered, 1):
        sd = 0.3 if card.kind == "id-1" and not place.edge.proud_mm else 0.5
        offset = card.offset_mm + float(np.clip(rng.normal(0, 0.8 * sd), -1.8 * sd, 1.8 * sd))
        which = f"#{number}" if len(cards) > 1 else ""
        length = ""
        if card.kind != "id-1":
            across = tuple(sorted(card.size_mm))
            said, _ = measured(card.kind, across, rng, sd_mm=0.1 if rule else 0.2, stated_mm=0.15 if rule else 0.3)
            length = said[len(card.kind) :]
        words += ["--card", f"{card.kind}{which}@{round(offset, 1) + 0.0:g}+-{sd:g}{length}"]
    return ordered, words


def draw_plumb(rng: np.random.Generator, place: Place, cards: list[Reference]) -> PlumbLine | None:
    """A plumb line from a nail over the opening, or beside it where it has no head; clear of the cards."""
    opening, t = place.opening, place.edge.width_mm
    colour = ((0.8, 0.8, 0.78), (0.75, 0.25, 0.05), (0.03, 0.03, 0.03), (0.7, 0.75, 0.1))[int(rng.integers(4))]
    thick = float(rng.uniform(1.2, 2.6))
    for _ in range(30):
        inside = opening.head and rng.random() < 0.75
        x = float(rng.uniform(0.12, 0.88)) * opening.width_mm
        if not inside:
            out = t + float(rng.uniform(20, 260))
            x = -out if rng.random() < 0.5 else opening.width_mm + out
        top = float(opening.corners[:, 1].max()) + (t + float(rng.uniform(25, 90)) if opening.head else -40.0)
        bottom = float(rng.uniform(70, 260))
        free = all(abs(x - c.centre_mm[0]) > max(c.size_mm) / 2 + 30 for c in cards)
        within = place.x_range[0] + 30 < x < place.x_range[1] - 30 and top < place.ceiling_y - 20
        if free and within:
            return PlumbLine(x, top, bottom, plain(colour), z_mm=4.0 + THICKNESS_MM["id-1"], thickness_mm=thick)
    return None
