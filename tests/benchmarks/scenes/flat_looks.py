"""How each flat room looks: finishes, light, lines at the edges, cards, clutter; never moves the truth."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tests.benchmarks.scenes.flat_finish import Finish, Patch, card_art, plain
from tests.benchmarks.scenes.flat_paint import Look
from tests.benchmarks.scenes.flat_rooms import Opening

F = NDArray[Any]
RNG = np.random.Generator
PAINTS = [(0.78, 0.77, 0.74), (0.5, 0.47, 0.42), (0.27, 0.33, 0.26), (0.05, 0.07, 0.11), (0.42, 0.22, 0.16), (0.3, 0.42, 0.5)]
GROUTS = [(0.6, 0.6, 0.58), (0.2, 0.2, 0.2), (0.75, 0.74, 0.72)]
TILES = [(300, 600), (600, 300), (150, 75), (100, 300), (200, 200), (600, 1200), (48, 48), (25, 25), (98, 98), (450, 300)]


def _finish(rng: RNG, kinds: tuple[str, ...] = ("paint", "paint", "tile", "tile", "tile", "stone", "stripes", "dots")) -> Finish:
    kind = str(rng.choice(kinds))
    rgb = tuple(float(np.clip(c * rng.uniform(0.9, 1.1), 0.02, 0.85)) for c in PAINTS[int(rng.integers(len(PAINTS)))])
    seed = float(rng.uniform(1, 90))
    if kind == "tile":
        w, h = TILES[int(rng.integers(len(TILES)))]
        small = w < 100
        return Finish(
            kind,
            rgb,
            GROUTS[int(rng.integers(3))],
            (w, h),
            float(rng.uniform(1.5, 3)),
            float(rng.choice([0, 0.5, 1 / 3])),
            0.35 if small and rng.random() < 0.6 else 0.05,
            float(rng.choice([0, 0, 0.4])) if w >= 300 else 0.0,
            seed,
        )
    other = tuple(float(np.clip(c * rng.choice([0.75, 0.88, 1.15]), 0, 0.9)) for c in rgb)
    size = {"stripes": (float(rng.uniform(30, 90)), 1.0), "dots": (55.0, 70.0), "boards": (120.0, 3000.0)}.get(kind, (1.0, 1.0))
    joint = 3.0 if kind == "boards" else 0.0
    return Finish(
        kind, rgb, (0.05, 0.04, 0.03) if kind == "boards" else other, size, joint, 0.0, 0.15, float(rng.uniform(0.3, 0.8)), seed
    )


def _light(rng: RNG) -> Callable[[F, F], F]:
    gx, gy, spot = rng.normal(0, 0.1), rng.normal(0.06, 0.08), rng.uniform(0, 0.25)
    sx, sy, angle = rng.uniform(-400, 1600), rng.uniform(600, 2000), rng.uniform(0, np.pi)
    dark, soft, at = rng.choice([0, 0, 0.2, 0.35]), rng.uniform(30, 200), rng.uniform(200, 1500)

    def light(x: F, y: F) -> F:
        base = 0.9 + gx * (x - 600) / 1500 + gy * (y - 1000) / 1500 + spot * np.exp(-((x - sx) ** 2 + (y - sy) ** 2) / 900**2)
        band = np.cos(angle) * x + np.sin(angle) * y - at
        return np.asarray(np.maximum(base * (1 - dark / (1 + np.exp(np.clip(-band / soft, -40, 40)))), 0.25), np.float32)

    return light


def _not_equal(rng: RNG, low: float, high: float) -> float:
    v = float(rng.uniform(low, high))
    return v if abs(v - 1) > 0.1 else 0.86


def draw_look(rng: RNG, use: str, opening: Opening, cards: list[dict[str, Any]], string: Any, depth: float) -> Look:
    """Draws the look of one room; writes style and contrast of each card into its record."""
    wall = _finish(rng)
    inside = wall if rng.random() < 0.3 else _finish(rng, ("tile", "tile", "stone", "paint"))
    white = Finish("paint", (0.75, 0.75, 0.73)) if use == "tub" else _finish(rng, ("stone", "paint"))
    front = {"tub": white, "window": wall}.get(use, _finish(rng, ("tile", "stone", "paint")))
    faces = {n: _not_equal(rng, 0.55, 1.25) for n in ("left", "right", "sill")} | {"head": float(rng.uniform(0.4, 0.75))}
    faces |= {
        "back": float(rng.uniform(0.6, 0.95)),
        "pan": float(rng.uniform(0.5, 0.8)),
        "front": float(rng.uniform(0.6, 0.8)),
        "floor": 0.7,
    }
    if use == "window":
        faces["front"] = 1.0
    faces["sill"] = max(faces["sill"], faces["front"] * 1.2)
    bright = float(np.mean(wall.rgb))
    patches = [_card_patch(rng, c, bright if c["slot"] != "back" else float(np.mean(inside.rgb))) for c in cards]
    taken = [(c["centre_mm"], max(c["upright_mm"])) for c in cards if c["slot"] != "back"]
    near = [p for p, c in zip(patches, cards, strict=True) if c["slot"] != "back"]
    far = [p for p, c in zip(patches, cards, strict=True) if c["slot"] == "back"]
    curb = {"tub": 480.0, "door": 15.0, "window": 870.0}.get(use, float(rng.uniform(90, 150)))
    trim = float(rng.uniform(6, 11)) if rng.random() < 0.12 else 0.0
    if string is not None:
        wall_in = float(np.mean(inside.rgb)) * faces["back"]
        trim = -1.0 if wall_in < 0.12 else trim
    return Look(
        wall,
        inside,
        _finish(rng, ("tile", "boards", "stone")),
        front,
        white,
        depth,
        curb,
        150.0 if use in ("window",) else 110.0,
        {"tub": 330.0, "window": 0.0}.get(use, curb - 5),
        float(rng.choice([0, 20, 30])) if use == "shower" else 0.0,
        faces,
        _light(rng),
        (float(rng.uniform(0.5, 1.8)), float(rng.choice([1, 1, 0.65, 1.35]))),
        (float(rng.uniform(3, 8)), float(rng.choice([1, 1, 0.7, 1.2]))),
        trim,
        (0.62, 0.62, 0.63) if rng.random() < 0.5 else (0.06, 0.05, 0.05),
        1.1 if use == "window" else 0.0,
        near + _clutter(rng, opening, taken),
        far + (_fittings(rng, opening, depth, cards) if use != "window" else []),
        string,
        tuple(float(t) for t in rng.uniform(0.93, 1.04, 3)),
        float(rng.uniform(0.004, 0.012)),
        float(rng.uniform(0.6, 1.2)),
        float(rng.uniform(0.05, 0.3)),
        float(rng.uniform(0.1, 0.6)),
        float(np.clip(rng.uniform(0.32, 0.5) / bright, 0.55, 1.05)),
    )


def _card_patch(rng: RNG, card: dict[str, Any], bright: float) -> Patch:
    for _ in range(30):
        style = str(
            rng.choice(
                ["white", "printed", "picture", "coloured", "dark"] if card["kind"] == "id-1" else ["white", "printed", "picture"]
            )
        )
        art = card_art(rng, style, *card["upright_mm"])
        rim = float(np.mean([art[:3].mean(), art[-3:].mean(), art[:, :3].mean(), art[:, -3:].mean()]))
        if not 0.8 < rim / bright < 1.25:
            break
    card["style"], card["rim_over_wall"] = style, rim / bright
    w, h = card["upright_mm"]
    z = -card["offset_mm"]
    return Patch(
        card["centre_mm"],
        (w / 2, h / 2),
        card["turn_rad"],
        z,
        3.18 if card["kind"] == "id-1" else 0.0,
        art,
        min(abs(z), 12.0) if z > 0 else 0.3,
        float(rng.uniform(0.15, 0.5)),
    )


def _clutter(rng: RNG, opening: Opening, taken: list[Any]) -> list[Patch]:
    kinds = [
        ((80, 80), (0.8, 0.8, 0.78), 8.0, 4.0),
        ((320, 620), (0.5, 0.35, 0.3), 20.0, 10.0),
        ((260, 340), (0.08, 0.08, 0.09), 15.0, 1.0),
        ((60, 60), (0.6, 0.6, 0.62), 20.0, 30.0),
        ((150, 110), (0.72, 0.7, 0.6), 2.0, 1.0),
    ]
    out: list[Patch] = []
    for k in rng.permutation(len(kinds))[: int(rng.integers(0, 4))]:
        (w, h), rgb, proud, radius = kinds[int(k)]
        for _ in range(30):
            x, y = float(rng.uniform(-650, opening.width + 650)), float(rng.uniform(100, opening.height + 250))
            clear = all(np.hypot(x - c[0], y - c[1]) > far / 1.3 + max(w, h) / 1.5 + 20 for c, far in taken)
            if clear and (x < -w / 2 - 40 or x > opening.width + w / 2 + 40 or y > opening.height + h / 2 + 60) and opening.head:
                out.append(Patch((x, y), (w / 2, h / 2), 0.0, proud, radius, plain(rgb), proud, 0.3))
                taken.append(((x, y), max(w, h)))
                break
    return out


def _fittings(rng: RNG, opening: Opening, depth: float, cards: list[dict[str, Any]]) -> list[Patch]:
    if cards[0]["slot"] == "back" or rng.random() < 0.2:
        return []
    x, y = opening.width * float(rng.uniform(0.25, 0.75)), opening.height * 0.5
    steel = plain((0.55, 0.55, 0.57))
    parts = [Patch((x, y + 250), (11, 420), 0.0, -depth + 60, 2.0, steel, 12.0, 0.25, True)]
    parts += [
        Patch((x, y + 640), (95, 22), 0.0, -depth + 150, 20.0, steel, 12.0, 0.25),
        Patch((x, y), (75, 75), 0.0, -depth + 20, 74.0, steel, 8.0, 0.3),
    ]
    if rng.random() < 0.4:
        parts.append(Patch((opening.width * 0.5, y + 60), (150, 300), 0.0, -depth + 1, 2.0, plain((0.12, 0.12, 0.12)), 0.5, 0.1))
    return parts
