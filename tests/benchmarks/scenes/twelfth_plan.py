"""Draws the twelfth rooms: opening, edges, finishes, cards and camera, each from a stream of random numbers of its own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from studio import sizes
from studio.camera import Camera, aimed, focal_px
from studio.opening import Opening

from . import twelfth_choice as choice
from .twelfth_edge import KINDS, Arris, arris, lower
from .twelfth_fabric import Fabric, Rng
from .twelfth_lamps import SCHEMES
from .twelfth_refs import BANK, SHEETS, Ref, bank_print, sheet_print
from .twelfth_shell import Shell

SEED = 1264097531
LAYOUTS = ("sheet", "opposite", "four", "letters")
BLOCK = 32
MARGIN_PX = 45.0
OFFSET_SD_MM, OFFSET_CUT_MM = 0.5, 1.2
TAPES = ("top", "edges", "corners", "two corners", "one", "none", "top")
TAPE_RGB = ((0.62, 0.5, 0.24), (0.1, 0.28, 0.5), (0.72, 0.72, 0.7), (0.05, 0.05, 0.05), (0.5, 0.12, 0.1), (0.2, 0.4, 0.2))


@dataclass(frozen=True)
class Deal:
    """What a room gets from the shuffled decks."""

    name: str
    seed: int
    layout: str
    number: int
    kind: str
    edge: str
    scheme: str
    face: int

    def stream(self, purpose: int, attempt: int = 0) -> Rng:
        return np.random.default_rng([self.seed, LAYOUTS.index(self.layout), self.number, purpose, attempt])


@dataclass(frozen=True)
class Plan:
    deal: Deal
    attempt: int
    shell: Shell
    refs: tuple[Ref, ...]
    camera: Camera
    equivalent_mm: float
    plumb_x: float | None


def deals(seed: int, rooms: int) -> list[Deal]:
    """All rooms of a seed: eight of each layout in every 32, with kinds, edges, lights and finishes shuffled."""
    found = []
    for index in range(rooms):
        block, at = divmod(index, BLOCK)
        rng = np.random.default_rng([seed, 12, block])
        kinds = np.array(
            [rng.permutation(["shower", "shower", "shower", "tub", "doorway", "window", "window", "niche"]) for _ in LAYOUTS]
        )
        edges, lights, faces = (_deck(rng, n) for n in (len(KINDS), len(SCHEMES), len(choice.FACES)))
        slot, layout = divmod(at, len(LAYOUTS))
        number = slot + 1 + 8 * block
        label = "twelfth" if seed == SEED else f"twelfth{seed}"
        name = f"{label}_{LAYOUTS[layout]}_{number:02d}"
        dealt = str(kinds[layout, slot]), KINDS[edges[at]], SCHEMES[lights[at]], int(faces[at])
        found.append(Deal(name, seed, LAYOUTS[layout], number, *dealt))
    return found


def _deck(rng: Rng, kinds: int) -> np.ndarray:
    return np.asarray(rng.permutation(np.arange(BLOCK) % kinds))


def plan(deal: Deal, attempt: int, px: float) -> Plan | None:
    """One attempt at a room; None when no camera has everything in its picture."""
    rng = deal.stream(1, attempt)
    opening, floor_y = _opening(deal.kind, rng)
    finish = _finishes(deal, opening, floor_y, px)
    left, right = (float(v) for v in rng.uniform(720, 1150, 2))
    shell = _shell(deal, opening, floor_y, (left, right), finish)
    refs = _references(deal, shell, finish[:2], deal.stream(2, attempt))
    gaps = [_gap(shell, ref) - shell.side.outer_mm for ref in refs]
    shell = replace(shell, dips=tuple(ref.dip(gap) for ref, gap in zip(refs, gaps, strict=True)))
    camera, equivalent = _camera(shell, refs, deal.stream(3, attempt))
    if camera is None:
        return None
    draw = deal.stream(4, attempt)
    plumb = float(draw.uniform(0.2, 0.8)) * opening.width_mm if deal.number % 2 == 0 else None
    return Plan(deal, attempt, shell, refs, camera, equivalent, plumb)


def _bounded(rng: Rng, sd: float, cut: float) -> float:
    while abs(value := float(rng.normal(0, sd))) > cut:
        pass
    return round(value, 3)


def _opening(kind: str, rng: Rng) -> tuple[Opening, float]:
    wide, tall, up = {
        "shower": ((760, 1450), (1830, 2120), (55, 130)),
        "tub": ((1380, 1680), (1350, 1560), (480, 560)),
        "doorway": ((680, 940), (1950, 2080), (12, 26)),
        "window": ((620, 1300), (700, 1350), (800, 980)),
        "niche": ((480, 1250), (520, 1250), (700, 1050)),
    }[kind]
    height = float(rng.uniform(*tall))
    part = height / 2000
    opening = Opening(
        round(float(rng.uniform(*wide)), 1),
        round(height, 1),
        lean_left=_bounded(rng, 2.2, 6.5),
        lean_right=_bounded(rng, 2.2, 6.5),
        bow_left_mm=_bounded(rng, 1.1 * part, 3.2 * part),
        bow_right_mm=_bounded(rng, 1.1 * part, 3.2 * part),
        curb_level=_bounded(rng, 1.6, 4.5),
        head_slope=_bounded(rng, 1.4, 4.0),
    )
    return opening, -float(rng.uniform(*up))


def _finishes(deal: Deal, opening: Opening, floor_y: float, px: float) -> tuple[Fabric, Fabric | None, Fabric]:
    """Face, what is above a dado, reveal."""
    rng = deal.stream(5)
    face = choice.fabric(choice.FACES[deal.face], rng, px)
    upper = None
    if rng.random() < 0.25 and deal.kind != "tub":
        upper, face = face, choice.fabric(choice.UNDER[int(rng.integers(len(choice.UNDER)))], rng, px)
    at = rng.random()
    if at < 0.3:
        reveal = face
    else:
        makes = choice.WET if deal.kind in ("shower", "tub") else choice.DRY
        reveal = choice.fabric(makes[int(rng.integers(len(makes)))], rng, 0.6 * px)
    return face, upper, reveal


def _shell(deal: Deal, opening: Opening, floor_y: float, beyond: tuple[float, float], finish: tuple) -> Shell:
    rng = deal.stream(6)
    shift = tuple(float(v) for v in rng.uniform(0, 300, 2))
    face = finish[0].surface(shift)
    reveal = face if finish[2] is finish[0] else finish[2].surface(tuple(rng.uniform(0, 200, 2)))
    side: Arris = arris(deal.edge, rng, face, reveal)
    deep = {"shower": (800, 1050), "tub": (700, 800), "doorway": (95, 190), "window": (90, 300), "niche": (90, 320)}[deal.kind]
    depth = float(rng.uniform(*deep))
    curb = reveal if rng.random() < 0.35 else choice.gloss(choice.one_of(rng, choice.STONE), 0.15)
    if deal.kind == "tub":
        curb = choice.gloss((0.78, 0.78, 0.76), 0.1)
    elif deal.kind == "doorway" and rng.random() < 0.5:
        curb = choice.gloss(choice.one_of(rng, choice.TIMBER), 0.35)
    back = reveal if rng.random() < 0.4 else choice.matt(choice.shade(rng, 0.6))
    ground = (choice.planks, choice.stoneware, choice.mosaic, choice.terrazzo)
    floors = [choice.fabric(ground[int(rng.integers(4))], rng, 0.7, light=0.3).surface() for _ in range(2)]
    splay = float(rng.uniform(-15, 25)) if deal.kind == "window" else 0.0
    whole = deal.kind in ("window", "niche", "doorway")
    room_wall = choice.matt(choice.shade(rng, 0.75, 0.05))
    ceiling_y = max(floor_y + float(rng.uniform(2280, 2600)), opening.height_mm + side.outer_mm + 170)
    dado = float(rng.uniform(950, 1300)) + floor_y if finish[1] is not None else ceiling_y
    return Shell(
        deal.kind, opening, side, lower(deal.kind, rng), floor_y, ceiling_y, *beyond, 3700.0, depth, splay, face,
        finish[1].surface(shift) if finish[1] is not None else None, dado, reveal, back, curb,
        depth if whole else float(rng.uniform(70, 120)), floors[0], floors[1], room_wall, choice.matt((0.78, 0.78, 0.76)),
    )  # fmt: skip


def _gap(shell: Shell, ref: Ref) -> float:
    """From the reference to the nearest of the hole's sides."""
    corners = ref.outline()
    rows = np.linspace(corners[:, 1].min(), corners[:, 1].max(), 9)
    if ref.centre_mm[0] < shell.opening.width_mm / 2:
        return float((shell.wall_x(-1, rows) - corners[:, 0].max()).min())
    return float((corners[:, 0].min() - shell.wall_x(1, rows)).min())


def _references(deal: Deal, shell: Shell, walls: tuple[Fabric, Fabric | None], rng: Rng) -> tuple[Ref, ...]:
    """Where each layout has its references: corners as (left or right, low or high)."""
    first = "left" if rng.random() < 0.5 else "right"
    other = "right" if first == "left" else "left"
    spots: Sequence[tuple[str, str]] = {
        "sheet": ((first, "middle"),),
        "opposite": ((first, "low"), (other, "high")),
        "four": (("left", "low"), ("right", "low"), ("right", "high"), ("left", "high")),
        "letters": ((first, "low"), (other, "high")),
    }[deal.layout]
    bank = deal.layout in ("opposite", "four")
    kind = "id-1" if bank else ("a4", "letter")[int(rng.integers(2))]
    refs = tuple(_one(kind, (side, at), shell, walls, rng) for side, at in spots)
    return tuple(sorted(refs, key=lambda ref: ref.centre_mm[0]))


def _one(kind: str, spot: tuple[str, str], shell: Shell, walls: tuple[Fabric, Fabric | None], rng: Rng) -> Ref:
    side, at = spot
    size = sizes.true_size(kind, rng)
    standing = kind == "id-1" and rng.random() < 0.2
    size = size[::-1] if standing else size
    height, half = shell.opening.height_mm, np.array(size) / 2
    y = {
        "low": half[1] + float(rng.uniform(0.02, 0.12)) * height,
        "high": height - half[1] - float(rng.uniform(0.0, 0.1)) * height,
        "middle": height * float(rng.uniform(0.35, 0.62)),
    }[at]
    out = shell.side.outer_mm + float(rng.uniform(32, 85)) + half[0]
    edge = float(shell.wall_x(-1 if side == "left" else 1, np.array([y]))[0])
    x = edge - out if side == "left" else edge + out
    front = -_bounded(rng, OFFSET_SD_MM, OFFSET_CUT_MM)
    sheet = kind != "id-1"
    wall = walls[1] if walls[1] is not None and y > shell.dado_y else walls[0]
    seed, looks = _visible(kind, wall, np.random.default_rng(int(rng.integers(1 << 62))))
    belly = float(rng.uniform(0.2, 1.2)) if sheet and rng.random() < 0.5 else 0.0
    tape = TAPES[int(rng.integers(len(TAPES)))]
    lift = float(rng.uniform(0.3, 1.2)) if sheet and tape in ("top", "two corners", "one") and rng.random() < 0.5 else 0.0
    return Ref(
        kind, size, (x, y), _bounded(rng, 1.6, 4.0), front, float(rng.uniform(0.5, 0.8)) if not sheet else 0.1,
        float(rng.uniform(0.05, 0.5)), seed, looks, belly, lift, tape if sheet or rng.random() < 0.35 else "none",
        TAPE_RGB[int(rng.integers(len(TAPE_RGB)))], standing,
    )  # fmt: skip


def _visible(kind: str, wall: Fabric, rng: Rng) -> tuple[int, str]:
    """A print whose four rims differ from the wall's mean, over three quarters of each, in some channel, gloss allowed for."""
    choices, draw = (BANK, bank_print) if kind == "id-1" else (SHEETS, sheet_print)
    best, found = -1.0, (0, choices[0])
    for _ in range(30):
        seed, looks = int(rng.integers(1 << 30)), choices[int(rng.integers(len(choices)))]
        picture = draw(looks, np.random.default_rng([seed, 3]))
        sides = (picture[2], picture[-3], picture[:, 2], picture[:, -3])
        step = [np.abs(np.log((side + 0.12) / (wall.mean() + 0.12))).max(axis=1) for side in sides]
        share = min(float((s > 0.3).mean()) for s in step)
        if share > best:
            best, found = share, (seed, looks)
        if share > 0.75:
            break
    return found


def _camera(shell: Shell, refs: Sequence[Ref], rng: Rng) -> tuple[Camera | None, float]:
    """Somebody with a phone at arm's length, as near as has everything in the picture or up to a third further."""
    points = np.concatenate([np.column_stack([shell.opening.corners, np.zeros(4)]), *(ref.outline() for ref in refs)])
    span = np.ptp(points[:, :2], axis=0)
    landscape = bool(span[0] * float(rng.uniform(0.85, 1.15)) > span[1])
    width, height = (4032, 3024) if landscape else (3024, 4032)
    middle = (points.max(axis=0) + points.min(axis=0)) / 2
    found: list[tuple[float, Camera, float]] = []
    for _ in range(250):
        u, n = rng.uniform, rng.normal
        distance, equivalent = float(u(1600, 2900)), float(u(23.5, 28))
        turn = float(np.clip(n(0, 7.5), -18, 18))
        at = np.array([middle[0] + distance * np.tan(np.radians(turn)), shell.floor_y + float(u(1050, 1600)), distance])
        at[0] = np.clip(at[0], 150 - shell.left_mm, shell.opening.width_mm + shell.right_mm - 150)
        aim = np.array([middle[0] + n(0, 45), middle[1] + n(0, 45), 0.0])
        camera = Camera(
            width, height, focal_px(equivalent, width, height) * float(1 + np.clip(n(0, 0.012), -0.03, 0.03)),
            (width - 1) / 2 + float(u(-22, 22)), (height - 1) / 2 + float(u(-22, 22)),
            float(np.clip(n(0, 0.02), -0.05, 0.05)), float(np.clip(n(0, 0.007), -0.015, 0.015)),
            at, aimed(at, aim, float(np.clip(n(0, 1.6), -5, 5))),
        )  # fmt: skip
        seen = camera.project(points)
        if seen.min() > MARGIN_PX and (seen < np.array([width, height]) - MARGIN_PX).all():
            found.append((distance, camera, equivalent))
    if not found:
        return None, 0.0
    nearest = min(d for d, _, _ in found)
    close = [f for f in found if f[0] < 1.33 * nearest]
    return close[int(rng.integers(len(close)))][1:]
