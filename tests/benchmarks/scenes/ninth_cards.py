"""References of the ninth rooms: which, where on the wall face, and what the person says about them."""

from __future__ import annotations

import numpy as np

from sample_images.studio.camera import Camera
from sample_images.studio.opening import Opening

from .ninth_plan import NOMINAL_MM, Edge, Reference
from .ninth_prints import CARD_STYLES

STATED_SD_MM = 0.15
OFFSET_SD_MM = 0.5
SHEET_STYLES = ("blank", "blank", "letter", "list", "form", "plan", "notice")


def draw_references(rng: np.random.Generator, layout: str, opening: Opening, edge: Edge, kind: str) -> tuple[Reference, ...]:
    if layout == "sheet":
        paper = str(rng.choice(["a4", "letter"]))
        return (_sheet(rng, paper, opening, edge, (str(rng.choice(["left", "right"])), "middle")),)
    rising = bool(rng.random() < 0.5)
    corners = [("left", "low"), ("right", "high")] if rising else [("left", "high"), ("right", "low")]
    if layout == "letters":
        paper = str(rng.choice(["a4", "letter"]))
        return tuple(_sheet(rng, paper, opening, edge, place) for place in corners)
    if layout == "four":
        corners = [("left", "low"), ("left", "high"), ("right", "high"), ("right", "low")]
    styles = rng.permutation(CARD_STYLES)
    same = str(rng.choice(CARD_STYLES)) if rng.random() < 0.25 else ""
    base = np.array(NOMINAL_MM["id-1"]) + np.clip(rng.normal(0, 0.04, 2), -0.08, 0.08)
    upright = rng.random() < 0.25
    found: list[Reference] = []
    for place, style in zip(corners, styles, strict=False):
        size = base + np.clip(rng.normal(0, 0.01, 2), -0.02, 0.02)
        standing = bool(upright and rng.random() < 0.7)
        found.append(_card(rng, size[::-1] if standing else size, opening, edge, (*place, same or str(style))))
    return tuple(found)


def _card(rng: np.random.Generator, size: np.ndarray, opening: Opening, edge: Edge, place: tuple[str, str, str]) -> Reference:
    side, level, style = place
    thick = float(rng.choice([0.76, 0.76, 0.8, 0.72, 0.45, 0.35, 1.1, 1.4]))
    gap = float(rng.uniform(0, 1.0)) if rng.random() < 0.75 else 0.02
    centre = _place(rng, (float(size[0]), float(size[1])), opening, edge, (side, level))
    return Reference(
        kind="id-1",
        size_mm=(round(float(size[0]), 4), round(float(size[1]), 4)),
        centre_mm=centre,
        turn_deg=round(float(np.clip(rng.normal(0, 2.2), -6, 6)), 3),
        thickness_mm=thick,
        gap_mm=round(max(gap, 0.02), 3),
        style=style,
        radius_mm=3.18,
        seed=int(rng.integers(1 << 30)),
    )


def _sheet(rng: np.random.Generator, paper: str, opening: Opening, edge: Edge, place: tuple[str, str]) -> Reference:
    most = 1.6 if paper == "letter" else 2.0
    size = np.array(NOMINAL_MM[paper]) + np.clip(rng.normal(0, 0.5, 2), -most, most)
    centre = _place(rng, (float(size[0]), float(size[1])), opening, edge, place)
    wave = float(rng.uniform(0.1, 0.8)) if rng.random() < 0.45 else 0.0
    return Reference(
        kind=paper,
        size_mm=(round(float(size[0]), 4), round(float(size[1]), 4)),
        centre_mm=centre,
        turn_deg=round(float(np.clip(rng.normal(0, 1.0), -3, 3)), 3),
        thickness_mm=0.1,
        gap_mm=round(float(rng.uniform(0.02, 0.7 if wave else 0.9)), 3),
        style=str(rng.choice(SHEET_STYLES)),
        wave=(round(wave, 3), float(rng.uniform(-0.8, 0.8)), float(rng.uniform(-0.8, 0.8)), float(rng.uniform(0, 6.3))),
        tape=str(rng.choice(["corners", "sides", "clear", "top"])),
        seed=int(rng.integers(1 << 30)),
    )


def _place(
    rng: np.random.Generator, size: tuple[float, float], opening: Opening, edge: Edge, place: tuple[str, str]
) -> tuple[float, float]:
    """Beside the opening, a finger's or a hand's width off, low, high or half-way up."""
    side, level = place
    off = edge.clear_of + float(rng.uniform(18, 95)) + size[0] / 2 + 6
    heights = opening.corners[:, 1]
    low, high = float(heights.min()), float(heights.max())
    span = high - low
    inward = min(float(rng.uniform(10, 190)), 0.3 * span)
    half = size[1] / 2
    y = {
        "middle": low + span * float(rng.uniform(0.3, 0.7)),
        "low": low + half + inward,
        "high": high - half - inward,
    }[level]
    if 2 * half + 40 > span:
        y = (low + high) / 2 + (0.2 * span if level == "high" else -0.2 * span if level == "low" else 0.0)
    wall = opening.left if side == "left" else opening.right
    edge_x = float(wall(np.array(y)))
    return round(edge_x - off if side == "left" else edge_x + off, 3), round(y, 3)


def numbered(references: tuple[Reference, ...], camera: Camera) -> list[Reference]:
    """From left to right in the picture, by the middle."""
    return sorted(references, key=lambda r: tuple(camera.project(r.corners()).mean(axis=0)))


def stated_options(rng: np.random.Generator, layout: str, references: tuple[Reference, ...], camera: Camera) -> list[str]:
    """What the person says: an offset with a common error of half a millimetre, and for sheets both lengths as measured."""
    mean = float(np.mean([r.mean_height for r in references]))
    stated = -1.0
    while not 0.05 <= stated <= 3.0:
        stated = mean + float(rng.normal(0, OFFSET_SD_MM))
    offset = f"@{-round(stated, 1):g}+-{OFFSET_SD_MM:g}"
    if layout in ("opposite", "four"):
        return ["--card", "id-1" + offset]
    found: list[str] = []
    for number, sheet in enumerate(numbered(references, camera), 1):
        w, h = (round(float(side + rng.normal(0, STATED_SD_MM)), 1) for side in sheet.size_mm)
        mark = f"#{number}" if layout == "letters" else ""
        found += ["--card", f"{sheet.kind}{mark}{offset}={w:g}x{h:g}mm+-{STATED_SD_MM:g}"]
    return found
