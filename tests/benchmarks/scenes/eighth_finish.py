"""Which finishes go together in an eighth room."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from tests.benchmarks.scenes.eighth_looks import (
    RGB,
    Look,
    Surface,
    coated,
    plain_matt,
    plaster,
    shiny,
    stone,
    tiles,
    timber,
    wallpaper,
)
from tests.benchmarks.scenes.eighth_walls import House, build_house

build = build_house
METALS: tuple[tuple[RGB, float], ...] = (
    ((0.78, 0.78, 0.79), 0.12),
    ((0.62, 0.62, 0.63), 0.3),
    ((0.75, 0.6, 0.32), 0.2),
    ((0.08, 0.08, 0.085), 0.35),
)
FLOORS: tuple[RGB, ...] = ((0.3, 0.28, 0.26), (0.5, 0.48, 0.45), (0.18, 0.18, 0.19), (0.6, 0.57, 0.52))


def finish(house: House, rng: np.random.Generator) -> tuple[House, list[Look], str]:
    """The house with all its finishes, those the references hang on, and words about them."""
    wet = house.kind in ("shower", "tub")
    face = _face(house.kind, rng)
    lower = _lower(house, face, rng)
    bands: tuple[tuple[float, str], ...] = ()
    if lower is not None:
        top = house.floor_y + float(rng.uniform(900, 1350))
        bands = ((top, "lower"), (top + float(rng.uniform(12, 30)), "border"))
    inside = _inside(house.kind, face, rng)
    trim = _trim(house, rng)
    sill = _sill(house.kind, rng)
    walls = plaster(rng)
    looks: dict[str, Surface] = {
        "face": face.surface,
        "lower": (lower or face).surface,
        "border": coated((0.7, 0.69, 0.66), 0.2) if rng.random() < 0.5 else timber(rng).surface,
        "reveal": trim if "grout" not in house.profile.parts and house.profile.parts[0] == "trim" else inside.surface,
        "corner": inside.surface if rng.random() < 0.5 else face.surface,
        "trim": trim,
        "grout": plain_matt((0.5, 0.49, 0.47) if rng.random() < 0.7 else (0.2, 0.2, 0.2)),
        "sill": sill.surface,
        "alcove": inside.surface,
        "back": _back(house.kind, inside, rng),
        "tray": tiles(rng, (98, 98), FLOORS[rng.integers(4)]).surface if wet else timber(rng, None, 130, False).surface,
        "floor": _floor(rng),
        "ceiling": plain_matt((0.8, 0.8, 0.78)),
        "walls": walls.surface,
    }
    if face.name.startswith("plaster") and lower is None:
        looks["skirting"] = coated((0.74, 0.73, 0.7), 0.25)
    words = (
        f"face {face.name}{f' over {lower.name}' if lower else ''}; reveal {inside.name}; {house.profile.words}; sill {sill.name}"
    )
    return replace(house, bands=bands, looks=looks), [face, *([lower] if lower else [])], words


def _face(kind: str, rng: np.random.Generator) -> Look:
    names = {
        "shower": ("tiles", "tiles", "plaster", "plaster"),
        "tub": ("tiles", "tiles", "plaster"),
        "doorway": ("plaster", "plaster", "wallpaper", "boards", "tiles"),
        "window": ("plaster", "wallpaper", "tiles", "boards"),
        "mirror": ("tiles", "plaster", "wallpaper"),
        "recess": ("tiles", "plaster", "plaster"),
    }[kind]
    return _made(str(rng.choice(names)), rng)


def _made(name: str, rng: np.random.Generator) -> Look:
    if name == "boards":
        return timber(rng, None, float(rng.uniform(70, 130)), None)
    return {"tiles": tiles, "plaster": plaster, "wallpaper": wallpaper}[name](rng)


def _lower(house: House, face: Look, rng: np.random.Generator) -> Look | None:
    """A dado of tiles or boards under plaster or wallpaper, in some rooms."""
    if face.name.startswith(("tiles", "stained", "painted")) or rng.random() > 0.4:
        return None
    return _made("tiles" if house.kind in ("shower", "tub") or rng.random() < 0.6 else "boards", rng)


def _inside(kind: str, face: Look, rng: np.random.Generator) -> Look:
    if face.name.startswith("tiles") and rng.random() < (0.4 if kind in ("shower", "tub") else 0.6):
        return face
    if kind in ("shower", "tub"):
        return tiles(rng) if rng.random() < 0.85 else stone(rng)
    return plaster(rng)


def _trim(house: House, rng: np.random.Generator) -> Surface:
    if "wooden" in house.profile.words:
        return timber(rng).surface
    rgb, alpha = METALS[rng.integers(len(METALS))]
    return shiny(rgb, alpha) if rgb[0] > 0.1 else coated(rgb, alpha)


def _sill(kind: str, rng: np.random.Generator) -> Look:
    if kind == "tub":
        return Look(coated((0.78, 0.78, 0.77), 0.06), "enamel", (0.78, 0.78, 0.77))
    if kind == "shower" and rng.random() < 0.4:
        return tiles(rng)
    if kind in ("doorway", "window") and rng.random() < 0.5:
        wood = timber(rng)
        return Look(replace(wood.surface, shift_mm=(0.0, 0.0)), wood.name, wood.rgb)
    return stone(rng)


def _back(kind: str, inside: Look, rng: np.random.Generator) -> Surface:
    if kind == "mirror":
        return shiny((0.9, 0.91, 0.91), 0.0)
    if kind == "doorway":
        return (plaster(rng) if rng.random() < 0.6 else wallpaper(rng)).surface
    if kind == "recess":
        return (inside if rng.random() < 0.5 else _made(str(rng.choice(["tiles", "boards", "plaster"])), rng)).surface
    return inside.surface if rng.random() < 0.7 else tiles(rng).surface


def _floor(rng: np.random.Generator) -> Surface:
    if rng.random() < 0.35:
        return timber(rng, None, float(rng.uniform(90, 190)), False).surface
    size = ((298.0, 298.0), (598.0, 598.0), (448.0, 448.0), (198.0, 198.0))[rng.integers(4)]
    return tiles(rng, size, FLOORS[rng.integers(4)]).surface
