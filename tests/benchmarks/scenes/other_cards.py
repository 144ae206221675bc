"""Cards and sheets of the second family: prints of our own, coloured and grey card, curled corners, tape across corners."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import room_cards as hung
from other_finish import hue
from other_materials import RGB, Rng, clipped
from studio.opening import Opening
from studio.shapes import Builder, placed, rounded_rectangle
from studio.sizes import NOMINAL_MM, true_size
from studio.surfaces import Surface, lacquer, plain, printed

FROM_EDGE_MM = (25.0, 190.0)  # from arris or rim
CURL_MM = (1.0, 2.0)
CURL_REACH_MM = 45.0
TAPE_RGB: tuple[RGB, ...] = ((0.66, 0.58, 0.36), (0.1, 0.25, 0.5), (0.74, 0.74, 0.72), (0.35, 0.35, 0.36), (0.6, 0.12, 0.08))


@dataclass(frozen=True)
class Paper(hung.WornCard):
    """A sheet whose corners (bottom-left, bottom-right, top-right, top-left) may lift, with strips of tape over others."""

    lift_mm: tuple[float, float, float, float] = (0.0, 0.0, 0.0, 0.0)
    taped: tuple[int, ...] = ()


def hang(build: Builder, card: hung.WornCard) -> None:
    """A card as the first family hangs it, a paper with its corners."""
    if not isinstance(card, Paper):
        hung.hang_worn_card(build, card)
        return
    place, (w, h) = placed(*card.centre_mm, card.back_z_mm, card.turn_deg), card.size_mm
    u, v = np.linspace(0, 1, 61), np.linspace(0, 1, 81)
    x, y = (np.array(side) * (grid - 0.5) for side, grid in zip((w, h), np.meshgrid(u, v), strict=True))
    z = np.full_like(x, card.thickness_mm)
    for lift, (cx, cy) in zip(card.lift_mm, ((-1, -1), (1, -1), (1, 1), (-1, 1)), strict=True):
        z += lift * np.clip(1 - np.hypot(x - cx * w / 2, y - cy * h / 2) / CURL_REACH_MM, 0, 1) ** 2
    points = np.stack([x, y, z], axis=-1) @ place[:3, :3].T + place[:3, 3]
    uv = np.stack(np.meshgrid(u, v), axis=-1) * card.surface.repeat_mm
    for low, high, a, b in zip(points[:-1], points[1:], uv[:-1], uv[1:], strict=True):
        build.strip(high, low, b, a, card.surface)
    tape = card.tape or plain(TAPE_RGB[0])
    for corner in card.taped:
        cx, cy = ((-1, -1), (1, -1), (1, 1), (-1, 1))[corner]
        at = place @ [cx * (w / 2 - 5), cy * (h / 2 - 5), 0, 1]
        over = placed(at[0], at[1], card.front_z_mm + 0.03, card.turn_deg + 45 * cx * cy * -1 + 4 * cx)
        build.slab(rounded_rectangle(54.0, 18.0, 0.0), 0.08, over, tape)


def _page(rng: Rng, aspect: float, paper: RGB) -> tuple[np.ndarray, str]:
    """A printed page: text, a table, a drawing, a framed notice, or a colour picture with a white margin."""
    wide = 540
    tall = round(wide * aspect)
    page = np.tile(np.array(paper), (tall, wide, 1))
    kind = str(rng.choice(["text", "table", "drawing", "framed notice", "picture"]))
    margin = int(rng.uniform(0.06, 0.12) * wide)
    ink = clipped(np.array((0.03, 0.03, 0.035)) if rng.random() < 0.7 else np.array(hue(rng)) * 0.4)
    box = (slice(margin, tall - margin), slice(margin, wide - margin))
    if kind == "picture":
        page[box] = landscape(rng, tall - 2 * margin, wide - 2 * margin)
        return page, kind
    if kind == "framed notice":
        page[margin // 2 : tall - margin // 2, margin // 2 : wide - margin // 2] = ink
        page[margin // 2 + 5 : tall - margin // 2 - 5, margin // 2 + 5 : wide - margin // 2 - 5] = paper
        _lines(rng, page, (margin + 40, tall - margin - 30), (margin + 30, wide - margin - 30), ink, 44)
        return page, kind
    _lines(rng, page, (margin, margin + 30), (margin, wide - margin), ink, 30)
    if kind == "table":
        for y in np.linspace(margin + 60, tall - margin, int(rng.integers(8, 18))).astype(int):
            page[y - 1 : y + 1, margin : wide - margin] = ink
        for x in np.linspace(margin, wide - margin, int(rng.integers(3, 6))).astype(int):
            page[margin + 60 : tall - margin, x - 1 : x + 1] = ink
    elif kind == "drawing":
        page[margin + 70 : tall - margin, margin : wide - margin] = landscape(rng, tall - 2 * margin - 70, wide - 2 * margin)
    else:
        _lines(rng, page, (margin + 60, tall - margin), (margin, wide - margin), ink, 13)
    return page, kind


def _lines(rng: Rng, page: np.ndarray, rows: tuple[int, int], columns: tuple[int, int], ink: RGB, pitch: int) -> None:
    """Words as little bars of uneven length."""
    for y in range(rows[0], rows[1] - pitch // 2, pitch):
        x, end = columns[0], columns[1] if rng.random() < 0.8 else int(rng.uniform(0.4, 0.9) * columns[1])
        while x < end:
            word = int(rng.uniform(0.6, 3.5) * pitch)
            page[y : y + max(2, pitch * 2 // 5), x : min(x + word, columns[1])] = ink
            x += word + max(3, pitch // 2)


def landscape(rng: Rng, tall: int, wide: int) -> np.ndarray:
    """Hills under a sun, or overlapping discs: nobody's picture."""
    y, x = np.mgrid[0:tall, 0:wide] / max(tall, wide)
    picture = np.tile(np.array(hue(rng)), (tall, wide, 1))
    if rng.random() < 0.5:
        for _ in range(int(rng.integers(4, 9))):
            at = np.hypot(x - rng.uniform(0, x.max()), y - rng.uniform(0, y.max())) < rng.uniform(0.08, 0.3)
            picture[at] = 0.35 * picture[at] + 0.65 * np.array(hue(rng))
        return picture
    picture[np.hypot(x - rng.uniform(0.2, 0.8) * x.max(), y - 0.25 * y.max()) < 0.09] = (0.75, 0.55, 0.2)
    for level in np.sort(rng.uniform(0.35, 0.85, 3)):
        crest = level * y.max() + 0.05 * np.sin(x * rng.uniform(5, 14) + rng.uniform(0, 6))
        picture[y > crest] = hue(rng)
    return picture


def _white(rng: Rng) -> RGB:
    return clipped(rng.uniform(0.76, 0.84) * (1 - np.abs(rng.normal(0, 0.015, 3))))


def sheet_look(rng: Rng, aspect: float) -> tuple[str, Surface]:
    """Printed white, plain white, coloured or grey paper; matt."""
    pick = rng.random()
    if pick < 0.6:
        page, kind = _page(rng, aspect, _white(rng))
        return f"printed ({kind})", Surface({"type": "diffuse", "reflectance": printed(page).bsdf["diffuse_reflectance"]}, (1, 1))
    if pick < 0.75:
        return "white", plain(_white(rng))
    if pick < 0.9:
        return "coloured", plain(hue(rng))
    return "grey", plain(clipped(np.full(3, rng.uniform(0.12, 0.45))))


def bank_look(rng: Rng) -> tuple[str, Surface, Surface]:
    """Words, front and cut edge of a bank-size card."""
    gloss, pick = float(rng.uniform(0.08, 0.35)), rng.random()
    core = lacquer(_white(rng), 0.4)
    if pick < 0.35:
        return "picture", printed(landscape(rng, 270, 428)), core
    if pick < 0.55:
        return "printed", printed(_page(rng, 54 / 85.6, _white(rng))[0]), core
    if pick < 0.7:
        found = lacquer(clipped(np.full(3, rng.uniform(0.1, 0.5))), gloss)
        return "grey", found, found
    found = lacquer(hue(rng) if pick < 0.85 else _white(rng), gloss)
    return ("coloured" if pick < 0.85 else "white"), found, found


def bank_cards(rng: Rng, of: Opening, places: tuple[hung.Place, ...], rim: float) -> tuple[tuple[hung.WornCard, ...], str]:
    """One of each look or all alike; all lying or all standing."""
    alike, standing = bool(rng.random() < 0.35), bool(rng.random() < 0.3)
    looks = [bank_look(rng) for _ in places]
    looks = [looks[0]] * len(places) if alike else looks
    cards = []
    for place, (_, front, side) in zip(places, looks, strict=True):
        size = true_size("id-1", rng)
        size = size[::-1] if standing else size
        more = {"thickness_mm": float(rng.uniform(0.72, 0.80)), "wear_mm": float(rng.uniform(0.1, 0.2)), "side": side}
        cards.append(hung.WornCard("id-1", size, *_spot(rng, of, place, size, rim), front, back_z_mm=hung.gap(rng), **more))
    words = f"{len(places)} bank-size cards" + (", standing" if standing else "")
    return tuple(_turned(rng, cards)), f"{words}: {', '.join(look[0] for look in looks)}"


def sheets(
    rng: Rng, of: Opening, kinds: tuple[str, ...], places: tuple[hung.Place, ...], rim: float
) -> tuple[tuple[Paper, ...], str]:
    """Measured sheets, upright or lying, a corner or two lifted, others taped."""
    lying, cards, words = bool(rng.random() < 0.3), [], []
    tape = plain(TAPE_RGB[rng.integers(len(TAPE_RGB))])
    for kind, place in zip(kinds, places, strict=True):
        size = true_size(kind, rng)
        size = size[::-1] if lying else size
        word, front = sheet_look(rng, size[1] / size[0])
        order = rng.permutation(4)
        lifted, taped = int(rng.integers(0, 3)), int(rng.integers(0, 3))
        lift = [float(rng.uniform(*CURL_MM)) if n in order[:lifted] else 0.0 for n in range(4)]
        more = {"thickness_mm": float(rng.uniform(0.09, 0.12)), "lift_mm": tuple(lift), "tape": tape}
        corners = tuple(int(n) for n in order[lifted : lifted + taped])
        cards.append(Paper(kind, size, *_spot(rng, of, place, size, rim), front, back_z_mm=hung.gap(rng), taped=corners, **more))
        words.append(f"{kind} {word}, {lifted} corners lifted, {taped} taped")
    return tuple(_turned(rng, cards)), ("lying " if lying else "") + "; ".join(words)


def options(cards: tuple[hung.WornCard, ...], rng: Rng) -> tuple[str, ...]:
    """As the first family states them; lengths always in the order of the nominal size."""
    if all(card.kind == "id-1" for card in cards):
        return ("--card", "id-1" + hung.STATED_OFFSET["id-1"])
    words: list[str] = []
    for number, card in enumerate(sorted(cards, key=lambda c: c.centre_mm[0]), 1):
        assert NOMINAL_MM[card.kind] == tuple(sorted(NOMINAL_MM[card.kind]))
        w, h = (side + rng.normal(0, hung.RULER_SD_MM) for side in sorted(card.size_mm))
        which = f"{card.kind}#{number}" if len(cards) > 1 else card.kind
        words += ["--card", f"{which}{hung.STATED_OFFSET[card.kind]}={w:.2f}x{h:.2f}mm+-{hung.RULER_SD_MM:g}"]
    return tuple(words)


def _turned(rng: Rng, cards: list) -> list:
    return [replace(card, turn_deg=float(np.clip(rng.normal(0, 1.5), -5, 5))) for card in cards]


def _spot(rng: Rng, of: Opening, place: hung.Place, size: tuple[float, float], rim: float) -> tuple[tuple[float, float]]:
    """The centre: at the place's height, its nearer side a hand or less from the rim; spare for the turn."""
    side, level = place
    low, high = float(of.corners[:2, 1].max()), float(of.corners[2:, 1].min())
    into = size[1] / 2 + rng.uniform(15.0, 0.12 * of.height_mm)
    y = {"bottom": low + into, "top": high - into, "middle": low + rng.uniform(0.3, 0.7) * (high - low)}[level]
    away = rim + rng.uniform(*FROM_EDGE_MM) + size[0] / 2 + 0.05 * size[1]
    x = float(of.left(np.array(y))) - away if side == "left" else float(of.right(np.array(y))) + away
    return ((float(x), float(y)),)
