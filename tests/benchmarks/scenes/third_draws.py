"""What is drawn for a room of the third family: opening, edge, foot, finishes, cards, camera, plumb line."""

from __future__ import annotations

import numpy as np
from studio.camera import Camera, aimed, focal_px
from studio.opening import Opening
from studio.sizes import measured, true_size
from studio.surfaces import plain
from studio.things import THICKNESS_MM, Card, PlumbLine
from third_cards import ID1_DESIGNS, PAGES, TAPES, Dress, card_surface
from third_looks import FINISHES, moved, solid
from third_patterns import Look, Rng, one_of
from third_plan import Edge, Foot, Plan

SEED = 47113
LAYOUTS = ("sheet", "opposite", "four", "letters")
KINDS = {
    "sheet": ("shower", "shower", "shower", "tub", "tub", "door", "door", "window"),
    "opposite": ("shower", "shower", "shower", "tub", "door", "door", "window", "window"),
}
LIGHTS = ("daylight", "downlights", "mirror", "flash", "mixed", "backlit", "globe", "strip")


def deck(layout: str) -> list[tuple[str, str, str, bool]]:
    """Kind, face, light and plumb line of a layout's eight rooms: shuffled, so that every layout meets all of them."""
    place = LAYOUTS.index(layout)
    rng = np.random.default_rng([SEED, place])
    kinds = rng.permutation(KINDS["opposite" if layout in ("opposite", "four") else "sheet"])
    faces = np.random.default_rng(SEED).permutation(np.resize(list(FINISHES), 39))[8 * place : 8 * place + 8]
    lines = rng.permutation([True] * 4 + [False] * 4)
    return [(str(k), str(f), str(s), bool(p)) for k, f, s, p in zip(kinds, faces, rng.permutation(LIGHTS), lines, strict=True)]


def opening_of(rng: Rng, kind: str) -> Opening:
    limits = {
        "shower": (760, 1550, 1900, 2100),
        "tub": (1400, 1700, 1380, 1600),
        "door": (700, 960, 1980, 2080),
        "window": (700, 1400, 800, 1300),
    }
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
        return Edge(
            name, f"a {made.words} casing {band:g} mm wide, {proud:g} mm proud of the wall", band, eased, proud, made.surface
        )
    return Edge(
        name,
        "a plaster corner" if name == "bead" else "the tile's own edge",
        0.0,
        0.0 if name == "sharp" else round(float(rng.uniform(1, 2 if name == "bead" else 3)), 2),
    )


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
    return Foot(
        f"a {made.words} {'sill' if kind == 'window' else 'cap'} {cap:g} mm thick",
        front.surface,
        made.surface,
        eased,
        depth if kind == "window" else float(rng.uniform(90, 140)),
        cap,
    )


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
    depth = {
        "shower": float(rng.uniform(90, 150)),
        "tub": float(rng.uniform(90, 150)),
        "door": float(rng.uniform(90, 180)),
        "window": float(rng.uniform(80, 200)),
    }[kind]
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
        y = {
            0: opening.height_mm * float(rng.uniform(0.35, 0.7)),
            -1: size[1] / 2 + float(rng.uniform(20, reach)),
            1: opening.height_mm - size[1] / 2 - float(rng.uniform(20, reach)),
        }[level]
        out = plan.edge.band_mm + gap + size[0] / 2
        x = float(opening.left(np.array(y))) - out if side < 0 else float(opening.right(np.array(y))) + out
        turn = float(rng.uniform(-4, 4)) if rng.random() < 0.4 else float(rng.normal(0, 0.8))
        card = Card(kind, size, (x, y), card_surface(rng, kind, design, size), turn, plan.wall_z + front - THICKNESS_MM[kind])
        curl = float(rng.uniform(0.6, 2.0)) if sheets and not tape and rng.random() < 0.6 else 0.0
        dresses.append(Dress(card, design + (" lying" if turned == sheets else " standing"), tape, curl, int(rng.integers(3))))
    return tuple(dresses), options or ["--card", f"id-1@{proud - stands:g}+-0.5"]


def camera_of(rng: Rng, plan: Plan, dresses: tuple[Dress, ...]) -> tuple[Camera, float] | None:
    """A phone in the hand, near enough that opening and cards fill most of the picture."""
    points = np.concatenate(
        [np.column_stack([p, np.zeros(len(p))]) for p in plan.opening.edges().values()] + [d.card.outline() for d in dresses]
    )
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


def plumb_of(rng: Rng, plan: Plan) -> PlumbLine:
    width, height = plan.opening.width_mm, plan.opening.height_mm
    part = one_of(rng, (rng.uniform(0.15, 0.28), rng.uniform(0.72, 0.85))) if plan.kind == "window" else rng.uniform(0.2, 0.8)
    dark = plan.kind == "window" or float(np.mean(plan.back.rgb)) > 0.3
    colour = (0.02, 0.02, 0.02) if dark else one_of(rng, ((0.8, 0.8, 0.76), (0.85, 0.4, 0.05)))
    top, low = height + float(rng.uniform(40, 55 if plan.edge.proud_mm else 110)), float(rng.uniform(60, 110))
    return PlumbLine(
        round(float(part) * width, 1),
        round(top, 1),
        round(low, 1),
        plain(colour),
        float(rng.uniform(3, 6)),
        float(rng.uniform(1.7, 2.2)),
    )


def taken_edge(plan: Plan) -> str:
    edge, foot = plan.edge, plan.foot
    if edge.band_mm:
        sides = f"sides and head: where the flat of {edge.words} ends (its corner is eased {edge.round_mm:g} mm from there on)"
    elif edge.round_mm:
        sides = (
            f"sides and head: {edge.words}, where the flat of the wall face ends and a rounding of {edge.round_mm:g} mm begins"
        )
    else:
        sides = f"sides and head: the sharp arris of {edge.words}"
    under = f"where its flat front ends and a rounding of {foot.round_mm:g} mm begins" if foot.round_mm else "its sharp arris"
    plane = "; the opening's plane is the casing's face, the cards are on the wall behind it" if edge.proud_mm else ""
    return f"{sides}; below: {foot.words}, {under}; the readings were taken to the same lines{plane}"
