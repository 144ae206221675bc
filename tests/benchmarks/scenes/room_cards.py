"""Reference cards as they come out of a wallet or a printer: a thin body with worn edges, a look, a place beside the opening."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np
from studio import prints
from studio.opening import Opening
from studio.shapes import Builder, placed, rounded_rectangle
from studio.sizes import true_size
from studio.surfaces import Surface, lacquer, plain, printed
from studio.things import CORNER_RADIUS_MM, Card

RGB = tuple[float, float, float]
Place = tuple[str, str]  # (left or right, bottom, top or middle)

THICKNESS_MM = {"id-1": (0.72, 0.80), "letter": (0.09, 0.12), "a4": (0.09, 0.12)}  # ISO/IEC 7810: 0.76 +- 0.08; 75-100 g paper
WEAR_MM = (0.1, 0.2)  # radius of a bank card's cut edges, common practice, no source
GAP_SD_MM = 0.5  # of putty, tape behind the card or a wall that is not quite flat: the sd that the options state
STATED_OFFSET = {"id-1": "@-0.76+-0.5", "letter": "@-0.1+-0.5", "a4": "@-0.1+-0.5"}
RULER_SD_MM = 0.15
FROM_ARRIS_MM = (20.0, 150.0)
ARC_STEPS = 4


@dataclass(frozen=True)
class WornCard(Card):
    """A card of its own thickness whose cut edges are rounded; its size is that of its widest section."""

    thickness_mm: float = 0.76
    wear_mm: float = 0.0
    side: Surface | None = None

    @property
    def front_z_mm(self) -> float:
        return self.back_z_mm + self.thickness_mm


def hang_worn_card(build: Builder, card: WornCard) -> None:
    """Front face, rounded upper and lower edge, side; its back touches the wall or stands a gap away from it."""
    place = placed(*card.centre_mm, card.back_z_mm, card.turn_deg)
    r, t = card.wear_mm, card.thickness_mm
    angles = np.radians(np.linspace(0, 90, ARC_STEPS + 1)) if r else np.zeros(1)
    upper = [(r - r * np.cos(a), t - r + r * np.sin(a)) for a in angles]
    lower = [(inset, t - z) for inset, z in reversed(upper)]
    side = card.side or card.surface
    for below, above in itertools.pairwise(lower):
        _belt(build, card, place, (below, above), side)
    _belt(build, card, place, (lower[-1], upper[0]), side)
    for below, above in itertools.pairwise(upper):
        _belt(build, card, place, (below, above), card.surface)
    face = _ring(card, *upper[-1])
    fan = np.stack([np.zeros(len(face) - 2), np.arange(1, len(face) - 1), np.arange(2, len(face))], 1)
    build.mesh(_moved(place, face), fan, _pattern(card, face), card.surface)
    if card.tape:
        _tape(build, card)


def _ring(card: Card, inset: float, z: float) -> np.ndarray:
    width, height = (side - 2 * inset for side in card.size_mm)
    radius = CORNER_RADIUS_MM[card.kind]
    flat = rounded_rectangle(width, height, max(radius - inset, 0.0) if radius else 0.0)
    return np.column_stack([flat, np.full(len(flat), z)])


def _belt(build: Builder, card: Card, place: np.ndarray, levels: tuple, surface: Surface) -> None:
    lower, upper = (np.vstack([ring, ring[:1]]) for ring in (_ring(card, *level) for level in levels))
    build.strip(_moved(place, upper), _moved(place, lower), _pattern(card, upper), _pattern(card, lower), surface)


def _pattern(card: Card, ring: np.ndarray) -> np.ndarray:
    return (ring[:, :2] / card.size_mm + 0.5) * card.surface.repeat_mm


def _moved(place: np.ndarray, points: np.ndarray) -> np.ndarray:
    return points @ place[:3, :3].T + place[:3, 3]


def _tape(build: Builder, card: WornCard) -> None:
    """Three strips of tape across the sheet's upper and lower edge."""
    assert card.tape is not None
    width, height = card.size_mm
    strip = rounded_rectangle(19.0, 46.0, 0.0)
    for across, up in ((-0.33, 0.5), (0.33, 0.5), (0.0, -0.5)):
        at = placed(*card.centre_mm, 0, card.turn_deg) @ [across * width, up * height, 0, 1]
        build.slab(strip, 0.08, placed(at[0], at[1], card.front_z_mm, card.turn_deg + 8 * across), card.tape)


def _shaded(ground: RGB, other: RGB) -> np.ndarray:
    """One colour runs into another, out to the rim, with a chip."""
    y, x = np.mgrid[0:270, 0:428] / 270.0
    share = np.clip(0.5 * x + 0.3 * y, 0, 1)[..., None]
    picture = np.array(ground) * (1 - share) + np.array(other) * share
    picture[105:160, 50:120] = (0.62, 0.5, 0.25)
    picture[108:157, 80:83] = picture[131:134, 50:120] = (0.3, 0.24, 0.12)
    return picture


def _magnetic(ground: RGB, line: RGB) -> np.ndarray:
    """The back of a card: a dark band from side to side and a light field."""
    picture = np.tile(np.array(ground), (270, 428, 1))
    picture[24:80] = (0.02, 0.02, 0.02)
    picture[110:145, 20:250] = (0.75, 0.75, 0.72)
    picture[180:186, 20:300] = picture[200:206, 20:260] = line
    return picture


def _blocks(ground: RGB, line: RGB) -> np.ndarray:
    """Slanting blocks of colour that run off the card."""
    y, x = np.mgrid[0:270, 0:428] / 270.0
    picture = np.tile(np.array(ground), (270, 428, 1))
    picture[x - 0.6 * y > 0.85] = line
    picture[(x - 0.6 * y > 0.55) & (x - 0.6 * y < 0.62)] = line
    return picture


def _typed(rng: np.random.Generator) -> Surface:
    """A sheet with lines of grey type, wide margins."""
    picture = np.full((396, 306, 3), 0.83)
    for row in range(40, 350, 9):
        picture[row : row + 3, 40 : int(rng.uniform(120, 266))] = 0.35
    return Surface(
        {"type": "diffuse", "reflectance": printed(picture).bsdf["diffuse_reflectance"]},
    )


def _colour(rng: np.random.Generator) -> RGB:
    value = np.exp(rng.uniform(np.log(0.08), np.log(0.6)))
    return tuple(float(c) for c in np.clip(value * np.exp(rng.normal(0, 0.6, 3)), 0.02, 0.82))  # type: ignore[return-value]


def _light(rng: np.random.Generator) -> RGB:
    return tuple(float(c) for c in rng.uniform(0.72, 0.82) * (1 - np.abs(rng.normal(0, 0.04, 3))))  # type: ignore[return-value]


def _dark(rng: np.random.Generator) -> RGB:
    return tuple(float(c) for c in rng.uniform(0.025, 0.1) * np.exp(rng.normal(0, 0.2, 3)))  # type: ignore[return-value]


def bank_look(rng: np.random.Generator) -> tuple[str, Surface, Surface]:
    """Words for it, front and cut edge."""
    gloss = float(rng.uniform(0.1, 0.35))
    core = lacquer(_light(rng), 0.4)
    plain_looks = {"white": _light, "dark": _dark, "coloured": _colour}
    patterns = (prints.stripe, prints.waves, prints.rings, _shaded, _magnetic, _blocks)
    kind = str(rng.choice(["white", "white", "dark", "coloured", "printed", "printed", "printed"]))
    if kind in plain_looks:
        front = lacquer(plain_looks[kind](rng), gloss)
        return kind, front, front
    pattern = patterns[rng.integers(len(patterns))]
    ground = (_light, _dark, _colour)[rng.integers(3)](rng)
    front = printed(pattern(ground, _colour(rng)))
    return f"printed ({pattern.__name__.strip('_')})", front, core if rng.random() < 0.6 else lacquer(ground, 0.4)


def gap(rng: np.random.Generator) -> float:
    """Between wall and back: what a normal offset leaves outside the wall."""
    return float(max(0.0, rng.normal(0.1, GAP_SD_MM)))


def bank_cards(rng: np.random.Generator, opening: Opening, places: tuple[Place, ...]) -> tuple[tuple[WornCard, ...], str]:
    """One pack or one of each, at places beside the opening; words for their looks."""
    pack = bool(rng.random() < 0.4)
    size, looks = true_size("id-1", rng), [bank_look(rng) for _ in places]
    looks = [looks[0]] * len(places) if pack else looks
    cards = []
    for place, (_, front, side) in zip(places, looks, strict=True):
        own = size if pack else true_size("id-1", rng)
        details = {"thickness_mm": _thickness("id-1", rng), "wear_mm": float(rng.uniform(*WEAR_MM)), "side": side}
        cards.append(_hung("id-1", own, place, opening, rng, front, **details))
    return tuple(cards), "one pack: " + looks[0][0] if pack else ", ".join(look[0] for look in looks)


def sheets(rng: np.random.Generator, opening: Opening, kinds: tuple[str, ...], places: tuple[Place, ...]) -> tuple[WornCard, ...]:
    """Measured sheets, taped or stuck on with putty."""
    tape = plain(_colour(rng) if rng.random() < 0.5 else (0.62, 0.5, 0.22)) if rng.random() < 0.6 else None
    found = []
    for kind, place in zip(kinds, places, strict=True):
        front = (
            _typed(rng) if rng.random() < 0.2 else plain(tuple(rng.uniform(0.79, 0.85) * (1 - np.abs(rng.normal(0, 0.01, 3)))))
        )
        size = true_size(kind, rng)
        found.append(_hung(kind, size, place, opening, rng, front, thickness_mm=_thickness(kind, rng), tape=tape))
    return tuple(found)


def options(cards: tuple[WornCard, ...], rng: np.random.Generator) -> tuple[str, ...]:
    """--card options: offsets for bank cards, offsets and measured lengths for sheets, numbered left to right."""
    if all(card.kind == "id-1" for card in cards):
        return ("--card", "id-1" + STATED_OFFSET["id-1"])
    words: list[str] = []
    for number, card in enumerate(sorted(cards, key=lambda c: c.centre_mm[0]), 1):
        w, h = (side + rng.normal(0, RULER_SD_MM) for side in card.size_mm)
        which = f"{card.kind}#{number}" if len(cards) > 1 else card.kind
        words += ["--card", f"{which}{STATED_OFFSET[card.kind]}={w:.2f}x{h:.2f}mm+-{RULER_SD_MM:g}"]
    return tuple(words)


def _thickness(kind: str, rng: np.random.Generator) -> float:
    return float(rng.uniform(*THICKNESS_MM[kind]))


def _hung(kind: str, size: tuple, place: Place, opening: Opening, rng: np.random.Generator, front: Surface, **more) -> WornCard:
    """Near the place's corner, a little askew, its nearer side 20 to 150 mm from the arris."""
    side, level = place
    half, near = np.array(size) / 2, rng.uniform(*FROM_ARRIS_MM)
    low, high = opening.corners[:, 1].max() - opening.height_mm, opening.height_mm
    into = half[1] + rng.uniform(20.0, 300.0)
    y = {"bottom": low + into, "top": high - into, "middle": rng.uniform(0.3, 0.7) * high}[level]
    turn = float(np.clip(rng.normal(0, 1.2), -4, 4))
    reach = half[0] * np.cos(np.radians(turn)) + half[1] * abs(np.sin(np.radians(turn)))
    edge = float((opening.left if side == "left" else opening.right)(np.array(y)))
    x = edge - near - reach if side == "left" else edge + near + reach
    return WornCard(kind, size, (float(x), float(y)), front, turn_deg=turn, back_z_mm=gap(rng), **more)
