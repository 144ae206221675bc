"""A third family of random rooms, one set `third`; see README.md beside this file.

python -m tests.benchmarks.scenes.third_rooms --out FOLDER/third --variant cuda_ad_rgb --samples 40 --per-pass 2
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import cv2
import mitsuba as mi
import numpy as np

FOLDER = Path(__file__).resolve().parent
sys.path[:0] = [str(FOLDER), str(FOLDER.parents[2] / "sample_images")]

from studio import develop, record, trace  # noqa: E402
from studio.camera import Camera, aimed, focal_px  # noqa: E402
from studio.opening import Opening  # noqa: E402
from studio.room import Finish, Room  # noqa: E402
from studio.shapes import Builder  # noqa: E402
from studio.shot import Development, Expected, Shot, smaller  # noqa: E402
from studio.sizes import measured, true_size  # noqa: E402
from studio.surfaces import plain  # noqa: E402
from studio.things import THICKNESS_MM, Card, PlumbLine, hang_plumb_line  # noqa: E402
from third_build import Edge, Foot, Lit, Plan, build_plan  # noqa: E402
from third_looks import FINISHES, Look, Rng, moved, one_of, solid  # noqa: E402
from third_things import ID1_DESIGNS, PAGES, TAPES, Dress, card_surface, cloth, hall_set, hang, on_floor, on_wall, shower_set, sill_set  # noqa: E402

SEED = 47113
LAYOUTS = ("sheet", "opposite", "four", "letters")
KINDS = {
    "sheet": ("shower", "shower", "shower", "tub", "tub", "door", "door", "window"),
    "opposite": ("shower", "shower", "shower", "tub", "door", "door", "window", "window"),
}
LIGHTS = ("daylight", "downlights", "mirror", "flash", "mixed", "backlit", "globe", "strip")
WARM, NEUTRAL, COOL = (1.0, 0.8, 0.58), (1.0, 0.95, 0.88), (0.84, 0.93, 1.0)
WORDS = {"shower": "shower", "tub": "tub", "door": "doorway", "window": "window"}
DRAWN_AGAIN = {  # attempts as `--screen` found them
    "third_opposite_04": 1, "third_opposite_07": 2, "third_four_02": 2, "third_four_03": 2, "third_four_07": 2,
}  # fmt: skip


@dataclass(frozen=True)
class Scene:
    shot: Shot
    plan: Plan
    dresses: tuple[Dress, ...]
    edge_taken: str
    layout: str
    cover: str


def deck(layout: str) -> list[tuple[str, str, str, bool]]:
    """Kind, face, light and plumb line of a layout's eight rooms: shuffled, so that every layout meets all of them."""
    place = LAYOUTS.index(layout)
    rng = np.random.default_rng([SEED, place])
    kinds = rng.permutation(KINDS["opposite" if layout in ("opposite", "four") else "sheet"])
    faces = np.random.default_rng(SEED).permutation(np.resize(list(FINISHES), 39))[8 * place : 8 * place + 8]
    lines = rng.permutation([True] * 4 + [False] * 4)
    return [(str(k), str(f), str(s), bool(p)) for k, f, s, p in zip(kinds, faces, rng.permutation(LIGHTS), lines, strict=True)]


def opening_of(rng: Rng, kind: str) -> Opening:
    limits = {"shower": (760, 1550, 1900, 2100), "tub": (1400, 1700, 1380, 1600), "door": (700, 960, 1980, 2080), "window": (700, 1400, 800, 1300)}
    w0, w1, h0, h1 = limits[kind]
    slants = np.round(rng.normal(0, (1.4, 1.4, 0.8, 0.8, 0.7, 0.9)), 2)
    slants = [float(s) for s in np.clip(slants, -3, 3)]
    return Opening(round(float(rng.uniform(w0, w1)), 1), round(float(rng.uniform(h0, h1)), 1), *slants)


def edge_of(rng: Rng, kind: str, face: Look) -> Edge:
    choices = ("sharp", "round", "trim", "caulk", "stone") if face.tiled else ("bead", "bead", "trim", "stone")
    name = "casing" if kind == "door" and rng.random() < 0.6 else one_of(rng, choices)
    eased = round(float(rng.uniform(0.4, 0.9)), 2)
    if name == "trim":
        band = round(float(rng.uniform(5, 11)), 1)
        return Edge(name, f"a flush plastic trim {band:g} mm wide", band, eased, band=solid(rng, "plastic").surface)
    if name == "caulk":
        band = round(float(rng.uniform(2, 4)), 1)
        return Edge(name, f"a caulked joint {band:g} mm wide", band, eased, band=solid(rng, "caulk").surface)
    if name == "stone":
        band = round(float(rng.uniform(10, 20)), 1)
        return Edge(name, f"flush stone jamb plates {band:g} mm thick", band, eased, band=solid(rng, "stone").surface)
    if name == "casing":
        band, proud = round(float(rng.uniform(55, 90)), 1), round(float(rng.uniform(10, 17)), 1)
        made = solid(rng, one_of(rng, ("timber", "lacquer")), upright=True)
        return Edge(name, f"a {made.words} casing {band:g} mm wide, {proud:g} mm proud of the wall", band, eased, proud, made.surface)
    return Edge(name, "a plaster corner" if name == "bead" else "the tile's own edge", 0.0, 0.0 if name == "sharp" else round(float(rng.uniform(1, 2 if name == "bead" else 3)), 2))


def foot_of(rng: Rng, kind: str, face: Look, reveal: Look, depth: float) -> Foot:
    if kind == "tub":
        ware = solid(rng, "enamel").surface
        return Foot("an acrylic tub's rim", ware, ware, round(float(rng.uniform(2, 5)), 2), float(rng.uniform(70, 90)))
    eased = round(float(rng.uniform(0.5, 2)), 2)
    if kind == "door":
        made = solid(rng, one_of(rng, ("timber", "timber", "stone")))
        return Foot(f"a {made.words} threshold", made.surface, made.surface, eased, depth)
    cap, front = round(float(rng.uniform(15, 30)), 1), face if kind == "window" else moved(rng, one_of(rng, (face, reveal)))
    made = solid(rng, one_of(rng, ("stone", "stone", "timber" if kind == "window" else "stone")))
    if rng.random() < 0.3 and reveal.tiled and kind == "shower":
        return Foot("a tiled curb", front.surface, moved(rng, reveal).surface, 0.0, float(rng.uniform(90, 140)))
    return Foot(f"a {made.words} {'sill' if kind == 'window' else 'cap'} {cap:g} mm thick", front.surface, made.surface, eased, depth if kind == "window" else float(rng.uniform(90, 140)), cap)


def plan_of(rng: Rng, kind: str, face_name: str) -> Plan:
    opening, face = opening_of(rng, kind), FINISHES[face_name](rng)
    edge = edge_of(rng, kind, face)
    others = [name for name in FINISHES if name not in ("brick", "beadboard")]
    reveal = moved(rng, face) if edge.kind == "bead" or rng.random() < 0.3 else FINISHES[str(rng.choice(others))](rng)
    back = moved(rng, reveal) if rng.random() < 0.5 and kind != "door" else FINISHES[str(rng.choice(others))](rng)
    back = solid(rng, one_of(rng, ("plastic", "timber"))) if kind == "window" else back
    below = {"shower": (80, 150), "tub": (480, 560), "door": (12, 25), "window": (850, 1050)}[kind]
    floor_y = -round(float(rng.uniform(*below)))
    behind = float(rng.uniform(760, 1000)) if kind in ("shower", "tub") else float(rng.uniform(1700, 2600))
    depth = {"shower": float(rng.uniform(90, 150)), "tub": float(rng.uniform(90, 150)), "door": float(rng.uniform(90, 180)), "window": float(rng.uniform(80, 200))}[kind]
    feature = {"window": "pane", "door": "none"}.get(kind, one_of(rng, ("none", "niche", "niche", "blocks")))
    return Plan(
        kind, opening, edge, foot_of(rng, kind, face, reveal, depth), face, reveal, back,
        FINISHES[one_of(rng, ("plates", "planks", "honeycomb", "terrazzo", "chevron", "cement"))](rng),
        FINISHES[one_of(rng, ("plaster", "plaster", "panels", "plates"))](rng),
        floor_y, floor_y + round(float(rng.uniform(2350, 2600))), -float(rng.uniform(620, 1200)),
        opening.width_mm + float(rng.uniform(620, 1200)), 3600.0, depth, -behind, feature,
    )  # fmt: skip


def cards_of(rng: Rng, plan: Plan, layout: str) -> tuple[tuple[Dress, ...], list[str]]:
    """The cards in their places and the command's options for them."""
    sheets, opening, proud = layout in ("sheet", "letters"), plan.opening, plan.edge.proud_mm
    kind = "letter" if layout == "letters" else one_of(rng, ("a4", "letter")) if sheets else "id-1"
    first = one_of(rng, (-1, 1))
    spots = {"sheet": [(first, 0)], "four": [(-1, -1), (1, -1), (-1, 1), (1, 1)]}.get(layout, [(-1, -first), (1, first)])
    tape = one_of(rng, (None, *TAPES))
    stands = round(float(rng.uniform(1.5, 2.0) if tape else rng.uniform(1.8, 2.6)), 1)
    pack, dresses, options = true_size("id-1", rng), [], []
    for number, (side, level) in enumerate(spots, 1):
        size = true_size(kind, rng) if sheets else pack
        if sheets:
            name = kind + (f"#{number}" if layout == "letters" else "") + (f"@{proud:g}+-1" if proud else "")
            options += ["--card", measured(name, size, rng, sd_mm=0.15, stated_mm=0.15)[0]]
        turned = rng.random() < (0.25 if sheets else 0.4)
        size = size[::-1] if turned else size
        front = float(rng.uniform(0.15, 0.6)) if sheets else max(0.8, stands + float(rng.normal(0, 0.5)))
        design = one_of(rng, PAGES if sheets else ID1_DESIGNS)
        gap, reach = float(rng.uniform(15, 80)), 0.12 * opening.height_mm
        y = {0: opening.height_mm * float(rng.uniform(0.35, 0.7)), -1: size[1] / 2 + float(rng.uniform(20, reach)), 1: opening.height_mm - size[1] / 2 - float(rng.uniform(20, reach))}[level]
        out = plan.edge.band_mm + gap + size[0] / 2
        x = float(opening.left(np.array(y))) - out if side < 0 else float(opening.right(np.array(y))) + out
        turn = float(rng.uniform(-4, 4)) if rng.random() < 0.4 else float(rng.normal(0, 0.8))
        card = Card(kind, size, (x, y), card_surface(rng, kind, design, size), turn, plan.wall_z + front - THICKNESS_MM[kind])
        curl = float(rng.uniform(0.6, 2.0)) if sheets and not tape and rng.random() < 0.6 else 0.0
        dresses.append(Dress(card, design + (" lying" if turned == sheets else " standing"), tape, curl, int(rng.integers(3))))
    return tuple(dresses), options or ["--card", f"id-1@{proud - stands:g}+-0.5"]


def camera_of(rng: Rng, plan: Plan, dresses: tuple[Dress, ...]) -> tuple[Camera, float] | None:
    """A phone in the hand, near enough that opening and cards fill most of the picture."""
    points = np.concatenate([np.column_stack([p, np.zeros(len(p))]) for p in plan.opening.edges().values()] + [d.card.outline() for d in dresses])
    size, middle = np.ptp(points, axis=0), (points.max(axis=0) + points.min(axis=0)) / 2
    landscape = size[0] > float(rng.uniform(0.95, 1.15)) * size[1]
    width, height = (4032, 3024) if landscape else (3024, 4032)
    for _ in range(60):
        equivalent = float(rng.uniform(24, 28))
        f = focal_px(equivalent, width, height)
        need = max(size[0] / width, size[1] / height) * f / float(rng.uniform(0.52, 0.84))
        away, turn = float(np.clip(need, 1800, 3200)), float(np.radians(one_of(rng, (rng.uniform(-7, 7), rng.uniform(-20, 20)))))
        place = np.array([middle[0] + away * np.sin(turn), float(rng.uniform(1150, 1600)) + plan.floor_y, away * np.cos(turn)])
        target = np.array([*(middle[:2] + rng.normal(0, 60, 2)), 0.0])
        centre = (np.array([width, height]) - 1) / 2 + rng.normal(0, 12, 2)
        lens = round(float(rng.uniform(-0.06, 0.06)), 8), round(float(rng.normal(0, 0.006)), 8)
        camera = Camera(width, height, f, *centre, *lens, place, aimed(place, target, float(rng.normal(0, 1.3))))
        seen = camera.project(points)
        if (seen > 70).all() and (seen < np.array([width, height]) - 70).all():
            return camera, equivalent
    return None


def lit(plan: Plan, centre: Any, toward: Any, size: tuple[float, float], light: float, rgb: tuple[float, float, float], back: bool = False) -> Lit:
    """A lamp strong enough to give so much light in the middle of the opening, or on the back wall."""
    spot = np.array([plan.opening.width_mm / 2, plan.opening.height_mm / 2, plan.back_z if back else 0.0])
    ray = spot - np.asarray(centre, float)
    away = float(np.linalg.norm(ray))
    slant = max(0.2, float(ray @ np.asarray(toward, float)) / away / float(np.linalg.norm(toward))) * max(0.3, -ray[2] / away)
    power = light * away**2 / (size[0] * size[1] * slant)
    return Lit(tuple(map(float, centre)), tuple(map(float, toward)), size, tuple(power * c for c in rgb))  # type: ignore[arg-type]


def lamps_of(rng: Rng, plan: Plan, style: str, camera: Camera) -> tuple[Lit, ...]:
    middle, top, depth, eye = plan.opening.width_mm / 2, plan.ceiling_y - 4, camera.position_mm[2], camera.position_mm
    side = one_of(rng, ((plan.left_x + 4, 1), (plan.right_x - 4, -1)))
    tint = one_of(rng, (WARM, NEUTRAL, NEUTRAL))
    down, found = (0, -1, 0), []
    ceiling = lambda x, z, size, light, rgb: found.append(lit(plan, (middle + x, top, z), down, size, light, rgb))  # noqa: E731
    beside = lambda y, size, light, rgb: found.append(lit(plan, (side[0], plan.floor_y + y, 0.62 * depth), (side[1], 0, 0), size, light, rgb))  # noqa: E731
    if style in ("daylight", "mixed"):
        beside(1500, (900, 1100), 3.0 if style == "daylight" else 1.8, COOL)
        ceiling(0, 0.7 * depth, (300, 300), 0.35 if style == "daylight" else 1.6, NEUTRAL if style == "daylight" else WARM)
    elif style == "downlights":
        for x, z in ((-450, 600), (450, 650), (-420, 1700), (460, 1750)):
            ceiling(x, z, (90, 90), 0.75, tint)
    elif style == "mirror":
        beside(1950, (700, 70), 2.2, tint)
        ceiling(100, 0.8 * depth, (250, 250), 0.4, tint)
    elif style == "flash":
        found.append(lit(plan, eye + [22, 14, -8], [middle - eye[0], plan.opening.height_mm / 2 - eye[1], -depth], (9, 9), 2.6, NEUTRAL))
        ceiling(-150, 0.6 * depth, (250, 250), 0.5, WARM)
    elif style == "strip":
        ceiling(0, 0.75 * depth, (1600, 35), 3.0, tint)
    else:
        ceiling(120, 0.55 * depth, (300, 300), 0.8 if style == "backlit" else 3.0, tint)
    behind = 4.0 if style == "backlit" else 0.25 if style == "flash" else float(rng.uniform(0.8, 2.6))
    if plan.kind != "window":
        found.append(lit(plan, (middle + 80, top, 0.5 * plan.back_z), down, (160, 160), behind, one_of(rng, (tint, NEUTRAL)), True))
    return tuple(found)


def balance_of(rng: Rng, rgb: tuple[float, float, float]) -> tuple[float, float, float]:
    """What the phone makes of the light: most of its colour is taken out."""
    red, blue = (float((rgb[1] / c) ** 0.75 * (1 + 0.04 * rng.uniform(-1, 1))) for c in (rgb[0], rgb[2]))
    return (red, 1.0, blue)


def plumb_of(rng: Rng, plan: Plan) -> PlumbLine:
    width, height = plan.opening.width_mm, plan.opening.height_mm
    part = one_of(rng, (rng.uniform(0.15, 0.28), rng.uniform(0.72, 0.85))) if plan.kind == "window" else rng.uniform(0.2, 0.8)
    dark = plan.kind == "window" or float(np.mean(plan.back.rgb)) > 0.3
    colour = (0.02, 0.02, 0.02) if dark else one_of(rng, ((0.8, 0.8, 0.76), (0.85, 0.4, 0.05)))
    top, low = height + float(rng.uniform(40, 55 if plan.edge.proud_mm else 110)), float(rng.uniform(60, 110))
    return PlumbLine(round(float(part) * width, 1), round(top, 1), round(low, 1), plain(colour), float(rng.uniform(3, 6)), float(rng.uniform(1.7, 2.2)))


def taken_edge(plan: Plan) -> str:
    edge, foot = plan.edge, plan.foot
    if edge.band_mm:
        sides = f"sides and head: where the flat of {edge.words} ends (its corner is eased {edge.round_mm:g} mm from there on)"
    elif edge.round_mm:
        sides = f"sides and head: {edge.words}, where the flat of the wall face ends and a rounding of {edge.round_mm:g} mm begins"
    else:
        sides = f"sides and head: the sharp arris of {edge.words}"
    under = f"where its flat front ends and a rounding of {foot.round_mm:g} mm begins" if foot.round_mm else "its sharp arris"
    plane = "; the opening's plane is the casing's face, the cards are on the wall behind it" if edge.proud_mm else ""
    return f"{sides}; below: {foot.words}, {under}; the readings were taken to the same lines{plane}"


def draw(layout: str, number: int, attempt: int | None = None) -> Scene | None:
    """Room `number` (from 1) of a layout; None where no camera of this attempt sees all of it."""
    name = f"third_{layout}_{number:02d}"
    attempt = DRAWN_AGAIN.get(name, 0) if attempt is None else attempt
    seed = SEED * 1000 + LAYOUTS.index(layout) * 100 + number
    rng = np.random.default_rng([seed, attempt])
    kind, face, light, plumb = deck(layout)[number - 1]
    plan = plan_of(rng, kind, face)
    dresses, options = cards_of(rng, plan, layout)
    seen = camera_of(rng, plan, dresses)
    if seen is None:
        return None
    camera, equivalent = seen
    x, z = camera.position_mm[0], camera.position_mm[2]
    plan = replace(plan, left_x=min(plan.left_x, x - 350), right_x=max(plan.right_x, x + 350), length=z + float(rng.uniform(300, 900)))
    if light == "backlit" and kind in ("shower", "tub"):
        plan = replace(plan, feature="blocks")
    plan = replace(plan, lamps=lamps_of(rng, plan, light, camera))
    line = plumb_of(rng, plan) if plumb else None
    cover = one_of(rng, ("", "", "", "towel", "bin", "mop"))
    development = Development(
        blur_px=float(rng.uniform(0.6, 1.0)), noise=float(rng.uniform(0.006, 0.018)), sharpening=float(rng.uniform(0.2, 0.7)),
        sharpening_px=float(rng.uniform(0.9, 1.4)), shading=float(rng.uniform(0.04, 0.18)), largest_bytes=3_500_000,
        white_balance=balance_of(rng, plan.lamps[0].rgb), orientation=one_of(rng, (1, 1, 6)) if camera.height > camera.width else 1,
    )  # fmt: skip
    note = (
        f"{len(dresses)} {dresses[0].card.kind}: {', '.join(d.words + (f' curled {d.curl_mm:.1f} mm' if d.curl_mm else '') for d in dresses)}; "
        f"face {plan.face.words}, edge {plan.edge.words}, below {plan.foot.words}, reveal {plan.reveal.words}, back {plan.back.words}; "
        f"light {light}; {'covering part of an edge: ' + cover if cover else 'nothing before the edges'}; every reading is right"
    )
    bare = Room(Finish(*([plain((0.5, 0.5, 0.5))] * 9)), ())
    title = f"Room {1100 + 10 * LAYOUTS.index(layout) + number} {WORDS[kind]}"
    shot = Shot(
        name, title, seed, plan.opening, bare, camera, tuple(d.card for d in dresses), Expected(None), tuple(options), line,
        furnish(plan, dresses, rng, cover), {}, development, note, equivalent,
    )  # fmt: skip
    return Scene(shot, plan, dresses, taken_edge(plan), layout, cover)


def furnish(plan: Plan, dresses: tuple[Dress, ...], rng: Rng, cover: str) -> Any:
    """What stands about; draws from its own generator so that building a scene twice gives the same one."""
    seed = int(rng.integers(2**31))

    def make(build: Builder) -> None:
        own = np.random.default_rng(seed)
        build_plan(build, plan, own)
        for dress in dresses:
            hang(build, dress)
        {"door": hall_set, "window": sill_set}.get(plan.kind, shower_set)(build, plan, own)
        clutter(build, plan, dresses, own, cover)

    return make


def clutter(build: Builder, plan: Plan, dresses: tuple[Dress, ...], rng: Rng, cover: str) -> None:
    width, floor, out = plan.opening.width_mm, plan.floor_y, plan.edge.band_mm
    taken = [(*d.card.centre_mm, d.card.size_mm[0] / 2 + 60, d.card.size_mm[1] / 2 + 60) for d in dresses]
    for item in rng.permutation(["switch", "socket", "picture", "radiator", "towel"])[: int(rng.integers(1, 4))]:
        half = {"switch": (60, 60), "socket": (60, 60), "picture": (150, 190), "radiator": (170, 380), "towel": (160, 340)}[str(item)]
        for _ in range(12):
            gap = out + half[0] + float(rng.uniform(40, 500))
            x = one_of(rng, (-gap, width + gap))
            y = floor + (300 if item == "socket" else float(rng.uniform(1000, 1500)))
            clear = all(abs(x - a) > w + half[0] or abs(y - b) > h + half[1] for a, b, w, h in taken)
            if clear and plan.left_x + half[0] < x < plan.right_x - half[0]:
                on_wall(build, rng, str(item), x, y, plan.wall_z)
                taken.append((x, y, *half))
                break
    if cover == "towel":
        x, y = one_of(rng, (-out - 10, width + out + 10)), float(rng.uniform(0.55, 0.75)) * plan.opening.height_mm
        if all(abs(x - a) > w + 130 or abs(y - 170 - b) > h + 240 for a, b, w, h in taken[: len(dresses)]):
            cloth(build, rng, x, y, (200, min(420.0, 0.2 * plan.opening.height_mm)), 0.0)
    elif cover == "bin" and plan.kind in ("shower", "door"):
        on_floor(build, rng, "bin", float(rng.uniform(0.15, 0.85)) * width, 130, floor)
    elif cover == "mop":
        on_floor(build, rng, "mop", one_of(rng, (-out - 30.0, width + out - 30)), 260, floor)
    for item in rng.permutation(["mat", "scale", "basket", "toilet", "mat"])[: int(rng.integers(1, 4))]:
        flat = item in ("mat", "scale")
        x = float(rng.uniform(0.2, 0.8)) * width if flat else one_of(rng, (-out - float(rng.uniform(330, 520)), width + out + float(rng.uniform(330, 520))))
        on_floor(build, rng, str(item), x, float(rng.uniform(450, 900)) if flat else float(rng.uniform(180, 330)), floor)


def assemble(scene: Scene) -> mi.Scene:
    build = Builder()
    scene.shot.furnish(build)
    if scene.shot.plumb_line:
        hang_plumb_line(build, scene.shot.plumb_line)
    return mi.load_dict({"type": "scene", **build.shapes})


def covered(scene: Scene, traced: mi.Scene) -> dict[str, float]:
    """Share of each edge and card that something stands before; rays 0.3 mm outside an edge must land on the plane there."""
    found, camera = {}, scene.shot.camera
    for name, points in scene.shot.opening.edges(60).items():
        away = {"left": (-0.3, 0.0), "right": (0.3, 0.0), "curb": (0.0, -0.3), "head": (0.0, 0.3)}[name]
        inner = points[1:-1] + away
        wanted = np.column_stack([inner, np.zeros(len(inner))])
        found[name] = float(np.mean(np.linalg.norm(trace.where_pixels_land(traced, camera, camera.project(wanted)) - wanted, axis=1) > 0.05))
    grid = np.stack(np.meshgrid(np.linspace(0.03, 0.97, 15), np.linspace(0.03, 0.97, 15)), -1).reshape(-1, 2)
    for number, dress in enumerate(scene.dresses, 1):
        corners = dress.card.outline()
        wanted = corners[0] + grid[:, :1] * (corners[1] - corners[0]) + grid[:, 1:] * (corners[3] - corners[0])
        away = np.linalg.norm(trace.where_pixels_land(traced, camera, camera.project(wanted)) - wanted, axis=1)
        found[f"card {number}"] = float(np.mean(away > dress.curl_mm * 1.5 + 0.15))
    return found


def step_across(picture: np.ndarray, line: np.ndarray, reach: float) -> np.ndarray:
    """Largest step in a channel, of 255, at points along a line (n, 2), between means `reach` to 3 `reach` px on either side."""
    along = np.gradient(line, axis=0)
    across = np.column_stack([-along[:, 1], along[:, 0]]) / np.linalg.norm(along, axis=1)[:, None]
    ahead = along / np.linalg.norm(along, axis=1)[:, None]
    steps = []
    for side in (-1, 1):
        spots = [line + side * d * reach * across + k * reach * ahead for d in (1, 1.7, 2.4) for k in (-3, -1.5, 0, 1.5, 3)]
        index = np.round(np.array(spots)).astype(int)
        x, y = np.clip(index[..., 0], 0, picture.shape[1] - 1), np.clip(index[..., 1], 0, picture.shape[0] - 1)
        steps.append(picture[y, x].astype(float).mean(axis=0))
    return np.abs(steps[1] - steps[0]).max(axis=1)


def seen_steps(scene: Scene, camera: Camera, picture: np.ndarray) -> dict[str, tuple[float, float]]:
    """For each edge and card side: the median step, and the share of its length with a step of at least 5."""
    factor = camera.width / scene.shot.camera.width
    lines = {name: camera.project(np.column_stack([p, np.zeros(len(p))]))[1:-1] for name, p in scene.shot.opening.edges(60).items()}
    t = np.linspace(0.1, 0.9, 25)[:, None]
    for number, dress in enumerate(scene.dresses, 1):
        c = dress.card.outline()
        lines |= {f"card {number}{side}": camera.project(c[a] + t * (c[b] - c[a])) for side, a, b in (("b", 0, 1), ("r", 1, 2), ("t", 3, 2), ("l", 0, 3))}
    steps = {name: step_across(picture, line, max(1.0, 2.5 * factor)) for name, line in lines.items()}
    return {name: (float(np.median(s)), float(np.mean(s >= 5))) for name, s in steps.items()}


def faults(hidden: dict[str, float], steps: dict[str, tuple[float, float]]) -> list[str]:
    """Why a room is drawn again: more than a quarter of an edge or part of a card hidden, an edge that cannot be seen."""
    found = [f"{name} {100 * share:.0f}% hidden" for name, share in hidden.items() if share > (0.05 if name.startswith("card") else 0.25)]
    return found + [f"{name} step {step:.1f} over {100 * share:.0f}%" for name, (step, share) in steps.items() if step < 6 or share < 0.6]


def developed(scene: Scene, camera: Camera, linear: np.ndarray) -> np.ndarray:
    """The meter looks at what is not burnt out; the lightest card stays below white; highlights roll off."""
    how = scene.shot.development
    toned = linear * np.asarray(how.white_balance, np.float32)
    light = toned.mean(axis=2)
    soft = cv2.GaussianBlur(light, (0, 0), 4 * camera.width / scene.shot.camera.width)
    open_part = light[light < 2.0]
    key = float(np.exp(np.mean(np.log(np.maximum(open_part, 1e-3)))))
    cards = []
    for dress in scene.dresses:
        c = np.round(camera.project(dress.card.outline())).astype(int)
        cards.append(float(np.percentile(soft[c[:, 1].min() : c[:, 1].max() + 1, c[:, 0].min() : c[:, 0].max() + 1], 70)))
    gain = min(0.3 / key, 0.82 / max(cards))
    bright = toned * gain
    rolled = np.where(bright > 0.65, 0.65 + 0.33 * (1 - np.exp(-(bright - 0.65) / 0.33)), bright).astype(np.float32)
    rolled /= np.asarray(how.white_balance, np.float32)
    undo = np.log2(1 / develop.exposure_factor(cv2.GaussianBlur(rolled, (0, 0), how.blur_px) * np.asarray(how.white_balance, np.float32)))
    return develop.develop(rolled, replace(how, exposure=float(undo)), scene.shot.seed)


def expose(scene: Scene, traced: mi.Scene, camera: Camera, samples: int, per_pass: int) -> tuple[np.ndarray, float]:
    """The linear picture and the share of pixels that came back as no number (filled from beside them)."""
    linear = trace.expose(traced, camera, samples, scene.shot.seed % 1_000_003, per_pass)
    bad = ~np.isfinite(linear).all(axis=2)
    linear[bad] = np.nan_to_num(np.roll(linear, 2, axis=1)[bad], nan=0.2, posinf=1.0)
    return linear, float(bad.mean())


def facts(scene: Scene) -> dict[str, Any]:
    found = record.truth(scene.shot, scene.shot.camera)
    found["origin"] = "rendered for this project with Mitsuba 3 by tests/benchmarks/scenes/third_rooms.py from this seed; no real place"
    found["opening"]["edge_taken"] = scene.edge_taken
    return found | {"layout": scene.layout}


def screened(layout: str, number: int) -> tuple[Scene, int]:
    """The first attempt without faults on a half-size preview."""
    for attempt in range(25):
        scene = draw(layout, number, attempt)
        if scene is None:
            continue
        traced, camera = assemble(scene), smaller(scene.shot.camera, 0.5)
        hidden = covered(scene, traced)
        wrong = faults(hidden, {})
        if not wrong:
            linear, _ = expose(scene, traced, camera, 8, 8)
            wrong = faults(hidden, seen_steps(scene, camera, developed(scene, camera, linear)))
        print(f"{scene.shot.name} attempt {attempt}: {'; '.join(wrong) or 'good'}", flush=True)
        if not wrong:
            return scene, attempt
    raise SystemExit(f"no good room {layout} {number}")


def make(scene: Scene, options: argparse.Namespace) -> None:
    started, shot = time.monotonic(), scene.shot
    camera, traced = smaller(shot.camera, options.scale), assemble(scene)
    hidden = covered(scene, traced)
    linear, bad = expose(scene, traced, camera, options.samples, options.per_pass)
    picture = developed(scene, camera, linear)
    photo = develop.write_jpeg(picture, shot.development, shot.equivalent_mm)
    (options.out / f"{shot.name}.jpg").write_bytes(photo)
    (options.out / f"{shot.name}.json").write_text(json.dumps(facts(scene), indent=1, separators=(",", ": ")) + "\n")
    (options.out / f"{shot.name}.readings.toml").write_text(record.readings(shot))
    wrong = faults(hidden, seen_steps(scene, camera, picture)) + [f"{k} {100 * v:.0f}% hidden" for k, v in hidden.items() if v]
    print(f"{shot.name}: {time.monotonic() - started:.0f} s, {len(photo) / 2**20:.2f} MiB, no number {bad:.1e}; {'; '.join(wrong)}", flush=True)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("names", nargs="*", help="rooms such as third_four_03; none: all")
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--variant", default="llvm_ad_rgb")
    parser.add_argument("--samples", type=int, default=40)
    parser.add_argument("--per-pass", type=int, default=2)
    parser.add_argument("--scale", type=float, default=1.0)
    parser.add_argument("--screen", action="store_true", help="find the attempts again, do not use those noted")
    options = parser.parse_args()
    mi.set_variant(options.variant)
    mi.set_log_level(mi.LogLevel.Error)
    options.out.mkdir(parents=True, exist_ok=True)
    every = [(layout, number) for layout in LAYOUTS for number in range(1, 9)]
    for layout, number in every:
        if options.names and f"third_{layout}_{number:02d}" not in options.names:
            continue
        scene = screened(layout, number)[0] if options.screen else draw(layout, number)
        if scene is None:
            raise SystemExit(f"third_{layout}_{number:02d}: no camera")
        make(scene, options)


if __name__ == "__main__":
    main()
