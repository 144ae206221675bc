"""What stands, hangs and lies about. Wall things keep away from the cards; the rest stands where people leave it."""

from __future__ import annotations

import numpy as np

from .fourth_base import Array, Builder, Opening, Rng, chance, lacquer, metal, one_of, paint, plain, things
from .fourth_finishes import tint

Rect = tuple[float, float, float, float]


def free(place: Rect, taken: list[Rect], gap: float = 50.0) -> bool:
    x0, y0, x1, y1 = place
    return all(x1 + gap < a or x0 - gap > c or y1 + gap < b or y0 - gap > d for a, b, c, d in taken)


def wall_things(rng: Rng, build: Builder, opening: Opening, left: float, right: float, floor: float, taken: list[Rect]) -> None:
    """Two to five things on the wall face, each tried in eight places."""
    makers = (_towel, _plate, _hook, _ladder, _frame, _pipe, _dispenser)
    for number in rng.permutation(len(makers))[: int(rng.integers(2, 6))]:
        for _ in range(8):
            on_left = chance(rng, 0.5)
            room = left if on_left else right
            w, h = {
                0: (400.0, 620.0),
                1: (90.0, 90.0),
                2: (60.0, 90.0),
                3: (460.0, 1100.0),
                4: (260.0, 340.0),
                5: (40.0, 500.0),
            }.get(int(number), (90.0, 220.0))
            if room < w + 90:
                continue
            x = float(rng.uniform(45, room - w - 20))
            x0 = -x - w if on_left else opening.width_mm + x
            y0 = floor + float(rng.uniform(300, 1500))
            place = (x0, y0, x0 + w, y0 + h)
            if free(place, taken):
                makers[number](rng, build, place)
                taken.append(place)
                break


def _towel(rng: Rng, build: Builder, p: Rect) -> None:
    things.towel(
        build, (p[0] + p[2]) / 2, p[3], (p[2] - p[0] - 60, p[3] - p[1]), paint(tint(rng), rng, 0.06), float(rng.uniform(2, 6))
    )


def _plate(rng: Rng, build: Builder, p: Rect) -> None:
    skin = lacquer(tint(rng, one_of(rng, "white", "dark")), 0.3)
    build.box((p[0], p[1], 0), (p[2], p[3], 9), skin)
    build.box((p[0] + 22, p[1] + 22, 9), (p[2] - 22, p[3] - 22, 14), skin)


def _hook(rng: Rng, build: Builder, p: Rect) -> None:
    x = (p[0] + p[2]) / 2
    build.capped_rod((x, p[3], 0), (x, p[3] - 10, 45), 7, metal())
    build.ball((x, p[3] - 10, 48), 11, metal())


def _ladder(rng: Rng, build: Builder, p: Rect) -> None:
    skin = metal() if chance(rng, 0.5) else lacquer(tint(rng, one_of(rng, "white", "dark")), 0.25)
    for x in (p[0] + 15, p[2] - 15):
        build.capped_rod((x, p[1], 70), (x, p[3], 70), 14, skin)
    for y in np.arange(p[1] + 40, p[3], float(rng.uniform(70, 110))):
        build.rod((p[0] + 15, float(y), 70), (p[2] - 15, float(y), 70), 10, skin)


def _frame(rng: Rng, build: Builder, p: Rect) -> None:
    build.box((p[0], p[1], 0), (p[2], p[3], 18), lacquer(tint(rng), 0.3))
    build.box((p[0] + 25, p[1] + 25, 18), (p[2] - 25, p[3] - 25, 19), paint(tint(rng), rng, 0.3))


def _pipe(rng: Rng, build: Builder, p: Rect) -> None:
    x = (p[0] + p[2]) / 2
    build.rod((x, p[1], 30), (x, p[3], 30), 11, one_of(rng, metal(), metal((0.75, 0.42, 0.26), 0.3)))
    build.ball((x, p[3], 30), 11, metal())


def _dispenser(rng: Rng, build: Builder, p: Rect) -> None:
    build.capped_rod(((p[0] + p[2]) / 2, p[1], 48), ((p[0] + p[2]) / 2, p[3], 48), 36, lacquer(tint(rng), 0.2))


def floor_things(rng: Rng, build: Builder, opening: Opening, left: float, right: float, floor: float) -> None:
    """Mat, bucket, boxes, tool bag, stool, mop: mostly aside, the mat before the opening."""
    width = opening.width_mm
    if chance(rng, 0.5):
        things.mat(
            build,
            width * float(rng.uniform(0.3, 0.7)),
            floor,
            float(rng.uniform(330, 700)),
            (650, 430),
            paint(tint(rng), rng, 0.1),
        )
    for _ in range(int(rng.integers(0, 4))):
        on_left = chance(rng, 0.5)
        room = left if on_left else right
        if room < 520:
            continue
        x = float(rng.uniform(260, room - 200)) * (-1 if on_left else 1) + (0 if on_left else width)
        z = float(rng.uniform(160, 700))
        what = one_of(rng, "bucket", "box", "bag", "stool", "plant")
        if what == "bucket":
            things.bin_(build, x, floor, z, lacquer(tint(rng), 0.3))
        elif what == "box":
            w, h = float(rng.uniform(180, 420)), float(rng.uniform(120, 330))
            build.box((x - w / 2, floor, z - 120), (x + w / 2, floor + h, z + 120), plain((0.42, 0.29, 0.17)))
        elif what == "bag":
            build.box((x - 200, floor, z - 110), (x + 200, floor + 230, z + 110), plain(tint(rng)))
            build.rod((x - 120, floor + 290, z), (x + 120, floor + 290, z), 12, plain((0.03, 0.03, 0.03)))
            for end in (-120, 120):
                build.rod((x + end, floor + 230, z), (x + end, floor + 290, z), 10, plain((0.03, 0.03, 0.03)))
        elif what == "stool":
            build.box((x - 170, floor + 420, z - 130), (x + 170, floor + 450, z + 130), lacquer(tint(rng, "earth"), 0.3))
            for dx in (-140, 140):
                build.rod((x + dx, floor, z), (x + dx * 0.8, floor + 420, z), 16, lacquer(tint(rng, "earth"), 0.3))
        else:
            build.capped_rod((x, floor, z), (x, floor + 210, z), 95, lacquer(tint(rng), 0.3))
            _leaves(rng, build, np.array([x, floor + 210, z]))


def _leaves(rng: Rng, build: Builder, root: Array) -> None:
    skin = lacquer(tint(rng, "green"), 0.35)
    for _ in range(14):
        way, up = rng.uniform(0, 2 * np.pi), rng.uniform(150, 420)
        t = np.linspace(0, 1, 9)
        out = np.column_stack([np.cos(way) * 170 * t**2, up * t, np.sin(way) * 110 * t**2]) + root
        half = 17 * np.sin(np.pi * np.clip(t, 0.03, 1))[:, None] * np.array([-np.sin(way), 0, np.cos(way)]) + [1e-3, 0, 0]
        build.strip(out - half, out + half, np.zeros((9, 2)), np.ones((9, 2)), skin)


def on_edges(rng: Rng, build: Builder, kind: str, opening: Opening, foot_depth: float) -> None:
    """Things that people leave on the curb, rim or ledge, well behind its edge, or over it."""
    for _ in range(int(rng.integers(0, 3))):
        x = opening.width_mm * float(rng.uniform(0.08, 0.92))
        y = opening.corners[1][1] * x / opening.width_mm
        if kind in ("window", "niche", "tub") and foot_depth > 75:
            things.bottle(build, x, y, -0.55 * foot_depth, tint(rng), float(rng.uniform(90, 210)))
    if kind in ("shower", "tub") and chance(rng, 0.15):
        w = opening.width_mm * float(rng.uniform(0.1, 0.18))
        x, cloth = opening.width_mm * float(rng.uniform(0.25, 0.75)), paint(tint(rng), rng, 0.08)
        build.box((x - w / 2, opening.corners[1][1] - 150, 2), (x + w / 2, opening.corners[1][1] + 6, 8), cloth)
        build.box((x - w / 2, opening.corners[1][1] + 1, -foot_depth), (x + w / 2, opening.corners[1][1] + 6, 8), cloth)
